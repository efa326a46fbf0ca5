"""Mass, centre and moments of inertia of thin and of solid bodies of revolution made of frusta, and of fins.

A thin frustum of slant density σ has dm = 2π r σ √(1+s²) dx; a solid one dm = ρ π r² dx. All integrals are exact
polynomials along each frustum. Moments are per unit mass, the transverse one about the body's own centre.
"""

import math

from bottlewright.physics import FloatArray, jit
from bottlewright.physics.fins import roll_radii

__all__ = ["fin_ring", "moment_by_swing", "shell_of_frusta", "solid_of_frusta"]


@jit
def shell_of_frusta(x: FloatArray, r: FloatArray, first: int, last: int) -> tuple[float, float, float, float]:
    """Return area (m²), centre x (m), and axial and transverse moments per unit mass (m²) of a thin shell.

    Parameters
    ----------
    x, r
        Stations and radii, m.
    first, last
        Index of the first station and one past the last.
    """
    area = first_moment = second = ring = 0.0
    for i in range(first + 1, last):
        d, r0, s0 = x[i] - x[i - 1], r[i - 1], x[i - 1]
        slope = r[i] - r0
        slant = 2.0 * math.pi * math.sqrt(d * d + slope * slope)
        # With t from 0 to 1 along the frustum: r = r0 + slope t, x = s0 + d t.
        a0, a1, a2 = r0 + slope / 2.0, r0 / 2.0 + slope / 3.0, r0 / 3.0 + slope / 4.0
        area += slant * a0
        first_moment += slant * (s0 * a0 + d * a1)
        second += slant * (s0 * s0 * a0 + 2.0 * s0 * d * a1 + d * d * a2)
        ring += slant * (r0**3 + 1.5 * r0 * r0 * slope + r0 * slope**2 + 0.25 * slope**3)
    if area <= 0.0:
        return 0.0, x[first], 0.0, 0.0
    centre = first_moment / area
    return area, centre, ring / area, second / area - centre * centre + 0.5 * ring / area


@jit
def solid_of_frusta(x: FloatArray, r: FloatArray, first: int, last: int) -> tuple[float, float, float, float]:
    """Return volume (m³), centre x (m), and axial and transverse moments per unit mass (m²) of a solid body."""
    volume = first_moment = second = ring = 0.0
    for i in range(first + 1, last):
        d, r0, s0 = x[i] - x[i - 1], r[i - 1], x[i - 1]
        s = r[i] - r0
        a0 = r0 * r0 + r0 * s + s * s / 3.0
        a1 = r0 * r0 / 2.0 + 2.0 * r0 * s / 3.0 + s * s / 4.0
        a2 = r0 * r0 / 3.0 + r0 * s / 2.0 + s * s / 5.0
        volume += math.pi * d * a0
        first_moment += math.pi * d * (s0 * a0 + d * a1)
        second += math.pi * d * (s0 * s0 * a0 + 2.0 * s0 * d * a1 + d * d * a2)
        ring += 0.5 * math.pi * d * (r0**4 + 2.0 * r0**3 * s + 2.0 * r0**2 * s**2 + r0 * s**3 + 0.2 * s**4)
    if volume <= 0.0:
        return 0.0, x[first], 0.0, 0.0
    centre = first_moment / volume
    return volume, centre, ring / volume, second / volume - centre * centre + 0.5 * ring / volume


@jit
def fin_ring(root: float, tip: float, span: float, sweep: float, radius: float) -> tuple[float, float, float]:
    """Return centre aft of the root's front (m), axial and transverse moments per unit mass (m²) of a ring of fins.

    Three or more thin trapezoids on a body of `radius`. A strip along the body from p to q has ∫x dx = (q² − p²)/2 and
    ∫x² dx = (q³ − p³)/3, and p and q are straight lines over the span.
    """
    both, back = root + tip, sweep + tip
    if both <= 0.0:
        return 0.0, radius * radius, 0.5 * radius * radius
    centre = (root * root + root * back + back * back - sweep * sweep) / (3.0 * both)
    square = (root**3 + root * root * back + root * back * back + back**3 - sweep**3) / (6.0 * both)
    arm, reach = roll_radii(root, tip, span, radius)
    return centre, arm * reach, square - centre * centre + 0.5 * arm * reach


@jit
def moment_by_swing(mass: float, gravity: float, period: float, strings: float, apart: float) -> float:
    """Return the moment of inertia, kg m², about the upright through the balance point of what hangs on two strings.

    I = m g d² T² / (16 π² L), small turns, equal upright strings, the balance point midway: the bifilar pendulum (M. R.
    Jardin and E. R. Mueller, "Optimized Measurements of UAV Mass Moment of Inertia with a Bifilar Pendulum", AIAA
    2007-6822: the abstract was seen, original not checked; the tests swing a body step by step).

    Parameters
    ----------
    mass, gravity
        kg, m/s².
    period
        T of one swing there and back, s.
    strings, apart
        L, length of each, and d, the one from the other, m.
    """
    return mass * gravity * apart * apart * period * period / (16.0 * math.pi * math.pi * strings)
