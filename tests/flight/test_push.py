"""The engine's stroke, opening and breakthrough: against a second implementation, exact answers, balances, limits.

The second implementation, `push_by_hand`, has other variables and another integrator; it meets the exact cases itself.
"""

import functools
import math
import os
from dataclasses import replace

import numpy as np
import pytest
from firing_by_hand import Stand
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from push_by_hand import (
    Flight,
    Gas,
    Hose,
    Slide,
    Throttle,
    fire_jet,
    fire_spray,
    gas_filling,
    pressure_over_water,
    slide,
)
from recorded import Recorded, charge, pushed, record, steps, summed

from bottlewright.design import complete, parse_design
from bottlewright.flight.charge import open_share, spray_thrust
from bottlewright.flight.fly import ENDINGS, fire, fly
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.state import (
    CHARGE_A,
    CHARGE_B,
    CHARGE_C,
    GAS,
    OPENING,
    SLIDE,
    SPRAY,
    VELOCITY,
    WATER,
    Endings,
)
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.physics.opening import BY_TIME, LEAST_SHARE
from bottlewright.physics.spray import spray_flow
from bottlewright.physics.water import R_DRY

MANY = int(os.environ.get("BOTTLEWRIGHT_MANY", "20"))
"""Examples of each property; more by the environment."""

AMBIENT, START, WARM = 101325.0, 501325.0, 288.15
NECK = 0.0216
HEIGHTS, RADII = (0.0, 0.03, 0.09, 0.28, 0.30), (0.0108, 0.0108, 0.050, 0.050, 0.020)


def written(value: object) -> str:
    return repr(float(value)) if isinstance(value, float | int) else f'"{value}"'


def design_of(launcher: dict | None = None, tolerance: float = 1e-11, **tables: dict):
    """A rocket of 150 g straight up in still air, without drag; entries of a table given replace its own."""
    profile = [[f"{z!r} m", f"{r!r} m"] for z, r in zip(HEIGHTS, RADII, strict=True)]
    plan = {
        "measured": {"dry_mass": "150 g"},
        "charge": {"water": "600 mL", "pressure": f"{START - AMBIENT!r} Pa", "temperature": f"{WARM!r} K"},
        "launcher": {"guide_length": "5 m", "tilt": "0 deg"} | (launcher or {}),
        "weather": {"pressure": f"{AMBIENT!r} Pa", "temperature": f"{WARM!r} K", "wind_speed": "0 m/s"},
        "model": {
            "gas": "dry", "breakthrough": "0", "drag_coefficient": "0", "tolerance": repr(tolerance),
        },
        "vessel": {},
    }  # fmt: skip
    for name, table in tables.items():
        plan[name] = plan.get(name, {}) | table
    lines = ["schema = 1", 'name = "Push"']
    for name, table in plan.items():
        lines.append(f"[{name}]")
        if name == "vessel" and "volume" not in table:
            lines.append(f"profile = {profile}".replace("'", '"'))
        lines += [f"{key} = {written(value)}" for key, value in table.items()]
    return complete(parse_design("\n".join(lines) + "\n"))


def recorded(design, held: bool = False, limit: float = 20.0) -> Recorded:
    parameters = parameters_of(design)[0]
    parameters["time_limit"] = limit
    return record(parameters, held)


def changed(parameters, **fields: float):
    """Fly a plan whose prepared vehicle has other numbers: vehicle and summary."""
    vehicle, work, note = np.zeros(1, VEHICLE), np.zeros(1, WORK), np.zeros(1, SUMMARY)
    assert prepare(parameters, False, vehicle[0])
    for name, value in fields.items():
        vehicle[0][name] = value
    integrate_flight(vehicle[0], note[0], work[0], np.empty((0, 21)))
    return vehicle[0], note[0]


# The slide against a second implementation

ROD = {"tube_diameter": "20 mm", "tube_length": "0.2 m", "tube_bore": "0 mm"}
TUBE = ROD | {"tube_bore": "18 mm"}
SOCKET = {"seal": "socket", "seal_diameter": "13 mm", "stroke": "14 mm"}


def hose(volume: str, way: str) -> dict:
    return {"supply": "hose", "hose_volume": volume, "restriction": way}


SLIDES = {
    "spigot": ({}, {}),
    "spigot, moist": ({}, {"model": {"gas": "moist"}}),
    "socket": (SOCKET, {}),
    "socket, moist, hose": (SOCKET | hose("120 mL", "5 mm"), {"model": {"gas": "moist"}}),
    "solid tube": (ROD, {}),
    "hollow tube": (TUBE, {}),
    "hollow tube, one exponent": (TUBE, {"model": {"gas": 1.25}}),
    "hollow tube, hose, 2.5 mm": (TUBE | hose("120 mL", "2.5 mm"), {}),
    "hollow tube, hose, 5 mm": (TUBE | hose("120 mL", "5 mm"), {}),
    "hollow tube, hose, 5 mm, moist, leaning": (
        TUBE | hose("120 mL", "5 mm") | {"tilt": "20 deg"}, {"model": {"gas": "moist"}},
    ),
    "hollow tube, hose, one exponent": (TUBE | hose("120 mL", "5 mm"), {"model": {"gas": 1.25}}),
    "hollow tube, hose, warm from the pump": (TUBE | hose("120 mL", "5 mm"), {"charge": {"air": "pumped"}}),
    "hollow tube, great hose": (TUBE | hose("2 L", "5 mm"), {}),
    "endless": (TUBE | {"supply": "infinite"}, {}),
    "endless, moist": (TUBE | {"supply": "infinite"}, {"model": {"gas": "moist"}}),
    "endless, a wall that stretches": (TUBE | {"supply": "infinite"}, {"vessel": {"wall": "0.3 mm"}}),
    "a wall that stretches": (TUBE, {"vessel": {"wall": "0.3 mm"}}),
    "a moist wall that stretches, hose": (
        TUBE | hose("120 mL", "5 mm"), {"model": {"gas": "moist"}, "vessel": {"wall": "0.3 mm"}},
    ),
    "without water": (TUBE | hose("120 mL", "5 mm"), {"charge": {"water": "0 mL"}}),
}  # fmt: skip


def slide_by_hand(vehicle, design) -> Slide:
    """The same slide from the design's own words."""
    one, gas = design.launcher, design.model.gas
    area = math.pi * one.seal_diameter.value**2 / 4
    room = math.pi * one.tube_bore.value**2 / 4 * one.tube_length.value
    warm = float(vehicle["start_temperature"])
    supply: Hose | str = one.supply
    if supply == "hose":
        exponent = gas if isinstance(gas, float) else 1.4
        way = math.pi * one.restriction.value**2 / 4
        supply = Hose(one.hose_volume.value, way, one.flow_coefficient.value, START, warm, exponent)
    water = design.charge.water.value
    buoyancy = float(vehicle["lift_of_air"] * vehicle["foot_density"] * vehicle["aim_u"])
    return Slide(
        START, warm, float(vehicle["rest_volume"]), water, area, one.stroke.value,
        0.150 + water * float(vehicle["water_density"]), AMBIENT, inside=one.seal == "spigot", tube=room, gas=gas,
        compliance=float(vehicle["compliance"]), supply=supply, gravity=float(vehicle["gravity"]),
        tilt=one.tilt.value, force=lambda x, v: buoyancy, carries_gas=True,
    )  # fmt: skip


@pytest.mark.parametrize("name", SLIDES)
def test_the_slide_is_that_of_a_second_implementation(name):
    launcher, tables = SLIDES[name]
    design = design_of(launcher, **tables)
    flight = fly(design)
    vehicle, summary = flight.vehicle, flight.summary
    freed = slide(slide_by_hand(vehicle, design))
    assert freed is not None
    assert bool(vehicle["compliance"]) == ("stretches" in name)
    assert summary["slide_end_speed_m_s"] == pytest.approx(freed.speed, rel=1e-8)
    assert summary["slide_end_time_s"] == pytest.approx(freed.time, rel=1e-8)
    assert vehicle["dry_air"] == pytest.approx(freed.gas.dry, rel=1e-8)
    assert vehicle["vapour"] == pytest.approx(freed.gas.substance, rel=1e-8, abs=1e-15)
    assert vehicle["gas_mass"] == pytest.approx(freed.gas_mass, rel=1e-8)
    assert vehicle["socket_water"] == pytest.approx(freed.kept_by_socket, rel=1e-12, abs=1e-18)
    whole = vehicle["start_dry_air"] + vehicle["start_vapour"] + freed.passed
    assert whole == pytest.approx(freed.gas_mass + freed.tube_gas, rel=1e-8)
    end = last_of_slide(design)
    assert end[:2] == pytest.approx((freed.pressure, freed.temperature), rel=1e-8)


def last_of_slide(design) -> tuple[float, ...]:
    flight = recorded(design, limit=0.5)
    return charge(flight, np.nonzero(flight.phase == SLIDE)[0][-1])


# Exact cases


def case_of_push(supply: str = "none"):
    """1.3 L of gas and 50 mL in the tube, seal of 3 cm², stroke 0.2 m; weight is left out by hand."""
    text = f"""
schema = 1
[vessel]
volume = "1.36 L"
[measured]
dry_mass = "800 g"
[charge]
water = "0 mL"
pressure = "4 bar"
temperature = "{WARM!r} K"
[launcher]
tube_diameter = "{2e3 * math.sqrt(3e-4 / math.pi)!r} mm"
tube_length = "0.2 m"
tube_bore = "{2e3 * math.sqrt(2.5e-4 / math.pi)!r} mm"
supply = "{supply}"
tilt = "0 deg"
[weather]
pressure = "{AMBIENT!r} Pa"
wind_speed = "0 m/s"
[model]
gas = "dry"
drag_coefficient = "0"
tolerance = "1e-13"
"""
    return parameters_of(complete(parse_design(text)))[0]


HEAVY = 1e4
"""So many times the rocket's mass that the gas which rides in it weighs nothing: speeds fall by the root of it."""


def heavy(parameters, gravity: float, **fields: float):
    first, _ = changed(parameters)
    dry = 0.8 * HEAVY - float(first["start_gas"])
    return changed(parameters, dry_mass=dry, gravity=gravity / HEAVY, lift_of_air=0.0, **fields)


def test_a_hollow_tube_shut_below_gives_the_work_of_an_isentrope():
    vehicle, note = heavy(case_of_push(), 0.0)
    grown = 1.35 / 1.41
    work = 501325.0 * 1.35e-3 / 0.4 * (1 - grown**0.4) - 101325.0 * 60e-6
    speed = note["slide_end_speed_m_s"] * math.sqrt(HEAVY)
    assert speed == pytest.approx(7.59873, abs=5e-6)
    assert 0.5 * 0.8 * speed**2 == pytest.approx(work, rel=3e-9)
    assert vehicle["gas_pressure"] == pytest.approx(501325.0 * grown**1.4, rel=1e-10)
    assert vehicle["gas_pressure"] == pytest.approx(471715.0, abs=0.5)
    alone = case_of_push()
    alone["tube_bore"] = 0.0
    _, note = heavy(alone, 0.0)
    assert note["slide_end_speed_m_s"] * math.sqrt(HEAVY) == pytest.approx(7.59321, abs=5e-6)


def test_an_endless_supply_pushes_with_one_force():
    vehicle, note = heavy(case_of_push("infinite"), 9.80665)
    assert note["slide_end_speed_m_s"] * math.sqrt(HEAVY) == pytest.approx(7.48848, abs=5e-6)
    assert note["slide_end_time_s"] / math.sqrt(HEAVY) * 1e3 == pytest.approx(53.4154, abs=5e-5)
    assert vehicle["gas_mass"] * 1e3 == pytest.approx(8.24294, abs=5e-6)
    assert (vehicle["gas_pressure"], vehicle["gas_temperature"]) == pytest.approx((501325.0, WARM), rel=1e-12)


def test_an_endless_supply_pushes_a_rocket_that_its_own_air_makes_heavier():
    """M v dv/dx = F − M g with M = M₀ + c x, c = p A_s/(R T): v² = 2 (F/c) ln(1 + c s/M₀) − 2 g s."""
    parameters = case_of_push("infinite")
    first, _ = changed(parameters)
    _, note = changed(parameters, lift_of_air=0.0)
    mass, g = float(first["dry_mass"] + first["start_gas"]), float(first["gravity"])
    growth = START * 3e-4 / (R_DRY * WARM)
    square = 2 * 4e5 * 3e-4 / growth * math.log1p(growth * 0.2 / mass) - 2 * g * 0.2
    assert note["slide_end_speed_m_s"] == pytest.approx(math.sqrt(square), rel=1e-10)


def test_a_way_out_that_opens_evenly_lets_water_through_at_one_speed():
    """w = √((Λ/τ)² + 2 Δp/ρ) − Λ/τ from the first moment to the last."""
    parameters = parameters_of(design_of(stand={"tilt": "90 deg", "opening_time": "15 ms"}, tolerance=1e-13))[0]
    # A vessel 10 m wide, so that pressure and level stand still and β is nothing; constant temperature.
    parameters["profile_count"], parameters["profile_z"][:2], parameters["profile_r"][:2] = 2, (0.0, 1.0), (5.0, 5.0)
    parameters["neck_bore"], parameters["bore"] = 10.0, math.sqrt(4e-4 / math.pi)
    parameters["water"], parameters["gas"], parameters["gas_exponent"] = 1.0, 2, 1.0
    parameters["contraction"] = parameters["velocity_coefficient"] = 1.0
    parameters["land"] = 0.0
    bare = record_start(parameters)
    parameters["land"] = 0.03 - bare["correction"] - 1e-4 / (25 * math.pi) ** 2
    parameters["pressure_gauge"] = 400.0 * bare["water_density"]  # as 4 bar and 1000 kg/m³
    flight = recorded_plan(parameters, limit=0.02)
    rows = np.nonzero(flight.phase == OPENING)[0]
    share = np.array([open_share(flight.time[i], flight.state[i], flight.vehicle) for i in rows])
    exact = math.sqrt(2.0**2 + 2 * 400.0) - 2.0
    assert flight.vehicle["opening"] == BY_TIME
    assert share[-1] == pytest.approx(1.0, abs=1e-12)
    assert flight.state[rows, CHARGE_B] / share == pytest.approx(exact, rel=1e-6)
    assert exact == pytest.approx(26.3549, abs=5e-5)
    assert (1.0 - flight.state[rows[-1], CHARGE_A]) * 1e6 == pytest.approx(19.7662, abs=8e-5)


def record_start(parameters):
    vehicle = np.zeros(1, VEHICLE)
    assert prepare(parameters, True, vehicle[0])
    return vehicle[0]


def recorded_plan(parameters, limit: float) -> Recorded:
    parameters["time_limit"] = limit
    return record(parameters, True)


# Energy


@pytest.mark.parametrize("name", [name for name in SLIDES if "endless" not in name])
def test_what_the_gas_loses_on_the_slide_is_work_on_the_seal(name):
    """Inner energy of bottle, tube and hose and what the wall holds: −Δ = ∫ p A_s v dt."""
    launcher, tables = SLIDES[name]
    design = design_of(launcher, tolerance=1e-13, **tables)
    flight = recorded(design, limit=0.5)
    vehicle, y, rows = flight.vehicle, flight.state, steps(flight, SLIDE)
    case = slide_by_hand(vehicle, design)
    n = case.gas if isinstance(case.gas, float) else 1.4

    def energy(row: int, way: float) -> float:
        gas = Gas(
            float(vehicle["start_dry_air"] + y[row, CHARGE_A]), float(vehicle["start_vapour"]), case.soft, AMBIENT, n
        )
        kept = gas.energy(float(y[row, CHARGE_C]), case.room(way))
        return kept + (case.supply.after(float(y[row, CHARGE_A]))[2] if isinstance(case.supply, Hose) else 0.0)

    pressure = np.array([charge(flight, i)[0] for i in rows.ravel()]).reshape(rows.shape)
    work = summed(flight, rows, pressure * case.seal * y[rows][..., VELOCITY + 2] / math.cos(case.tilt))
    lost = energy(0, 0.0) - energy(rows[-1, -1], case.stroke)
    assert lost == pytest.approx(work, rel=1e-8)
