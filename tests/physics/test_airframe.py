"""The air's force on a whole airframe."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bottlewright.physics.airframe import (
    AIRFRAME_SIZE,
    REFERENCE_AREA,
    SIDE,
    air_loads,
    axial_drag_areas,
    linear_centre_of_pressure,
    prepare_airframe,
)
from bottlewright.physics.drag import nose_coefficient
from bottlewright.physics.outer_shape import ELLIPSOID, OGIVE, nose_radius

DENSITY, VISCOSITY = 1.2, 1.8e-5
BOTTLE_X = np.array([0.0, 0.02, 0.06, 0.12, 0.32, 0.35, 0.38, 0.40, 0.42])
BOTTLE_R = np.array([0.0, 0.012, 0.030, 0.044, 0.044, 0.038, 0.020, 0.014, 0.014])
FINS = {"root": 0.09, "tip": 0.05, "span": 0.07, "sweep": 0.05, "position": 0.30, "thickness": 0.002}


def airframe(x=BOTTLE_X, r=BOTTLE_R, count=3, edge=1, cant=0.0, tail=0.4, factor=1.0, fixed=math.nan, **changed):
    coef = np.full(AIRFRAME_SIZE, math.nan)
    fin = FINS | changed
    prepare_airframe(
        x, r, len(x), 0.12, nose_coefficient(OGIVE, 0.12, 0.044), count,
        *(fin[k] for k in ("root", "tip", "span", "sweep", "position", "thickness")), edge, cant, 2e-5, tail, factor,
        fixed, np.empty((2, len(x))), coef,
    )  # fmt: skip
    return coef


def loads(coef, velocity, rates=(0.0, 0.0, 0.0), jet=0.0):
    return np.array(air_loads(coef, DENSITY, VISCOSITY, *velocity, *rates, jet))


def about(place, load):
    """Return force and moment about a station of the axis instead of the nose tip."""
    f1, f2, f3, roll, m2, m3 = load
    return np.array([f1, f2, f3, roll, m2 - place * f3, m3 + place * f2])


PLAIN, BARE, FOUR = airframe(), airframe(count=0), airframe(count=4)
speeds = st.floats(-60.0, 60.0)
velocities = st.tuples(speeds, speeds, speeds)
rates = st.tuples(*[st.floats(-50.0, 50.0)] * 3)
any_float = st.floats(-1e4, 1e4)


@given(st.tuples(any_float, any_float, any_float), st.tuples(any_float, any_float, any_float))
def test_loads_are_finite_at_any_attitude_speed_and_rate(velocity, turn):
    assert np.all(np.isfinite(loads(PLAIN, velocity, turn)))


def test_at_rest_the_air_does_nothing():
    assert np.all(loads(PLAIN, (0.0, 0.0, 0.0)) == 0.0)


@given(st.floats(0.1, 300.0), st.sampled_from([1.0, -1.0]))
def test_flying_straight_there_is_drag_and_nothing_else(speed, way):
    load = loads(PLAIN, (way * speed, 0.0, 0.0))
    assert load[0] * way < 0.0
    np.testing.assert_allclose(load[1:], 0.0, atol=1e-13 * speed**2)


@given(velocities, rates)
def test_the_air_only_ever_takes_energy(velocity, turn):
    for coef in (PLAIN, BARE, FOUR):
        load = loads(coef, velocity, turn)
        scale = np.abs(load).max() * (math.hypot(*velocity) + math.hypot(*turn))
        assert np.dot(load, [*velocity, *turn]) <= 1e-12 * scale


@given(velocities)
def test_a_rocket_that_does_not_turn_always_has_drag(velocity):
    assume(math.hypot(*velocity) > 1e-3)
    for coef in (PLAIN, BARE, FOUR):
        assert np.dot(loads(coef, velocity)[:3], velocity) < 0.0


@given(velocities, rates, st.floats(0.0, 2 * math.pi))
def test_a_body_without_fins_knows_no_roll_angle(velocity, turn, angle):
    c, s = math.cos(angle), math.sin(angle)

    def rolled(v):
        return np.array([v[0], c * v[1] - s * v[2], s * v[1] + c * v[2]])

    plain, turned = loads(BARE, velocity, turn), loads(BARE, rolled(velocity), rolled(turn))
    scale = 1e-11 * (1.0 + np.abs(plain).max())
    np.testing.assert_allclose(rolled(plain[:3]), turned[:3], atol=scale)
    np.testing.assert_allclose(rolled(plain[3:]), turned[3:], atol=scale)


@given(st.integers(3, 8), st.floats(0.0, 2 * math.pi))
def test_three_fins_or_more_lift_alike_at_any_roll_angle_when_the_incidence_is_small(count, angle):
    coef, small = airframe(count=count), 1e-4
    load = loads(coef, (30.0, 30.0 * small * math.cos(angle), 30.0 * small * math.sin(angle)))
    slope, _ = linear_centre_of_pressure(coef)
    side = 0.5 * DENSITY * 30.0**2 * coef[REFERENCE_AREA] * slope * small
    assert -load[1] == pytest.approx(side * math.cos(angle), abs=2e-3 * side)
    assert -load[2] == pytest.approx(side * math.sin(angle), abs=2e-3 * side)


@given(velocities, rates)
def test_turning_the_rocket_by_one_fin_turns_the_loads_with_it(velocity, turn):
    c, s = math.cos(2 * math.pi / 3), math.sin(2 * math.pi / 3)
    turner = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
    plain, turned = loads(PLAIN, velocity, turn), loads(PLAIN, turner @ velocity, turner @ turn)
    scale = 1e-10 * (1.0 + np.abs(plain).max())
    np.testing.assert_allclose(turner @ plain[:3], turned[:3], atol=scale)
    np.testing.assert_allclose(turner @ plain[3:], turned[3:], atol=scale)


@given(velocities, rates)
def test_the_mirror_image_of_a_flight_has_the_mirror_image_of_its_loads(velocity, turn):
    # Mirror in the plane of e1 and e2, in which the first fin lies.
    vector, axial = np.array([1.0, 1.0, -1.0]), np.array([-1.0, -1.0, 1.0])
    plain, seen = loads(PLAIN, velocity, turn), loads(PLAIN, vector * velocity, axial * turn)
    scale = 1e-10 * (1.0 + np.abs(plain).max())
    np.testing.assert_allclose(vector * plain[:3], seen[:3], atol=scale)
    np.testing.assert_allclose(axial * plain[3:], seen[3:], atol=scale)


@given(st.floats(5.0, 80.0), st.floats(0.1, 30.0), st.floats(0.10, 0.28))
def test_damping_opposes_pitch_yaw_and_roll_about_any_likely_balance_point(speed, rate, balance):
    for axis in range(3):
        turn = np.zeros(3)
        turn[axis] = rate
        # The balance point flies straight: the nose tip moves with the rates, and so does every other part.
        nose = np.array([speed, 0.0, 0.0]) + np.cross(turn, [balance, 0.0, 0.0])
        assert about(balance, loads(PLAIN, nose, turn))[3 + axis] < 0.0


@pytest.mark.parametrize("balance", [0.12, 0.2, 0.26])
def test_pitch_damping_is_that_of_linear_theory(balance):
    speed, rate, span, body = 30.0, 1e-3, FINS["span"], np.interp(0.345, BOTTLE_X, BOTTLE_R)
    turn = np.array([0.0, rate, 0.0])
    nose = np.array([speed, 0.0, 0.0]) + np.cross(turn, [balance, 0.0, 0.0])
    damping = -about(balance, loads(PLAIN, nose, turn))[4] / (DENSITY * speed * rate)

    # Fins: half of three, each ½ ρ A a V w at a quarter of its mean chord, w felt at three quarters.
    root, tip, back = FINS["root"], FINS["tip"], FINS["sweep"]
    area, chord = 0.5 * (root + tip) * span, 2 / 3 * (root + tip - root * tip / (root + tip))
    front = FINS["position"] + back / 3 * (root + 2 * tip) / (root + tip)
    line = math.hypot(span, back + 0.5 * (tip - root))
    slope = 2 * math.pi * span**2 / area / (1 + math.sqrt(1 + (2 * line / (root + tip)) ** 2))
    fins = 0.75 * area * slope * (1 + body / (span + body))
    fins *= (front + 0.25 * chord - balance) * (front + 0.75 * chord - balance)
    # Body: ρ U d/dx(S_e w) with w = −q (x − balance), in fine steps along the stream's outline.
    x = np.linspace(0.0, BOTTLE_X[-1], 200001)
    section = math.pi * np.interp(x, BOTTLE_X, BOTTLE_R) ** 2
    change = np.diff(section)
    stream = np.concatenate([[0.0], np.cumsum(np.where(change > 0.0, change, 0.4 * change))])
    pushed = np.diff(stream * (x - balance))
    hull = np.sum(pushed * (0.5 * (x[1:] + x[:-1]) - balance))
    assert damping == pytest.approx(fins + hull, rel=1e-3)


@given(st.floats(0.1, 50.0), st.floats(0.1, 0.3))
def test_a_tumbling_rocket_in_still_air_slows_its_tumbling(rate, balance):
    turn = np.array([0.0, rate, 0.0])
    load = about(balance, loads(PLAIN, np.cross(turn, [balance, 0.0, 0.0]), turn))
    assert load[4] < 0.0


def test_in_ideal_flow_the_body_does_not_care_which_end_leads():
    closed = np.append(BOTTLE_X, 0.42), np.append(BOTTLE_R, 0.0)
    coef = airframe(*closed, count=0, tail=1.0)
    np.testing.assert_allclose(coef[SIDE : SIDE + 4], coef[SIDE + 4 : SIDE + 8], rtol=1e-9, atol=1e-15)
    assert abs(coef[SIDE + 2]) > 1e-4


def test_cross_flow_on_a_turning_body_is_that_of_its_local_speed():
    coef = airframe(np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.05, 0.05]), count=0)
    place = (np.arange(20000) + 0.5) / 20000
    rate, speed = 4.0, 1.5
    local = -(speed + place * rate)
    coefficient = 0.82
    force = 0.5 * DENSITY * coefficient * 0.1 * np.mean(np.abs(local) * local)
    load = loads(coef, (0.0, 0.0, speed), (0.0, rate, 0.0))
    assert load[2] == pytest.approx(force, rel=5e-3)
    moment = 0.5 * DENSITY * coefficient * 0.1 * np.mean(np.abs(local) * local * place)
    assert load[4] == pytest.approx(moment, rel=2e-2)


@given(velocities, rates)
def test_loads_have_no_steps(velocity, turn):
    move = 1e-7
    speed = 1.0 + math.hypot(*velocity) + math.hypot(*turn)
    here = loads(PLAIN, velocity, turn)
    for axis in range(6):
        state = np.array([*velocity, *turn])
        state[axis] += move
        there = loads(PLAIN, state[:3], state[3:])
        assert np.abs(there - here).max() < 2.0 * move * speed


@given(st.floats(1.0, 60.0), st.floats(0.0, 2 * math.pi), st.floats(0.0, 2 * math.pi))
def test_slopes_have_no_steps_either(speed, incidence, roll):
    def at(angle):
        across = speed * math.sin(angle)
        return loads(PLAIN, (speed * math.cos(angle), across * math.cos(roll), across * math.sin(roll)))

    h = 1e-3
    bend = (at(incidence + h) - 2 * at(incidence) + at(incidence - h)) / h
    # A kink would leave a difference of slopes that does not shrink with h.
    finer = (at(incidence + h / 8) - 2 * at(incidence) + at(incidence - h / 8)) / (h / 8)
    assert np.abs(finer).max() < 0.4 * np.abs(bend).max() + 1e-5 * speed**2


def test_a_roll_rate_that_undoes_the_cant_is_the_one_of_strip_theory():
    cant, speed = math.radians(2.0), 30.0
    coef = airframe(cant=cant)
    low, high = 0.0, 60.0
    assert loads(coef, (speed, 0.0, 0.0))[3] > 0.0
    for _ in range(60):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if loads(coef, (speed, 0.0, 0.0), (mid, 0.0, 0.0))[3] > 0.0 else (low, mid)
    y = 0.044 + 0.07 * (np.arange(4000) + 0.5) / 4000
    body = np.interp(0.345, BOTTLE_X, BOTTLE_R)
    y += body - 0.044
    chord = 0.09 - 0.04 * (y - body) / 0.07
    assert low == pytest.approx(speed * math.tan(cant) * np.sum(chord * y) / np.sum(chord * y**2), rel=1e-3)


@given(st.floats(0.05, 3.0), st.floats(0.1, 300.0))
def test_a_fixed_drag_coefficient_is_the_drag(coefficient, speed):
    coef = airframe(fixed=coefficient)
    drag = 0.5 * DENSITY * speed**2 * coefficient * math.pi * 0.044**2
    assert loads(coef, (speed, 0.0, 0.0))[0] == pytest.approx(-drag, rel=1e-12)


@given(st.floats(2.0, 150.0), st.sampled_from([1, -1]))
def test_the_table_gives_the_drag_that_its_parts_add_up_to(speed, way):
    per_length = speed * DENSITY / VISCOSITY
    parts = axial_drag_areas(PLAIN, per_length, 0.0, (1 - way) // 2)
    drag = 0.5 * DENSITY * speed**2 * sum(parts)
    # The table rounds the corner where friction turns turbulent, by less than 1 %.
    assert -way * loads(PLAIN, (way * speed, 0.0, 0.0))[0] == pytest.approx(drag, rel=1e-2)
    assert all(part >= 0.0 for part in parts)


def test_the_drag_factor_scales_the_build_up():
    one, two = airframe(), airframe(factor=2.0)
    velocity = (25.0, 0.0, 0.0)
    assert loads(two, velocity)[0] == pytest.approx(2.0 * loads(one, velocity)[0], rel=1e-12)


@given(st.floats(0.0, 0.02))
def test_a_jet_that_fills_more_of_the_base_leaves_less_drag(jet):
    without, with_jet = loads(PLAIN, (30.0, 0.0, 0.0))[0], loads(PLAIN, (30.0, 0.0, 0.0), jet=jet)[0]
    assert without <= with_jet < 0.0


def test_without_incidence_the_centre_of_pressure_is_the_linear_one_and_it_moves_ahead_as_the_fins_stall():
    def centre_at(incidence):
        _, _, side, _, pitch, _ = loads(PLAIN, (math.cos(incidence), 0.0, -math.sin(incidence)))
        return pitch / side

    _, linear = linear_centre_of_pressure(PLAIN)
    assert centre_at(1e-6) == pytest.approx(linear, abs=1e-6)
    places = [centre_at(math.radians(a)) for a in (2, 10, 30, 60, 90)]
    assert places[2] < places[0]
    assert all(0.0 < place < 0.45 for place in places)


def test_one_or_two_fins_leave_a_plane_as_unstable_as_the_bare_body():
    bare = linear_centre_of_pressure(BARE)
    assert linear_centre_of_pressure(airframe(count=2)) == pytest.approx(bare)
    assert linear_centre_of_pressure(FOUR)[1] > bare[1] + 0.1


def test_at_small_incidence_the_moment_turns_a_stable_rocket_into_the_wind():
    velocity = (30.0, 0.0, 0.6)
    _, centre = linear_centre_of_pressure(PLAIN)
    ahead, behind = about(centre - 0.05, loads(PLAIN, velocity)), about(centre + 0.05, loads(PLAIN, velocity))
    # The air comes from the +e3 side; a pitch rate q > 0 about e2 turns the nose toward −e3.
    assert ahead[4] < 0.0 < behind[4]


def test_the_force_of_a_fin_goes_round_the_full_circle():
    coef = airframe(np.array([0.0, 1e-4]), np.array([0.0, 1e-4]), count=2, position=0.0, sweep=0.0, tip=0.09)
    area = 2 * 0.09 * 0.07

    def normal(degrees):
        angle = math.radians(degrees)
        return -loads(coef, (math.cos(angle), 0.0, math.sin(angle)))[2] / (0.5 * DENSITY * area)

    assert normal(90.0) == pytest.approx(1.17, rel=1e-3)
    assert normal(5.0) == pytest.approx(-normal(-5.0))
    assert normal(175.0) == pytest.approx(normal(5.0), rel=1e-3)
    assert normal(4.0) / normal(2.0) == pytest.approx(2.0, rel=5e-3)
    assert normal(10.0) < 1.02 * 5.0 * normal(2.0)
    assert all(0.0 < normal(a) < 1.3 for a in range(1, 180))


def test_more_than_eight_fins_keep_their_area():
    slopes = [linear_centre_of_pressure(airframe(count=count))[0] for count in (8, 9, 12)]
    assert slopes[0] < slopes[1] < slopes[2]


@given(
    st.lists(st.tuples(st.floats(0.0, 0.3), st.floats(0.001, 0.1)), min_size=2, max_size=8),
    st.integers(0, 12), st.floats(0.001, 0.2), st.floats(0.0, 0.2), st.floats(0.001, 0.2), velocities, rates,
)  # fmt: skip
def test_any_shape_of_rocket_has_finite_loads(parts, count, root, tip, span, velocity, turn):
    x = np.cumsum([0.0] + [length for length, _ in parts])
    r = np.array([0.0] + [radius for _, radius in parts])
    coef = airframe(x, r, count=count, root=root, tip=tip, span=span, position=0.5 * x[-1])
    assert np.all(np.isfinite(loads(coef, velocity, turn)))
    assert np.all(np.isfinite(linear_centre_of_pressure(coef)))


@pytest.mark.parametrize(("length", "radius"), [(0.008, 0.0325), (0.032, 0.054), (0.054, 0.054), (0.15, 0.045)])
def test_the_drag_of_a_whole_body_hardly_depends_on_how_finely_its_nose_is_drawn(length, radius):
    found = []
    for stations in (8, 16, 24, 32, 200):
        part = 1.0 - np.cos(0.5 * math.pi * np.arange(stations + 1) / stations)
        x = np.append(length * part, length + 0.3)
        r = np.append([nose_radius(ELLIPSOID, p, length, radius) for p in part], radius)
        coef = np.zeros(AIRFRAME_SIZE)
        nose = nose_coefficient(ELLIPSOID, length, radius)
        prepare_airframe(x, r, len(x), length, nose, 0, *[0.0] * 6, 0, 0.0, 2e-5, 0.4, 1.0, math.nan,
                         np.empty((2, len(x))), coef)  # fmt: skip
        found.append([sum(axial_drag_areas(coef, 2e6, 0.0, tail)) for tail in (0, 1)])
    assert np.array(found) == pytest.approx(np.array([found[-1]] * 5), rel=0.01)
