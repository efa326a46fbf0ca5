"""Canopies: cloth area and filling. Drag coefficients are data and come from outside."""

import math

from bottlewright.physics import jit

__all__ = ["cross_area", "filling_time", "hemisphere_area", "inflation", "open_area", "polygon_area", "round_area"]


@jit
def polygon_area(sides: int, width: float) -> float:
    """Area of a flat regular polygon with an even number of sides, m², from its width flat to flat, m."""
    return 0.25 * sides * math.tan(math.pi / sides) * width * width


@jit
def round_area(diameter: float) -> float:
    """Area of a flat round canopy, m²."""
    return 0.25 * math.pi * diameter * diameter


@jit
def cross_area(length: float, arm: float) -> float:
    """Area of a cross of two strips, m²: length tip to tip and width of the arms, m."""
    return arm * (2.0 * length - arm)


@jit
def hemisphere_area(diameter: float) -> float:
    """Surface of a hemispherical canopy, m², from its diameter at the skirt, m."""
    return 0.5 * math.pi * diameter * diameter


@jit
def open_area(area: float, spill_hole: float) -> float:
    """Canopy area less a round spill hole, m², never below zero (common practice, no source, for small holes)."""
    return max(area - round_area(spill_hole), 0.0)


@jit
def filling_time(filling: float, diameter: float, speed: float) -> float:
    """Time from line stretch to a full canopy, s: n·D₀/v.

    Knacke, "Parachute Recovery Systems Design Manual", NWC TP 6575, 1991, §5 (original not checked): a canopy fills
    over a length of air that is n diameters whatever the speed; n near 8 for a flat circular solid one.

    Parameters
    ----------
    filling
        n, filling distance in diameters.
    diameter, speed
        m; of the air past the canopy at line stretch, m/s.
    """
    return filling * diameter / speed


@jit
def inflation(elapsed: float, filling_time: float) -> float:
    """Share of the full drag area: (t/t_f)², 0 before and 1 after.

    The parabola that Knacke gives for solid flat canopies (original not checked). The slope jumps at t_f: put the end
    of a step there.
    """
    if elapsed >= filling_time:
        return 1.0
    if elapsed <= 0.0:
        return 0.0
    return (elapsed / filling_time) ** 2
