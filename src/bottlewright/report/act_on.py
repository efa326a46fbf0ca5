"""The numbers that people act on, each written once: report, pack, sheets, cards and maps take them from here."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

__all__ = ["ActOn", "Row", "people_rows"]


class Row(NamedTuple):
    """A direction, and the number that goes with it: ``Row("from WSW (240°)", "2.8 m/s")``."""

    where: str
    says: str


@dataclass(frozen=True, slots=True)
class ActOn:
    """What the verdict tells people, in the builder's units; nothing that prints one of these works it out again.

    Parameters
    ----------
    level, says
        The verdict and its first sentence, such as ``"Stop: 3 things have to be put right first"``.
    water, pressure
        The load that all of this was worked out for, such as ``"600 mL"`` and ``"3 bar"`` on the gauge.
    pump_to
        The pressure as a sheet of the launch day orders it: none under a stop or without a water test, else with its
        condition as long as a hold point is open.
    leak
        How hard an old bottle full of water is pumped in the leak test.
    allowed, because, after_test
        The highest reading of the gauge, such as ``"not over 4.7 bar"``, what it rests on, and what a passed test
        would make of it; empty where there is nothing to say.
    retired
        Why nobody pumps or tests this vessel again; empty for every other one.
    proof, hold
        Pressure of the next proof test, full of water, and how long it is held; empty where there is none.
    pumper, operator, spectators, distances_because
        How far each stands away at the least, on every side, such as ``"9 m"``, and what that rests on.
    sides
        How far spectators stand by the side of the launcher; empty where nobody has worked out landings.
    wind, wind_because
        The strongest wind as a meter in the hand reads it, in words, and what that rests on or why there is no limit.
    wind_at
        Where the meter is, and what the limit is at the height of the design's own wind, in words.
    winds
        The strongest wind by where it comes from, as a meter in the hand reads it.
    unchecked
        What nobody has checked, a sentence each.
    made_for
        Which design and load this was worked out for, such as the first letters of its digest.
    planned, stand
        Where the plan has everyone at a launch; how far off each stands, who and how far: by the plan where that keeps
        to what is asked at the least, else what is asked.
    pumper_place, operator_place
        On which side of the launcher each has their place, such as ``"WSW"``; empty where nobody has worked it out.
    """

    level: Literal["stop", "look", "none"]
    says: str
    water: str
    pressure: str
    pump_to: str
    leak: str
    allowed: str
    because: str
    after_test: str
    retired: str
    proof: str
    hold: str
    pumper: str
    operator: str
    spectators: str
    distances_because: str
    sides: tuple[Row, ...]
    wind: str
    wind_because: str
    winds: tuple[Row, ...]
    unchecked: tuple[str, ...]
    made_for: str = ""
    wind_at: str = ""
    pumper_place: str = ""
    operator_place: str = ""
    planned: str = ""
    stand: tuple[Row, ...] = ()


def people_rows(act: ActOn) -> list[tuple[str, str, str]]:
    """Return who stands where, as sheets and pages list it: who, how far, and a remark, empty where there is none."""
    return [
        ("whoever pumps", act.pumper, act.pumper_place and f"their place: {act.pumper_place}"),
        ("whoever pulls the cord", act.operator, act.operator_place and f"their place: {act.operator_place}"),
        ("spectators", act.spectators, ""),
        *([("your plan", act.planned.removeprefix("Your plan").lstrip(": "), "")] if act.planned else []),
    ]  # fmt: skip
