"""The whole rocket from the side with its main lengths, for the cover: nose to the left, true to its stated scale."""

import math

from bottlewright.make.dimensions import mm, on_drawing, outer_profile
from bottlewright.make.drawing import Dimension, Label, Path, Shape, Style, bounds, dimensioned, line, rectangle, scaled
from bottlewright.make.specification import Specification

__all__ = ["fitting_scale", "side_view"]

SCALES = (1, 2, 2.5, 3, 4, 5, 6, 8, 10, 15, 20, 25, 50, 100)


def fitting_scale(shapes: list[Shape], width: float, height: float) -> tuple[float, tuple[Shape, ...]]:
    """Return n and the shapes drawn 1 : n, the largest drawing of the usual steps that fits, mm."""
    for n in SCALES:
        drawn = scaled(shapes, 1.0 / n)
        left, bottom, right, top = bounds(drawn)
        if right - left <= width and top - bottom <= height:
            break
    return n, drawn


def side_view(spec: Specification) -> list[Shape]:
    """Return outline, fins as seen from the side, sleeve, and dimensions of a completed design, mm."""
    design, body = spec.design, spec.body

    def said(length: float) -> str:
        return on_drawing(spec.to_mm(length))

    profile = outer_profile(body, spec.nose_profile[::6])
    shapes: list[Shape] = [Path((*profile, *((x, -r) for x, r in reversed(profile))), closed=True)]
    wide = 0.5 * body.diameter
    reach, rear = wide, 0.0
    fins, sleeve = design.fins, design.sleeve
    if sleeve:
        radius, front = 0.5 * mm(sleeve.diameter), mm(sleeve.position)
        shapes.append(rectangle(front, -radius, mm(sleeve.length), 2.0 * radius, Style.MARK))
        shapes.append(Dimension((front, -radius), (front + mm(sleeve.length), -radius), -8.0))
        reach = max(reach, radius)
    if fins:
        corners = spec.fin_corners
        front, out = mm(fins.position), max(y for _, y in corners)
        for k in range(fins.count):
            lift = math.cos(2.0 * math.pi * k / fins.count)
            shapes.append(Path(tuple((front + x, (wide + y) * lift) for x, y in corners), closed=True))
        rear = front + max(x for x, _ in corners)
        shapes.append(Dimension((rear, wide), (rear, wide + out), -8.0))
        shapes.append(Dimension((front, wide), (front + mm(fins.root), wide), 4.0, plate=True))
        reach = max(reach, wide + out)
    end = max(body.exit, mm(sleeve.position) + mm(sleeve.length) if sleeve else 0.0, rear)
    if body.nose_end > 1.0:
        shapes.append(Dimension((0.0, wide), (body.nose_end, wide), 8.0))
        shapes.append(line((body.nose_end, -wide), (body.nose_end, wide), Style.AID))
    if end > body.exit + 0.5:
        shapes.append(Dimension((0.0, reach), (body.exit, reach), 4.0, f"{said(body.exit)} to the nozzle"))
    shapes.append(Dimension((0.0, reach), (end, reach), 10.0, f"{said(end)} overall"))
    shapes.append(Dimension((0.0, -wide), (0.0, wide), 6.0, f"Ø {on_drawing(spec.to_tenth(body.diameter))}"))
    shapes.append(line((-8.0, 0.0), (end + 8.0, 0.0), Style.AID))
    balance = design.measured.balance_point
    if balance:
        at, low = mm(balance), bounds(shapes)[1]
        shapes += [
            line((at, -wide), (at, low - 4.0), Style.MARK),
            Label((at, low - 16.0), f"balance point {said(at)}", 2.8, anchor=1.0),
        ]
    return list(dimensioned(shapes, said))
