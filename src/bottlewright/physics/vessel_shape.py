"""Shape of the pressure vessel and of the water in it, exact for a stack of frusta.

Heights z are measured from the nozzle exit plane upwards, radii are inner radii. The water fills the vessel from the
nozzle to a flat surface across the axis. Within one frustum the radius cubed is linear in the contained volume, so the
surface is found from the volume without iteration:

    r³ = r_i³ + 3 s (V − V_i) / π,    z − z_i = 3 (V − V_i) / (π (r_i² + r_i r + r²)),    s = dr/dz

and every integral of the water (length integral ∫dz/A, centre, second moments) is a polynomial in z − z_i. Derived
in docs/physics/water_jet.md.
"""

import math

import numpy as np

from bottlewright.physics import FloatArray, inline_jit, jit

__all__ = [
    "BASE_NODES", "MAX_NODES", "bottle_profile", "fill_vessel_tables", "frustum_at", "water_state", "water_state_in",
]  # fmt: skip

MAX_NODES = 48
"""Most nodes of an inner profile."""

BASE_NODES = 10
"""Nodes of a generic bottle above its cylinder."""

_SHOULDER_NODES = 14


@jit
def _frustum_volume(z0: float, r0: float, z1: float, r1: float) -> float:
    return math.pi * (z1 - z0) * (r0 * r0 + r0 * r1 + r1 * r1) / 3.0


@jit
def _profile_of_lengths(
    radius: float, neck_radius: float, neck: float, shoulder: float, cylinder: float, base: float, z: FloatArray,
    r: FloatArray,
) -> int:  # fmt: skip
    z[0], r[0] = 0.0, neck_radius
    n = 1
    if neck > 0.0:
        z[n], r[n] = neck, neck_radius
        n += 1
    for i in range(1, _SHOULDER_NODES + 1):
        part = i / _SHOULDER_NODES
        z[n] = neck + shoulder * part
        r[n] = neck_radius + (radius - neck_radius) * 0.5 * (1.0 - math.cos(math.pi * part))
        n += 1
    top = neck + shoulder + cylinder
    if cylinder > 0.0:
        z[n], r[n] = top, radius
        n += 1
    for i in range(1, BASE_NODES + 1):
        angle = 0.5 * math.pi * i / BASE_NODES
        z[n] = top + base * math.sin(angle)
        r[n] = radius * math.cos(angle) if i < BASE_NODES else 0.0
        n += 1
    return n


@jit
def bottle_profile(
    volume: float, radius: float, neck_radius: float, neck: float, shoulder: float, base: float, z: FloatArray,
    r: FloatArray,
) -> int:  # fmt: skip
    """Write the inner profile of a generic bottle, nozzle down, and return its number of nodes.

    Straight neck, half-cosine shoulder, cylinder, half-ellipsoid base. The length of the cylinder closes the
    capacity. Where neck, shoulder and base alone hold more than the capacity, shoulder and base are shortened alike.

    Parameters
    ----------
    volume
        Capacity, m³.
    radius, neck_radius
        Inner radii of cylinder and neck, m.
    neck, shoulder, base
        Lengths along the axis, m.
    z, r
        Arrays of at least `MAX_NODES`, written in place, m.

    Returns
    -------
    int
        Number of nodes; 0 when the capacity is less than the neck's own volume.
    """
    n = _profile_of_lengths(radius, neck_radius, neck, shoulder, 0.0, base, z, r)
    neck_volume = math.pi * neck_radius**2 * neck
    ends = 0.0
    for i in range(1, n):
        ends += _frustum_volume(z[i - 1], r[i - 1], z[i], r[i])
    ends -= neck_volume
    if volume <= neck_volume:
        return 0
    cylinder = (volume - neck_volume - ends) / (math.pi * radius**2)
    if cylinder < 0.0:
        part = (volume - neck_volume) / ends
        return _profile_of_lengths(radius, neck_radius, neck, shoulder * part, 0.0, base * part, z, r)
    return _profile_of_lengths(radius, neck_radius, neck, shoulder, cylinder, base, z, r)


@jit
def _add_frustum(r0: float, s: float, z0: float, d: float) -> tuple[float, float, float, float, float]:
    """Integrals of a frustum of length d over A, zA, z²A, r⁴π/4 (z from the exit plane) and of 1/A."""
    r1 = r0 + s * d
    i0 = d * (r0 * r0 + d * (r0 * s + d * s * s / 3.0))
    i1 = d * d * (0.5 * r0 * r0 + d * (2.0 / 3.0 * r0 * s + d * 0.25 * s * s))
    i2 = d**3 * (r0 * r0 / 3.0 + d * (0.5 * r0 * s + d * 0.2 * s * s))
    j = d * (r0**4 + d * (2.0 * r0**3 * s + d * (2.0 * r0**2 * s**2 + d * (r0 * s**3 + d * 0.2 * s**4)))) / 4.0
    return (
        math.pi * i0,
        math.pi * (z0 * i0 + i1),
        math.pi * (z0 * z0 * i0 + 2.0 * z0 * i1 + i2),
        math.pi * j,
        d / (math.pi * r0 * r1) if r0 * r1 > 0.0 else 0.0,
    )


@jit
def fill_vessel_tables(z: FloatArray, r: FloatArray, n: int, table: FloatArray) -> None:
    """Write cumulative integrals at the nodes of a profile.

    Parameters
    ----------
    z, r, n
        Profile: heights, inner radii (m), number of nodes.
    table
        Array (5, ≥ n): volume m³, ∫zA m⁴, ∫z²A m⁵, ∫πr⁴/4 m⁵, ∫1/A 1/m. The last is left at its former value where the
        vessel closes to a point, since no flow passes there.
    """
    for k in range(5):
        table[k, 0] = 0.0
    for i in range(1, n):
        d = z[i] - z[i - 1]
        if d > 0.0:
            s = (r[i] - r[i - 1]) / d
            a, b, c, e, f = _add_frustum(r[i - 1], s, z[i - 1], d)
        else:
            a, b, c, e, f = 0.0, 0.0, 0.0, 0.0, 0.0
        table[0, i] = table[0, i - 1] + a
        table[1, i] = table[1, i - 1] + b
        table[2, i] = table[2, i - 1] + c
        table[3, i] = table[3, i - 1] + e
        table[4, i] = table[4, i - 1] + f


@jit
def frustum_at(volume: float, n: int, table: FloatArray, guess: int = 0) -> int:
    """Return which frustum the surface of so much water lies in; at once where it is the guessed one."""
    if table[0, guess] <= volume and guess < n - 1 and (guess == n - 2 or volume < table[0, guess + 1]):
        return guess
    low, high = 0, n - 1
    while high - low > 1:
        middle = (low + high) // 2
        if table[0, middle] <= volume:
            low = middle
        else:
            high = middle
    return low


@jit
def _fill(low: int, volume: float, z: FloatArray, r: FloatArray, table: FloatArray) -> tuple[float, float, float]:
    """Return height above the foot of its frustum, radius and slope of the wall at the surface."""
    dv = max(volume - table[0, low], 0.0)
    length = z[low + 1] - z[low]
    r0 = r[low]
    if length <= 0.0:
        return 0.0, r0, 0.0
    s = (r[low + 1] - r0) / length
    cube = max(r0**3 + 3.0 * s * dv / math.pi, 0.0)
    r1 = np.cbrt(cube) if s != 0.0 else r0
    d = 3.0 * dv / (math.pi * (r0 * r0 + r0 * r1 + r1 * r1)) if dv > 0.0 else 0.0
    return d, r1, s


@jit
def water_state(
    volume: float, z: FloatArray, r: FloatArray, n: int, table: FloatArray
) -> tuple[float, float, float, float, float]:
    """Return `water_state_in` of the frustum that the surface lies in."""
    return water_state_in(frustum_at(volume, n, table), volume, z, r, table)


@inline_jit
def water_state_in(
    low: int, volume: float, z: FloatArray, r: FloatArray, table: FloatArray
) -> tuple[float, float, float, float, float]:
    """Return level, surface, length integral, centre and transverse second moment of contained water.

    Parameters
    ----------
    low
        From `frustum_at`.
    volume
        Of the water, m³.
    z, r, table
        As in `fill_vessel_tables`.

    Returns
    -------
    height : float
        Of the free surface above the exit plane, m.
    surface : float
        Area of the free surface, m².
    inertial : float
        ∫dz/A from the exit plane to the surface, 1/m.
    centre : float
        Height of the water's centre, m; zero without water.
    moment : float
        ∫(z² + r²/4) dV, m⁵: transverse second moment about the exit plane.
    """
    d, r1, s = _fill(low, volume, z, r, table)
    _, b, c, e, f = _add_frustum(r[low], s, z[low], d)
    centre = (table[1, low] + b) / volume if volume > 0.0 else 0.0
    return (
        z[low] + d,
        math.pi * r1 * r1,
        table[4, low] + f,
        centre,
        table[2, low] + c + table[3, low] + e,
    )
