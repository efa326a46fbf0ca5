"""Fins, the strip that marks their lines round the body, and the jig that holds them at their angles."""

import math
from itertools import pairwise

from bottlewright.make.dimensions import body_radius, length_text, mm, on_drawing
from bottlewright.make.drawing import Arc, Dimension, Label, Path, Pattern, Point, Shape, Style, circle, line
from bottlewright.make.specification import Specification
from bottlewright.quantities import Basis

__all__ = ["fin", "fin_jig", "grain_words", "line_spacing", "wrap_strip"]

_FOLDS = {"card", "paper", "pet", "polycarbonate", "corrugated-plastic", "corrugated-card"}
_GRAINED = {"balsa": "grain", "plywood": "outer grain", "corrugated-plastic": "flutes", "corrugated-card": "flutes"}
TAB = 12.0
"""Width of a glue tab, mm: common practice, no source."""
_STRIP = 30.0
_SHEET = 92.0  # half the width of an A4 sheet's window, mm: a jig in one piece is truer than one in tiles
_LAP = 12.0


def line_spacing(diameter: float, count: int) -> float:
    """Return the distance between fin lines measured round a body, mm: π·D/n."""
    return math.pi * diameter / count


def fin(spec: Specification) -> Pattern | None:
    """Return one fin flat: edge, the root that follows the body, glue tabs where the material folds, grain arrow."""
    fins = spec.design.fins
    if fins is None:
        return None
    corners = list(spec.fin_corners)
    seat = _seat(spec, corners)
    edge = corners[1:-1] if len(corners) > 2 else corners
    outline = (corners[0], *edge, corners[-1])
    tabs = fins.material in _FOLDS
    # From the root's corners straight down to shoulder or neck the fin is cut; only what touches the body is folded.
    rear, front = seat[1:2] if _steep(seat[:2]) else (), seat[-2:-1] if _steep(seat[-2:]) else ()
    folded = seat[len(rear) : len(seat) - len(front)]
    shapes: list[Shape] = (
        [Path((*front, *outline, *rear)), *_tabs(folded)] if tabs else [Path((*outline, *seat[1:-1]), closed=True)]
    )
    shapes += _grain(corners, fins.material or "")
    shapes += _edge_names(corners)
    span, aft = max(y for _, y in corners), max(x for x, _ in corners)
    root0, root1 = corners[0], corners[-1]
    shapes.append(Dimension(root1, root0, 6.0 + (TAB if tabs else 0.0) - min(y for _, y in seat), ""))
    shapes.append(Dimension((aft, span), (aft, 0.0), 8.0))
    top = [x for x, y in corners if y > span - 1e-6]
    if max(top) - min(top) > 1.0:
        shapes.append(Dimension((min(top), span), (max(top), span), 5.0))
    if corners[1][0] > 1.0:
        shapes.append(Dimension((0.0, span), (corners[1][0], span), 5.0))
    return Pattern("fin", "Fin", tuple(shapes), fins.count, _sheet(spec), tuple(_fin_notes(spec, tabs, seat)))


def _sheet(spec: Specification) -> str:
    fins = spec.design.fins
    assert fins is not None
    return f"{(fins.material or 'sheet').replace('-', ' ')} {spec.length(mm(fins.thickness))}"


def _fin_notes(spec: Specification, tabs: bool, seat: tuple[Point, ...]) -> list[str]:
    fins = spec.design.fins
    assert fins is not None
    edges = {
        "blunt": "Leave all edges square; break the sharp corner with fine paper.",
        "round": f"Round leading and trailing edge to half the thickness ({spec.to_tenth(0.5 * mm(fins.thickness))}).",
        "bevelled": "Round the leading edge, bevel the trailing edge to a thin line.",
    }
    notes = [edges[fins.edge]]
    if tabs:
        hold = "glue them to the sleeve" if spec.fins_on_sleeve else "tape them to the bottle, no glue"
        notes.append(f"Fold the tabs on the dashed line, left and right in turn; {hold}.")
    else:
        notes.append("Sand the bottom edge to the body on sandpaper laid round a spare bottle of the same size.")
    if min(y for _, y in seat) < -0.05:
        notes.append("The bottom edge follows the shoulder of a generic bottle: hold it to your own and trim.")
    material = fins.material or ""
    if material in _GRAINED:
        notes.append(f"Lay the arrow along the {_GRAINED[material]}.")
    return notes


def grain_words(spec: Specification) -> str:
    """Return how the pattern lies on a sheet that has a stiff way, as the end of a clause; nothing on one without."""
    fins = spec.design.fins
    grain = _GRAINED.get(fins.material or "") if fins else None
    return f", arrow along the {grain}" if grain else ""


def _edge_names(corners: list[Point]) -> list[Shape]:
    """Return the names of the front edge and of the edge on the body, written inside the fin."""
    (x0, y0), (x1, y1) = corners[0], corners[1]
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    inside = (x0 + 0.5 * length * ux + 4.0 * uy, y0 + 0.5 * length * uy - 4.0 * ux)
    angle = math.atan2(uy, ux)
    if abs(angle) > 0.5 * math.pi:
        angle -= math.copysign(math.pi, angle)
    middle = 0.5 * (corners[0][0] + corners[-1][0])
    names: list[Shape] = [Label((middle, 4.0), "body", 2.8)]
    return [*names, Label(inside, "leading edge", 2.8, angle)] if length > 30.0 else names


def _seat(spec: Specification, corners: list[Point]) -> tuple[Point, ...]:
    """Return the edge on the body, from the rear corner to the front one, following shoulder and neck."""
    body, fins = spec.body, spec.design.fins
    assert fins is not None
    front, wide = mm(fins.position), 0.5 * body.diameter
    (x0, y0), (x1, y1) = corners[0], corners[-1]
    if spec.fins_on_sleeve:
        return (x1, y1), (x0, y0)
    steps = [x1 + (x0 - x1) * k / 40 for k in range(41)]
    drops = [body_radius(body, front + x) - wide for x in steps]
    if min(drops) > -0.05:
        return (x1, y1), (x0, y0)
    return (x1, y1), *((x, d) for x, d in zip(steps, drops, strict=True)), (x0, y0)


def _steep(pair: tuple[Point, ...]) -> bool:
    """Say whether the way from one point to the next goes straight down or up."""
    (x0, y0), (x1, y1) = pair
    return abs(x1 - x0) < 1e-9 < abs(y1 - y0)


def _tabs(seat: tuple[Point, ...]) -> list[Shape]:
    """Return the fold along the seat and tabs below it, cut apart every 20 mm or so, with bevelled ends."""
    shapes: list[Shape] = [Path(seat, Style.FOLD)]
    (x1, _), (x0, _) = seat[0], seat[-1]
    count = max(2, round((x1 - x0) / 20.0))

    def height(x: float) -> float:
        for (xa, ya), (xb, yb) in pairwise(seat):
            if xb <= x <= xa and xa > xb:
                return ya + (yb - ya) * (xa - x) / (xa - xb)
        return seat[-1][1]

    for k in range(count):
        left, right = x0 + (x1 - x0) * k / count, x0 + (x1 - x0) * (k + 1) / count
        bevel = min(3.0, 0.2 * (right - left))
        low = min(height(left), height(right)) - TAB
        shapes.append(Path(((left, height(left)), (left + bevel, low), (right - bevel, low), (right, height(right)))))
    return shapes


def _grain(corners: list[Point], material: str) -> list[Shape]:
    """Return an arrow along the leading edge, in the middle of the fin: the stiff way has to run out along the span."""
    if material not in _GRAINED:
        return []
    cx = sum(x for x, _ in corners) / len(corners)
    cy = sum(y for _, y in corners) / len(corners)
    (x0, y0), (x1, y1) = corners[0], corners[1]
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    reach = min(0.3 * length, 25.0)
    tip, tail = (cx + ux * reach, cy + uy * reach), (cx - ux * reach, cy - uy * reach)
    shapes: list[Shape] = [line(tail, tip, Style.MARK)]
    for end, way in ((tip, -1.0), (tail, 1.0)):
        barbs = [(end[0] + way * 4 * ux + s * 1.5 * uy, end[1] + way * 4 * uy - s * 1.5 * ux) for s in (1.0, -1.0)]
        shapes.append(Path((barbs[0], end, barbs[1]), Style.MARK))
    angle = math.atan2(uy, ux)
    if abs(angle) > 0.5 * math.pi:
        angle -= math.copysign(math.pi, angle)
    shapes.append(Label((cx + 4.0 * uy, cy - 4.0 * ux), _GRAINED[material], 2.8, angle))
    return shapes


def wrap_strip(spec: Specification) -> Pattern | None:
    """Return the strip that goes once round the body and marks each fin line."""
    fins = spec.design.fins
    if fins is None:
        return None
    diameter = spec.seat_diameter
    around, step = math.pi * diameter, line_spacing(diameter, fins.count)
    shapes: list[Shape] = [
        Path(((0.0, 0.0), (around + _LAP, 0.0), (around + _LAP, _STRIP), (0.0, _STRIP)), Style.CUT, closed=True),
        line((around, 0.0), (around, _STRIP), Style.FOLD),
        Label((around + 0.5 * _LAP, 0.5 * _STRIP), "lap", 2.8, 0.5 * math.pi),
    ]
    for k in range(fins.count):
        x = k * step
        shapes.append(line((x, 0.0), (x, _STRIP), Style.MARK))
        shapes.append(Label((x + 2.0, 0.72 * _STRIP), f"fin {k + 1}", 3.0, anchor=0.0))
        shapes.append(Label((x + 2.0, 0.4 * _STRIP), f"{360.0 * k / fins.count:g}°", 2.8, anchor=0.0))
        shapes.append(Dimension((x, 0.0), (x + step, 0.0), -5.0))
    once_round = on_drawing(length_text(spec.habit, around, form=".2f"))
    shapes.append(Dimension((0.0, 0.0), (around, 0.0), -12.0, f"once round {once_round}"))
    sleeve = spec.design.sleeve
    if sleeve and spec.fins_on_sleeve:
        front = f"{spec.to_tenth(mm(fins.position) - mm(sleeve.position))} behind the front edge of the sleeve"
    else:
        front = f"{spec.to_tenth(mm(fins.position))} behind the nose tip"
    notes = (
        f"For a body {spec.to_tenth(diameter)} across where the fins sit. "
        "Wrap it round, end to the dashed line; tape it.",
        "If the ends miss or overlap, your body has another size: measure round it and correct vessel.diameter.",
        f"Carry each line {spec.to_tenth(mm(fins.root))} along the body with a straight edge; "
        f"front of the fins {front}.",
    )
    return Pattern("wrap-strip", "Wrap strip for the fin lines", tuple(shapes), 1, "paper", notes)


def fin_jig(spec: Specification) -> Pattern | None:
    """Return the flat jig: a ring over the body with one slot a fin, so that every fin stands at its angle."""
    fins = spec.design.fins
    if fins is None:
        return None
    inner = 0.5 * spec.seat_diameter + 0.3
    span = max(y for _, y in spec.fin_corners)
    outer = inner + max(20.0, min(0.7 * span, 45.0, _SHEET - inner))
    slot, reach = mm(fins.thickness) + 0.2, outer - 8.0
    half = 0.5 * slot
    shapes: list[Shape] = [circle((0.0, 0.0), 2.0 * outer)]
    gap = math.asin(half / inner)
    for k in range(fins.count):
        angle = 2.0 * math.pi * k / fins.count + 0.5 * math.pi
        following = 2.0 * math.pi * (k + 1) / fins.count + 0.5 * math.pi
        cos, sin = math.cos(angle), math.sin(angle)
        root = inner * math.cos(gap)
        sides = [(root, -half), (reach, -half), (reach, half), (root, half)]
        shapes.append(Path(tuple((a * cos - b * sin, a * sin + b * cos) for a, b in sides)))
        shapes.append(Arc((0.0, 0.0), inner, angle + gap, following - gap))
        shapes.append(Label(((outer - 4.0) * cos, (outer - 4.0) * sin), f"{k + 1}", 3.0))
    shapes += [line((-6.0, 0.0), (6.0, 0.0), Style.MARK), line((0.0, -6.0), (0.0, 6.0), Style.MARK)]
    notes: tuple[str, ...] = (
        f"Glue to stiff card or thin plywood and cut the hole ({spec.to_tenth(2 * inner)}) and {fins.count} slots "
        f"({spec.to_tenth(slot)} wide). Slots every {360 / fins.count:g}°.",
        "Slide two of them over the body, slots in line, and set the fins in the slots until glue or tape holds.",
    )
    if fins.cant and fins.cant.basis is Basis.MEASURED and abs(fins.cant.value) > 1e-6:
        turn = math.degrees(mm(fins.root) * math.tan(fins.cant.value) / inner)
        notes = (
            *notes,
            f"For the cant of {math.degrees(fins.cant.value):g}°, one jig at each end of the root, "
            f"turn the rear one by {turn:.1f}° against the front one.",
        )
    return Pattern("fin-jig", "Fin alignment jig", tuple(shapes), 2, "stiff card", notes)
