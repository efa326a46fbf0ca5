"""A quadrant to hold up to the sky: its arc at true size shows how steeply somebody looks at the highest point."""

import math

from bottlewright.make.dimensions import on_drawing
from bottlewright.make.drawing import Arc, Dimension, Label, Path, Pattern, Shape, Style, circle, line
from bottlewright.make.specification import Specification

__all__ = ["RADIUS", "quadrant"]

RADIUS = 150.0
"""Of the arc, mm: a degree is then 2.6 mm, and the card still lies on one sheet."""

_HOLE, _TOP, _SIDE, _RIM = 2.0, 16.0, 14.0, 11.0
"""Hole for the plumb line; how far the card reaches over the hole, beside it, and beyond the arc, mm."""


def quadrant(spec: Specification) -> Pattern:
    """Return the quadrant: looking along its upper edge at an elevation, its plumb line hangs over that degree.

    With the edge level the line hangs over 0. Where the far end is raised by an angle, the card turns by it and the
    line stays: it then lies as many degrees nearer to the eye.
    """
    far = RADIUS + _RIM
    shapes: list[Shape] = [
        Path(((-far, 0.0), (-far, _TOP), (_SIDE, _TOP), (_SIDE, -far), (0.0, -far))),
        Arc((0.0, 0.0), far, math.pi, 1.5 * math.pi),
        circle((0.0, 0.0), _HOLE),
        Arc((0.0, 0.0), RADIUS, math.pi, 1.5 * math.pi, Style.MARK),
        line((-far, 0.5 * _TOP), (_SIDE, 0.5 * _TOP), Style.MARK),
        Label((-far + 3.0, 0.75 * _TOP), "EYE HERE", 3.2, anchor=0.0, bold=True),
        Label((-0.5 * far, 0.75 * _TOP), "glue a straw on this thin line, and look through it", 3.0),
        Label((-6.0, -9.0), f"plumb line through this hole, {on_drawing(spec.to_tenth(_HOLE))}", 2.8, anchor=1.0),
        Label((-0.44 * RADIUS, -0.44 * RADIUS), "° above the level", 3.4, -0.25 * math.pi),
        Dimension((0.0, 0.0), (0.0, -RADIUS), 6.0),
        *(shape for degree in range(91) for shape in _degree(degree)),
    ]
    notes = (
        "Stick it on stiff card, cut it out. Check it: with the upper edge along a spirit level the line hangs at 0.",
        "Tie a thread with a nut into the hole, knot behind; it has to hang free of the card.",
        "Look through the straw at the highest point. When the thread is at rest, press it on the card and read.",
        "Write down the angle, your distance to the launcher, and how high your eye is above the ground.",
        "Wind: hang a strip of cloth from the hole, edge level, wind towards EYE: its lean is read on the same scale.",
    )
    return Pattern("quadrant", "Quadrant for a height by angles", tuple(shapes), 2, "stiff card", notes)


def _degree(degree: int) -> list[Shape]:
    """Return the tick of a degree, and its number where it has one."""
    way = -0.5 * math.pi - math.radians(degree)
    cos, sin = math.cos(way), math.sin(way)
    inner = RADIUS - (8.0 if degree % 10 == 0 else 6.0 if degree % 5 == 0 else 3.5)
    shapes: list[Shape] = [line((inner * cos, inner * sin), (RADIUS * cos, RADIUS * sin), Style.MARK)]
    if degree % 10 == 0:
        at = RADIUS - 12.0
        shapes.append(Label((at * cos, at * sin), f"{degree}°", 4.0, way + 0.5 * math.pi, bold=True))
    return shapes
