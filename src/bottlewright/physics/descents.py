"""Coming down without a canopy: a shadow for a tumbling body, ballast that has shifted, two parts on one cord.

Derivations: docs/physics/recovery.md §5.
"""

import math

from bottlewright.physics import FloatArray, jit

__all__ = [
    "EVEN_TUMBLE", "fallen_speed", "nose_pressure_centre", "parting_rate", "shadow_area", "shifted_balance",
]  # fmt: skip

EVEN_TUMBLE = 4.0 / (3.0 * math.pi)
"""Mean of |sin³θ| over an even turn: drag of a long body turning end over end, over its drag across the stream."""


@jit
def shadow_area(x: FloatArray, r: FloatArray, n: int, start: float, end: float) -> float:
    """Area of the shadow that a body throws sideways, between two stations, m²: ∫ 2r dx."""
    area = 0.0
    for i in range(1, n):
        a, b = max(x[i - 1], start), min(x[i], end)
        if b <= a:
            continue
        slope = (r[i] - r[i - 1]) / (x[i] - x[i - 1])
        area += (2.0 * r[i - 1] + slope * (a + b - 2.0 * x[i - 1])) * (b - a)
    return area


@jit
def nose_pressure_centre(x: FloatArray, r: FloatArray, n: int, end: float) -> float:
    """Where the air takes hold of a slender nose that flies alone, from its tip, m: L − V/A.

    Slender-body theory: the side force grows as the cross-section does, so its lever is ∫ x dA / A.
    """
    volume, area, last = 0.0, 0.0, 0.0
    for i in range(1, n):
        if x[i] > end + 1e-9:
            break
        a, b = r[i - 1], r[i]
        volume += math.pi / 3.0 * (x[i] - x[i - 1]) * (a * a + a * b + b * b)
        area, last = math.pi * b * b, x[i]
    return last - volume / area if area > 0.0 else last


@jit
def shifted_balance(
    mass: float, centre: float, transverse: float, ballast: float, start: float, shift: float
) -> tuple[float, float]:
    """Centre (m from the nose tip) and transverse moment (kg m²) after a point of ballast has slid aft.

    Derived: both moments about the nose tip, which stays where it is, change by what the ballast's do.

    Parameters
    ----------
    mass, centre, transverse
        Of the whole before: kg, m, kg m² about its centre.
    ballast, start, shift
        kg; m from the nose tip; m.
    """
    after = centre + ballast * shift / mass
    tip = transverse + mass * centre * centre + ballast * ((start + shift) ** 2 - start * start)
    return after, tip - mass * after * after


def fallen_speed(terminal: float, gravity: float, height: float) -> float:
    """Speed after a fall from rest through a height, m/s: v_t √(1 − exp(−2gh/v_t²))."""
    return terminal * math.sqrt(-math.expm1(-2.0 * gravity * height / terminal**2))


@jit
def parting_rate(
    density: float, speed: float, front: float, front_area: float, rear: float, rear_area: float, cord: float
) -> float:
    """Speed at which two parts draw the cord between them taut, m/s: √(2aL), and never over their speed in the air.

    Derived, an upper bound: a = ½ρv²|K_f/m_f − K_r/m_r| as they part, held all along the cord though it fades.
    """
    apart = 0.5 * density * speed * speed * abs(front_area / front - rear_area / rear)
    return min(math.sqrt(2.0 * apart * cord), speed)
