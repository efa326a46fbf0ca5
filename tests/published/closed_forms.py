"""Flights whose answer is known without our engine: closed forms, and quadratures where no closed form exists.

Every function takes SI floats. k is the drag per mass and speed squared, ½ρC_dA/m in 1/m.
"""

import math
from typing import NamedTuple

import numpy as np
from scipy.integrate import solve_ivp
from scipy.special import expi


class Coast(NamedTuple):
    """Straight up and down again."""

    apogee: float
    time_up: float
    time_down: float
    impact: float


def vertical_coast(speed: float, k: float, gravity: float) -> Coast:
    """Coast up and fall back with quadratic drag: v' = −g − kv² up, v' = g − kv² down."""
    terminal = math.sqrt(gravity / k)
    apogee = math.log1p((speed / terminal) ** 2) / (2 * k)
    return Coast(
        apogee,
        terminal / gravity * math.atan(speed / terminal),
        terminal / gravity * math.acosh(math.exp(k * apogee)),
        terminal * math.sqrt(-math.expm1(-2 * k * apogee)),
    )


def fall_from_rest(time: float, mass: float, drag: float, gravity: float) -> float:
    """Speed of a body that falls with drag c·v² after a time (Chapra, Applied Numerical Methods, Example 1.1)."""
    return math.sqrt(gravity * mass / drag) * math.tanh(math.sqrt(gravity * drag / mass) * time)


def fall_through_thinning_air(height: float, k_ground: float, scale_height: float, gravity: float) -> float:
    """Speed at the ground after a drop from rest where k = k₀·exp(−z/H).

    With x = 2k₀H·exp(−z/H) and w = v², dw/dz = −2g + 2kw becomes d(w eˣ)/dx = 2gH eˣ/x, so
    w = 2gH e⁻ˣ [Ei(x) − Ei(x₀)].
    """
    x = 2 * k_ground * scale_height
    start = x * math.exp(-height / scale_height)
    return math.sqrt(2 * gravity * scale_height * math.exp(-x) * float(expi(x) - expi(start)))


class Throw(NamedTuple):
    """A throw over level ground."""

    apogee: float
    apogee_time: float
    range: float
    time: float


def throw(speed: float, elevation: float, k: float, gravity: float) -> Throw:
    """Point mass with quadratic drag in still air, by SciPy's DOP853 at a tolerance of 1e-13."""
    return _throw(speed * math.cos(elevation), speed * math.sin(elevation), k, gravity)


def throw_in_wind(speed: float, elevation: float, k: float, gravity: float, wind: float) -> Throw:
    """The same in a uniform wind along the throw: still air with the wind taken off the start, then carried along."""
    still = _throw(speed * math.cos(elevation) - wind, speed * math.sin(elevation), k, gravity)
    return still._replace(range=still.range + wind * still.time)


def _throw(along: float, up: float, k: float, gravity: float) -> Throw:
    def rates(_: float, y: np.ndarray) -> list[float]:
        pull = k * math.hypot(y[2], y[3])
        return [y[2], y[3], -pull * y[2], -pull * y[3] - gravity]

    def top(_: float, y: np.ndarray) -> float:
        return float(y[3])

    def ground(t: float, y: np.ndarray) -> float:
        return float(y[1]) if t > 0 else 1.0

    ground.terminal, ground.direction = True, -1  # type: ignore[attr-defined]
    flight = solve_ivp(
        rates, (0, 2 * up / gravity + 1), [0, 0, along, up], method="DOP853", events=(top, ground),
        rtol=1e-13, atol=1e-13,
    )  # fmt: skip
    (apogee_time,), (time,) = flight.t_events
    return Throw(flight.y_events[0][0, 1], apogee_time, flight.y_events[1][0, 0], time)


class Top(NamedTuple):
    """Steady motion of a symmetric top that nothing turns."""

    body_rate: float
    precession: float
    cone: float


def torque_free_top(transverse: float, axial: float, rate_across: float, rate_along: float) -> Top:
    """Rate of ω about the axis, in the body; of the axis about the angular momentum (both rad/s); their angle (rad)."""
    across, along = transverse * rate_across, axial * rate_along
    body_rate = (axial - transverse) / transverse * rate_along
    return Top(body_rate, math.hypot(across, along) / transverse, math.atan2(across, along))


def axis_of_top(time: float, axis: np.ndarray, momentum: np.ndarray, transverse: float) -> np.ndarray:
    """Axis of the top after a time: turned about the fixed angular momentum at |L|/I (Rodrigues' rotation)."""
    size = float(np.linalg.norm(momentum))
    about, angle = momentum / size, size / transverse * time
    along = float(about @ axis) * about
    return along + math.cos(angle) * (axis - along) + math.sin(angle) * np.cross(about, axis)


def opening_load(speed: float, mass: float, drag_area: float, density: float, filling_time: float) -> float:
    """Greatest pull of a canopy that fills as the square of time, without weight: Pflanz's factor times full drag.

    With A = 2m/(C_dS ρ v t_f) the drag is x²/(1 + x³/(3A))² of the full drag at the first speed, x = t/t_f. Its
    greatest value is (4/9)(3A/2)^(2/3) inside the filling where A < 2/3, else (1 + 1/(3A))⁻² at its end.
    """
    ballistic = 2 * mass / (drag_area * density * speed * filling_time)
    inside = ballistic < 2 / 3
    factor = 4 / 9 * (1.5 * ballistic) ** (2 / 3) if inside else (1 + 1 / (3 * ballistic)) ** -2
    return 0.5 * density * speed**2 * drag_area * factor


def drift_in_power_law_wind(
    height: float, rate: float, wind: float, measured_at: float, exponent: float
) -> float:
    """Way that the wind carries what comes down at a steady rate and moves with the air, m."""
    return wind / rate * height / (exponent + 1) * (height / measured_at) ** exponent
