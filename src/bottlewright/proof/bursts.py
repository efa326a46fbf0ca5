"""What is known of a bottle's burst pressure before it has been tested: published bursts, and stated multipliers.

The strength is lognormal. Its median comes from the published tests of the kind, carried to this bottle's size or
measured wall; multipliers for age, storage, launches, warmth and work on its surface lower it. Two spreads are kept
apart: between bottles of a kind, and how well the kind's median is known.
"""

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from bottlewright.design.unit_text import age_words
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["Bottle", "Factor", "Part", "Strength", "burst_table", "law", "strength"]


@dataclass(frozen=True, slots=True)
class Bottle:
    """What the strength of a vessel depends on. SI; `wall_ratio` is wall over diameter, None unless measured."""

    kind: str
    volume: float
    wall_ratio: float | None = None
    age: float | None = None
    cycles: int = 0
    storage: str | None = None
    surface: tuple[str, ...] = ()
    temperature: float = 293.15
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


@cache
def burst_table() -> dict[str, Any]:
    """Read the shipped table of bursts, spreads and multipliers."""
    return tomllib.loads((files("bottlewright.proof") / "data" / "bursts.toml").read_text(encoding="utf-8"))


def law(key: str, dimension: Dimension = Dimension.NUMBER, table: str = "law") -> float:
    """Return one number of the table's laws in SI."""
    return float(parse_quantity(burst_table()[table][key], dimension))


def _size_factor(volume: float) -> float:
    return math.pow(volume / law("size_volume", Dimension.VOLUME), law("size_exponent"))


@cache
def _kind(kind: str) -> Part:
    """Median of a kind at the reference size: geometric mean of its fitted tests."""
    row = next(row for row in burst_table()["kind"] if row["name"] == kind)
    logs = []
    for test in burst_table()["test"]:
        if test["kind"] == kind and test["fit"]:
            size = _size_factor(float(parse_quantity(test["volume"], Dimension.VOLUME))) if "volume" in test else 1.0
            logs.append(math.log(float(parse_quantity(test["pressure"], Dimension.PRESSURE)) / size))
    return Part(1.0, math.exp(sum(logs) / len(logs)), row["between"], row["median"])


def _factors(bottle: Bottle) -> list[Factor]:
    """Return the multipliers that apply, the always-on ones first."""
    rows = {row["name"]: row for row in burst_table()["factor"]}
    numbers = burst_table()["law"]
    age = law("age_unknown", Dimension.TIME) if bottle.age is None else bottle.age
    floor = law("age_floor")
    aged = floor + (1.0 - floor) * math.exp(-age / law("age_time", Dimension.TIME))
    years = "no age given, one year taken" if bottle.age is None else f"{age_words(age)} old"
    slow = rows["slow hold"]
    factors = [
        Factor("slow hold instead of a fast ramp", slow["value"], slow["spread"], slow["source"]),
        Factor(f"age: {years}", aged, rows["age"]["spread"], numbers["age_source"]),
    ]
    if bottle.wall_ratio is not None:
        factors.append(Factor("measured wall over diameter", bottle.wall_ratio / law("wall_ratio"), 0.0,
                              f"hoop stress p r/t; {numbers['wall_source']}"))
    else:
        factors.append(Factor("size", _size_factor(bottle.volume), 0.0, numbers["size_source"]))
    if bottle.cycles > 0:
        worn = math.exp(-law("cycle_loss") * bottle.cycles)
        factors.append(Factor(f"{bottle.cycles} times under pressure", worn, 0.0, numbers["cycle_source"]))
    warm = bottle.temperature - law("warm_from", Dimension.TEMPERATURE)
    if warm > 0.0:
        factors.append(Factor(f"{warm:.0f} °C warmer than 23 °C", math.exp(-law("warm_loss") * warm), 0.0,
                              numbers["warm_source"]))
    for name in [*([bottle.storage] if bottle.storage else []), *dict.fromkeys(bottle.surface)]:
        if name in rows:
            factors.append(Factor(name, rows[name]["value"], rows[name]["spread"], rows[name]["source"]))
    return factors


def strength(bottle: Bottle) -> Strength:
    """Return what is known of a bottle's burst pressure before its own tests.

    A bottle of unknown kind is any of the kinds with equal chance.
    """
    kinds = [row["name"] for row in burst_table()["kind"]]
    chosen = [bottle.kind] if bottle.kind in kinds else kinds
    factors = _factors(bottle)
    multiplier = math.prod(factor.value for factor in factors)
    doubt = math.hypot(*(factor.spread for factor in factors))
    parts = tuple(
        Part(1.0 / len(chosen), part.median * multiplier, part.between, math.hypot(part.common, doubt))
        for part in map(_kind, chosen)
    )
    joint = None
    if bottle.count > 1 and bottle.joint_shear_per_pressure is not None:
        glue = law("strength", Dimension.PRESSURE, "joint")
        joint = Part(1.0, glue / bottle.joint_shear_per_pressure, law("spread", table="joint"), 0.0)
    return Strength(parts, tuple(factors), bottle.count, joint)
