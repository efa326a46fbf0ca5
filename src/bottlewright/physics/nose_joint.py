"""Pull at the joint of a loose nose, what is in the cavity under it, what pushes it and what jams it.

Derivations: docs/physics/recovery.md §1. Forces forward, on the nose piece, are positive.
"""

import math

from bottlewright.physics import jit

__all__ = [
    "ballistic_difference", "joint_pull", "locking_angle", "most_oblique_pull", "parted_speeds", "push_left",
    "reduced_mass", "release_pressure", "rubber_pull", "sealed_cavity", "slide_time", "spring_energy", "vented_cavity",
]  # fmt: skip


@jit
def joint_pull(
    nose_mass: float, turning: float, ahead: float, force: float, nose_drag: float, cavity: float, push: float
) -> float:
    """Pull that wants the nose off its seat, N: m_n(ω²ℓ − f) − D_n + Δp A + F_s.

    Newton's law for the nose piece alone along the axis, which moves with the rocket; gravity acts on both alike and
    drops out.

    Parameters
    ----------
    nose_mass
        Of the nose piece and all that rests on it, kg.
    turning
        Rate of turn across the axis, rad/s.
    ahead
        From the rocket's centre of mass forward to that of the nose piece, m.
    force
        Axial specific force of the rocket, m/s²: what an accelerometer in it shows.
    nose_drag, cavity, push
        Drag of the nose piece, excess pressure under it times the area of the seat, spring or rubber, N.
    """
    return nose_mass * (turning * turning * ahead - force) - nose_drag + cavity + push


@jit
def reduced_mass(first: float, second: float) -> float:
    """Mass that counts where two bodies part, kg: m₁m₂/(m₁ + m₂)."""
    return first * second / (first + second)


def ballistic_difference(nose_mass: float, rest_mass: float, nose_drag_area: float, rest_drag_area: float) -> float:
    """Pull at the joint over dynamic pressure in straight coast, m²: k = (m_n m_b/M)(K_b/m_b − K_n/m_n).

    From `joint_pull` with f = −(K_n + K_b) q/M. Above zero exactly when the nose piece has the higher ballistic
    coefficient m/K: it then flies ahead of the rest by itself.
    """
    each = rest_drag_area / rest_mass - nose_drag_area / nose_mass
    return float(reduced_mass(nose_mass, rest_mass)) * each


def release_pressure(push: float, hold: float, difference: float) -> float:
    """Dynamic pressure at which a sprung nose with k < 0 comes free as the rocket slows, Pa: (F_s − F_hold)/|k|."""
    return (push - hold) / -difference


def slide_time(length: float, reduced: float, pull: float, hold: float) -> float:
    """Time that the nose needs to slide clear of a shoulder under a steady pull, s: √(2 L m_r/(P − F_hold))."""
    return math.sqrt(2.0 * length * reduced / (pull - hold))


@jit
def push_left(start: float, end: float, stroke: float, out: float) -> float:
    """Push of a spring or rubber after the nose has moved, N: straight from start to end of its stroke, then none."""
    if stroke <= 0.0 or out >= stroke:
        return 0.0
    return start + (end - start) * out / stroke


def parted_speeds(nose_mass: float, rest_mass: float, speed: float, apart: float) -> tuple[float, float]:
    """Speeds of nose and rest along the axis, m/s, where they part at a relative speed: momentum is kept."""
    whole = nose_mass + rest_mass
    return speed + rest_mass / whole * apart, speed - nose_mass / whole * apart


def sealed_cavity(pressure_at_start: float, pressure_there: float) -> float:
    """Excess pressure in a sealed cavity that took its air on the ground, Pa; its air keeps its temperature."""
    return pressure_at_start - pressure_there


@jit
def vented_cavity(
    volume: float, hole_area: float, discharge: float, density: float, gravity: float, pressure: float, climb: float
) -> float:
    """Excess pressure in a cavity with a hole, Pa, as air flows out of it as fast as the outer pressure falls.

    Derived: at one temperature the volume that leaves a second is V ρ g w/p, through a sharp hole at C_d √(2Δp/ρ).
    Below zero where it sinks.
    """
    flow = volume * density * gravity * climb / pressure / (discharge * hole_area)
    return 0.5 * density * flow * abs(flow)


def rubber_pull(area: float, modulus: float, stretch: float, stiffening: float = 0.38) -> float:
    """Pull of a rubber band, N: A₀ E (1/λ − 1/λ²) exp[a(λ − 1/λ)].

    The form and a = 0.38: National Bureau of Standards, J. Res. 82(1), 1977 (read, as an excerpt).

    Parameters
    ----------
    area
        Cross-section unstretched, m².
    modulus
        Young's, Pa; 1.2 ± 0.3 MPa for household bands (our judgement).
    stretch
        Length over unstretched length.
    """
    shape = (1.0 / stretch - 1.0 / stretch**2) * math.exp(stiffening * (stretch - 1.0 / stretch))
    return area * modulus * shape


def spring_energy(stiffness: float, travel: float) -> float:
    """Energy in a pressed spring, J."""
    return 0.5 * stiffness * travel**2


def locking_angle(friction: float) -> float:
    """Half angle, rad, below which a tapered seat locks by itself: atan μ."""
    return math.atan(friction)


def most_oblique_pull(shoulder: float, friction: float) -> float:
    """Distance off the axis, m, from which a pull jams a shoulder instead of drawing it out: L_s/(2μ).

    Derived: the pull F at e is held by a couple N L_s = F e of the two ends, whose friction 2 μ N then equals F.
    """
    return 0.5 * shoulder / friction
