"""What can go wrong with what lets the canopy out is found, each with its cure; the verdict carries it."""

import numpy as np
import pytest

from bottlewright.design import complete, parse_design
from bottlewright.findings import Level
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.canopy_links import canopy_holds
from bottlewright.flight.fly import fly
from bottlewright.flight.outcomes import Outcome, middle_hold_window, outcomes
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.results import findings_of
from bottlewright.verdict.judgement import judge_alone

ROCKET = """
[vessel]
bottle = "carbonated-1500"
[nozzle]
bore = "9 mm"
[nose]
mass = "15 g"
length = "240 mm"
[fins]
span = "140 mm"
[[mass]]
name = "clay"
material = "modelling-clay"
mass = "50 g"
position = "40 mm"
[launcher]
guide_length = "1.5 m"
tilt = "3 deg"
[charge]
pressure = "4.5 bar"
[weather]
wind_speed = "2 m/s"
[recovery]
kind = "parachute"
diameter = "500 mm"
delay = "0.1 s ± 0.1 s"
{recovery}
[recovery.mechanism]
"""
PIECE = 'nose_mass = "55 g"\nnose_centre = "70 mm"\n'
NOSE = PIECE + 'cavity = "vented"\nsuction = "-0.1"\n'
DOOR = 'way = "side door"\n'


def design_of(more, recovery=""):
    return complete(parse_design(ROCKET.format(recovery=recovery) + more))


def found(more, recovery=""):
    design = design_of(more, recovery)
    return {one.code: one for one in findings_of(design, fly(design))}


@pytest.mark.parametrize("moment", ["at the top", "after launch"])
def test_a_parachute_that_nobody_said_how_it_comes_out_is_not_checked(moment):
    plain = complete(parse_design(ROCKET.format(recovery=f'release = "{moment}"').replace("[recovery.mechanism]", "")
                                  .replace("0.1 s ± 0.1 s", "3.6 s ± 0.1 s")))
    (said,) = [one for one in findings_of(plain, fly(plain)) if one.code == "release-not-described"]
    assert said.level is Level.UNCHECKED
    assert "may stay in" in said.found
    assert any("what makes sure that the parachute comes out" in text for text in judge_alone(plain).unchecked)
    assert "release-not-described" not in found(DOOR + 'trip = "servo timer"\ntime = "3.6 s ± 0.1 s"\n')


def test_a_timer_past_the_top_has_nothing_against_it():
    codes = found(DOOR + 'trip = "servo timer"\ntime = "3.6 s ± 0.1 s"\n')
    assert not {code for code in codes if code.startswith(("opens", "switch", "hold", "canopy", "mechanism", "spring"))}


@pytest.mark.parametrize(
    ("more", "code", "level", "cure"),
    [
        (DOOR + 'trip = "tilt ball"\n', "switch-can-not-work", Level.STOP, "Take a timer"),
        (DOOR + 'trip = "tilt ball"\n', "opens-too-fast", Level.STOP, "trip later"),
        (DOOR + 'trip = "free fall"\n', "switch-feels-speed", Level.LOOK, "Take a timer"),
        (DOOR + 'trip = "wind-up timer"\ntime = "0.1 s"\n', "opens-in-push", Level.STOP, "Set the timer"),
        (NOSE + 'hold = "5 N ± 1 N"\n', "hold-outside-window", Level.STOP, "side door"),
        (NOSE + 'hold = "5 N ± 1 N"\n', "opens-too-late", Level.STOP, "Change what lets it out"),
        (NOSE + 'hold = "0.01 N ± 0.01 N"\n', "opens-too-fast", Level.STOP, "Hold the nose more firmly"),
        (DOOR + 'trip = "servo timer"\ntime = "12 s"\n', "opens-too-late", Level.STOP, "Change what lets it out"),
        (DOOR + 'trip = "servo timer"\ntime = "12 s"\n', "never-lets-go", Level.STOP, "shorter time"),
        ('way = "air flap"\nairspeed = "38 m/s"\n', "never-lets-go", Level.STOP, "larger flap"),
        (NOSE + 'hold = "5 N ± 1 N"\n', "never-lets-go", Level.STOP, "side door"),
        (NOSE + 'way = "sprung nose"\npush = "3 N"\npush_stroke = "40 mm"\n', "opens-on-launcher", Level.STOP, "latch"),
    ],
)
def test_what_goes_wrong_is_said_with_its_cure(more, code, level, cure):
    one = found(more)[code]
    assert one.level is level
    assert cure in one.remedy


def test_a_flap_whose_sizes_say_another_airspeed_is_told():
    sizes = 'flap_area = "53 cm²"\nflap_arm = "40 mm"\nflap_band = "1 N"\nflap_band_arm = "10 mm"\n'
    one = found('way = "air flap"\nairspeed = "12 m/s"\n' + sizes)["flap-sizes-disagree"]
    assert one.level is Level.LOOK
    assert "12 m/s" in one.found
    assert "flap-sizes-disagree" not in found('way = "air flap"\nairspeed = "8.2 m/s"\n' + sizes)
    assert "flap-sizes-disagree" not in found('way = "air flap"\n' + sizes)


def test_lines_that_tear_are_told_with_what_they_hold():
    one = found(DOOR + 'trip = "tilt ball"\n', 'line_strength = "4 N ± 1 N"\n')["canopy-tears"]
    assert one.level is Level.STOP
    assert "overhand knot" in one.found
    assert "canopy-tears" not in found(DOOR + 'trip = "servo timer"\ntime = "3.5 s"\n')


def test_a_spring_near_a_face_is_told_and_a_weak_one_is_not():
    text = NOSE + 'way = "sprung nose"\ntrip = "servo timer"\ntime = "3.5 s"\npush_stroke = "40 mm"\n'
    assert "goggles" in found(text + 'push = "5 N"\n')["spring-near-a-face"].remedy
    assert "spring-near-a-face" not in found(text + 'push = "2 N"\n')


def test_a_mechanism_that_is_described_and_not_flown_is_told():
    one = found(DOOR + 'trip = "gyro"\n', 'release = "at the top"\n')["mechanism-not-flown"]
    assert "apogee" in one.found


def test_the_window_of_a_hold_is_what_the_flights_want():
    design = design_of(NOSE)
    window = middle_hold_window(design)
    assert window is not None
    low, high = window
    assert 0.0 < low < high < 1.0
    batch = parameters_of(design, 4)
    batch["release_hold"] = [0.9 * low, 1.02 * low, 0.98 * high, 1.1 * high]
    judged = outcomes(design, batch, fly_batch(batch))
    assert list(judged[1:3]) == [Outcome.IN_TIME] * 2
    assert judged[0] == Outcome.EARLY
    assert judged[3] in (Outcome.LATE, Outcome.NEVER)


def test_holes_behind_the_nose_hold_it_while_it_is_fast_and_open_the_window_downwards():
    assert middle_hold_window(design_of(PIECE)) is None
    low, high = middle_hold_window(design_of(NOSE))
    vented, above = middle_hold_window(design_of(PIECE + 'cavity = "vented"\nsuction = "-0.3"\n'))
    assert vented == 0.0 < low
    assert above == pytest.approx(high, rel=0.2)


def test_a_nose_that_no_hold_lets_off_in_time_is_a_stop():
    one = found(PIECE)["hold-has-no-window"]
    assert one.level is Level.STOP
    assert "side door" in one.remedy


def test_what_lines_hold_is_their_knots_share_unevenly_drawn():
    design = design_of(DOOR + 'trip = "gyro"\n', 'line_strength = "60 N ± 0 N"\nline_knot = "anchor bend"\nlines = 6\n')
    # 60 N · 0.70 · 6 · cos 19.573° / (1.5 · 1.7), lines as long as the canopy is wide.
    assert canopy_holds(design).value == pytest.approx(60 * 0.70 * 6 * 0.942218 / 2.55, rel=1e-5)
    assert canopy_holds(complete(parse_design(ROCKET.format(recovery="").replace("[recovery.mechanism]", "")))) is None


def test_outcomes_are_the_same_whatever_part_of_a_batch_is_looked_at():
    design = design_of(NOSE)
    batch = sample_batch(design, 0, 60, seed=4)
    flown = fly_batch(batch)
    whole = outcomes(design, batch, flown)
    assert np.array_equal(whole[20:], outcomes(design, batch[20:], flown[20:]))
    assert {Outcome.EARLY, Outcome.NEVER} <= set(whole)


def test_the_verdict_carries_it():
    verdict = judge_alone(design_of(DOOR + 'trip = "tilt ball"\n'))
    assert "switch-can-not-work" in {one.code for one in verdict.findings}


def test_a_nose_that_comes_off_in_the_middle_flight_and_not_in_a_third_of_all_is_told():
    text = PIECE + 'cavity = "vented"\nsuction = "-0.3 ± 0.2"\nhold = "0.06 N ± 0.02 N"\n'
    codes = found(text)
    assert "hold-outside-window" not in codes
    one = codes["release-often-wrong"]
    assert "never in" in one.found
    assert "of 120 flights" in one.found
    assert "side door" in one.remedy
