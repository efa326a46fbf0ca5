"""Outer shape of the rocket as a stack of frusta, from the nose tip aft.

The bottle flies neck down: its base is tucked into the nose, the cylinder follows, the shoulder and the neck are the
tail. The outer radius is the inner radius and the wall; a sleeve covers what it spans.
"""

import math

from bottlewright.physics import FloatArray, jit

__all__ = [
    "CONE", "ELLIPSOID", "FLAT", "MAX_STATIONS", "OGIVE", "PARABOLOID", "nose_radius", "outer_profile", "radius_at",
]  # fmt: skip

OGIVE, CONE, PARABOLOID, ELLIPSOID, FLAT = 0, 1, 2, 3, 4

MAX_STATIONS = 80
"""Most stations of an outer profile."""

_NOSE_STATIONS = 16


@jit
def nose_radius(shape: int, part: float, length: float, radius: float) -> float:
    """Outer radius of a nose, m, at a part (0 to 1) of its length from the tip; m for length and base radius."""
    if shape == CONE:
        return radius * part
    if shape == PARABOLOID:
        return radius * math.sqrt(part)
    if shape == ELLIPSOID:
        return radius * math.sqrt(max(1.0 - (1.0 - part) ** 2, 0.0))
    if shape == OGIVE:
        # Circular arc, tangent to the cylinder at the seat; a nose shorter than its radius is an ellipsoid instead.
        if length <= radius:
            return radius * math.sqrt(max(1.0 - (1.0 - part) ** 2, 0.0))
        arc = (radius * radius + length * length) / (2.0 * radius)
        return math.sqrt(max(arc * arc - (length * (1.0 - part)) ** 2, 0.0)) + radius - arc
    return radius


@jit
def outer_profile(
    nose: int, nose_length: float, nose_end: float, z: FloatArray, r: FloatArray, n: int, base: float, wall: float,
    sleeve_front: float, sleeve_length: float, sleeve_radius: float, x: FloatArray, outer: FloatArray,
) -> int:  # fmt: skip
    """Write stations of the outer shape and return their number.

    Parameters
    ----------
    nose, nose_length, nose_end
        Shape code, length and radius at the seat, m.
    z, r, n, base, wall
        Inner profile from the nozzle exit upward (m), its nodes; length of the base, which the nose covers, and
        thickness of the wall, m.
    sleeve_front, sleeve_length, sleeve_radius
        Front edge from the nose tip, length (0 for none), outer radius, m.
    x, outer
        Arrays of at least `MAX_STATIONS`, written in place: distance from the nose tip and outer radius, m.
    """
    count = 0
    if nose_length > 0.0:
        for i in range(_NOSE_STATIONS + 1):
            # Cosine spacing: stations crowd at the tip, where a blunt nose turns fastest.
            part = 1.0 - math.cos(0.5 * math.pi * i / _NOSE_STATIONS)
            x[count], outer[count] = nose_length * part, nose_radius(nose, part, nose_length, nose_end)
            count += 1
    else:
        x[0], outer[0] = 0.0, 0.0
        x[1], outer[1] = 0.0, nose_end
        count = 2
    seat = z[n - 1] - base
    tail = nose_length + seat
    x[count], outer[count] = nose_length, radius_at(seat, z, r, n) + wall
    count += 1
    for i in range(n - 1, -1, -1):
        if z[i] < seat - 1e-9:
            x[count], outer[count] = tail - z[i], r[i] + wall
            count += 1
    if sleeve_length > 0.0:
        count = _cover(sleeve_front, sleeve_length, sleeve_radius, x, outer, count)
    return count


@jit
def radius_at(place: float, x: FloatArray, r: FloatArray, n: int) -> float:
    """Return the radius (m) at a place along stations (m), on the near side of a step; the last one beyond the end."""
    for i in range(1, n):
        if place <= x[i] and x[i] > x[i - 1]:
            return float(r[i - 1] + (r[i] - r[i - 1]) * max(place - x[i - 1], 0.0) / (x[i] - x[i - 1]))
    return float(r[n - 1])


@jit
def _insert(place: float, radius: float, x: FloatArray, outer: FloatArray, count: int, after: int) -> int:
    """Insert a station before (or after) those at the same place."""
    at = 0
    while at < count and (x[at] < place or (after and x[at] == place)):
        at += 1
    for i in range(count, at, -1):
        x[i], outer[i] = x[i - 1], outer[i - 1]
    x[at], outer[at] = place, radius
    return count + 1


@jit
def _cover(front: float, length: float, radius: float, x: FloatArray, outer: FloatArray, count: int) -> int:
    """Widen the body to the sleeve over its span, with a step at each end where it stands proud."""
    end = front + length
    before, behind = radius_at(front, x, outer, count), radius_at(end, x, outer, count)
    overhang = end > x[count - 1]
    for i in range(count):
        if front <= x[i] <= end:
            outer[i] = max(outer[i], radius)
    count = _insert(front, max(radius, before), x, outer, count, False)
    count = _insert(front, before, x, outer, count, False)
    count = _insert(end, max(radius, behind), x, outer, count, True)
    if not overhang:
        count = _insert(end, behind, x, outer, count, True)
    return count
