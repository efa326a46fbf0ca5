"""Fins: lift slope, centre of pressure, interference with the body, and the normal force over the full circle.

Sources: J. S. Barrowman, The Practical Calculation of the Aerodynamic Characteristics of Slender Finned Vehicles,
thesis, Catholic University of America, 1967 (lift slope by Diederich's relation, the factor 1 + r/(s + r)); Hoerner,
Fluid-Dynamic Drag, 1965 (flat plates). Of both, original not checked.
"""

import math

from bottlewright.physics import FloatArray, jit

__all__ = ["equal_trapezoid", "fin_slope", "gang_factor", "mean_chord", "roll_radii", "wing_factor"]


@jit
def mean_chord(root: float, tip: float, span: float, sweep: float) -> tuple[float, float, float]:
    """Return (chord, front, out): the mean aerodynamic chord, where its front lies aft of the root's, and its height.

    All in m; `out` is measured from the root. A quarter of it aft of its front is Barrowman's centre of pressure.
    """
    both = root + tip
    chord = 2.0 / 3.0 * (both - root * tip / both)
    front = sweep / 3.0 * (root + 2.0 * tip) / both
    out = span / 3.0 * (root + 2.0 * tip) / both
    return chord, front, out


@jit
def fin_slope(root: float, tip: float, span: float, sweep: float) -> float:
    """Normal-force slope of one fin, 1/rad, on its own area and its own angle of incidence.

    π A_R/(1 + √(1 + (A_R/(2 cos Γ))²)) with A_R = 2 s²/area of the fin and its mirror image, Γ the sweep of the
    mid-chord line: Barrowman's 4 N (s/d)²/(1 + √(1 + (2 ℓ/(c_r + c_t))²)) for N fins, shared out. For the slender fin
    it tends to π A_R/2 (Jones), for the long one to 2π.
    """
    area = 0.5 * (root + tip) * span
    mid = math.hypot(span, sweep + 0.5 * (tip - root))
    return 2.0 * math.pi * span * span / area / (1.0 + math.sqrt(1.0 + (2.0 * mid / (root + tip)) ** 2))


@jit
def wing_factor(radius: float, span: float) -> float:
    """Barrowman's factor by which the body's upwash raises the fins' force: 1 + r/(s + r)."""
    return 1.0 + radius / (span + radius)


@jit
def gang_factor(count: int) -> float:
    """Part of the force that each of many fins keeps when they crowd each other.

    1 up to 4 fins, then 0.948, 0.913, 0.854, 0.81 for 5 to 8 (MIL-HDBK-762; original not checked), 0.75 for more.
    """
    if count <= 4:
        return 1.0
    if count == 5:
        return 0.948
    if count == 6:
        return 0.913
    if count == 7:
        return 0.854
    return 0.81 if count == 8 else 0.75


@jit
def roll_radii(root: float, tip: float, span: float, radius: float) -> tuple[float, float]:
    """Return (arm, reach) in m, from the axis.

    A twist of the fins acts at the centre of area `arm`; a roll rate p counts as the sideways speed p × `reach`, with
    arm × reach the mean of y² over the area, so that both are right by strip theory (Barrowman).
    """
    both = root + tip
    first = span / 3.0 * (root + 2.0 * tip) / both
    second = span * span / 6.0 * (root + 3.0 * tip) / both
    arm = radius + first
    return arm, (radius * radius + 2.0 * radius * first + second) / arm


@jit
def equal_trapezoid(x: FloatArray, y: FloatArray, n: int) -> tuple[float, float, float, float]:
    """Return (root, tip, span, sweep) in m of the trapezoid that stands for a fin of any outline.

    Same area, span, root chord and place of the centre of area along the body. Where the outline is too slim for its
    root (the tip would be negative), a triangle of the same area, span and centre.

    Parameters
    ----------
    x, y, n
        Outline along the edge, from the front of the root over the tip to the back of the root: aft of the root's
        front and out from the body, m.
    """
    area, first, span = 0.0, 0.0, 0.0
    for i in range(n):
        j = (i + 1) % n
        cross = x[i] * y[j] - x[j] * y[i]
        area += 0.5 * cross
        first += (x[i] + x[j]) * cross / 6.0
        span = max(span, y[i])
    if area == 0.0 or span == 0.0:
        return abs(x[n - 1] - x[0]), 0.0, 0.0, 0.0
    centre = first / area
    area = abs(area)
    root = abs(x[n - 1] - x[0])
    tip = 2.0 * area / span - root
    if tip < 0.0:
        root, tip = 2.0 * area / span, 0.0
    sweep = (3.0 * centre * (root + tip) - (root * root + root * tip + tip * tip)) / (root + 2.0 * tip)
    return root, tip, span, sweep
