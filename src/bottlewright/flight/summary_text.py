"""A flight or a firing in plain words, number and unit first."""

import math

from bottlewright.design.document import Design
from bottlewright.flight.fly import Flight
from bottlewright.flight.results import launch_wind, opened_at_once

__all__ = ["firing_words", "flight_words", "jolt_words"]

_JOLT = "at most, for about 1 ms: the jolt of water let go in no time"
"""What a greatest thrust or acceleration means when it is the jolt of a nozzle taken as open at once."""

_OVERSHOOT = "knots see up to 1.8 times as much (Knacke's overshoot; original not checked)"


def flight_words(design: Design, flight: Flight) -> str:
    """Return the key figures of a flight, one a line."""
    s = flight.summary
    lines = [
        ("apogee", _text(s["apogee_m"], "m", 1), _after(s["apogee_time_s"])),
        ("greatest speed", _text(s["max_speed_m_s"], "m/s", 1), ""),
        ("greatest acceleration", _text(s["max_acceleration_m_s2"], "m/s²", 0), jolt_words(flight)),
        ("off the guide", _text(s["guide_exit_speed_m_s"], "m/s", 1),
         f"{_after(s['guide_exit_time_s'])}, in a wind of {launch_wind(flight):.1f} m/s there"),
        ("water out", _text(s["water_out_speed_m_s"], "m/s", 1), _after(s["water_out_time_s"])),
        ("air out", _text(s["air_out_speed_m_s"], "m/s", 1), _after(s["gas_out_time_s"])),
        ("least static margin", _text(s["static_margin_min_calibres"], "calibres", 2),
         _after(s["static_margin_min_time_s"])),
        ("canopy out", _text(s["canopy_out_height_m"], "m", 1), _after(s["canopy_out_time_s"])),
        ("pull of the opening canopy", _text(s["opening_load_N"], "N", 1), _OVERSHOOT),
        ("landing", _text(s["landing_speed_m_s"], "m/s", 1),
         f"{_after(s['flight_time_s'])}, {s['landing_energy_J']:.1f} J, {_where(s)}"),
    ]  # fmt: skip
    return _page(f"{design.name}: {flight.ending}", lines)


def firing_words(design: Design, firing: Flight) -> str:
    """Return the key figures of a firing, one a line."""
    s = firing.summary
    pressure = (s["water_out_pressure_Pa"] - firing.vehicle["ambient"]) / 1e5
    lines = [
        ("total impulse", _text(s["impulse_total_N_s"], "N s", 2), ""),
        ("while the water leaves", _text(s["impulse_water_N_s"], "N s", 2), f"in {s['water_time_s'] * 1e3:.0f} ms"),
        ("after it", _text(s["impulse_tail_N_s"], "N s", 2), f"in {s['tail_time_s'] * 1e3:.0f} ms"),
        ("greatest thrust", _text(s["thrust_peak_N"], "N", 1), jolt_words(firing)),
        ("pressure as the water is out", _text(pressure, "bar on the gauge", 2), ""),
    ]
    return _page(f"{design.name}: {firing.ending}", lines)


def jolt_words(flight: Flight) -> str:
    """Return what the greatest thrust or acceleration means where the opening counts as free at once; else nothing."""
    return _JOLT if opened_at_once(flight) else ""


def _page(title: str, lines: list[tuple[str, str, str]]) -> str:
    body = "\n".join(f"  {name:<30}{value:<24}{more}".rstrip() for name, value, more in lines if value)
    return f"{title}\n\n{body}\n"


def _text(value: float, unit: str, decimals: int) -> str:
    return f"{value:.{decimals}f} {unit}" if math.isfinite(value) else ""


def _after(time: float) -> str:
    return f"{time:.2f} s after release" if math.isfinite(time) else ""


def _where(summary: dict[str, float]) -> str:
    east, north = summary["landing_east_m"], summary["landing_north_m"]
    bearing = math.degrees(math.atan2(east, north)) % 360.0
    return f"{math.hypot(east, north):.0f} m from the launcher towards {bearing:.0f}°"
