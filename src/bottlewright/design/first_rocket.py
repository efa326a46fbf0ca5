"""Sizes of a first rocket that flies nose first: fins on a card skirt, clay in the tip, a guide, not too much water.

The proportions are ours. They are tried, one flight each, on every bottle of the table sold with fizzy drinks and on
every nose (`tests/design/test_first_rocket.py`).
"""

import math

from bottlewright.design import tables
from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.design.reading import parse_design
from bottlewright.design.rewriting import Changes, rewritten
from bottlewright.design.shape import stations
from bottlewright.design.steadying import dry_balance, tip_weight
from bottlewright.quantities import Quantity

__all__ = [
    "FEWEST_FINS", "MOST_FINS", "NO_PARACHUTE", "canopy_for", "first_rocket", "most_water", "skirt_and_fins",
    "tip_place",
]  # fmt: skip

FEWEST_FINS, MOST_FINS = 3, 8
"""Two fins steady a rocket one way only; more than eight are drawn as eight."""

NO_PARACHUTE = "none"

_ROOT, _TIP, _SPAN, _SWEEP = 1.0, 0.7, 1.4, 1.1
"""Of a fin, in body diameters: swept so far that its tip trails behind the nozzle."""
_GRIP = 0.6
"""How far the skirt reaches up the straight part of the bottle, in body diameters."""
_MARGIN = 1.4
"""Static margin without water that the sizes aim at, in body diameters: the limit is 1."""
_GUIDE = 1.5
"""Length of the guide, m."""
_GROUND: Changes = (
    ("launcher.guide_length", f"{_GUIDE} m"), ("launcher.tilt", "5 deg"), ("launcher.crew.operator", "15 m"),
    ("launcher.crew.pumper", "15 m"),
)  # fmt: skip
"""Aimed a little away from the crew, who stand so far back that no landing was counted where they are: a rocket that
goes straight up comes down on its launcher."""
_IN_HAND = 0.85
"""Part of the guide by whose end the water is to be gone."""
_SINKS = 4.5
"""Speed under the parachute that its size aims at, m/s."""
_USUAL_SHARE = 1.0 / 3.0
"""Of the vessel, the most water that is proposed."""


def first_rocket(chosen: str, fins: int, parachute: str) -> Design:
    """Return a completed rocket with everything sized.

    Parameters
    ----------
    chosen
        The tables of bottle, nozzle, nose and charge as they stand in a design file, and no others.
    fins
        How many.
    parachute
        Its diameter as text, `NO_PARACHUTE`, or nothing for the size that lands it gently.
    """
    bare = complete(parse_design(chosen))
    place = tip_place(bare)
    fixed: Changes = (*skirt_and_fins(bare), ("fins.count", f"{fins}"), *_GROUND)
    canopy, weight = parachute or "300 mm", 0.0
    for _ in range(3):
        design = rewritten(bare, (*fixed, *_recovery(canopy)))
        weight = math.ceil(tip_weight(design, place, _MARGIN) / 5e-3) * 5e-3
        if not parachute:
            canopy = canopy_for(dry_balance(design)[0] + weight)
    clay: Changes = (("mass.0.name", "clay in the tip"), ("mass.0.mass", f"{1e3 * weight:.0f} g"),
                     ("mass.0.position", f"{1e3 * place:.0f} mm"))  # fmt: skip
    return rewritten(bare, (*fixed, *_recovery(canopy), *(clay if weight else ())))


def most_water(design: Design) -> float:
    """Return the most water (m³) that is gone by the end of a completed design's guide, a third of the vessel at most.

    While it leaves steadily through a nozzle of area A, thrust 2 p A moves on average the dry mass m and half the
    water W. Speed and pressure fall out of the way that takes: s = ρ W² / (2 A (m + ρ W / 2)). Gravity makes it
    shorter.
    """
    bore, guide = _number(design.nozzle.bore), _IN_HAND * _number(design.launcher.guide_length)
    area = 0.25 * math.pi * bore**2 * _number(design.nozzle.contraction)
    half, mass = 0.5 * area * guide, dry_balance(design)[0]
    gone = half + math.sqrt(half * half + 2.0 * area * guide * mass / 1e3)
    share = _USUAL_SHARE * _number(design.vessel.volume) * design.vessel.count
    return math.floor(min(gone, share) * 1e5) * 1e-5


def skirt_and_fins(design: Design) -> Changes:
    """Return the sizes of fins and of the card skirt that carries them, for the bottle of a completed design."""
    at, across = stations(design), _number(design.vessel.diameter)
    rear, root = math.floor(1e3 * at.neck), round(1e3 * _ROOT * across)
    top = round(1e3 * (at.cylinder_end - _GRIP * across))
    return (
        ("fins.material", "balsa"), ("fins.thickness", "2 mm"), ("fins.root", f"{root} mm"),
        ("fins.tip", f"{1e3 * _TIP * across:.0f} mm"), ("fins.span", f"{1e3 * _SPAN * across:.0f} mm"),
        ("fins.sweep", f"{1e3 * _SWEEP * across:.0f} mm"), ("fins.position", f"{rear - root} mm"),
        ("sleeve.material", "card"), ("sleeve.thickness", "0.3 mm"), ("sleeve.position", f"{top} mm"),
        ("sleeve.length", f"{rear - top} mm"),
    )  # fmt: skip


def tip_place(design: Design) -> float:
    """Return where clay sits in the tip, m from its point: a cone holds little there."""
    length = _number(design.nose.length) if design.nose else 0.0
    share = 0.4 if design.nose and design.nose.shape == "cone" else 0.25
    return max(round(share * length, 3), 0.01)


def canopy_for(mass: float) -> str:
    """Return the diameter of a hexagon that a mass (kg) sinks under at `_SINKS`, up to the next centimetre, as text.

    m g = ½ ρ v² C A, in the air of 15 °C at sea level; the flat area goes with the square of the diameter.
    """
    drag = tables.canopy("hexagon")["drag_coefficient"].value * 0.5 * math.sqrt(3.0)  # flat to flat
    return f"{math.ceil(100.0 * math.sqrt(2.0 * mass * 9.81 / (1.225 * _SINKS**2 * drag))) * 10} mm"


def _recovery(canopy: str) -> Changes:
    return () if canopy == NO_PARACHUTE else (("recovery.kind", "parachute"), ("recovery.diameter", canopy))


def _number(quantity: Quantity | None) -> float:
    return 0.0 if quantity is None else quantity.value
