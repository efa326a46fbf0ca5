"""Canopies and streamers: area, descent, filling and opening load. Drag coefficients are data and come from outside."""

import math

from bottlewright.physics import jit

__all__ = [
    "cross_area", "descent_rate", "drag_area_for", "filling_time", "flag_drag_coefficient", "hemisphere_area",
    "inflation", "open_area", "opening_factor", "opening_load", "polygon_area", "round_area",
]  # fmt: skip


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
def descent_rate(mass: float, drag_area: float, density: float, gravity: float) -> float:
    """Steady descent rate, m/s: weight equals drag ½ρv²·(C_d S).

    Parameters
    ----------
    mass
        Hanging mass, kg.
    drag_area
        C_d S, m².
    density, gravity
        Of air, kg/m³; m/s².
    """
    return math.sqrt(2.0 * mass * gravity / (density * drag_area))


@jit
def drag_area_for(rate: float, mass: float, density: float, gravity: float) -> float:
    """Drag area C_d S, m², that comes down at a steady rate in m/s; the inverse of `descent_rate`."""
    return 2.0 * mass * gravity / (density * rate * rate)


@jit
def filling_time(filling: float, diameter: float, speed: float) -> float:
    """Time from line stretch to a full canopy, s: n·D₀/v.

    Knacke, "Parachute Recovery Systems Design Manual", NWC TP 6575, 1991, §5 (recalled, not read): a canopy fills over
    a length of air that is n diameters whatever the speed; n near 8 for a flat circular solid one.

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

    The parabola that Knacke gives for solid flat canopies (recalled, not read). The slope jumps at t_f: put the end of
    a step there.
    """
    if elapsed >= filling_time:
        return 1.0
    if elapsed <= 0.0:
        return 0.0
    return (elapsed / filling_time) ** 2


@jit
def opening_factor(ballistic: float) -> float:
    """Greatest opening drag over ½ρv²·C_dS at line stretch, without weight: Pflanz's factor for a parabolic filling.

    Derived in docs/physics/air.md: with A = 2m/(C_dS ρ v t_f), drag is x²/(1 + x³/(3A))² of full drag at x = t/t_f, and
    its greatest value is (4/9)(3A/2)^(2/3) inside the filling when A < 2/3, else (1 + 1/(3A))⁻² at its end.

    Parameters
    ----------
    ballistic
        A; small when the canopy stops the rocket while it fills.
    """
    if ballistic < 2.0 / 3.0:
        return float(4.0 / 9.0 * (1.5 * ballistic) ** (2.0 / 3.0))
    return (1.0 + 1.0 / (3.0 * ballistic)) ** -2


@jit
def opening_load(
    mass: float, drag_area: float, density: float, speed: float, filling_time: float, overshoot: float
) -> float:
    """Greatest force of the opening canopy, N.

    Parameters
    ----------
    mass, drag_area, density
        kg; C_d S full, m²; kg/m³.
    speed, filling_time
        At line stretch, m/s; s, zero for a canopy that opens at once.
    overshoot
        Knacke's opening-force coefficient C_x: 1.7–1.8 for flat canopies (recalled, not read), 1 for none.
    """
    load = overshoot * 0.5 * density * speed * speed * drag_area
    if filling_time <= 0.0:
        return load
    return load * opening_factor(2.0 * mass / (drag_area * density * speed * filling_time))


@jit
def flag_drag_coefficient(length: float, width: float, areal_density: float, density: float) -> float:
    """Drag coefficient of a fluttering flag on the area of one side.

    Fairthorne, "Drag of flags", ARC R&M 1345, 1930, as later papers quote it: 0.39 [m/(ρ w)] (l/w)^−1.25 + 0.012, with
    m the mass per area (recalled, not read, so a cross-check and not a default). A crimped or stiffened streamer drags
    far more than a limp one: use a measured value.

    Parameters
    ----------
    length, width
        Along the wind and across it, m.
    areal_density, density
        Of the cloth, kg/m², and of air, kg/m³.
    """
    return float(0.39 * areal_density / (density * width) * (length / width) ** -1.25 + 0.012)
