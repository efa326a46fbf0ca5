"""The drawing beside a new design file: the rocket to scale with its lengths, before anything is worked out of it."""

import numpy as np

from bottlewright.design import Design
from bottlewright.design.shape import stations
from bottlewright.design.steadying import bottle_outline, outer_outline
from bottlewright.design.unit_habit import unit_habit
from bottlewright.figures.sheet import Sheet
from bottlewright.quantities import value_of
from bottlewright.report.drawing import RocketView, rocket_drawing

__all__ = ["first_drawing"]


def first_drawing(design: Design) -> Sheet:
    """Draw a completed first rocket from the side; balance point and pressure centre are for `study` to say."""
    at, (x, r) = stations(design), np.array(outer_outline(design)).T
    parts = [("nose", 0.0, at.nose_end), ("cylinder", at.nose_end, at.cylinder_end), ("tail", at.cylinder_end, at.exit)]
    marks = [(item.name, item.position.value, "balance") for item in design.mass]
    fin = None
    if design.fins:
        root, tip, span, sweep = (value_of(v) for v in (
            design.fins.root, design.fins.tip, design.fins.span, design.fins.sweep))  # fmt: skip
        front = value_of(design.fins.position)
        body = float(np.interp(front + 0.5 * root, x, r))
        fin = np.array([(0.0, 0.0), (sweep, span), (sweep + tip, span), (root, 0.0)]) + np.array([front, body])
        parts.append(("fin root", front, front + root))
    if design.sleeve:
        front = value_of(design.sleeve.position)
        parts.append(("sleeve", front, front + design.sleeve.length.value))
    count, bottle = design.fins.count if design.fins else 0, np.array(bottle_outline(design))
    return rocket_drawing(RocketView(x, r, parts, fin, count, bottle, None, marks, unit_habit(design).inches))
