"""Letting the canopy out, from Python: window, tried changes and ways are one result, in words and as numbers."""

import json
import math
from pathlib import Path

import pytest

import bottlewright as bw
from bottlewright.errors import StoppedError
from bottlewright.flight.outcomes import FLOWN, Outcome, came_out

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def lapwing():
    return bw.read(EXAMPLES / "lapwing" / "rocket.toml").release()


def test_each_change_is_flown_as_the_design_file_would_have_it(lapwing):
    best = lapwing.tried[0]
    changed = lapwing.project.changed(best.keys)
    assert came_out(changed.design)[Outcome.IN_TIME] == best.in_time
    assert [one.in_time for one in lapwing.tried] == sorted((one.in_time for one in lapwing.tried), reverse=True)
    assert best.in_time > came_out(lapwing.design)[Outcome.IN_TIME]


def test_ways_are_flown_with_the_same_draws_and_the_surest_comes_first(lapwing):
    assert len(lapwing.ways) >= 3
    own = next(one for one in lapwing.ways if one.own)
    assert own.name == "loose-nose"
    assert own.share[Outcome.IN_TIME] < lapwing.ways[0].share[Outcome.IN_TIME]
    assert math.fsum(own.share.values()) == pytest.approx(1.0)
    for row in lapwing.way_rows:
        assert row.mass
        assert row.build
        assert row.cost.startswith(("nothing to buy", "not in your price list"))


def test_parts_that_the_price_list_has_are_priced(tmp_path):
    (tmp_path / "rocket.toml").write_text(
        (EXAMPLES / "lapwing" / "rocket.toml").read_text(encoding="utf-8") + '\n[prices]\nfile = "prices.csv"\n')
    (tmp_path / "prices.csv").write_text("part,price\ndoor,1.50\nrubber-band,0.10\n")
    from bottlewright.project.release import ReleaseResult

    project = bw.read(tmp_path / "rocket.toml")
    from bottlewright.flight.release_ways import compare_ways

    rows = ReleaseResult(project, window=None, tried=(), ways=tuple(compare_ways(project.design, 4))).way_rows
    costs = {row.says: row.cost for row in rows}
    assert costs["an air flap that frees a door"] == "1.60"
    assert costs["a side door, let go by a wind-up timer"] == "1.60, without wind up timer"


def test_words_and_numbers_say_the_same(lapwing):
    said, told = lapwing.words(), json.loads(lapwing.json())
    counted = came_out(lapwing.design)[Outcome.IN_TIME]
    assert f"in time in {counted} of {FLOWN} flights" in said
    assert told["outcomes"]["in_time"] == counted
    assert told["hold_window"]["low_N"] is None
    assert "No hold lets nine of ten flights open in time" in said
    assert [one["in_time"] for one in told["tried"]] == [one.in_time for one in lapwing.tried]
    assert list(lapwing.pictures) == ["hold"]


def test_a_stop_ends_it():
    with pytest.raises(StoppedError):
        bw.read(EXAMPLES / "lapwing" / "rocket.toml").release(stop=lambda: True)
