"""Static firings by the keys of the design file, and the sums that checks of thrust are made of. SI floats."""

import math
import tomllib
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline

from bottlewright.design import complete, parse_design
from bottlewright.flight.fly import Flight, fire
from bottlewright.flight.state import WATER
from bottlewright.physics.gas import critical_pressure_ratio
from bottlewright.physics.water_jet import steady_jet_free

ATMOSPHERE = 101325.0
DATA = Path(__file__).parent / "data"
LOSSLESS = {"contraction": "1", "velocity_coefficient": "1", "gas_coefficient": "1"}


def fired(**sections: dict[str, Any]) -> Flight:
    """Fire a design given as keys and values of its sections; nozzle level (no head) unless `stand` says otherwise."""
    sections = {"stand": {"tilt": "90 deg"}, "weather": {"pressure": f"{ATMOSPHERE} Pa"}} | sections
    lines = ['schema = 1\nname = "check"']
    for name, keys in sections.items():
        lines += [f"[{name}]", *(f"{key} = {_toml(value)}" for key, value in keys.items())]
    return fire(complete(parse_design("\n".join(lines))))


def _toml(value: Any) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)


def limit_a(exponent: float, bore: str = "9 mm") -> Flight:
    """2.0 L, 0.6 kg of water of 998.2 kg/m³ (20.035 °C), 400 kPa gauge, quasi-steady, level, no loss."""
    return fired(
        vessel={"volume": "2 L"},
        nozzle={"bore": bore, "length": "0 mm", **LOSSLESS},
        charge={"water": f"{0.6e6 / 998.2} mL", "pressure": "400 kPa", "temperature": "20.035 degC"},
        model={"gas": exponent, "jet": "quasi-steady", "tolerance": "1e-11"},
    )


class Free(NamedTuple):
    """A rocket that nothing holds and nothing slows: its gain of speed, and energies in J."""

    gain: float
    rocket: float
    jet: float
    work: float


def limit_a_free(exponent: float, bore: float) -> Free:
    """The same charge in a free rocket of 0.15 kg, no gravity, no drag, surface speed and head left out."""
    rho, dry, volume, water = 998.2, 0.15, 2.0e-3, 0.6 / 998.2
    area, start = math.pi * bore**2 / 4, 400e3 + ATMOSPHERE

    def rates(left: float, y: np.ndarray) -> list[float]:
        excess = start * ((volume - water) / (volume - left)) ** exponent - ATMOSPHERE
        force, jet = steady_jet_free(excess, rho, area, 0.0, 0.0, dry + rho * left, 0.0)
        # By water volume: a litre takes 1/(A u) seconds.
        return [-force / (area * jet), -0.5 * rho * (jet - y[0]) ** 2, -excess]

    end = solve_ivp(rates, (water, 0.0), [0.0, 0.0, 0.0], method="DOP853", rtol=1e-12, atol=1e-12).y[:, -1]
    return Free(float(end[0]), 0.5 * dry * float(end[0]) ** 2, float(end[1]), float(end[2]))


def air_alone() -> Flight:
    """2.0 L of dry air, 400 kPa gauge, 293.15 K, bore 21.5 mm, no loss."""
    return fired(
        vessel={"volume": "2 L"},
        nozzle={"bore": "21.5 mm", **LOSSLESS},
        charge={"water": "0 mL", "pressure": "400 kPa", "temperature": "293.15 K"},
        model={"gas": "dry", "tolerance": "1e-11"},
    )


def isothermal_vessel() -> Flight:
    """1.00 ft³ at 50.0 psia and 70 °F through a hole of 0.0938 in to 14.7 psia, at constant temperature."""
    psi, inch = 6894.757293, 0.0254
    return fired(
        vessel={"volume": f"{(12 * inch) ** 3} m3"},
        nozzle={"bore": f"{0.0938 * inch} m", **LOSSLESS},
        charge={"water": "0 mL", "pressure": f"{(50.0 - 14.7) * psi} Pa", "temperature": f"{(70 + 459.67) / 1.8} K"},
        weather={"pressure": f"{14.7 * psi} Pa"},
        model={"gas": "dry", "gas_vessel": "isothermal", "tolerance": "1e-11"},
    )


def unchokes(firing: Flight) -> tuple[float, float]:
    """Time (s) and pressure (Pa) at which the outflow of gas alone is no longer choked."""
    time, pressure = firing.series["time_s"], firing.series["pressure_Pa"]
    threshold = pressure[-1] / critical_pressure_ratio(1.4)
    after = int(np.argmax(pressure <= threshold))
    part = slice(after - 3, after + 3)
    return float(np.interp(-threshold, -pressure[part], time[part])), float(threshold)


def doubled(gas: str, pressure: float) -> tuple[float, float]:
    """Pressure (Pa) and temperature (K) when gas of 293.15 K at an absolute pressure has grown to twice its volume."""
    firing = fired(
        vessel={"volume": "2 L"},
        nozzle={"bore": "9 mm", **LOSSLESS},
        charge={"water": "1100 mL", "pressure": f"{pressure - ATMOSPHERE} Pa", "temperature": "293.15 K"},
        model={"gas": gas, "tolerance": "1e-12"},
    )
    inside = firing.series["phase"] == WATER
    water = -firing.series["water_kg"][inside]
    at = water[0] * 200 / 1100
    return tuple(float(np.interp(at, water, firing.series[k][inside])) for k in ("pressure_Pa", "gas_temperature_K"))


def record() -> dict[str, Any]:
    """The measured static firing: its source, set-up, values, bounds, and our fit."""
    return tomllib.loads((DATA / "static_firing.toml").read_text(encoding="utf-8"))


def bench(
    velocity_coefficient: float = 1.0,
    opening_time: float = 0.0,
    breakthrough: float = 0.0,
    slip: float = 1.0,
    spray_coefficient: float = 0.8,
    gas: str | float = "moist",
    jet: str = "unsteady",
) -> Flight:
    """Fire the set-up of the measured record, nozzle down; without arguments the ideal model."""
    set_up = record()["set_up"]
    return fired(
        vessel={"volume": set_up["volume"], "neck_bore": set_up["bore"]},
        nozzle={
            "bore": set_up["bore"], "length": "0 mm", "contraction": "1", "gas_coefficient": "0.82",
            "velocity_coefficient": f"{velocity_coefficient}",
        },
        charge={
            "water": f"{set_up['water_mass_kg'] / 999.7943 * 1e6} mL", "pressure": set_up["pressure"],
            "temperature": set_up["temperature"],
        },
        weather={"pressure": set_up["ambient"], "temperature": set_up["temperature"]},
        stand={"tilt": "0 deg", "opening_time": f"{opening_time} s"},
        model={
            "gas": gas, "jet": jet, "breakthrough": f"{breakthrough}", "slip": f"{slip}",
            "spray_coefficient": f"{spray_coefficient}",
        },
    )  # fmt: skip


def mean_thrust(firing: Flight, start: float, end: float) -> float:
    """Mean thrust between two times, N, from the impulse, by cubics whose slopes are the thrust."""
    times, first = np.unique(firing.series["time_s"], return_index=True)
    impulse = CubicHermiteSpline(times, *(firing.series[key][first] for key in ("impulse_N_s", "thrust_N")))
    before, after = impulse((start, end))
    return float((after - before) / (end - start))
