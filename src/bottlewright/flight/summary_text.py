"""A flight or a firing in plain words."""

import math
from collections.abc import Callable, Mapping

from bottlewright.design.descents import descent_of
from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.flight.fly import Flight
from bottlewright.flight.payload_words import payload_lines
from bottlewright.flight.results import launch_wind, opened_at_once
from bottlewright.names import MIDDLE_MARGIN
from bottlewright.physics.air import G0
from bottlewright.report.glossary import beside

__all__ = ["BESIDE", "acceleration_words", "firing_words", "flight_words", "jolt_words"]

_JOLT = "at most, for about 1 ms: the jolt of water let go in no time"
"""What a greatest thrust or acceleration means when it is the jolt of a nozzle taken as open at once."""

BESIDE = 0.5
"""Distance from the launcher under which a rocket lands beside it, m."""

_OVERSHOOT = "its knots take up to 1.8 times as much while it snaps open (Knacke's overshoot; original not checked)"


def flight_words(design: Design, flight: Flight) -> str:
    """Return the key figures of a flight, one a line; the builder's own units first."""
    s, habit, kind = flight.summary, unit_habit(design), design.recovery.kind
    brake, cloth = descent_of(design.recovery) if kind != "none" else None, kind in ("none", "parachute", "streamer")
    lines = [
        (beside("apogee"), _known(habit.distance, s["apogee_m"]), _after(s["apogee_time_s"])),
        ("greatest speed", _known(habit.speed, s["max_speed_m_s"]), ""),
        ("greatest acceleration", _known(lambda value, _: habit.acceleration(value), s["max_acceleration_m_s2"]),
         acceleration_words(flight)),
        ("off the guide (rod or rail)", _known(habit.speed, s["guide_exit_speed_m_s"]),
         f"{_after(s['guide_exit_time_s'])}, in a wind of {habit.speed(launch_wind(flight), 2)} there"),
        ("water out", _known(habit.speed, s["water_out_speed_m_s"]), _after(s["water_out_time_s"])),
        ("air out", _known(habit.speed, s["air_out_speed_m_s"]), _after(s["gas_out_time_s"])),
        (MIDDLE_MARGIN.replace("static margin", beside("static margin")),
         _text(s["static_margin_min_calibres"], "calibres (body widths)", 2),
         _after(s["static_margin_min_time_s"])),
        (brake.moment if brake else "", _known(habit.distance, s["canopy_out_height_m"]),
         _after(s["canopy_out_time_s"])),
        (f"pull of the opening {kind}" if cloth else "load as it opens", _load(s, habit),
         _OVERSHOOT if cloth else ""),
        ("landing", _known(habit.speed, s["landing_speed_m_s"], 2),
         f"{_after(s['flight_time_s'])}, {s['landing_energy_J']:.1f} J, {_landing_place(s, habit)}"),
        *payload_lines(design, flight),
    ]  # fmt: skip
    taken = design.written.taken
    return _page(f"{design.name}: {flight.ending}", lines) + (f"  {taken.learned.sentence}\n" if taken else "")


def firing_words(design: Design, firing: Flight) -> str:
    """Return the key figures of a firing, one a line; the builder's own units first."""
    s, habit = firing.summary, unit_habit(design)
    pressure = _known(habit.pressure, float(s["water_out_pressure_Pa"] - firing.vehicle["ambient"]))
    lines = [
        (f"total {beside('impulse')}", _text(s["impulse_total_N_s"], "N s", 2), ""),
        ("while the water leaves", _text(s["impulse_water_N_s"], "N s", 2), f"in {s['water_time_s'] * 1e3:.0f} ms"),
        ("after it", _text(s["impulse_tail_N_s"], "N s", 2), f"in {s['tail_time_s'] * 1e3:.0f} ms"),
        ("greatest thrust (push)", _known(habit.force, s["thrust_peak_N"], 4), jolt_words(firing)),
        ("pressure when the water is out", pressure and f"{pressure} on the gauge", ""),
    ]
    return _page(f"{design.name}: {firing.ending}", lines)


def jolt_words(flight: Flight) -> str:
    """Return what the greatest thrust or acceleration means where the opening counts as free at once; else nothing."""
    return _JOLT if opened_at_once(flight) else ""


def acceleration_words(flight: Flight) -> str:
    """Return what the greatest acceleration is like, and what it means where it is that of a jolt."""
    gravities = f"{flight.summary['max_acceleration_m_s2'] / G0:.0f} times gravity"
    return f"{gravities}, {jolt_words(flight)}".removesuffix(", ")


def _page(title: str, lines: list[tuple[str, str, str]]) -> str:
    known = [line for line in lines if line[1]]
    wide, high = (max((len(line[column]) for line in known), default=0) + 2 for column in (0, 1))
    body = "\n".join(f"  {name:<{wide}}{value:<{high}}{more}".rstrip() for name, value, more in known)
    return f"{title}\n\n{body}\n"


def _text(value: float, unit: str, decimals: int) -> str:
    return f"{value:.{decimals}f} {unit}" if math.isfinite(value) else ""


def _known(shown: Callable[[float, int], str], value: float, digits: int = 3) -> str:
    return shown(value, digits) if math.isfinite(value) else ""


def _load(summary: Mapping[str, float], habit: UnitHabit) -> str:
    """Return the load of what opens; shifted ballast has none."""
    return _known(habit.force, summary["opening_load_N"], 2) if summary["opening_load_N"] != 0.0 else ""


def _after(time: float) -> str:
    return f"{time:.2f} s after release" if math.isfinite(time) else ""


def _landing_place(summary: Mapping[str, float], habit: UnitHabit) -> str:
    """Return how far from the launcher it lands and in which direction, degrees clockwise from north; or nothing."""
    east, north = summary["landing_east_m"], summary["landing_north_m"]
    if not (math.isfinite(east) and math.isfinite(north)):
        return ""
    away, bearing = math.hypot(east, north), math.degrees(math.atan2(east, north)) % 360.0
    if away < BESIDE:
        return "beside the launcher"
    return f"{_known(habit.distance, away, 2)} from the launcher towards {round(bearing) % 360}°"
