"""The page of the day, as each role sees it: what comes next, what stands against it, and never a word of comfort."""

import re

import pytest
from launch_folder import PEOPLE, Said, kept_day, plan, posted, rocket, served_day

from bottlewright.logbook.day_table import day_table
from bottlewright.project.launch_day import LINK_LOST, day_roles

STATES = [name for name, one in day_table().states.items() if name not in ("retired", "not retrieved")]


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    with served_day(tmp_path_factory.mktemp("page"), roles=(*day_roles(), "")) as both:
        yield both


@pytest.fixture
def at(served, tmp_path):
    return _at(served, tmp_path)


def _at(served, folder, the_plan=None):
    pages, phones = served
    pages.office.launch = kept_day(folder, the_plan)
    for _, guest in phones.values():
        guest.windows = 1
    return pages, phones, Said(pages.office.launch)


def shown(pages, phone=None, page="/launch"):
    pages.office.changed()
    answer = phone[0].get(page) if phone else pages.get(page)
    assert answer.status_code == 200
    return answer.text


def text_of(html):
    return " ".join(re.sub(r"<(script|style).*?</\1>|<[^>]*>", " ", html, flags=re.DOTALL).split())


def forms(html):
    """Return the buttons that may be pressed: what each form says, by the name that it would say it under."""
    found = re.findall(r'<form data-post="/do/day"[^>]* id="([^"]+)".*?<button[^>]*?( disabled)?>', html, re.DOTALL)
    return {name for name, disabled in found if not disabled}


def test_10_stop_is_on_every_screen_of_every_page_for_every_device(at):
    pages, phones, said = at
    for page in ("/launch", "/sketch", "/prove", "/tune", "/fly", "/field", "/make", "/need", "/designs", "/words"):
        for phone in (None, *phones.values()):
            html = (phone[0] if phone else pages).get(page).text
            assert 'data-day="kept"' in html
            assert 'data-post="/do/stop"' in html, page
    for state in ("pressurising", "ready", "launched", "down"):
        said.to(state)
        assert 'data-post="/do/stop"' in shown(pages, phones[""])


@pytest.mark.parametrize("state", STATES)
def test_20_no_screen_says_that_all_is_well_and_each_shows_the_count_of_open_findings(served, tmp_path, state):
    looks = {"a": "The pump is the weakest part", "b": "Nobody weighed it"}
    pages, phones, said = _at(served, tmp_path, plan(rocket("Curlew", "B07", looks=("a", "b"), words=looks)))
    assert "2 open findings" in text_of(shown(pages, phones["pump"]))
    said.to("inspected")
    said.say("override", "charge", rocket="Curlew", gate="look", code="a", adult="MR", reason="looked at it")
    said.say("override", "charge", rocket="Curlew", gate="look", code="b", adult="MR", reason="not needed")
    if state in ("stop", "venting", "misfire wait", "approach allowed"):
        said.to("ready")
        said.say("stop")
        said.to("misfire wait" if state == "approach allowed" else state)
    elif state not in ("waiting", "inspected"):
        said.to(state)
    for role in (*day_roles(), ""):
        words = text_of(shown(pages, phones[role]))
        assert not re.search(r"\b(safe|fine|OK|all clear|go!)\b", words, re.IGNORECASE), words
        assert re.search(r"\d+ open findings?", words)


@pytest.mark.parametrize(("state", "role", "own"), [
    ("waiting", "pump", {"do-inspect"}), ("waiting", "watch", set()), ("waiting", "", set()),
    ("seated", "watch", {"confirm-field", "confirm-sky", "confirm-lines"}), ("seated", "pump", {"do-stand-down"}),
    ("field clear", "charge", {"confirm-charge"}), ("field clear", "record", {"confirm-wind"}),
    ("pressurising", "pump", {"read-pump", "do-leak"}), ("pressurising", "watch", {"read-watch", "do-leak"}),
    ("pressurising", "", set()), ("ready", "pull", {"take", "do-misfire", "do-leak"}), ("launched", "watch", {"do-down",
    "do-misfire"}), ("launched", "", set())])  # fmt: skip
def test_9_each_role_is_asked_for_its_own_steps_and_words_only(at, state, role, own):
    pages, phones, said = at
    said.to(state)
    everybodys = {"read-wind", "one-inside", "thunder", "see-aircraft", "see-darkness", "see-frost", "miss", "note"}
    assert forms(shown(pages, phones[role])) - everybodys == own


@pytest.mark.parametrize(("state", "role", "says"), [
    ("seated", "pump", "Wait for LA, field watch"), ("seated", "watch", "Look: is each of these so?"),
    ("loaded", "pump", "Set it on the launcher"), ("field open", "pump", "Wait for P, recorder"),
    ("field open", "charge", "Wait for P, recorder"), ("field open", "record", "Fetch it, write its card"),
])  # fmt: skip
def test_what_leads_on_stands_first_for_everybody_also_for_whoever_could_do_something_else(at, state, role, says):
    pages, phones, said = at
    said.to(state)
    assert f"<h1>{says}" in shown(pages, phones[role]).replace("\u00a0", " ")


def test_9_no_point_is_ticked_beforehand_and_each_loses_its_tick_after_thirty_seconds(at):
    pages, phones, said = at
    said.to("ready")
    assert 'class="done"' not in shown(pages, phones["watch"])
    said.confirm("field")
    assert shown(pages, phones["watch"]).count('class="done"') == 1
    said.clock.on(31)
    assert 'class="done"' not in shown(pages, phones["watch"])


@pytest.mark.parametrize("who", ["pull", "laptop"])
def test_the_release_is_taken_before_anybody_confirms_and_its_reason_stands_above_the_grey_press(at, who):
    pages, phones, said = at
    said.to("ready")
    html = shown(pages, phones.get(who))
    take, release = html.index('id="take"'), html.index('id="do-launch"')
    assert all(take < found.start() for found in re.finditer(r'aria-label="What \w+ confirm', html))
    assert html.index("No device holds the release yet") < html.index("Take the release on this device") < release
    assert 'id="confirm-' in html or who == "pull"
    assert take < html.index("Not yet: no device holds the release; 5 not confirmed") < release


def test_12_a_wind_over_the_limit_is_said_at_once_above_and_where_it_is_read_and_nobody_is_asked_to_confirm_it(at):
    pages, phones, said = at
    said.to("field clear")
    said.say("wind", mean="9 m/s", gust="9 m/s")
    html = shown(pages, phones["record"])
    header, wind = html.partition('id="verdict"')[2].partition("</section>")[0], html.partition('id="wind"')[2]
    assert "The wind is over the limit of" in text_of(header)
    assert "the wind is over the limit of" in text_of(wind.partition("</section>")[0])
    assert "confirm-wind" not in forms(html)
    assert "No: the wind is over the limit of" in text_of(html)


def test_7_the_allowed_pressure_stands_there_in_bar_and_psi_with_its_basis(at):
    pages, phones, said = at
    for state in ("waiting", "pressurising", "ready"):
        said.to(state)
        words = text_of(shown(pages, phones["pump"]))
        assert "Not over 4.8 bar (69.6 psi)" in words
        assert "its water test" in words
    assert "Planned 4.5 bar (65.3 psi)" in words


def test_13_and_14_clocks_of_pressure_and_waits_run_on_the_page(at):
    pages, phones, said = at
    said.to("ready")
    start, now = said.day.day.rockets["Curlew"].pumped_at, said.day.at()
    assert f'data-since="{start}"' in shown(pages, phones["pump"])
    assert f'data-until="{start + 600.0}"' in shown(pages, phones["pump"])
    said.step("misfire")
    assert f'data-until="{now + 60.0}"' in shown(pages, phones["pump"])
    assert "do-vent" not in forms(shown(pages, phones["pump"]))
    said.clock.on(61)
    assert "do-vent" in forms(shown(pages, phones["pump"]))


def test_17_a_near_miss_stands_on_every_screen_until_the_person_in_charge_signs(at):
    pages, phones, said = at
    said.say("near miss", "record", note="a ball rolled in")
    for role in (*day_roles(), ""):
        assert "a ball rolled in" in text_of(shown(pages, phones[role]))
        assert ("sign-miss" in forms(shown(pages, phones[role]))) == (role == "charge")
    assert "do-inspect" not in forms(shown(pages, phones["pump"]))
    assert posted(pages, "/do/day", phones["charge"], what="near miss signed").status_code == 200
    assert "do-inspect" in forms(shown(pages, phones["pump"]))


def test_1_what_may_be_lifted_and_nothing_else_has_a_form_and_what_was_lifted_is_printed(served, tmp_path):
    words = {"pump-cannot-reach": "The pump can't reach it", "burst": "It may burst", "heavy": "Nobody weighed it"}
    one = rocket("Curlew", "B07", stops=("pump-cannot-reach", "burst"), looks=("heavy",), words=words)
    pages, phones, said = _at(served, tmp_path, plan(one, local={"emergency number": ""}))
    said.to("inspected")
    html = shown(pages, phones["charge"])
    assert re.findall(r'name="code" value="([^"]+)"', html) == ["pump-cannot-reach", "heavy", "emergency number"]
    assert "lift-1" not in shown(pages, phones["pump"])
    given = {"what": "override", "rocket": "Curlew", "gate": "finding", "adult": "MR", "reason": "less will do"}
    assert posted(pages, "/do/day", phones["charge"], code="burst", **given).status_code == 422
    assert posted(pages, "/do/day", phones["charge"], code="pump-cannot-reach", **given).status_code == 200
    for role in (*day_roles(), ""):
        assert "MR : less will do" in text_of(shown(pages, phones[role]))


def test_19_the_days_summed_chance_stands_there_with_its_basis(at):
    pages, phones, _ = at
    words = text_of(shown(pages, phones[""]))
    assert "chance that a bottle bursts" in words
    assert "0.4 %" in words
    assert "0.08 %" in words
    assert "published burst tests" in words


def test_a_stop_is_told_on_every_page_and_in_the_air_it_means_heads_up(at):
    pages, phones, said = at
    said.to("launched")
    posted(pages, "/do/stop", phones[""], why="a child ran in")
    assert "Heads up" in text_of(shown(pages, phones["watch"]))
    for page in ("/launch", "/prove", "/words"):
        assert "a child ran in" in text_of(shown(pages, phones["record"], page))


def watched(pages, said, seconds=1):
    said.clock.on(seconds)
    pages.office.day_watch.look()


@pytest.mark.parametrize("role", list(day_roles()))
def test_18_a_device_that_is_lost_stops_what_is_under_pressure_and_advances_nothing(at, role):
    pages, phones, said = at
    said.to("ready")
    watched(pages, said)
    assert said.state() == "ready"
    phones[role][1].windows, phones[role][1].left = 0, -1e9
    watched(pages, said)
    assert said.state() == "stop"
    assert "not connected" in said.day.day.stop
    assert "not connected" in text_of(shown(pages))
    phones[role][1].windows = 1
    watched(pages, said)
    assert not said.day.day.lost
    assert said.state() == "stop", "coming back goes on with nothing"


def test_18_a_page_that_loads_itself_again_is_not_lost(at):
    import time

    pages, phones, said = at
    said.to("ready")
    phones["pump"][1].windows, phones["pump"][1].left = 0, time.monotonic() - LINK_LOST + 2.0
    watched(pages, said)
    assert said.state() == "ready"


def test_a_window_that_is_open_is_a_device_that_is_there(at):
    _, phones, _ = at
    phone, guest = phones["pump"]
    guest.windows = 0
    for page in ("launch", "here", "prove"):
        with phone.window(page) as window:
            window.receive_json()
            assert guest.windows == 1
        assert guest.windows == 0


def test_12_and_13_what_grows_old_under_pressure_stops_by_itself(at):
    pages, _, said = at
    said.to("ready")
    watched(pages, said, 301)
    assert said.state() == "stop"
    assert "five minutes" in said.day.day.stop


def test_18_no_role_changes_hands_while_a_rocket_may_be_under_pressure(at):
    pages, phones, said = at
    said.to("ready")
    guest = phones[""][1]
    refused = posted(pages, "/people/give", key=guest.key, role="pump", adult="")
    assert refused.status_code == 422
    assert "under pressure" in refused.text
    assert (guest.role, said.day.day.roles["pump"].name) == ("look on", PEOPLE["pump"][0])


def test_who_joins_with_a_role_has_it_on_the_day(at):
    pages, phones, said = at
    guest = phones[""][1]
    assert posted(pages, "/people/give", key=guest.key, role="record").status_code == 200
    assert said.day.day.roles["record"].name == "ZZ"
    assert posted(pages, "/people/give", key=guest.key, role="look on").status_code == 200


def test_windows_hear_of_a_stop_without_loading_anything(at):
    pages, phones, _ = at
    with phones["record"][0].window("prove") as window:
        assert window.receive_json()["stop"] == ""
        posted(pages, "/do/stop", phones["pump"], why="smoke")
        message = window.receive_json()
        assert (message["day"], message["stop"]) == (True, "smoke")
