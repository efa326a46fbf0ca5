"""Letting out and coming down against general solvers: each closed form beside SciPy on the equations themselves.

The numbers were worked out apart from this program. What a handbook or a standard prints stands in
test_ways_down.py. The list of all rows with their tests: docs/physics/recovery.md.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq
from scipy.stats import norm

from bottlewright.physics.canopy_choice import (
    HAND_ROLLED,
    canopy_area,
    compartment,
    drift,
    hexagon_width,
    packed_volume,
)
from bottlewright.physics.canopy_load import OVERSHOOT, UNEVEN, cord_pull, cord_stretch, line_angle, opening_factor
from bottlewright.physics.coasting import (
    coast_height,
    coast_time,
    lead_height,
    lead_of_light_force,
    lead_time,
    terminal_speed,
)
from bottlewright.physics.nose_joint import (
    joint_pull,
    locking_angle,
    most_oblique_pull,
    rubber_pull,
    sealed_cavity,
    spring_energy,
    vented_cavity,
)
from bottlewright.physics.release_switches import barometer_delay, before_the_top, flap_area, port_error

G, AIR, PRESSURE = 9.80665, 1.225, 101325.0
SEAT = 0.25 * math.pi * 0.09**2
TIGHT = {"rtol": 1e-11, "atol": 1e-12}


@pytest.mark.parametrize(("nose", "pull"), [(0.050, 0.142468), (0.015, -0.161317)])
def test_the_pull_at_a_joint_is_what_two_bodies_that_fly_apart_by_newton_would_need_to_stay_together(nose, pull):
    rest, q = 0.110, 0.5 * AIR * 30.0**2
    drag, of_nose = 0.45 * SEAT * q, 0.10 * SEAT * q
    assert (drag, of_nose) == pytest.approx((1.578105, 0.350690), abs=5e-7)
    # Flown each by itself for an instant, they part by half of what they gain on each other, times its square.
    apart = solve_ivp(lambda _, y: [y[2], y[3], -of_nose / nose, -(drag - of_nose) / rest], (0.0, 1.0),
                      [0.0, 0.0, 30.0, 30.0], **TIGHT).y  # fmt: skip
    gains = 2.0 * (apart[0, -1] - apart[1, -1])
    own = joint_pull(nose, 0.0, 0.2, -drag / (nose + rest), of_nose, 0.0, 0.0)
    assert own == pytest.approx(gains * nose * rest / (nose + rest), rel=1e-9)
    assert own == pytest.approx(pull, abs=5e-7)


def test_a_coast_is_that_of_the_equation_of_motion():
    terminal = terminal_speed(0.160, G, AIR, 0.45 * SEAT)
    assert terminal == pytest.approx(29.913937, abs=5e-7)
    assert 0.5 * AIR * 0.45 * SEAT * terminal**2 == pytest.approx(0.160 * G)

    def slows_to(speed):
        def reached(_, y):
            return y[1] - speed

        reached.terminal = True
        way = solve_ivp(lambda _, y: [y[1], -G - 0.5 * AIR * 0.45 * SEAT / 0.160 * y[1] ** 2], (0.0, 10.0),
                        [0.0, 33.0], events=reached, **TIGHT)  # fmt: skip
        return way.t[-1], way.y[0, -1]

    (top, height), (slow, below) = slows_to(0.0), slows_to(8.0)
    assert (coast_time(33.0, terminal, G), coast_height(33.0, terminal, G)) == pytest.approx((top, height), rel=1e-8)
    assert (top, height) == pytest.approx((2.545265, 36.323466), abs=5e-7)
    lead = lead_time(8.0, terminal, G), lead_height(8.0, terminal, G)
    assert lead == pytest.approx((top - slow, height - below), rel=1e-7)
    assert lead == pytest.approx((0.797119, 3.151684), abs=5e-7)
    light, _ = slows_to(terminal * math.sqrt(0.3))
    assert lead_of_light_force(0.3, terminal, G) == pytest.approx(top - light, rel=1e-7)
    assert top - light == pytest.approx(1.528520, abs=5e-7)


def test_a_sealed_cavity_keeps_what_the_standard_atmosphere_loses_in_51_metres():
    # ISO 2533: p = p₀ (1 − 0.0065 h/288.15)^5.25588.
    excess = sealed_cavity(PRESSURE, PRESSURE * (1.0 - 0.0065 * 51.0 / 288.15) ** 5.25588)
    assert excess == pytest.approx(611.17, abs=0.01)
    assert excess * SEAT == pytest.approx(3.888, abs=5e-4)


@pytest.mark.parametrize(("hole", "pressure", "to"), [(1e-3, 8.72, 5e-3), (2e-3, 0.545, 5e-4)])
def test_a_vented_cavity_comes_to_what_its_gas_law_and_its_orifice_come_to(hole, pressure, to):
    area, volume = 0.25 * math.pi * hole**2, 0.5e-3

    def emptying(t, y):
        excess = y[0] - (PRESSURE - AIR * G * 30.0 * t)
        out = 0.6 * area * math.copysign(math.sqrt(2.0 * abs(excess) / AIR), excess)
        return [-PRESSURE / volume * out]

    ends = solve_ivp(emptying, (0.0, 1.0), [PRESSURE], method="Radau", rtol=1e-10, atol=1e-8)
    own = vented_cavity(volume, area, 0.6, AIR, G, PRESSURE, 30.0)
    assert own == pytest.approx(ends.y[0, -1] - (PRESSURE - AIR * G * 30.0), rel=2e-3)
    assert own == pytest.approx(pressure, abs=to)


def test_rubber_of_three_square_millimetres_drawn_to_twice_its_length_and_a_spring_s_energy():
    # The law itself is held against its source in test_ways_down.
    assert rubber_pull(3e-6, 1.2e6, 2.0) == pytest.approx(1.591440, abs=5e-6)
    work, _ = quad(lambda x: 150.0 * x, 0.0, 0.06)
    assert spring_energy(150.0, 0.06) == pytest.approx(work)
    assert work == pytest.approx(0.27)


def test_a_taper_locks_and_an_oblique_pull_jams_where_statics_has_it():
    locks = brentq(lambda angle: math.sin(angle) - 0.3 * math.cos(angle), 0.0, 1.0)
    assert locking_angle(0.3) == pytest.approx(locks)
    assert math.degrees(locks) == pytest.approx(16.699, abs=5e-4)

    def left_over(offset):  # of a pull of 1 N: N L = F e at both ends of the shoulder, each with friction
        normal = np.linalg.solve([[1.0, -1.0], [0.030, 0.0]], [0.0, offset])
        return 1.0 - 0.3 * normal.sum()

    assert most_oblique_pull(0.030, 0.3) == pytest.approx(brentq(left_over, 1e-3, 1.0))
    assert most_oblique_pull(0.030, 0.3) == pytest.approx(0.050)


@pytest.mark.parametrize(
    ("ratio", "factor"), [(0.02, 0.042911), (0.1, 0.125471), (2.0 / 3.0, 0.444444), (10.0, 0.936524)]
)
def test_an_opening_load_is_the_greatest_of_its_motion(ratio, factor):
    # v' = −τ² v²/A, the load over the steady drag is τ² v².
    motion = solve_ivp(lambda t, v: -(t**2) * v**2 / ratio, (0.0, 1.0), [1.0], dense_output=True, **TIGHT)
    share = np.linspace(0.0, 1.0, 40001)
    assert opening_factor(ratio) == pytest.approx((share**2 * motion.sol(share)[0] ** 2).max(), rel=1e-6)
    assert opening_factor(ratio) == pytest.approx(factor, abs=5e-7)


def test_overshoot_and_uneven_lines_are_knacke_s():
    # Knacke, Parachute Recovery Systems Design Manual: 1.7 to 1.8 for a flat canopy, a third of the lines carry at
    # first, sin φ = 0.335 D/l; original not checked. A wind tunnel saw 1.5 (read, as an excerpt).
    assert 1.7 <= OVERSHOOT <= 1.8
    assert UNEVEN == 1.5
    assert math.degrees(line_angle(0.5, 0.5)) == pytest.approx(19.573, abs=5e-4)


def test_a_cord_takes_up_the_parting_of_two_bodies_on_a_spring():
    def parts(_, y):
        pull = 20.0 * max(y[0] - y[1], 0.0)
        return [y[2], y[3], -pull / 0.050, pull / 0.110]

    def together(_, y):
        return y[2] - y[3]

    together.terminal = True
    taut = solve_ivp(parts, (0.0, 1.0), [0.0, 0.0, 10.0, 0.0], events=together, **TIGHT).y
    stretch = taut[0, -1] - taut[1, -1]
    assert cord_stretch(10.0, 20.0, 0.050, 0.110) == pytest.approx(stretch, rel=1e-8)
    assert cord_pull(10.0, 20.0, 0.050, 0.110) == pytest.approx(20.0 * stretch, rel=1e-8)
    assert (20.0 * stretch, stretch) == pytest.approx((8.29156, 0.414578), abs=5e-6)


def test_a_pack_is_never_denser_than_pressed_nylon_and_needs_half_as_much_room_again():
    # 480 kg/m³: nylon packed under pressure (read, as an excerpt). 200 and 1.5: common practice, no source.
    assert packed_volume(0.012, 1000.0) == pytest.approx(0.012 / 480.0)
    assert packed_volume(0.012) == pytest.approx(0.012 / HAND_ROLLED) == pytest.approx(60e-6)
    assert compartment(0.012) == pytest.approx(90e-6)


def test_a_hexagon_carries_its_rocket_at_the_speed_that_was_asked():
    corners = np.exp(1j * math.pi / 3.0 * np.arange(6))
    share = 0.5 * float(np.sum((corners.conj() * np.roll(corners, -1)).imag)) / 3.0  # of the width squared
    wide = brentq(lambda w: 0.5 * AIR * 4.5**2 * 0.75 * share * w**2 - 0.175 * G, 0.1, 2.0)
    assert hexagon_width(canopy_area(0.175, 4.5, 0.75, AIR, G)) == pytest.approx(wide, rel=1e-9)
    assert 1e3 * wide == pytest.approx(461.549, abs=5e-4)


def test_a_drift_is_the_wind_summed_over_the_fall():
    way, _ = quad(lambda h: 3.0 * (h / 2.0) ** 0.14 / 4.5, 0.0, 50.0, epsabs=1e-10)
    assert drift(3.0, 2.0, 0.14, 50.0, 4.5) == pytest.approx(way, rel=1e-8)
    assert way == pytest.approx(45.8866, abs=5e-5)


def test_a_timer_ends_before_the_top_as_often_as_the_normal_distribution_has_it():
    chance = norm.cdf(3.26, loc=3.6, scale=math.hypot(0.25, 0.12))
    assert before_the_top(3.26, 0.12, 3.6, 0.25) == pytest.approx(chance, rel=1e-9)
    assert chance == pytest.approx(0.110086, abs=5e-7)


def test_a_barometer_lags_by_the_fall_and_errs_by_its_hole():
    falls = brentq(lambda t: quad(lambda s: G * s, 0.0, t)[0] - 1.0, 0.1, 1.0)
    assert barometer_delay(4, 0.1, 1.0, G) == pytest.approx(0.3 + falls, rel=1e-9)
    # C_p ½ρv² over ρg, the weight of a metre of air: 11.105 m too high at 33 m/s behind −0.2.
    assert port_error(-0.2, 33.0, G) == pytest.approx(-0.2 * 0.5 * AIR * 33.0**2 / (AIR * G), rel=1e-12)
    assert port_error(-0.2, 33.0, G) == pytest.approx(-11.105, abs=5e-4)


@pytest.mark.parametrize(("slows", "falls"), [(-1.02 * G / 0.5, True), (-0.98 * G / 0.5, False)])
def test_a_reading_falls_in_the_climb_where_the_port_s_coefficient_times_the_slowing_is_more_than_g(slows, falls):
    def reading(t):
        return 20.0 * t + 0.5 * slows * t * t - port_error(-0.5, 20.0 + slows * t, G)

    assert (reading(1e-4) < reading(0.0)) is falls


def test_a_flap_that_opens_at_eight_metres_a_second_is_a_hand_or_a_stamp():
    # Moments about its hinge: C_n q A l_v = F_b l_b, C_n 1.2 common practice, no source.
    q = 0.5 * AIR * 8.0**2
    for band, area in ((1.0, 53.1e-4), (0.1, 5.31e-4)):
        wanted = brentq(lambda size, band=band: 1.2 * q * size * 0.04 - band * 0.01, 1e-6, 1.0)
        assert flap_area(band, 0.01, 1.2, q, 0.04) == pytest.approx(wanted)
        assert wanted == pytest.approx(area, rel=2e-3)
