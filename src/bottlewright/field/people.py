"""Where operator, pumper and spectators stand, and the chance that a landing strikes them there."""

import math
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from bottlewright.data_file import data_file
from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.field.tail import Bound, Floats, Stratum, flights_to_count
from bottlewright.proof.distances import Asked, governing_distance
from bottlewright.proof.rules import Rule, rule_table, strictest
from bottlewright.quantities import Dimension, parse_quantity

__all__ = [
    "Accepted", "Lull", "Place", "Stand", "accepted", "crew_stands", "heavy", "in_lull", "people_rule",
    "reach", "strike_chance",
]  # fmt: skip

BEARINGS = tuple(math.radians(step) for step in range(0, 360, 10))
FURTHEST = 120.0
"""m; further away no place is looked for."""
Winds = Sequence[Sequence[Stratum]]
"""Landings in each wind that counts, the design's own first."""
SIDES = 3
"""Bearings with the fewest landings whose bound is worked out at each distance."""


def people_rule() -> Rule:
    """Return the strictest published distance for spectators."""
    rule = strictest((rule for rule in rule_table() if rule.role == "spectators"), "distance", "spectators")
    assert rule is not None
    return rule


@cache
def _table() -> dict[str, Any]:
    return data_file("field", "people")


class Accepted(NamedTuple):
    """A chance accepted for each launch, the chance for the day that it is a share of, and who says so."""

    a_launch: float
    a_day: float
    launches: int
    source: str


def accepted(design: Design, who: str) -> Accepted:
    """Return the accepted chance of a strike for ``"spectators"`` or each of the ``"crew"``.

    The builder's `scatter.striking` lowers both alike and can't raise them.
    """
    row, scatter = _table()[who], design.scatter
    a_day = parse_quantity(row["accepted"], Dimension.NUMBER).value
    if scatter.striking is not None:
        usual = parse_quantity(_table()["spectators"]["accepted"], Dimension.NUMBER).value
        a_day *= min(scatter.striking.value / usual, 1.0)
    return Accepted(a_day / scatter.launches, a_day, scatter.launches, row["source"])


def reach() -> tuple[float, str]:
    """Return within how far (m) of a person a landing counts as a strike, and who says so."""
    row = _table()["reach"]
    return parse_quantity(row["radius"], Dimension.LENGTH).value, row["source"]


def heavy() -> tuple[float, str]:
    """Return from which energy (J) a strike is taken to injure, and who says so."""
    row = _table()["heavy"]
    return float(row["energy"]), row["source"]


def strike_chance(strata: Sequence[Stratum], place: Floats) -> tuple[float, float]:
    """Return the chance, for each flight, that it strikes a person at a place, and its upper bound.

    The chance is counted over the ground within 6 m, as if the landings lay evenly there, or within the reach itself,
    whichever is more. The bound rests on the tail towards the person (`bottlewright.field.tail`).

    Parameters
    ----------
    place
        Metres east and north of the launch point.
    """
    radius, _ = reach()
    bound = Bound(strata, lambda landings: -np.hypot(landings[:, 0] - place[0], landings[:, 1] - place[1]))
    return float(_counted(strata, place[None, :])[0]), bound.at(-radius)


def _counted(strata: Sequence[Stratum], places: Floats) -> Floats:
    """Return the counted chance of a strike at each place, rows of metres."""
    radius = reach()[0]
    near = parse_quantity(_table()["reach"]["near"], Dimension.LENGTH).value
    total, ring = np.zeros(len(places)), np.hypot(*places.T)
    for one in strata:
        out = np.hypot(*one.landings.T)  # as far from the launcher as the places are, or it lies near none of them
        landings = one.landings[(out >= ring.min() - near - 1e-6) & (out <= ring.max() + near + 1e-6)]
        away = np.hypot(*(landings[None, :, :] - places[:, None, :]).transpose(2, 0, 1))
        even, inside = (np.count_nonzero(away <= far, axis=1) / len(one.landings) for far in (near, radius))
        even *= (radius / near) ** 2
        total += one.odds * np.maximum(even, inside)
    return total


class Lull(NamedTuple):
    """Landings by kind of return in a wind (m/s) below the one of the design, 0 in a calm."""

    speed: float
    strata: list[Stratum]


class Place(NamedTuple):
    """Where somebody may stand, m and rad from the launcher; not `settled` where no place's bound is accepted."""

    distance: float
    bearing: float
    settled: bool


class Stand(NamedTuple):
    """Where one of the crew stands.

    Parameters
    ----------
    role
        Operator or pumper.
    distance, bearing
        From the launcher, m and rad.
    chosen
        Whether the design file gives the bearing.
    chance, bound, allowed
        Of a strike, for each flight; its upper bound; the accepted one.
    better
        This place where it is no nearer than the published distance and its bound is accepted; else the nearest one
        further out whose bound is; else the one of the lowest bound, not settled; None where no counted chance is
        accepted.
    sheltered
        Under a roof or in a car until it is down, so that a landing strikes the shelter.
    line, line_length
        What keeps this person near, cord or hose, and its length (m), if the design says.
    placed
        Whether the design file says how far; the published distance is taken where it does not.
    need
        Flights that could count the accepted chance.
    lull
        The wind (m/s) below the design's in which the chance, or its bound, is highest; None where it is so in the
        design's own.
    """

    role: str
    distance: float
    bearing: float
    chosen: bool
    chance: float
    bound: float
    allowed: float
    better: Place | None
    sheltered: bool
    line: str
    line_length: float | None
    placed: bool = True
    need: int = 0
    lull: float | None = None

    @property
    def struck(self) -> bool:
        """Whether a landing strikes this person more often than is accepted."""
        return self.chance > self.allowed and not self.sheltered


def in_lull(one: Stand, habit: UnitHabit) -> str:
    """Say in which lull the chance is that high, to follow it; nothing where it is so in the design's own wind."""
    if one.lull is None:
        return ""
    return " when the wind drops " + (f"to {habit.speed(one.lull, 2)}" if one.lull > 0.0 else "to a calm")


def crew_stands(
    design: Design, strata: Sequence[Stratum], lulls: Sequence[Lull] = (), look: Callable[[], None] = lambda: None
) -> list[Stand]:
    """Return where operator and pumper stand: as the file says, or on the bearing with the lowest counted chance.

    Parameters
    ----------
    strata, lulls
        In the wind of the design, and in less of it: in each place the worst of these winds counts, since nobody can
        order the wind not to drop.
    look
        Called often; it may raise to stop.
    """
    asked = governing_distance(design)
    return [_stand(design, (strata, *(one.strata for one in lulls)), [None, *(one.speed for one in lulls)], one,
                   look)
            for one in (asked.operator, asked.pumper)]  # fmt: skip


def _stand(
    design: Design, winds: Winds, speeds: Sequence[float | None], asked: Asked, look: Callable[[], None]
) -> Stand:
    launcher, crew = design.launcher, design.launcher.crew
    line = ("cord", launcher.cord) if asked.role == "operator" else ("hose", launcher.hose)
    length = line[1].length.value if line[1] is not None and line[1].length is not None else None
    given = getattr(crew, f"{asked.role}_bearing") if crew else None
    bearings = (given.value,) if given else BEARINGS
    distance = asked.planned_m if asked.planned_m is not None else asked.asks_m
    allowed = accepted(design, "crew").a_launch
    bearing = _best(winds, distance, bearings)[0][1]
    seen = [strike_chance(strata, _place(distance, bearing)) for strata in winds]
    chance, bound = max(one[0] for one in seen), max(one[1] for one in seen)
    worst = max(range(len(seen)), key=lambda index: (seen[index][0] > allowed, *seen[index]))
    keeps = distance >= asked.asks_m - 1e-9 and max(chance, bound) <= allowed
    better = Place(distance, bearing, settled=True) if keeps else _nearest(
        winds, max(asked.asks_m, distance), bearings, allowed, look)
    return Stand(asked.role, distance, bearing, given is not None, chance, bound, allowed, better,
                 bool(crew and crew.shelter), line[0], length, asked.planned_m is not None,
                 flights_to_count(winds[0], allowed), speeds[worst])


def _place(distance: float, bearing: float) -> Floats:
    return np.array([distance * math.sin(bearing), distance * math.cos(bearing)])


def _best(winds: Winds, distance: float, bearings: Sequence[float]) -> list[tuple[float, float]]:
    """Return counted chance and bearing at a distance, the lowest first; of equals, the furthest from the landings.

    The chance is that of the worst wind; the landings are those in the wind of the design.
    """
    strata = winds[0]
    places = np.array([_place(distance, bearing) for bearing in bearings])
    middle = np.average([one.landings.mean(axis=0) for one in strata], axis=0, weights=[one.odds for one in strata])
    counted = np.max([_counted(one, places) for one in winds], axis=0)
    order = np.lexsort((-np.hypot(*(places - middle).T), counted))
    return [(float(counted[one]), bearings[int(one)]) for one in order]


def _nearest(
    winds: Winds, least: float, bearings: Sequence[float], allowed: float, look: Callable[[], None]
) -> Place | None:
    """Return the nearest place whose bound is accepted, else the least bad; None where no counted chance is."""
    least_bad: tuple[float, Place] | None = None
    for distance in np.concatenate([[least], np.arange(math.floor(least) + 1.0, FURTHEST, 2.0)]).tolist():
        look()
        for counted, bearing in _best(winds, distance, bearings)[:SIDES]:
            if counted > allowed:
                break
            bound = max(strike_chance(strata, _place(distance, bearing))[1] for strata in winds)
            if bound <= allowed:
                return Place(distance, bearing, settled=True)
            if least_bad is None or bound < least_bad[0]:
                least_bad = bound, Place(distance, bearing, settled=False)
    return least_bad[1] if least_bad else None
