"""Lengths of the rocket as drawn: where the nose ends, where the cylinder ends, where the nozzle exit is.

The generic bottle is a straight neck, a half-cosine shoulder, a cylinder and a half-ellipsoid base; the length of the
cylinder closes the capacity. Bottles joined end to end are taken as one bottle with a longer cylinder.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from bottlewright.design.document import Design
from bottlewright.design.rocket import Nose, Vessel

__all__ = [
    "Stations", "bottle_lengths", "bottle_surface", "nose_outline", "nose_radius", "nose_surface", "nose_volume",
    "profile_lengths", "profile_volume", "stations",
]


@dataclass(frozen=True, slots=True)
class Stations:
    """Distances from the nose tip, m."""

    nose_end: float
    cylinder_end: float
    neck: float
    exit: float


def profile_volume(profile: Sequence[tuple[float, float]]) -> float:
    """Return the volume (m³) of a stack of frusta given as (height, radius), m."""
    return sum(
        math.pi * (z1 - z0) * (r0 * r0 + r0 * r1 + r1 * r1) / 3.0
        for (z0, r0), (z1, r1) in pairwise(profile)
    )


def bottle_lengths(vessel: Vessel) -> tuple[float, float, float, float]:
    """Return the lengths (m) of neck, shoulder, cylinder and base of a completed vessel.

    Where neck, shoulder and base alone hold more than the capacity, shoulder and base are shortened alike. With a
    measured profile the cylinder is what they leave of its height.
    """
    neck, shoulder, base = (_number(x) for x in (vessel.neck_length, vessel.shoulder_length, vessel.base_length))
    if vessel.profile:
        return neck, shoulder, float(vessel.profile[-1][0]) - float(vessel.profile[0][0]) - neck - shoulder - base, base
    volume, diameter, wall = (_number(x) for x in (vessel.volume, vessel.diameter, vessel.wall))
    inner, throat = 0.5 * diameter - wall, 0.5 * _number(vessel.neck_bore)
    if inner <= 0.0:
        return _NO_LENGTHS
    step = inner - throat
    # Mean of r² along a half-cosine from throat to inner: throat² + throat·step + 3/8 step².
    ends = math.pi * (shoulder * (throat**2 + throat * step + 0.375 * step**2) + base * 2.0 / 3.0 * inner**2)
    rest = volume * vessel.count - math.pi * throat**2 * neck
    cylinder = (rest - ends) / (math.pi * inner**2)
    if cylinder < 0.0:
        part = max(rest, 0.0) / ends if ends > 0.0 else 0.0
        return neck, shoulder * part, 0.0, base * part
    return neck, shoulder, cylinder, base


_NO_LENGTHS = (math.nan,) * 4  # of a vessel that can't be


def bottle_surface(vessel: Vessel) -> float:
    """Return the surface (m²) of one bottle of a completed vessel, measured on the inside."""
    if vessel.profile:
        return _side([(float(z), float(r)) for z, r in vessel.profile]) / vessel.count
    neck, shoulder, cylinder, base = bottle_lengths(vessel.model_copy(update={"count": 1}))
    throat = 0.5 * _number(vessel.neck_bore)
    inner = 0.5 * _number(vessel.diameter) - _number(vessel.wall)
    parts = [i / _STEPS for i in range(_STEPS + 1)]
    rising = [(shoulder * part, inner - 0.5 * (inner - throat) * (1.0 + math.cos(math.pi * part))) for part in parts]
    closing = [(base * part, inner * math.sqrt(1.0 - part**2)) for part in parts]
    return 2.0 * math.pi * (throat * neck + inner * cylinder) + _side(rising) + _side(closing)


def _side(points: list[tuple[float, float]]) -> float:
    """Return the surface (m²) of a stack of frusta given as (height, radius), m, without its ends."""
    return sum(math.pi * (r0 + r1) * math.hypot(z1 - z0, r1 - r0) for (z0, r0), (z1, r1) in pairwise(points))


def profile_lengths(profile: list[tuple[float, float]]) -> tuple[float, float, float, float]:
    """Return the lengths (m) of neck, shoulder, cylinder and base of a profile of (height, inner radius), m.

    Each end of the cylinder is the node, seen from the neck and from the base, at which the profile has 90 % of the
    cylinder's width and widens no more than 3° from there on; the neck ends where it last does so at its own width.
    The cylinder is as wide as what holds the middle half of the water. So no end hangs on the widest node, and a
    bulge, a waist or a taper between the ends leaves them where they are.
    """
    if math.isnan(sum(z + r for z, r in profile)):
        return _NO_LENGTHS
    foot, top, throat, wide = profile[0][0], profile[-1][0], profile[0][1], _middle_radius(profile)
    front = _level_from(profile, 0.9 * wide)
    back = max(_level_from(profile[::-1], 0.9 * wide), front)
    inverted = [(z, -r) for z, r in profile[::-1] if z <= front]
    neck = _level_from(inverted, -(throat + 0.1 * max(wide - throat, 0.0)))
    return neck - foot, front - neck, back - front, top - back


_LEVEL = math.tan(math.radians(3.0))


def _level_from(profile: list[tuple[float, float]], radius: float) -> float:
    """Return the height (m) of the first node of at least a radius (m) behind which a profile hardly widens."""
    for (z0, r0), (z1, r1) in pairwise(profile):
        if r0 >= radius and r1 - r0 <= _LEVEL * abs(z1 - z0):
            return z0
    return profile[-1][0]


def _middle_radius(profile: list[tuple[float, float]]) -> float:
    """Return the root mean square radius (m) of the heights between which the middle half of the water is."""
    half = 0.5 * profile_volume(profile)
    return math.sqrt(half / (math.pi * (_level(profile, 1.5 * half) - _level(profile, 0.5 * half))))


def _level(profile: list[tuple[float, float]], volume: float) -> float:
    """Return the height (m) of a volume (m³) of water, bottom up: along a frustum, volume is linear in radius cubed."""
    for (z0, r0), (z1, r1) in pairwise(profile):
        holds = profile_volume([(z0, r0), (z1, r1)])
        if volume <= holds:
            r = math.cbrt(r0**3 + (r1**3 - r0**3) * volume / holds)
            return z0 + 3.0 * volume / (math.pi * (r0 * r0 + r0 * r + r * r))
        volume -= holds
    return profile[-1][0]


def stations(design: Design) -> Stations:
    """Return the stations of a completed design. The nose sits on the upper end of the cylinder, over the base."""
    neck, shoulder, cylinder, _ = bottle_lengths(design.vessel)
    nose = _number(design.nose.length) if design.nose else 0.0
    return Stations(nose, nose + cylinder, nose + cylinder + shoulder, nose + cylinder + shoulder + neck)


def nose_radius(shape: str, part: float, fineness: float) -> float:
    """Return radius over base radius of a nose at a part (0 tip, 1 seat) of its length.

    `fineness` is length over base diameter; only the tangent ogive needs it (an arc tangent to the body at the seat).
    """
    if shape == "cone":
        return part
    if shape == "paraboloid":
        return math.sqrt(part)
    if shape == "flat":
        return 1.0
    if shape == "ogive" and fineness > 0.5:
        rho = 2.0 * fineness**2 + 0.5  # radius of the arc, in base radii
        return math.sqrt(rho**2 - (2.0 * fineness * (1.0 - part)) ** 2) - rho + 1.0
    return math.sqrt(max(1.0 - (1.0 - part) ** 2, 0.0))  # ellipsoid, hemisphere, a bottle's own base


_STEPS = 200


def nose_outline(nose: Nose) -> list[tuple[float, float]]:
    """Return distances from the tip and radii (m) along a completed nose."""
    return list(_nose_outline(nose.shape, _number(nose.length), 0.5 * _number(nose.diameter)))


@lru_cache(64)
def _nose_outline(shape: str, length: float, radius: float) -> tuple[tuple[float, float], ...]:
    fineness = length / (2.0 * radius)
    # Squared spacing puts many steps at the tip, where blunt noses turn fastest.
    parts = [(i / _STEPS) ** 2 for i in range(_STEPS + 1)]
    return tuple((length * part, radius * nose_radius(shape, part, fineness)) for part in parts)


def nose_volume(nose: Nose) -> float:
    """Return the volume (m³) inside a completed nose."""
    return _nose_volume(nose.shape, _number(nose.length), 0.5 * _number(nose.diameter))


@lru_cache(64)
def _nose_volume(shape: str, length: float, radius: float) -> float:
    return profile_volume(_nose_outline(shape, length, radius))


def nose_surface(nose: Nose) -> float:
    """Return the outer surface (m²) of a completed nose without its seat; a flat front counts."""
    points = nose_outline(nose)
    return _side(points) + math.pi * points[0][1] ** 2


def _number(quantity: object) -> float:
    return float(quantity) if quantity is not None else 0.0  # type: ignore[arg-type]
