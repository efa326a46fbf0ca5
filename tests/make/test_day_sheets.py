"""The sheets of the day: what is armed is armed last, and whoever is filmed has said yes."""

import pytest
from workshop_designs import DABCHICK

from bottlewright.design import complete, parse_design
from bottlewright.logbook.day_plan import own_points
from bottlewright.logbook.paper import day_steps
from bottlewright.make.sheets.launch_day import briefing, launch_day, misfire
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values

DOOR = """
[recovery.mechanism]
way = "side door"
trip = "{trip}"
{time}
"""
CAMERA = """
[[mass]]
name = "camera"
mass = "25 g"
position = "90 mm"
[mass.payload]
view = "70 deg"
cell = "lithium"
"""


def sheets(more=""):
    spec = specify(complete(parse_design(DABCHICK + more)))
    words = template_values(spec)
    return launch_day(spec, words, day_steps()), misfire(spec, words, day_steps()), briefing(spec, words)


def lines_of(day, title="Each launch"):
    return [(who, what, hold) for phase in day["phases"] if phase["title"] == title
            for who, what, hold in phase["lines"]]  # fmt: skip


def own_words(more):
    return own_points(complete(parse_design(DABCHICK + more)))


@pytest.mark.parametrize(
    ("trip", "time", "first"),
    [("wind-up timer", 'time = "3 s ± 0.2 s"', "Wind the timer up and set it to 3 s."),
     ("barometer", "", "Switch the barometer on"),
     ("free fall", "", "Switch the acceleration board on")],
)  # fmt: skip
def test_what_is_armed_is_armed_with_the_release_locked_and_before_the_bleed_valve_is_closed(trip, time, first):
    day, stuck, _ = sheets(DOOR.format(trip=trip, time=time))
    said = [what for _, what, _ in lines_of(day)]
    arm = next(number for number, what in enumerate(said) if "flagged pin is drawn last" in what)
    assert said[arm].startswith(first)
    assert said[arm] == own_words(DOOR.format(trip=trip, time=time))["armed"], "paper and screen say the same"
    for word in ("goggles are on", "nobody's face is over the nose or before the door:"):
        assert word in said[arm]
    assert lines_of(day)[arm][2], "nobody goes on before the person in charge says so"
    assert any("lock the release" in what for what in said[:arm])
    assert any("closes the bleed valve" in what for what in said[arm:])
    assert not any("closes the bleed valve" in what for what in said[:arm])
    assert any("pin goes back in before anyone lifts the rocket" in what for what in said[arm:])
    assert any("puts the flagged pin of the side door back in" in step for step in stuck["steps"])


def test_a_rocket_without_a_door_is_told_of_none_on_checklist_and_screen():
    nose = '"sprung nose"\npush = "3 N"\npush_stroke = "40 mm"'
    more = DOOR.format(trip="barometer", time="").replace('"side door"', nose)
    words = own_words(more)["armed"]
    assert words.startswith("Switch the barometer on and wait for its own sign that it is ready. The release is locked")
    assert "door" not in words
    assert words in [what for _, what, _ in lines_of(sheets(more)[0])]
    assert own_words("") == {}


@pytest.mark.parametrize("more", ["", '[recovery.mechanism]\nway = "loose nose"\n'])
def test_what_opens_by_itself_has_no_arming_step(more):
    day, stuck, _ = sheets(more)
    assert "flagged pin" not in str(lines_of(day))
    assert "flagged pin" not in str(stuck["steps"])


def test_a_camera_brings_the_consent_line_the_mount_and_the_cell_to_the_sheets():
    day, _, consent = sheets(CAMERA)
    assert any("films the ground and whoever stands there, children too" in line for line in consent["what"])
    assert any(line.startswith("May be filmed from the rocket: yes / no") for line in consent["sign"])
    before = lines_of(day, "Before you leave home")
    assert [hold for _, what, hold in before if "may film has agreed" in what] == [True]
    for word in ("Draw it off its mount with a scale", "while it charges, at 0 to 40 °C", "lens port dry: camera"):
        assert any(word in what for _, what, _ in before), word
    assert any("hot, bent or wet it stays outdoors" in what for _, what, _ in lines_of(day))


def test_without_a_camera_nobody_is_asked_to_be_filmed():
    day, _, consent = sheets()
    assert "film" not in str(consent)
    assert "lithium" not in str(day)
