"""What can be dragged on the drawing of the rocket: which value each grip turns, how far, and where it sits."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from bottlewright.design import Design
    from bottlewright.flight.layout import Layout
    from bottlewright.project.project import Project
    from bottlewright.quantities import Quantity
    from bottlewright.report.drawing import RocketFrame

__all__ = ["Handle", "handles_of", "placed", "room"]

_ROOMS = 29.0, 36.0
"""Side of what a finger has to hit, points of the sheet on a page and on a telephone: 44 px from 1054 px of window on,
and on a telephone from 360 px on."""
_LETTERS = 7.5, 9.0
"""Size of a grip's name on a page and on a telephone, points."""
_HANG = 6
"""Grips that hang under the drawing of a telephone at the most: the fins, the nose and what weighs most."""
_STEPS = {"mm": (1.0, 0), "cm": (0.1, 1), "m": (0.001, 3), "in": (0.05, 2), "ft": (0.005, 3), "yd": (0.002, 3)}
"""Step of a grip and decimals of its number, in each unit: what a ruler shows."""
_MOST = 26
"""Letters of a name beside a grip."""


class _Turned(NamedTuple):
    """A value that a grip turns: from where to where it may go, m, and the place on the rocket that moves with it."""

    key: str
    label: str
    low: float
    high: float
    place: tuple[float, float]
    across: bool = False
    on_body: bool = True


@dataclass(frozen=True, slots=True)
class Handle:
    """A grip on the drawing; numbers are in the builder's own unit, places in points of the sheet.

    Parameters
    ----------
    key, label
        What it changes, and what that is called.
    now, low, high, step, decimals, unit
        The value, its bounds, by how much a key turns it, and how it is written.
    per
        How much a point of the sheet is.
    across
        Whether it moves away from the axis, and not along it.
    place
        Of what it moves.
    grip
        Where the grip sits: there, or under the drawing.
    spread
        The ± that the file states, which stays.
    before
        Whether its name stands before it.
    """

    key: str
    label: str
    now: float
    low: float
    high: float
    step: float
    decimals: int
    unit: str
    per: float
    across: bool
    place: tuple[float, float]
    grip: tuple[float, float]
    spread: str
    on_body: bool
    before: bool = False

    @property
    def said(self) -> str:
        """The value as it is written."""
        return f"{self.now:.{self.decimals}f} {self.unit}"

    @property
    def short(self) -> str:
        """What it is called, short enough to stand beside it."""
        return self.label if len(self.label) <= _MOST else f"{self.label[: _MOST - 1]}…"

    @property
    def name(self) -> str:
        """What stands beside the grip."""
        return f"{self.short} {self.said}"

    @property
    def under(self) -> bool:
        """Whether it hangs under the drawing."""
        return self.grip != self.place


def handles_of(project: "Project", layout: "Layout", frame: "RocketFrame") -> list[Handle]:
    """Return the grips of a rocket, each at the place that it moves."""
    from bottlewright.design import value_at
    from bottlewright.quantities import Quantity

    found = []
    for one in (*_of_fins(project.design, layout), *_of_nose(project.design, layout), *_of_masses(project.design)):
        value = value_at(project.design, one.key)
        if isinstance(value, Quantity):
            found.append(_handle(project.design, one, value, frame))
    return found


def _handle(design: "Design", one: _Turned, value: "Quantity", frame: "RocketFrame") -> Handle:
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import UNITS, Dimension, states_spread, written_unit

    written = written_unit(value.text) if value.text else ""
    unit = written if written in _STEPS else unit_habit(design).unit("mm")
    (step, decimals), size = _STEPS[unit], UNITS[Dimension.LENGTH][unit]
    low, high = min(one.low, value.value), max(one.high, value.value)
    place = frame.at(one.place[0] * 1e3, one.place[1] * 1e3)
    spread = value.text.replace("+/-", "±").partition("±")[2].strip() if states_spread(value.text or "") else ""
    return Handle(
        one.key, one.label, round(value.value / size, 6), round(round(low / size / step) * step, decimals),
        round(round(high / size / step) * step, decimals), step, decimals, unit, frame.point / size, one.across, place,
        place, spread, one.on_body,
    )  # fmt: skip


def _of_fins(design: "Design", layout: "Layout") -> Iterator[_Turned]:
    """Yield the grips of the fins whose corners are four: of an outline of one's own nothing but its place."""
    fins, corners = design.fins, layout.fin_outline.tolist()
    if fins is None or not len(corners) or fins.position is None:
        return
    front, end, calibre = corners[0], _end(design, layout), layout.diameter
    root = corners[-1][0] - front[0]
    if not fins.outline:
        (tip_front, out), tip_end = corners[1], corners[2][0]
        middle = (tip_front + tip_end) / 2.0, out
        yield _Turned("fins.span", "span", 0.1 * calibre, 3.0 * calibre, middle, across=True)
        yield _Turned("fins.root", "root", 0.1 * calibre, end - front[0], tuple(corners[3]))
        yield _Turned("fins.position", "fin front", 0.0, end - root, tuple(front))
        yield _Turned("fins.sweep", "sweep", -root, 3.0 * calibre, (tip_front, out))
        yield _Turned("fins.tip", "tip", 0.0, 3.0 * calibre, (tip_end, out))
    else:
        yield _Turned("fins.position", "fin front", 0.0, end - root, tuple(front))


def _of_nose(design: "Design", layout: "Layout") -> Iterator[_Turned]:
    """Yield the nose's length, no shorter than what sits on the rocket has room for: places count from its tip."""
    nose, calibre = design.nose, layout.diameter
    if nose is None or nose.length is None or nose.shape == "bottle":
        return
    fins = layout.fin_outline[:, 0] if len(layout.fin_outline) and design.sleeve is None else ()
    root = [float(layout.fin_outline[-1, 0])] if len(fins) else []
    sits = [float(part.position) for part in design.mass] + root
    room = layout.exit - max([0.0, *sits])
    low = max(0.2 * calibre, float(nose.length) - max(room, 0.0))
    yield _Turned("nose.length", "nose", low, 5.0 * calibre, (layout.nose_end, _radius(layout, layout.nose_end)))


def _of_masses(design: "Design") -> Iterator[_Turned]:
    """Yield the place of each thing that weighs and sits somewhere, the heaviest first."""
    from bottlewright.design.shape import stations

    end = stations(design).exit
    for number in sorted(range(len(design.mass)), key=lambda one: -float(design.mass[one].mass)):
        part = design.mass[number]
        yield _Turned(f"mass.{number}.position", part.name, 0.0, end, (float(part.position), 0.0), on_body=False)
    if design.recovery.kind != "none" and design.recovery.position:
        at = float(design.recovery.position)
        yield _Turned("recovery.position", f"{design.recovery.kind}, packed", 0.0, end, (at, 0.0), on_body=False)


def _end(design: "Design", layout: "Layout") -> float:
    sleeve = design.sleeve
    front = float(sleeve.position) if sleeve and sleeve.position else 0.0
    return max(layout.exit, front + float(sleeve.length)) if sleeve else layout.exit


def _radius(layout: "Layout", at: float) -> float:
    import numpy as np

    return float(np.interp(at, layout.outer_x, layout.outer_r))


def room(narrow: bool) -> float:
    """Return the side of what a finger has to hit, points."""
    return _ROOMS[narrow]


def placed(handles: Sequence[Handle], size: tuple[float, float], narrow: bool) -> tuple[list[Handle], float]:
    """Return grips that nowhere lie over each other, and the height of the sheet with those that hang under it.

    A grip sits on the drawing where it has the room. The others hang under it, each below what it moves, the foremost
    lowest, so that no line down crosses a name; on a telephone the least of the fins' corners are left out.
    """
    (wide, high), side = size, room(narrow)
    on: list[Handle] = []
    hanging: list[Handle] = []
    for one in handles:
        free = all(_apart(one, other) >= side for other in on)
        if one.on_body and free and (one.across or not narrow):
            on.append(one)
        elif not narrow or one.key not in ("fins.sweep", "fins.tip"):
            hanging.append(one)
    row, front = 0, wide + side
    hanging = hanging[:_HANG] if narrow else hanging
    for number, one in enumerate(sorted(hanging, key=lambda handle: -handle.place[0])):
        x, long = one.place[0], _long(one.name, narrow)
        before = x + 10.0 + long > wide
        left = (0.0, front) if before else (x, x + 10.0 + long)
        if number and (left[1] + 4.0 > front - side / 2 or before or x + side > front):
            row += 1
        front = x - 10.0 - long if before else x
        on.append(replace(one, grip=(x, high + side * (row + 0.5)), before=before))
    return on, high + (side * (row + 1) if hanging else 0.0)


def _apart(one: Handle, other: Handle) -> float:
    return max(abs(a - b) for a, b in zip(one.grip, other.grip, strict=True))


def _long(text: str, narrow: bool) -> float:
    from bottlewright.figures.letters import width

    return width(text, _LETTERS[narrow])
