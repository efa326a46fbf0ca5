"""The Sketch and Fly chapters of the report, and the page of a static firing."""

import math
from collections.abc import Sequence
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.formatting import format_value
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.findings import Stage
from bottlewright.flight.findings import MARGIN_CODES, limit
from bottlewright.flight.fly import Flight
from bottlewright.flight.hold_window import HoldWindow
from bottlewright.flight.layout import Layout
from bottlewright.flight.payload_words import CELL_CARE, CELL_SOURCE, payload_lines
from bottlewright.flight.release_section import release_html, release_pictures
from bottlewright.flight.release_ways import WayFlown
from bottlewright.flight.results import (
    events,
    findings_of,
    flight_document,
    launch_wind,
    ledger,
    rested_on,
    series_csv,
)
from bottlewright.flight.state import COAST
from bottlewright.flight.summary import MARGIN_SPEED
from bottlewright.flight.summary_text import BESIDE, acceleration_words
from bottlewright.names import MIDDLE_MARGIN
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.charts import Units, firing_chart, height_and_speed_chart, margin_chart
from bottlewright.report.drawing import RocketView, rocket_drawing
from bottlewright.report.glossary import beside
from bottlewright.report.html import (
    Chapter,
    Number,
    Section,
    State,
    basis_table,
    fold,
    headline,
    on_screen,
    pair,
    place,
    prose,
    state_of,
    table,
)
from bottlewright.report.path_chart import path_chart
from bottlewright.report.style import Event, Picture

__all__ = ["firing_picture", "flight_title", "fly_chapter", "rocket_picture", "rocket_view", "sketch_chapter"]

Floats = NDArray[np.float64]


def sketch_chapter(design: Design, layout: Layout, flight: Flight) -> Chapter:
    """Return the rocket as drawn: to scale, its masses, balance points and pressure centre.

    Its state is that of the static margin in the flight, which has to carry its series: the flight knows when the
    guide lets go and how much water is left by then, and its findings say what is wrong.
    """
    habit = unit_habit(design)
    return Chapter(
        Section(
            Stage.SKETCH,
            f"{habit.length(layout.total_length)} long, {habit.length(layout.diameter)} across, "
            f"{habit.mass(layout.dry_mass)} without water",
            _margin_state(design, layout, flight),
            on_screen(place("rocket"))
            + _balance_table(layout, flight, habit)
            + prose(_which_margin_counts(flight))
            + _mass_table(design, layout, habit)
            + fold("How the two points are found", _how("how_it_balances")),
            [rocket_picture(design, layout)],
        ),
        findings=design.reading_notes,
        results={
            "total_length_m": layout.total_length,
            "diameter_m": layout.diameter,
            "dry_mass_kg": layout.dry_mass,
            "loaded_mass_kg": layout.loaded_mass,
            "balance_empty_m": layout.balance_empty,
            "balance_full_m": layout.balance_full,
            "pressure_centre_m": layout.pressure_centre,
            "static_margin_empty_calibres": layout.margin_empty,
            "static_margin_full_calibres": layout.margin_full,
        },
    )


def rocket_view(design: Design, layout: Layout) -> RocketView:
    """Return what the drawing of the rocket shows."""
    habit = unit_habit(design)
    parts = [("nose", 0.0, layout.nose_end), ("cylinder", layout.nose_end, layout.cylinder_end)]
    parts.append(("tail", layout.cylinder_end, layout.exit))
    if design.sleeve and design.sleeve.position:
        front = design.sleeve.position.value
        parts.append(("sleeve", front, front + design.sleeve.length.value))
    fin = layout.fin_outline if len(layout.fin_outline) else None
    if fin is not None:
        root = fin[fin[:, 1] <= fin[:, 1].min() + 1e-4, 0]
        parts.append(("fin root", float(root.min()), float(root.max())))
    marks = [
        ("balance point, empty", layout.balance_empty, "balance"),
        ("balance point, loaded", layout.balance_full, "balance"),
        ("pressure centre", layout.pressure_centre, "pressure"),
    ]
    return RocketView(
        layout.outer_x,
        layout.outer_r,
        [part for part in parts if part[2] - part[1] > 1e-3],
        fin,
        design.fins.count if design.fins else 0,
        np.column_stack([layout.exit - layout.inner_z, layout.inner_r]),
        layout.exit - layout.water_height if layout.water_height > 0.0 else None,
        marks,
        habit.inches,
    )


def rocket_picture(design: Design, layout: Layout) -> Picture:
    """Return the rocket from the side, to scale."""
    habit, view = unit_habit(design), rocket_view(design, layout)
    return Picture(
        "rocket",
        f"From the side, lengths in {'inches' if habit.inches else 'mm'}. Triangles on the rule are balance points, "
        "filled without water, open with it; the diamond is the pressure centre, where the air takes hold.",
        f"The rocket to scale, {habit.length(layout.total_length)} long. Balance point "
        f"{habit.length(layout.balance_empty)} from the nose tip empty, {habit.length(layout.balance_full)} loaded; "
        f"pressure centre {habit.length(layout.pressure_centre)}.",
        lambda width: rocket_drawing(view, width),
    )


def _margin_state(design: Design, layout: Layout, flight: Flight) -> State:
    if math.isnan(flight.summary["static_margin_min_calibres"]):  # no flight, or none fast enough to tell
        least = min(layout.margin_empty, layout.margin_full)
        return State.NONE if least >= limit("margin_least").value else State.LOOK
    return state_of((one for one in findings_of(design, flight) if one.code in MARGIN_CODES), Stage.FLY)


def _balance_table(layout: Layout, flight: Flight, habit: UnitHabit) -> str:
    summary, series = flight.summary, flight.series
    at, least = summary["static_margin_min_time_s"], summary["static_margin_min_calibres"]
    rows = [("on the launcher, loaded", layout.loaded_mass, layout.balance_full, layout.margin_full)]
    if math.isfinite(at):
        mass = float(np.interp(at, series["time_s"], series["mass_kg"]))
        balance = layout.pressure_centre - least * layout.diameter
        rows.append((f"least in the flight, {at:.2f} s after release", mass, balance, least))
    rows.append(("empty", layout.dry_mass, layout.balance_empty, layout.margin_empty))
    heads = ("", "mass", "balance point, from the nose tip", "static margin, calibres (body widths)")
    return table(heads, [(name, habit.mass(mass), habit.length(at), f"{cal:.2f}") for name, mass, at, cal in rows])


def _which_margin_counts(flight: Flight) -> str:
    """Return, in words, what the static margin is and which of them the flight is held against."""
    s, held = flight.summary, limit("margin_least")
    what = (
        "The static margin says how steadily the rocket flies nose first: it is how far the pressure centre, where the "
        "air takes hold, lies behind the balance point. We count it in calibres; one calibre is the largest body "
        "diameter. "
    )
    least, most = s["static_margin_min_calibres"], limit("margin_most").value
    if math.isnan(least):
        return f"{what}This flight is never fast enough for it to matter. Builders ask for {held.says} ({held.source})."
    verdict = (
        "It does." if held.value <= least and s["static_margin_max_calibres"] <= most
        else "It does not: see the findings of Fly." if least < held.value
        else "It does, but it is large at some moment: see the findings of Fly."
    )  # fmt: skip
    return (
        f"{what}On the launcher the guide (rod or rail) holds the rocket straight. The margin counts from the end of "
        f"the guide, {s['guide_exit_time_s']:.2f} s after release: from there on the air alone keeps the nose in "
        f"front, and the least margin of the middle flight, {least:.2f} calibres, has to reach {held.value:g} "
        f"({held.source}). {verdict} "
        "We worked this out for the rocket exactly as you describe it; Tune checks it with the ± of your values as "
        "well."
    )


def _mass_table(design: Design, layout: Layout, habit: UnitHabit) -> str:
    rows = [
        (part.name, format_value(design, part.path, part.mass, habit=habit), str(part.mass.basis),
        part.mass.source) for part in layout.parts
    ]
    total = habit.mass(layout.estimated_mass, 4)
    if design.measured.dry_mass:
        rows.append(("all parts", total, "", "the sum"))
        weighed = format_value(design, "measured.dry_mass", design.measured.dry_mass, habit=habit)
        rows.append(("the scale", weighed, "", "this one counts"))
    else:
        rows.append(("all parts", total, "", "the sum; a kitchen scale knows better"))
    return fold("What weighs what", table(("part", "mass", "basis", "source"), rows))


def _how(name: str) -> str:
    return (files("bottlewright.flight") / "templates" / f"{name}.html").read_text(encoding="utf-8")


def fly_chapter(
    design: Design, flight: Flight, window: HoldWindow | None = None, ways: Sequence[WayFlown] = ()
) -> Chapter:
    """Return one flight, from the release to the ground; the flight has to carry its series.

    Parameters
    ----------
    window, ways
        Of the hold of a nose, and other ways of letting the canopy out, where they were flown.
    """
    findings = findings_of(design, flight)
    left = math.isfinite(flight.summary["guide_exit_time_s"]) and len(flight.series["time_s"]) > 2
    document = flight_document(design, flight)
    series = document.pop("series")
    document.pop("findings")
    habit = unit_habit(design)
    html = headline(_numbers(flight, habit)) + _moments(flight, habit) if left else ""
    return Chapter(
        Section(
            Stage.FLY,
            flight_title(flight, habit),
            state_of(findings, Stage.FLY),
            html
            + (pair(place("height"), place("firing")) if left else "")
            + (release_html(design, flight, window, ways) if left else "")
            + (pair(place("margin"), _mass_fold(flight, habit)) + place("path") if left else _mass_fold(flight, habit))
            + (_flies_along(design, flight) if left else "")
            + fold("How we worked it out", _how("how_it_flies"))
            + _basis(design, habit),
            [*_pictures(flight, habit), *release_pictures(design, flight, window)] if left else (),
        ),
        findings,
        document,
        {"flight.csv": series_csv(series)},
    )


def flight_title(flight: Flight, habit: UnitHabit) -> str:
    """Return a flight in one sentence: how high, where it lands, when; or why it does none of it."""
    summary = flight.summary
    if not math.isfinite(summary["guide_exit_time_s"]):
        return "No flight: the rocket does not leave the launcher"
    if not math.isfinite(summary["apogee_m"]):
        return f"Still climbs, then {flight.ending.split(':')[0]}"
    height = habit.distance(summary["apogee_m"], 2)
    if not flight.complete:
        return f"Climbs to {height}, then {flight.ending.split(':')[0]}"
    away = math.hypot(summary["landing_east_m"], summary["landing_north_m"])
    where = f"{habit.distance(away, 2)} away" if away >= BESIDE else "beside the launcher"
    course = f"{height} and lands {where} after {summary['flight_time_s']:.0f} s"
    if summary["static_margin_min_calibres"] < limit("margin_zero").value:
        return f"Turns over; only if nothing nudged it, it would climb to {course.replace('lands', 'land')}"
    return f"Climbs to {course}"


def _number(label: str, shown: str, *remarks: str) -> Number:
    """Return a number in the builder's own unit; the other unit, where there is one, goes to the remarks."""
    own, _, other = shown.partition(" (")
    return Number(label, own, ", ".join(filter(None, (other.removesuffix(")"), *remarks))))


def _numbers(flight: Flight, habit: UnitHabit) -> list[Number]:
    s = flight.summary
    hours = "" if habit.miles else f"{s['max_speed_m_s'] * 3.6:.0f} km/h"
    numbers = [
        _number(beside("apogee"), habit.distance(s["apogee_m"]), f"{s['apogee_time_s']:.2f} s after release"),
        _number("greatest speed", habit.speed(s["max_speed_m_s"]), hours),
        _number("greatest acceleration", habit.acceleration(s["max_acceleration_m_s2"]), acceleration_words(flight)),
        _number("off the guide", habit.speed(s["guide_exit_speed_m_s"]),
                f"in a wind of {habit.speed(launch_wind(flight), 2)} there"),
        Number(MIDDLE_MARGIN.replace("static margin", beside("static margin")),
               f"{s['static_margin_min_calibres']:.2f} calibres",
               f"{s['static_margin_min_time_s']:.2f} s after release"),
        _number("landing", habit.speed(s["landing_speed_m_s"], 2), f"{s['landing_energy_J']:.1f} J"),
    ]  # fmt: skip
    return [number for number in numbers if "nan" not in number.value]


def _moments(flight: Flight, habit: UnitHabit) -> str:
    """Return the course of the flight as a table: when, how high, how fast."""
    series = flight.series
    feet, miles = UNITS[Dimension.LENGTH]["ft"], UNITS[Dimension.SPEED]["mph"]
    columns = [
        *([("height, ft", "height_m", 1, feet)] if habit.inches else []),
        ("height, m", "height_m", 2, 1.0),
        *([("speed, mph", "speed_m_s", 1, miles)] if habit.miles else []),
        ("speed, m/s", "speed_m_s", 1, 1.0),
    ]
    rows = []
    for at, name in [(0.0, "release"), *events(flight.summary)]:
        values = [abs(float(np.interp(at, series["time_s"], series[key]))) / unit for _, key, _, unit in columns]
        texts = [f"{value:.{decimals}f}" for value, (_, _, decimals, _) in zip(values, columns, strict=True)]
        rows.append((name, f"{at:.3f}" if at < 1.0 else f"{at:.2f}", *texts))
    return table(("moment", "time, s", *(head for head, *_ in columns)), rows)


def _pictures(flight: Flight, habit: UnitHabit) -> list[Picture]:
    series, summary = flight.series, flight.summary
    time = series["time_s"]
    marks = [Event(at, name) for at, name in events(summary)]
    aloft = [mark for mark in marks if mark.label != "landing"]
    return [
        Picture(
            "height",
            "Height above the launch point and speed over the ground.",
            f"Height against time: {habit.distance(summary['apogee_m'])} at {summary['apogee_time_s']:.2f} s. "
            f"Speed against time: {habit.speed(summary['max_speed_m_s'])} at most.",
            lambda width: height_and_speed_chart(
                time, series["height_m"], series["speed_m_s"], aloft, _units(habit), width
            ),
        ),
        firing_picture(flight, habit),
        Picture(
            "margin",
            "How far the pressure centre lies behind the balance point, from the end of the guide on, while the rocket "
            f"climbs and is fast enough for it to matter (over {MARGIN_SPEED:.0f} m/s through the "
            "air). It moves because the water leaves.",
            f"Static margin against time: {summary['static_margin_min_calibres']:.2f} calibres at least, "
            f"{summary['static_margin_max_calibres']:.2f} at most.",
            lambda width: margin_chart(
                *_margin(flight), limit("margin_least").value, limit("margin_most").value, aloft, width
            ),
        ),
        _path_picture(flight, habit),
    ]


def _flies_along(design: Design, flight: Flight) -> str:
    """Return what a camera or another thing on board feels and sees, and how its cell is kept; nothing without one."""
    lines = payload_lines(design, flight)
    if not lines:
        return ""
    care = any(part.payload and part.payload.cell == "lithium" for part in design.mass)
    cell = prose(f"The lithium cell. {CELL_CARE} ({CELL_SOURCE}.)") if care else ""
    return fold("What flies along", table(("", "", ""), lines) + cell)


def _units(habit: UnitHabit) -> Units:
    return Units(habit.psi, habit.inches, habit.pounds, habit.miles)


def _margin(flight: Flight) -> tuple[Floats, Floats]:
    """Return time and static margin where the summary looks for the least of it, that very moment among them."""
    series, summary = flight.series, flight.summary
    time, least_at = series["time_s"], summary["static_margin_min_time_s"]
    fast = (series["air_speed_m_s"] > MARGIN_SPEED) & (series["on_guide"] == 0.0)
    climbs = series["velocity_up_m_s"] > 0.0
    margin = np.where(fast & climbs, series["static_margin_calibres"], np.nan)
    if math.isnan(least_at):
        return time, margin
    place = int(np.searchsorted(time, least_at))
    return np.insert(time, place, least_at), np.insert(margin, place, summary["static_margin_min_calibres"])


def _path_picture(flight: Flight, habit: UnitHabit) -> Picture:
    series, vehicle = flight.series, flight.vehicle
    time = series["time_s"]
    wanted = {"apogee", "canopy out", "landing"}
    places = [(int(np.argmin(np.abs(time - at))), name) for at, name in events(flight.summary) if name in wanted]
    wind = (float(vehicle["wind_e"] * vehicle["wind_speed"]), float(vehicle["wind_n"] * vehicle["wind_speed"]))
    east, north = series["east_m"], series["north_m"]
    ends = [habit.distance(round(float(way[-1])) + 0.0, 2) for way in (east, north)]
    return Picture(
        "path",
        "The path from the side and from above. This is one flight in a steady wind; the field has to be large enough "
        "for all the others.",
        f"The path ends {ends[0]} east and {ends[1]} north of the launch point.",
        lambda width: path_chart(
            east, north, series["height_m"], wind, [(0, "launch"), *places], _units(habit), width
        ),
    )


def firing_picture(flight: Flight, habit: UnitHabit) -> Picture:
    """Return thrust, pressure and water against time, until nothing pushes any more."""
    series, summary = flight.series, flight.summary
    pushes = series["phase"] < COAST
    last = min(int(np.flatnonzero(pushes)[-1]) + 2, len(pushes)) if pushes.any() else len(pushes)
    cut = {key: series[key][:last] for key in ("time_s", "thrust_N", "pressure_Pa", "water_kg")}
    gauge = cut["pressure_Pa"] - flight.vehicle["ambient"]
    marks = [Event(at, name) for at, name in events(summary) if at <= cut["time_s"][-1] and name != "apogee"]
    return Picture(
        "firing",
        "Thrust, pressure above the outside air, and water left.",
        f"Thrust against time: {habit.force(summary['thrust_peak_N'])} at most, "
        f"{summary['impulse_total_N_s']:.1f} N s in all.",
        lambda width: firing_chart(
            cut["time_s"], cut["thrust_N"], gauge, cut["water_kg"], marks, _units(habit), width
        ),
    )


def _mass_fold(flight: Flight, habit: UnitHabit) -> str:
    names = {
        "dry_kg": "rocket without water and air", "water_kg": "water filled in", "gas_kg": "air pumped in",
        "lift_off_kg": "on the launcher", "water_out_kg": "water that left", "gas_out_kg": "air that left",
        "water_left_kg": "water still in the bottle", "gas_left_kg": "air still in the bottle",
        "landing_kg": "at the landing",
    }  # fmt: skip
    masses = ledger(flight)
    known = {key: mass for key, mass in masses.items() if math.isfinite(mass)}
    rows = [(name, habit.weighed(known[key])) for key, name in names.items() if key in known]
    return fold("Where the mass went", table(("", "mass"), rows))


def _basis(design: Design, habit: UnitHabit) -> str:
    shown = {path: (q, format_value(design, path, q, habit=habit)) for path, q in rested_on(design)}
    return basis_table(shown)
