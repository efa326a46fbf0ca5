"""Ways of letting a canopy out, compared on one rocket, and the band that a timer may be set in."""

from pathlib import Path

import pytest

from bottlewright.design import complete, read_design
from bottlewright.design.mechanism import Mechanism
from bottlewright.findings import Level
from bottlewright.flight.fly import fly
from bottlewright.flight.outcomes import Outcome, time_window
from bottlewright.flight.release_ways import compare_ways, let_out_by
from bottlewright.flight.results import findings_of

EXAMPLES = Path(__file__).parents[2] / "examples"


def example(name, *overrides):
    return complete(read_design(EXAMPLES / name / "rocket.toml", overrides))


@pytest.mark.parametrize(("name", "way"), [
    ("curlew", "sprung nose"), ("redshank", "side door"), ("sanderling", "air flap"), ("lapwing", "loose nose"),
])  # fmt: skip
def test_each_example_is_let_out_by_what_its_file_says(name, way):
    design = example(name)
    assert design.recovery.mechanism.way == way
    summary = fly(design).summary
    assert summary["gas_out_time_s"] < summary["trip_time_s"] < summary["let_go_time_s"] < summary["canopy_out_time_s"]
    assert summary["landing_speed_m_s"] < 6.0


def test_only_the_loose_nose_of_the_examples_often_goes_wrong():
    codes = {name: {one.code for one in findings_of(example(name), fly(example(name)))}
             for name in ("curlew", "redshank", "sanderling", "lapwing")}  # fmt: skip
    assert [name for name, found in codes.items() if "release-often-wrong" in found] == ["lapwing"]


def test_a_timer_is_surer_than_a_loose_nose_on_the_same_rocket():
    rows = {row.name: row for row in compare_ways(example("curlew"), flights=80)}
    assert rows["wind-up-timer"].share[Outcome.IN_TIME] > 0.95
    assert rows["loose-nose"].share[Outcome.IN_TIME] < 0.6
    for row in rows.values():
        assert sum(row.share.values()) == pytest.approx(1.0)


def test_the_surest_way_comes_first():
    shares = [row.share[Outcome.IN_TIME] for row in compare_ways(example("redshank"), flights=40)]
    assert shares == sorted(shares, reverse=True)


def test_a_rocket_without_a_nose_is_not_compared_with_a_loose_one():
    design = example("dabchick", 'recovery.kind="parachute"', 'recovery.diameter="450 mm"')
    assert "loose-nose" not in {row.name for row in compare_ways(design, flights=20)}


def test_the_band_of_a_timer_holds_what_opens_in_time_and_no_more():
    design = example("redshank")
    low, high = time_window(design)
    assert low < design.recovery.mechanism.time.value < high
    top = fly(design).summary["apogee_time_s"]
    assert low < top < high
    wide = design.recovery.mechanism.model_copy(
        update={"time": design.recovery.mechanism.time.at(low + 0.05)})  # fmt: skip
    near = let_out_by(design, wide)
    one = next(each for each in findings_of(near, fly(near)) if each.code == "timer-near-its-edge")
    assert one.level is Level.LOOK
    assert "Set it to" in one.remedy


def test_another_mechanism_is_filled_in_like_one_of_the_file():
    other = let_out_by(example("curlew"), Mechanism(way="side door", trip="gyro")).recovery.mechanism
    assert other.angle is not None
    assert other.act.value == pytest.approx(0.18)
