"""Does the stand stay where it is: tipping and sliding by cord, wind and jet, held by weight and stakes. SI."""

import math
from dataclasses import dataclass

__all__ = ["Footing", "Loads", "footing", "jet_push", "stake_hold", "stake_sideways", "wind_push"]

_G0 = 9.80665
_AIR = 1.225  # kg/m³, ISO 2533 at sea level
_ACROSS = 1.0  # drag coefficient of a cylinder across the wind; Munson has 0.74 (length 5 d) to 1.2 (long)
_ADHESION = 0.5  # of the ground's strength along a smooth stake, our judgement


@dataclass(frozen=True, slots=True)
class Loads:
    """Horizontal forces on the stand, N, and the heights above the ground at which they act, m."""

    cord: float
    cord_height: float
    wind: float
    wind_height: float
    jet: float
    jet_height: float

    @property
    def push(self) -> float:
        """All of them in one direction, N."""
        return self.cord + self.wind + self.jet

    @property
    def moment(self) -> float:
        """Their moment about the edge of the footprint, N m."""
        return self.cord * self.cord_height + self.wind * self.wind_height + self.jet * self.jet_height


@dataclass(frozen=True, slots=True)
class Footing:
    """Loads on a stand, what resists them, and the factors between the two."""

    push_N: float
    slide_resistance_N: float
    slide_factor: float
    moment_N_m: float
    tip_resistance_N_m: float
    tip_factor: float


def wind_push(speed: float, length: float, diameter: float) -> float:
    """Return the wind's force across a standing rocket, ½ ρ v² Cd A, N."""
    return 0.5 * _AIR * speed**2 * _ACROSS * length * diameter


def jet_push(gauge: float, bore: float, tilt: float) -> float:
    """Return the sideways force of the jet on a tilted launcher, 2 p A·sin(tilt), N; not its push downwards."""
    return 2.0 * gauge * 0.25 * math.pi * bore**2 * math.sin(tilt)


def stake_hold(length: float, diameter: float, ground_strength: float) -> float:
    """Return the force that draws a smooth stake out, ½ c π d L, N (any soil-mechanics text)."""
    return _ADHESION * ground_strength * math.pi * diameter * length


def stake_sideways(length: float, diameter: float, ground_strength: float) -> float:
    """Return the sideways force at ground level that overturns a short stake, N.

    Broms 1964, short free-headed pile in cohesive ground, as in Fundamentals of Foundation Engineering, §6.24.1
    (read): nothing down to 1.5 d, then 9 c d; force balance above the turning point, moment balance below it.
    """
    a = length - 1.5 * diameter
    if a <= 0.0:
        return 0.0
    b = a + 3.0 * diameter
    return 9.0 * ground_strength * diameter * (math.sqrt(b * b + a * a) - b)


def footing(
    loads: Loads, mass: float, width: float, friction: float, stakes: int, hold: float, sideways: float
) -> Footing:
    """Hold a stand's weight and stakes against its loads. Half of the stakes are on the side that lifts."""
    slide = friction * mass * _G0 + stakes * sideways
    tip = 0.5 * width * mass * _G0 + width * 0.5 * stakes * hold
    return Footing(
        loads.push, slide, slide / loads.push if loads.push > 0.0 else math.inf,
        loads.moment, tip, tip / loads.moment if loads.moment > 0.0 else math.inf,
    )
