"""What the verdict says of every design of the table: of those with a trap in them, and of those with none."""

import json
import os
from functools import cache
from pathlib import Path

import pytest
from adversarial import BENIGN, TABLE, TRAPS, Trap
from base_designs import FOLDERS, changed_text, design_of

from bottlewright.cli import main
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.findings import Level

verdict = pytest.importorskip("bottlewright.verdict", reason="the verdict is not written yet")
numbers_of = pytest.importorskip("bottlewright.field.numbers", reason="nothing keeps the landings yet").field_numbers

FLIGHTS = 400
"""Of a scatter here: few, so that what is judged by them is what few flights can show."""

NAMES = {trap.name: trap for trap in TABLE}

WHOLE = os.environ.get("BOTTLEWRIGHT_WHOLE_TABLE") == "1"
"""Whether every trap gets its landings, and every command of the list is run; else every fourth and every other one."""


@cache
def judged_alone(name):
    """Return the verdict of a command that knows no landings."""
    trap = NAMES[name]
    return verdict.judge_alone(design_of(trap.base, trap.changes), FOLDERS.get(trap.base, Path()))


@cache
def landings_of(name):
    """Return what a scatter says of a design of the table."""
    trap = NAMES[name]
    design = design_of(trap.base, trap.changes)
    site = field_site(design.site, FOLDERS.get(trap.base, Path()))
    flights = design.scatter.flights if trap.base == "curlew" and not trap.changes else FLIGHTS  # few stop it
    return numbers_of(design, scatter(design, site, flights, winds=False))


def judged_with_landings(trap):
    """Return the verdict of a command that has flown a scatter.

    What every command stops at is judged with the landings of the plain rocket, which find nothing to stop: they must
    not hide it, and it saves a hundred scatters.
    """
    plain = trap.alone == "stop" and not trap.only_with_landings
    numbers = landings_of("the plain rocket as it is" if plain else trap.name)
    return verdict.judge_alone(design_of(trap.base, trap.changes), FOLDERS.get(trap.base, Path()), field=numbers)


def missing_codes(said, trap: Trap):
    """Return the findings of a trap that a verdict does not have where they have to stand."""
    there = {
        finding.code
        for name in trap.where.split(" or ")
        for finding in (said.findings if name == "any" else said.at(Level(name)))
    }
    return [codes for codes in trap.codes if not there & set(codes.split("|"))]


def told(said):
    return {str(level): [finding.code for finding in said.at(level)] for level in Level if said.at(level)}


def test_the_table_is_long_enough_and_no_trap_stands_in_it_twice():
    assert len(TRAPS) >= 80
    assert len(BENIGN) >= 12
    assert len(NAMES) == len(TABLE)
    assert len({repr((trap.base, sorted(trap.changes.items(), key=str))) for trap in TABLE}) == len(TABLE)


@pytest.mark.parametrize("trap", TABLE, ids=lambda trap: trap.name)
def test_a_command_without_landings_has_the_right_level(trap):
    said = judged_alone(trap.name)
    assert said.level in trap.alone.split(" or "), told(said)
    if not trap.only_with_landings:
        assert not missing_codes(said, trap), told(said)


@pytest.mark.parametrize("trap", TABLE if WHOLE else TABLE[::4], ids=lambda trap: trap.name)
def test_a_command_with_landings_has_the_right_level(trap):
    said = judged_with_landings(trap)
    assert said.level in trap.landings.split(" or "), told(said)
    assert not missing_codes(said, trap), told(said)


def test_the_example_asks_for_nothing_that_it_could_plainly_avoid():
    trap = NAMES["Curlew as it is"]
    said = verdict.judge_alone(design_of(trap.base, trap.changes), FOLDERS["curlew"], field=landings_of(trap.name))
    assert {one.code for one in said.at(Level.LOOK)} == {"over-advised-pressure", "ballistic-return"}, told(said)
    assert not said.at(Level.STOP)
    assert not said.at(Level.HOLD)
    assert said.distances.operator_m == said.distances.pumper_m == 24.0
    assert said.distances.operator_settled


@pytest.mark.parametrize("trap", BENIGN, ids=lambda trap: trap.name)
def test_nothing_that_is_only_missing_stops_anyone(trap):
    said = judged_alone(trap.name)
    assert said.load is not None
    assert said.allowed.gauge_Pa != 0.0


# --- through the commands -------------------------------------------------------------------------------------------

QUICK = ("--flights", "400", "--no-winds")
THROUGH_COMMANDS = [
    ("fly", (), "12 bar in a bottle that no guide would pump past 6.21"),
    ("scatter", QUICK, "9 bar in a bottle that nobody tested, as scatter once called GO"),
    ("prove", (), "a test of twelve years ago, on a bottle opened then"),
    ("tune", ("--set", "tune.flights=8"), "kept in a hot car and sanded, and still 'rated to 5 bar' once"),
    ("make", (), "nobody wears eye protection"),
    ("fire", (), "failed its test, and passed a later one"),
    ("scatter", QUICK, "crew at 6 and 8 m under Dabchick, which has no parachute"),
    ("scatter", QUICK, "a power line upwind today, inside the reach of the rocket"),
    ("fly", (), "a wind of 9.5 m/s"),
    ("study", ("--set", "tune.flights=8", "--set", "scatter.flights=400"), "a field that nobody drew"),
    ("fly", (), "the plain rocket as it is"),
    ("prove", (), "no test of its own, at a pressure that a test would allow"),
    ("scatter", QUICK, "the plain rocket in inches"),
]
"""Command, options, trap."""


IDS = [f"{command}: {name}" for command, _, name in THROUGH_COMMANDS]


@pytest.mark.parametrize(("command", "options", "name"), THROUGH_COMMANDS[:: 1 if WHOLE else 2],
                         ids=IDS[:: 1 if WHOLE else 2])
def test_the_command_ends_with_1_at_a_stop_and_with_0_without(command, options, name, tmp_path, monkeypatch, capsys):
    trap = NAMES[name]
    file = tmp_path / "rocket.toml"
    file.write_text(changed_text(trap.base, trap.changes), encoding="utf-8")
    written = () if command in ("prove", "fly", "fire", "tune", "scatter") else ("--out", tmp_path / "out")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as left:
        main([*map(str, (command, file, "--json", *options, *written))])
    printed = capsys.readouterr()
    said = json.loads(printed.out)["verdict"]
    right = (trap.landings if command in ("scatter", "study") else trap.alone).split(" or ")
    assert said["level"] in right, printed.err
    assert (left.value.code or 0) == (1 if said["level"] == "stop" else 0)
    assert (said["load"] is None) == (said["level"] == "stop")
