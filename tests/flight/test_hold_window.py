"""The window of the hold is the one that the flights want: inside it nine of ten open in time, outside they don't."""

from pathlib import Path

import numpy as np
import pytest

from bottlewright.design import complete, read_design
from bottlewright.design.mechanism import Mechanism
from bottlewright.design.unit_habit import INCH_POUND, METRIC
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.hold_window import hold_window, hold_words, window_words
from bottlewright.flight.outcomes import FLOWN, Outcome, drawn_flights, middle_hold_window, outcomes
from bottlewright.flight.release_ways import let_out_by

EXAMPLES = Path(__file__).parents[2] / "examples"


def example(name):
    return complete(read_design(EXAMPLES / name / "rocket.toml"))


@pytest.fixture(scope="module")
def curlew():
    return example("curlew")


def in_time(design, hold, first=0):
    batch = drawn_flights(design, first + FLOWN)[first:]
    batch["release_hold"] = hold
    return np.mean(outcomes(design, batch, fly_batch(batch)) == Outcome.IN_TIME)


def test_flights_with_a_hold_inside_the_window_open_in_time_and_those_outside_do_not(curlew):
    window = hold_window(curlew)
    for hold in np.geomspace(max(window.low, 0.01), window.high, 5):
        assert in_time(curlew, hold) >= 0.9
    assert in_time(curlew, 1.02 * window.high) < 0.9
    assert in_time(curlew, 2.0 * window.high) < 0.1


def test_flights_that_the_window_was_not_made_of_agree_with_it(curlew):
    window = hold_window(curlew)
    assert in_time(curlew, 0.8 * window.high, first=FLOWN) > 0.85
    assert in_time(curlew, 1.3 * window.high, first=FLOWN) < 0.9


def test_a_sprung_nose_may_sit_as_firmly_as_its_spring_overcomes(curlew):
    window, mechanism = hold_window(curlew), curlew.recovery.mechanism
    assert window.low == 0.0, "its latch holds it"
    assert mechanism.push_end.value < window.high < mechanism.push.value + 1.0
    assert window.low <= mechanism.hold.value <= window.high


def test_where_no_hold_does_the_best_is_told_with_how_many_open():
    design = example("lapwing")
    window = hold_window(design)
    assert (window.low, window.high) == (None, None)
    assert window.best_share < 0.9
    assert in_time(design, window.best) == pytest.approx(window.best_share)
    assert window.middle == middle_hold_window(design)
    said = window_words(window, METRIC)
    assert said.startswith("No hold lets nine of ten flights open in time.")
    assert f"{round(window.best_share * FLOWN)} of {FLOWN} open in time with exactly that hold." in said
    assert "with its ±" in said, "counts beside it are with the ± of the hand"


def test_a_door_has_no_window_of_a_hold():
    assert hold_window(example("redshank")) is None
    assert hold_window(let_out_by(example("lapwing"), Mechanism(way="air flap"))) is None


def test_a_hold_is_told_as_a_scale_shows_it():
    # 0.294 N is the weight of 30 g.
    assert hold_words(0.03 * 9.80665, METRIC) == "0.29 N, 30 g on a scale"
    assert hold_words(0.0283495 * 9.80665, INCH_POUND).endswith("1 oz on a scale")


@pytest.mark.parametrize("name", ["curlew", "lapwing"])
def test_flights_that_share_their_push_are_those_flown_one_by_one_to_the_last_bit(name):
    batch = drawn_flights(example(name), 24)
    batch["measured_mass"][3] = np.nan  # no rocket: it is refused with every hold
    holds = np.array([0.02, 0.7, 2.0, 6.0, 25.0])
    together = fly_batch(batch, holds=holds).reshape(len(batch), len(holds))
    assert len(np.unique(together["canopy_out_time_s"])) > 12
    for k, hold in enumerate(holds):
        batch["release_hold"] = hold
        assert together[:, k].tobytes() == fly_batch(batch).tobytes()
