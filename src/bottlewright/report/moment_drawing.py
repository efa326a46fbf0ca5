"""A small drawing of the rocket in flight, of parts that a page moves: lean, water, jet, canopy and ground."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.figures.sheet import MM, Sheet, path
from bottlewright.report.drawing import fin_angles

__all__ = ["MomentDrawing", "MomentView", "Pose"]

Floats = NDArray[np.float64]
_WIDE, _TALL = 190.0, 240.0  # points
_LONG = 162.0  # points, the rocket; it turns about its middle without leaving the sheet
_UNDER_CANOPY = 0.5  # it is drawn smaller then, so that the canopy has room
_STAND = 12.0  # the launcher holds what reaches lowest so far over the ground
_FAR = 2.0 * _TALL  # out of sight


class Pose(NamedTuple):
    """The rocket at one moment.

    Parameters
    ----------
    lean
        Of the nose from upright, degrees; NaN where it hangs.
    water
        Height of the water's surface over the nozzle's exit, m; 0 without water.
    jet, push
        What leaves the nozzle, "water", "air" or nothing, and how hard that pushes, 0 to 1.
    canopy
        Share of the canopy that is open, 0 to 1.
    height
        Above the start, m.
    rising
        Whether the launcher still stands below.
    """

    lean: float
    water: float
    jet: str
    push: float
    canopy: float
    height: float
    rising: bool


@dataclass(frozen=True)
class MomentView:
    """What the drawing shows of the rocket itself, m.

    Parameters
    ----------
    station, radius
        Outer profile, stations from the nose tip.
    inner_z, inner_r
        Inner profile of the vessel, heights over the nozzle's exit.
    exit
        Station of the nozzle's exit.
    fin_outline, fin_count
        Corners of one fin, (station, distance from the axis), and how many fins there are.
    brake
        What slows the fall: a value of `recovery.kind`.
    """

    station: Floats
    radius: Floats
    inner_z: Floats
    inner_r: Floats
    exit: float
    fin_outline: Floats
    fin_count: int
    brake: str


class MomentDrawing:
    """The drawing of a rocket, and where its parts go at a moment."""

    PARTS = ("rocket", "level", "water-jet", "air-jet", "canopy", "ground", "launcher")
    """What moves, in the order of `moved`; "level" is what shows the water from its surface down."""

    def __init__(self, view: MomentView) -> None:
        self.view = view
        ends = [*view.station, *view.fin_outline[:, 0]]
        self.scale = _LONG / (max(ends) - min(ends))
        self.middle = 0.5 * (max(ends) + min(ends))
        outline = np.column_stack([view.station, view.radius])
        outline = np.concatenate([outline, outline * (1.0, -1.0), view.fin_outline, view.fin_outline * (1.0, -1.0)])
        self._outline = self._at(outline)
        self.exit = (view.exit - self.middle) * self.scale

    def _at(self, rows: Floats) -> Floats:
        """Return stations and distances from the axis as places about the rocket's middle, nose up, points."""
        return np.asarray(np.column_stack([rows[:, 1], rows[:, 0] - self.middle]) * self.scale)

    def sheet(self, pose: Pose) -> Sheet:
        """Return the drawing with every part where it belongs at a moment."""
        sheet, moved = Sheet(_WIDE / MM, _TALL / MM), dict(zip(self.PARTS, self.moved(pose), strict=True))
        with sheet.group("ground", moved["ground"]):
            sheet.shape(path([(0.0, 0.0), (_WIDE, 0.0)]), "ink", thick=1.4)
            sheet.shape(path([(0.0, 0.0), (_WIDE, 0.0), (_WIDE, _FAR), (0.0, _FAR)], True), "", "soft", hatch=1,
                        opacity=0.4)  # fmt: skip
        with sheet.group("launcher", moved["launcher"]):
            high = _STAND + self._lowest(0.0) - self.exit
            sheet.shape(f"M0 0V{-high:.1f}M-26 0L0 {-0.6 * high:.1f}L26 0", "soft", thick=2.2)
        with sheet.group("canopy", moved["canopy"]):
            self._canopy(sheet)
        with sheet.group("rocket", moved["rocket"]):
            self._jets(sheet, moved)
            self._body(sheet, moved["level"])
        return sheet

    def _body(self, sheet: Sheet, level: str) -> None:
        view, place = self.view, self._at
        for near in (False, True):
            if near:
                both = np.concatenate([np.column_stack([view.station, view.radius]),
                                       np.column_stack([view.station, -view.radius])[::-1]])  # fmt: skip
                sheet.shape(path(place(both), True), "ink", "paper", 1.2, part="body")
                self._water(sheet, level)
            for angle in fin_angles(view.fin_count if len(view.fin_outline) else 0):
                if (math.cos(angle) > 1e-9) == near:
                    sheet.shape(path(place(view.fin_outline * (1.0, math.sin(angle))), True), "ink", "paper", 1.0,
                                part="fin")  # fmt: skip

    def _water(self, sheet: Sheet, level: str) -> None:
        view, half = self.view, self.scale * float(self.view.inner_r.max())
        inner = np.column_stack([view.exit - view.inner_z, view.inner_r])
        outline = path(self._at(np.concatenate([inner, (inner * (1.0, -1.0))[::-1]])), True)
        with sheet.group("water", within=outline), sheet.group("level", level):
            sheet.shape(path([(-half, 0.0), (half, 0.0), (half, _FAR), (-half, _FAR)], True), "", "blue", opacity=0.5)
            sheet.shape(path([(-half, 0.0), (half, 0.0)]), "blue", thick=1.6)
        sheet.shape(outline, "soft", thick=0.6, dash=(4.0, 2.0))

    def _jets(self, sheet: Sheet, moved: dict[str, str]) -> None:
        with sheet.group("water-jet", moved["water-jet"]):
            sheet.shape("M-1.6 0L-7 62L-3 56L0 66L3 56L7 62L1.6 0z", "blue", "wash", 1.0)
            sheet.shape("M0 4V50M-1.5 8L-4 46M1.5 8L4 46", "blue", thick=0.8, dash=(5.0, 3.0))
        with sheet.group("air-jet", moved["air-jet"]):
            sheet.shape("M0 3V40M-2 3L-8 36M2 3L8 36", "soft", thick=1.0, dash=(2.0, 3.0))

    def _canopy(self, sheet: Sheet) -> None:
        """Draw what brakes it over the place where it is tied to the nose; it is not to scale."""
        if self.view.brake == "streamer":
            sheet.shape("M0 0V-22C26 -34 -26 -52 0 -66C20 -78 -10 -88 6 -98", "ink", thick=5.0)
            sheet.shape("M0 0V-22C26 -34 -26 -52 0 -66C20 -78 -10 -88 6 -98", "paper", thick=2.6)
        elif self.view.brake == "rotor":
            sheet.shape("M0 0V-16M-78 -22Q0 -10 78 -22", "soft", thick=1.4)
            sheet.shape("M-80 -25Q-40 -10 0 -17Q40 -10 80 -25Q40 -22 0 -20Q-40 -22 -80 -25z", "ink", "paper", 1.2)
        elif self.view.brake == "two parts":
            sheet.shape("M0 0C-22 -24 24 -40 0 -64", "soft", thick=1.2)
            sheet.shape("M-13 -64H13Q11 -92 0 -106Q-11 -92 -13 -64z", "ink", "paper", 1.4)
        else:
            lines = "".join(f"M0 0L{x:g} -62" for x in (-54, -20, 20, 54))
            sheet.shape(lines, "soft", thick=0.7)
            sheet.shape("M-54 -62C-54 -128 54 -128 54 -62Q37 -72 20 -62Q0 -72 -20 -62Q-37 -72 -54 -62z", "ink", "paper",
                        1.4)  # fmt: skip
            sheet.shape("M-20 -62C-20 -92 -9 -108 0 -111C9 -108 20 -92 20 -62", "soft", thick=0.7)

    def moved(self, pose: Pose) -> tuple[str, ...]:
        """Return the SVG transform of each of `PARTS` at a moment."""
        hangs = pose.canopy > 0.0
        size, lean = (_UNDER_CANOPY, 0.0) if hangs else (1.0, 0.0 if math.isnan(pose.lean) else pose.lean)
        down = 0.68 * _TALL if hangs else 0.5 * _TALL - 14.0
        ground = min(down + pose.height * self.scale * size, _FAR)
        if ground < _TALL:  # else it is out of sight anyway
            ground += size * self._lowest(lean) + (_STAND if pose.rising else 0.0)
        nose = down + size * float(self._outline[:, 1].min())
        open_ = math.sqrt(min(max(pose.canopy, 0.0), 1.0))
        launcher = ground if pose.rising else _FAR
        turned = f"translate({_WIDE / 2:g} {down:.1f}) rotate({lean:.1f}) scale({size:g})"
        return (
            turned,
            f"translate(0 {self._level(pose.water):.1f})",
            self._jet(pose.push if pose.jet == "water" else 0.0),
            self._jet(pose.push if pose.jet == "air" else 0.0),
            f"translate({_WIDE / 2:g} {nose:.1f}) scale({open_:.2f} {1.0 if hangs else 0.0:g})",
            f"translate(0 {ground:.1f})",
            f"translate({_WIDE / 2:g} {launcher:.1f})",
        )

    def _level(self, water: float) -> float:
        return self.exit - water * self.scale if water > 0.0 else _FAR

    def _jet(self, push: float) -> str:
        return f"translate(0 {self.exit:.1f}) scale({1.0 if push > 0.0 else 0.0:g} {math.sqrt(max(push, 0.0)):.2f})"

    def _lowest(self, lean: float) -> float:
        """Return how far the rocket reaches below its middle when it leans, points."""
        turn = math.radians(lean)
        return float((self._outline[:, 0] * math.sin(turn) + self._outline[:, 1] * math.cos(turn)).max())
