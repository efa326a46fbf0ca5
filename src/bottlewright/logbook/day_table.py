"""The table of the day as it is shipped: states, steps, what has to be clear and who confirms what."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bottlewright.data_file import data_file, each
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["STOP", "Act", "Confirm", "DayTable", "Gate", "Limit", "Role", "State", "Step", "day_table",
           "without_gaps"]  # fmt: skip

STOP = "stop"


@dataclass(frozen=True, slots=True)
class State:
    """Where a rocket stands: `pressure` is "none", "may be" or "flying"; nothing follows after a `last` one."""

    name: str
    says: str
    pressure: str
    last: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One step: the role that does it, what has to be clear, and what has to be confirmed, again just before it.

    Parameters
    ----------
    detail
        What paper says of it beside the words of its `Act`, with gaps for a rocket's own numbers.
    """

    event: str
    start: str
    to: str
    by: str
    gates: tuple[str, ...] = ()
    confirm: tuple[str, ...] = ()
    again: bool = False
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Gate:
    """What may stand against a step, and whether an adult may lift it."""

    name: str
    says: str
    override: bool = False


@dataclass(frozen=True, slots=True)
class Role:
    """Who does what; who is `alone` has no other role, and nobody has one of `not_with` besides.

    Parameters
    ----------
    called, does, duty
        Its name on a phone, what it does, in words, and the same for paper, with gaps for a rocket's own numbers.
    writes
        Kinds of entry that it writes on a phone (`roles.KINDS`).
    """

    name: str
    says: str
    called: str
    does: str
    duty: str = ""
    writes: tuple[str, ...] = ()
    adult: bool = False
    alone: bool = False
    not_with: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Confirm:
    """A point that one role confirms, in its words; `only` of a rocket that has this.

    Parameters
    ----------
    own
        Its words with gaps for what is a rocket's own; empty where nothing is.
    """

    point: str
    by: str
    says: str
    only: str = ""
    own: str = ""

    def of(self, points: Mapping[str, str]) -> str:
        """Return its words for a rocket: the rocket's own by the name of the point, else those for any."""
        return points.get(self.point) or self.says


@dataclass(frozen=True, slots=True)
class Act:
    """An event in words: what is to be done, and what whoever did it says."""

    event: str
    does: str
    done: str


@dataclass(frozen=True, slots=True)
class Limit:
    """A time, s, in words, and who says so."""

    seconds: float
    says: str
    source: str


@dataclass(frozen=True, slots=True)
class DayTable:
    """All of it, by name."""

    states: Mapping[str, State]
    steps: Mapping[tuple[str, str], Step]
    gates: Mapping[str, Gate]
    roles: Mapping[str, Role]
    confirms: Mapping[str, Confirm]
    limits: Mapping[str, Limit]
    acts: Mapping[str, Act]
    to_stop: frozenset[str]
    lifts: frozenset[str]

    @property
    def events(self) -> frozenset[str]:
        """Every event of a rocket, the stop too."""
        return frozenset(event for _, event in self.steps) | {STOP}

    def asked_of(self, step: Step, has: Collection[str]) -> tuple[str, ...]:
        """Return the points of a step that are confirmed for a rocket with these things."""
        return tuple(one for one in step.confirm if not self.confirms[one].only or self.confirms[one].only in has)

    def next_state(self, state: str, event: str) -> str | None:
        """Return where an event leads from a state; None where there is no such step."""
        if event == STOP:
            return STOP if state in self.to_stop else state
        step = self.steps.get((state, event))
        return step.to if step else None


@cache
def day_table() -> DayTable:
    """Read the shipped table."""
    return read_table(data_file("logbook", "day"))


def read_table(data: Mapping[str, Any]) -> DayTable:
    """Return a table from its raw tables."""
    steps = [Step(row["event"], row["from"], row["to"], row["by"], tuple(row.get("gates", ())),
                  tuple(row.get("confirm", ())), row.get("again", False), row.get("detail", ""))
             for row in data["step"]]  # fmt: skip
    return DayTable(
        states={state.name: state for state in each(data["state"], lambda row: State(**row))},
        steps={(step.start, step.event): step for step in steps},
        gates={gate.name: gate for gate in each(data["gate"], lambda row: Gate(**row))},
        roles={row["name"]: _role(row) for row in data["role"]},
        confirms={row["point"]: Confirm(**row) for row in data["confirm"]},
        limits={name: Limit(parse_quantity(row["value"], Dimension.TIME).value, row["says"], row["source"])
                for name, row in data["limits"].items()},
        acts={row["event"]: Act(**row) for row in data["act"]},
        to_stop=frozenset(data["stop"]["to_stop"]),
        lifts=frozenset(data["lifts"]["codes"]),
    )  # fmt: skip


def _role(row: Mapping[str, Any]) -> Role:
    lists = {key: tuple(row.get(key, ())) for key in ("writes", "not_with")}
    return Role(**{**row, **lists})


def without_gaps(text: str) -> str:
    """Return the sentences of a text of the table that say nothing of a rocket's own numbers; empty where all do."""
    kept = [one for one in text.removesuffix(".").split(". ") if "{" not in one]
    return f"{'. '.join(kept)}." if kept and kept != [""] else ""
