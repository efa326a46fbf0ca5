"""What trips a release: pressure, air, clock. Derivations: docs/physics/recovery.md §3."""

import math

from bottlewright.physics import jit

__all__ = ["barometer_delay", "before_the_top", "flap_area", "flap_pressure", "latch_way", "part_above", "port_error"]


@jit
def port_error(coefficient: float, speed: float, gravity: float) -> float:
    """How much too low a barometer reads the height, m, behind a port at C_p: C_p v²/(2g); below zero: too high.

    Derived: the port feels p + C_p ½ρv², and a metre of height is ρ g.
    """
    return 0.5 * coefficient * speed * speed / gravity


@jit
def part_above(first: float, last: float, level: float) -> tuple[float, float]:
    """Part of a step, from and to, over which a force that changes evenly is above a level; (0, 0) where none is."""
    if first <= level and last <= level:
        return 0.0, 0.0
    across = (level - first) / (last - first) if first != last else 0.0
    return across if first <= level else 0.0, across if last <= level else 1.0


@jit
def latch_way(first: float, last: float, time: float, speed: float) -> tuple[float, float]:
    """Speed and way gained by an inertia latch whose acceleration goes evenly from `first` to `last`, m/s and m.

    Integrated twice: v + ½(a + b)t, and vt + (2a + b)t²/6.
    """
    return speed + 0.5 * (first + last) * time, (speed + (2.0 * first + last) * time / 6.0) * time


def barometer_delay(readings: int, interval: float, drop: float, gravity: float) -> float:
    """Time from the top until so many readings in turn lie a drop below it, s: (c − 1)Δt + √(2δ/g)."""
    return (readings - 1) * interval + math.sqrt(2.0 * drop / gravity)


def before_the_top(top: float, top_spread: float, time: float, time_spread: float) -> float:
    """Chance that a timer ends before the top, both normally spread: Φ((t − T)/√(σ_t² + σ_T²)) of top t, timer T."""
    return 0.5 * math.erfc((time - top) / math.hypot(top_spread, time_spread) / math.sqrt(2.0))


def flap_pressure(force: float, force_arm: float, coefficient: float, area: float, arm: float) -> float:
    """Dynamic pressure that just holds a flap shut against its band, Pa: F_b l_b/(C_n A_v l_v)."""
    return force * force_arm / (coefficient * area * arm)


def flap_area(force: float, force_arm: float, coefficient: float, pressure: float, arm: float) -> float:
    """Area of a flap that a dynamic pressure just holds shut, m²: F_b l_b/(C_n q l_v)."""
    return force * force_arm / (coefficient * pressure * arm)
