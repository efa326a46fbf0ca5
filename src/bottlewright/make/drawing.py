"""One drawing model for paper, cutter and screen: plain shapes in millimetres, x to the right, y up.

Everything that is drawn is a `Pattern`: paths, arcs, labels and dimension lines. The writers of PDF, SVG and DXF read
nothing else, so a length is worked out once and is the same on all three.
"""

import math
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

__all__ = [
    "Arc", "Dimension", "Label", "Path", "Pattern", "Point", "Shape", "Style", "bounds", "caption", "captioned",
    "circle", "dimensioned", "flattened", "line", "moved", "rectangle", "scaled", "simple", "text_width", "turned",
    "wrapped",
]  # fmt: skip

Point = tuple[float, float]


class Style(StrEnum):
    """What a line asks for."""

    CUT = "cut"
    FOLD = "fold"
    MARK = "mark"
    AID = "aid"  # thin: dimensions, outlines of what lies behind


@dataclass(frozen=True, slots=True)
class Path:
    """Straight pieces through points, mm."""

    points: tuple[Point, ...]
    style: Style = Style.CUT
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, mm, from one angle to the other, rad, counter-clockwise."""

    centre: Point
    radius: float
    start: float = 0.0
    end: float = 2.0 * math.pi
    style: Style = Style.CUT


@dataclass(frozen=True, slots=True)
class Label:
    """Text of a type size in mm at a point; `anchor` is the part of its width (0 left, 1 right) that sits there.

    With `plate` it stands on a white ground, so that lines under it do not cross it.
    """

    at: Point
    text: str
    height: float = 3.0
    angle: float = 0.0
    anchor: float = 0.5
    bold: bool = False
    plate: bool = False


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension line beside two points, `offset` mm to the left of the way from the first to the second.

    What stands in brackets in its text is left out where the line has no room for it. With `plate` its text stands on a
    white ground.
    """

    start: Point
    end: Point
    offset: float
    text: str = ""  # the length itself when empty
    plate: bool = False


Shape = Path | Arc | Label | Dimension


@dataclass(frozen=True, slots=True)
class Pattern:
    """One part to print, cut or drill.

    Parameters
    ----------
    name
        Short and stable, used for file names: ``"fin"``.
    title, notes
        For the builder; the notes stand under the drawing.
    shapes
        In mm.
    quantity, material
        How many to make, and of what.
    printed
        False for a part that only the cutting files show, because a smaller template does on paper.
    """

    name: str
    title: str
    shapes: tuple[Shape, ...]
    quantity: int = 1
    material: str = ""
    notes: tuple[str, ...] = ()
    printed: bool = True


def line(a: Point, b: Point, style: Style = Style.CUT) -> Path:
    """Return a straight line."""
    return Path((a, b), style)


def rectangle(x: float, y: float, width: float, height: float, style: Style = Style.CUT) -> Path:
    """Return a rectangle by its lower left corner."""
    return Path(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), style, closed=True)


def circle(centre: Point, diameter: float, style: Style = Style.CUT) -> Arc:
    """Return a full circle."""
    return Arc(centre, 0.5 * diameter, style=style)


# --- dimension lines into plain shapes -----------------------------------------------------------------------------

_ARROW = 2.2  # mm
_TEXT = 2.8  # mm


def text_width(text: str, height: float) -> float:
    """Return about how wide a text is, mm: 0.6 of its size a letter, a little more than our typeface's mean."""
    return 0.6 * height * len(text)


def dimensioned(shapes: Iterable[Shape], say: Callable[[float], str]) -> tuple[Shape, ...]:
    """Return the shapes with the length written on each dimension line that has no text, by what says a length, mm."""
    return tuple(
        replace(shape, text=say(math.dist(shape.start, shape.end)))
        if isinstance(shape, Dimension) and not shape.text else shape
        for shape in shapes
    )  # fmt: skip


def simple(shapes: Iterable[Shape]) -> Iterator[Path | Arc | Label]:
    """Return the shapes with each dimension line taken apart into lines, arrow heads and its text."""
    for shape in shapes:
        if isinstance(shape, Dimension):
            yield from _dimension(shape)
        else:
            yield shape


def _dimension(shape: Dimension) -> Iterator[Path | Label]:
    (x0, y0), (x1, y1) = shape.start, shape.end
    length = math.dist(shape.start, shape.end)
    if length == 0.0:
        return
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    nx, ny = -uy, ux
    text = shape.text or f"{length:.1f}"
    if text_width(text, _TEXT) >= length - 2.0:
        text = re.sub(r" \([^()]*\)", "", text)

    def at(along: float, out: float) -> Point:
        return x0 + ux * along + nx * out, y0 + uy * along + ny * out

    side = math.copysign(1.0, shape.offset)
    for along in (0.0, length):
        yield line(at(along, side), at(along, shape.offset + 1.5 * side), Style.AID)
    yield line(at(0.0, shape.offset), at(length, shape.offset), Style.AID)
    for tip, way in ((0.0, 1.0), (length, -1.0)):
        barbs = [at(tip + way * _ARROW, shape.offset + s * 0.3 * _ARROW) for s in (1.0, -1.0)]
        yield Path((barbs[0], at(tip, shape.offset), barbs[1]), Style.AID)
    angle, beyond = math.atan2(uy, ux), length + 1.5
    if not -0.5 * math.pi + 1e-9 < angle <= 0.5 * math.pi + 1e-9:  # never upside down
        angle, beyond = angle - math.copysign(math.pi, angle), -1.5
    if text_width(text, _TEXT) < length - 2.0:
        yield Label(at(0.5 * length, shape.offset + side * 2.0), text, _TEXT, angle, plate=shape.plate)
    else:  # past the end of the line when it doesn't fit on it
        yield Label(at(beyond, shape.offset), text, _TEXT, angle, anchor=0.0, plate=shape.plate)


# --- size and place ------------------------------------------------------------------------------------------------


def _extent(shape: Path | Arc | Label) -> Iterator[Point]:
    if isinstance(shape, Path):
        yield from shape.points
    elif isinstance(shape, Arc):
        yield from flattened(shape)
    else:
        wide, cos, sin = text_width(shape.text, shape.height), math.cos(shape.angle), math.sin(shape.angle)
        for along in (-shape.anchor * wide, (1.0 - shape.anchor) * wide):
            for up in (-0.7 * shape.height, 0.7 * shape.height):
                yield shape.at[0] + along * cos - up * sin, shape.at[1] + along * sin + up * cos


def flattened(arc: Arc, tolerance: float = 0.005) -> list[Point]:
    """Return points on the arc whose chords stay within a tolerance, mm, of it; quarter points are hit exactly."""
    sweep = arc.end - arc.start
    step = 2.0 * math.acos(max(1.0 - tolerance / max(arc.radius, 2.0 * tolerance), 0.0))
    count = 4 * max(1, math.ceil(abs(sweep) / step / 4.0))
    return [
        (arc.centre[0] + arc.radius * math.cos(a), arc.centre[1] + arc.radius * math.sin(a))
        for a in (arc.start + sweep * k / count for k in range(count + 1))
    ]


def bounds(shapes: Iterable[Shape]) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top, mm, of everything drawn, text included."""
    points = [point for shape in simple(shapes) for point in _extent(shape)]
    if not points:
        return 0.0, 0.0, 0.0, 0.0
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _mapped(shape: Shape, angle: float, dx: float, dy: float) -> Shape:
    cos, sin = math.cos(angle), math.sin(angle)

    def to(p: Point) -> Point:
        return p[0] * cos - p[1] * sin + dx, p[0] * sin + p[1] * cos + dy

    if isinstance(shape, Path):
        return replace(shape, points=tuple(map(to, shape.points)))
    if isinstance(shape, Arc):
        return replace(shape, centre=to(shape.centre), start=shape.start + angle, end=shape.end + angle)
    if isinstance(shape, Label):
        return _upright(replace(shape, at=to(shape.at), angle=shape.angle + angle))
    return replace(shape, start=to(shape.start), end=to(shape.end))


def _upright(label: Label) -> Label:
    """Return the label turned by half a turn in its place where it would stand on its head."""
    angle = math.remainder(label.angle, 2.0 * math.pi)
    if -0.5 * math.pi + 1e-9 < angle <= 0.5 * math.pi + 1e-9:
        return replace(label, angle=angle)
    return replace(label, angle=angle - math.copysign(math.pi, angle), anchor=1.0 - label.anchor)


def moved(shapes: Iterable[Shape], dx: float, dy: float) -> tuple[Shape, ...]:
    """Return the shapes moved by mm."""
    return tuple(_mapped(shape, 0.0, dx, dy) for shape in shapes)


def turned(shapes: Iterable[Shape], angle: float) -> tuple[Shape, ...]:
    """Return the shapes turned counter-clockwise about the origin, rad."""
    return tuple(_mapped(shape, angle, 0.0, 0.0) for shape in shapes)


def scaled(shapes: Iterable[Shape], factor: float) -> tuple[Shape, ...]:
    """Return the shapes drawn smaller; text keeps its size and dimension lines keep the length of the real thing."""
    made: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Path):
            made.append(replace(shape, points=tuple((x * factor, y * factor) for x, y in shape.points)))
        elif isinstance(shape, Arc):
            made.append(
                replace(
                    shape, centre=(shape.centre[0] * factor, shape.centre[1] * factor), radius=shape.radius * factor
                )
            )
        elif isinstance(shape, Label):
            made.append(replace(shape, at=(shape.at[0] * factor, shape.at[1] * factor)))
        else:
            ends = [(x * factor, y * factor) for x, y in (shape.start, shape.end)]
            text = shape.text or f"{math.dist(shape.start, shape.end):.0f}"
            made.append(replace(shape, start=ends[0], end=ends[1], text=text))
    return tuple(made)


# --- caption -------------------------------------------------------------------------------------------------------


def caption(pattern: Pattern, left: float, top: float, width: float) -> tuple[Shape, ...]:
    """Return title, number, material and notes as text below a point, wrapped to a width."""
    of = f" · {pattern.material}" if pattern.material else ""
    blocks = [
        (f"{pattern.title} · make {pattern.quantity}{of}", 3.2, True),
        *((note, 2.6, False) for note in pattern.notes),
    ]
    labels: list[Shape] = []
    y = top
    for text, height, bold in blocks:
        for row in wrapped(text, width, height):
            y -= 1.45 * height
            labels.append(Label((left, y), row, height, anchor=0.0, bold=bold))
        y -= 0.8
    return tuple(labels)


def captioned(pattern: Pattern, narrowest: float = 70.0) -> tuple[Shape, ...]:
    """Return the shapes with their caption under them, wrapped to the width of the part."""
    left, bottom, right, _ = bounds(pattern.shapes)
    return (*pattern.shapes, *caption(pattern, left, bottom - 3.0, max(right - left, narrowest)))


def wrapped(text: str, width: float, height: float) -> list[str]:
    """Return the rows of a text that is broken at plain spaces to a width, mm, in letters of a type size, mm."""
    rows: list[str] = []
    for word in filter(None, text.split(" ")):
        if rows and text_width(f"{rows[-1]} {word}", height) <= width:
            rows[-1] += f" {word}"
        else:
            rows.append(word)
    return rows
