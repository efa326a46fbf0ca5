"""The launcher's stand: its sizes, cut list and holes; and the boring steps of the nozzle.

Boards: two feet on the ground along the cord, two legs standing on them, the plate across the legs, a stretcher
between the feet at the rear. Tube: the same frame of tube, two feet, two uprights, two cross bars, and a plate.
A cord goes round a turning bar in two posts at the front; a friction plug has no cord and no bar.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from bottlewright.data_file import data_file
from bottlewright.design import Design
from bottlewright.design.launcher_parts import Cord, Stakes
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.make.dimensions import fraction_text, length_text, mm
from bottlewright.quantities import Dimension as Kind
from bottlewright.quantities import Quantity, parse_quantity

__all__ = [
    "BAR", "Bore", "Hole", "Piece", "StandSizes", "boring_steps", "cord_places", "cut_list", "holes", "post_length",
    "stand_sizes",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class StandSizes:
    """The stand's own lengths, mm, and which of them are our choice because the design gives none."""

    kind: str
    width: float
    depth: float
    height: float
    board_width: float
    board: float
    tube: float
    hole: float
    cord_hole: float
    stake_hole: float
    pull: float
    bar_height: float
    loop: float
    corded: bool
    chosen: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """One line of the cut list, mm."""

    name: str
    count: int
    length: float
    section: str
    where: str


@cache
def _usual() -> dict[str, float]:
    rows = data_file("make", "stand")["row"]
    return {row["path"]: round(1e3 * row.read("value", parse_quantity, Kind.LENGTH).value, 9) for row in rows}


_CLEARANCE = 1.0


def _corded(design: Design) -> bool:
    """Say whether a cord lets the rocket go; a friction plug lets go by itself."""
    release = design.launcher.release
    return release is None or release.kind != "plug"


def stand_sizes(design: Design, drills: Mapping[str, float] | None = None, inches: bool = False) -> StandSizes:
    """Return the stand's sizes; what the design leaves open is filled from the table and named in `chosen`.

    Parameters
    ----------
    drills
        Drill for what passes a hole (coupling, hose, cord, stake), m, as the check of the launcher found them.
    inches
        Holes that nobody has checked go up to the next 32nd of an inch.
    """
    launcher, chosen = design.launcher, []
    found = {name: 1e3 * drill for name, drill in (drills or {}).items()}

    def size(path: str, given: Quantity | None) -> float:
        if given is not None:
            return mm(given)
        chosen.append(path)
        return _usual()[path]

    frame, cord = launcher.frame, launcher.cord
    kind = frame.kind if frame else "boards"
    passing = launcher.coupling.diameter if launcher.coupling else None
    hole = found.get("coupling") or found.get("hose") or size("coupling.diameter", passing) + _CLEARANCE
    stakes = launcher.stakes
    release, hose, drawn = launcher.release, launcher.hose, _corded(design)
    def drill(diameter: float) -> float:
        return math.ceil(diameter / 25.4 * 32.0 - 1e-6) * 25.4 / 32.0 if inches else diameter

    return StandSizes(
        kind,
        size("frame.width", frame.width if frame else None),
        size("frame.depth", frame.depth if frame else None),
        size("frame.height", frame.height if frame else None),
        size("frame.board_width", frame.board_width if frame else None),
        size("frame.board_thickness", frame.board_thickness if frame else None),
        size("frame.tube_diameter", frame.tube_diameter if frame else None) if kind == "tube" else 0.0,
        drill(hole),
        drill(found.get("cord") or mm(cord.diameter if cord else None, 4.0) + 2.0 * _CLEARANCE),
        drill(found.get("stake") or mm(stakes.diameter if stakes else None, 10.0) + _CLEARANCE),
        size("release.pull_radius", release.pull_radius if release else None) if drawn else 0.0,
        size("cord.height", cord.height if cord else None) if drawn else 0.0,
        size("hose.loop_height", hose.loop_height if hose else None),
        drawn,
        tuple(chosen),
    )


def cut_list(sizes: StandSizes, habit: UnitHabit) -> list[Piece]:
    """Return what to saw; heights add up to the plate's height above the ground."""
    s = sizes

    def to_mm(*lengths: float) -> str:
        return fraction_text(habit, *lengths)

    board = f"{to_mm(s.board_width, s.board)} board"
    tube = f"Ø {to_mm(s.tube)} tube"
    bar = []
    if s.corded:
        foot, section = (s.tube, tube) if s.kind == "tube" else (s.board, board)
        bar = [
            Piece("bar post", 2, post_length(s), section, f"on each foot, at the front; hole for the bar "
                  f"{to_mm(s.bar_height - foot)} above the foot"),
            Piece("turning bar", 1, s.width, f"Ø {to_mm(BAR)} round bar", "through both posts: the cord goes round it"),
        ]  # fmt: skip
    if s.kind == "tube":
        return [
            Piece("foot", 2, s.depth, tube, "on the ground, along the cord"),
            Piece(
                "upright", 2, s.height - s.board - s.tube, tube, "from foot to plate; take off what your fittings add"
            ),
            Piece(
                "cross bar",
                2,
                s.width - 2.0 * s.tube,
                tube,
                "under the plate and at the rear, between the sides; less the fittings",
            ),
            Piece("plate", 1, s.width, board, "on the top bar, carries the release"),
            *bar,
        ]
    return [
        Piece("foot", 2, s.depth, board, "flat on the ground, along the cord"),
        Piece("leg", 2, s.height - 2.0 * s.board, board, "upright on the foot, under the end of the plate"),
        Piece("plate", 1, s.width, board, "across both legs, carries the release"),
        Piece("stretcher", 1, s.width - 2.0 * s.board_width, board, "on edge between the feet, at the rear"),
        *bar,
    ]


BAR = 15.0
"""Diameter of the turning bar, mm: our choice."""
_OVER = 20.0  # mm of post over the middle of the bar


def post_length(sizes: StandSizes) -> float:
    """Return how long the posts of the turning bar are, mm, standing on the feet."""
    return sizes.bar_height + _OVER - (sizes.tube if sizes.kind == "tube" else sizes.board)


def cord_places(cord: Cord | None, sizes: StandSizes) -> list[tuple[float, float]]:
    """Return where the cords pass the plate, mm from its middle: along it on both sides, or towards the operator."""
    if not sizes.corded:
        return []
    if cord is None or cord.count == 2:
        return [(-sizes.pull, 0.0), (sizes.pull, 0.0)]
    room = 0.5 * sizes.board_width - 0.5 * sizes.cord_hole - 5.0
    return [(0.0, sizes.pull)] if sizes.pull <= room else [(sizes.pull, 0.0)]


Hole = tuple[str, int, float, str]
"""What for, how many, diameter in mm, where."""


def holes(
    stakes: Stakes | None, sizes: StandSizes, places: Sequence[tuple[float, float]], habit: UnitHabit
) -> list[Hole]:
    """Return the stand's holes: what for, how many, diameter in mm, where."""
    found = [("release and hose end", 1, sizes.hole, "in the middle of the plate, square to it")]
    beside, high = (fraction_text(habit, one) for one in (sizes.pull, sizes.bar_height))
    if places:
        way = "both sides" if len(places) == 2 else "towards the operator" if places[0][1] else "to one side"
        what = "cords" if len(places) == 2 else "cord"
        found.append(
            (
                what,
                len(places),
                sizes.cord_hole,
                f"in the plate, {beside} from its middle, {way}",
            )
        )
        found.append(
            (
                "turning bar",
                2,
                BAR,
                f"through its posts, {high} above the ground",
            )
        )
    if stakes and stakes.count:
        found.append(("stakes", stakes.count, sizes.stake_hole, "near the ends of the feet"))
    return found


@dataclass(frozen=True, slots=True)
class Bore:
    """One step of boring: tool diameter, mm, and what to do."""

    diameter: float
    text: str


def boring_steps(design: Design, habit: UnitHabit) -> list[Bore]:
    """Return the drills in order for the nozzle, a step of at most 3 mm at a time, and how to finish the edge.

    Drills come in half millimetres, or in 64ths of an inch for a builder who writes inches.

    Common practice, no source: pilot, steps, last half millimetre with a reamer or a fresh drill.
    """
    nozzle = design.nozzle
    bore, neck = mm(nozzle.bore), mm(design.vessel.neck_bore)
    if bore <= 0.0 or bore >= neck - 0.01:
        return []
    grid, pilot = (25.4 / 64.0, 3.175) if habit.inches else (0.5, 3.0)
    steps = [Bore(min(pilot, bore), "pilot hole on the marked centre, part clamped in a vice with soft jaws")]
    while steps[-1].diameter < bore - 0.6:
        left = bore - 0.5 - steps[-1].diameter
        size = steps[-1].diameter + left / max(1, math.ceil(left / 3.0))
        if left > 3.0 or habit.inches:
            size = math.floor(size / grid + 1e-9) * grid
        if size <= steps[-1].diameter:
            break
        steps.append(Bore(size, "slowly, clearing chips; plastic must not melt"))
    if steps[-1].diameter < bore:
        steps.append(Bore(bore, "last cut with a reamer or a fresh drill; check with a turned or drilled gauge"))
    radius, long = (length_text(habit, one, form=".1f") for one in (0.25 * bore, mm(nozzle.length)))
    finish = {
        "rounded": f"round the inner edge to a radius of about {radius} with countersink and fine paper",
        "square-edged": "leave the inner edge sharp and clean: the flow numbers assume a square edge",
        "tube": f"keep the bore parallel for {long}, ends clean",
        "cone": "open the inside to a cone of about 13° with a taper reamer",
        "re-entrant": "leave the tube standing into the bottle, its edge clean",
    }[nozzle.shape or "rounded"]
    return [*steps, Bore(bore, finish)]
