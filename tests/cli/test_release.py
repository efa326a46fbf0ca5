"""`bottlewright release`: words for a person, numbers for a program, a folder to keep, and a file that is refused."""

import json
from pathlib import Path

import pytest
from commands import ran

import bottlewright as bw
from bottlewright.flight.outcomes import FLOWN, Outcome, came_out

DUNLIN = Path(__file__).parents[2] / "examples" / "dunlin" / "rocket.toml"
REDSHANK = DUNLIN.parents[1] / "redshank" / "rocket.toml"


@pytest.fixture(scope="module")
def told():
    return ran("release", REDSHANK, "--json").document


def test_its_numbers_are_those_of_the_flights_and_name_the_rocket_s_own_way(told):
    assert told["outcomes"]["in_time"] == came_out(bw.read(REDSHANK).design)[Outcome.IN_TIME]
    assert len(told["ways"]) == 6
    assert [one["name"] for one in told["ways"] if one["own"]] == ["wind-up-timer"]


def test_what_it_says_to_write_makes_the_way_that_it_flew(told):
    gyro = next(one for one in told["ways"] if one["name"] == "door-gyro")
    said = {key: f'"{value}"' if value else "" for key, value in gyro["keys"].items()}
    done = ran("complete", REDSHANK, *(word for key, value in said.items() for word in ("--set", f"{key}={value}")))
    assert 'trip = "gyro"' in done.out
    assert 'angle = "60 ' in done.out
    assert "wind-up timer" not in done.out


def test_a_rocket_without_a_canopy_is_told_how_often_it_works_and_no_ways_beside_it():
    done, counted = ran("release", DUNLIN), came_out(bw.read(DUNLIN).design)[Outcome.IN_TIME]
    assert f"The ballast shifts in time in {counted} of {FLOWN} flights." in done.out
    assert "side by side" not in done.out


def test_its_results_are_put_into_a_folder(tmp_path):
    done = ran("release", DUNLIN, "--out", tmp_path / "out")
    assert done.code in (0, 1)
    assert json.loads((tmp_path / "out" / "release.json").read_text(encoding="utf-8"))["name"] == "Dunlin"


def test_a_file_that_is_no_design_is_refused_with_its_line(tmp_path):
    text = ('[vessel]\nbottle = "carbonated-1500"\n[recovery]\nkind = "parachute"\ndiameter = "500 mm"\n'
            '[recovery.mechanism]\nway = "magic"\n')  # fmt: skip
    (tmp_path / "rocket.toml").write_text(text, encoding="utf-8")
    done = ran("release", tmp_path / "rocket.toml")
    assert done.code == 2
    assert "line 7" in done.err
    assert "magic" in done.err
