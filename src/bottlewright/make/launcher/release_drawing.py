"""The release in section, at half size where the design gives the sizes: neck, seal, what holds it, cords, plate."""

from bottlewright.make.dimensions import mm, on_drawing
from bottlewright.make.drawing import Dimension, Label, Path, Point, Shape, Style, line, rectangle, scaled
from bottlewright.make.launcher.stand import StandSizes
from bottlewright.make.specification import Specification

__all__ = ["release_section"]

_NECK = 24.0  # mm of the neck that are drawn; the rest of the bottle is left out
_WALL = 2.0


def release_section(spec: Specification) -> tuple[Shape, ...]:
    """Return the section through the axis with its names, for paper at 1 : 2."""
    design, sizes = spec.design, spec.stand
    release = design.launcher.release
    kind = release.kind if release else "collar"
    neck, seal = 0.5 * mm(design.vessel.neck_bore), 0.5 * mm(design.launcher.seal_diameter)
    plate, stub = sizes.board, 0.5 * sizes.hole - 0.5
    reach, foot = max(sizes.pull + 12.0, neck + 16.0), plate + 12.0  # half the plate, height of the neck's lip
    shapes: list[Shape] = [
        *_cord_holes(spec),
        rectangle(-reach, 0.0, 2.0 * reach, plate),
        rectangle(-0.5 * sizes.hole, 0.0, sizes.hole, plate, Style.FOLD),
        rectangle(-stub, -14.0, 2.0 * stub, foot + 14.0),  # the hose end, through the plate
        rectangle(-seal, foot, 2.0 * seal, 14.0),
        *_pair(neck, foot, _WALL, _NECK),
        line((0.0, -22.0), (0.0, foot + _NECK + 8.0), Style.AID),
        Dimension((-seal, foot + 14.0), (seal, foot + 14.0), 16.0, f"seal Ø {on_drawing(spec.to_tenth(2 * seal))}"),
    ]
    if sizes.corded:
        shapes.append(Dimension((0.0, 0.0), (sizes.pull, 0.0), -14.0, f"{on_drawing(spec.sawn(sizes.pull))} to cord"))
    holder, names = _holder(kind, neck + _WALL, foot, sizes)
    blank = neck - seal > 1.0  # the seal fits a nozzle that fills the neck, not the neck itself
    if blank:
        bore = min(0.5 * mm(design.nozzle.bore), seal)
        shapes += [*_pair(seal, foot, neck - seal, 14.0), *_pair(bore, foot + 14.0, neck - bore, 4.0)]
    labels = [
        ((neck, foot + _NECK - 3.0), "neck of the bottle"),
        ((seal, foot + 6.0), "seal"),
        *([((0.5 * (neck + seal), foot + 12.0), "nozzle in the neck, sits on the seal")] if blank else []),
        *names,
        ((reach - 6.0, 0.5 * plate), "plate"),
        ((stub, -10.0), "hose end with clamp, from below"),
    ]
    return (*scaled([*shapes, *holder], 0.5), *_named(labels, 0.5 * reach + 14.0))


def _cord_holes(spec: Specification) -> list[Shape]:
    """Return the holes of the cords through the plate; a single one towards the operator lies before the section."""
    wide = spec.stand.cord_hole
    return [rectangle(x - 0.5 * wide, 0.0, wide, spec.stand.board, Style.FOLD) for x, y in spec.cords if y == 0.0]


def _pair(x: float, y: float, width: float, height: float, style: Style = Style.CUT) -> list[Shape]:
    """Return a rectangle on the right of the axis and the same on the left."""
    return [rectangle(x, y, width, height, style), rectangle(-x - width, y, width, height, style)]


def _holder(kind: str, neck: float, foot: float, s: StandSizes) -> tuple[list[Shape], list[tuple[Point, str]]]:
    """Return what holds the rocket down, and its cords, with their names."""
    ledge = foot + 10.0
    sides = (-1.0, 1.0)
    cords = [Path(((k * s.pull, foot - 2.0), (k * s.pull, -18.0), (0.0, -34.0)), Style.MARK) for k in sides]
    if kind == "plug":
        return [], [((neck - 4.0, foot + 2.0), "friction plug: lets go by itself, no cord")]
    if kind == "collar":
        ring = _pair(min(s.pull, neck + 1.0), foot - 4.0, abs(s.pull - neck - 1.0), 8.0)
        return [*ring, *cords], [
            ((s.pull, foot), "collar of the connector: the cords draw it down"),
            ((s.pull, -16.0), "cords, joined under the plate, then round the bar"),
        ]
    if kind == "ties":
        bent = ((neck + 1.0, s.board), (neck + 1.0, ledge + 3.0), (neck - 3.0, ledge + 3.0))
        ties = [Path(tuple((k * x, y) for x, y in bent)) for k in sides]
        return [*ties, *_pair(neck + 3.0, foot - 6.0, 3.0, 20.0), *cords], [
            ((neck + 1.0, ledge + 3.0), "heads of the ties over the ledge of the neck"),
            ((neck + 6.0, foot + 2.0), "sleeve: the cords draw it down, the heads spring out"),
        ]
    pin = rectangle(-neck - 14.0, ledge, 2.0 * neck + 28.0, 4.0)
    pull = line((neck + 14.0, ledge + 2.0), (neck + 30.0, ledge + 2.0), Style.MARK)
    return [pin, pull], [((neck + 12.0, ledge + 2.0), "pin over the ledge: the cord draws it out sideways")]


def _named(labels: list[tuple[Point, str]], column: float) -> tuple[Shape, ...]:
    """Return names in a column on the right, a thin line to each point; points in mm of the real thing, drawn 1 : 2."""
    shapes: list[Shape] = []
    rows = sorted(labels, key=lambda label: -label[0][1])
    top = 0.5 * rows[0][0][1] + 4.0
    for k, (point, words) in enumerate(rows):
        y = top - 6.5 * k
        shapes.append(line((0.5 * point[0], 0.5 * point[1]), (column - 1.5, y), Style.AID))
        shapes.append(Label((column, y), words, 2.6, anchor=0.0))
    return tuple(shapes)
