"""Every comparison of thrust with a value from outside, as rows; firings.py does the firing."""

import math
from collections.abc import Callable

import numpy as np
from comparison import Row
from firings import (
    air_alone,
    bench,
    doubled,
    isothermal_vessel,
    limit_a,
    limit_a_free,
    mean_thrust,
    record,
    unchokes,
)

from bottlewright.design.tables import nozzle
from bottlewright.flight.state import WATER
from bottlewright.physics.gas import critical_flow_factor
from bottlewright.physics.water_jet import steady_jet_free

TEXTBOOK = "worked out from textbook relations"


def constant_jet() -> list[Row]:
    """A jet of constant speed: nozzle radius 7.5 mm, 13 m/s for 0.20 s, 0.40 kg and 0.70 kg of water."""
    source = "Cambridge International A Level Physics 9702/23, Oct/Nov 2018, Q3"
    area = math.pi * 0.0075**2
    out = 1000.0 * area * 13.0 * 0.20
    force, speed = steady_jet_free(0.5 * 1000 * 13.0**2, 1000.0, area, 0.0, 0.0, 1.10 - out, 0.0)
    return [
        Row("water out in 0.20 s", source, "kg", 0.4595, 1000.0 * area * speed * 0.20, 5e-5),
        Row("thrust", source, "N", 29.86, force * (1.10 - out), 5e-3),
        Row("acceleration at 0.20 s", source, "m/s²", 36.8, force - 9.81, 0.05),
    ]


def exact_limit() -> list[Row]:
    """Quasi-steady jet, no loss, no gravity, no drag: 2.0 L, 0.6 kg, 400 kPa gauge, fired level by design keys."""
    rows = []
    given = {1.4: (14.32636, 36.79629), 1.2: (14.68843, 37.98327), 1.0: (15.0559, 39.1897)}
    for exponent, (impulse, gain) in given.items():
        for bore in ("5 mm", "21.74 mm"):
            ours = limit_a(exponent, bore).summary["impulse_water_N_s"]
            rows.append(Row(f"impulse, exponent {exponent}, bore {bore}", TEXTBOOK, "N s", impulse, ours, 5e-5))
        free = limit_a_free(exponent, 0.009).gain
        rows.append(Row(f"gain of speed of 0.15 kg, exponent {exponent}", TEXTBOOK, "m/s", gain, free, 5e-5))
    firing, area = limit_a(1.4), math.pi * 0.009**2 / 4
    thrust = firing.series["thrust_N"][firing.series["phase"] == WATER]
    speed = np.sqrt(thrust[[0, -1]] / (998.2 * area))
    free = limit_a_free(1.4, 0.009)
    return [
        *rows,
        Row("pressure at the end", TEXTBOOK, "kPa", 303.939, firing.summary["water_out_pressure_Pa"] / 1e3, 5e-4),
        Row("jet speed, start", TEXTBOOK, "m/s", 28.3098, float(speed[0]), 5e-5),
        Row("jet speed, end", TEXTBOOK, "m/s", 20.1484, float(speed[1]), 5e-5),
        Row("duration × area", TEXTBOOK, "cm² s", 0.254157, firing.summary["water_time_s"] * area * 1e4, 1e-6),
        Row("work of the gas", TEXTBOOK, "J", 172.6814, free.work, 5e-5),
        Row("energy of rocket and jet", "exact: the work", "J", free.work, free.rocket + free.jet, 1e-8),
    ]


def gas_alone() -> list[Row]:
    """2.0 L of air at 400 kPa gauge; and an isothermal vessel of a cubic foot."""
    air, balmer = air_alone(), isothermal_vessel()
    gas, end = air.series["gas_kg"], air.summary["tail_time_s"]
    book = "Balmer, Modern Engineering Thermodynamics, Example 16.8"
    stops = "the reference stops with 0.05 % of excess pressure left, we at none"
    time, pressure = unchokes(balmer)
    return [
        Row("air alone: thrust at the start", TEXTBOOK, "N", 193.98, float(air.series["thrust_N"][0]), 5e-3),
        Row("— no longer choked at", TEXTBOOK, "ms", 20.40, unchokes(air)[0] * 1e3, 5e-3),
        Row("— impulse", TEXTBOOK, "N s", 2.653, air.summary["impulse_total_N_s"], 5e-4),
        Row("— mass out", TEXTBOOK, "g", 8.111, float(gas[0] - gas[-1]) * 1e3, 5e-4, stops, 1.45e-3),
        Row("— end", TEXTBOOK, "ms", 42.1, end * 1e3, 0.05, stops, 0.546),
        Row("isothermal vessel: no longer choked at", book, "psi", 27.83, pressure / 6894.757, 5e-3),
        Row("— after", book, "s", 18.7, time, 0.05),
    ]


def critical_flow() -> list[Row]:
    """C*, ideal, and what real air does."""
    real = {1: 0.68513, 5: 0.68627, 10: 0.68770}
    ours = critical_flow_factor(1.4)
    rows = [
        Row(f"C*, exponent {gamma}", "ISO 9300, closed form", "", factor, critical_flow_factor(gamma), 5e-6)
        for gamma, factor in ((1.4, 0.68473), (1.3, 0.66726))
    ]
    return rows + [
        Row(f"C*, real dry air, 293.15 K, {bar} bar", "CoolProp 8.0.0", "", factor, ours, 5e-5,
            "a stated deviation of the ideal gas", ours - factor)
        for bar, factor in real.items()
    ]  # fmt: skip


def moist_expansion() -> list[Row]:
    """Saturated air of 293.15 K to twice its volume, fired by design keys; liquid without ice assumed."""
    low, high, dry = doubled("moist", 300e3), doubled("moist", 500e3), doubled("dry", 500e3)
    exponent = [math.log(start / end) / math.log(2) for start, end in ((300e3, low[0]), (500e3, high[0]))]
    other = "other constants for the specific heats: 0.06 K of a fall of 62 K"
    return [
        Row("mean exponent from 300 kPa", TEXTBOOK, "", 1.323, exponent[0], 5e-4),
        Row("mean exponent from 500 kPa", TEXTBOOK, "", 1.353, exponent[1], 5e-4),
        Row("pressure from 500 kPa", TEXTBOOK, "kPa", 195.80, high[0] / 1e3, 2e-2),
        Row("temperature from 500 kPa", TEXTBOOK, "K", 230.7, high[1], 0.05, other, high[1] - 230.7),
        Row("pressure from 500 kPa, dry", TEXTBOOK, "kPa", 189.46, dry[0] / 1e3, 5e-3),
        Row("temperature from 500 kPa, dry", TEXTBOOK, "K", 222.2, dry[1], 0.05),
    ]


def coefficients() -> list[Row]:
    """The table of openings against the measured ones."""
    unwin, air = "Unwin, Hydraulics, Encyclopaedia Britannica, 11th ed.", "Weisbach, in Unwin, §63"
    water = {"square-edged": (0.62, 5e-3), "tube": (0.82, 5e-3), "rounded": (0.97, 5e-3), "re-entrant": (0.535, 0.02)}
    gas = {"square-edged": (0.6755, 0.1125), "tube": (0.825, 0.015), "rounded": (0.98, 0.01)}
    rows = []
    for shape, (value, allowed) in water.items():
        row = nozzle(shape)
        whole = row["contraction"].value * row["velocity_coefficient"].value
        rows.append(Row(f"water, {shape}", unwin, "", value, whole, allowed))
    return rows + [
        Row(f"air, {shape}", air, "", value, nozzle(shape)["gas_coefficient"].value, allowed)
        for shape, (value, allowed) in gas.items()
    ]


def bench_record() -> list[Row]:
    """The measured static firing: opening and breakthrough by our fit, and the ideal model, which has to land above."""
    data = record()
    source = "ASEN 2004, record 301-1"
    fitted, ideal, dry = bench(**data["fit"]), bench(), bench(gas=1.4)
    (total, near), (time, close) = data["bounds"]["impulse_total_N_s"], data["bounds"]["water_time_s"]
    _, around = data["bounds"]["mean_thrust_120_160_ms_N"]
    s, measured = fitted.summary, data["measured"]
    rows = [
        Row("with breakthrough: total impulse", source, "N s", total, s["impulse_total_N_s"], near),
        Row("— water phase", source, "ms", time * 1e3, s["water_time_s"] * 1e3, close * 1e3),
        Row("— impulse of the water", source, "N s", measured["impulse_water_N_s"], s["impulse_water_N_s"], near),
        Row("— impulse of the tail", source, "N s", measured["impulse_tail_N_s"], s["impulse_tail_N_s"], 0.2),
        Row("— tail", source, "ms", measured["tail_time_s"] * 1e3, s["tail_time_s"] * 1e3, 15.0),
    ]
    for start, end, force in measured["mean_thrust_N"]:
        ours = mean_thrust(fitted, start, end)
        span = f"— mean, {start * 1e3:.0f} to {end * 1e3:.0f} ms"
        rows.append(Row(span, source, "N", force, ours, around))
    above = "has to land above the record"
    slow = "nearer with a velocity coefficient of 0.97: 183 and 186 ms"
    for name, firing, off in (("moist", ideal, -10.2), ("exponent 1.4", dry, -7.1)):
        total_now, time_now = firing.summary["impulse_total_N_s"], firing.summary["water_time_s"] * 1e3
        whose = "an earlier reckoning, unpublished"
        rows.append(Row(f"ideal, {name}: total impulse", whose, "N s", 16.5, total_now, 0.5, above))
        rows.append(Row(f"ideal, {name}: water phase", whose, "ms", 187.5, time_now, 3.5, slow, off))
    return rows


CASES: dict[str, Callable[[], list[Row]]] = {
    "A jet of constant speed": constant_jet,
    "Exact limit: quasi-steady jet without loss": exact_limit,
    "Gas alone": gas_alone,
    "Critical flow": critical_flow,
    "Moist expansion": moist_expansion,
    "Coefficients of openings": coefficients,
    "A measured static firing": bench_record,
}
