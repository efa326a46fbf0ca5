"""Sizes of a first rocket that flies nose first: fins on a card skirt, clay in the tip, a guide, not too much water.

The proportions are ours. They are tried, one flight each, on every bottle of the table sold with fizzy drinks and on
every nose (`tests/design/test_first_rocket.py`).
"""

import math

from bottlewright.design import tables
from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.reading import parse_design
from bottlewright.design.rewriting import Changes, rewritten
from bottlewright.design.shape import stations
from bottlewright.design.steadying import dry_balance, tip_weight
from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.quantities import UNITS, Dimension, inch_fraction, show, value_of

__all__ = [
    "FEWEST_FINS", "MOST_FINS", "NO_PARACHUTE", "canopy_for", "first_rocket", "most_water", "skirt_and_fins",
    "tip_place", "tip_place_text",
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
_GUIDE, _TILT = ("1.5 m", "5 ft"), "5 deg"
_CREW = ((2.5e5, ("15 m", "50 ft")), (4.2e5, ("25 m", "85 ft")), (math.inf, ("30 m", "100 ft")))
"""Length of the guide, and how far away the crew stand up to a pressure, Pa. The guide is aimed a little away from
them, and they stand so far back that no landing was counted where they are: a rocket that goes straight up comes down
on its launcher. Up to 6.2 bar, the published maximum, Field asks for no more in still air, of every size of bottle."""
_BALSA, _CARD = ("2 mm", "3/32 in"), ("0.3 mm", "0.012 in")
"""Thickness of fins and skirt."""
_IN_HAND = 0.85
"""Part of the guide by whose end the water is to be gone."""
_SINKS = 4.5
"""Speed under the parachute that its size aims at, m/s."""
_USUAL_SHARE = 1.0 / 3.0
"""Of the vessel, the most water that is proposed."""


def first_rocket(chosen: str, fins: int, parachute: str, habit: UnitHabit = METRIC) -> Design:
    """Return a completed rocket with everything sized.

    Parameters
    ----------
    chosen
        The tables of bottle, nozzle, nose and charge as they stand in a design file, and no others.
    fins
        How many.
    parachute
        Its diameter as text, `NO_PARACHUTE`, or nothing for the size that lands it gently.
    habit
        Which units the sizes are rounded to and written in.

    Raises
    ------
    DesignError
        Where no weight in the tip keeps the nose in front: the bottle is too wide for what it holds.
    """
    bare = complete(parse_design(chosen))
    place, step = tip_place(bare), _WEIGHT_STEP[habit.pounds]
    fixed: Changes = (*skirt_and_fins(bare, habit), ("fins.count", f"{fins}"), *_ground(bare, habit))
    canopy, steps = parachute or "300 mm", 0
    for _ in range(3):
        design = rewritten(bare, (*fixed, *_recovery(canopy)))
        weight = tip_weight(design, place, _MARGIN)
        if not math.isfinite(weight):
            raise DesignError([_stubby(bare, habit)])
        steps = math.ceil(weight / step)
        if not parachute:
            canopy = canopy_for(dry_balance(design)[0] + steps * step, habit)
    clay_mass = f"{0.2 * steps:.1f} oz" if habit.pounds else f"{5 * steps} g"
    clay: Changes = (("mass.0.name", "clay in the tip"), ("mass.0.mass", clay_mass),
                     ("mass.0.position", tip_place_text(bare, habit)))  # fmt: skip
    return rewritten(bare, (*fixed, *_recovery(canopy), *(clay if steps else ())))


def _stubby(design: Design, habit: UnitHabit) -> Problem:
    across, holds = habit.length(value_of(design.vessel.diameter)), show(value_of(design.vessel.volume), "mL")
    return Problem(
        "vessel.diameter", f"is {across}, and a bottle of {holds} that is so wide is too short: no weight in the tip "
        "keeps its nose in front", "measure once round it again, or say which bottle it is",
    )  # fmt: skip


_WEIGHT_STEP = (5e-3, 0.2 * UNITS[Dimension.MASS]["oz"])
"""Steps in which the weight in the tip grows, kg: of 5 g, or of 0.2 oz."""


def _ground(design: Design, habit: UnitHabit) -> Changes:
    pressure = value_of(design.charge.pressure)
    guide, crew = _GUIDE[habit.inches], next(away[habit.inches] for most, away in _CREW if pressure <= most)
    return (("launcher.guide_length", guide), ("launcher.tilt", _TILT), ("launcher.crew.operator", crew),
            ("launcher.crew.pumper", crew))  # fmt: skip


def most_water(design: Design) -> float:
    """Return the most water (m³) that is gone by the end of a completed design's guide, a third of the vessel at most.

    While it leaves steadily through a nozzle of area A, thrust 2 p A moves on average the dry mass m and half the
    water W. Speed and pressure fall out of the way that takes: s = ρ W² / (2 A (m + ρ W / 2)). Gravity makes it
    shorter.
    """
    bore, guide = value_of(design.nozzle.bore), _IN_HAND * value_of(design.launcher.guide_length)
    area = 0.25 * math.pi * bore**2 * value_of(design.nozzle.contraction)
    half, mass = 0.5 * area * guide, dry_balance(design)[0]
    gone = half + math.sqrt(half * half + 2.0 * area * guide * mass / 1e3)
    share = _USUAL_SHARE * value_of(design.vessel.volume) * design.vessel.count
    return math.floor(min(gone, share) * 1e5) * 1e-5


_RULE = (1e3, 8.0 / UNITS[Dimension.LENGTH]["in"])
"""Marks of the builder's rule that sizes are rounded to, 1/m: of a millimetre, or of an eighth of an inch."""


def _ruled(marks: int, habit: UnitHabit) -> str:
    return f"{inch_fraction(marks / _RULE[True], 8)} in" if habit.inches else f"{marks} mm"


def skirt_and_fins(design: Design, habit: UnitHabit) -> Changes:
    """Return the sizes of fins and of the card skirt that carries them, for the bottle of a completed design."""
    at, across, marks = stations(design), value_of(design.vessel.diameter), _RULE[habit.inches]
    rear, root = math.floor(marks * at.neck), round(marks * _ROOT * across)
    top = round(marks * (at.cylinder_end - _GRIP * across))
    return (
        ("fins.material", "balsa"), ("fins.thickness", _BALSA[habit.inches]), ("fins.root", _ruled(root, habit)),
        ("fins.tip", _ruled(round(marks * _TIP * across), habit)),
        ("fins.span", _ruled(round(marks * _SPAN * across), habit)),
        ("fins.sweep", _ruled(round(marks * _SWEEP * across), habit)),
        ("fins.position", _ruled(rear - root, habit)), ("sleeve.material", "card"),
        ("sleeve.thickness", _CARD[habit.inches]), ("sleeve.position", _ruled(top, habit)),
        ("sleeve.length", _ruled(rear - top, habit)),
    )  # fmt: skip


def tip_place(design: Design) -> float:
    """Return where clay sits in the tip, m from its point: a cone holds little there."""
    length = value_of(design.nose.length) if design.nose else 0.0
    share = 0.4 if design.nose and design.nose.shape == "cone" else 0.25
    return max(round(share * length, 3), 0.01)


def tip_place_text(design: Design, habit: UnitHabit) -> str:
    """Return where clay sits in the tip as text, on a mark of the builder's rule."""
    return _ruled(round(_RULE[habit.inches] * tip_place(design)), habit)


def canopy_for(mass: float, habit: UnitHabit) -> str:
    """Return the diameter of a hexagon that a mass (kg) sinks under at `_SINKS`, up to the next cm or inch, as text.

    m g = ½ ρ v² C A, in the air of 15 °C at sea level; the flat area goes with the square of the diameter.
    """
    drag = tables.canopy("hexagon")["drag_coefficient"].value * 0.5 * math.sqrt(3.0)  # flat to flat
    across = math.sqrt(2.0 * mass * 9.81 / (1.225 * _SINKS**2 * drag))
    if habit.inches:
        return f"{math.ceil(across / UNITS[Dimension.LENGTH]['in'])} in"
    return f"{math.ceil(100.0 * across) * 10} mm"


def _recovery(canopy: str) -> Changes:
    return () if canopy == NO_PARACHUTE else (("recovery.kind", "parachute"), ("recovery.diameter", canopy))
