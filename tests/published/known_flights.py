"""Flights with a known answer, flown by the engine's own rates, integrator and events.

A vehicle is prepared from a plain design, then what the case asks for is set in it: mass, drag area, air, gravity. The
canopy's phase moves a point with a drag area; the coasting phase turns a rigid rocket. A published value may be missed
by half its last digit, an exact one by what the integrator's tolerance explains; where more is allowed the remark says
why.
"""

import math
from typing import Any

import numpy as np
from closed_forms import (
    axis_of_top,
    drift_in_power_law_wind,
    fall_from_rest,
    fall_through_thinning_air,
    opening_load,
    throw,
    throw_in_wind,
    torque_free_top,
    vertical_coast,
)
from comparison import Row
from scipy.linalg import expm
from scipy.optimize import curve_fit

from bottlewright.design.completion import complete
from bottlewright.design.reading import parse_design
from bottlewright.flight.abreast import ALL
from bottlewright.flight.advance import ROW, advance
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.phases import APOGEE, GROUND
from bottlewright.flight.state import AIR_PATH, ATTITUDE, CANOPY, COAST, RATES, VELOCITY
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare
from bottlewright.physics.airframe import air_loads
from bottlewright.physics.wind import wind_at

G = 9.80665
TOLERANCE = 1e-10
"""Of the integrator in every case here."""

PLAIN = """
schema = 1
name = "Dabchick"
[vessel]
bottle = "carbonated-1500"
[nose]
shape = "ogive"
[fins]
count = 4
[charge]
pressure = "4 bar"
[model]
drag_coefficient = "{drag}"
"""


def vehicle_for(drag: float = 0.0, **fields: float) -> Any:
    """Return a prepared vehicle in still air of one density, without buoyancy, with fields set by name."""
    parameters = parameters_of(complete(parse_design(PLAIN.format(drag=drag))))[0]
    parameters["tolerance"] = TOLERANCE
    vehicle = np.zeros(1, VEHICLE)[0]
    assert prepare(parameters, False, vehicle)
    vehicle["air"][3] = 0.0  # the exponent of the density: the same at every height
    vehicle["gravity"], vehicle["lift_of_air"], vehicle["wind_speed"] = G, 0.0, 0.0
    vehicle["end_mass"], vehicle["end_centre"] = vehicle["dry_mass"], vehicle["dry_centre"]
    vehicle["end_transverse"] = vehicle["dry_transverse"]
    vehicle["canopy_area"] = 0.0
    for name, value in fields.items():
        if name == "density":
            vehicle["air"][1] = value
        else:
            vehicle[name] = value
    return vehicle


class Glide:
    """A flight under way in one phase."""

    def __init__(
        self, vehicle: Any, phase: int, place: Any, velocity: Any, attitude: Any = (1, 0, 0, 0), turn: Any = (0, 0, 0)
    ) -> None:
        self.vehicle, self.phase, self.t = vehicle, phase, 0.0
        self.work, self.note = np.zeros(1, WORK)[0], np.zeros(1, SUMMARY)[0]
        for name in SUMMARY.names or ():
            self.note[name] = math.nan if SUMMARY[name] == np.float64 else 0
        for name in ("max_speed_m_s", "max_acceleration_m_s2", "opening_load_N", "thrust_peak_N"):
            self.note[name] = 0.0
        self.y = self.work["y"]
        self.y[:3], self.y[VELOCITY:AIR_PATH] = place, velocity
        self.y[ATTITUDE:RATES], self.y[RATES : RATES + 3] = attitude, turn

    def until(self, time: float) -> int:
        """Go on to an event or a time; return the event."""
        event, self.t, _, _ = advance(
            self.phase, False, self.t, time, 1e-4, self.vehicle, self.note, self.work, np.empty((0, ROW)), 0, ALL
        )
        return int(event)

    def top(self) -> np.ndarray:
        assert self.until(1e4) == APOGEE
        self.y[VELOCITY + 2] = min(self.y[VELOCITY + 2], -1e-15)
        return self.y[:3].copy()

    def land(self) -> np.ndarray:
        assert self.until(1e4) == GROUND
        return self.y[:3].copy()

    @property
    def speed(self) -> float:
        return float(np.linalg.norm(self.y[VELOCITY:AIR_PATH]))

    @property
    def axis(self) -> np.ndarray:
        a, b, c, d = self.y[ATTITUDE:RATES] / np.linalg.norm(self.y[ATTITUDE:RATES])
        return np.array([a * a + b * b - c * c - d * d, 2 * (b * c + a * d), 2 * (b * d - a * c)])


UPRIGHT = (math.sqrt(0.5), 0.0, -math.sqrt(0.5), 0.0)


def point(k: float, **fields: float) -> Any:
    """Return a vehicle whose drag per mass and speed squared is k under the canopy."""
    return vehicle_for(density=1.0, hanging_mass=1.0, hanging_area=2.0 * k, **fields)


def vacuum_parabola() -> list[Row]:
    vehicle = vehicle_for(density=0.0)
    glide = Glide(vehicle, COAST, (0, 0, 0), (12.0, -5.0, 30.0), UPRIGHT, (3.0, 1.0, -2.0))
    top, apogee_time = glide.top(), glide.t
    place = glide.land()
    time = 2 * 30.0 / G
    tell = "exact: no air"
    return [
        Row("Vacuum parabola, turning rocket: apogee", tell, "m", 30.0**2 / (2 * G), top[2], 1e-7),
        Row("— time to apogee", tell, "s", 30.0 / G, apogee_time, 1e-8),
        Row("— east at landing", tell, "m", 12.0 * time, place[0], 1e-7),
        Row("— north at landing", tell, "m", -5.0 * time, place[1], 1e-7),
        Row("— time aloft", tell, "s", time, glide.t, 1e-8),
    ]


def coast_with_drag() -> list[Row]:
    source = "closed form (reference values of the case worked out apart)"
    area, drag, mass = 0.25 * math.pi * 0.088**2, 0.35, 0.120
    vehicle = vehicle_for(drag, density=1.225, end_mass=mass, dry_mass=mass)
    # The coefficient refers to the largest cross-section of the design; make its drag area that of 88 mm.
    scale = drag * area / (drag * 0.25 * math.pi * vehicle["calibre"] ** 2)
    vehicle["air"][1] *= scale
    exact = vertical_coast(45.0, 0.5 * 1.225 * drag * area / mass, G)
    glide = Glide(vehicle, COAST, (0, 0, 0), (0, 0, 45.0), UPRIGHT)
    top, up = glide.top(), glide.t
    glide.land()
    return [
        Row("Vertical coast, quadratic drag: apogee", source, "m", 54.148422, top[2], 1e-6),
        Row("— time up", source, "s", 3.008770, up, 1e-6),
        Row("— time down", source, "s", 3.656529, glide.t - up, 1e-6),
        Row("— impact speed", source, "m/s", 24.985983, glide.speed, 1e-6),
        Row("— apogee against the formula itself", source, "m", exact.apogee, top[2], 1e-7),
    ]


def chapra() -> list[Row]:
    source = "Chapra, Applied Numerical Methods, example 1.1"
    vehicle = vehicle_for(density=1.0, hanging_mass=68.1, hanging_area=0.5, gravity=9.81)
    rows, glide = [], Glide(vehicle, CANOPY, (0, 0, 5000.0), (0, 0, -1e-15))
    for time, speed in zip((2, 4, 6, 8, 10, 12), (18.7292, 33.1118, 42.0762, 46.9575, 49.4214, 50.6175), strict=True):
        glide.until(float(time))
        rows.append(Row(f"Fall with quadratic drag: speed at {time} s", source, "m/s", speed, glide.speed, 5.1e-5))
    exact = fall_from_rest(12.0, 68.1, 0.25, 9.81)
    rows.append(Row("— at 12 s against the formula itself", "closed form", "m/s", exact, glide.speed, 1e-7))
    glide.until(60.0)
    rows.append(Row("— terminal speed", source, "m/s", 51.6938, glide.speed, 5.1e-5))
    return rows


def projectile() -> list[Row]:
    source, k, rows = "quadrature of the plane equations, worked out apart", 0.010, []
    known = {80.0: (61.582439, 32.199787), 45.0: (34.743983, 97.432560)}
    for degrees, (apogee, reach) in known.items():
        angle = math.radians(degrees)
        glide = Glide(point(k), CANOPY, (0, 0, 0), (50 * math.cos(angle), 0, 50 * math.sin(angle)))
        top, apogee_time = glide.top(), glide.t
        place = glide.land()
        name = f"Projectile, 50 m/s at {degrees:.0f}°, drag 0.010 1/m: "
        rows += [
            Row(name + "apogee", source, "m", apogee, top[2], 1e-6),
            Row("— range", source, "m", reach, place[0], 1e-6),
        ]
        if degrees == 80.0:
            rows += [
                Row("— time to apogee", source, "s", 3.175775, apogee_time, 1e-6),
                Row("— time aloft", source, "s", 7.105544, glide.t, 1e-6),
            ]
        exact = throw(50.0, angle, k, G)
        rows.append(Row("— range against SciPy at 1e-13", "SciPy DOP853", "m", exact.range, place[0], 1e-7))
    return rows


def wind_shift() -> list[Row]:
    source = "exact: Galilean change of frame"
    # A wind of exponent 0, felt 10 m above the point, is the same all the way down.
    vehicle = point(0.010, wind_speed=6.0, wind_exponent=0.0, wind_height=10.0, ground_gap=10.0)
    vehicle["wind_law"], vehicle["wind_e"], vehicle["wind_n"] = 0, 1.0, 0.0
    angle = math.radians(70.0)
    glide = Glide(vehicle, CANOPY, (0, 0, 0), (50 * math.cos(angle), 0, 50 * math.sin(angle)))
    top = glide.top()
    place = glide.land()
    exact = throw_in_wind(50.0, angle, 0.010, G, 6.0)
    return [
        Row("Uniform wind 6 m/s along a throw at 70°: apogee", source, "m", exact.apogee, top[2], 1e-7),
        Row("— range", source, "m", exact.range, place[0], 1e-7),
        Row("— time aloft", source, "s", exact.time, glide.t, 1e-8),
    ]


def thinning_air() -> list[Row]:
    source = "closed form with the exponential integral"
    hot = 1e8  # K: a column so hot that its lapse is lost, with the exponent that makes it exp(−z/H)
    vehicle = point(0.002)
    vehicle["air"][0], vehicle["air"][3], vehicle["air"][4] = hot, hot / (0.0065 * 8000.0), 1.0
    glide = Glide(vehicle, CANOPY, (0, 0, 2000.0), (0, 0, -1e-15))
    glide.land()
    exact = fall_through_thinning_air(2000.0, 0.002, 8000.0, G)
    remark = "our column counts geopotential height, up to 0.6 m less at 2000 m"
    return [
        Row("Drop through an isothermal atmosphere", source, "m/s", 71.1450741, glide.speed, 0.001, remark),
        Row("— against the formula itself", source, "m/s", exact, glide.speed, 0.001, remark),
    ]


def spinning_top() -> list[Row]:
    source = "Euler's equations of the symmetric top, any text on mechanics (original not checked)"
    across, along, w1, w2 = 2.0e-3, 3.0e-4, 20.0, 0.5
    known = torque_free_top(across, along, w2, w1)
    vehicle = vehicle_for(density=0.0, dry_axial=along, end_transverse=across, gravity=0.0)
    vehicle["end_centre"] = vehicle["dry_centre"]
    glide = Glide(vehicle, COAST, (0, 0, 100.0), (0, 0, 1e-9), UPRIGHT, (w1, w2, 0.0))
    start = glide.axis
    momentum = along * w1 * start + across * w2 * np.array([0.0, 1.0, 0.0])
    glide.until(3.0)
    ours = glide.axis
    exact = axis_of_top(3.0, start, momentum, across)
    about = momentum / np.linalg.norm(momentum)
    cone = math.acos(float(ours @ about))
    first, now = start - (start @ about) * about, ours - (ours @ about) * about
    swept = math.atan2(float(about @ np.cross(first, now)), float(first @ now))
    rate = (swept + 2 * math.pi * round((known.precession * 3.0 - swept) / (2 * math.pi))) / 3.0
    p, q, r = glide.y[RATES : RATES + 3]
    turned = math.atan2(r, q) + 2 * math.pi * round((known.body_rate * 3.0 - math.atan2(r, q)) / (2 * math.pi))
    return [
        Row("Free symmetric top: half-angle of the cone", source, "°", 9.462322, math.degrees(cone), 1e-6),
        Row("— precession", source, "rad/s", 3.041381, rate, 1e-6),
        Row("— rate in the body", source, "rad/s", -17.0, turned / 3.0, 1e-7),
        Row("— axis after 3 s, distance from the exact one", source, "", 0.0, math.dist(ours, exact), 1e-7),
        Row("— spin kept", "exact", "rad/s", 20.0, p, 1e-9),
    ]  # fmt: skip


def pitching() -> list[Row]:
    """Small swings at a steady 30 m/s: the engine against the linear equations of pitch and plunge."""
    source = "linear theory: eigenvalues of pitch and plunge about steady flight"
    speed, density = 30.0, 1.2
    vehicle = vehicle_for(0.0, density=density, gravity=0.0)
    # Ballast that puts the balance point one and a half calibres ahead of the centre of pressure.
    vehicle["dry_centre"] = vehicle["end_centre"] = vehicle["pressure_centre"] - 1.5 * vehicle["calibre"]
    vehicle["end_mass"] *= 20.0  # heavy, so that the swings are many and the simple formula below holds
    vehicle["end_transverse"] *= 20.0
    mass, centre, inertia = (float(vehicle[k]) for k in ("end_mass", "end_centre", "end_transverse"))
    visc = 1.8e-5

    def about_centre(w: float, q: float) -> tuple[float, float]:
        _, _, f3, _, m2, _ = air_loads(
            vehicle["airframe"], density, visc, speed, 0.0, w - centre * q, 0.0, q, 0.0, 0.0
        )
        return f3, m2 - centre * f3

    tiny = 1e-6
    by_w, by_q = (np.array(about_centre(*step)) / tiny for step in ((tiny, 0.0), (0.0, tiny)))
    # w' = U q + Z/m, q' = M/I; w along e3 and q about e2, so that e1 × e2 = e3 makes w' = +U q.
    system = np.array([[by_w[0] / mass, by_q[0] / mass + speed], [by_w[1] / inertia, by_q[1] / inertia]])
    roots = np.linalg.eigvals(system)
    damping, swing = -float(roots[0].real), abs(float(roots[0].imag))
    slope = float(vehicle["normal_slope"]) * 0.25 * math.pi * float(vehicle["calibre"]) ** 2
    stiffness = 0.5 * density * speed**2 * slope * (float(vehicle["pressure_centre"]) - centre)
    start = 1e-5 * speed
    # Level flight along east, nose toward it; e3 is up.
    glide = Glide(vehicle, COAST, (0, 0, 100.0), (speed, 0, start), (1, 0, 0, 0))
    times = np.linspace(0.0, 2.5, 1001)[1:]
    measured = []
    for time in times:
        while glide.until(float(time)) >= 0:  # an apogee of the swing is no event here
            glide.y[VELOCITY + 2] = math.copysign(max(abs(glide.y[VELOCITY + 2]), 1e-14), -1.0)
        axis = glide.axis
        measured.append(glide.y[VELOCITY + 2] - axis[2] * speed)
    exact = np.array([(expm(system * time) @ [start, 0.0])[0] for time in times])
    measured = np.array(measured)
    ours_damping, ours_swing = _fit(times, measured)
    return [
        Row("Pitching at 30 m/s, small: frequency", source, "rad/s", swing, ours_swing, 1e-6 * swing),
        Row("— damping", source, "1/s", damping, ours_damping, 1e-6 * damping),
        Row("— cross speed along 2.5 s, largest distance", source, "of the start", 0.0,
            float(np.abs(measured - exact).max() / start), 1e-7),
        Row("— undamped frequency from slope, margin and inertia alone", "√(½ρV²·S·CNα·Δx/I)", "rad/s",
            math.sqrt(stiffness / inertia), math.hypot(ours_swing, ours_damping), 0.005 * swing,
            "the simple formula leaves out the product of damping and plunge"),
    ]  # fmt: skip


def _fit(times: np.ndarray, values: np.ndarray) -> tuple[float, float]:
    """Damping and frequency of a decaying swing that has a fixed phase, by least squares."""
    crossings = np.nonzero(np.diff(np.sign(values)))[0]
    guess = math.pi / float(np.diff(times[crossings]).mean())
    scale = float(np.abs(values).max())

    def model(t: Any, a: float, d: float, w: float, phase: float) -> Any:
        return a * np.exp(-d * t) * np.cos(w * t + phase)

    (_, damping, swing, _), _ = curve_fit(model, times, values / scale, p0=(1.0, 1.0, guess, 0.0), maxfev=20000)
    return float(damping), float(swing)


def canopies() -> list[Row]:
    area = 0.75 * 0.25 * math.pi * 0.435**2
    vehicle = vehicle_for(density=1.22, hanging_mass=0.0623, hanging_area=0.0, canopy_area=area)
    glide = Glide(vehicle, CANOPY, (0, 0, 100.0), (0, 0, -1e-15))
    glide.until(10.0)
    rows = [
        Row("Parachute 0.435 m, 62.3 g, C_d 0.75: descent", "educator's note: 3 m/s", "m/s", 3.0, glide.speed, 0.005),
    ]
    for mass, inside in ((0.02, "while it fills"), (0.4, "once it is full")):
        still = vehicle_for(density=1.2, hanging_mass=mass, canopy_area=0.2, hanging_area=0.0, gravity=0.0)
        still["filling_time"] = 0.3
        glide = Glide(still, CANOPY, (0, 0, 100.0), (20.0, 0.0, 0.0))
        glide.until(0.3)
        glide.until(0.6)
        exact = opening_load(20.0, mass, 0.2, 1.2, 0.3)
        what = f"Opening canopy without weight, {mass * 1e3:g} g: greatest pull, {inside}"
        source = "closed form, Pflanz's factor for a parabolic filling"
        rows.append(Row(what, source, "N", exact, float(glide.note["opening_load_N"]), 1e-5 * exact))
    vehicle = vehicle_for(density=1.2, hanging_mass=0.1, canopy_area=2 * 0.1 * G / (1.2 * 16.0), hanging_area=0.0)
    vehicle["wind_law"], vehicle["wind_e"], vehicle["wind_n"], vehicle["ground_gap"] = 0, 1.0, 0.0, 0.0
    vehicle["wind_speed"], vehicle["wind_height"], vehicle["wind_exponent"] = 5.0, 10.0, 1.0 / 7.0
    assert abs(drift_in_power_law_wind(100.0, 4.0, 5.0, 10.0, 1 / 7) - 151.976) < 5e-4
    start = (float(wind_at(100.0, 5.0, 10.0, 0, 1 / 7, 0.03)), 0, -4.0)
    what, source = "Drift from 100 m at 4 m/s, power law, 5 m/s at 10 m", "closed form: it moves with the air"
    real = Glide(vehicle, CANOPY, (0, 0, 100.0), start)
    rows.append(
        Row(what, source, "m", 151.976, real.land()[0], 0.05,
            "a real rocket lags behind the slowing wind by v/g = 0.41 s, in which it passes 1.4 m", 1.371)
    )  # fmt: skip
    vehicle["gravity"] *= 1e4  # with the same descent rate: a canopy that follows the air at once
    vehicle["canopy_area"] *= 1e4
    light = Glide(vehicle, CANOPY, (0, 0, 100.0), start)
    remark = "our wind dies away smoothly in the lowest 0.1 m: worth −0.025 m"
    rows.append(Row("— the same without inertia", source, "m", 151.976, light.land()[0], 0.05, remark))
    return rows


CASES = (
    vacuum_parabola, coast_with_drag, chapra, projectile, wind_shift, thinning_air, spinning_top, pitching, canopies,
)  # fmt: skip
