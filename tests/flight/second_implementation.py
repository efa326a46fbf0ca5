"""The flight once more, written apart from the engine: plain NumPy, other variables, SciPy's integrator.

Ground axes are north, east, down. The place integrated is the centre of the nozzle's exit, the attitude a rotation
matrix, the spin in ground axes. Newton's and Euler's equations and Bernoulli's are solved together as one linear
system for the acceleration of the centre of mass, the angular acceleration and the growth of the jet, where the engine
eliminates by hand. Shared with the engine: the prepared numbers of the vehicle, the loads of the air and the gas laws.
"""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from bottlewright.design.completion import complete
from bottlewright.design.reading import read_design
from bottlewright.flight.fly import fly_parameters
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.phases import LAST_DROP
from bottlewright.flight.vehicle import VEHICLE, prepare
from bottlewright.physics.air import density_viscosity
from bottlewright.physics.airframe import air_loads, drag_area
from bottlewright.physics.gas import (
    expansion_slope,
    gas_pressure,
    gas_volume_stretched,
    nozzle_flow,
    saturation_pressure,
)
from bottlewright.physics.vessel_shape import water_state
from bottlewright.physics.wind import wind_at

EXAMPLES = Path(__file__).parents[2] / "examples"
CASES = {
    "curlew, tilted, in wind": ("curlew", ['launcher.supply="none"', 'recovery.release="at the top"']),
    "dabchick from a launch tube, cross wind": (
        "dabchick",
        ['launcher.tube_length="0.2 m"', 'launcher.tube_diameter="20 mm"', 'launcher.tilt="6 deg"',
         'launcher.leans_towards="130 deg"', 'weather.wind_speed="3 m/s"', 'weather.wind_from="300 deg"'],
    ),
    "curlew, canted fins, dry gas, ballistic": (
        "curlew",
        ['fins.cant="1.5 deg"', 'model.gas="dry"', 'recovery.kind="none"', 'launcher.supply="none"'],
    ),
}  # fmt: skip

GAMMA = 1.4
# What a state holds: exit's place and velocity, attitude row by row, spin, impulse; then what the charge needs.
PLACE, VELOCITY, TURN, SPIN, IMPULSE, CHARGE = slice(0, 3), slice(3, 6), slice(6, 15), slice(15, 18), 18, 19
DOWN = np.array([0.0, 0.0, 1.0])


def cross(a: Any, b: Any) -> Any:
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def skew(a: Any) -> Any:
    return np.array([[0.0, -a[2], a[1]], [a[2], 0.0, -a[0]], [-a[1], a[0], 0.0]])


class Rocket:
    """The prepared vehicle and what the flight leaves behind."""

    def __init__(self, vehicle: Any) -> None:
        self.c = vehicle
        self.nose_of_exit = float(vehicle["length"])
        self.dry_of_exit = float(vehicle["length"] - vehicle["dry_centre"])
        self.vessel_of_exit = float(vehicle["length"] - vehicle["vessel_centre"])
        c = vehicle
        self.aim = np.array([c["aim_n"], c["aim_e"], -c["aim_u"]])
        self.start_turn = _turn_like_the_engine(vehicle)
        assert np.allclose(self.start_turn[:, 0], self.aim)
        self.vessel = (c["vessel_z"], c["vessel_r"], int(c["vessel_count"]), c["vessel_table"])

    def wind(self, height: float) -> Any:
        c = self.c
        speed = wind_at(
            height + c["ground_gap"], c["wind_speed"], c["wind_height"], int(c["wind_law"]), c["wind_exponent"],
            c["wind_z0"], c["wind_shear"],
        )  # fmt: skip
        return speed * np.array([c["wind_n"], c["wind_e"], 0.0])

    def masses(self, water: float, gas: float) -> tuple[float, float, float]:
        """Mass, height of its centre above the exit, transverse moment about the exit."""
        c = self.c
        rho = c["water_density"]
        _, _, _, centre, second = water_state(water, *self.vessel)
        parts = [
            (c["dry_mass"], self.dry_of_exit, c["dry_transverse"] + c["dry_mass"] * self.dry_of_exit**2),
            (rho * water, centre, rho * second),
            (gas, self.vessel_of_exit, gas * self.vessel_of_exit**2),
        ]
        mass = sum(m for m, _, _ in parts)
        return mass, sum(m * z for m, z, _ in parts) / mass, sum(i for _, _, i in parts)


def _turn_like_the_engine(vehicle: Any) -> Any:
    """Attitude at the start: the engine's quaternion written out as a matrix, north-east-down."""
    w, x, y, z = (vehicle[f"q{i}"] for i in range(4))
    enu = np.array([
        [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
        [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
        [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
    ])  # fmt: skip
    return np.array([enu[1], enu[0], -enu[2]])


def gas_above(rocket: Rocket, water: float, temperature: float, room: float) -> tuple[float, float]:
    """Pressure, and the fall of temperature with a volume made free."""
    c = rocket.c
    dry, vapour = c["dry_air"], c["vapour"]
    saturation = saturation_pressure(vapour, temperature)
    volume, by_water, by_heat, _ = gas_volume_stretched(
        c["rest_volume"], c["compliance"], c["rest_volume"] - room + water, dry, vapour, temperature, saturation,
        c["ambient"],
    )  # fmt: skip
    pressure = gas_pressure(dry, vapour, temperature, volume, saturation)
    capacity, work = expansion_slope(
        dry, vapour, temperature, volume, saturation, int(c["gas_model"]), c["gas_exponent"]
    )
    # C dT = −B dV and dV = by_water dV_w + by_heat dT.
    return pressure, -work * by_water / (capacity + work * by_heat)


def rigid(rocket: Rocket, phase: str, guided: bool) -> Callable[[float, Any], Any]:
    """Rates of the rocket on its guide and in free flight, in one of the phases slide, opening, water, air, coast."""
    c = rocket.c
    rho, area = float(c["water_density"]), float(c["jet_area"])

    def rates(_: float, y: Any) -> Any:
        turn = y[TURN].reshape(3, 3)
        axis, spin = turn[:, 0], y[SPIN]
        dy = np.zeros_like(y)
        # Charge: what it weighs, pushes and lets out, and how the jet grows.
        water, gas, flow, drawn_at, push = 0.0, c["gas_mass"], 0.0, 0.0, 0.0
        if phase in ("slide", "opening", "water"):
            water = max(y[CHARGE], 0.0)
        if phase == "slide":
            gas = _gas_in_bottle(rocket, y)
        if phase == "air":
            pressure = c["ambient"] * (1.0 + y[CHARGE] ** 2)
            temperature = c["gas_temperature"] * (pressure / c["gas_pressure"]) ** (1.0 - 1.0 / GAMMA)
            gas = pressure * c["held_volume"] / (c["gas_constant"] * temperature)
            flow, push = nozzle_flow(
                y[CHARGE], c["ambient"], temperature, c["gas_constant"], GAMMA, c["gas_area"]
            )
            drawn_at = rocket.vessel_of_exit
            dy[CHARGE] = -GAMMA * pressure * flow / gas / (2.0 * c["ambient"] * y[CHARGE]) if y[CHARGE] else 0.0
        if phase == "coast":
            gas = c["end_gas"]
        mass, centre, about_exit = rocket.masses(water, gas)

        # Outside: weight, what the air carries, and the air's loads.
        exit_to_dry = rocket.dry_of_exit * axis
        # The guide is short: air and wind as at its foot.
        height = 0.0 if guided else -(y[PLACE] + exit_to_dry)[2]
        density, viscosity = density_viscosity(c["air"], height)
        through_air = y[VELOCITY] + cross(spin, rocket.nose_of_exit * axis) - rocket.wind(height)
        v1, v2, v3 = turn.T @ through_air
        p, q, r = turn.T @ spin
        filled = area if phase in ("opening", "water", "air") else 0.0
        if guided:
            drag = -0.5 * density * v1 * abs(v1) * drag_area(c["airframe"], abs(v1) * density / viscosity, filled)
            loads, about_nose = drag * axis, np.zeros(3)
        else:
            f1, f2, f3, m1, m2, m3 = air_loads(
                c["airframe"], density, viscosity, v1, v2, v3, p, q, r, filled
            )
            loads, about_nose = turn @ [f1, f2, f3], turn @ [m1, m2, m3]
        about_centre = about_nose + cross((rocket.nose_of_exit - centre) * axis, loads)
        lift = -density * c["lift_of_air"] * DOWN
        weight = mass * c["gravity"] * DOWN

        # Unknown: acceleration of the centre of mass (3), of the spin (3), growth of the jet (1).
        left, right = np.zeros((7, 7)), np.zeros(7)
        left[:3, :3] = mass * np.eye(3)
        right[:3] = loads + lift + weight
        across = about_exit - mass * centre**2
        inertia = turn @ np.diag([c["dry_axial"], across, across]) @ turn.T
        left[3:6, 3:6] = inertia
        right[3:6] = about_centre - cross(spin, inertia @ spin)
        left[6, 6] = 1.0
        if phase in ("opening", "water"):
            speed = y[CHARGE + 1]
            level, surface, inertial, _, _ = water_state(water, *rocket.vessel)
            pressure, cools = gas_above(rocket, water, y[CHARGE + 2], c["rest_volume"])
            narrow = area / surface
            flow, drawn_at = rho * area * speed, level
            push = rho * area * speed**2 * (1.0 - narrow)
            left[:3, 6] = -rho * area * level * axis
            length = area * inertial + (c["land"] + c["correction"]) * area / c["bore_area"]
            left[6, 6] = max(length, 0.1 * math.sqrt(c["bore_area"] / math.pi))
            left[6, :3] = -level * axis
            heads = 1.0 / free_share(rocket, y) ** 2 - 1.0 if phase == "opening" else 0.0
            push += 0.5 * rho * area * speed**2 * heads  # the gap's pressure on the exit
            drive = (pressure - c["ambient"]) / rho - 0.5 * speed**2 * (1.0 + c["loss"] + heads - narrow**2)
            right[6] = drive - level * c["gravity"] * (axis @ DOWN)
            dy[CHARGE] = -area * speed
            dy[CHARGE + 2] = -cools * area * speed
        if phase == "slide":
            room = slide_room(rocket, y)
            pressure, cools = gas_above(rocket, water, y[CHARGE + 2], room)
            push = (pressure - c["ambient"]) * c["seal_area"]
            dy[CHARGE + 2] = -cools * c["seal_area"] * (y[VELOCITY] @ axis)
        right[:3] += push * axis
        # The stream inside: every slice runs aft, −(flow) dz of it, and turns with the rocket.
        stream = -flow * drawn_at * axis
        right[:3] -= 2.0 * cross(spin, stream)
        turned = 0.5 * drawn_at**2 - centre * drawn_at
        right[3:6] -= 2.0 * cross(axis, cross(spin, -flow * turned * axis))
        if guided:
            # The guide carries everything across it and every moment.
            right[:3] = axis * (axis @ right[:3])
            right[3:6] = 0.0
        found = np.linalg.solve(left, right)
        a_centre, a_spin = found[:3], found[3:6]
        if phase in ("opening", "water"):
            dy[CHARGE + 1] = found[6]
            push += rho * area * level * found[6]
        back = -centre * axis
        dy[PLACE] = y[VELOCITY]
        dy[VELOCITY] = a_centre + cross(a_spin, back) + cross(spin, cross(spin, back))
        dy[TURN] = (skew(spin) @ turn).ravel()
        dy[SPIN] = a_spin
        dy[IMPULSE] = push
        return dy

    return rates


def way_of(rocket: Rocket, y: Any) -> float:
    """Way along the aim, m."""
    return float(rocket.aim @ (y[PLACE] - rocket.start_place))


def slide_room(rocket: Rocket, y: Any) -> float:
    """Room for gas and water while the rocket slides on its seal, a hollow tube's counted, m³."""
    c = rocket.c
    freed = way_of(rocket, y) if c["socket"] else way_of(rocket, y) - c["stroke"]
    return float(c["rest_volume"] + c["tube_gas"] + c["seal_area"] * freed)


def free_share(rocket: Rocket, y: Any) -> float:
    """Share of the jet that the gap between two rims lets through, from a thousandth on."""
    c = rocket.c
    rims = 0.5 * math.pi * (c["rim"] + c["seal_diameter"]) * c["flow_coefficient"] / c["jet_area"]
    way = way_of(rocket, y) - c["stroke"] + 1e-3 / rims
    return float(rims * math.hypot(way, 0.5 * (c["rim"] - c["seal_diameter"])))


def hanging(rocket: Rocket, opened: float, filling: float) -> Callable[[float, Any], Any]:
    """Rates of a point (place, velocity) under a canopy that fills as the square of time."""
    c = rocket.c
    mass = c["dry_mass"] + c["end_gas"]

    def rates(t: float, y: Any) -> Any:
        density, _ = density_viscosity(c["air"], -y[2])
        past = y[3:6] - rocket.wind(-y[2])
        share = min((t - opened) / filling, 1.0) ** 2
        area = share * c["canopy_area"] + c["hanging_area"]
        pull = -0.5 * density * area * np.linalg.norm(past) * past
        lift = -density * c["lift_of_air"] * DOWN
        return np.concatenate([y[3:6], (pull + lift) / mass + c["gravity"] * DOWN])

    return rates


def _leg(rates: Any, t: float, y: Any, until: Any, limit: float = 600.0, rtol: float = 1e-11) -> Any:
    """Integrate to the first zero of `until(t, y)`, passed downwards, or to a time."""
    events = []
    if until is not None:
        until.terminal, until.direction = True, -1
        events = [until]
    small = np.full(len(y), 1e-12)
    if len(y) > CHARGE + 1:
        small[CHARGE] = 1e-17  # m³ of water
    leg = solve_ivp(
        rates, (t, limit), y, method="DOP853", rtol=rtol, atol=small, events=events, dense_output=True,
        first_step=1e-6,
    )  # fmt: skip
    assert leg.success
    return leg


def fly_again(vehicle: Any) -> dict[str, float]:
    """Fly a prepared vehicle that has left its guide before its water is out; return its key figures."""
    rocket, c = Rocket(vehicle), vehicle
    out: dict[str, float] = {}
    start = -rocket.dry_of_exit * rocket.aim
    rocket.start_place = start
    y = np.concatenate(
        [start, np.zeros(3), rocket.start_turn.ravel(), np.zeros(4), [c["water_volume"], 0.0, c["start_temperature"]]]
    )
    legs = []

    def go(phase: str, guided: bool, until: Any, limit: float = 600.0) -> None:
        nonlocal t, y
        legs.append((_leg(rigid(rocket, phase, guided), t, y, until, limit), rocket))
        t, y = float(legs[-1][0].t[-1]), legs[-1][0].y[:, -1]

    def speed(state: Any) -> float:
        axis = state[TURN].reshape(3, 3)[:, 0]
        return float(np.linalg.norm(state[VELOCITY] + cross(state[SPIN], rocket.dry_of_exit * axis)))

    t = 0.0
    go("slide", True, lambda _, s: c["stroke"] - way_of(rocket, s))
    out["slide_end_time_s"], out["slide_end_speed_m_s"], out["impulse_slide_N_s"] = t, speed(y), y[IMPULSE]
    _leave_seal(rocket, y)
    go("opening", True, lambda _, s: 1.0 - free_share(rocket, s))
    go("water", True, lambda _, s: c["guide_length"] - way_of(rocket, s))
    out["guide_exit_time_s"], out["guide_exit_speed_m_s"] = t, speed(y)
    go("water", False, lambda _, s: s[CHARGE] / c["rest_volume"] - LAST_DROP)
    out["water_out_time_s"], out["water_out_speed_m_s"], out["impulse_water_N_s"] = t, speed(y), y[IMPULSE]
    out["impulse_water_N_s"] -= out["impulse_slide_N_s"]
    pressure, _ = gas_above(rocket, y[CHARGE], y[CHARGE + 2], c["rest_volume"])
    out["water_out_pressure_Pa"] = pressure
    _begin_air(c, pressure, y)
    y = np.concatenate([y[:CHARGE], [math.sqrt(pressure / c["ambient"] - 1.0)]])
    go("air", False, lambda _, s: s[CHARGE])
    out["gas_out_time_s"], out["air_out_speed_m_s"], out["impulse_total_N_s"] = t, speed(y), y[IMPULSE]
    c["end_gas"] = density_viscosity(c["air"], 0.0)[0] * c["rest_volume"]
    y = y[:CHARGE]

    def dry(state: Any) -> Any:
        return state[PLACE] + rocket.dry_of_exit * state[TURN].reshape(3, 3)[:, 0]

    def rising(_: float, s: Any) -> float:
        axis = s[TURN].reshape(3, 3)[:, 0]
        return float(-(s[VELOCITY] + cross(s[SPIN], rocket.dry_of_exit * axis))[2])

    go("coast", False, rising)
    out["apogee_time_s"], out["apogee_m"] = t, -dry(y)[2]
    out["apogee_north_m"], out["apogee_east_m"] = dry(y)[:2]
    out["apogee_speed_m_s"] = speed(y)
    out["max_speed_m_s"] = _fastest(legs, speed)
    if c["recovery"] != 0:
        go("coast", False, None, t + float(c["release_delay"]))
        axis = y[TURN].reshape(3, 3)[:, 0]
        point = np.concatenate([dry(y), y[VELOCITY] + cross(y[SPIN], rocket.dry_of_exit * axis)])
        out["release_speed_m_s"] = speed(y)
        past = float(np.linalg.norm(point[3:6] - rocket.wind(-point[2])))
        density, _ = density_viscosity(c["air"], -point[2])
        mass = c["dry_mass"] + c["end_gas"]
        sinking = math.sqrt(2.0 * mass * c["gravity"] / (density * (c["canopy_area"] + c["hanging_area"])))
        filling = c["filling"] * c["canopy_diameter"] / max(past, sinking)
        fall = hanging(rocket, t, filling)
        leg = _leg(fall, t, point, None, t + filling)
        leg = _leg(fall, float(leg.t[-1]), leg.y[:, -1], lambda _, s: -s[2])
        t, point = float(leg.t[-1]), leg.y[:, -1]
    else:
        go("coast", False, lambda _, s: -dry(s)[2])
        axis = y[TURN].reshape(3, 3)[:, 0]
        point = np.concatenate([dry(y), y[VELOCITY] + cross(y[SPIN], rocket.dry_of_exit * axis)])
    out["flight_time_s"], out["landing_north_m"], out["landing_east_m"] = t, point[0], point[1]
    out["landing_speed_m_s"] = float(np.linalg.norm(point[3:6]))
    return out


def _gas_in_bottle(rocket: Rocket, y: Any) -> float:
    """Gas in the bottle while a hollow tube shares its pressure and temperature, kg."""
    c = rocket.c
    water, temperature = y[CHARGE], y[CHARGE + 2]
    saturation = saturation_pressure(c["vapour"], temperature)
    whole, _, _, _ = gas_volume_stretched(
        c["rest_volume"], c["compliance"], c["rest_volume"] - slide_room(rocket, y) + water, c["dry_air"], c["vapour"],
        temperature, saturation, c["ambient"],
    )  # fmt: skip
    return float((c["dry_air"] + c["vapour"]) * (1.0 - c["tube_gas"] / whole))


def _leave_seal(rocket: Rocket, y: Any) -> None:
    """Share the gas between bottle and tube, leave a socket its water, and give the jet its first instant."""
    c = rocket.c
    water, temperature = y[CHARGE], y[CHARGE + 2]
    kept = _gas_in_bottle(rocket, y) / (c["dry_air"] + c["vapour"])
    c["dry_air"], c["vapour"] = c["dry_air"] * kept, c["vapour"] * kept
    c["gas_mass"] = c["dry_air"] + c["vapour"]
    if c["socket"]:
        y[CHARGE] = water = water - c["seal_area"] * c["stroke"]
    share = free_share(rocket, y)
    if share > 2e-3:
        return
    pressure, _ = gas_above(rocket, water, temperature, c["rest_volume"])
    mass, _, _ = rocket.masses(water, c["gas_mass"])
    along = float(np.linalg.norm(y[VELOCITY]))
    level, _, inertial, _, _ = water_state(water, *rocket.vessel)
    area, rho = c["jet_area"], c["water_density"]
    length = area * inertial + (c["land"] + c["correction"]) * area / c["bore_area"]
    # Two unknowns, f and the gap's speed w, of which M f = ½ρAw² + ρAhσ̇w and Λσ̇w = Δp/ρ + f h − ½w².
    grows = c["flow_coefficient"] * math.pi * c["rim"] * along / area
    given = (pressure - c["ambient"]) / rho
    square, line = 0.5 * (1.0 - rho * area * level / mass), grows * (length - rho * area * level**2 / mass)
    y[CHARGE + 1] = share * max(np.roots([square, line, -given]).real)
    kick = rho * area * level * y[CHARGE + 1]
    y[IMPULSE] += kick
    y[VELOCITY] += kick / mass * rocket.aim


def _begin_air(c: Any, pressure: float, y: Any) -> None:
    """Give the vehicle its gas at the start of the air-only phase."""
    temperature = y[CHARGE + 2]
    saturation = saturation_pressure(c["vapour"], temperature)
    volume, _, _, _ = gas_volume_stretched(
        c["rest_volume"], c["compliance"], y[CHARGE], c["dry_air"], c["vapour"], temperature, saturation, c["ambient"]
    )
    c["held_volume"] = volume + y[CHARGE]
    c["gas_pressure"], c["gas_temperature"] = pressure, temperature
    c["gas_constant"] = pressure * c["held_volume"] / (c["gas_mass"] * temperature)


def _fastest(legs: list[Any], speed: Callable[[Any], float]) -> float:
    best = 0.0
    for leg, _ in legs:
        times = np.linspace(leg.t[0], leg.t[-1], 200)
        speeds = [speed(leg.sol(at)) for at in times]
        i = int(np.argmax(speeds))
        inside = (times[max(i - 1, 0)], times[min(i + 1, 199)])
        top = minimize_scalar(
            lambda at, sol=leg.sol: -speed(sol(at)), bounds=inside, method="bounded", options={"xatol": 1e-10}
        )
        best = max(best, speeds[i], -float(top.fun))
    return best


def compared(case: str) -> dict[str, tuple[float, float]]:
    """Key figures of one of `CASES` that are not about zero: by the engine at 1e-12, and by `fly_again`."""
    name, overrides = CASES[case]
    parameters = parameters_of(complete(read_design(EXAMPLES / name / "rocket.toml", overrides)))
    parameters["turbulence"], parameters["tolerance"] = 0, 1e-12
    vehicle = np.zeros(1, VEHICLE)
    assert prepare(parameters[0], False, vehicle[0])
    ours, second = fly_parameters(parameters[0]).summary, fly_again(vehicle[0])
    return {key: (ours[key], value) for key, value in second.items() if abs(value) > 1e-3}
