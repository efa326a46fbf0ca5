"""The printed pack read back: its pages, its words, its stops, and what happens when things are missing."""

import datetime as dt
import itertools
import pathlib
import re
from dataclasses import replace
from functools import cache

import pymupdf
import pytest
from workshop_designs import DABCHICK, design_of

from acted import ACT
from acts import act_of
from bottlewright.findings import Finding, Level, Stage
from bottlewright.logbook.paper import day_steps
from bottlewright.make.build import Given, build
from bottlewright.make.chapters import make_chapter
from bottlewright.make.pack.typeset import typeset
from bottlewright.report.first_page import FromFlights, SitePlan, first_page

CURLEW = pathlib.Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"
NOW = dt.datetime(2027, 3, 1, 12, 0)
STOP = Finding(Level.STOP, Stage.PROVE, "over-rated-pressure", "the bottle may burst", "9 bar planned", "6.2 bar",
               "a rule", "pump to 6 bar at most")  # fmt: skip
NOTE = Finding(Level.NOTE, Stage.FLY, "windy", "it drifts", "3 m/s", "8 m/s", "a rule", "look at the wind")
PLAN = SitePlan("", '<svg xmlns="http://www.w3.org/2000/svg" width="358" height="286"></svg>', "the site")
BARE = 'schema=1\nname="Bare"\n[vessel]\nbottle="carbonated-500"\n[charge]\npressure="3 bar"\n'


def made_of(text=DABCHICK, *overrides, **given):
    return build(design_of(text, *overrides), Given(source=text.encode(), day=day_steps(), **given), NOW)


def pages_of(made, name="pack-a4.pdf"):
    return [page.get_text() for page in pymupdf.open(stream=made.files[name])]


def squeezed(text):
    return " ".join(text.split())


FLOWN = FromFlights("Predictions are learned from 12 flights; 3 newer ones are not in it.", tuple(
    (f"thing number {n} of what people act on", "49.5 to 57.2 m", "48 to 53.9 m") for n in range(4)))


@cache
def noted(text, paper):
    """Return a whole pack with many findings."""
    findings = [replace(NOTE, code=f"note-{n}", remedy=f"look at {n}") for n in range(14)]
    first = first_page(ACT, findings, plan=PLAN, flights=FLOWN)
    return made_of(text, findings=findings, first=first, paper=paper)


@pytest.fixture(scope="module")
def made():
    return made_of(findings=[NOTE], numbers={"apogee": "61 m"})


@pytest.fixture(scope="module")
def stopped():
    return made_of(findings=[STOP])


@pytest.fixture
def sheets(monkeypatch):
    """Make a pack of some sheets alone, as the page Make prints those that somebody chose: the rest takes its time."""

    def some(names, text=DABCHICK, *overrides, **given):
        def chosen(data, _names=tuple(names)):
            return typeset({**data, "only": _names}) if data["kind"] == "pack" else b""

        monkeypatch.setattr("bottlewright.make.build.typeset", chosen)
        return made_of(text, *overrides, **given)

    return some


def test_every_page_has_its_number_the_version_and_the_hash_of_the_design_file(made):
    import hashlib

    from bottlewright import __version__

    digest = hashlib.sha256(DABCHICK.encode()).hexdigest()[:12]
    pages = pages_of(made)
    for number, text in enumerate(pages, 1):
        assert digest in text
        assert f"Bottlewright {__version__}" in text
        assert f"page {number} / {len(pages)}" in squeezed(text)


def test_the_pack_has_all_its_parts_in_order(made):
    titles = [
        "Parts list",
        "Build schedule",
        "Launcher drawing and tables",
        "Build steps",
        "Patterns at true size",
        "Fold and pack",
        "Risk sheet",
        "Launch-day checklist",
        "Misfire and leak",
        "Vessel card",
        "As-built card",
        "Flight card",
        "Consent and briefing",
        "Words",
        "All findings, and what was filled in",
    ]
    document = pymupdf.open(stream=made.files["pack-a4.pdf"])
    bookmarks = [(title, page) for level, title, page in document.get_toc() if level == 1]
    assert [title for title, _ in bookmarks] == titles
    assert [page for _, page in bookmarks] == sorted(page for _, page in bookmarks)
    cover = squeezed(document[0].get_text())
    assert all(title in cover for title in titles)
    assert "61 m" in cover
    assert f"{dt.date.fromisoformat(made.results['earliest_launch_day']).day} March 2027" in cover


def test_a_stop_stands_on_the_cover_and_on_the_launch_day_and_misfire_sheets(stopped):
    pages = pages_of(stopped)
    telling = [squeezed(text) for text in pages if "9 bar planned" in text and "STOP: do not pump" in squeezed(text)]
    assert any(text.startswith("Dabchick") for text in telling)
    assert any("Launch-day checklist" in text for text in telling[1:])
    assert any("Misfire" in text for text in telling[1:])


def test_a_stop_is_told_on_every_printed_page(stopped):
    for name in ("pack-a4.pdf", "patterns-a4.pdf", "patterns-letter.pdf"):
        assert all("STOP: do not pump or launch" in squeezed(text) for text in pages_of(stopped, name))


def test_cover_and_checklist_stay_on_one_page_each_however_much_is_found():
    look = Finding(Level.LOOK, Stage.PROVE, "weak", "a hose may let go when it is old and the sun is on it", "4 bar",
                   "9 bar", "a rule", "replace it")  # fmt: skip
    for stops, paper in ((0, "letter"), (3, "a4"), (6, "letter")):
        findings = [replace(STOP, code=f"stop-{n}") for n in range(stops)]
        findings += [replace(look, code=f"look-{n}", remedy=f"replace hose {n}") for n in range(8)]
        act = replace(ACT, level="stop" if stops else "look")
        first = first_page(act, findings, plan=PLAN, flights=FLOWN)
        made = made_of(findings=findings, first=first, numbers={"apogee": "61 m"}, paper=paper)
        document = pymupdf.open(stream=made.files[f"pack-{paper}.pdf"])
        first = {title: page for _, title, page in document.get_toc()}
        assert first["Parts list"] == 2
        assert first["Misfire and leak"] - first["Launch-day checklist"] == 1
        cover = squeezed(document[0].get_text())
        for number in ("365 mL", "4.7 bar", "6.75 bar", "14 m", "25 m", "2.8 m/s"):
            assert len(re.findall(rf"(?<![\d.]){number}\b", cover)) == 1
        assert stops == 0 or "The bottle may burst" in cover
        assert squeezed(document[first["Launch-day checklist"] - 1].get_text()).count("bottle may burst") == stops


def test_a_rule_parts_each_row_of_the_checklist_from_the_next(made):
    """Who ticks in the wind sees where a row ends: lines of one row stand closer than two rows."""
    document = pymupdf.open(stream=made.files["pack-a4.pdf"])
    first = {title: page for _, title, page in document.get_toc()}
    page = document[first["Launch-day checklist"] - 1]
    top = min(word[1] for word in page.get_text("words") if word[4] == "Before")
    ticks = [drawn["rect"] for drawn in page.get_drawings() if drawn["rect"].y0 > top
             and 9.0 < drawn["rect"].width < 11.0 and 9.0 < drawn["rect"].height < 11.0]  # fmt: skip
    rules = [drawn["rect"].y1 for drawn in page.get_drawings() if drawn["rect"].width > 300.0]
    assert len(ticks) > 20
    for above, below in itertools.pairwise(sorted(ticks, key=lambda one: one.y0)):
        assert any(above.y1 <= at <= below.y0 for at in rules), (above, below)


def filled_share(page):
    """Return how far down a page something is printed, its foot apart; 1 is the whole of it."""
    foot = page.rect.height - 57.0
    bottoms = [box[3] for box in (b["bbox"] for b in page.get_text("dict")["blocks"]) if box[3] < foot]
    bottoms += [drawn["rect"].y1 for drawn in page.get_drawings() if drawn["rect"].y1 < foot]
    return max(bottoms, default=0.0) / foot


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("text", [DABCHICK, CURLEW.read_text(encoding="utf-8"), BARE], ids=["plain", "curlew", "bare"])
def test_no_page_of_the_pack_is_half_empty(text, paper):
    pages = [page for page in pymupdf.open(stream=noted(text, paper).files[f"pack-{paper}.pdf"])
             if "Patterns at true size" not in page.get_text()]  # a pattern keeps its own size
    assert [number for number, page in enumerate(pages[:-1], 1) if filled_share(page) < 0.55] == []


def test_no_letter_in_the_pack_is_smaller_than_seven_points():
    text = DABCHICK + '[launcher.release]\nkind = "ties"\n[launcher.hose]\nlength = "12 m"\nrating = "20 bar"\n'
    for page in pymupdf.open(stream=made_of(text).files["pack-a4.pdf"]):
        spans = [s for b in page.get_text("dict")["blocks"] for row in b.get("lines", []) for s in row["spans"]]
        assert min(span["size"] for span in spans) > 6.99


def test_the_words_of_the_line_from_pump_to_rocket_do_not_overlap(made):
    words = pymupdf.open(stream=made.files["pack-a4.pdf"])
    page = next(p for p in words if "raised loop" in p.get_text())
    named = ("pump", "bleed", "connector", "rating", "hand")
    boxes = [pymupdf.Rect(word[:4]) for word in page.get_text("words") if word[4] in named]
    assert len(boxes) >= 5
    assert not any((a & b).get_area() > 0.5 for k, a in enumerate(boxes) for b in boxes[:k])


def test_proof_pressure_and_distances_are_the_same_on_cover_steps_and_findings():
    design, _, _, given = inputs_of(CURLEW.read_text(encoding="utf-8"))
    act = replace(ACT, proof="6.66 bar", pumper="71 m", operator="72 m", spectators="73 m", pump_to="4.44 bar",
                  pressure="4.44 bar", wind="2.22 m/s", allowed="not over 4.55 bar")
    made = build(design, replace(given, findings=(), first=first_page(act, ()), day=day_steps()), NOW)
    pages = [squeezed(page) for page in pages_of(made)]
    assert all(number in pages[0] for number in ("6.66 bar", "71 m", "72 m", "73 m", "4.44 bar", "2.22 m/s", "4.55"))
    day, risk = page_of(pages, "Launch-day checklist"), page_of(pages, "Risk sheet")
    assert all(number in day for number in ("71 m", "72 m", "73 m", "4.44 bar", "2.22 m/s"))
    assert all(number in risk for number in ("6.66 bar", "71 m", "72 m", "73 m", "4.44 bar", "4.55 bar"))
    assert "4.44 bar" in page_of(pages, "Flight card")
    assert "4.44 bar" in page_of(pages, "Consent and briefing")
    card = page_of(pages, "Vessel card")
    assert "not over 4.55 bar" in card
    assert "6.66 bar" in card
    everything = " ".join(pages)
    assert "Pump slowly to 6.66 bar" in everything
    assert not re.search(r"\b(6\.75 bar|4\.5 bar|13 m|24 m|76 m)\b", everything)  # the cord and the hose are 25 m long


def test_the_cover_gives_height_and_speeds_as_flown_in_either_unit():
    from bottlewright.quantities import neat

    _, _, flight, given = inputs_of(in_psi_and_inches(CURLEW.read_text(encoding="utf-8")))
    numbers = given.numbers
    height = flight.summary["apogee_m"]
    assert numbers["apogee"] == f"{neat(height, 'ft', 2)} ({neat(height, 'm', 2)})"
    assert numbers["landing speed"].endswith(neat(flight.summary["landing_speed_m_s"], "m/s", 2))


def test_the_parts_list_counts_for_every_rocket_of_the_plan(sheets):
    text = squeezed(pages_of(sheets(["parts"], DABCHICK, "workshop.rockets=6", "workshop.people=12"))[0])
    assert "The numbers are for 6 rockets together, the masses for one of them." in text
    assert "eye protection × 12" in text


def test_without_a_stop_nothing_says_stop_and_without_proof_and_flight_the_cover_says_so(made, sheets):
    assert "do not pump" not in " ".join(pages_of(made))
    assert "No finding says stop" not in squeezed(pages_of(made)[0])
    alone = squeezed(pages_of(sheets(["cover"]))[0])
    assert "Nobody has worked out flight or proof for this pack" in alone


def test_cautions_come_first_and_nothing_is_called_safe(made):
    text = squeezed(" ".join(pages_of(made)))
    assert text.count("responsible adult") >= 4
    assert "Never approach a rocket under pressure" in text
    for name in ("water rocket safety code", "health and safety executive"):
        text = text.lower().replace(name, "")
    assert "safe" not in text


def test_the_same_design_gives_the_same_files(made):
    again = made_of(findings=[NOTE], numbers={"apogee": "61 m"})
    assert made.files.keys() == again.files.keys()
    assert [name for name in made.files if made.files[name] != again.files[name]] == []


def test_the_folder_has_every_kind_of_file(made):
    names = set(made.files)
    assert {
        "pack-a4.pdf",
        "patterns-a4.pdf",
        "patterns-letter.pdf",
        "parts.csv",
        "build.ics",
        "svg/fin.svg",
        "dxf/fin.dxf",
        "svg/canopy.svg",
        "print/nose.3mf",
    } <= names


def test_a_letter_pack_is_on_letter():
    document = pymupdf.open(stream=noted(DABCHICK, "letter").files["pack-letter.pdf"])
    assert {(round(page.rect.width), round(page.rect.height)) for page in document} == {(612, 792)}


def test_a_bare_bottle_still_gives_a_pack_that_says_what_is_missing():
    made = noted(BARE, "a4")
    codes = {finding.code for finding in made.findings}
    assert {"no-fins", "workshop-not-described", "no-prices"} <= codes
    text = squeezed(" ".join(pages_of(made)))
    assert "without fins tumbles" in text
    assert "every day from 10:00 to 16:00" in text
    assert made.results["patterns"] == ["plate-template", "quadrant"]


def test_a_fin_larger_than_any_sheet_is_tiled_with_a_note(sheets):
    patterns = [f"pattern-{number}" for number in range(1, 99)]
    made = sheets(patterns, DABCHICK, 'fins.span="300 mm"', 'fins.root="350 mm"', "vessel.count=3")
    note = next(f for f in made.findings if f.code == "tiled-pattern")
    assert "Fin (" in note.found
    assert "tile A1 of A1 to" in squeezed(" ".join(pages_of(made)))


def test_opening_hours_that_never_suffice_leave_out_the_calendar_and_say_so(sheets):
    made = sheets(["schedule"], DABCHICK, 'workshop.hours=["Sat 10:00-10:01"]')
    assert "build.ics" not in made.files
    assert "no-schedule" in {f.code for f in made.findings}
    assert made.results["earliest_launch_day"] is None
    assert "There is no schedule" in squeezed(" ".join(pages_of(made)))


def test_words_with_signs_that_the_typesetter_knows_stay_words(sheets):
    made = sheets(["cover"], DABCHICK.replace('name = "Dabchick"', 'name = "#Dab*chick_ $x$ [1] @y"'))
    assert "#Dab*chick_ $x$ [1] @y" in squeezed(pages_of(made)[0])


@pytest.mark.parametrize(
    ("release", "frame"), [("collar", "boards"), ("ties", "tube"), ("pin", "boards"), ("plug", "tube")]
)
def test_every_kind_of_launcher_has_its_pages(release, frame, sheets):
    launcher = f'[launcher.release]\nkind = "{release}"\n[launcher.frame]\nkind = "{frame}"\n'
    made = sheets(["building"], DABCHICK + launcher)
    text = squeezed(" ".join(pages_of(made)))
    assert {"collar": "collar and cords", "ties": "ties and sleeve", "pin": "with its pin", "plug": "friction plug"}[
        release
    ] in text


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("nose.shape", ["ogive", "flat", "bottle", "hemisphere", "paraboloid", "ellipsoid"]),
        ("recovery.canopy", ["octagon", "round", "square", "cross", "hemisphere"]),
    ],
)
def test_every_shape_has_its_patterns(key, values, monkeypatch):
    # The patterns of each are set on paper; the rest of the pack is the same every time.
    patterns_alone = lambda data: typeset(data) if data["kind"] == "patterns" else b""  # noqa: E731
    monkeypatch.setattr("bottlewright.make.build.typeset", patterns_alone)
    for value in values:
        made = made_of(DABCHICK, f'{key}="{value}"')
        assert made.results["pattern_sheets"] >= 1


def test_a_file_changed_on_the_command_line_says_so_on_every_page():
    made = made_of(BARE, overrides=("charge.pressure=3 bar",))
    assert all("changed by --set" in squeezed(text) for text in pages_of(made))


def test_the_chapter_for_the_study_says_what_there_is_to_print(made):
    chapter = make_chapter(made)
    assert chapter.section.stage is Stage.MAKE
    assert "make/pack-a4.pdf" in chapter.files
    assert "Choose and measure the bottle" in chapter.section.html
    assert {finding.stage for finding in chapter.findings} == {Stage.MAKE}


def in_psi_and_inches(text):
    """Return a design file with every pressure in psi and every length in inches or feet."""
    text = re.sub(r"([\d.]+) bar", lambda m: f"{float(m[1]) * 14.503774:.4g} psi", text)
    text = re.sub(r"([\d.]+) mm(?=\W)", lambda m: f"{float(m[1]) / 25.4:.5g} in", text)
    return re.sub(r"([\d.]+) m(?=[\" ])", lambda m: f"{float(m[1]) / 0.3048:.4g} ft", text)


@cache
def inputs_of(text):
    """Return a design without its map, its proof, its flight, and what they give to its pack."""
    from bottlewright.design import complete, parse_design
    from bottlewright.flight.fly import fly
    from bottlewright.make.inputs import collect_inputs
    from bottlewright.proof.prove import prove

    design = complete(parse_design(text.replace('map = "field.geojson"', "")))
    proved, flight = prove(design), fly(design)
    return design, proved, flight, collect_inputs(design, CURLEW, proved, flight, {})


def whole_pack(text):
    """Return the pages of the pack with the numbers of proof and flight, without their findings."""
    design, proved, _, given = inputs_of(text)
    first = first_page(act_of(design, proved), ())
    made = build(design, replace(given, findings=(), first=first, day=day_steps()), NOW)
    return [squeezed(page) for page in pages_of(made, f"pack-{given.paper}.pdf")]


def page_of(pages, title):
    return next(text for text in pages if text.startswith(title))


def test_a_builder_who_writes_psi_and_inches_reads_psi_and_inches_first():
    pages = whole_pack(in_psi_and_inches(CURLEW.read_text(encoding="utf-8")))
    for text in pages[:-1]:  # the last pages quote the sources of what was filled in
        metric = re.findall(r"[\d.]+ bar\b(?! \d)", text)  # "bar 80" is the turning bar of the drawing
        assert len(metric) == len(re.findall(r"[\d.]+ psi \([\d.]+ bar\)", text)), text
    cover, day = pages[0], page_of(pages, "Launch-day checklist")
    for text in (cover, day, page_of(pages, "Flight card"), page_of(pages, "Consent and briefing")):
        assert "65.3 psi (4.5 bar)" in text
    assert "1.5 psi (0.1 bar)" in day
    assert re.search(r"[Pp]roof test[^.]{0,60}\d psi \(", cover)
    assert "psi" in page_of(pages, "Vessel card")
    assert "20 ft (6.1 m)" in cover
    assert "20 ft (6.1 m)" in day
    assert "in (" in page_of(pages, "Parts list")


def test_a_builder_who_writes_bar_and_millimetres_never_reads_psi_inches_or_feet():
    text = " ".join(whole_pack(CURLEW.read_text(encoding="utf-8")))
    assert "4.5 bar" in text
    assert not re.search(r"\bpsi\b|\d in \(|\d ft\b", text)


def test_a_percent_sign_has_a_thin_space_before_it(made):
    text = " ".join(pages_of(made))
    assert "100\u202f%" in text
    assert not re.search(r"\d[ \u00a0]?%", text)


def test_no_sheet_keeps_the_turns_of_phrase_that_a_young_reader_stumbles_over(made):
    text = squeezed(" ".join(pages_of(made))).lower()
    for phrase in ("decides everything", "stands on the", "one column a flight", "one card a vessel", "is told",
                   "degrees", "distance is what counts", "if that is meant"):  # fmt: skip
        assert phrase not in text


def test_the_sheet_of_the_proof_test_goes_along_with_the_pack_and_has_the_verdicts_numbers():
    import bottlewright as bw

    made = bw.read(CURLEW).make()
    document = pymupdf.open(stream=made.files()["pack-a4.pdf"])
    pages = [squeezed(page.get_text()) for page in document]
    sheet = page_of(pages, "Proof test, full of water")
    (failed,) = document[pages.index(sheet)].search_for("failed, at")
    (after,) = document[pages.index(sheet)].search_for("bar after")
    assert after.x0 - failed.x1 > 30.0, "room to write at how many bar it failed"
    assert f"{made.act.proof} on the gauge" in sheet
    assert re.search(r"In the test everyone who helps stays 9\.2 m away", sheet)
    for words in ("Steps", "Measure", "Result", "passed", "Signed"):
        assert words in sheet
    assert re.search(r"Proof test, full of water [. ]*\d+", pages[0])
    assert "hold, watch, let the pressure off" in sheet
