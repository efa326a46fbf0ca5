"""The course of one flight for a page that shows it moment by moment: one picture, its moments, a small drawing."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.descents import descent_of
from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.flight.fly import Flight
from bottlewright.flight.layout import Layout, layout_of
from bottlewright.flight.results import events
from bottlewright.flight.state import CANOPY, GAS, OPENING, SPRAY
from bottlewright.flight.summary import MARGIN_SPEED
from bottlewright.physics.vessel_shape import water_state
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.charts import Units
from bottlewright.report.course_chart import CourseChart, CourseView, HeightBand
from bottlewright.report.moment_drawing import MomentDrawing, MomentView, Pose
from bottlewright.report.style import Event, Picture

__all__ = ["CELLS", "MOMENTS", "Course", "Moment", "course_of"]

Floats = NDArray[np.float64]

MOMENTS = 161
"""Moments that a flight is shown at, at even steps across the picture; the named ones take the place of the nearest."""

CELLS = ("after release", "high", "fast", "push", "on the gauge", "of water left", "from upright",
         "nose off its way")  # fmt: skip
"""What the texts of a moment say, in their order."""

NO_BREAK = "\N{NO-BREAK SPACE}"
UNKNOWN = "–"
_LEFT_OUT = {"off the seal"}


@dataclass(frozen=True, slots=True)
class Moment:
    """One moment of a flight.

    Parameters
    ----------
    time
        After the release, s.
    name
        What happens then; empty for most.
    texts
        Numbers with units, as `CELLS` names them.
    pose
        How the rocket is drawn.
    """

    time: float
    name: str
    texts: tuple[str, ...]
    pose: Pose


@dataclass(frozen=True)
class Course:
    """The course of one flight.

    Parameters
    ----------
    design, flight
        What flew, and how; the flight carries its series and left the launcher.
    band
        Height of many flights of the same design; None where they are not done.
    """

    design: Design
    flight: Flight
    band: HeightBand | None = None

    @cached_property
    def view(self) -> CourseView:
        """What the picture shows."""
        series, habit = self.flight.series, unit_habit(self.design)
        pushes = series["thrust_N"] > 0.0
        telling = (series["air_speed_m_s"] > MARGIN_SPEED) & (series["on_guide"] == 0.0)
        return CourseView(
            series["time_s"], series["height_m"], series["speed_m_s"], series["thrust_N"], series["water_kg"],
            series["tilt_deg"], np.where(telling, series["incidence_deg"], math.nan),
            float(series["time_s"][pushes][-1]) if pushes.any() else 0.0,
            [Event(at, name) for at, name in _named(self.design, self.flight.summary)], self.band,
            Units(habit.psi, habit.inches, habit.pounds, habit.miles),
        )  # fmt: skip

    @cached_property
    def picture(self) -> Picture:
        """The whole flight as one picture."""
        s, habit, view = self.flight.summary, unit_habit(self.design), self.view
        many = "" if self.band is None else (
            " The shaded band is where eight flights in ten are at that moment: one in ten is lower, one in ten "
            "higher; its dashed line is the middle one.")  # fmt: skip
        torn = "" if view.split is None else (
            f" The first {view.split:g} s is drawn wide: at the torn edge the scale of the time changes.")  # fmt: skip
        top = int(np.argmax(view.height))
        return Picture(
            "course",
            "Nose off its way: the angle between the nose and where the rocket goes through the air, off the guide "
            f"and over {habit.speed(MARGIN_SPEED).replace(' ', NO_BREAK)}.{torn}{many}",
            f"The whole flight against time. Height: {habit.distance(float(view.height[top]))} at most, at "
            f"{float(view.time[top]):.2f} s. "
            f"Speed: {habit.speed(s['max_speed_m_s'])} at most. Thrust: {habit.force(s['thrust_peak_N'])} at most, "
            f"nothing pushes after {view.push_end:.2f} s. Over after {float(view.time[-1]):.1f} s.{many}",
            lambda width: CourseChart(view, width).drawn(),
        )

    @cached_property
    def moments(self) -> tuple[Moment, ...]:
        """`MOMENTS` of them, from the release to the end."""
        times, names = self.view.evenly(MOMENTS), [""] * MOMENTS
        last = -1
        for at, name in _named(self.design, self.flight.summary):
            slot = min(max(int(np.argmin(np.abs(times - at))), last + 1), MOMENTS - 1)
            times[slot], names[slot], last = at, name, slot
        found = zip(times.tolist(), names, self._texts(times), self._poses(times), strict=True)
        return tuple(Moment(*one) for one in found)

    def places(self, width: float) -> Floats:
        """Return where the moments stand in the picture of a width, mm: points to the right, and down to the height."""
        return CourseChart(self.view, width).places(np.array([one.time for one in self.moments]))

    @cached_property
    def drawing(self) -> MomentDrawing:
        """The small drawing of the rocket."""
        layout: Layout = layout_of(self.design)
        fins = self.design.fins
        return MomentDrawing(MomentView(
            layout.outer_x, layout.outer_r, layout.inner_z, layout.inner_r, layout.exit, layout.fin_outline,
            fins.count if fins else 0, self.design.recovery.kind,
        ))  # fmt: skip

    # --- what stands at a moment ---------------------------------------------------------------------------------

    def _at(self, times: Floats, name: str) -> Floats:
        return np.interp(times, self.flight.series["time_s"], self.flight.series[name])

    def _texts(self, times: Floats) -> list[tuple[str, ...]]:
        habit, length, mass = unit_habit(self.design), UNITS[Dimension.LENGTH], UNITS[Dimension.MASS]
        gauge = self._at(times, "pressure_Pa") - float(self.flight.vehicle["ambient"])
        view = self.view
        columns = [
            [f"{at:.3f} s" if at < 1.0 else f"{at:.2f} s" for at in times.tolist()],
            _shown(self._at(times, "height_m"), *(("ft", length["ft"], 0) if habit.inches else ("m", 1.0, 1))),
            _shown(self._at(times, "speed_m_s"),
                   *(("mph", UNITS[Dimension.SPEED]["mph"], 1) if habit.miles else ("m/s", 1.0, 1))),
            _shown(np.where(times <= view.push_end, self._at(times, "thrust_N"), 0.0),
                   *(("lbf", UNITS[Dimension.FORCE]["lbf"], 1) if habit.pounds else ("N", 1.0, 0))),
            _shown(gauge, *(("psi", UNITS[Dimension.PRESSURE]["psi"], 0) if habit.psi else ("bar", 1e5, 2))),
            _shown(self._at(times, "water_kg"), *(("oz", mass["oz"], 1) if habit.pounds else ("g", 1e-3, 0))),
            _shown(self._at(times, "tilt_deg"), "°", 1.0, 0),
            _shown(np.interp(times, view.time, view.incidence), "°", 1.0, 0),
        ]  # fmt: skip
        return list(zip(*columns, strict=True))

    def _poses(self, times: Floats) -> list[Pose]:
        series, vehicle, summary = self.flight.series, self.flight.vehicle, self.flight.summary
        phases = series["phase"][np.searchsorted(series["time_s"][:-1], times, side="right")]
        pushes = series["thrust_N"][series["thrust_N"] > 0.0]
        strongest = float(np.quantile(pushes, 0.9)) if pushes.size else 1.0  # a jolt shows no longer jet than the rest
        thrust, water = self._at(times, "thrust_N"), self._at(times, "water_kg")
        lean, height = self._at(times, "tilt_deg"), self._at(times, "height_m")
        open_ = np.nan_to_num(self._at(times, "canopy_area_m2")) / max(float(vehicle["canopy_area"]), 1e-9)
        poses = []
        for k, (at, phase) in enumerate(zip(times, phases, strict=True)):
            jet = "water" if OPENING <= phase <= SPRAY else "air" if phase == GAS else ""
            push = min(max(float(thrust[k]) / strongest, 0.15), 1.0) if jet else 0.0
            canopy = max(float(open_[k]), 0.15) if phase == CANOPY else 0.0
            poses.append(Pose(float(lean[k]), self._level(float(water[k])), jet, push, canopy, float(height[k]),
                              rising=not at >= summary["apogee_time_s"]))  # fmt: skip
        return poses

    def _level(self, water: float) -> float:
        """Return how high the water stands over the nozzle's exit, m."""
        c = self.flight.vehicle
        if not water > 0.0:
            return 0.0
        level, *_ = water_state(
            water / float(c["water_density"]), c["vessel_z"], c["vessel_r"], c["vessel_count"], c["vessel_table"]
        )
        return float(level)


def _named(design: Design, summary: Mapping[str, float]) -> list[tuple[float, str]]:
    """Return the moments that have a name, in words that a child knows."""
    names = {"apogee": "highest point"}
    if design.recovery.kind != "none":
        names["canopy out"] = descent_of(design.recovery).moment
    came = [(at, names.get(name, name)) for at, name in events(summary) if name not in _LEFT_OUT]
    return [(0.0, "release"), *came]


def _shown(values: Floats, unit: str, size: float, decimals: int) -> list[str]:
    space = "" if unit == "°" else NO_BREAK
    return [UNKNOWN if math.isnan(one) else f"{round(one / size, decimals) + 0.0:.{decimals}f}{space}{unit}"
            for one in values.tolist()]  # fmt: skip


def course_of(design: Design, flight: Flight, band: HeightBand | None = None) -> Course | None:
    """Return the course of a flight that carries its series; None where the rocket never left the launcher."""
    left = math.isfinite(flight.summary["guide_exit_time_s"]) and len(flight.series["time_s"]) > 2
    return Course(design, flight, band) if left else None
