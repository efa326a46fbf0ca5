"""A canopy for a wanted descent: size, drift, packing, and the descents without one. docs/physics/recovery.md §5."""

import math

__all__ = ["canopy_area", "compartment", "drift", "hexagon_width", "packed_volume", "spinning_descent"]

_PRESSED = 480.0
"""Nylon packed under pressure, kg/m³: the densest there is (read, as an excerpt)."""
HAND_ROLLED = 200.0
"""Film or nylon rolled by hand, kg/m³, ± 50: common practice, no source."""
ROOM = 1.5
"""Room that a pack needs to come out, over its own: common practice, no source."""


def canopy_area(mass: float, speed: float, drag_coefficient: float, density: float, gravity: float) -> float:
    """Cloth for a steady descent, m²: 2 m g/(ρ C_D v²)."""
    return 2.0 * mass * gravity / (density * drag_coefficient * speed**2)


def hexagon_width(area: float) -> float:
    """Width flat to flat of a hexagon of an area, m."""
    return math.sqrt(2.0 * area / math.sqrt(3.0))


def drift(wind: float, wind_height: float, exponent: float, height: float, speed: float) -> float:
    """Way that the wind carries a descent from a height, m: w h_r^−α H^(1+α)/(v (1 + α)).

    Derived: the power law of the wind over the ground, integrated over a steady descent.
    """
    return wind * height * math.pow(height / wind_height, exponent) / (speed * (1.0 + exponent))


def packed_volume(mass: float, density: float = HAND_ROLLED) -> float:
    """Room that a packed canopy fills, m³; never denser than pressed nylon."""
    return mass / min(density, _PRESSED)


def compartment(mass: float, density: float = HAND_ROLLED) -> float:
    """Room that it needs to come out of, m³."""
    return ROOM * packed_volume(mass, density)


def spinning_descent(mass: float, gravity: float, density: float, coefficient: float, radius: float) -> float:
    """Descent of a rotor, m/s: √(2Mg/(ρ C π R²)); C 1.1 ± 0.2 (our judgement)."""
    return math.sqrt(2.0 * mass * gravity / (density * coefficient * math.pi * radius**2))
