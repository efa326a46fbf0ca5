"""What somebody plans, the rows that are counted from it, and the table of what nobody else owns."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any, Literal

from bottlewright.data_file import data_file
from bottlewright.proof.rules import Rule, rule_table

__all__ = [
    "GROUPS", "UNKNOWN", "WAITING", "Asked", "Count", "Counted", "Group", "RestsOn", "amount", "rule_named", "sentence",
    "table", "things", "vessels_in_use",
]  # fmt: skip

Group = Literal["People", "Bottles and water", "Launcher", "Time", "Money", "Field"]
GROUPS: tuple[Group, ...] = ("People", "Bottles and water", "Launcher", "Time", "Money", "Field")

WAITING = "being worked out"
UNKNOWN = "not known"


class RestsOn(StrEnum):
    """What a row rests on."""

    ASKED = "your answers"
    DESIGN = "this design"
    RULE = "published rule"
    PRACTICE = "common practice, no source"
    JUDGEMENT = "our judgement"
    NOBODY = "nobody has said it"


@dataclass(frozen=True, slots=True)
class Asked:
    """What somebody plans.

    Parameters
    ----------
    children, team
        How many come, and how many share a rocket.
    hours
        On the field, s.
    budget, currency
        In their own money; None where nobody said.
    width, length
        Of the field, m, the shorter side first; None where nobody said.
    feet
        Whether the field was given in feet.
    """

    children: int
    team: int
    hours: float
    budget: float | None = None
    currency: str = ""
    width: float | None = None
    length: float | None = None
    feet: bool = False

    @property
    def teams(self) -> int:
        """How many teams: the last one may be smaller."""
        return -(-self.children // self.team)


@dataclass(frozen=True, slots=True)
class Count:
    """One row.

    Parameters
    ----------
    group, code, what
        Where it stands, its short name, and what is counted.
    amount, unit
        In SI (``"m3"``, ``"s"``, ``"m"``), a currency, or empty for a number of things; None where nobody knows it.
    shown
        The amount as people read it, with its ±.
    how, rests_on
        How it was worked out, and what that rests on.
    spread
        One standard deviation, in the same unit.
    """

    group: Group
    code: str
    what: str
    amount: float | None
    unit: str
    shown: str
    how: str
    rests_on: RestsOn
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class Counted:
    """The rows, what does not fit, and what was not counted."""

    rows: tuple[Count, ...]
    misfits: tuple[str, ...]
    not_counted: tuple[str, ...]

    def __getitem__(self, code: str) -> Count:
        return next(row for row in self.rows if row.code == code)


@cache
def table() -> dict[str, Any]:
    """Read what is our judgement."""
    return data_file("make", "need")


@cache
def rule_named(name: str) -> Rule:
    """Return a published rule by its name in the table."""
    return next(rule for rule in rule_table() if rule.id == name)


def amount(rows: Sequence[Count], code: str) -> float:
    """Return the amount of a row; 0 where nobody knows it."""
    return next(row.amount or 0.0 for row in rows if row.code == code)


def things(group: Group, code: str, what: str, number: int, how: str, rests_on: RestsOn) -> Count:
    """Return a row of whole things."""
    return Count(group, code, what, number, "", str(number), how, rests_on)


def sentence(text: str) -> str:
    """Return words with a capital."""
    return f"{text[:1].upper()}{text[1:]}"


def vessels_in_use(asked: Asked) -> int:
    """Return how many vessels fly: more than one a team where one would be pumped too often, its test counted."""
    launches = int(rule_named("nasa-retire").value or 2) - 1
    return asked.teams * -(-min(asked.team, asked.children) // launches)
