"""Mass, impulse and energy of recorded flights, added up apart from the equations of motion.

The sums are Simpson's three-eighths rule over the states inside every step. A step may err by the tolerance times
(scale + size) in each number of the state, and errors of N steps add up to N times that at worst; the sums are held to
that: N × tolerance × (what the ledger weighs).
"""

import math
from pathlib import Path

import numpy as np
import pytest
from recorded import Recorded, charge, pushed, record, steps, summed

from bottlewright.design.completion import complete
from bottlewright.design.reading import read_design
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.state import (
    CANOPY,
    CHARGE_A,
    CHARGE_B,
    COAST,
    GAS,
    IMPULSE,
    OPENING,
    SLIDE,
    SPRAY,
    VELOCITY,
    WATER,
)  # fmt: skip
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.gas import GAMMA, nozzle_flow
from bottlewright.physics.vessel_shape import water_state
from bottlewright.physics.water import CV_DRY

EXAMPLES = Path(__file__).parents[2] / "examples"
DRAG = 0.4


def flown(name: str, *overrides: str, tolerance: float = 1e-9, stretch: bool = False) -> Recorded:
    """Fly an example straight up in still air with a fixed drag coefficient, let go at once."""
    still = [
        'launcher.stroke="0 mm"', 'weather.wind_speed="0 m/s"', 'launcher.tilt="0 deg"',
        f'model.drag_coefficient="{DRAG}"', *overrides,
    ]  # fmt: skip
    parameters = parameters_of(complete(read_design(EXAMPLES / name / "rocket.toml", still)))[0]
    parameters["turbulence"], parameters["tolerance"], parameters["stretch"] = 0, tolerance, int(stretch)
    return record(parameters)


def slack(flight: Recorded, weight: float) -> float:
    return float(flight.note["steps"] * flight.vehicle["tolerance"] * weight)


@pytest.mark.parametrize("sets", [(), ('model.breakthrough="0.2"',), ('charge.water="0 mL"',)])
def test_all_the_mass_that_left_went_through_the_nozzle(sets):
    flight = flown("dabchick", *sets, tolerance=1e-10)
    vehicle, y = flight.vehicle, flight.state
    rho, area = vehicle["water_density"], vehicle["jet_area"]
    gone = 0.0
    water = steps(flight, WATER)
    if len(water):
        gone += summed(flight, water, rho * area * y[water][..., CHARGE_B])
    spray = steps(flight, SPRAY)
    if len(spray):
        _, _, gas, held = charge(flight, spray[0, 1] - 1)
        gone += gas + rho * held - y[spray[-1, -1], CHARGE_A] - y[spray[-1, -1], CHARGE_B]
    air = steps(flight, GAS)
    flow = np.empty(air.shape)
    for at in np.ndindex(air.shape):
        _, temperature, _, _ = charge(flight, air[at])
        flow[at], _ = nozzle_flow(
            y[air[at], CHARGE_A], vehicle["ambient"], temperature, vehicle["gas_constant"], GAMMA, vehicle["gas_area"]
        )
    gone += summed(flight, air, flow) if len(air) else 0.0
    last = (spray if len(spray) and not len(air) else air)[-1, -1]
    _, _, gas, left = charge(flight, last)
    start = flight.note["lift_off_mass_kg"]
    # The last drop, a milliardth of the vessel, counts as gone.
    drop = 1e-9 * vehicle["rest_volume"] * rho
    assert vehicle["dry_mass"] + gas + rho * left + gone == pytest.approx(start, abs=slack(flight, start) + drop)


@pytest.mark.parametrize("sets", [(), ('launcher.guide_length="0.1 m"',), ('nozzle.bore="6 mm"',)])
def test_the_jet_carries_off_the_momentum_that_the_rocket_gains(sets):
    flight = flown("curlew", *sets)
    vehicle, y, rows = flight.vehicle, flight.state, steps(flight, WATER)
    rho, area = vehicle["water_density"], vehicle["jet_area"]
    v, u, volume = y[..., VELOCITY + 2], y[..., CHARGE_B], y[..., CHARGE_A]
    mass = vehicle["dry_mass"] + vehicle["gas_mass"] + rho * volume
    height = np.array([level(vehicle, one)[0] for one in volume])
    inside = mass * v - rho * area * height * u
    density = np.array([density_viscosity(vehicle["air"], z)[0] for z in y[:, 2]])
    outside = (
        density * vehicle["lift_of_air"] - mass * vehicle["gravity"]
        - 0.5 * density * v * abs(v) * DRAG * math.pi / 4 * vehicle["calibre"] ** 2
    )  # fmt: skip
    balance = outside - rho * area * u * (v - u)
    gain = inside[rows[-1, -1]] - inside[rows[0, 0]]
    whole = summed(flight, rows, abs(balance[rows]))
    assert gain == pytest.approx(summed(flight, rows, balance[rows]), abs=slack(flight, whole))
    assert whole > 4.0


def test_the_work_of_the_gas_goes_into_rocket_water_jet_and_losses():
    flight = flown("curlew")
    vehicle, y, rows = flight.vehicle, flight.state, steps(flight, WATER)
    rho, area, g = vehicle["water_density"], vehicle["jet_area"], vehicle["gravity"]
    v, u, volume = y[..., VELOCITY + 2], y[..., CHARGE_B], y[..., CHARGE_A]
    light = vehicle["dry_mass"] + vehicle["gas_mass"]
    height, inertial, centre = np.array([level(vehicle, one) for one in volume]).T
    extra = (vehicle["land"] + vehicle["correction"]) * area / vehicle["bore_area"]
    kinetic = (
        0.5 * (light + rho * volume) * v**2 - rho * area * height * u * v
        + 0.5 * rho * area * u**2 * (area * inertial + extra)
    )  # fmt: skip
    exit_at = y[:, 2] - (vehicle["length"] - vehicle["dry_centre"])
    potential = g * (light * y[:, 2] + rho * volume * (exit_at + centre))
    density = np.array([density_viscosity(vehicle["air"], z)[0] for z in y[:, 2]])
    drag = 0.5 * density * v * abs(v) * DRAG * math.pi / 4 * vehicle["calibre"] ** 2
    pressure = np.array([charge(flight, i)[0] for i in rows.ravel()]).reshape(rows.shape)
    flow = rho * area * u
    work = (pressure - vehicle["ambient"]) * area * u[rows]
    lost = flow * (0.5 * (v - u) ** 2 + 0.5 * vehicle["loss"] * u**2 + g * exit_at)
    lost += (drag - density * vehicle["lift_of_air"]) * v
    energy = kinetic + potential
    gain = energy[rows[-1, -1]] - energy[rows[0, 0]]
    total = summed(flight, rows, work)
    assert gain + summed(flight, rows, lost[rows]) == pytest.approx(total, abs=slack(flight, total))
    assert total > 50.0


def test_dry_gas_without_heat_pays_for_its_work_with_its_own_energy():
    flight = flown("curlew", 'model.gas="dry"')
    vehicle, rows = flight.vehicle, steps(flight, WATER)
    now = np.array([charge(flight, i)[:2] for i in rows.ravel()]).reshape(*rows.shape, 2)
    work = now[..., 0] * vehicle["jet_area"] * flight.state[rows][..., CHARGE_B]
    total = summed(flight, rows, work)
    cooled = vehicle["dry_air"] * CV_DRY * (now[0, 0, 1] - now[-1, -1, 1])
    assert cooled == pytest.approx(total, abs=slack(flight, total))


def test_thrust_adds_up_to_the_impulse():
    flight = flown("curlew", 'model.breakthrough="0.1"', 'launcher.stroke="14 mm"', stretch=True)
    vehicle = flight.vehicle
    left = flight.time[steps(flight, SPRAY)[-1, -1]] - vehicle["spray_from"]
    total = -float(vehicle["returned"]) * math.exp(-left / vehicle["return_time"])  # at once, as the spray ends
    total += float(vehicle["opening_kick"])  # the jet of the first instant
    for phase in (SLIDE, OPENING, WATER, SPRAY, GAS):
        rows = steps(flight, phase)
        if len(rows):
            # Straight up in still air: what acts besides thrust is drag and the lift of the air.
            values = np.array([pushed(flight, i, other(flight, i))[1] for i in rows.ravel()]).reshape(rows.shape)
            total += summed(flight, rows, values)
    assert total == pytest.approx(flight.note["impulse_total_N_s"], abs=slack(flight, total))


def test_the_rocket_loses_its_height_and_speed_to_drag_alone():
    flight = flown("curlew", 'recovery.kind="none"')
    vehicle, y, rows = flight.vehicle, flight.state, steps(flight, COAST)
    v = y[:, VELOCITY + 2]
    mass = vehicle["end_mass"]
    density = np.array([density_viscosity(vehicle["air"], z)[0] for z in y[:, 2]])
    drag = 0.5 * density * v * abs(v) * DRAG * math.pi / 4 * vehicle["calibre"] ** 2
    energy = mass * (0.5 * v**2 + vehicle["gravity"] * y[:, 2])
    lost = (drag - density * vehicle["lift_of_air"]) * v
    top = rows[np.nonzero(v[rows[:, -1]] <= 0.0)[0][0], -1]
    upward = rows[rows[:, -1] <= top]
    drop = energy[upward[0, 1] - 1] - energy[top]
    assert drop == pytest.approx(summed(flight, upward, lost[upward]), abs=slack(flight, energy.max()))


def level(vehicle, volume):
    height, _, inertial, centre, _ = water_state(
        max(volume, 0.0), vehicle["vessel_z"], vehicle["vessel_r"], vehicle["vessel_count"], vehicle["vessel_table"]
    )
    return height, inertial, centre


def other(flight, row):
    vehicle, y = flight.vehicle, flight.state[row]
    density, _ = density_viscosity(vehicle["air"], y[2])
    v = y[VELOCITY + 2]
    area = DRAG * math.pi / 4 * vehicle["calibre"] ** 2
    return density * vehicle["lift_of_air"] - 0.5 * density * v * abs(v) * area


def test_phases_follow_one_another():
    flight = flown("curlew", 'model.breakthrough="0.1"')
    assert list(dict.fromkeys(flight.phase)) == [WATER, SPRAY, COAST, CANOPY]
    assert (np.diff(flight.time) >= 0.0).all()
    assert (np.diff(flight.state[flight.phase <= GAS, IMPULSE]) >= 0.0).all()


def test_mistakes_shrink_with_the_tolerance():
    best = flown("curlew", tolerance=1e-12).note
    former = math.inf
    for tolerance in (1e-5, 1e-7, 1e-9):
        note = flown("curlew", tolerance=tolerance).note
        off = max(abs(note[key] / best[key] - 1.0) for key in ("apogee_m", "flight_time_s", "air_out_speed_m_s"))
        assert off < 0.2 * former
        assert off < 100.0 * tolerance
        former = off
