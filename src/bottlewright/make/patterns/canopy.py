"""The parachute flat: a regular polygon or cross in one piece, gores for a hemisphere; its fold template, its lines."""

import math
from dataclasses import replace
from itertools import pairwise

from bottlewright.make.dimensions import mm, on_drawing
from bottlewright.make.drawing import Arc, Dimension, Label, Path, Pattern, Point, Shape, Style, circle, line
from bottlewright.make.letting_out.sizes import streamer_folds
from bottlewright.make.patterns.nose import SEAM
from bottlewright.make.specification import Specification

__all__ = [
    "KNOTS",
    "LineTable",
    "canopy",
    "canopy_area",
    "flat_canopy",
    "hemisphere_gore",
    "line_points",
    "line_table",
    "regular_polygon",
    "streamer",
]

HEM = 10.0
KNOTS = 80.0
"""Extra on each line for its knots, mm, both ends together: common practice, no source."""
_SIDES = {"hexagon": 6, "octagon": 8}
_FOLDING = {
    4: "in half, in half again to a square, then corner to corner",
    6: "in half, then in thirds, then in half",
    8: "in half four times",
}

LineTable = list[tuple[str, str]]


def regular_polygon(sides: int, across: float) -> list[Point]:
    """Return the corners of a regular polygon `across` mm from flat to flat, one flat at the bottom."""
    reach = 0.5 * across / math.cos(math.pi / sides)
    turn = -0.5 * math.pi + math.pi / sides
    return [
        (reach * math.cos(turn + 2 * math.pi * k / sides), reach * math.sin(turn + 2 * math.pi * k / sides))
        for k in range(sides)
    ]


def canopy_area(corners: list[Point]) -> float:
    """Return the area inside corners, mm²."""
    return 0.5 * abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]])))


def _cross(across: float) -> list[Point]:
    arm, half = across / 6.0, 0.5 * across
    quarter = [(arm, half), (arm, arm), (half, arm)]
    corners: list[Point] = []
    for k in range(4):  # clockwise from the top
        cos, sin = math.cos(-0.5 * math.pi * k), math.sin(-0.5 * math.pi * k)
        corners += [(x * cos - y * sin, x * sin + y * cos) for x, y in quarter]
    return corners


def flat_canopy(shape: str, across: float) -> list[Point]:
    """Return the corners of a flat canopy, mm; empty for a round one."""
    if shape in _SIDES:
        return regular_polygon(_SIDES[shape], across)
    if shape == "square":
        return regular_polygon(4, across)
    return _cross(across) if shape == "cross" else []


def hemisphere_gore(radius: float, count: int, steps: int = 90) -> list[Point]:
    """Return (distance from the top along the cloth, half width) of one gore of a hemisphere, mm.

    Full width at s is 2·π·R·sin(s/R)/n, length π·R/2.
    """
    arcs = [0.5 * math.pi * radius * k / steps for k in range(steps + 1)]
    return [(s, math.pi * radius * math.sin(s / radius) / count) for s in arcs]


def canopy(spec: Specification) -> list[Pattern]:
    """Return the parachute's patterns, or the streamer's."""
    part = spec.design.recovery
    if part.kind == "streamer":
        return [streamer(mm(part.length), mm(part.width), _cloth(spec))]
    if part.kind != "parachute" or part.diameter is None:
        return []
    lines = part.lines or 8
    if part.canopy == "hemisphere":
        return [_gore(spec, 0.5 * mm(part.diameter), lines, mm(part.spill_hole), _cloth(spec))]
    return [replace(_whole(spec), printed=False), _wedge(spec)]


def _cloth(spec: Specification) -> str:
    return (spec.design.recovery.material or "cloth").replace("-", " ")


def _attachments(spec: Specification) -> list[Point]:
    """Return where the lines are tied: corners first, then evenly along the rim."""
    part = spec.design.recovery
    across, lines = mm(part.diameter), part.lines or 8
    corners = flat_canopy(part.canopy, across)
    if corners and part.canopy == "cross":
        outer = [p for p in corners if max(abs(p[0]), abs(p[1])) > 0.49 * across]
        return outer if lines == len(outer) else _spread(corners, lines)
    if len(corners) == lines:
        return corners
    if corners:
        return _spread(corners, lines)
    return [
        (0.5 * across * math.cos(a), 0.5 * across * math.sin(a))
        for a in (2 * math.pi * k / lines for k in range(lines))
    ]


def line_points(spec: Specification) -> str:
    """Return where the lines are tied, in words."""
    part = spec.design.recovery
    corners = len(flat_canopy(part.canopy, 1.0))
    if part.canopy == "cross" and part.lines == 8:
        return "both corners at the end of each arm"
    if corners and part.lines == corners:
        return "one at each corner"
    return "evenly along the edge" + (", the first at a corner" if corners else "")


def _spread(corners: list[Point], lines: int) -> list[Point]:
    edges = list(pairwise([*corners, corners[0]]))
    total = sum(math.dist(a, b) for a, b in edges)
    points = []
    for k in range(lines):
        along = total * k / lines
        for a, b in edges:
            length = math.dist(a, b)
            if along <= length + 1e-9:
                points.append((a[0] + (b[0] - a[0]) * along / length, a[1] + (b[1] - a[1]) * along / length))
                break
            along -= length
    return points


def _whole(spec: Specification) -> Pattern:
    part = spec.design.recovery
    across, spill = mm(part.diameter), mm(part.spill_hole)
    corners = flat_canopy(part.canopy, across)
    shapes: list[Shape] = [Path(tuple(corners), closed=True)] if corners else [circle((0.0, 0.0), across)]
    if spill > 0.0:
        hole = f"spill hole {on_drawing(spec.to_mm(spill))}"
        shapes += [circle((0.0, 0.0), spill), Label((0.0, 0.5 * spill + 4.0), hole, 3.2)]
    shapes += [circle(point, 5.0, Style.MARK) for point in _attachments(spec)]
    shapes += [line((-8.0, 0.0), (8.0, 0.0), Style.MARK), line((0.0, -8.0), (0.0, 8.0), Style.MARK)]
    half = 0.5 * across
    shapes.append(Dimension((half + 4.0, -half), (half + 4.0, half), -6.0))
    notes = (
        f"Flat canopy, one piece, {spec.to_mm(across)} across"
        + (" from flat to flat." if part.canopy in _SIDES else "."),
        f"Small circles: {part.lines} line points. Stick a patch of tape on both sides before you make the hole.",
    )
    return Pattern("canopy", f"Parachute canopy, {part.canopy}", tuple(shapes), 1, _cloth(spec), notes)


def _wedge(spec: Specification) -> Pattern:
    """Return the template for cloth folded to a wedge: one cut then makes the whole canopy."""
    part = spec.design.recovery
    half, spill = 0.5 * mm(part.diameter), 0.5 * mm(part.spill_hole)
    sides = {**_SIDES, "square": 4, "cross": 4, "round": 8}[part.canopy]
    angle = math.pi / sides
    shapes: list[Shape]
    if part.canopy == "cross":
        arm = half / 3.0
        rim = (arm, arm)
        shapes = [Path(((0.0, half), (arm, half), rim)), Dimension((0.0, half), (arm, half), 5.0)]
        shapes.append(Dimension((arm, half), rim, 5.0))
    elif part.canopy == "round":
        rim = (half * math.sin(angle), half * math.cos(angle))
        shapes = [Arc((0.0, 0.0), half, 0.5 * math.pi - angle, 0.5 * math.pi)]
    else:
        rim = (half * math.tan(angle), half)
        shapes = [line((0.0, half), rim)]
        shapes.append(Dimension((0.0, half), rim, 5.0))
    shapes += [line((0.0, 0.0), (0.0, half), Style.FOLD), line((0.0, 0.0), rim, Style.FOLD)]
    shapes.append(Dimension((0.0, 0.0), (0.0, half), 5.0))
    if spill > 0.0:
        shapes.append(Arc((0.0, 0.0), spill, 0.5 * math.pi - angle, 0.5 * math.pi))
    shapes.append(Label((3.0, 0.62 * half), "fold", 2.8, 0.5 * math.pi))
    shapes.append(Label((2.0, 0.3 * half), "middle of the cloth at the point", 2.6, 0.5 * math.pi, anchor=0.5))
    notes = (
        f"Fold the cloth {_FOLDING[sides]} into a wedge of {math.degrees(angle):g}° ({2 * sides} layers), "
        "point of the template on the middle, folds on the dashed lines. Cut the solid edge once: "
        f"it opens into the whole {part.canopy}.",
    )
    return Pattern("canopy-wedge", "Folded-cloth template for the canopy", tuple(shapes), 1, "paper", notes)


def _gore(spec: Specification, radius: float, count: int, spill: float, cloth: str) -> Pattern:
    outline = hemisphere_gore(radius, count)
    if spill > 0.0:
        start = radius * math.asin(min(0.5 * spill / radius, 1.0))
        outline = [(start, math.pi * radius * math.sin(start / radius) / count), *(p for p in outline if p[0] > start)]
    left, right = [(-w, -s) for s, w in outline], [(w, -s) for s, w in outline]
    total, wide = outline[-1]
    cut = [(x + SEAM, y) for x, y in right]
    other = [(x - SEAM, y) for x, y in left]
    shapes: list[Shape] = [
        Path(tuple(right), Style.FOLD),
        Path(tuple(left), Style.FOLD),
        Path((*other, (other[-1][0], -total - HEM), (cut[-1][0], -total - HEM), *reversed(cut)), closed=True),
        line((-wide, -total), (wide, -total), Style.FOLD),
        Dimension((-wide - SEAM, -total), (-wide - SEAM, outline[0][1] and -outline[0][0]), 6.0),
        Dimension((-wide, -total - HEM), (wide, -total - HEM), -6.0),
        line((0.0, -0.4 * total), (0.0, -0.9 * total), Style.MARK),
        Label((-3.0, -0.65 * total), "along the weave of the cloth", 2.8, 0.5 * math.pi),
    ]
    notes = (
        f"{count} gores make a hemisphere {spec.to_mm(2 * radius)} across. Dashed: seam line. "
        f"Seam {spec.length(SEAM)} each side, hem {spec.length(HEM)} at the skirt. One line at each seam.",
    )
    return Pattern("canopy-gore", "Parachute gore, hemisphere", tuple(shapes), count, cloth, notes)


def streamer(length: float, width: float, cloth: str) -> Pattern:
    """Return a streamer with its fold lines; a ruler does on paper, so only the cutting files show it."""
    folds = streamer_folds(length)
    shapes: list[Shape] = [Path(((0.0, 0.0), (width, 0.0), (width, length), (0.0, length)), closed=True)]
    shapes += [line((0.0, length * k / folds), (width, length * k / folds), Style.FOLD) for k in range(1, folds)]
    shapes += [Dimension((0.0, 0.0), (width, 0.0), -5.0), Dimension((0.0, 0.0), (0.0, length), 5.0)]
    notes = ("Fold it zigzag along the dashed lines.",)
    return Pattern("streamer", "Streamer", tuple(shapes), 1, cloth, notes, printed=False)


def line_table(spec: Specification) -> LineTable:
    """Return the parachute's lines in words and mm: how many, how long between knots, how long to cut."""
    part = spec.design.recovery
    if part.kind != "parachute":
        return []
    free = mm(part.line_length)
    table = [
        ("lines", f"{part.lines}"),
        ("length of each from canopy to where they meet", spec.to_mm(free)),
        ("cut each to, knots included", spec.to_mm(free + KNOTS)),
        ("cord for all lines", spec.habit.distance((part.lines or 0) * (free + KNOTS) / 1e3, 4)),
    ]
    if mm(part.spill_hole) > 0.0:
        table.append(("spill hole", f"{spec.to_mm(mm(part.spill_hole))} across"))
    return table
