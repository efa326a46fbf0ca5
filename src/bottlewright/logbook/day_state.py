"""What is known of a day at a moment: where each rocket stands, who has which role, what was read and confirmed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

from bottlewright.logbook.day_plan import CrewMember, DayPlan
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.journal import Entry

__all__ = ["Block", "Cycle", "Day", "Refusal", "RocketNow", "Wind", "seconds_of"]

_EPOCH = datetime(2000, 1, 1)


class Block(NamedTuple):
    """What stands against a step: the gate, what of it, in words, and whether an adult may lift it."""

    gate: str
    code: str
    says: str
    lifts: bool


class Wind(NamedTuple):
    """A wind reading: when, mean and gusts, how high the meter was, where from (degrees; None: nobody said)."""

    at: float
    mean_m_s: float
    gust_m_s: float
    height_m: float
    from_deg: float | None = None


class Cycle(NamedTuple):
    """One time under pressure: its entry, when it began, the bottle, the highest reading, how it ended."""

    entry: str
    at: str
    vessel: str
    peak_Pa: float | None
    ended: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why an entry changes nothing: in words, with what stands against it."""

    why: str
    blocks: tuple[Block, ...] = ()


@dataclass(frozen=True, slots=True)
class RocketNow:
    """Where a rocket stands.

    Parameters
    ----------
    state, since, count
        Its state, since when (s), and how many entries there had been.
    readings
        The last reading of each role in this launch, Pa gauge.
    pumped
        What pumper and field watch agreed on while it was pumped, Pa, by role; see `day_gauge.pumped_by`.
    cause
        Why it was stopped: "misfire", "leak", "overshoot" or in words.
    second_sign
        What else shows that there is no pressure.
    landing
        How or where it came down.
    pumped_at
        Since when there may be pressure in it; None where there is none.
    cycle
        Number of its time under pressure in `Day.cycles`; None while there is none.
    holder
        The device that holds its release.
    launched
        How often it left the launcher on this day.
    less_Pa
        What the design of then allowed when pumping began, Pa, where that was less than the day says; None else.
    """

    state: str = "waiting"
    since: float = 0.0
    count: int = 0
    readings: Mapping[str, float] = field(default_factory=dict)
    cause: str = ""
    second_sign: str = ""
    landing: str = ""
    pumped_at: float | None = None
    cycle: int | None = None
    holder: str = ""
    launched: int = 0
    less_Pa: float | None = None
    pumped: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Day:
    """All that is known of a day by now.

    Parameters
    ----------
    at, count
        The time of the last entry, s, and how many there have been.
    stops, near_misses
        Those that stand, by the entry that called them: why, or what nearly happened.
    """

    plan: DayPlan
    rockets: Mapping[str, RocketNow]
    roles: Mapping[str, CrewMember]
    at: float = 0.0
    count: int = 0
    stops: Mapping[str, str] = field(default_factory=dict)
    near_misses: Mapping[str, str] = field(default_factory=dict)
    inside: int = 0
    wind: Wind | None = None
    thunder: float | None = None
    sky: frozenset[str] = frozenset()
    lost: frozenset[str] = frozenset()
    confirms: Mapping[str, tuple[float, int]] = field(default_factory=dict)
    overrides: Mapping[tuple[str, str, str], tuple[str, str]] = field(default_factory=dict)
    retired: Mapping[str, str] = field(default_factory=dict)
    untested: frozenset[str] = frozenset()
    inspected: frozenset[str] = frozenset()
    cycles: tuple[Cycle, ...] = ()
    counted: int = 0  # cycles that the plan's own counts hold already
    refused: tuple[tuple[Entry, Refusal], ...] = ()

    def cycles_today(self, vessel: str) -> int:
        """Return how often a bottle was under pressure since the day was prepared."""
        return sum(one.vessel == vessel for one in self.cycles[self.counted :])

    @property
    def stop(self) -> str:
        """Why the day is stopped, as the first stop that stands says it; empty where none does."""
        return next(iter(self.stops.values()), "")

    @property
    def near_miss(self) -> str:
        """What nearly happened last and is not signed; empty where nothing is."""
        return ["", *self.near_misses.values()][-1]

    @property
    def adults(self) -> frozenset[str]:
        """Names of all adults: those of the plan, and whoever joined as one."""
        return self.plan.adults | {one.name for one in self.roles.values() if one.adult}

    @property
    def field_closed(self) -> bool:
        """Whether nobody walks onto the field: a rocket may be under pressure, in the air, or lies there unopened."""
        table = day_table()
        return any(table.states[one.state].pressure != "none" or one.state in ("field clear", "down")
                   for one in self.rockets.values())  # fmt: skip

    @property
    def under_way(self) -> bool:
        """Whether the day goes on whatever the date is: the field is closed, or a rocket is filled or out there."""
        return self.field_closed or any(one.state in ("loaded", "seated", "approach allowed", "field open")
                                        for one in self.rockets.values())  # fmt: skip


def seconds_of(at: str) -> float:
    """Return a time of the journal as seconds that can be compared."""
    return (datetime.fromisoformat(at) - _EPOCH).total_seconds()
