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
from bottlewright.flight.phases import LAST_DROP
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
        tilt=one.tilt.value, force=lambda _x, _v: buoyancy, carries_gas=True,
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


# The opening against a second implementation


def stand_of(vehicle, design, upright: bool = False) -> Stand:
    """The same rocket for the second implementation, from the design's own words."""
    nozzle, gas = design.nozzle, design.model.gas
    return Stand(
        HEIGHTS, RADII, nozzle.bore.value, design.charge.water.value, float(vehicle["water_density"]), START, AMBIENT,
        WARM, gas=gas, land=nozzle.length.value, contraction=nozzle.contraction.value,
        velocity_coefficient=nozzle.velocity_coefficient.value, breakthrough=design.model.breakthrough.value,
        spray_coefficient=design.model.spray_coefficient.value, slip=design.model.slip.value,
        compliance=float(vehicle["compliance"]), specific_force=float(vehicle["gravity"]) if upright else 0.0,
    )  # fmt: skip


FIRINGS = {
    "bare neck": {},
    "bare neck, moist": {"model": {"gas": "moist"}},
    "nozzle": {"nozzle": {"bore": "9 mm"}},
    "nozzle, slow": {"nozzle": {"bore": "9 mm"}, "stand": {"opening_time": "60 ms"}},
    "a wall that stretches": {"vessel": {"wall": "0.3 mm"}},
    "gas breaks through in the neck": {"model": {"breakthrough": "0.02"}},
    "gas breaks through": {"model": {"breakthrough": "0.15"}},
    "gas breaks through early": {"nozzle": {"bore": "12 mm"}, "model": {"breakthrough": "0.4"}},
}  # fmt: skip


@functools.cache
def fired(name: str):
    """Design, firing, and the second implementation's jet of the same."""
    tables = FIRINGS[name]
    design = design_of(**({"stand": {"opening_time": "20 ms"}} | tables))
    firing = fire(design)
    case = stand_of(firing.vehicle, design, upright=True)
    soft = case.volume * case.compliance
    gas = gas_filling(str(case.gas), START, WARM, case.volume - case.water, soft)
    pressure = pressure_over_water(gas, case.volume, WARM, case.water)
    jet = fire_jet(case, pressure, Throttle("held", time=design.stand.opening_time.value))
    return design, firing, case, gas, jet


def skipped(design) -> float:
    """Time after the plug begins to move at which the engine begins, s: what leaves before is a millionth."""
    return LEAST_SHARE * design.stand.opening_time.value


@pytest.mark.parametrize("name", FIRINGS)
def test_a_firing_that_opens_is_that_of_a_second_implementation(name):
    design, firing, _, _, jet = fired(name)
    summary = firing.summary
    assert summary["impulse_water_N_s"] == pytest.approx(jet.impulse, rel=1e-6)
    assert summary["water_time_s"] + skipped(design) == pytest.approx(jet.time, rel=1e-6)
    assert summary["water_out_pressure_Pa"] == pytest.approx(jet.pressure, rel=1e-8)
    times, thrust = firing.series["time_s"] + skipped(design), firing.series["thrust_N"]
    wet = (firing.series["phase"] == OPENING) | (firing.series["phase"] == WATER)
    # The first share and, in a bare neck, the last hundredth run through a change of their own size.
    wet &= (times > 20 * skipped(design)) & (times < 0.99 * jet.time)
    assert wet.sum() > 50
    assert np.abs(thrust[wet] - jet.series(times[wet])[0]).max() < 2e-6 * thrust[wet].max()


@pytest.mark.parametrize("name", [name for name in FIRINGS if "through" in name])
def test_the_spray_gives_the_momentum_back_as_a_second_implementation_does(name):
    _, firing, case, gas, jet = fired(name)
    volume = case.volume * (1 + case.compliance * (jet.pressure - AMBIENT)) - jet.left
    spray = fire_spray(case, jet, volume, gas.dry + gas.substance, rtol=1e-9)
    summary, vehicle = firing.summary, firing.vehicle
    assert summary["impulse_tail_N_s"] == pytest.approx(spray.impulse, rel=1e-6)
    assert vehicle["return_time"] == pytest.approx(spray.settling, rel=1e-6)
    assert summary["tail_time_s"] == pytest.approx(spray.time, rel=1e-5)
    assert vehicle["returned"] == pytest.approx(jet.momentum_left, rel=1e-6)
    assert summary["impulse_total_N_s"] == pytest.approx(jet.through_exit + spray.through_exit, rel=1e-6)


def test_both_ways_to_give_the_momentum_back_are_met():
    """By the time that the rest would take, and by what the spray can carry."""
    slow = {
        name: jet.left / (2 * jet.jet_area * jet.jet_speed) / firing.vehicle["return_time"]
        for name, (_, firing, _, _, jet) in ((n, fired(n)) for n in FIRINGS if "through" in n)
    }
    assert min(slow.values()) < 0.9
    assert max(slow.values()) == pytest.approx(1.0, rel=1e-6)


def test_water_that_its_own_way_has_taken_below_the_outer_pressure_comes_to_rest_at_once():
    # So much water that the air has fallen to the outer pressure a cubic centimetre before a twentieth is left.
    room, grown = float(fired("bare neck")[1].vehicle["rest_volume"]), (1.0 + 3e4 / AMBIENT) ** (1 / 1.4)
    water = (room * (grown - 1.0) + 1e-6) / (grown - 0.05)
    design = design_of(
        charge={"pressure": "0.3 bar", "water": f"{water!r} m3"}, model={"breakthrough": "0.05"},
        stand={"opening_time": "1 ms", "tilt": "90 deg"},
    )  # fmt: skip
    flight = recorded(design, held=True)
    case = replace(stand_of(flight.vehicle, design), pressure=AMBIENT + 3e4)
    gas = gas_filling("dry", case.pressure, WARM, case.volume - case.water)
    jet = fire_jet(
        case, pressure_over_water(gas, case.volume, WARM, case.water), Throttle("held", time=1e-3), until=2.0
    )
    spray = fire_spray(case, jet, case.volume - jet.left, gas.dry)
    assert jet.pressure < AMBIENT
    assert jet.momentum_left > 1e-3
    assert spray.impulse == -jet.momentum_left
    assert not (flight.phase == SPRAY).any()
    note = flight.note
    assert note["impulse_tail_N_s"] == pytest.approx(spray.impulse, rel=1e-5)
    assert note["impulse_total_N_s"] == pytest.approx(jet.through_exit, rel=1e-6)
    drop = LAST_DROP * room * case.density
    assert note["water_left_kg"] == pytest.approx(spray.water_left, abs=1.1 * drop)


OFF_THE_SEAL = {
    "spigot": ({}, {}),
    "spigot, moist": ({}, {"model": {"gas": "moist"}}),
    "spigot, gas breaks through": ({}, {"model": {"breakthrough": "0.1"}}),
    "narrower spigot": ({"seal_diameter": "21.3 mm"}, {}),
    "socket": (SOCKET, {"nozzle": {"bore": "9 mm"}}),
    "hollow tube and hose": (TUBE | {"tube_diameter": "21 mm"} | hose("120 mL", "5 mm"), {}),
    "heavy": ({}, {"measured": {"dry_mass": "2 kg"}}),
    "next to no stroke": ({"stroke": "0.001 mm"}, {}),
}  # fmt: skip


@pytest.mark.parametrize("name", OFF_THE_SEAL)
def test_an_opening_in_flight_is_that_of_a_second_implementation(name):
    """From the stroke to the last water, straight up, by a throttle that the launcher holds."""
    launcher, tables = OFF_THE_SEAL[name]
    design = design_of(launcher, **tables)
    flight = fly(design, series=True)
    vehicle, summary, one = flight.vehicle, flight.summary, design.launcher
    dry = design.measured.dry_mass.value
    still = slide_by_hand(vehicle, design)
    freed = slide(replace(still, mass=dry + still.water * float(vehicle["water_density"])))
    assert freed is not None
    rim = design.nozzle.bore.value if one.seal == "spigot" else one.seal_diameter.value
    throttle = Throttle("launcher", contraction=one.flow_coefficient.value, outer=rim, inner=one.seal_diameter.value)
    case = replace(stand_of(vehicle, design), water=freed.water)
    case = replace(case, breakthrough=case.breakthrough * still.water / freed.water)
    pressure = pressure_over_water(freed.gas, case.volume, freed.temperature, freed.water)
    free = Flight(dry + freed.gas_mass, freed.speed, float(vehicle["gravity"]), still.force(0.0, 0.0))
    # The engine begins with the gap a thousandth of the jet wide and its water set going at once.
    around = throttle.contraction * math.pi * (throttle.outer + throttle.inner) / 2
    jet_area = float(vehicle["jet_area"])
    begun = replace(throttle, ahead=LEAST_SHARE * jet_area / around)
    jet = fire_jet(case, pressure, begun, free, kick=float(vehicle["opening_kick"]))
    assert summary["impulse_water_N_s"] == pytest.approx(jet.impulse, rel=1e-6)
    assert summary["water_out_time_s"] - summary["slide_end_time_s"] == pytest.approx(jet.time, rel=1e-6)
    assert summary["water_out_speed_m_s"] == pytest.approx(jet.speed, rel=1e-6)
    times, thrust = flight.series["time_s"] - summary["slide_end_time_s"], flight.series["thrust_N"]
    wet = (flight.series["phase"] == OPENING) | (flight.series["phase"] == WATER)
    wet &= (times > 1e-4) & (times < 0.99 * jet.time)
    assert (flight.series["phase"] == OPENING).sum() > 20
    assert wet.sum() > 50
    assert np.abs(thrust[wet] - jet.series(times[wet])[0]).max() < 2e-6 * thrust[wet].max()
    # From nothing open at all the rocket would have been pushed for so long more; that is all the difference.
    first = (freed.pressure - AMBIENT) * jet_area * (1.0 + throttle.gap(0.0, jet_area) ** 2)
    gain = first / (free.mass + freed.water * case.density) - free.weight
    ahead = 2.0 * begun.ahead / (freed.speed + math.sqrt(freed.speed**2 + 2.0 * gain * begun.ahead))
    whole = fire_jet(case, pressure, throttle, free)
    assert abs(summary["impulse_water_N_s"] - whole.impulse) < 1.05 * first * ahead
    assert abs(jet.time - whole.time) < 1.05 * ahead
    assert first * ahead < (3e-3 if name == "next to no stroke" else 1e-4) * whole.impulse


# What leaves is what pushes


CHARGES = {
    "volume": st.floats(0.5, 3.0), "share": st.floats(0.05, 0.6), "bore": st.floats(4.0, 21.0),
    "breakthrough": st.floats(0.0, 0.5), "gauge": st.floats(0.5, 8.0), "slip": st.floats(1.0, 5.0),
    "gas": st.sampled_from(["dry", "moist", 1.2]),
}  # fmt: skip
TRIALS = settings(max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def charged(launcher, volume, share, bore, breakthrough, gauge, slip, gas, **tables):
    return design_of(
        launcher, tolerance=1e-10, vessel={"volume": f"{volume!r} L", "neck_bore": "21.6 mm"},
        charge={"water": f"{share * volume!r} L", "pressure": f"{gauge!r} bar"},
        nozzle={"bore": f"{bore!r} mm", "contraction": "0.97"},
        model={"gas": gas, "breakthrough": repr(breakthrough), "slip": repr(slip)}, **tables,
    )  # fmt: skip


def through_the_exit(flight: Recorded) -> float:
    """Integral of what the launcher's part gives, and of momentum flux and excess pressure at the exit, N s.

    A gap that the launcher throttles adds its pressure, ½ ρ u² (1/σ² − 1); one that is held turns the stream to u/σ.
    """
    vehicle, y = flight.vehicle, flight.state
    flux = float(vehicle["water_density"] * vehicle["jet_area"])
    total = 0.0
    for phase in (SLIDE, OPENING, WATER, SPRAY, GAS):
        rows = steps(flight, phase)
        if not len(rows):
            continue
        values = np.empty(rows.shape)
        for at in np.ndindex(rows.shape):
            i = rows[at]
            if phase == SLIDE:
                values[at] = (charge(flight, i)[0] - vehicle["ambient"]) * vehicle["seal_area"]
            elif phase == SPRAY:
                values[at] = spray_thrust(y[i], vehicle)
            elif phase == GAS:
                values[at] = pushed(flight, i, 0.0)[1]
            else:
                share = open_share(flight.time[i], y[i], vehicle) if phase == OPENING else 1.0
                more = 1.0 / share if vehicle["opening"] == BY_TIME else 0.5 * (1.0 + 1.0 / share**2)
                values[at] = flux * y[i, CHARGE_B] ** 2 * more
        total += summed(flight, rows, values)
    return total


def holds(flight: Recorded) -> None:
    assume(flight.note["ending"] not in (Endings.stuck, Endings.never_left))
    assume(math.isfinite(flight.note["gas_out_time_s"]))
    total = float(flight.note["impulse_total_N_s"])
    slack = float(flight.note["steps"] * flight.vehicle["tolerance"])
    assert through_the_exit(flight) == pytest.approx(total, rel=max(1e-6, slack))


@given(opening=st.floats(0.0, 40.0), tilt=st.floats(0.0, 90.0), **CHARGES)
@TRIALS
def test_on_the_stand_the_impulse_is_what_left_through_the_exit(opening, tilt, **of):
    design = charged(None, **of, stand={"opening_time": f"{opening!r} ms", "tilt": f"{tilt!r} deg"})
    holds(recorded(design, held=True))


@given(
    seal=st.sampled_from(["spigot", "socket"]), wide=st.floats(0.3, 1.8), stroke=st.floats(0.0, 40.0),
    supply=st.sampled_from(["none", "hose", "infinite"]), room=st.floats(1.0, 500.0), way=st.floats(1.0, 6.0),
    mass=st.floats(0.05, 0.5), **CHARGES,
)  # fmt: skip
@TRIALS
def test_in_flight_the_impulse_is_the_seals_and_what_left_through_the_exit(
    seal, wide, stroke, supply, room, way, mass, **of
):
    wide = min(wide, 1.0) if seal == "spigot" else wide
    launcher = {
        "seal": seal, "seal_diameter": f"{wide * of['bore']!r} mm", "stroke": f"{stroke!r} mm", "supply": supply,
        "hose_volume": f"{room!r} mL", "restriction": f"{way!r} mm",
    }  # fmt: skip
    holds(recorded(charged(launcher, **of, measured={"dry_mass": f"{mass!r} kg"})))


# Limits


def test_a_gap_that_is_wider_than_the_jet_from_the_first_frees_it_at_once():
    """A spigot much thinner than a way out whose jet contracts: nothing throttles, and only stroke and jet push."""
    launcher = {"seal": "spigot", "seal_diameter": "3 mm"}
    nozzle = {"bore": "9 mm", "contraction": "0.6"}
    light = {"measured": {"dry_mass": "40 g"}, "charge": {"water": "100 mL"}}
    at_once = fly(design_of({"stroke": "0 mm"}, nozzle=nozzle, **light)).summary
    misses = []
    for stroke in ("1 mm", "0.01 mm"):
        flight = fly(design_of(launcher | {"stroke": stroke}, nozzle=nozzle, **light), series=True)
        assert not (flight.series["phase"] == OPENING).any()
        misses.append([flight.summary[key] / at_once[key] - 1.0 for key in ("apogee_m", "impulse_water_N_s")])
    # The speed of the stroke goes with its root.
    assert misses[0][0] > 1e-4
    assert misses[1][0] == pytest.approx(misses[0][0] / 10.0, rel=0.03)
    assert abs(misses[1][1]) < 2e-5


def test_a_hose_of_no_room_gives_what_none_gives():
    none = fly(design_of(TUBE | {"supply": "none"})).summary
    misses = []
    for room in ("0.1 mL", "0.01 mL"):
        fed = fly(design_of(TUBE | hose(room, "2.5 mm"))).summary
        misses.append(fed["slide_end_speed_m_s"] / none["slide_end_speed_m_s"] - 1.0)
    assert 0.0 < misses[1] < 2e-6
    assert misses[1] == pytest.approx(misses[0] / 10.0, rel=0.02)
    empty = fly(design_of(TUBE | hose("0 mL", "2.5 mm"))).summary
    assert empty["slide_end_speed_m_s"] == pytest.approx(none["slide_end_speed_m_s"], rel=1e-9)


@pytest.mark.parametrize("nozzle", [{}, {"nozzle": {"bore": "9 mm"}}])
def test_an_opening_of_no_time_is_free_at_once(nozzle):
    at_once = fire(design_of(**nozzle)).summary
    misses = []
    for time in (1e-4, 1e-5):
        summary = fire(design_of(**nozzle, stand={"opening_time": f"{time!r} s"})).summary
        misses.append((
            summary["impulse_total_N_s"] / at_once["impulse_total_N_s"] - 1.0,
            summary["water_time_s"] + LEAST_SHARE * time - at_once["water_time_s"],
        ))  # fmt: skip
    assert abs(misses[1][0]) < 1e-5
    # The jet is late by half of the opening at most, less where its own inertia is slower.
    assert 0.0 < misses[1][1] < 0.5e-5
    assert misses[1][1] < 0.2 * misses[0][1]


def test_a_tube_without_a_bore_is_a_rod_and_a_rod_is_a_long_spigot():
    rod = fly(design_of(ROD)).summary
    spigot = fly(design_of({"seal": "spigot", "seal_diameter": "20 mm", "stroke": "0.2 m"})).summary
    assert same(rod, spigot)
    narrow = fly(design_of(ROD | {"tube_bore": "0.1 mm"})).summary
    assert narrow["slide_end_speed_m_s"] == pytest.approx(rod["slide_end_speed_m_s"], rel=1e-6)
    hollow = fly(design_of(TUBE)).summary
    assert hollow["slide_end_speed_m_s"] > rod["slide_end_speed_m_s"] * 1.0001


def same(one: dict[str, float], two: dict[str, float]) -> bool:
    return all(np.array_equal(one[key], two[key], equal_nan=True) for key in one)


def test_naming_the_seal_that_is_taken_anyway_changes_nothing():
    for tables in ({}, {"nozzle": {"bore": "9 mm"}}):
        plain = design_of(**tables)
        one = plain.launcher
        named = design_of(
            {
                "seal": one.seal, "seal_diameter": f"{one.seal_diameter.value!r} m",
                "stroke": f"{one.stroke.value!r} m",
                "tube_bore": f"{one.tube_bore.value!r} m", "supply": one.supply,
                "hose_volume": f"{one.hose_volume.value!r} m3", "restriction": f"{one.restriction.value!r} m",
                "flow_coefficient": repr(one.flow_coefficient.value),
            },
            **tables,
        )  # fmt: skip
        assert same(fly(plain).summary, fly(named).summary)


@given(
    strokes=st.lists(st.floats(1.0, 200.0), min_size=2, max_size=4), gauge=st.floats(0.5, 8.0),
    seal=st.sampled_from(["spigot", "socket"]), wide=st.floats(6.0, 21.0),
)  # fmt: skip
@TRIALS
def test_a_longer_stroke_never_leaves_its_seal_slower_while_it_pushes_more_than_it_weighs(strokes, gauge, seal, wide):
    last = 0.0
    for stroke in sorted(strokes):
        launcher = {"seal": seal, "seal_diameter": f"{wide!r} mm", "stroke": f"{stroke!r} mm", "supply": "none"}
        design = design_of(launcher, tolerance=1e-9, charge={"pressure": f"{gauge!r} bar"})
        flight = recorded(design, limit=2.0)
        assume(flight.note["ending"] not in (Endings.stuck, Endings.never_left))
        at = np.nonzero(flight.phase == SLIDE)[0][-1]
        push = (charge(flight, at)[0] - AMBIENT) * flight.vehicle["seal_area"]
        assume(push > flight.note["lift_off_mass_kg"] * flight.vehicle["gravity"])
        assert flight.note["slide_end_speed_m_s"] >= last * (1.0 - 1e-9)
        last = float(flight.note["slide_end_speed_m_s"])


def test_what_the_seal_does_not_lift_never_flies():
    weight = 0.75 * 9.81
    area = math.pi * 0.020**2 / 4
    for share, leaves in ((0.98, False), (1.05, True)):
        design = design_of(ROD, charge={"pressure": f"{share * weight / area!r} Pa"}, tolerance=1e-9)
        flight = recorded(design)
        assert (flight.note["ending"] != Endings.stuck) == leaves
    assert "seal" in ENDINGS[Endings.stuck]


def test_what_a_socket_leaves_of_little_water_is_sprayed_and_not_lost():
    """A deep socket keeps so much of the water that the gas breaks through the rest as soon as it opens."""
    socket = SOCKET | {"stroke": "100 mm"}
    flight = fly(design_of(socket, charge={"water": "100 mL"}, model={"breakthrough": "0.9"}), series=True)
    vehicle, series = flight.vehicle, flight.series
    left = float(vehicle["water_density"] * (vehicle["water_volume"] - vehicle["socket_water"]))
    assert 0.0 < left < 0.9 * series["water_kg"][0]
    wet = series["water_kg"][series["phase"] == SPRAY]
    assert wet[0] == pytest.approx(left, rel=0.05)
    assert flight.summary["water_left_kg"] == pytest.approx(wet[-1], rel=1e-12)
    lost = series["mass_kg"][0] - float(vehicle["socket_water"] * vehicle["water_density"]) + float(vehicle["fed_gas"])
    assert series["mass_kg"][series["phase"] == SPRAY][0] == pytest.approx(lost, rel=0.01)
