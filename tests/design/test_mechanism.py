"""What lets the canopy out, as the design file says it: old files mean the same, and what can't be is refused."""

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.design.errors import DesignError

ROCKET = """
[vessel]
bottle = "carbonated-1500"
[nose]
mass = "15 g"
[[mass]]
name = "clay"
material = "modelling-clay"
mass = "42 g"
position = "40 mm"
[[mass]]
name = "tape"
material = "tape"
mass = "4 g"
position = "400 mm"
[charge]
pressure = "4 bar"
[recovery]
kind = "parachute"
diameter = "500 mm"
"""


def recovery(more):
    return complete(parse_design(ROCKET + more)).recovery


@pytest.mark.parametrize(
    ("said", "meant"), [("apogee", "apogee"), ("at the top", "apogee"), ("never", "never"), ("after launch", "delay")]
)
def test_plain_words_mean_what_the_old_ones_meant(said, meant):
    assert recovery(f'release = "{said}"\ndelay = "3 s"\n').release == meant


def test_a_file_without_a_mechanism_is_let_out_at_the_top_as_ever():
    assert recovery("").release == "apogee"
    assert recovery("").mechanism is None
    assert recovery("").line_strength is None


def test_a_mechanism_that_is_described_is_flown_unless_the_file_says_otherwise():
    assert recovery("[recovery.mechanism]\n").release == "mechanism"
    assert recovery('release = "at the top"\n[recovery.mechanism]\n').release == "apogee"


def test_what_lies_ahead_of_the_seat_comes_off_with_the_nose():
    mechanism = recovery("[recovery.mechanism]\n").mechanism
    canopy = complete(parse_design(ROCKET)).recovery.mass
    assert mechanism.nose_mass.value == pytest.approx(0.015 + 0.042 + canopy.value)
    assert mechanism.seat.value == pytest.approx(0.091)
    assert mechanism.shoulder.value == pytest.approx(0.35 * 0.091)
    assert mechanism.hold.value == pytest.approx(0.3)


def test_every_value_of_a_mechanism_says_what_it_stands_on():
    mechanism = recovery('[recovery.mechanism]\ncavity = "vented"\n').mechanism
    for name in ("hold", "shoulder", "seat", "nose_mass", "nose_centre", "suction", "vent_bore", "cavity_volume"):
        assert getattr(mechanism, name).source
    assert mechanism.suction.value == pytest.approx(-0.3)
    assert mechanism.vents == 2


def test_a_loose_nose_is_filled_in_with_nothing_that_it_does_not_have():
    mechanism = recovery("[recovery.mechanism]\n").mechanism
    others = "angle drop lag port felt airspeed start push push_stroke act latch_time cavity_volume"
    for name in others.split():
        assert getattr(mechanism, name) is None, name
    timed = recovery('[recovery.mechanism]\nway = "latch"\ntrip = "servo timer"\ntime = "3 s"\n').mechanism
    assert timed.act.value > 0.0
    assert (timed.start.value, timed.angle, timed.hold) == (0.0, None, None)


@pytest.mark.parametrize(
    ("more", "path", "says"),
    [
        ('release = "by its mechanism"\n', "recovery.mechanism", "is missing"),
        ('[recovery.mechanism]\nway = "side door"\n', "recovery.mechanism.trip", "does not open by itself"),
        ('[recovery.mechanism]\ntrip = "gyro"\n', "recovery.mechanism.trip", "lets go by itself"),
        ('[recovery.mechanism]\nway = "sprung nose"\n', "recovery.mechanism.push", "is missing"),
        ('[recovery.mechanism]\nway = "side door"\ntrip = "servo timer"\n', "recovery.mechanism.time", "is missing"),
        ("[recovery.mechanism.tests]\ntries = 3\nstuck = 2\nearly = 2\n", "recovery.mechanism.tests.tries", "fewer"),
        ('[recovery.mechanism]\nhold = "-1 N"\n', "recovery.mechanism.hold", "has to be from"),
    ],
)  # fmt: skip
def test_what_can_not_be_is_told_at_its_key(more, path, says):
    with pytest.raises(DesignError) as error:
        recovery(more)
    assert any(path in problem.path and says in f"{problem}" for problem in error.value.problems)


def test_a_rocket_without_a_nose_has_none_to_lose():
    text = ROCKET.replace('[nose]\nmass = "15 g"\n', "") + "[recovery.mechanism]\n"
    with pytest.raises(DesignError, match="no nose to come off"):
        complete(parse_design(text))


def test_counted_tests_are_read():
    counted = '[recovery.mechanism.tests]\ntries = 24\nstuck = 1\nconfirmed_by = "M. Ashgrove"\n'
    tests = recovery(counted).mechanism.tests
    assert (tests.tries, tests.stuck, tests.early, tests.confirmed_by) == (24, 1, 0, "M. Ashgrove")


def test_a_rocket_with_nothing_to_let_out_keeps_its_mechanism_for_later():
    text = ROCKET.replace('kind = "parachute"\ndiameter = "500 mm"', 'kind = "none"')
    bare = complete(parse_design(text + 'release = "by its mechanism"\n[recovery.mechanism]\nway = "side door"\n'))
    assert bare.recovery.kind == "none"
    assert bare.recovery.mechanism.way == "side door"
