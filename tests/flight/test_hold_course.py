"""The chart of a nose's hold: the pull of a nose that nothing draws off, and when the drawn flights let go."""

from pathlib import Path

import numpy as np
import pytest

from bottlewright.design import complete, read_design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.flight.fly import fly
from bottlewright.flight.hold_course import hold_picture, never_let_out
from bottlewright.flight.hold_window import hold_window
from bottlewright.flight.outcomes import FLOWN, Outcome, came_out, releases
from bottlewright.flight.release_words import came_out_words, let_out_words, share_words, way_words

EXAMPLES = Path(__file__).parents[2] / "examples"


def example(name, *overrides):
    return complete(read_design(EXAMPLES / name / "rocket.toml", overrides))


@pytest.fixture(scope="module")
def lapwing():
    return example("lapwing")


def texts(sheet):
    return sheet.svg("", "", "hold")


def test_the_pull_is_known_from_the_end_of_the_push_to_the_ground(lapwing):
    stuck = never_let_out(lapwing)
    time, pull = stuck.series["time_s"], stuck.series["joint_pull_N"]
    assert np.isnan(stuck.summary["canopy_out_time_s"])
    known = time[np.isfinite(pull)]
    assert known[0] == pytest.approx(stuck.summary["gas_out_time_s"], abs=0.02)
    assert known[-1] == pytest.approx(stuck.summary["flight_time_s"])


def test_a_nose_lets_go_where_its_pull_first_passes_its_hold(lapwing):
    stuck, let_go = never_let_out(lapwing), fly(lapwing).summary["trip_time_s"]
    time, pull = stuck.series["time_s"], stuck.series["joint_pull_N"]
    first = time[np.flatnonzero(np.nan_to_num(pull, nan=-1.0) > lapwing.recovery.mechanism.hold.value)[0]]
    assert let_go == pytest.approx(first, abs=0.02)


def test_the_chart_says_how_many_flights_come_to_what_and_where_the_moments_are(lapwing):
    counted, picture = came_out(lapwing), hold_picture(lapwing, fly(lapwing))
    for sheet in (picture.figure, picture.narrow):
        said = texts(sheet)
        for words in ("push ends", "top", "turns over", "your hold", f"never: {counted[Outcome.NEVER]} of {FLOWN}"):
            assert words in said
    assert f"in time in {counted[Outcome.IN_TIME]} of {FLOWN} flights" in picture.alt
    assert sum(counted.values()) == FLOWN == len(releases(lapwing).open_time)


def test_the_window_of_nine_in_ten_is_on_the_chart_once_it_is_worked_out():
    curlew = example("curlew")
    flight, window = fly(curlew), hold_window(curlew)
    assert "nine of ten" not in texts(hold_picture(curlew, flight).figure)
    assert "nine of ten" in texts(hold_picture(curlew, flight, window).figure)


def test_a_door_has_no_chart_of_a_hold():
    redshank = example("redshank")
    assert hold_picture(redshank, fly(redshank)) is None


def test_who_thinks_in_ounces_reads_ounces():
    pounds = example("lapwing", *(f'{key}="{says}"' for key, says in (
        ("nose.mass", "0.5 oz"), ("mass.0.mass", "2.5 oz"), ("recovery.mechanism.nose_mass", "3 oz"),
        ("recovery.mechanism.hold", "0.01 lbf ± 0.003 lbf"), ("recovery.line_strength", "13 lbf"))))  # fmt: skip
    assert unit_habit(pounds).pounds
    assert "oz on a scale" in texts(hold_picture(pounds, fly(pounds)).figure)


def test_what_the_canopy_comes_to_is_said_in_plain_words(lapwing):
    said, counted = came_out_words(lapwing), came_out(lapwing)
    assert said.startswith(f"The parachute comes out in time in {counted[Outcome.IN_TIME]} of {FLOWN} flights.")
    assert f"never in {counted[Outcome.NEVER]}" in said
    assert share_words(dict.fromkeys(Outcome, 0.0) | {Outcome.NEVER: 1.0}) == "0 in time, 100 never"


@pytest.mark.parametrize(("name", "sets", "says"), [
    ("curlew", (), "a spring or rubber pushes off. A barometer lets it go 0.5 m under its highest reading."),
    ("lapwing", (), "a loose nose, which slides off by itself once more than 0.06 N pulls at it."),
    ("redshank", (), "a door in the side. A wind-up timer lets it go 2.9 s after launch."),
    ("redshank", ('recovery.mechanism.starts="end of push"',), "lets it go 2.9 s after drag was more than thrust."),
    ("sanderling", (), "it frees a door in the side as the airspeed falls below 7 m/s."),
    ("dunlin", (), "a latch. A servo timer lets it go 2.4 s after launch."),
])  # fmt: skip
def test_what_its_release_really_is_stands_before_its_odds(name, sets, says):
    assert way_words(example(name, *sets)).endswith(says)


def test_curlew_says_what_its_release_is_and_its_odds_in_one_breath():
    curlew = example("curlew")
    said = let_out_words(curlew)
    assert said == f"{way_words(curlew)} {came_out_words(curlew)}"
    assert f"in time in {came_out(curlew)[Outcome.IN_TIME]} of {FLOWN} flights." in said
