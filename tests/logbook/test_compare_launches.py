"""Launches side by side: load, air, foretold and measured, and how many things were changed between them."""

import json
import shutil
from pathlib import Path

import pytest

import bottlewright as bw
from bottlewright.cli import main
from bottlewright.errors import InputError
from bottlewright.project.compare_launches import are_launches, compare_launches
from bottlewright.project.logbook import Logbook

CURLEW = Path(__file__).parents[2] / "examples" / "curlew"
FORETOLD = {"made": "2026-11-01T09:00:00", "height": "53 m ± 3 m", "height_low": "49 m", "height_high": "57 m"}


@pytest.fixture
def folder(tmp_path):
    """Three launches: as planned, with less water, and with less water and other fins."""
    shutil.copytree(CURLEW, tmp_path / "rockets")
    file = tmp_path / "rockets" / "rocket.toml"
    book, project = Logbook(file.parent), bw.read(file)
    for day, water, height, changes in (("01", "365 mL", "58 m ± 0.5 m", {}), ("02", "300 mL", "50 m ± 1 m", {}),
                                        ("03", "300 mL", "51 m ± 1 m", {"fins.span": "120 mm"})):  # fmt: skip
        given = {"at": f"2026-11-{day}T10:00:00", "prediction": FORETOLD, "team": f"team {day}",
                 "loaded": {"water": water, "pressure": "4.5 bar"}, "conditions": {"wind": "2 m/s"}}  # fmt: skip
        book.enter_flight(project.changed(changes), given, {"height": height, "how": "two stations"})
    return file.parent


def names(*days):
    return [f"2026-11-{day}-01" for day in days]


def row(found, what):
    return next(one for one in found.rows if one.what == what)


def test_each_stands_with_its_load_and_what_was_foretold_of_it(folder):
    found = compare_launches(folder, names("01", "02"))
    assert row(found, "Water").values == ["365 mL", "300 mL"]
    assert row(found, "Wind").values == ["2 m/s", "2 m/s"]
    height = row(found, "Height")
    assert height.values == ["58.00 m ± 0.50 m", "50.0 m ± 1.0 m"]
    assert [one.split("; ")[1] for one in height.why] == ["it is high", "it is inside"]
    assert "Gusts" not in [one.what for one in found.rows]


def test_one_thing_changed_is_told_from_two_at_once_and_from_none(folder):
    assert compare_launches(folder, names("01", "02")).changed.startswith("Only one thing was changed: the water.")
    two = compare_launches(folder, names("01", "03"))
    assert two.changed.startswith("2 things were changed at once (the water, Fins: span, outwards)")
    assert [values for what, values in two.differences if "span" in what] == [["140 mm ± 1 mm", "120 mm"]]
    assert compare_launches(folder, names("02", "03")).changed.startswith("Only one thing was changed: Fins: span")


def test_what_nobody_wrote_down_is_that_of_the_plan_and_said_so(folder):
    file = folder / "rocket.toml"
    Logbook(folder).enter_flight(bw.read(file), {"at": "2026-11-04T10:00:00"}, {"height": "52 m ± 1 m"})
    found = compare_launches(folder, names("01", "04"))
    assert row(found, "Water").why == ["", "as planned; nobody wrote down what it was"]
    assert row(found, "Height").why[1] == "nobody foretold it"
    assert found.changed.startswith("Load and design were the same")


def test_too_few_too_many_and_unknown_launches_are_refused(folder):
    for wrong in (names("01"), names(*"123456"), names("01", "09")):
        with pytest.raises(InputError):
            compare_launches(folder, wrong)


def test_the_command_tells_launches_from_files(folder, capsys):
    assert are_launches(names("01", "02"))
    assert not are_launches(["2026-11-01-01", "rocket.toml"])
    with pytest.raises(SystemExit) as left:
        main(["compare", *names("01", "02"), "--beside", str(folder), "--json"])
    assert left.value.code == 0
    told = json.loads(capsys.readouterr().out)
    assert [one["launch"] for one in told["launches"]] == names("01", "02")
    assert told["launches"][0]["compared"]["height"]["lies"] == "high"
