"""Load of an opening canopy, and what its lines, knots and cord make of it. docs/physics/recovery.md §4."""

import math

from bottlewright.physics.nose_joint import reduced_mass

__all__ = [
    "KNOT_STRENGTH", "OVERSHOOT", "UNEVEN", "cord_pull", "cord_stretch", "line_angle", "line_load", "mass_ratio",
    "opening_factor",
]  # fmt: skip

OVERSHOOT = 1.7
"""Load of a flat canopy that fills without slowing over its steady drag: 1.7 to 1.8 (Knacke; original not
checked); 1.5 in a wind tunnel (read, as an excerpt)."""

UNEVEN = 1.5
"""Load of the worst line over an equal share: a third of the lines carry at first (Knacke; original not
checked)."""

KNOT_STRENGTH = {
    "overhand knot": 0.45, "reef knot": 0.45, "figure-eight knot": 0.48, "bowline": 0.60, "anchor bend": 0.70,
    "clove hitch": 0.75, "two half hitches": 0.75, "clinch knot": 0.80,
}  # fmt: skip
"""Share of its strength that a cord keeps in a knot: an agriculture handbook of 1964 (read, as an
excerpt)."""


def mass_ratio(mass: float, density: float, drag_area: float, speed: float, filling_time: float) -> float:
    """Mass of the rocket against that of the air that it meets while the canopy fills: 2m/(ρ C_D S v₁ t_f)."""
    return 2.0 * mass / (density * drag_area * speed * filling_time)


def opening_factor(ratio: float) -> float:
    """Greatest load over ½ρv₁²C_D S while the drag area grows as the square of the time, without gravity.

    Derived: v₁/v = 1 + τ³/(3A), and the top of τ²(v/v₁)² lies at τ³ = 3A/2 or at the end of the filling.

    Parameters
    ----------
    ratio
        A, from `mass_ratio`.
    """
    if ratio < 2.0 / 3.0:
        return math.pow(1.5 * ratio, 2.0 / 3.0) / 2.25
    return math.pow(1.0 + 1.0 / (3.0 * ratio), -2.0)


def line_angle(diameter: float, line: float) -> float:
    """Angle of the lines to the axis under a full canopy, rad: sin φ = 0.335 D/l.

    An inflated flat canopy is 0.67 of its flat diameter wide (Knacke; original not checked).
    """
    return float(math.asin(min(0.335 * diameter / line, 1.0)))


def line_load(load: float, lines: int, angle: float) -> float:
    """Load of each line where all carry alike, N: F/(n cos φ)."""
    return load / (lines * math.cos(angle))


def cord_pull(speed: float, stiffness: float, nose_mass: float, rest_mass: float) -> float:
    """Greatest pull of an elastic cord that stops two parts flying apart, N: v √(k m_r), all energy into the cord."""
    return speed * math.sqrt(stiffness * float(reduced_mass(nose_mass, rest_mass)))


def cord_stretch(speed: float, stiffness: float, nose_mass: float, rest_mass: float) -> float:
    """How far that cord stretches, m: v √(m_r/k)."""
    return speed * math.sqrt(float(reduced_mass(nose_mass, rest_mass)) / stiffness)
