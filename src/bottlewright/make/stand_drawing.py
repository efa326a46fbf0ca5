"""The launcher drawn: front and side of the stand, the line from pump to rocket, the template for the plate's holes."""

from bottlewright.design import Design
from bottlewright.make.drawing import (
    Dimension,
    Label,
    Path,
    Pattern,
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
from bottlewright.make.facts import neat
from bottlewright.make.measures import mm
from bottlewright.make.stand import StandSizes, holes

__all__ = ["hose_line", "plate_template", "stand_views"]


def plate_template(design: Design, sizes: StandSizes) -> Pattern:
    """Return the middle of the plate at true size with its hole centres and sizes."""
    half, wide = min(0.5 * sizes.width, 85.0), sizes.board_width
    shapes: list[Shape] = [
        rectangle(-half, -0.5 * wide, 2.0 * half, wide),
        line((-half, 0.0), (half, 0.0), Style.MARK),
        line((0.0, -0.5 * wide), (0.0, 0.5 * wide), Style.MARK),
        circle((0.0, 0.0), sizes.hole),
        Label((0.0, -0.5 * sizes.hole - 5.0), f"Ø {sizes.hole:.1f} through, square to the board", 2.8),
    ]
    found = holes(design, sizes)
    _, count, diameter, _ = found[1]
    fits = sizes.pull + 0.5 * diameter < half
    if fits:
        for side in (-1.0, 1.0)[: 2 if count == 2 else 1]:
            shapes.append(circle((side * sizes.pull, 0.0), diameter))
            shapes.append(Label((side * sizes.pull, -0.5 * diameter - 4.0), f"Ø {diameter:.1f}", 2.8))
        shapes.append(Dimension((0.0, 0.5 * wide), (sizes.pull, 0.5 * wide), 5.0))
    shapes.append(Dimension((-half, -0.5 * wide), (-half, 0.5 * wide), 5.0))
    notes = (
        "Tape it to the plate, long line on the middle of the board. Prick the centres, drill 3 mm, then full size.",
        "Clamp the board on scrap wood; eye protection on; an adult drills. Round all edges that the cord touches.",
    )
    return Pattern("plate-template", "Drilling template for the stand's plate", tuple(shapes), 1, "paper", notes)


def stand_views(design: Design, sizes: StandSizes, width: float, height: float) -> tuple[float, tuple[Shape, ...]]:
    """Return n and front and side view side by side, drawn 1 : n, the largest of the usual steps that fits, mm."""
    for n in (2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 15.0, 20.0, 25.0, 50.0):
        front, side = _front(sizes, n), _side(design, sizes, n)
        gap = bounds(front)[2] - bounds(side)[0] + 6.0
        shapes = (*front, *moved(side, gap, 0.0))
        left, bottom, right, top = bounds(shapes)
        if right - left <= width and top - bottom <= height:
            break
    return n, shapes


def _front(s: StandSizes, n: float) -> tuple[Shape, ...]:
    """Return the view along the cord, on paper."""
    half, top = 0.5 * s.width, s.height
    shapes: list[Shape] = [*_sides(s), rectangle(-half, top - s.board, s.width, s.board)]
    shapes += [line((x, top - s.board), (x, top), Style.FOLD) for x in (-0.5 * s.hole, 0.5 * s.hole)]
    shapes += [Dimension((-half, 0.0), (half, 0.0), -6.0), Dimension((-half, 0.0), (-half, top), 6.0)]
    shapes += [
        Dimension((0.0, top), (s.pull, top), 5.0, f"{s.pull:.0f} axis to cord"),
        Dimension((-0.5 * s.hole, top), (0.5 * s.hole, top), 11.0, f"hole Ø {s.hole:.1f}"),
    ]
    return (
        *scaled(shapes, 1.0 / n),
        line((0.0, -3.0), (0.0, top / n + 16.0), Style.AID),
        Label((-0.5 * half / n, top / n + 20.0), "front", 3.2, bold=True),
    )


def _sides(s: StandSizes) -> list[Shape]:
    half = 0.5 * s.width
    shapes: list[Shape] = []
    for side in (-1.0, 1.0):
        if s.kind == "tube":
            edge = min(side * half, side * (half - s.tube))
            shapes += [
                circle((edge + 0.5 * s.tube, 0.5 * s.tube), s.tube),
                rectangle(edge, s.tube, s.tube, s.height - s.board - s.tube),
            ]
        else:
            foot = min(side * half, side * (half - s.board_width))
            leg = min(side * half, side * (half - s.board))
            shapes += [
                rectangle(foot, 0.0, s.board_width, s.board),
                rectangle(leg, s.board, s.board, s.height - 2 * s.board),
            ]
    if s.kind == "tube":
        return [*shapes, rectangle(-half + s.tube, s.height - s.board - s.tube, s.width - 2 * s.tube, s.tube)]
    return [*shapes, rectangle(-half + s.board_width, 0.0, s.width - 2 * s.board_width, s.board_width, Style.FOLD)]


def _side(design: Design, s: StandSizes, n: float) -> tuple[Shape, ...]:
    """Return the view along the plate: hose with its raised loop on the left, cord to the operator on the right."""
    half, foot = 0.5 * s.depth, s.board if s.kind == "boards" else s.tube
    upright = s.board_width if s.kind == "boards" else s.tube
    bar: Point = (half - 20.0, s.bar_height)
    left, out, top = -half - 12.0 * n, half + 18.0 * n, s.height + s.loop
    shapes: list[Shape] = [
        rectangle(-half, 0.0, s.depth, foot),
        rectangle(-0.5 * upright, foot, upright, s.height - foot - s.board),
        rectangle(-0.5 * s.board_width, s.height - s.board, s.board_width, s.board),
        circle(bar, 15.0),
        Path(((0.0, s.height + 10.0), (bar[0] - 6.0, bar[1] - 7.5), (out, bar[1] - 7.5)), Style.MARK),
        Path(
            (
                (0.0, s.height - s.board),
                (-0.3 * s.depth, 0.45 * s.height),
                (left + 8.0 * n, s.height),
                (left + 3.0 * n, top),
                (left - 2.0 * n, s.height),
                (left - 4.0 * n, 6.0),
                (left - 14.0 * n, 6.0),
            ),
            Style.MARK,
        ),
        Dimension((-half, 0.0), (half, 0.0), -6.0),
        Dimension((bar[0], 0.0), bar, -9.0, f"bar {s.bar_height:.0f}"),
        Dimension((left + 3.0 * n, s.height), (left + 3.0 * n, top), -5.0, f"loop {s.loop:.0f}"),
        line((left - 14.0 * n, 0.0), (out, 0.0), Style.AID),
    ]
    stakes = design.launcher.stakes
    if stakes and stakes.count:
        deep = mm(stakes.length, 200.0)
        shapes += [
            line((x, foot + 12.0), (x, foot - min(deep, 0.8 * s.height)), Style.CUT) for x in (15.0 - half, half - 15.0)
        ]
    return (
        *scaled(shapes, 1.0 / n),
        Label((0.0, s.height / n + 20.0), "side", 3.2, bold=True),
        Label((out / n - 9.0, bar[1] / n + 16.0), "cord to the operator", 2.6),
        Label(((left - 14.0 * n) / n, 4.0), "to valve and pump", 2.6, anchor=0.0),
        Label((left / n + 3.0, top / n + 3.0), "raised loop of the hose", 2.6),
    )


def hose_line(design: Design, width: float) -> tuple[Shape, ...]:
    """Return the line from pump to rocket as a row of named boxes with their ratings; not to scale, on paper."""
    gear = design.launcher

    def rated(part: object) -> str:
        rating = getattr(part, "rating", None)
        return f"to {neat(rating.value, 'bar')}" if rating else "rating: ____"

    gauge = f"0 to {neat(gear.gauge.range.value, 'bar')}" if gear.gauge and gear.gauge.range else "range: ____"
    long = f"{neat(gear.hose.length.value, 'm')}, " if gear.hose and gear.hose.length else ""
    boxes = [
        ("pump", rated(gear.pump)),
        ("valve", rated(gear.valve)),
        ("gauge", gauge),
        ("bleed valve", "opens by hand"),
        ("clamp", rated(gear.clamp)),
        ("hose, loop", f"{long}{rated(gear.hose)}"),
        ("clamp", rated(gear.clamp)),
        ("connector", rated(gear.coupling)),
        ("rocket", ""),
    ]
    step = width / len(boxes)
    shapes: list[Shape] = []
    for k, (name, words) in enumerate(boxes):
        x = k * step
        shapes += [
            rectangle(x, 0.0, step - 3.0, 9.0),
            Label((x + 0.5 * (step - 3.0), 4.5), name, 2.2, bold=True),
            Label((x + 0.5 * (step - 3.0), -3.0), words, 2.0),
        ]
        if k:
            shapes.append(line((x - 3.0, 4.5), (x, 4.5)))
    return tuple(shapes)
