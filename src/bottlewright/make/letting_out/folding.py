"""The canopy folded, frame by frame, and packed: small drawings with what is done in each."""

import math
from typing import NamedTuple

from bottlewright.make.dimensions import mm
from bottlewright.make.drawing import (
    Arc,
    Dimension,
    Label,
    Path,
    Point,
    Shape,
    Style,
    bounds,
    circle,
    line,
    moved,
    rectangle,
    scaled,
)
from bottlewright.make.letting_out.sizes import Pack
from bottlewright.make.patterns.canopy import flat_canopy
from bottlewright.make.specification import Specification

__all__ = ["Frame", "fold_plan"]

_WIDE, _HIGH = 48.0, 30.0
"""Room for a sketch, mm."""


class Frame(NamedTuple):
    """One frame: its drawing, mm on paper, what is done, and how.

    The drawing is no more to scale than a hand's sketch; its dimension lines say the lengths of the real thing.
    """

    shapes: tuple[Shape, ...]
    title: str
    says: str


def fold_plan(spec: Specification) -> list[Frame]:
    """Return the frames from the canopy on the floor to the pack in its place; none without a canopy."""
    pack = spec.letting_out.pack
    if pack is None:
        return []
    first = _streamer(spec, pack) if spec.design.recovery.kind == "streamer" else _canopy(spec, pack)
    return [frame._replace(shapes=_centred(frame.shapes)) for frame in [*first, *_into_place(spec)]]


def _centred(shapes: tuple[Shape, ...]) -> tuple[Shape, ...]:
    left, bottom, right, top = bounds(shapes)
    small = min(1.0, _WIDE / (right - left), _HIGH / (top - bottom))
    return moved(scaled(shapes, small), -0.5 * small * (left + right), -0.5 * small * (bottom + top))


def _canopy(spec: Specification, pack: Pack) -> list[Frame]:
    strip, length, across = spec.to_mm(pack.strip), spec.to_mm(pack.length), spec.to_mm(pack.across)
    return [
        Frame(_spread_out(spec), "Lay it out", "Flat on a clean floor, lines straight to one side. Comb them apart "
              "with your fingers: none crosses another."),
        Frame(_wedge(strip), "Gore upon gore", f"Half of the gores to the left, half to the right, to a wedge {strip} "
              "long. All line points lie on each other."),
        Frame(_narrow(), "Long edges in", "Fold both long edges to the middle. Dust talc between the folds."),
        Frame(_zigzag(pack.folds, length), "Zigzag", f"Lay the strip in {pack.folds} lengths of {length}, from the top "
              "of the canopy to the lines."),
        Frame(_roll(length, across), "Roll", f"Roll it loosely, to about {across} thick. Whoever has to press it has "
              "not folded it flat."),
        Frame(_lines_on(), "Lines", "Lay the lines on it zigzag, a hand long each time, and take one loose turn round "
              "the pack. No knot, no tight turn."),
    ]  # fmt: skip


def _streamer(spec: Specification, pack: Pack) -> list[Frame]:
    fold, across = spec.to_mm(pack.strip / pack.folds), spec.to_mm(pack.across)
    bands: tuple[Shape, ...] = (
        rectangle(0.0, 0.0, 46.0, 7.0), line((0.0, -3.0), (0.0, 10.0)), line((0.0, 3.5), (-8.0, 3.5)),
        *(line((5.0 * k, 0.0), (5.0 * k, 7.0), Style.FOLD) for k in range(1, 9)),
        Dimension((0.0, 7.0), (46.0, 7.0), 4.0, spec.to_mm(pack.strip)),
    )  # fmt: skip
    return [
        Frame(bands, "Lay it out", "Flat on a clean floor, the end with its stick and cord towards you."),
        Frame(_zigzag(min(pack.folds, 8), fold), "Zigzag", f"Fold it in {pack.folds} lengths of {fold}, from the free "
              "end to the cord. Dust talc between the folds."),
        Frame(_lines_on(), "Cord", f"Lay the cord on it zigzag and take one loose turn round the pack, about {across} "
              "thick."),
    ]  # fmt: skip


def _into_place(spec: Specification) -> list[Frame]:
    where, says = _DOOR if spec.letting_out.bay else _NOSE
    drawn = _behind_door() if spec.letting_out.bay else _under_nose()
    return [
        Frame(drawn, where, says),
        Frame(_out_again(), "Out again", "Tip it: the pack slides out under its own weight. It is packed on the day of "
              "the launch and never left packed overnight."),
    ]  # fmt: skip


_DOOR = ("Behind the door", "First the cord, zigzag, then the pack, lines inward, canopy towards the door. Shut the "
         "door, hook the band, put the arming pin in.")  # fmt: skip
_NOSE = ("Under the nose", "First the cord, zigzag, on the bottle's end, then the pack, canopy towards the nose. "
         "Nothing lies between skirt and bottle.")  # fmt: skip


# --- sketches, about 45 by 32 mm -----------------------------------------------------------------------------------


def _to_a_point(points: list[Point], end: Point) -> list[Shape]:
    return [line(point, end, Style.MARK) for point in points]


def _spread_out(spec: Specification) -> tuple[Shape, ...]:
    part = spec.design.recovery
    across = mm(part.diameter)
    corners = [(x * 24.0 / across, y * 24.0 / across) for x, y in flat_canopy(part.canopy, across)]
    end = (34.0, 0.0)
    if corners:
        middle = [line((0.0, 0.0), corner, Style.AID) for corner in corners]
        return (Path(tuple(corners), closed=True), *middle, *_to_a_point(corners, end), circle(end, 2.0))
    lines = part.lines or 8
    rim = [(12.0 * math.cos(a), 12.0 * math.sin(a)) for a in (2.0 * math.pi * (k + 0.5) / lines for k in range(lines))]
    middle = [line((0.0, 0.0), point, Style.AID) for point in rim]
    return (circle((0.0, 0.0), 24.0), *middle, *_to_a_point(rim, end), circle(end, 2.0))


def _wedge(strip: str) -> tuple[Shape, ...]:
    edges = [(26.0, 5.0 * k / 3.0) for k in range(-3, 4)]
    return (Path(((0.0, 0.0), (26.0, -5.0), (26.0, 5.0)), closed=True),
            *(line((0.0, 0.0), edge, Style.AID) for edge in edges[1:-1]),
            *_to_a_point(edges, (42.0, 0.0)), circle((42.0, 0.0), 2.0),
            Dimension((0.0, 5.0), (26.0, 5.0), 4.0, strip))  # fmt: skip


def _narrow() -> tuple[Shape, ...]:
    ends = [(30.0, y) for y in (-1.0, 0.0, 1.0)]
    return (Path(((0.0, 0.0), (8.0, -2.5), (30.0, -2.5), (30.0, 2.5), (8.0, 2.5)), closed=True),
            line((0.0, 0.0), (30.0, 0.0), Style.FOLD),
            Path(((8.0, 2.5), (6.0, 8.0), (30.0, 10.0), (30.0, 2.5)), Style.AID),
            Path(((8.0, -2.5), (6.0, -8.0), (30.0, -10.0), (30.0, -2.5)), Style.AID),
            *_arrow((18.0, 8.0), (18.0, 3.5)), *_arrow((18.0, -8.0), (18.0, -3.5)),
            *_to_a_point(ends, (44.0, 0.0)), circle((44.0, 0.0), 2.0))  # fmt: skip


def _arrow(a: Point, b: Point) -> list[Shape]:
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    barbs = [(b[0] - 2.0 * ux + s * uy, b[1] - 2.0 * uy - s * ux) for s in (1.0, -1.0)]
    return [line(a, b, Style.MARK), Path((barbs[0], b, barbs[1]), Style.MARK)]


def _zigzag(folds: int, length: str) -> tuple[Shape, ...]:
    high = min(5.0, 20.0 / folds)
    points: list[Point] = []
    for k in range(folds):
        y = (folds - k) * high
        points += [(0.0, y), (28.0, y)] if k % 2 == 0 else [(28.0, y), (0.0, y)]
    x, y = points[-1]
    out = x + (14.0 if x > 1.0 else -14.0)
    return (Path(tuple(points)), line((x, y), (out, y), Style.MARK), circle((out, y), 2.0),
            Dimension((0.0, folds * high), (28.0, folds * high), 4.0, length))  # fmt: skip


def _roll(length: str, across: str) -> tuple[Shape, ...]:
    turns = [(5.0 * k / 60 * math.cos(0.35 * k), 5.0 * k / 60 * math.sin(0.35 * k)) for k in range(61)]
    return (circle((0.0, 0.0), 10.0), Path(tuple(turns), Style.AID), line((0.0, 5.0), (28.0, 5.0)),
            line((0.0, -5.0), (28.0, -5.0)), Arc((28.0, 0.0), 5.0, -0.5 * math.pi, 0.5 * math.pi),
            Dimension((0.0, 5.0), (28.0, 5.0), 4.0, length),
            Dimension((-5.0, -5.0), (-5.0, 5.0), 4.0, across))  # fmt: skip


def _lines_on() -> tuple[Shape, ...]:
    zigzag = tuple((4.0 + 20.0 * (k % 2), 3.0 - 1.2 * k) for k in range(6))
    return (circle((0.0, 0.0), 10.0), line((0.0, 5.0), (28.0, 5.0)), line((0.0, -5.0), (28.0, -5.0)),
            Arc((28.0, 0.0), 5.0, -0.5 * math.pi, 0.5 * math.pi), Path(zigzag, Style.MARK),
            Path(((15.0, -5.0), (12.0, 0.0), (15.0, 5.0)), Style.MARK), line(zigzag[-1], (42.0, -3.0), Style.MARK),
            circle((42.0, -3.0), 2.0))  # fmt: skip


def _under_nose() -> tuple[Shape, ...]:
    nose = [(26.0 + 24.0 * (1.0 - (k / 20) ** 2) ** 0.5, 9.0 * k / 20) for k in range(21)]
    outline = [*((x, y) for x, y in nose), *((x, -y) for x, y in reversed(nose))]
    return (Arc((0.0, 0.0), 9.0, -0.5 * math.pi, 0.5 * math.pi), line((-12.0, 9.0), (0.0, 9.0)),
            line((-12.0, -9.0), (0.0, -9.0)), rectangle(-4.0, 9.4, 14.0, 1.0), rectangle(-4.0, -10.4, 14.0, 1.0),
            Path(tuple((x - 20.0, y) for x, y in outline), Style.CUT),
            line((6.0, 9.0), (6.0, 9.4)), rectangle(12.0, -4.0, 9.0, 8.0), Label((16.5, 0.0), "pack", 2.5),
            Label((-8.0, 0.0), "bottle", 2.5),
            Path(((9.0, 0.0), (10.0, 2.0), (11.0, -2.0), (12.0, 1.0)), Style.MARK))  # fmt: skip


def _behind_door() -> tuple[Shape, ...]:
    return (line((-12.0, 9.0), (6.0, 9.0)), line((26.0, 9.0), (34.0, 9.0)), line((-12.0, -9.0), (34.0, -9.0)),
            Arc((-6.0, 0.0), 9.0, -0.5 * math.pi, 0.5 * math.pi), line((6.0, 9.0), (24.0, 16.0)),
            Label((14.0, 17.0), "door", 2.5, math.atan2(7.0, 18.0)), rectangle(8.0, -4.0, 16.0, 9.0),
            Label((16.0, 0.5), "pack", 2.5), Label((-7.0, 0.0), "bottle", 2.5), *_arrow((16.0, 6.0), (16.0, 11.0)),
            Path(((34.0, 9.0), (40.0, 7.0), (44.0, 3.5), (45.0, 0.0), (44.0, -3.5), (40.0, -7.0), (34.0, -9.0))),
            Path(((3.0, -2.0), (5.0, 1.0), (6.0, -3.0), (8.0, -2.0)), Style.MARK))  # fmt: skip


def _out_again() -> tuple[Shape, ...]:
    return (rectangle(-9.0, 6.0, 18.0, 12.0), Label((0.0, 12.0), "tipped", 2.5), *_arrow((14.0, 14.0), (14.0, -2.0)),
            rectangle(-4.0, -8.0, 8.0, 10.0), Label((0.0, -3.0), "pack", 2.5))  # fmt: skip
