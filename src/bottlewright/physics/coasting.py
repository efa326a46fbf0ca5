"""Straight up under gravity and drag alone, in closed form: when switches would trip. docs/physics/recovery.md §2."""

import math

__all__ = ["coast_height", "coast_time", "lead_height", "lead_of_light_force", "lead_time", "terminal_speed"]


def terminal_speed(mass: float, gravity: float, density: float, drag_area: float) -> float:
    """Speed of steady fall, m/s: √(2 m g/(ρ K))."""
    return math.sqrt(2.0 * mass * gravity / (density * drag_area))


def coast_time(speed: float, terminal: float, gravity: float) -> float:
    """Time from a speed straight up to the top, s: (v_t/g) atan(v/v_t)."""
    return terminal / gravity * math.atan(speed / terminal)


def coast_height(speed: float, terminal: float, gravity: float) -> float:
    """Height gained from a speed straight up to the top, m: (v_t²/2g) ln(1 + v²/v_t²)."""
    return 0.5 * terminal**2 / gravity * math.log1p((speed / terminal) ** 2)


lead_time = coast_time
"""How long before the top the speed has fallen to a given one, s: the coast from there."""

lead_height = coast_height
"""How far below the top that is, m."""


def lead_of_light_force(share: float, terminal: float, gravity: float) -> float:
    """How long before the top an accelerometer shows less than a share of gravity, s: |f| = s g at v_t √s."""
    return coast_time(terminal * math.sqrt(share), terminal, gravity)
