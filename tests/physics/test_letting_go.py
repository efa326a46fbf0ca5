"""What opens a rocket: the joint, the cavity, springs and switches. Numbers were worked out apart, by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.physics.coasting import coast_height, coast_time, lead_height, lead_of_light_force, lead_time
from bottlewright.physics.coasting import terminal_speed as falling_speed
from bottlewright.physics.nose_joint import (
    ballistic_difference,
    joint_pull,
    locking_angle,
    most_oblique_pull,
    parted_speeds,
    push_left,
    reduced_mass,
    release_pressure,
    rubber_pull,
    sealed_cavity,
    slide_time,
    spring_energy,
    vented_cavity,
)
from bottlewright.physics.release_switches import (
    barometer_delay,
    before_the_top,
    flap_area,
    flap_pressure,
    port_error,
)

G = 9.80665
AIR = 1.225
SEAT = 0.25 * math.pi * 0.09**2
PRESSURE = 0.5 * AIR * 30.0**2

masses = st.floats(0.005, 1.0)
areas = st.floats(1e-4, 1e-2)


def coasting_pull(nose: float, rest: float) -> float:
    drag, of_nose = 0.45 * SEAT * PRESSURE, 0.10 * SEAT * PRESSURE
    return float(joint_pull(nose, 0.0, 0.2, -drag / (nose + rest), of_nose, 0.0, 0.0))


def test_a_heavy_nose_pulls_itself_out_of_a_slowing_rocket_and_a_light_one_is_pressed_on():
    drags = [coefficient * SEAT * PRESSURE for coefficient in (0.45, 0.10)]
    assert drags == pytest.approx([1.578105, 0.350690], abs=5e-7)
    assert coasting_pull(0.050, 0.110) == pytest.approx(0.142468, abs=5e-7)
    assert coasting_pull(0.015, 0.110) == pytest.approx(-0.161317, abs=5e-7)


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


def test_the_coast_of_a_small_rocket():
    terminal = falling_speed(0.160, G, AIR, 0.45 * SEAT)
    assert terminal == pytest.approx(29.913937, abs=5e-7)
    assert coast_time(33.0, terminal, G) == pytest.approx(2.545265, abs=5e-7)
    assert coast_height(33.0, terminal, G) == pytest.approx(36.323466, abs=5e-7)
    assert lead_time(8.0, terminal, G) == pytest.approx(0.797119, abs=5e-7)
    assert lead_height(8.0, terminal, G) == pytest.approx(3.151684, abs=5e-7)
    assert lead_of_light_force(0.3, terminal, G) == pytest.approx(1.528520, abs=5e-7)


@given(st.floats(0.1, 30.0))
def test_without_drag_the_coast_is_that_of_a_stone(speed):
    assert coast_time(speed, 1e6, G) == pytest.approx(speed / G, rel=1e-8)
    assert coast_height(speed, 1e6, G) == pytest.approx(speed**2 / (2.0 * G), rel=1e-8)


def test_a_sealed_cavity_pushes_the_nose_off_at_height():
    above = 101325.0 * (1.0 - 0.0065 * 51.0 / 288.15) ** 5.25588  # ISO 2533
    excess = sealed_cavity(101325.0, above)
    assert excess == pytest.approx(611.17, abs=0.01)
    assert excess * SEAT == pytest.approx(3.888, abs=5e-4)


def test_one_small_hole_vents_a_cavity():
    def hole(diameter):
        return vented_cavity(0.5e-3, 0.25 * math.pi * diameter**2, 0.6, AIR, G, 101325.0, 30.0)

    assert hole(1e-3) == pytest.approx(8.72, abs=5e-3)
    assert hole(2e-3) == pytest.approx(0.545, abs=5e-4)
    assert vented_cavity(0.5e-3, 1e-6, 0.6, AIR, G, 101325.0, -30.0) == pytest.approx(
        -vented_cavity(0.5e-3, 1e-6, 0.6, AIR, G, 101325.0, 30.0))  # fmt: skip


@pytest.mark.parametrize(("stretch", "pull"), [(1.2, 0.159654), (2.0, 0.442067), (4.0, 0.779598)])
def test_rubber_pulls_as_the_national_bureau_of_standards_found(stretch, pull):
    assert rubber_pull(1.0, 1.0, stretch) == pytest.approx(pull, abs=5e-7)


def test_slack_rubber_pulls_nothing_and_a_little_stretch_pulls_by_young():
    assert rubber_pull(3e-6, 1.2e6, 1.0) == 0.0
    assert rubber_pull(3e-6, 1.2e6, 1.000001) == pytest.approx(3e-6 * 1.2e6 * 1e-6, rel=1e-4)
    assert rubber_pull(3e-6, 1.2e6, 2.0) == pytest.approx(1.591440, abs=5e-6)


def test_a_spring_holds_half_its_stiffness_times_its_travel_squared_and_lets_go_at_the_end_of_its_stroke():
    assert spring_energy(150.0, 0.06) == pytest.approx(0.27)
    assert [push_left(4.0, 1.0, 0.03, out) for out in (0.0, 0.015, 0.03)] == [4.0, 2.5, 0.0]
    assert push_left(4.0, 1.0, 0.0, 0.0) == 0.0


def test_a_slender_taper_locks_and_a_pull_far_off_the_axis_jams():
    assert math.degrees(locking_angle(0.3)) == pytest.approx(16.699, abs=5e-4)
    assert most_oblique_pull(0.030, 0.3) == pytest.approx(0.050)


@given(st.floats(1.0, 5.0), st.floats(0.1, 0.9), st.floats(-2e-3, -1e-5))
def test_a_sprung_blunt_nose_is_an_airspeed_switch(push, share, k):
    hold = share * push
    q = release_pressure(push, hold, k)
    assert push + k * q == pytest.approx(hold)


def test_a_flap_that_opens_at_eight_metres_a_second():
    q = 0.5 * AIR * 8.0**2
    assert flap_area(1.0, 0.01, 1.2, q, 0.04) * 1e4 == pytest.approx(53.1, abs=0.1)
    assert flap_area(0.1, 0.01, 1.2, q, 0.04) * 1e4 == pytest.approx(5.31, abs=0.01)
    assert flap_pressure(1.0, 0.01, 1.2, flap_area(1.0, 0.01, 1.2, q, 0.04), 0.04) == pytest.approx(q)


def test_a_timer_set_past_the_top_now_and_then_ends_before_it():
    assert before_the_top(3.26, 0.12, 3.6, 0.25) == pytest.approx(0.110086, abs=5e-7)
    assert before_the_top(3.3, 0.1, 3.3, 0.1) == pytest.approx(0.5)


def test_a_barometer_is_late_by_its_drop_and_its_readings_and_its_port_errs_with_the_airspeed():
    assert barometer_delay(1, 0.1, 1.0, G) == pytest.approx(math.sqrt(2.0 / G))
    assert barometer_delay(4, 0.1, 1.0, G) == pytest.approx(0.3 + math.sqrt(2.0 / G))
    assert port_error(-0.2, 33.0, G) == pytest.approx(-11.105, abs=5e-4)
