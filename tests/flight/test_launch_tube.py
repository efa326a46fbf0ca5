"""The launch tube against the work that the gas does on it."""

import math

import numpy as np
import pytest

from bottlewright.design import complete, parse_design
from bottlewright.flight.fly import fly

LENGTH, AREA, AMBIENT, GAUGE = 0.25, math.pi * 0.020**2 / 4, 101325.0, 4e5


def flown(gas: str, water: str = "500 mL", wall: str = ""):
    return fly(
        complete(
            parse_design(f"""
schema = 1
name = "Tube"
[vessel]
volume = "1.5 L"
{wall}
[measured]
dry_mass = "150 g"
[charge]
water = "{water}"
pressure = "{GAUGE} Pa"
[launcher]
tube_diameter = "20 mm"
tube_length = "{LENGTH} m"
tube_bore = "0 mm"
guide_length = "1 m"
tilt = "0 deg"
[weather]
pressure = "{AMBIENT} Pa"
wind_speed = "0 m/s"
[model]
gas = {gas}
drag_coefficient = "0"
tolerance = "1e-11"
""")
        ),
        series=True,
    )


@pytest.mark.parametrize("water", ["500 mL", "0 mL"])
@pytest.mark.parametrize("exponent", [1.4, 1.2])
def test_speed_off_the_tube_is_the_work_of_the_gas(exponent, water):
    """½Mv² = ∫(p − p_a) A_t dx − weight less buoyancy, p Vⁿ constant, the tube's own room taken off at the start."""
    flight = flown(str(exponent), water)
    vehicle, start = flight.vehicle, AMBIENT + GAUGE
    room = float(vehicle["rest_volume"] - vehicle["water_volume"]) - AREA * LENGTH
    grown = room + AREA * LENGTH
    work = start * room / (exponent - 1) * (1 - (room / grown) ** (exponent - 1)) - AMBIENT * AREA * LENGTH
    mass = float(vehicle["dry_mass"] + vehicle["gas_mass"] + vehicle["water_volume"] * vehicle["water_density"])
    weight = float(vehicle["gravity"] * mass - vehicle["lift_of_air"] * vehicle["air"][1])
    speed = flight.summary["slide_end_speed_m_s"]
    assert speed == pytest.approx(math.sqrt(2 * (work - weight * LENGTH) / mass), rel=1e-6)


@pytest.mark.parametrize("gas", ['"moist"', '"dry"'])
@pytest.mark.parametrize("wall", ["", 'wall = "0.3 mm"'])
def test_the_tube_starts_at_the_pressure_asked_for(gas, wall):
    flight = flown(gas, wall=wall)
    assert flight.series["phase"][0] == 0
    assert flight.series["pressure_Pa"][0] == pytest.approx(AMBIENT + GAUGE, rel=1e-12)
    assert flight.series["thrust_N"][0] == pytest.approx(GAUGE * AREA, rel=1e-11)


def test_water_stays_while_the_rocket_slides_on_the_tube():
    flight = flown('"dry"')
    sliding = flight.series["phase"] == 0
    assert (flight.series["water_kg"][sliding] == flight.series["water_kg"][0]).all()
    assert flight.series["height_m"][sliding][-1] == pytest.approx(LENGTH, rel=1e-9)


def test_pressure_does_not_jump_where_the_tube_ends():
    flight = flown('"moist"', wall='wall = "0.3 mm"')
    last = int(np.flatnonzero(flight.series["phase"] == 0)[-1])
    pressure = flight.series["pressure_Pa"]
    assert pressure[last + 1] == pytest.approx(pressure[last], rel=1e-3)
    assert flight.complete
