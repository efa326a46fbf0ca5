"""Make and the designs of a folder: sheets, cupboard, schedule, card, damage; the list, the next one, side by side."""

import json
import re
import time

import pymupdf
import pytest
from conftest_browser import SIZES, Server, by_axe, needs_chromium, opened
from conftest_web import CURLEW, served
from playwright.sync_api import expect

import bottlewright as bw
from bottlewright.field.landings import failure_odds


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text))


def made(pages):
    """Make the pack as the page does, and wait for it."""
    assert pages.do("start/make").status_code == 200
    until = time.monotonic() + 60.0
    while pages.office.work.running and time.monotonic() < until:
        time.sleep(0.05)
    return pages.office.pack()


@pytest.fixture(scope="module")
def packed(tmp_path_factory):
    """Serve the example for tests that change nothing of it: its pack is made once."""
    folder = tmp_path_factory.mktemp("packed")
    two_designs(folder)
    with served(folder) as pages:
        yield pages


def pack_of(packed):
    """Return the pack, on the day of the tests, which the module's own fixture does not have."""
    if packed.office.pack() is None:
        packed.do("do/open", file="rocket.toml")
        made(packed)
    return packed.office.pack()


def two_designs(folder):
    """Lay the example and another rocket into a folder."""
    for name in ("rocket.toml", "field.geojson", "prices.csv"):
        (folder / name).write_bytes((CURLEW / name).read_bytes())
    (folder / "dabchick.toml").write_bytes((CURLEW.parent / "dabchick" / "rocket.toml").read_bytes())


def known(office):
    """Wait until every design of the folder is judged."""
    until = time.monotonic() + 60.0
    while any(not (one.project or one.wrong) for one in office.shelf.standings(office.designs(), True)):
        assert time.monotonic() < until
        time.sleep(0.02)


# --- sheets ----------------------------------------------------------------------------------------------------------


def test_before_the_pack_is_made_the_page_says_what_there_will_be(curlew):
    said = text_of(curlew.get("/make"))
    for title in ("Launch-day checklist", "As-built card", "Vessel card", "Patterns", "Build schedule"):
        assert title in said
    assert "Ready by" in said
    for gone in ("/look/day", "/page/44/1.png", "/chosen.pdf?sheet=day", "/file/pack-a4.pdf"):
        assert curlew.get(gone).status_code in (307, 404)


def test_every_page_of_every_sheet_is_shown_chosen_and_taken(packed):
    pack, curlew = pack_of(packed), packed
    page = curlew.get("/make").text
    whole = pymupdf.open(stream=pack.made().files["pack-a4.pdf"])
    assert sum(one.pages for one in pack.sheets) == len(whole)
    for one in pack.sheets:
        assert f'name="sheet" value="{one.name}"' in page
        shown = curlew.get(f"/look/{one.name}").text
        pictures = re.findall(r'<img src="([^"]+)"', shown)
        assert len(pictures) == one.pages
    first = curlew.get(pictures[0])
    assert first.headers["content-type"] == "image/png"
    assert curlew.get("/page/44/1.png").content.startswith(b"\x89PNG")
    assert curlew.get("/page/300/1.png").status_code == 404
    assert curlew.get("/page/44/999.png").status_code == 404
    taken = curlew.get("/chosen.pdf?sheet=day&sheet=built&sheet=pattern-2")
    titles = [" ".join(page.get_text().split()) for page in pymupdf.open(stream=taken.content)]
    assert len(titles) == 3
    assert "sheet 2 of" in titles[0]
    assert titles[1].startswith("Launch-day checklist")
    assert titles[2].startswith("As-built card")


def test_a_sheet_that_is_not_there_or_none_at_all_is_refused_in_words(packed):
    pack_of(packed)
    curlew = packed
    for query in ("", "?sheet=nothing", "?sheet=day&sheet=../x"):
        answer = curlew.get(f"/chosen.pdf{query}")
        assert answer.status_code == 422
        assert "sheet" in answer.text
    assert curlew.get("/look/nothing").status_code == 307


def test_under_a_stop_the_cover_goes_along_and_every_page_says_it(curlew):
    curlew.do("do/damage", part="bottle", what="dent")
    made(curlew)
    pages = [page.get_text() for page in pymupdf.open(stream=curlew.get("/chosen.pdf?sheet=built").content)]
    assert len(pages) == 2
    assert "dent" in pages[0]
    assert all("STOP: do not pump or launch" in " ".join(text.split()) for text in pages)


def test_the_single_files_and_the_calendar_are_there(packed):
    pack, curlew = pack_of(packed), packed
    page = curlew.get("/make").text
    for name in ("svg/fin.svg", "dxf/fin.dxf", "print/fin-jig.3mf", "parts.csv", f"pack-{pack.paper}.pdf"):
        assert f'href="/file/{name}"' in page
        assert curlew.get(f"/file/{name}").content
    assert curlew.get("/build.ics").text.startswith("BEGIN:VCALENDAR")


# --- cupboard, schedule, card, damage --------------------------------------------------------------------------------


def test_a_price_and_a_count_stand_in_the_file_and_the_sum_follows(curlew):
    before = re.search(r"To buy: (\d+) lines, ([\d.]+) crowns", text_of(curlew.get("/make")))
    assert curlew.do("do/part", code="hose", have="1", price="14.00").status_code == 200
    after = re.search(r"To buy: (\d+) lines, ([\d.]+) crowns", text_of(curlew.get("/make")))
    assert (int(before[1]) - int(after[1]), float(before[2]) - float(after[2])) == (1, pytest.approx(14.0))
    assert "hose = 1" in (curlew.office.folder / "rocket.toml").read_text(encoding="utf-8")
    refused = curlew.do("do/part", code="hose", price="1,200", have="1")
    assert refused.status_code == 422
    assert "price" in refused.headers["X-Fields"]


def test_so_many_rockets_have_one_schedule_on_the_page_and_in_the_pack(curlew):
    assert curlew.do("do/workshop", people="12", rockets="6", adults="2").status_code == 200
    heading = re.search(r"<h1>([^<]+)", curlew.get("/make").text)[1]
    assert heading.startswith("6 rockets ready by")
    pack = made(curlew)
    assert pack.workshop.plan.finished == curlew.office.job.project.schedule().plan.finished
    assert "rocket 6" in text_of(curlew.get("/make")).lower()
    assert next(one.pages for one in pack.sheets if one.name == "built") == 6  # a card for each


def test_what_a_day_needs_is_planned_on_make_by_one_press(curlew):
    curlew.do("do/need", children="12", team="2", hours="2 h")
    page = curlew.get("/need").text
    form = page[page.index('data-post="/do/workshop"') :]
    values = dict(re.findall(r'name="(\w+)" value="(\d+)"', form[: form.index("</form>")]))
    assert values == {"people": "12", "rockets": "6"}
    assert curlew.do("do/workshop", **values).status_code == 200
    shop = curlew.office.job.project.design.workshop
    assert (shop.people, shop.rockets) == (12, 6)
    assert "6 rockets ready by" in text_of(curlew.get("/make"))


def test_a_filed_card_is_judged_at_once_and_undo_takes_it_back(curlew):
    file = curlew.office.folder / "rocket.toml"
    before = file.read_bytes()
    assert curlew.do("do/card", **{"measured.dry_mass": "181 g", "measured.by": "K. L."}).status_code == 200
    assert curlew.office.job.project.value("measured.dry_mass").value == pytest.approx(0.181)
    said = text_of(curlew.get("/make"))
    assert "181 g" in said
    assert "K. L." in said
    curlew.do("do/undo")
    assert file.read_bytes() == before


def test_counted_tries_shrink_the_odds_only_once_somebody_has_seen_old_and_new_and_takes_the_new(curlew):
    def odds():
        return {name: one.value for name, one in failure_odds(curlew.office.job.project.design).items()}

    before = odds()
    assert "nobody has counted a try" in text_of(curlew.get("/make"))
    assert curlew.do("do/tries", tries="20", stuck="0", early="0", so_far="0/0/0").status_code == 200
    assert odds() == before
    page = curlew.get("/make").text
    assert "So far: 20 tries, 0 stuck, 0 too early." in text_of(curlew.get("/make"))
    seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
    assert curlew.do("do/tries-named", by="A. B.", day="2027-03-30", seen="5 % 1 %").status_code == 422
    assert curlew.do("do/tries-named", by="", day="2027-03-30", seen=seen).status_code == 422
    assert odds() == before
    assert curlew.do("do/tries-named", by="A. B.", day="2027-03-30", seen=seen).status_code == 200
    assert odds()["not_opening"] < before["not_opening"]
    said = text_of(curlew.get("/make"))
    assert "Confirmed by A. B., 2027-03-30." in said
    curlew.do("do/tries", tries="1", stuck="1", early="0", so_far="20/0/0")
    assert "Confirmed by" not in text_of(curlew.get("/make"))
    assert odds()["not_opening"] >= before["not_opening"]


def test_a_damaged_bottle_is_a_stop_on_every_page_until_a_fresh_one_takes_its_place(curlew):
    curlew.do("do/damage", part="bottle", what="dent beside a fin", day="2027-03-04")
    for page in ("sketch", "prove", "tune", "fly", "field", "make", "need"):
        said = text_of(curlew.get(f"/{page}"))
        assert "STOP" in said
        assert "Nobody pumps this bottle again" in said
    words = "bottle: dent beside a fin, 2027-03-04"
    assert curlew.do("do/damage-done", number="0", words=words, done="repaired").status_code == 422
    assert "Then the stop for this damage goes" in text_of(curlew.get("/make"))
    alone = curlew.do("do/damage-done", number="0", words=words, done="out")
    assert alone.status_code == 422, "nobody's single press makes a damaged bottle whole"
    assert set(json.loads(alone.headers["X-Fields"])) == {"by", "on"}
    assert "withdrawn" not in curlew.office.job.file.read_text(encoding="utf-8")
    assert curlew.do("do/fresh-bottle").status_code == 200
    said = text_of(curlew.get("/prove"))
    assert "No pressure is allowed yet" in said
    assert curlew.office.job.project.design.damage == []


# --- designs ---------------------------------------------------------------------------------------------------------


def test_the_folder_lists_its_designs_with_drawing_numbers_and_verdict(empty):
    two_designs(empty.office.folder)
    (empty.office.folder / "broken.toml").write_text("schema = 1\n[vessel]\nbottle = 3\n", encoding="utf-8")
    known(empty.office)
    empty.office.changed()
    for path in ("/designs", "/"):
        answer = empty.get(path)
        said = text_of(answer)
        for name in ("Curlew", "Dabchick"):
            assert f"{name} from the side, at the scale of the others" in answer.text
            assert name in said
        curlew = bw.read(empty.office.folder / "rocket.toml")
        assert curlew.prove().act.allowed[1:] in said
        assert "52.9" in said
        assert "vessel.bottle" in said
        assert not re.search(r"\b(safe|fine|OK|all good)\b|`|the command", said)


def test_what_was_worked_out_for_a_design_counts_in_the_list_too(curlew):
    known(curlew.office)
    curlew.do("do/damage", part="bottle", what="dent")
    known(curlew.office)
    curlew.office.changed()
    assert "Nobody pumps this bottle again" in text_of(curlew.get("/designs"))


def test_the_next_one_is_a_file_of_its_own_without_a_test_and_overwrites_nothing(curlew):
    folder = curlew.office.folder
    before = (folder / "rocket.toml").read_bytes()
    answer = curlew.do("do/copy", file="rocket.toml", name="Curlew two", age="3 days")
    assert (answer.status_code, answer.text) == (200, "/prove")
    assert "No pressure is allowed yet" in text_of(curlew.get("/prove"))
    copied = (folder / "curlew-two.toml").read_bytes()
    curlew.do("do/open", file="rocket.toml")
    again = curlew.do("do/copy", file="rocket.toml", name="Curlew two", age="")
    assert again.status_code == 422
    assert "is there already" in again.text
    assert curlew.do("do/copy", file="../rocket.toml", name="X").status_code == 422
    assert curlew.do("do/copy", file="rocket.toml", name="").status_code == 422
    assert (folder / "rocket.toml").read_bytes() == before
    assert (folder / "curlew-two.toml").read_bytes() == copied
    assert sorted(path.name for path in folder.glob("*.toml")) == ["curlew-two.toml", "rocket.toml"]


def test_side_by_side_shows_each_verdict_and_says_what_is_wrong_with_the_choice(empty):
    two_designs(empty.office.folder)
    said = text_of(empty.get("/compare?with=rocket.toml&with=dabchick.toml"))
    for name in ("rocket.toml", "dabchick.toml"):
        assert bw.read(empty.office.folder / name).prove().act.says in said
    for query in ("", "?with=rocket.toml", "?with=rocket.toml&with=../x.toml"):
        assert "two or three designs" in text_of(empty.get(f"/compare{query}"))


# --- in a browser ----------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("two")
    two_designs(folder)
    server = Server(folder)
    yield server
    server.close()


def checked(page):
    """Hold a page against the rules of access, and against the width of its window."""
    found = by_axe(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]


@needs_chromium
def test_on_a_telephone_sheets_are_chosen_a_card_filed_and_the_next_one_compared(browser, folder):
    folder.office.open({"file": "rocket.toml"})  # on the day of the tests, which the module's own fixture does not have
    page, said = opened(browser, f"{folder.url}/make", "phone", has_touch=True, accept_downloads=True)
    page.wait_for_function("latest !== null")  # what the page was sent first is shown: nothing moves under the finger
    page.get_by_role("button", name="Make the pack").tap()
    page.locator(".sheets img").first.wait_for(timeout=60_000)
    page.locator("[name=sheet][value=day]").check()
    page.locator("[name=sheet][value=built]").check()
    with page.expect_download() as download:
        page.get_by_role("button", name="Download the chosen sheets").tap()
    assert len(pymupdf.open(download.value.path())) == 2
    checked(page)

    page.get_by_label("It weighs, ready to fly").fill("175 g")
    page.get_by_label("Measured by").fill("K. L.")
    page.get_by_role("button", name="File this card").tap()
    expect(page.locator("#card-says")).to_contain_text("175 g")
    expect(page.get_by_label("It weighs, ready to fly")).to_have_value("")

    page.goto(f"{folder.url}/designs")
    page.wait_for_selector("[data-connected=yes]")
    page.locator("#next-rocket-toml summary").tap()
    page.locator("#next-rocket-toml").get_by_role("button").tap()
    expect(page.locator("#next-rocket-toml")).to_contain_text("give it a name")
    for told in ("It does not take along", "a test is of one bottle", "It takes along", "it is the same launcher"):
        expect(page.locator("#next-rocket-toml")).to_contain_text(told)
    page.get_by_label("Name of the next one after Curlew").fill("Curlew two")
    page.locator("#next-rocket-toml").get_by_role("button").tap()
    page.wait_for_url("**/prove")
    page.goto(f"{folder.url}/designs")
    for name in ("Curlew two", "Dabchick", "Curlew"):
        page.locator("#side-by-side").get_by_label(name, exact=True).check()
    checked(page)
    page.get_by_role("button", name="Compare").tap()
    expect(page.locator("#numbers")).to_contain_text("175 g")
    checked(page)
    assert [line for line in said if "422" not in line] == []  # Chromium itself reports a refused post


@needs_chromium
@pytest.mark.parametrize(("scheme", "size"), [("light", "wide"), ("dark", "phone")])
def test_make_and_the_list_need_no_eyes_and_no_light(browser, folder, scheme, size):
    folder.office.open({"file": "rocket.toml"})
    for path in ("make", "designs"):
        page, said = opened(browser, f"{folder.url}/{path}", size, scheme)
        for details in page.query_selector_all("details"):
            details.evaluate("one => { one.open = true; }")
        checked(page)
        assert said == []
        assert page.viewport_size == SIZES[size]
