"""However many things are wrong with a file, all of them are told in one reading, and nothing else."""

import io
import json
import os
import tempfile
import tomllib
from collections.abc import Iterable
from contextlib import redirect_stderr, redirect_stdout
from copy import deepcopy
from datetime import date
from itertools import combinations
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bottlewright.cli import main
from bottlewright.design import DesignError, parse_design

ROCKET = """
schema = 1
name = "Curlew"
[nozzle]
bore = "9 mm"
length = "6 mm"
shape = "rounded"
velocity_coefficient = 0.97
[nose]
shape = "ogive"
length = "240 mm"
[fins]
count = 3
outline = [["0 mm", "0 mm"], ["80 mm", "90 mm"], ["120 mm", "90 mm"], ["140 mm", "0 mm"]]
position = "330 mm"
[sleeve]
length = "200 mm"
position = "290 mm"
[[mass]]
name = "clay"
mass = "20 g"
position = "30 mm"
[[mass]]
name = "altimeter"
mass = "9 g"
position = "130 mm"
[[mass]]
name = "tape"
mass = "4 g"
position = "300 mm"
[recovery]
kind = "parachute"
diameter = "520 mm"
release = "delay"
delay = "3 s"
[measured]
dry_mass = "150 g"
balance_point = "267 mm"
[charge]
water = "400 mL"
pressure = "4.5 bar"
[launcher]
tilt = "4 deg"
tube_diameter = "8 mm"
tube_length = "120 mm"
[weather]
temperature = "17 °C"
turbulence = true
[[weather.hours]]
at = "09:00"
wind_speed = "1 m/s"
wind_from = "240 deg"
"""
VESSELS = {
    "a row of the table": 'bottle = "carbonated-1500"\ncount = 1\nproof = [{pressure = "7 bar", hold = "60 s"}]',
    "measured": """volume = "1.5 L"\ndiameter = "91 mm"\nneck_bore = "21.7 mm"\nkind = "carbonated"\ncount = 1
        proof = [{pressure = "7 bar", hold = "60 s"}]""",
    "a profile": """volume = "1.32 L"\ndiameter = "91 mm"\ncount = 1\nproof = [{pressure = "7 bar", hold = "60 s"}]
        profile = [["0 mm", "10.8 mm"], ["32 mm", "10.8 mm"], ["107 mm", "45 mm"], ["265 mm", "45 mm"],
                   ["293 mm", "20 mm"]]""",
}
GOOD = {name: tomllib.loads(f"{ROCKET}\n[vessel]\n{lines}") for name, lines in VESSELS.items()}
GONE = object()
WHOLE = os.environ.get("BOTTLEWRIGHT_WHOLE_TABLE") == "1"
"""Whether each pair of faults is tried with every vessel that it fits; else with one."""


class Fault(NamedTuple):
    """A way to spoil a good design.

    `rests` lists further values that the fault is told by: it need not be told when one of them is broken as well.
    """

    path: str
    words: str
    changes: dict[str, Any]
    rests: tuple[str, ...] = ()
    only: str = ""


LENGTHS = ("vessel", "nose.length", "nose.shape", "nose")
HOLDS = ("vessel.volume", "vessel.bottle", "vessel.count", "vessel")
NECK = ("vessel.neck_bore", "vessel.profile.0.1", "vessel")
WEIGHED = ("measured.dry_mass", "mass.1.mass", "mass")
FAULTS = [
    # one value by itself
    Fault("nozzle.boer", "did you mean 'bore'", {"nozzle.boer": "9 mm"}),
    Fault("weather.mood", "unknown key", {"weather.mood": "fair"}),
    Fault("vessel.water", "belongs to [charge]", {"vessel.water": "3 L"}),
    Fault("zebra", "unknown key", {"zebra": {"a": 1}}),
    Fault("chrage", "did you mean 'charge'", {"chrage": {"water": "1 L"}}),
    Fault("name", "text in quotes", {"name": ["Curlew"]}),
    Fault("schema", "has to be 1", {"schema": 2}),
    Fault("nozzle.length", "no unit", {"nozzle.length": "6"}),
    Fault("nozzle.bore", "no unit", {"nozzle.bore": 9}),
    Fault("nozzle.shape", "did you mean 'rounded'", {"nozzle.shape": "round"}),
    Fault("nozzle.velocity_coefficient", "can't be read", {"nozzle.velocity_coefficient": float("inf")}),
    Fault("nose.length", "from 0 mm", {"nose.length": "-240 mm"}),
    Fault("nose.shape", "ogive", {"nose.shape": "pointed"}),
    Fault("nose", "a table", {"nose": "pointed"}),
    Fault("nose.material", "no material is called", {"nose.material": "cheese"}),
    Fault("fins.count", "whole number", {"fins.count": True}),
    Fault("fins.outline.1.1", "has to be a length", {"fins.outline.1.1": date(2027, 3, 6)}),
    Fault("fins.outline.2.1", "two entries", {"fins.outline.2": ["120 mm"]}),
    Fault("fins.position", "has to be a length", {"fins.position": {"value": "330 mm"}}),
    Fault("sleeve.length", "is a mass", {"sleeve.length": "200 g"}),
    Fault("mass.1.mass", "unknown unit", {"mass.1.mass": "9 kilo"}),
    Fault("mass.2.position", "is missing", {"mass.2.position": GONE}),
    Fault("mass.0.name", "text in quotes", {"mass.0.name": 5}),
    Fault("mass", "a list", {"mass": {"name": "clay"}}),
    Fault("measured.dry_mass", "from 5 g", {"measured.dry_mass": "900 kg"}),
    Fault("charge.water", "comma", {"charge.water": "1,400 L"}),
    Fault("charge.pressure", "is missing", {"charge.pressure": GONE}),
    Fault("charge.pressure", "to 25 bar", {"charge.pressure": "450 bar"}),
    Fault("launcher.tilt", "no unit", {"launcher.tilt": float("nan")}),
    Fault("weather.temperature", "absolute zero", {"weather.temperature": "-300 °C"}),
    Fault("weather.turbulence", "true or false", {"weather.turbulence": "some"}),
    Fault("weather.hours.0.wind_speed", "is missing", {"weather.hours.0.wind_speed": GONE}),
    Fault("vessel", "a table", {"vessel": 3}),
    Fault("vessel.bottle", "no bottle is called", {"vessel.bottle": "carbonated-150"}),
    Fault("vessel.count", "whole number", {"vessel.count": "two"}),
    Fault("vessel.kind", "carbonated", {"vessel.kind": "fizzy"}),
    Fault("vessel.volume", "is a mass", {"vessel.volume": "1.5 kg"}),
    Fault("vessel.diameter", "no unit", {"vessel.diameter": "91"}),
    Fault("vessel.proof.0.hold", "is missing", {"vessel.proof.0.hold": GONE}),
    Fault("recovery.kind", "did you mean 'parachute'", {"recovery.kind": "parachut"}),
    Fault("recovery.diameter", "needs its diameter", {"recovery.diameter": GONE}, ("recovery.kind",)),
    Fault("recovery.delay", "needs the time", {"recovery.delay": GONE}, ("recovery.kind",)),
    # values that contradict each other
    Fault("charge.water", "vessel holds", {"charge.water": "4 L"}, HOLDS),
    Fault("nozzle.bore", "wider than the neck", {"nozzle.bore": "25 mm"}, NECK),
    Fault("launcher.tube_diameter", "wider than the hole", {"launcher.tube_diameter": "30 mm"}, ("nozzle.bore",)),
    Fault("launcher.tube_length", "longer than the vessel", {"launcher.tube_length": "2 m"}, ("vessel",)),
    Fault("mass.0.position", "off the rocket", {"mass.0.position": "3 m"}, (*LENGTHS, "mass")),
    Fault("measured.balance_point", "off the rocket", {"measured.balance_point": "2 m"}, LENGTHS),
    Fault("sleeve.position", "off the rocket", {"sleeve.position": "900 mm"}, LENGTHS),
    Fault("fins.position", "off the rocket", {"fins.position": "2 m"}, (*LENGTHS, "sleeve")),
    Fault("fins.outline", "crosses itself", {"fins.outline.2": ["20 mm", "0 mm"], "fins.outline.0": ["0 mm", "50 mm"]},
          ("fins.outline",)),
    Fault("measured.dry_mass", "less than the parts", {"mass.0.mass": "9 kg"}, WEIGHED),
    Fault("vessel.neck_bore", "wider than the bottle", {"vessel.neck_bore": "99 mm"},
          ("vessel", "vessel.diameter"), "measured"),
    Fault("vessel.volume", "the profile encloses", {"vessel.volume": "3 L"}, ("vessel",), "a profile"),
    Fault("vessel.diameter", "narrower", {"vessel.diameter": "60 mm"}, (), "a profile"),
    Fault("vessel.profile.3", "folds back", {"vessel.profile.3.0": "99 mm"}, (), "a profile"),
    Fault("vessel.profile.0", "nozzle exit", {"vessel.profile.0.0": "5 mm"}, (), "a profile"),
    Fault("vessel.profile.1.1", "closes", {"vessel.profile.1.1": "0 mm"}, (), "a profile"),
    Fault("vessel.profile.1.1", "a waist", {"vessel.profile.1.1": "4 mm"}, ("nozzle.bore",), "a profile"),
    Fault("vessel.profile.4.1", "no unit", {"vessel.profile.4.1": "20"}, (), "a profile"),
]


def overlap(one: Iterable[str], other: Iterable[str]) -> bool:
    """Tell whether a path of the one lies at, in or around a path of the other."""
    return any(f"{a}.".startswith(f"{b}.") or f"{b}.".startswith(f"{a}.") for a in one for b in other)


def put(tables: Any, path: str, value: Any) -> None:
    *names, last = [int(name) if name.isdigit() else name for name in path.split(".")]
    for name in names:
        tables = tables[name]
    if value is GONE:
        del tables[last]
    else:
        tables[last] = value


def toml(tables: dict[str, Any]) -> str:
    return "\n".join(f"{key} = {inline(value)}" for key, value in tables.items())


def inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {inline(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return f"[{', '.join(map(inline, value))}]"
    if isinstance(value, bool | str):
        return json.dumps(value, ensure_ascii=False)
    return str(value)


def spoilt(vessel: str, faults: Iterable[Fault]) -> str:
    tables = deepcopy(GOOD[vessel])
    for fault in faults:
        for path, value in fault.changes.items():
            put(tables, path, value)
    return toml(tables)


def format_value(text: str) -> list[tuple[str, str]]:
    with pytest.raises(DesignError) as caught:
        parse_design(text)
    return [(problem.path, f"{problem.why}; {problem.right}") for problem in caught.value.problems]


def check(vessel: str, faults: list[Fault]) -> None:
    """Assert that a file with the faults is told of each that can be seen beside the others, and of nothing else."""
    said = format_value(spoilt(vessel, faults))
    assert len({path for path, _ in said}) == len(said)
    for path, words in said:
        assert any(fault.path == path and fault.words in words for fault in faults), f"nobody put in: {path} {words}"
    for fault in faults:
        hidden = any(overlap(other.changes, fault.rests) for other in faults if other is not fault)
        assert hidden or any(fault.path == path and fault.words in words for path, words in said), f"hidden: {fault}"


def fits(vessel: str, fault: Fault) -> bool:
    if fault.only:
        return fault.only == vessel
    if fault.path == "vessel.bottle":
        return vessel == "a row of the table"
    return fault.words != "no unit" or fault.path != "vessel.diameter" or vessel != "a row of the table"


def apart(faults: Iterable[Fault]) -> list[Fault]:
    """Keep the faults that change other values than those before them."""
    kept: list[Fault] = []
    for fault in faults:
        if not any(overlap((fault.path, *fault.changes), (other.path, *other.changes)) for other in kept):
            kept.append(fault)
    return kept


@st.composite
def spoilings(draw: Any) -> tuple[str, list[Fault]]:
    vessel = draw(st.sampled_from(list(GOOD)))
    indices = draw(st.lists(st.sampled_from(range(len(FAULTS))), min_size=1, max_size=14, unique=True))
    return vessel, apart(FAULTS[i] for i in indices if fits(vessel, FAULTS[i])) or [FAULTS[0]]


@pytest.mark.parametrize("vessel", GOOD)
def test_the_designs_that_are_spoilt_here_are_good(vessel):
    assert parse_design(toml(GOOD[vessel])).name == "Curlew"


@pytest.mark.parametrize("vessel", GOOD)
def test_each_fault_alone_is_told_alone(vessel):
    for fault in FAULTS:
        if fits(vessel, fault):
            check(vessel, [fault])
            assert [path for path, _ in format_value(spoilt(vessel, [fault]))] == [fault.path]


@pytest.mark.parametrize("vessel", GOOD)
def test_no_fault_hides_another_or_makes_a_third(vessel):
    pairs = combinations([fault for fault in FAULTS if fits(vessel, fault)], 2)
    known = [pair for pair in pairs if len(apart(pair)) == 2]
    tried = [pair for pair in known if WHOLE or vessel == place_of(*pair)]
    for one, other in tried:
        check(vessel, [one, other])
    assert len(known) > 1000
    assert len(tried) > len(known) / 4


def place_of(one: Fault, other: Fault) -> str:
    """Return the vessel that a pair is tried with where it is tried with one."""
    places = [vessel for vessel in GOOD if fits(vessel, one) and fits(vessel, other)]
    return places[(FAULTS.index(one) + FAULTS.index(other)) % len(places)]


@given(spoilings())
def test_all_faults_of_a_file_are_told_in_one_reading(spoiling):
    check(*spoiling)


@given(spoilings())
@example(("a profile", [FAULTS[-4], FAULTS[-1]]))
def test_a_spoilt_design_ends_with_2_and_leaves_no_folder(spoiling):
    vessel, faults = spoiling
    with tempfile.TemporaryDirectory() as folder:
        path, words = Path(folder) / "rocket.toml", io.StringIO()
        path.write_text(spoilt(vessel, faults), encoding="utf-8")
        with redirect_stderr(words), redirect_stdout(io.StringIO()) as out, pytest.raises(SystemExit) as left:
            main(["fly", str(path), "--json", "--out", str(Path(folder) / "out")])
        assert (left.value.code, out.getvalue()) == (2, "")
        assert [entry.name for entry in Path(folder).iterdir()] == ["rocket.toml"]
    assert "Traceback" not in words.getvalue()
    assert all(path in words.getvalue() for path, _ in format_value(spoilt(vessel, faults)))
