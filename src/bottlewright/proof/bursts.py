"""What is known of a bottle's burst pressure before it has been tested: published bursts, and what it has been through.

The strength is lognormal. Median and spread of a kind come from the published tests by their likelihood: a burst, or
a pressure that was held. The spread itself is uncertain, so it takes several values, each as likely as the tests make
it. Of its variance a share is from bottle to bottle, the rest is what all bottles of a maker or a batch have in common.
"""

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from bottlewright.design.unit_text import age_words
from bottlewright.names import several
from bottlewright.proof.burst_data import burst_table, law
from bottlewright.proof.losses import age_left, done_to_it, rest_left, warm_left, wear_left
from bottlewright.quantities import Dimension, parse_quantity

__all__ = [
    "Bottle", "Factor", "Part", "Strength", "burst_table", "highest_published", "law", "size_factor", "slow_hold",
    "strength",
]


@dataclass(frozen=True, slots=True)
class Bottle:
    """What the strength of a vessel depends on. SI; `wall_ratio` is wall over diameter, None unless measured.

    `age` is the oldest that it may be, `youngest` the other end, None where the two are one: tests lose more on a
    bottle that was younger. `dated` names what of storage and surface a test made from now on comes after.
    """

    kind: str
    volume: float
    wall_ratio: float | None = None
    age: float | None = None
    youngest: float | None = None
    cycles: int = 0
    storage: str | None = None
    surface: tuple[str, ...] = ()
    dated: tuple[str, ...] = ()
    temperature: float = 293.15
    rest: float = 0.0  # under pressure before the launch
    count: int = 1
    joint_shear_per_pressure: float | None = None  # mean shear in the glue per pascal of gauge pressure


@dataclass(frozen=True, slots=True)
class Factor:
    """A multiplier on the burst pressure, the spread of its logarithm, and where it comes from."""

    name: str
    value: float
    spread: float
    source: str


@dataclass(frozen=True, slots=True)
class Part:
    """One lognormal part of the strength: weight, median (Pa gauge), and the two spreads of the logarithm."""

    weight: float
    median: float
    between: float
    common: float


@dataclass(frozen=True, slots=True)
class Strength:
    """A bottle's burst pressure before its own tests: a mixture of parts, and the joint's strength when glued."""

    parts: tuple[Part, ...]
    factors: tuple[Factor, ...]
    count: int
    joint: Part | None


def size_factor(volume: float) -> float:
    """Return how strong a bottle of this volume (m³) is against one of the reference size."""
    return math.pow(volume / law("size_volume", Dimension.VOLUME), law("size_exponent"))


def _kind_row(kind: str) -> dict[str, Any]:
    row: dict[str, Any] = next(row for row in burst_table()["kind"] if row["name"] == kind)
    return row


def slow_hold() -> float:
    """Return what a hold of a minute takes off the strength on a fast ramp."""
    return float(next(row["value"] for row in burst_table()["factor"] if row["name"] == "slow hold"))


def _published(kind: str) -> list[tuple[float, bool]]:
    """Return the fitted tests of a kind: logarithm of the pressure on a fast ramp at the reference size; if held."""
    found = []
    for test in burst_table()["test"]:
        if test["kind"] == kind and test["fit"]:
            size = size_factor(float(parse_quantity(test["volume"], Dimension.VOLUME))) if "volume" in test else 1.0
            ramp = slow_hold() if test.get("slow") else 1.0
            pressure = float(parse_quantity(test["pressure"], Dimension.PRESSURE))
            found.append((math.log(pressure / (size * ramp)), bool(test.get("held"))))
    return found


@cache
def _kind(kind: str) -> tuple[Part, ...]:
    """Return a kind at the reference size: a part for each value of its spread, as likely as the tests make it.

    Given the spread t, the likelihood of the median m is the product of normal densities of (x − m)/t over the bursts
    and of their upper tails over the pressures that were held; the median is taken anywhere beforehand.
    """
    from scipy.special import log_ndtr, logsumexp

    tests = _published(kind)
    burst, held = (np.array([x for x, was_held in tests if was_held == want]) for want in (False, True))
    medians = np.linspace(burst.min() - 1.5, burst.max() + 1.5, 1201)[:, np.newaxis]
    nodes, weights = np.polynomial.hermite_e.hermegauss(5)
    share, found = law("between_share"), []
    for node, weight in zip(nodes, weights, strict=True):
        spread = float(_kind_row(kind)["spread"]) * math.exp(law("spread_doubt") * node)
        logs = (-0.5 * ((burst - medians) / spread) ** 2 - math.log(spread)).sum(axis=1)
        logs = logs + log_ndtr((medians - held) / spread).sum(axis=1)
        total = float(logsumexp(logs))
        chances = np.exp(logs - total)
        mean = float(chances @ medians[:, 0])
        doubt = math.sqrt(float(chances @ (medians[:, 0] - mean) ** 2))
        between = spread * math.sqrt(share)
        common = math.hypot(spread * math.sqrt(1.0 - share), doubt)
        found.append((float(weight), total, Part(1.0, math.exp(mean), between, common)))
    most = max(total for _, total, _ in found)
    likely = [weight * math.exp(total - most) for weight, total, _ in found]
    return tuple(
        Part(chance / sum(likely), part.median, part.between, part.common)
        for chance, (_, _, part) in zip(likely, found, strict=True)
    )


def highest_published(kind: str, volume: float) -> float:
    """Return the hardest that any published bottle of a kind held, Pa gauge, brought to this size."""
    return _highest(_known(kind)) * size_factor(volume)


def _highest(kind: str) -> float:
    return float(parse_quantity(_kind_row(kind)["highest"], Dimension.PRESSURE))


@cache
def _known(kind: str) -> str:
    """Return the kind of the table that a bottle is judged by: of unknown kind it is the weakest."""
    kinds = [str(row["name"]) for row in burst_table()["kind"]]
    return kind if kind in kinds else min(kinds, key=_highest)


def _factors(bottle: Bottle) -> list[Factor]:
    """Return the multipliers that apply, the always-on ones first."""
    rows = {row["name"]: row for row in burst_table()["factor"]}
    numbers = burst_table()["law"]
    slow = rows["slow hold"]
    if bottle.age is None:
        aged, years = age_left(math.inf), "not known"
        source = f"{numbers['age_unknown_source']}; {numbers['age_source']}"
    else:
        aged, years, source = age_left(bottle.age), f"{age_words(bottle.age)} old", numbers["age_source"]
    factors = [
        Factor("slow hold instead of a fast ramp", slow["value"], slow["spread"], slow["source"]),
        Factor(f"age: {years}", aged, rows["age"]["spread"], source),
    ]
    if bottle.wall_ratio is not None:
        factors.append(Factor("measured wall over diameter", bottle.wall_ratio / law("wall_ratio"), 0.0,
                              f"hoop stress p r/t; {numbers['wall_source']}"))
    else:
        factors.append(Factor("size", size_factor(bottle.volume), 0.0, numbers["size_source"]))
    if bottle.cycles > 0:
        factors.append(Factor(several(bottle.cycles, "time under pressure"), wear_left(bottle.cycles), 0.0,
                              numbers["cycle_source"]))
    warm = bottle.temperature - law("warm_from", Dimension.TEMPERATURE)
    if warm > 0.0:
        factors.append(Factor(f"{warm:.0f} °C warmer than 23 °C", warm_left(bottle.temperature), 0.0,
                              numbers["warm_source"]))
    if rest_left(bottle.rest) < 1.0:
        factors.append(Factor(f"{bottle.rest / 60.0:.2g} min under pressure before the launch", rest_left(bottle.rest),
                              0.0, numbers["hold_source"]))
    return factors + [
        Factor(row["name"], row["value"], row["spread"], row["source"])
        for row in done_to_it(bottle.storage, bottle.surface)
    ]


def strength(bottle: Bottle) -> Strength:
    """Return what is known of a bottle's burst pressure before its own tests.

    A bottle of unknown kind is judged as the weakest kind: not to know it never gives more.
    """
    factors = _factors(bottle)
    multiplier = math.prod(factor.value for factor in factors)
    doubt = math.hypot(*(factor.spread for factor in factors))
    parts = tuple(
        Part(part.weight, part.median * multiplier, part.between, math.hypot(part.common, doubt))
        for part in _kind(_known(bottle.kind))
    )
    joint = None
    if bottle.count > 1 and bottle.joint_shear_per_pressure is not None:
        glue = law("strength", Dimension.PRESSURE, "joint")
        joint = Part(1.0, glue / bottle.joint_shear_per_pressure, law("spread", table="joint"), 0.0)
    return Strength(parts, tuple(factors), bottle.count, joint)
