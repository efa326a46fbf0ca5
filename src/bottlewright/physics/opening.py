"""An opening that is not free at once: the water jet behind a gap that grows as the rocket leaves its seal.

With σ the gap's effective area over the jet's, the water that leaves at u through the jet's area goes at u/σ through
the gap, so the gap takes κ = 1/σ² − 1 velocity heads of the jet:

    Λ_e u̇ = (p − p_a)/ρ + f h − ½ u² (1 + k + κ − β²).

What the rocket feels of it depends on who carries the throttle. A spigot or socket stays with the launcher: the gap
holds the pressure p_a + ½ ρ u² κ against the exit, and the push grows by ½ ρ A_j u² κ. A plug or collar that is
part of what is held turns the water itself: the stream leaves at u/σ, and the push grows by ρ A_j u² (1/σ − 1).
Derived in docs/physics/launch.md.
"""

import math

from bottlewright.physics import jit

__all__ = ["AT_ONCE", "BY_TIME", "BY_TRAVEL", "LEAST_SHARE", "first_jet", "gap_share", "throttle"]

AT_ONCE, BY_TIME, BY_TRAVEL = 0, 1, 2
"""How an opening grows: free from the first, evenly in time (on a stand), with the way off the seal (in flight)."""

LEAST_SHARE = 1e-3
"""Share σ that an opening starts from: at nothing the equation has no start, and what leaves before is a millionth."""


@jit
def gap_share(gap: float, rim: float, seal: float, coefficient: float, jet_area: float) -> float:
    """Return σ of the gap between the rim of the exit and the rim of the seal; over 1 it throttles nothing.

    The gap's area is that of the cone between two rims, π (D + d)/2 · √(x² + ((D − d)/2)²) (geometry).

    Parameters
    ----------
    gap
        Way of the exit beyond the seal, m.
    rim, seal
        Diameters D of the rim that leaves and d of the one that stays, m.
    coefficient
        Discharge coefficient of the gap.
    jet_area
        A_j, m².
    """
    around = coefficient * 0.5 * math.pi * (rim + seal) / jet_area
    way = max(gap, 0.0) + LEAST_SHARE / around
    half = 0.5 * (rim - seal)
    return around * math.sqrt(way * way + half * half)


@jit
def throttle(share: float, law: int) -> tuple[float, float]:
    """Return κ and what the throttle adds to the push, over ρ A_j u²."""
    heads = 1.0 / (share * share) - 1.0
    return heads, 1.0 / share - 1.0 if law == BY_TIME else 0.5 * heads


@jit
def first_jet(drive: float, length: float, share: float, share_rate: float, kept: float) -> float:
    """Return the jet's speed u, m/s, of an opening that has grown from nothing at a rate σ̇ (1/s) to a small share.

    At σ → 0 the speed in the gap w = u/σ follows ½ b w² + Λ σ̇ w = drive. In flight the rocket yields: with M its mass
    and c = ρ A_j h/M, b = 1 − c and Λ = Λ_e − c h; held, b = 1 and Λ = Λ_e (docs/physics/launch.md).

    Parameters
    ----------
    drive
        (p − p_a)/ρ, and f h where f is given, m²/s².
    length
        Λ, m.
    kept
        b.
    """
    slow = length * share_rate
    return share * (math.sqrt(slow * slow + 2.0 * kept * max(drive, 0.0)) - slow) / kept
