"""Parts onto sheets at true size: what is larger than a sheet is cut up, then few sheets take all pieces."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from bottlewright.make.drawing import (
    Arc,
    Label,
    Path,
    Pattern,
    Point,
    Shape,
    Style,
    bounds,
    caption,
    captioned,
    circle,
    flattened,
    line,
    simple,
    text_width,
    turned,
)

__all__ = ["HEAD", "HEAD_TEXT", "PAPERS", "Paper", "Piece", "Placed", "nest", "pieces_of", "usual_paper"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, mm, and the margins that keep the check bars and the page's own lines."""

    name: str
    width: float
    height: float
    left: float = 18.0
    right: float = 8.0
    top: float = 20.0
    bottom: float = 24.0

    @property
    def window(self) -> tuple[float, float]:
        """Width and height, mm, of what is left for parts."""
        return self.width - self.left - self.right, self.height - self.top - self.bottom


PAPERS = {"a4": Paper("A4", 210.0, 297.0), "letter": Paper("Letter", 215.9, 279.4)}
"""ISO 216 A4; ANSI/ASME Y14.1 Letter, 8.5 by 11 inches."""


def usual_paper(inches: bool) -> str:
    """Return the name of the paper in the printer of a builder who writes inches, or who does not."""
    return "letter" if inches else "a4"


Hole = tuple[float, float, float, float]
"""A free rectangle of a sheet: left, top, width, height, mm."""

OVERLAP = 10.0
_GAP = 5.0
_EDGE = 0.5  # shown round a part in tiles, so that no line on its rim is cut to half its width
HEAD = 6.0
HEAD_TEXT = 2.6
"""Height of the head over a tile and of its letters, mm."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Shapes and the box of them that is shown (left, bottom, right, top), mm; `clipped` when others show the rest.

    A piece that shows only a part has a `head` that says which: a line of text over the box, on paper of its own.
    """

    name: str
    shapes: tuple[Shape, ...]
    box: tuple[float, float, float, float]
    head: str = ""

    @property
    def clipped(self) -> bool:
        """Say whether other pieces show the rest."""
        return bool(self.head)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height on paper, mm, head included."""
        left, bottom, right, top = self.box
        if not self.head:
            return right - left, top - bottom
        return max(right - left, text_width(self.head, HEAD_TEXT)), top - bottom + HEAD


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece on a sheet: its upper left corner from the window's upper left corner, mm, y downwards."""

    piece: Piece
    x: float
    y: float


def pieces_of(pattern: Pattern, window: tuple[float, float]) -> list[Piece]:
    """Return the pattern whole when it fits the window either way up, and in tiles otherwise.

    A part that fits without its caption, or only in tiles, gets the caption as a piece of its own.
    """
    whole = _piece(pattern.name, captioned(pattern))
    if _fits(whole.size, window) or _fits(whole.size[::-1], window):
        return [whole]
    words = _piece(f"{pattern.name} caption", caption(pattern, 0.0, 0.0, 85.0))
    bare = _piece(pattern.name, pattern.shapes)
    if _fits(bare.size, window) or _fits(bare.size[::-1], window):
        return [bare, words]
    window = (window[0], window[1] - HEAD)
    wide, tall = bare.size[0] + 2.0 * _EDGE, bare.size[1] + 2.0 * _EDGE
    upright, flat = _count((wide, tall), window), _count((tall, wide), window)
    way_up = _quarter_turned(bare) if math.prod(flat) < math.prod(upright) else bare
    return [*_tiles(pattern, way_up, window), words]


def _piece(name: str, shapes: tuple[Shape, ...]) -> Piece:
    return Piece(name, shapes, bounds(shapes))


def _fits(size: tuple[float, float], window: tuple[float, float]) -> bool:
    return size[0] <= window[0] + 1e-6 and size[1] <= window[1] + 1e-6


def _count(size: tuple[float, float], window: tuple[float, float]) -> tuple[int, int]:
    across, down = (max(1, math.ceil((s - OVERLAP) / (w - OVERLAP) - 1e-9)) for s, w in zip(size, window, strict=True))
    return across, down


def _tiles(pattern: Pattern, whole: Piece, window: tuple[float, float]) -> list[Piece]:
    """Cut along a grid; neighbours share 10 mm, with the same crosses and the same join line on both."""
    left, bottom, right, top = (edge + side * _EDGE for edge, side in zip(whole.box, (-1, -1, 1, 1), strict=True))
    box = (left, bottom, right, top)
    across, down = _count((right - left, top - bottom), window)
    step_x, step_y = window[0] - OVERLAP, window[1] - OVERLAP
    across_at = [left + i * step_x + 0.5 * OVERLAP for i in range(1, across)]
    down_at = [top - j * step_y - 0.5 * OVERLAP for j in range(1, down)]
    shapes = tuple(_clear(shape, across_at, down_at) for shape in simple(whole.shapes))
    marked = (*shapes, *_registration(box, across, down, step_x, step_y))
    tiles = []
    for j in range(down):
        for i in range(across):
            x0, y1 = left + i * step_x, top - j * step_y
            tile = (x0, max(bottom, y1 - window[1]), min(right, x0 + window[0]), y1)
            if not _ink(shapes, tile):
                continue
            name = f"{pattern.name} {chr(65 + j)}{i + 1}"
            last = f"{chr(64 + down)}{across}"
            tiles.append(Piece(name, marked, tile, f"{pattern.title}: tile {chr(65 + j)}{i + 1} of A1 to {last}"))
    return tiles


def _clear(shape: Path | Arc | Label, across_at: Sequence[float], down_at: Sequence[float]) -> Path | Arc | Label:
    """Return a text moved aside, where it would be cut at a join: to the right, or up."""
    if not isinstance(shape, Label):
        return shape
    left, bottom, right, top = bounds([shape])
    half = 0.5 * OVERLAP + 1.0
    dx = max((x + half - left for x in across_at if left < x + half and right > x - half), default=0.0)
    dy = max((y + half - bottom for y in down_at if bottom < y + half and top > y - half), default=0.0)
    return replace(shape, at=(shape.at[0] + dx, shape.at[1] + dy))


def _registration(
    box: tuple[float, float, float, float], across: int, down: int, step_x: float, step_y: float
) -> Iterable[Shape]:
    left, bottom, right, top = box
    for i in range(1, across):
        x = left + i * step_x + 0.5 * OVERLAP
        yield line((x, bottom), (x, top), Style.MARK)
        yield Label((x - 1.8, 0.5 * (bottom + top)), "join", 2.5, 0.5 * math.pi)
        for j in range(down):
            low = max(bottom, top - j * step_y - step_y - OVERLAP)
            for part in (0.15, 0.85):
                yield from _cross((x, low + part * (top - j * step_y - low)))
    for j in range(1, down):
        y = top - j * step_y - 0.5 * OVERLAP
        yield line((left, y), (right, y), Style.MARK)
        yield Label((0.5 * (left + right), y + 1.8), "join", 2.5)
        for i in range(across):
            far = min(right, left + i * step_x + step_x + OVERLAP)
            for part in (0.15, 0.85):
                yield from _cross((left + i * step_x + part * (far - left - i * step_x), y))


def _cross(at: Point) -> list[Shape]:
    x, y = at
    return [
        line((x - 4.0, y), (x + 4.0, y), Style.MARK),
        line((x, y - 4.0), (x, y + 4.0), Style.MARK),
        circle(at, 4.0, Style.MARK),
    ]


def _ink(shapes: tuple[Shape, ...], tile: tuple[float, float, float, float]) -> bool:
    """Say whether any line or text of the part shows on the tile."""
    from shapely.geometry import LineString, box

    area = box(*tile)
    for shape in simple(shapes):
        if isinstance(shape, Label):
            shown = box(*bounds([shape])).intersects(area)
        else:
            points = flattened(shape, 0.5) if isinstance(shape, Arc) else list(shape.points)
            if isinstance(shape, Path) and shape.closed:
                points.append(points[0])
            shown = LineString(points).intersects(area)
        if shown:
            return True
    return False


def nest(pieces: Sequence[Piece], window: tuple[float, float]) -> list[list[Placed]]:
    """Lay pieces on sheets: largest first, each into the free rectangle that it fills best, turned where that helps.

    Maximal rectangles, best short side (Jylänki, A Thousand Ways to Pack the Bin, 2010; original not checked).
    """
    sheets: list[tuple[list[Placed], list[Hole]]] = []
    for piece in sorted(pieces, key=lambda p: (-max(p.size), -min(p.size), p.name)):
        choices = [piece, _quarter_turned(piece)]
        spot = _best(choices, [free for _, free in sheets])
        if spot is None:
            sheets.append(([], [(0.0, 0.0, window[0], window[1])]))
            spot = _best(choices, [free for _, free in sheets])
        assert spot is not None, "pieces_of leaves nothing larger than the window"
        sheet, (x, y, _, _), chosen = spot
        placed, free = sheets[sheet]
        placed.append(Placed(chosen, x, y))
        free[:] = _without(free, (x, y, chosen.size[0] + _GAP, chosen.size[1] + _GAP))
    return [placed for placed, _ in sheets]


def _quarter_turned(piece: Piece) -> Piece:
    left, bottom, right, top = piece.box
    return replace(piece, shapes=turned(piece.shapes, 0.5 * math.pi), box=(-top, left, -bottom, right))


def _best(choices: Sequence[Piece], sheets: Sequence[Sequence[Hole]]) -> tuple[int, Hole, Piece] | None:
    """Return the first sheet with room, the hole that leaves the shortest rest, and the way up."""
    for number, free in enumerate(sheets):
        fits = [
            (min(hole[2] - piece.size[0], hole[3] - piece.size[1]), turn, hole, piece)
            for hole in free
            for turn, piece in enumerate(choices)
            if _fits(piece.size, (hole[2], hole[3]))
        ]
        if fits:
            _, _, hole, piece = min(fits, key=lambda fit: (round(fit[0], 6), fit[1], fit[2]))
            return number, hole, piece
    return None


def _without(free: Sequence[Hole], taken: Hole) -> list[Hole]:
    """Return the largest free rectangles that are left once one is taken; they may overlap each other."""
    x, y, width, height = taken
    rests: set[Hole] = set()
    for hole in free:
        hx, hy, hw, hh = hole
        if x >= hx + hw or x + width <= hx or y >= hy + hh or y + height <= hy:
            rests.add(hole)
            continue
        rests |= {
            (hx, hy, x - hx, hh),
            (x + width, hy, hx + hw - x - width, hh),
            (hx, hy, hw, y - hy),
            (hx, y + height, hw, hy + hh - y - height),
        }
    useful = [rest for rest in rests if min(rest[2], rest[3]) > 5.0]
    return sorted(rest for rest in useful if not any(_inside(rest, other) for other in useful if other != rest))


def _inside(one: Hole, other: Hole) -> bool:
    return (
        one[0] >= other[0]
        and one[1] >= other[1]
        and one[0] + one[2] <= other[0] + other[2]
        and one[1] + one[3] <= other[1] + other[3]
    )
