"""The release as a machine: what pulls the rocket off, what holds it, and the pull that opens it. SI, gauge pressure.

    separation force     F = p π d²/4 at the seal
    outward force        R = F·tan(wedge): the holding faces press it against the collar or sleeve
    opening force        O = spring + μ R − R·tan(slope)      (a pin or fork rubs on both sides: R = 2 F)
    pull on the cord     O / (1 − 2 μ e/l) / leverage · e^(μ' φ)

The factor 1/(1 − 2 μ e/l) is a collar of guided length l pulled at a distance e from its axis: it tilts, bears at two
edges and rubs there, and sticks for good when 2 μ e reaches l, as a drawer does (statics; derived in docs/prove.md).
The last factor is a cord dragged round a bar through an angle φ (Euler and Eytelwein).
"""

import math

__all__ = [
    "capstan", "grip_pressure", "opening_force", "outward_force", "pull_offset", "separation_force", "tilt_drag",
]


def separation_force(gauge: float, seal_diameter: float) -> float:
    """Return the force that the pressure pulls the rocket off with, N."""
    return gauge * 0.25 * math.pi * seal_diameter**2


def outward_force(kind: str, separation: float, wedge: float) -> float:
    """Return the force between the holding faces and the part that moves, N.

    Parameters
    ----------
    kind
        collar, ties or pin.
    wedge
        Angle of the holding face from the plane across the axis, rad; a pin rubs on both sides and has none.
    """
    return 2.0 * separation if kind == "pin" else separation * math.tan(wedge)


def opening_force(spring: float, friction: float, outward: float, slope: float = 0.0) -> float:
    """Return the force that moves the collar, sleeve or pin, N; not positive when it opens by itself."""
    return spring + friction * outward - outward * math.tan(slope)


def pull_offset(cords: int, evenness: float, radius: float) -> float:
    """Return how far from the axis the pull of one or two cords acts, m.

    `evenness` is the share of the harder-pulled of two cords tied on opposite sides: 0.5 even, 1 all on one.
    """
    return radius * (2.0 * evenness - 1.0) if cords == 2 else radius


def tilt_drag(friction: float, offset: float, guided_length: float) -> float:
    """Return the factor by which an off-axis pull has to be greater, 1/(1 − 2 μ e/l); infinite when it sticks."""
    room = 1.0 - 2.0 * friction * offset / guided_length if guided_length > 0.0 else (1.0 if offset == 0.0 else 0.0)
    return 1.0 / room if room > 0.0 else math.inf


def capstan(friction: float, turn: float) -> float:
    """Return tension on the hand's side over tension on the release's side of a cord round a bar, e^(μ φ)."""
    return math.exp(friction * turn)


def grip_pressure(grip: float, seal_diameter: float) -> float:
    """Return the gauge pressure at which a friction plug lets go by itself, Pa."""
    return grip / separation_force(1.0, seal_diameter)
