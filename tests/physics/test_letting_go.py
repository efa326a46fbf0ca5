"""What opens a rocket: the joint, the cavity, springs and switches. Numbers were worked out apart, by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.coasting import coast_height, coast_time
from bottlewright.physics.nose_joint import (
    ballistic_difference,
    joint_pull,
    parted_speeds,
    push_left,
    reduced_mass,
    release_pressure,
    rubber_pull,
    slide_time,
    vented_cavity,
)

G = 9.80665
AIR = 1.225
SEAT = 0.25 * math.pi * 0.09**2
PRESSURE = 0.5 * AIR * 30.0**2

masses = st.floats(0.005, 1.0)
areas = st.floats(1e-4, 1e-2)


@given(masses, masses, areas, areas, st.floats(0.0, 2000.0))
def test_the_pull_in_straight_coast_is_the_ballistic_difference_times_the_dynamic_pressure(m, b, k_n, k_b, q):
    f = -(k_n + k_b) * q / (m + b)
    k = ballistic_difference(m, b, k_n, k_b)
    assert joint_pull(m, 0.0, 0.1, f, k_n * q, 0.0, 0.0) == pytest.approx(k * q, rel=1e-9, abs=1e-9)
    assert (k > 0.0) == (m / k_n > b / k_b) or k == pytest.approx(0.0, abs=1e-12)


@given(masses, masses, st.floats(-100.0, 100.0), st.floats(0.0, 20.0))
def test_nose_and_rest_part_with_the_momentum_they_had(nose, rest, speed, apart):
    ahead, behind = parted_speeds(nose, rest, speed, apart)
    assert nose * ahead + rest * behind == pytest.approx((nose + rest) * speed, abs=1e-9)
    assert ahead - behind == pytest.approx(apart, abs=1e-9)
    gained = 0.5 * (nose * ahead**2 + rest * behind**2 - (nose + rest) * speed**2)
    assert gained == pytest.approx(0.5 * reduced_mass(nose, rest) * apart**2, abs=1e-6)


def test_a_steady_pull_draws_the_nose_off_its_shoulder_as_a_fall_does():
    assert slide_time(0.03, 0.04, 1.2, 1.0) == pytest.approx(math.sqrt(2.0 * 0.03 / 5.0), rel=1e-12)


@given(st.floats(0.1, 30.0))
def test_without_drag_the_coast_is_that_of_a_stone(speed):
    assert coast_time(speed, 1e6, G) == pytest.approx(speed / G, rel=1e-8)
    assert coast_height(speed, 1e6, G) == pytest.approx(speed**2 / (2.0 * G), rel=1e-8)


def test_a_hole_lets_in_as_it_lets_out():
    assert vented_cavity(0.5e-3, 1e-6, 0.6, AIR, G, 101325.0, -30.0) == pytest.approx(
        -vented_cavity(0.5e-3, 1e-6, 0.6, AIR, G, 101325.0, 30.0))  # fmt: skip



def test_slack_rubber_pulls_nothing_and_a_little_stretch_pulls_by_young():
    assert rubber_pull(3e-6, 1.2e6, 1.0) == 0.0
    assert rubber_pull(3e-6, 1.2e6, 1.000001) == pytest.approx(3e-6 * 1.2e6 * 1e-6, rel=1e-4)


def test_a_spring_lets_go_at_the_end_of_its_stroke():
    assert [push_left(4.0, 1.0, 0.03, out) for out in (0.0, 0.015, 0.03)] == [4.0, 2.5, 0.0]
    assert push_left(4.0, 1.0, 0.0, 0.0) == 0.0


@given(st.floats(1.0, 5.0), st.floats(0.1, 0.9), st.floats(-2e-3, -1e-5))
def test_a_sprung_blunt_nose_is_an_airspeed_switch(push, share, k):
    hold = share * push
    q = release_pressure(push, hold, k)
    assert push + k * q == pytest.approx(hold)
