"""What a flight or a firing hands to programs: one document in SI units, and a table of its course."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.paths import stood_on
from bottlewright.design.unit_habit import unit_habit
from bottlewright.findings import Finding
from bottlewright.flight.descent_findings import descent_findings
from bottlewright.flight.findings import MUCH_OF_THE_GAS, flight_findings, tube_finding
from bottlewright.flight.fly import Flight, fly_parameters
from bottlewright.flight.learned_findings import learned_findings
from bottlewright.flight.measured_before import measured_before
from bottlewright.flight.parameters import SLOTS, parameters_of
from bottlewright.flight.payload_findings import payload_findings
from bottlewright.flight.release_findings import release_findings
from bottlewright.flight.unplaced_mass import unplaced_mass
from bottlewright.physics.vessel_shape import water_state
from bottlewright.physics.wind import wind_at
from bottlewright.quantities import Basis, Quantity
from bottlewright.report.csv_text import csv_text

__all__ = [
    "FIRING", "events", "findings_of", "firing_document", "flight_document", "launch_wind", "ledger", "opened_at_once",
    "rested_on", "series_csv", "thinned",
]  # fmt: skip

FIRING = (
    "impulse_water_N_s", "impulse_tail_N_s", "impulse_total_N_s", "water_time_s", "tail_time_s", "thrust_peak_N",
    "water_out_pressure_Pa", "water_left_kg",
)  # fmt: skip
"""Key figures of a static firing."""

_FIRING_SERIES = ("time_s", "thrust_N", "pressure_Pa", "water_kg", "gas_kg", "gas_temperature_K", "impulse_N_s")
_STAND_ONLY = ("water_time_s", "tail_time_s")

_EVENTS = {
    "slide_end_time_s": "off the seal",
    "guide_exit_time_s": "off the guide",
    "water_out_time_s": "water out",
    "gas_out_time_s": "air out",
    "apogee_time_s": "apogee",
    "canopy_out_time_s": "canopy out",
    "flight_time_s": "landing",
}


def events(summary: Mapping[str, float]) -> list[tuple[float, str]]:
    """Return time (s) and name of the moments that came, in their order."""
    ends = {"landing": summary["landing_speed_m_s"]}  # a flight that is cut off has a time and no landing
    came = [(summary[key], name) for key, name in _EVENTS.items() if math.isfinite(summary[key] + ends.get(name, 0.0))]
    return sorted(came)


def launch_wind(flight: Flight) -> float:
    """Return the mean wind (m/s) at the middle of the rocket as it stands on the launcher."""
    c = flight.vehicle
    return float(
        wind_at(
            c["ground_gap"], c["wind_speed"], c["wind_height"], c["wind_law"], c["wind_exponent"], c["wind_z0"],
            c["wind_shear"],
        )
    )


def findings_of(design: Design, flight: Flight) -> list[Finding]:
    """Judge a flight."""
    found = flight_findings(
        design, flight.summary, flight.ending, flight.complete, launch_wind(flight), _depth_over_tube(flight)
    )
    found += [*release_findings(design, flight), *descent_findings(design, flight)]
    found += payload_findings(design, flight, opened_at_once(flight))
    found += [*_unknown_tube(design, flight), *unplaced_mass(design, flight), *measured_before(design)]
    return [*found, *learned_findings(design)]


def _unknown_tube(design: Design, flight: Flight) -> list[Finding]:
    """Look at a tube of which nobody has said whether it is hollow, where that moves the height."""
    bore, vehicle = design.launcher.tube_bore, flight.vehicle
    gas = float(vehicle["stretched_volume"] - vehicle["water_volume"])
    if not vehicle["socket"]:
        gas -= float(vehicle["seal_area"] * vehicle["stroke"])
    if bore is None or bore.basis is Basis.MEASURED or not vehicle["tube_gas"] > MUCH_OF_THE_GAS * gas:
        return []
    solid = parameters_of(design)[0]
    solid["tube_bore"] = 0.0
    limits = sorted((flight.summary["apogee_m"], fly_parameters(solid).summary["apogee_m"]))
    return [tube_finding(float(vehicle["tube_gas"]) / gas, limits[0], limits[1], unit_habit(design))]


def _depth_over_tube(flight: Flight) -> float:
    """Return how deep (m) the top of the launch tube lies under the water at the start; below zero it stands out."""
    c = flight.vehicle
    if not c["tube_gas"] > 0.0:
        return -math.inf
    level, _, _, _, _ = water_state(
        c["water_volume"] + c["seal_area"] * c["stroke"], c["vessel_z"], c["vessel_r"], c["vessel_count"],
        c["vessel_table"],
    )  # fmt: skip
    return float(level - c["stroke"])


def opened_at_once(flight: Flight) -> bool:
    """Return whether the water was let go in no time, so that the greatest thrust is the jolt of an instant.

    The equations then give a jolt of about a millisecond that a real release spreads: the figure is an upper bound.
    """
    vehicle = flight.vehicle
    return bool(vehicle["opening"] == 0 and vehicle["steady_jet"] == 0 and vehicle["water_volume"] > 0.0)


def ledger(flight: Flight) -> dict[str, float]:
    """Return where the mass is, kg: on the launcher, gone as water and as air, and at the end."""
    vehicle, summary = flight.vehicle, flight.summary
    water, left = float(vehicle["water_volume"] * vehicle["water_density"]), summary["water_left_kg"]
    return {
        "dry_kg": float(vehicle["dry_mass"]),
        "parts_estimate_kg": float(vehicle["estimated_mass"]),
        "water_kg": water,
        "gas_kg": float(vehicle["start_gas"]),
        "gas_fed_kg": float(vehicle["fed_gas"]),
        "lift_off_kg": summary["lift_off_mass_kg"],
        "water_out_kg": water - left,
        "gas_out_kg": float(vehicle["start_gas"] + vehicle["fed_gas"] - vehicle["end_gas"]),
        "water_left_kg": left,
        "gas_left_kg": float(vehicle["end_gas"]),
        "landing_kg": summary["landing_mass_kg"],
    }


def rested_on(design: Design) -> Iterator[tuple[str, Quantity]]:
    """Yield the values of the design that a flight reads, each with its path."""
    read = set(SLOTS.values())
    for path, quantity in stood_on(design):
        weighs = path.startswith("mass.") and ".payload." not in path
        if path in read or weighs or path.startswith(("vessel.profile.", "fins.outline.")):
            yield path, quantity


def flight_document(design: Design, flight: Flight) -> dict[str, Any]:
    """Return a flight as one document: key figures, mass ledger, findings, what it rests on, series."""
    figures = {key: value for key, value in flight.summary.items() if key not in _STAND_ONLY}
    return {
        "name": design.name,
        "ending": flight.ending,
        "complete": flight.complete,
        **figures,
        "mass_ledger": ledger(flight),
        "findings": [finding.as_json() for finding in findings_of(design, flight)],
        "stood_on": _basis(design),
        "series": thinned(flight.series),
    }


def firing_document(design: Design, firing: Flight) -> dict[str, Any]:
    """Return a static firing as one document."""
    return {
        "name": design.name,
        "ending": firing.ending,
        "complete": firing.complete,
        **{key: firing.summary[key] for key in FIRING},
        "stood_on": _basis(design),
        "series": {key: column for key, column in thinned(firing.series).items() if key in _FIRING_SERIES},
    }


def _basis(design: Design) -> dict[str, Any]:
    return {
        path: {"value_SI": q.value, "spread_SI": q.spread, "basis": str(q.basis), "source": q.source}
        for path, q in rested_on(design)
    }


_MOMENTS = 3000
"""Most moments of a series that are handed out; a usual flight has a thousand or two."""


def thinned(series: Mapping[str, NDArray[np.float64]]) -> dict[str, NDArray[np.float64]]:
    """Return a long series with moments left out evenly, and none where a phase begins or ends."""
    count = len(series.get("time_s", ()))
    if count <= _MOMENTS:
        return dict(series)
    turns = np.flatnonzero(np.diff(series["phase"]) != 0.0) if "phase" in series else np.empty(0, int)
    keep = np.unique(np.concatenate([np.linspace(0, count - 1, _MOMENTS).astype(int), turns, turns + 1]))
    return {name: column[keep] for name, column in series.items()}


def series_csv(series: Mapping[str, Any]) -> str:
    """Return a series as comma-separated text, one line a moment; what is not a number stays empty."""
    moments = zip(*(column.tolist() for column in thinned(series).values()), strict=True)
    return csv_text([[*series], *(["" if math.isnan(value) else f"{value:.8g}" for value in row] for row in moments)])
