"""The reference flights themselves, against published values and against each other."""

import math

import numpy as np
import pytest
from closed_forms import (
    axis_of_top,
    drift_in_power_law_wind,
    fall_from_rest,
    fall_through_thinning_air,
    throw,
    throw_in_wind,
    torque_free_top,
    vertical_coast,
)
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

G = 9.80665


def test_vertical_coast():
    # 0.120 kg, 88 mm, C_d 0.35, 45 m/s, 1.225 kg/m³: worked from the closed form outside this project.
    k = 0.5 * 1.225 * 0.35 * math.pi / 4 * 0.088**2 / 0.120
    assert vertical_coast(45.0, k, G) == pytest.approx((54.148422, 3.008770, 3.656529, 24.985983), abs=6e-7)


@pytest.mark.parametrize(
    ("time", "speed"),
    # Chapra, Applied Numerical Methods, Example 1.1: 68.1 kg, c 0.25 kg/m, 9.81 m/s².
    [(2, 18.7292), (4, 33.1118), (6, 42.0762), (8, 46.9575), (10, 49.4214), (12, 50.6175), (1000, 51.6938)],
)
def test_fall_with_drag(time, speed):
    assert fall_from_rest(time, 68.1, 0.25, 9.81) == pytest.approx(speed, abs=6e-5)


def test_drop_through_an_isothermal_atmosphere():
    # b 0.002 1/m, H 8000 m, from 2000 m: 71.1450741 m/s at the ground.
    assert fall_through_thinning_air(2000.0, 0.002, 8000.0, G) == pytest.approx(71.1450741, abs=6e-8)


def test_drop_through_an_isothermal_atmosphere_solves_its_equation():
    # In w = v² over height, integrated.
    drop = solve_ivp(
        lambda z, w: -2 * G + 0.004 * math.exp(-z / 8000) * w, (2000, 0), [0.0], rtol=1e-12, atol=1e-9, method="DOP853"
    )
    assert fall_through_thinning_air(2000.0, 0.002, 8000.0, G) == pytest.approx(math.sqrt(drop.y[0, -1]), rel=1e-10)


@pytest.mark.parametrize(
    ("degrees", "apogee", "apogee_time", "reach", "time"),
    # Drag 0.010 1/m, 50 m/s, worked outside this project.
    [(80, 61.582439, 3.175775, 32.199787, 7.105544), (45, 34.743983, None, 97.432560, None)],
)
def test_plane_projectile(degrees, apogee, apogee_time, reach, time):
    flight = throw(50.0, math.radians(degrees), 0.010, G)
    assert flight.apogee == pytest.approx(apogee, abs=6e-7)
    assert flight.range == pytest.approx(reach, abs=6e-7)
    if time is not None:
        assert flight.apogee_time == pytest.approx(apogee_time, abs=6e-7)
        assert flight.time == pytest.approx(time, abs=6e-7)


def test_plane_projectile_agrees_with_its_hodograph():
    # Bernoulli's quadrature with p = tan θ: with f(p) = p√(1+p²) + asinh p, 1/v_x² = 1/v_x0² + (k/g)[f(p₀) − f(p)] and
    # dx = −v_x² dp/g, dy = p dx, dt = −v_x dp/g.
    start, k = math.radians(45), 0.010

    def f(p):
        return p * math.sqrt(1 + p * p) + math.asinh(p)

    def speed_along(p):
        return (1 / (50 * math.cos(start)) ** 2 + k / G * (f(math.tan(start)) - f(p))) ** -0.5

    def integral(power, end):
        def part(p):
            return p ** power[0] * speed_along(p) ** power[1] / G

        return quad(part, end, math.tan(start), epsabs=1e-11, epsrel=1e-12)[0]

    landing = brentq(lambda p: integral((1, 2), p), -10.0, -0.1, xtol=1e-13)
    flight = throw(50.0, start, k, G)
    assert flight.apogee == pytest.approx(integral((1, 2), 0.0), rel=1e-10)
    assert flight.apogee_time == pytest.approx(integral((0, 1), 0.0), rel=1e-10)
    assert flight.range == pytest.approx(integral((0, 2), landing), rel=1e-10)
    assert flight.time == pytest.approx(integral((0, 1), landing), rel=1e-10)


def test_a_throw_without_drag_is_a_parabola():
    flight = throw(30.0, math.radians(60), 0.0, G)
    up = 30 * math.sin(math.radians(60))
    assert flight == pytest.approx((up**2 / (2 * G), up / G, 2 * up / G * 15, 2 * up / G), rel=1e-11)


def test_a_throw_straight_up_is_the_vertical_coast():
    coast, flight = vertical_coast(45.0, 0.011, G), throw(45.0, math.pi / 2, 0.011, G)
    assert flight.apogee == pytest.approx(coast.apogee, rel=1e-11)
    assert flight.time == pytest.approx(coast.time_up + coast.time_down, rel=1e-11)


def test_wind_shift_solves_the_equation_in_the_wind():
    def rates(_, y):
        pull = 0.01 * math.hypot(y[2] - 4.0, y[3])
        return [y[2], y[3], -pull * (y[2] - 4.0), -pull * y[3] - G]

    shifted = throw_in_wind(50.0, math.radians(80), 0.010, G, 4.0)
    start = [0, 0, 50 * math.cos(math.radians(80)), 50 * math.sin(math.radians(80))]
    flight = solve_ivp(rates, (0, shifted.time), start, method="DOP853", rtol=1e-12, atol=1e-12)
    assert flight.y[0, -1] == pytest.approx(shifted.range, abs=1e-9)
    assert flight.y[1, -1] == pytest.approx(0.0, abs=1e-9)


def test_torque_free_top():
    # I 2.0e-3, 2.0e-3, 3.0e-4 kg m², ω (0.5, 0, 20) rad/s; relations of any text on rotation, original not checked.
    top = torque_free_top(2.0e-3, 3.0e-4, 0.5, 20.0)
    assert top.body_rate == pytest.approx(-17.0, abs=1e-12)
    assert top.precession == pytest.approx(3.041381, abs=6e-7)
    assert math.degrees(top.cone) == pytest.approx(9.462322, abs=6e-7)


def test_the_axis_of_a_top_moves_as_eulers_equations_say():
    # Body axes along the ground's at first, symmetry axis last; axes integrated as columns with Euler's equations.
    moments, rate = np.array([2.0e-3, 2.0e-3, 3.0e-4]), np.array([0.5, 0.0, 20.0])

    def rates(_, y):
        turn, axes = y[:3], y[3:].reshape(3, 3)
        spin = np.cross(moments * turn, turn) / moments
        return np.concatenate([spin, np.array([np.cross(axes.T @ turn, axis) for axis in axes]).ravel()])

    start = np.concatenate([rate, np.eye(3).ravel()])
    flight = solve_ivp(rates, (0, 1.0), start, method="DOP853", rtol=1e-11, atol=1e-12)
    expected = axis_of_top(1.0, np.array([0.0, 0.0, 1.0]), moments * rate, 2.0e-3)
    assert flight.y[9:12, -1] == pytest.approx(expected, abs=1e-8)
    assert math.atan2(flight.y[1, -1], flight.y[0, -1]) == pytest.approx(math.remainder(-17.0, 2 * math.pi), abs=1e-8)


def test_drift_in_a_power_law_wind():
    # u10 5 m/s, exponent 1/7, 4 m/s down from 100 m: 151.976 m.
    assert drift_in_power_law_wind(100.0, 4.0, 5.0, 10.0, 1 / 7) == pytest.approx(151.976, abs=6e-4)
