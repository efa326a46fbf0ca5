"""The printed sheets speak of what the design has: a loose nose has no pin, no rubber and no door to be warned of."""

import re
from pathlib import Path

import pytest
from test_letting_out import DOOR, FLAP, HALVES, NOW, PARTS, SEAT, SPRUNG
from workshop_designs import design_of

from bottlewright.design import complete, read_design
from bottlewright.make.build import Given, workshop_of
from bottlewright.make.pack.content import Sheets, pack_data
from bottlewright.make.patterns.nesting import PAPERS
from bottlewright.make.plan.steps import build_steps
from bottlewright.make.sheets.matrix import usual_matrix
from bottlewright.make.template_values import template_values

UNLATCHED = SPRUNG.replace('trip = "barometer"\n', "").replace('"2.4 N"', '"0.5 N"').replace('"1.2 N"', '"0.3 N"')
STARTED = DOOR + 'starts = "end of push"\n'
TUMBLES = SEAT.partition("[recovery]")[0] + (
    '[[mass]]\nname = "shot"\nmass = "60 g"\nposition = "60 mm"\n[recovery]\nkind = "tumble"\nballast = "shot"\n'
    '[charge]\npressure = "3 bar"\n[recovery.mechanism]\nway = "latch"\ntrip = "servo timer"\ntime = "3 s"\n'
)
NEVER = {  # what each way has nothing of
    "loose nose": (SEAT, r"\bpins?\b|rubber|\bdoor|\bband\b|\blatch|servo|\btimer|\bflap|barometer|gyro|halves"),
    "rubber, no latch": (UNLATCHED, r"latch (?:go|on\b|off)|the latch|\bdoor|\bband\b|servo|\btimer|\bflap|halves"),
    "sprung nose": (SPRUNG, r"\bdoor|\bband\b|\btimer|\bflap|gyro|halves"),
    "side door": (DOOR, r"\blatch|servo|\bflap|barometer|gyro|halves|over the nose"),
    "timer from a latch": (STARTED, r"servo|\bflap|barometer|gyro|halves|over the nose|start pin"),
    "air flap": (FLAP, r"\blatch|servo|\btimer|barometer|gyro|halves|over the nose"),
    "two halves": (HALVES, r"\bdoor|\btimer|\bflap|barometer|over the nose"),
    "two parts": (PARTS, r"\bdoor|\btimer|\bflap|barometer|over the nose"),
    "ballast": (TUMBLES, r"\bdoor|\bband\b|rubber|\bflap|barometer|gyro|halves|canopy|parachute|over the nose"),
}
SHEETS = ("ground", "packing", "steps", "day", "misfire", "briefing")


def sentences(node):
    if isinstance(node, str):
        yield node
    elif isinstance(node, dict):
        for key, one in node.items():
            yield from () if key in ("tools", "uses") else sentences(one)
    elif isinstance(node, list | tuple):
        for one in node:
            yield from sentences(one)


def said_of(text):
    made = workshop_of(design_of(text) if isinstance(text, str) else text, Given(), NOW)
    values = template_values(made.spec, {})
    steps = build_steps(made.spec, values)
    sheets = Sheets(made.spec, {}, (), "", PAPERS["a4"])
    data = pack_data(sheets, values, steps, made.listed, made.plan, made.patterns, usual_matrix())
    return [text for name in SHEETS for text in sentences(data[name])]


@pytest.mark.parametrize("way", NEVER)
def test_sheets_do_not_speak_of_what_this_release_has_not(way):
    text, never = NEVER[way]
    said = said_of(text)
    assert [one for one in said if re.search(never, one, re.IGNORECASE)] == []
    assert any("Goggles on" in one for one in said)


def test_a_timer_that_a_latch_starts_is_tried_on_foam_and_has_no_start_pin():
    said = " ".join(said_of(STARTED))
    assert "more than 3 g moves aft, for 0.05 s at the least and over 10 mm" in said
    assert "Inertia latch, dropped onto foam" in said
    assert "Inertia latch" not in " ".join(said_of(DOOR))


def test_rubber_without_a_latch_is_held_by_its_pin_alone():
    said = " ".join(said_of(UNLATCHED))
    assert "no latch holds it" in said
    assert "Fit rubber or spring and the arming pin" in said
    assert "Nose on, rubber off" in said


def test_a_rotor_has_no_pattern_and_the_sheet_says_why():
    said = said_of(SEAT.replace('kind = "parachute"\ndiameter = "500 mm"\nmaterial = "polyethylene-film"',
                                'kind = "rotor"\ndiameter = "600 mm"\nmass = "25 g"\nlines = 3'))  # fmt: skip
    step = next(one for one in said if one.startswith("Make 3 blades"))
    assert "reach 300 mm from the axis to the tip" in step
    assert "There is no pattern of a blade: the design says neither how wide it is nor how it is hinged" in step
    assert not any("Fold and pack" in one for one in said)


def test_ballast_that_shifts_has_its_tube_and_stop_among_the_steps():
    assert any("shot slides" in one and "There is no pattern of it" in one for one in said_of(TUMBLES))


def test_the_camera_of_an_example_asks_on_the_sheet_for_a_yes_of_whoever_is_filmed():
    file = Path(__file__).parents[2] / "examples" / "redshank" / "rocket.toml"
    said = said_of(complete(read_design(file)))
    asks = "May be filmed from the rocket: yes / no; the film is shown to: nobody / this group / anybody"
    assert said.count(asks) == 1
    assert any("Nobody is filmed without a yes below" in one for one in said)
    assert any("lithium cell" in one for one in said)
    assert asks not in said_of(complete(read_design(file, ["mass.2="])))
