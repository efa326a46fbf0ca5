"""The second implementation of release, opening and breakthrough, held to exact answers, balances and limits."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from firing_by_hand import Stand, fire_water, moist_entropy, saturation
from push_by_hand import (
    Flight,
    Freed,
    Hose,
    Jet,
    Slide,
    Throttle,
    Water,
    fire_jet,
    fire_spray,
    first_stream,
    gas_filling,
    pressure_over_water,
    slide,
)
from scipy.integrate import quad

from bottlewright.physics import water

TUBE = Slide(501325.0, 288.15, 1.36e-3, 0.0, 3e-4, 0.2, 0.8, tube=50e-6)
LOADED = replace(TUBE, vessel=2.0e-3, water=0.6e-3, mass=0.75, gravity=9.81, tilt=0.1, compliance=6e-8)
HOSE = Hose(120e-6, math.pi * 0.0025**2 / 4, 0.7, 501325.0, 288.15)
SLIDES = {
    "dry, shut below": replace(LOADED, compliance=0.0),
    "dry, a wall that stretches": LOADED,
    "moist": replace(LOADED, gas="moist"),
    "dry, hose": replace(LOADED, supply=HOSE),
    "moist, hose": replace(LOADED, gas="moist", supply=HOSE),
    "hose of a choking pressure": replace(LOADED, gas="moist", supply=replace(HOSE, pressure=1.2e6, temperature=300.0)),
    "connector in a socket": replace(LOADED, inside=False, seal=1.33e-4, stroke=0.014, tube=0.0, supply=HOSE),
    "cord that brakes": replace(LOADED, force=lambda x, v: -3.0 - 40.0 * x - 0.2 * v * v),
}  # fmt: skip

PLAIN = Stand(
    (0.0, 0.03, 0.09, 0.28, 0.30), (0.0108, 0.0108, 0.050, 0.050, 0.020), 0.0216, 0.6e-3, 999.1, 501325.0, 101325.0,
    288.15, gas="dry", velocity_coefficient=0.95,
)  # fmt: skip
NOZZLE = replace(PLAIN, bore=0.009, land=0.005, contraction=0.96)


def pressing(case: Stand):
    """Gas of a stand's case, and its pressure against the water left."""
    gas = gas_filling(case.gas, case.pressure, case.temperature, case.volume - case.water)
    return gas, pressure_over_water(gas, case.volume, case.temperature, case.water)


def left(case: Slide, **options) -> Freed:
    freed = slide(case, **options)
    assert freed is not None
    return freed


def over_time(freed: Freed, row) -> float:
    """Integral over the slide by Gauss's rule, on pieces that lengthen from the start, where a hose's flow sets in."""
    nodes, weights = np.polynomial.legendre.leggauss(12)
    cuts = freed.time * np.linspace(0.0, 1.0, 15) ** 2
    total = 0.0
    for a, b in pairwise(cuts):
        times = (a + b) / 2 + (b - a) / 2 * nodes
        total += (b - a) / 2 * float(weights @ row(freed.series(times)))
    return total


# Exact cases


def test_a_hollow_tube_shut_below_gives_the_work_of_an_isentrope():
    freed = left(TUBE)
    grown = 1.35 / 1.41
    work = 501325.0 * 1.35e-3 / 0.4 * (1 - grown**0.4) - 101325.0 * 60e-6
    assert work == pytest.approx(23.0963, abs=5e-5)
    assert freed.work == pytest.approx(work, rel=1e-11)
    assert freed.speed == pytest.approx(math.sqrt(2 * work / 0.8), rel=1e-11)
    assert freed.speed == pytest.approx(7.59873, abs=5e-6)
    assert freed.pressure == pytest.approx(501325.0 * grown**1.4, rel=1e-11)
    assert freed.pressure == pytest.approx(471715.0, abs=0.5)
    assert left(replace(TUBE, tube=0.0)).speed == pytest.approx(7.59321, abs=5e-6)


def test_an_endless_supply_pushes_with_one_force():
    freed = left(replace(TUBE, supply="infinite", gravity=9.80665))
    assert freed.speed == pytest.approx(math.sqrt(2 * 0.2 * (4e5 * 3e-4 / 0.8 - 9.80665)), rel=1e-11)
    assert freed.speed == pytest.approx(7.48848, abs=5e-6)
    assert freed.time * 1e3 == pytest.approx(53.4154, abs=5e-5)
    assert freed.gas_mass * 1e3 == pytest.approx(8.24294, abs=5e-6)
    assert (freed.pressure, freed.temperature) == (501325.0, 288.15)
    assert freed.gas_volume == pytest.approx(1.36e-3, rel=1e-12)


@pytest.mark.parametrize("side", ["held", "launcher"])
def test_a_way_out_that_opens_evenly_lets_water_through_at_one_speed(side):
    bore, wide = math.sqrt(4e-4 / math.pi), 25 * math.pi
    inner = 0.4 * bore * (1 - 1.47 * bore / 10 + 0.47 * (bore / 10) ** 3)
    # A vessel 10 m wide has no β; land and inner end make up the 30 mm.
    case = Stand((0.0, 1.0), (5.0, 5.0), bore, 0.1 * wide, 1000.0, 501325.0, 101325.0, 288.15,
                 land=0.03 - inner - 1e-4 * 0.1 / wide)  # fmt: skip
    jet = fire_jet(case, lambda _: 501325.0, Throttle(side, time=0.015), until=0.015)
    _, u, sigma, _, _ = jet.series(np.linspace(1e-4, 0.015, 9))
    exact = math.sqrt(2.0**2 + 2 * 400.0) - 2.0
    assert exact == pytest.approx(26.3549, abs=5e-5)
    assert u / sigma == pytest.approx(exact, rel=1e-8)
    assert jet.out == pytest.approx(1e-4 * exact * 0.0075, rel=1e-8)
    assert jet.out * 1e6 == pytest.approx(19.7662, abs=5e-5)


def test_a_steady_throttle_pushes_as_its_side_says():
    # Level, a vessel so wide that β is nothing, u where it does not grow: Δp A (1 + σ²) or 2 Δp A σ.
    case = replace(PLAIN, velocity_coefficient=1.0, bore=0.006, heights=(0.0, 0.03), radii=(500.0, 500.0), water=1.0)
    area = math.pi * case.bore**2 / 4
    for side, share in (("held", lambda s: 2 * s), ("launcher", lambda s: 1 + s * s)):
        model = Water(case, lambda _: 501325.0, Throttle(side, time=1.0), None)
        for sigma in (0.01, 0.3, 0.99):
            state = np.array([0.01, sigma * math.sqrt(2 * 4e5 / 999.1), 0.01 / (25e4 * math.pi), 1.0, 0.0, 0.0])
            leaving, thrust, growth, _, stream = model.push(sigma, state)
            assert thrust == pytest.approx(4e5 * area * share(sigma), rel=1e-9)
            assert (leaving, stream) == pytest.approx((thrust, math.sqrt(2 * 4e5 / 999.1)), rel=1e-9)
            assert abs(growth) < 1e-6 * 4e5 / 999.1 / model.fixed


# Balances


@pytest.mark.parametrize("case", SLIDES.values(), ids=SLIDES.keys())
def test_what_the_gas_loses_on_the_slide_moves_lifts_and_stretches(case):
    freed = left(case)
    start = gas_filling(case.gas, case.pressure, case.temperature, case.room(0.0), case.soft, case.ambient)
    hose = case.supply if isinstance(case.supply, Hose) else None
    # The bottle's and tube's gas at the end from what is reported of it, by itself.
    gas = replace(freed.gas, dry=start.dry + freed.passed, substance=start.substance)
    lost = start.energy(case.temperature, case.room(0.0)) - gas.energy(freed.temperature, case.room(case.stroke))
    if hose:
        lost += hose.mass * water.CV_DRY * hose.temperature - freed.hose[2]
    moving = 0.5 * case.mass * freed.speed**2
    lifted = case.mass * case.gravity * math.cos(case.tilt) * case.stroke
    air = case.ambient * case.seal * case.stroke
    other = over_time(freed, lambda s: np.array([case.force(x, v) * v for x, v in s[:2].T])) if case.force else 0.0
    assert lost + other == pytest.approx(moving + lifted + air, rel=1e-9 if case.force else 1e-10)


@pytest.mark.parametrize("name", ["dry, shut below", "dry, a wall that stretches", "moist", "cord that brakes"])
def test_gas_without_supply_keeps_its_entropy_on_the_slide(name):
    case = SLIDES[name]
    freed = left(case)
    volume = case.room(0.0) + case.soft * (case.pressure - case.ambient)
    share = freed.gas_volume / (freed.gas_volume + case.tube)
    if case.gas == "dry":
        filled = case.pressure * volume**1.4
        assert freed.pressure * (freed.gas_volume + case.tube) ** 1.4 == pytest.approx(filled, rel=1e-10)
        return
    e = saturation(case.temperature)
    dry = (case.pressure - e) * volume / (water.R_DRY * case.temperature)
    substance = e * volume / (water.R_VAPOUR * case.temperature)
    before = moist_entropy(case.temperature, volume, dry, substance)
    after = moist_entropy(freed.temperature, freed.gas_volume / share, freed.gas.dry / share, substance)
    assert after == pytest.approx(before, rel=1e-11)


def test_a_stretched_wall_gives_back_its_work():
    case = SLIDES["dry, hose"]
    freed = left(case)
    before = (case.room(0.0) + case.soft * (case.pressure - case.ambient)) * case.pressure
    after = (freed.gas_volume + case.tube) * freed.pressure
    hose = (case.supply.pressure - freed.hose[0]) * case.supply.volume
    high, low = case.pressure - case.ambient, freed.pressure - case.ambient
    wall = 0.5 * case.soft * (high**2 - low**2) + case.ambient * case.soft * (high - low)
    moved = 0.5 * case.mass * freed.speed**2 + case.mass * case.gravity * math.cos(case.tilt) * case.stroke
    air = case.ambient * case.seal * case.stroke
    assert 2.5 * (before - after + hose) + wall == pytest.approx(moved + air, rel=1e-10)


@pytest.mark.parametrize("case", SLIDES.values(), ids=SLIDES.keys())
def test_pressure_over_time_is_the_momentum_on_leaving_the_seal(case):
    freed = left(case)

    def force(s):
        other = np.array([case.force(x, v) for x, v in s[:2].T]) if case.force else 0.0
        return (s[2] - case.ambient) * case.seal + other - case.mass * case.gravity * math.cos(case.tilt)

    assert over_time(freed, force) == pytest.approx(case.mass * freed.speed, rel=1e-9)


def test_the_hose_gives_the_enthalpy_of_what_flows():
    freed, case = left(SLIDES["hose of a choking pressure"]), SLIDES["hose of a choking pressure"]
    given = case.supply.mass * water.CV_DRY * case.supply.temperature - freed.hose[2]
    enthalpy = over_time(freed, lambda s: (water.CV_DRY + water.R_DRY) * s[5] * s[4])
    assert enthalpy == pytest.approx(given, rel=1e-7)
    assert over_time(freed, lambda s: s[4]) == pytest.approx(freed.passed, rel=1e-7)
    # It chokes at the start: ISO 9300's critical flow.
    critical = 0.7 * case.supply.area * 1.2e6 * 0.684731 / math.sqrt(water.R_DRY * 300.0)
    assert freed.series(np.array([0.0]))[4][0] == pytest.approx(critical, rel=2e-6)


def balance(jet: Jet) -> tuple[float, float]:
    """Energy spent and energy gained of a water phase, J."""
    e = jet.energy
    return e["moving"] + e["jet"] + e["loss"] + e["lifted"], e["work"] + e["pushed"] + e["head"] + e["other"]


OPENINGS = {
    "held, in a time": (PLAIN, Throttle("held", time=0.02), None),
    "launcher's, in a time": (PLAIN, Throttle("launcher", time=0.02), None),
    "free, held, in a time": (PLAIN, Throttle("held", time=0.02), Flight(0.15, 3.0, 9.7, -2.0)),
    "free, launcher's, in a time": (PLAIN, Throttle("launcher", time=0.02), Flight(0.15, 3.0, 9.7, -2.0)),
    "free, off a spigot": (
        PLAIN, Throttle("launcher", contraction=0.7, outer=0.0216, inner=0.0213), Flight(0.15, 3.0, 9.7),
    ),
    "free, off a tight spigot": (PLAIN, Throttle("launcher", outer=0.0216, inner=0.0216), Flight(0.15, 3.0, 9.7)),
    "nozzle, held, in a time": (NOZZLE, Throttle("held", time=0.02), None),
    "nozzle, free, off a spigot": (NOZZLE, Throttle("launcher", outer=0.009, inner=0.0089), Flight(0.15, 3.0, 9.7)),
    "free, nothing in the way": (PLAIN, None, Flight(0.15, 0.0, 9.7)),
}  # fmt: skip


@pytest.mark.parametrize("case", OPENINGS.values(), ids=OPENINGS.keys())
def test_an_opening_keeps_energy_and_momentum(case):
    nozzle, throttle, flight = case
    stand = replace(nozzle, breakthrough=0.1, specific_force=0.0 if flight else 9.8)
    _, pressure = pressing(stand)
    jet = fire_jet(stand, pressure, throttle, flight)
    spent, gained = balance(jet)
    assert spent == pytest.approx(gained, rel=1e-10)
    assert jet.impulse == pytest.approx(jet.through_exit + jet.momentum_left, rel=1e-10)
    assert jet.out == pytest.approx(0.9 * stand.water, rel=1e-10)
    # Work of the gas from its own isentrope.
    work = quad(lambda v: pressure(v) - stand.ambient, jet.left, stand.water, epsrel=1e-12)[0]
    assert jet.energy["work"] == pytest.approx(work, rel=1e-9)


@pytest.mark.parametrize("name", ["held, in a time", "free, held, in a time", "free, launcher's, in a time"])
def test_the_first_stream_is_where_the_march_comes_from(name):
    nozzle, throttle, flight = OPENINGS[name]
    stand = replace(nozzle, specific_force=0.0 if flight else 9.8)
    _, pressure = pressing(stand)
    model = Water(stand, pressure, throttle, flight)
    height, length = stand.surface_height, model.length(model.start()[1][2])
    first = first_stream(stand, 4e5, height, length, 50.0, throttle.side, flight)
    jet = fire_jet(stand, pressure, throttle, flight, until=1e-3)
    misses = []
    for t in (2e-4, 1e-4):
        _, u, sigma, _, _ = jet.series(np.array([t]))
        misses.append(u[0] / sigma[0] / first - 1)
    assert abs(2 * misses[1] - misses[0]) < 2e-5  # straight down to it


# Limits


def test_a_short_stroke_gives_little_speed_and_takes_no_pressure():
    for stroke in (1e-3, 1e-5, 1e-7):
        freed = left(replace(LOADED, stroke=stroke, tube=0.0))
        force = 4e5 * LOADED.seal / LOADED.mass - 9.81 * math.cos(0.1)
        assert freed.speed == pytest.approx(math.sqrt(2 * force * stroke), rel=stroke)
        assert freed.pressure == pytest.approx(LOADED.pressure, rel=stroke)


@pytest.mark.parametrize("change", [{"volume": HOSE.volume}, {"area": HOSE.area}], ids=["volume", "way through"])
def test_a_hose_with_less_and_less_volume_or_way_gives_in_the_end_what_none_gives(change):
    none = left(LOADED)
    (name, full), misses = next(iter(change.items())), []
    for part in (0.02, 0.002) if name == "volume" else (1e-5, 1e-6):
        hose = replace(HOSE, **{name: full * part})
        misses.append(left(replace(LOADED, supply=hose), method="LSODA").speed / none.speed - 1)
    assert 0.0 < misses[1] < 1e-5
    # The push of a hose is in proportion to it: at nothing there is none.
    assert misses[1] == pytest.approx(misses[0] / 10, rel=0.01)
    assert left(SLIDES["dry, hose"]).speed > none.speed * 1.001


def test_a_great_hose_through_a_wide_way_is_endless():
    endless = left(replace(LOADED, supply="infinite"))
    misses = []
    for volume, area in ((0.01, 1e-4), (0.1, 1e-3)):
        supply = replace(HOSE, volume=volume, area=area)
        misses.append(1 - left(replace(LOADED, supply=supply), method="LSODA", rtol=1e-9).speed / endless.speed)
    # Its volume tells in proportion, its way by the square.
    assert 0.0 < misses[1] < misses[0] / 8
    assert misses[1] < 1e-3


def test_two_integrators_agree_on_a_hose():
    case = replace(LOADED, gas="moist", supply=HOSE)
    one, two = left(case), left(case, method="LSODA")
    assert one.speed == pytest.approx(two.speed, rel=1e-9)
    assert one.passed == pytest.approx(two.passed, rel=1e-7)


def test_the_hose_gives_between_nothing_and_everything():
    speeds = [left(replace(LOADED, supply=supply)).speed for supply in ("none", HOSE, "infinite")]
    assert speeds == sorted(speeds)
    assert speeds[2] > speeds[0] * 1.01


def test_a_socket_keeps_its_water_and_a_spigot_none():
    case = replace(LOADED, seal=1.33e-4, stroke=0.014, tube=0.0)
    spigot, socket = left(case), left(replace(case, inside=False))
    assert (spigot.water, spigot.kept_by_socket) == (case.water, 0.0)
    assert socket.water == pytest.approx(case.water - 1.33e-4 * 0.014, rel=1e-12)
    assert socket.gas_volume == pytest.approx(
        case.vessel * (1 + case.compliance * (socket.pressure - case.ambient)) - socket.water, rel=1e-12
    )


def test_the_tube_keeps_its_share_of_the_gas():
    freed = left(SLIDES["moist, hose"])
    packed = freed.gas_mass / freed.gas_volume
    assert freed.tube_gas / LOADED.tube == pytest.approx(packed, rel=1e-12)


def test_too_little_pressure_does_not_lift_the_rocket_off_its_seal():
    weight = LOADED.mass * 9.81 * math.cos(0.1)
    lifts = LOADED.ambient + weight / LOADED.seal
    assert slide(replace(LOADED, pressure=lifts * (1 - 1e-9))) is None
    assert slide(replace(LOADED, pressure=lifts * 1.02, stroke=1e-3)) is not None


AT_ONCE = (PLAIN, replace(NOZZLE, breakthrough=0.3), replace(PLAIN, gas="moist", specific_force=9.8))


@pytest.mark.parametrize("case", AT_ONCE, ids=["bare neck", "nozzle", "moist, upright"])
def test_an_opening_of_no_time_is_the_jet_that_is_free_at_once(case):
    _, pressure = pressing(case)
    free, before = fire_jet(case, pressure), fire_water(case)[0]
    assert free.impulse == pytest.approx(before.impulse_water, rel=1e-9)
    # The last drop of a bare neck takes no time to speak of, and in each integrator its own.
    assert free.time == pytest.approx(before.water_time, rel=3e-9)
    quick = fire_jet(case, pressure, Throttle("held", time=1e-7))
    assert quick.impulse == pytest.approx(free.impulse, abs=400.0 * 1e-7)
    assert quick.time == pytest.approx(free.time, abs=1e-7)


@pytest.mark.parametrize("share", [0.02, 0.1, 0.3])
def test_the_momentum_at_breakthrough_comes_back(share):
    case = replace(PLAIN, breakthrough=share, slip=2.0, spray_coefficient=0.8)
    gas, pressure = pressing(case)
    jet = fire_jet(case, pressure, Throttle("held", time=0.02))
    volume = case.volume - jet.left
    kept = fire_spray(case, jet, volume, gas.dry, returned=False)
    back = fire_spray(case, jet, volume, gas.dry)
    assert kept.impulse - back.impulse == pytest.approx(jet.momentum_left, rel=1e-7)
    assert jet.momentum_left > 0.01 * jet.impulse
    assert jet.impulse + back.impulse == pytest.approx(jet.through_exit + back.through_exit, rel=1e-10)
