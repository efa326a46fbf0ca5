"""Lengths that the patterns start from, taken from a completed design, in millimetres."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bottlewright.design import Design
from bottlewright.design.shape import bottle_lengths, nose_radius, stations
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.make.drawing import Point
from bottlewright.quantities import Quantity, inch_fraction

__all__ = ["Body", "body_of", "body_radius", "fin_corners", "fraction_text", "length_text", "mm", "nose_profile",
           "on_drawing", "outer_profile"]  # fmt: skip


def mm(quantity: Quantity | None, otherwise: float = 0.0) -> float:
    """Return a length in mm."""
    return otherwise if quantity is None else round(1e3 * quantity.value, 9)  # 9 mm stays 9 mm


def length_text(habit: UnitHabit, *lengths: float, form: str = "g") -> str:
    """Return lengths, mm, as text in a number format: ``"140 mm"``, or ``"5.51 × 3.54 in (140 × 90 mm)"``."""
    exact = [round(length, 2) for length in lengths] if habit.inches else lengths  # 0.354 in is no 8.99998 mm
    metric = f"{' × '.join(f'{length:{form}}' for length in exact)} mm"
    return f"{' × '.join(map(_inches, lengths))} in ({metric})" if habit.inches else metric


def _inches(length: float) -> str:
    inches = length / 25.4
    return f"{inches:.{2 if inches >= 1.0 else 3}f}".rstrip("0").rstrip(".")


def fraction_text(habit: UnitHabit, *lengths: float, of: int = 16, form: str = ".0f", down: bool = False) -> str:
    """Return lengths, mm, that are sawn or drilled: ``"140 mm"``, or ``"5 1/2 × 1/4 in (140 × 6 mm)"``.

    To the nearest 16th of an inch, or another part `of` one, or `down`, as a tolerance wants it; small ones to a finer
    part.
    """
    metric = f"{' × '.join(f'{length:{form}}' for length in lengths)} mm"
    own = " × ".join(inch_fraction(1e-3 * length, of, down) for length in lengths)
    return f"{own} in ({metric})" if habit.inches else metric


def on_drawing(text: str) -> str:
    """Return a length's text as a drawing has it: without mm, which its caption says, but with inches and brackets."""
    return text.removesuffix(" mm")


@dataclass(frozen=True, slots=True)
class Body:
    """The body along its axis, mm from the nose tip.

    Parameters
    ----------
    diameter, neck
        Outer diameters of cylinder and neck.
    nose_end, cylinder_end, neck_start, exit
        Stations.
    base
        Length of the bottle's rounded end, which sits inside the nose.
    profile
        Measured (height above the nozzle exit, outer radius); empty for the generic bottle.
    """

    diameter: float
    neck: float
    nose_end: float
    cylinder_end: float
    neck_start: float
    exit: float
    base: float
    profile: tuple[Point, ...] = ()


def body_of(design: Design) -> Body:
    """Return the body of a completed design."""
    at = stations(design)
    vessel = design.vessel
    # The finish of the neck is about 2 mm thick; the bottle's own wall is the least it can be.
    neck = mm(vessel.neck_bore) + 2.0 * max(mm(vessel.wall), 2.0)
    _, _, _, base = bottle_lengths(vessel)
    profile = tuple((mm(z), mm(r) + mm(vessel.wall)) for z, r in vessel.profile or [])
    ends = (1e3 * at.nose_end, 1e3 * at.cylinder_end, 1e3 * at.neck, 1e3 * at.exit)
    return Body(mm(vessel.diameter), neck, *ends, 1e3 * base, profile)


def body_radius(body: Body, x: float) -> float:
    """Return the outer radius behind the nose, mm: as measured, or cylinder, half-cosine shoulder, neck."""
    wide, narrow = 0.5 * body.diameter, 0.5 * body.neck
    if x <= body.cylinder_end:
        return wide
    for (z0, r0), (z1, r1) in pairwise(body.profile):
        if z0 <= body.exit - x <= z1:
            return r0 + (r1 - r0) * (body.exit - x - z0) / (z1 - z0)
    if x >= body.neck_start:
        return narrow
    part = (x - body.cylinder_end) / (body.neck_start - body.cylinder_end)
    return narrow + 0.5 * (wide - narrow) * (1.0 + math.cos(math.pi * part))


def nose_profile(design: Design, steps: int = 120, length: float | None = None) -> list[Point]:
    """Return (distance from the tip, outer radius) along the nose, mm, closely spaced where it turns fastest.

    Parameters
    ----------
    length
        Of the shaped part, mm, where a tube takes some of the nose's length.
    """
    nose = design.nose
    if nose is None or nose.length is None or nose.diameter is None or nose.length.value <= 0.0:
        return []
    length, radius = length or mm(nose.length), 0.5 * mm(nose.diameter)
    fineness = length / (2.0 * radius)
    parts = [(i / steps) ** 2 for i in range(steps + 1)]
    return [(length * part, radius * nose_radius(nose.shape, part, fineness)) for part in parts]


def outer_profile(body: Body, nose: Sequence[Point], steps: int = 40) -> list[Point]:
    """Return (station, outer radius) of nose, cylinder, shoulder and neck, mm, from the body and its nose profile."""
    nose = nose or [(0.0, 0.5 * body.diameter)]
    span = body.neck_start - body.cylinder_end
    shoulder = [body.cylinder_end + span * k / steps for k in range(steps + 1)]
    return [
        *nose,
        (body.nose_end, 0.5 * body.diameter),
        *((x, body_radius(body, x)) for x in shoulder),
        (body.exit, 0.5 * body.neck),
    ]


def fin_corners(design: Design) -> list[Point]:
    """Return one fin's corners, (aft of the root's front edge, out from the cylinder), mm; empty without fins."""
    fins = design.fins
    if fins is None:
        return []
    if fins.outline:
        return [(mm(x), mm(y)) for x, y in fins.outline]
    root, tip, span, sweep = mm(fins.root), mm(fins.tip), mm(fins.span), mm(fins.sweep)
    corners = [(0.0, 0.0), (sweep, span), (sweep + tip, span), (root, 0.0)]
    return corners if tip > 0.0 else [corners[0], corners[1], corners[3]]
