"""The jig for the canopy's lines: two cards on a board, a nail on one, a window for the far knots on the other."""

from bottlewright.make.dimensions import mm
from bottlewright.make.drawing import Dimension, Label, Pattern, Shape, Style, circle, line, rectangle
from bottlewright.make.specification import Specification

__all__ = ["EVEN", "line_jig"]

EVEN = 5.0
"""By how much lines may differ, mm: common practice, no source."""
_WIDE, _HIGH = 60.0, 40.0


def line_jig(spec: Specification) -> Pattern | None:
    """Return both cards at true size, and how far apart they are nailed down."""
    part = spec.design.recovery
    if part.kind != "parachute" or part.line_length is None:
        return None
    free, other = spec.to_mm(mm(part.line_length)), _WIDE + 14.0
    nail, middle = (30.0, 0.5 * _HIGH), other + 0.5 * _WIDE
    shapes: list[Shape] = [
        rectangle(0.0, 0.0, _WIDE, _HIGH),
        circle(nail, 2.0),
        line((nail[0], 6.0), (nail[0], _HIGH - 10.0), Style.MARK),
        Label((nail[0], _HIGH - 5.0), "nail: loop at the canopy's edge", 2.6),
        rectangle(other, 0.0, _WIDE, _HIGH),
        rectangle(middle - 0.5 * EVEN, 12.0, EVEN, _HIGH - 22.0, Style.MARK),
        line((middle, 4.0), (middle, _HIGH - 8.0), Style.FOLD),
        Label((middle, _HIGH - 5.0), "every knot in the window", 2.6),
        Dimension((middle - 0.5 * EVEN, 12.0), (middle + 0.5 * EVEN, 12.0), -5.0),
    ]
    notes = (
        f"Cut the cards apart and fix them to a board, nail and dashed line {free} apart by the tape measure. Loop "
        f"each line over the nail, draw it straight, and tie the far knot in the window: so all {part.lines} are equal "
        f"within {spec.length(EVEN)} (common practice, no source).",
    )
    return Pattern("line-jig", "Jig for the lines", tuple(shapes), 1, "card on a board", notes)
