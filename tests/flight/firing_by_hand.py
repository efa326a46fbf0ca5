"""A static firing worked out a second time, in another way than the engine's.

The height of the water surface instead of its volume, constant entropy instead of a heat balance, the greatest mass
flux instead of a sound speed, quadrature over the mass that is left instead of a march in time. SI floats, SciPy.

Derivations: docs/physics/water_jet.md, gas.md and spray.md.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.polynomial import Chebyshev
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, minimize_scalar

from bottlewright.physics import water

TIGHT = {"method": "DOP853", "rtol": 1e-11, "atol": 1e-13}


@dataclass(frozen=True)
class Stand:
    """What is fired: profile (heights, radii), charge, nozzle, model. SI, absolute pressures."""

    heights: tuple[float, ...]
    radii: tuple[float, ...]
    bore: float
    water: float
    density: float
    pressure: float
    ambient: float
    temperature: float
    gas: str | float = "moist"
    steady: bool = False
    land: float = 0.0
    contraction: float = 1.0
    velocity_coefficient: float = 1.0
    gas_coefficient: float = 1.0
    spray_coefficient: float = 1.0
    breakthrough: float = 0.0
    slip: float = 1.0
    compliance: float = 0.0
    specific_force: float = 0.0

    def radius(self, z: float) -> float:
        return float(np.interp(z, self.heights, self.radii))

    def area(self, z: float) -> float:
        return math.pi * self.radius(z) ** 2

    def over(self, function: Callable[[float], float], low: float, high: float) -> float:
        cuts = [low, *(z for z in self.heights if low < z < high), high]
        return sum(quad(function, a, b, epsabs=0.0, epsrel=1e-13)[0] for a, b in pairwise(cuts))

    @property
    def volume(self) -> float:
        return self.over(self.area, self.heights[0], self.heights[-1])

    @property
    def surface_height(self) -> float:
        """Height that the water stands at."""
        return brentq(lambda h: self.over(self.area, 0.0, h) - self.water, 1e-6, self.heights[-1], xtol=1e-15)


@dataclass(frozen=True)
class Outcome:
    """What a firing gives."""

    impulse_water: float
    impulse_tail: float
    water_time: float
    tail_time: float
    water_out_pressure: float
    water_left: float
    thrust: Callable[[np.ndarray], np.ndarray]
    speed_squared: float
    contained: float
    jet_energy: float
    work: float


def saturation(t: float) -> float:
    """Vapour pressure whose slope is exactly L e/(R T²) with L linear in T."""
    a = water.LATENT_TRIPLE - (water.CP_VAPOUR - water.C_LIQUID) * water.T_TRIPLE
    b = water.CP_VAPOUR - water.C_LIQUID
    t0 = water.T_TRIPLE
    return water.P_TRIPLE * math.exp((a * (1 / t0 - 1 / t) + b * math.log(t / t0)) / water.R_VAPOUR)


def latent(t: float) -> float:
    return water.LATENT_TRIPLE + (water.CP_VAPOUR - water.C_LIQUID) * (t - water.T_TRIPLE)


def moist_entropy(t: float, volume: float, dry: float, substance: float) -> float:
    """Entropy of dry air, of all water substance as liquid, and of what of it is vapour, J/K."""
    vapour = saturation(t) * volume / (water.R_VAPOUR * t)
    air = dry * (water.CV_DRY * math.log(t) + water.R_DRY * math.log(volume))
    return air + substance * water.C_LIQUID * math.log(t) + vapour * latent(t) / t


def moist_pressure(volume: float, start_pressure: float, start_temperature: float, start_volume: float) -> float:
    """Pressure after saturated air has grown without heat to a volume."""
    e = saturation(start_temperature)
    dry = (start_pressure - e) * start_volume / (water.R_DRY * start_temperature)
    substance = e * start_volume / (water.R_VAPOUR * start_temperature)
    entropy = moist_entropy(start_temperature, start_volume, dry, substance)

    def gain(t: float) -> float:
        return moist_entropy(t, volume, dry, substance) - entropy

    t = brentq(gain, 120.0, start_temperature + 40.0, xtol=1e-12)
    return dry * water.R_DRY * t / volume + saturation(t)


def pressure_by_water(case: Stand) -> Callable[[float], float]:
    """Absolute pressure against the water volume left, for an elastic or a rigid vessel, by a Chebyshev fit."""
    start = case.volume * (1 + case.compliance * (case.pressure - case.ambient)) - case.water

    def of_gas(volume: float) -> float:
        if case.gas == "moist":
            return moist_pressure(volume, case.pressure, case.temperature, start)
        n = 1.4 if case.gas == "dry" else float(case.gas)
        return case.pressure * (start / volume) ** n

    def of_water(left: float) -> float:
        def miss(volume: float) -> float:
            return volume + left - case.volume * (1 + case.compliance * (of_gas(volume) - case.ambient))

        rigid = case.volume - left
        if case.compliance == 0.0:
            return of_gas(rigid)
        return of_gas(brentq(miss, 0.98 * rigid, 1.1 * rigid, xtol=1e-16, rtol=1e-14))

    fit = Chebyshev.interpolate(lambda x: np.array([of_water(v) for v in np.atleast_1d(x)]), 50, (0.0, case.water))
    return lambda left: float(fit(left))


def fire_water(case: Stand) -> tuple[Outcome, float]:
    """The water phase, and the gas volume at its end.

    State: height of the surface, jet speed, ∫dz/A, water volume, impulse, ∫u²dt, ∫u³dt, work.
    """
    pressure, rho = pressure_by_water(case), case.density
    bore = math.pi * case.bore**2 / 4
    jet, loss = case.contraction * bore, 1 / case.velocity_coefficient**2 - 1
    narrow = min(case.bore / (2 * case.radii[0]), 1.0)
    inner = 0.4 * case.bore * max(1 - 1.47 * narrow + 0.47 * narrow**3, 0.0)
    fixed = (case.land + inner) * jet / bore
    full = case.surface_height
    whole = case.over(lambda z: 1 / case.area(z), 0.0, full)
    end = brentq(lambda h: case.over(case.area, 0.0, h) - case.breakthrough * case.water, 0.0, full, xtol=1e-15)

    def push(y: np.ndarray) -> tuple[float, float, float, float]:
        h, u, inertial, left = y[0], y[1], y[2], y[3]
        excess = pressure(left) - case.ambient
        if case.steady:
            u = math.sqrt(max(2 * (excess / rho + case.specific_force * h) / (1 + loss), 0.0))
            return rho * jet * u * u, u, 0.0, excess
        beta = jet / case.area(h)
        length = max(jet * inertial + fixed, 0.05 * case.bore)
        gain = (excess / rho + case.specific_force * h - u * u * (1 + loss - beta * beta) / 2) / length
        # d(momentum of what is inside)/dt + momentum that leaves, the surface falling at β u
        return rho * jet * (u * u + h * gain - u * beta * u), u, gain, excess

    def rates(_: float, y: np.ndarray) -> list[float]:
        thrust, u, gain, excess = push(y)
        fall = jet * u / case.area(y[0])
        return [-fall, gain, -fall / case.area(y[0]), -jet * u, thrust, u * u, u**3, excess * jet * u]

    def empty(_: float, y: np.ndarray) -> float:
        return float(y[0] - end)

    empty.terminal = True  # type: ignore[attr-defined]
    start = [full, 0.0, whole, case.water, 0.0, 0.0, 0.0, 0.0]
    run = solve_ivp(rates, (0.0, 60.0), start, events=empty, dense_output=True, **TIGHT)
    last = run.y[:, -1]
    at_end = pressure(case.breakthrough * case.water)
    outcome = Outcome(
        float(last[4]), 0.0, float(run.t[-1]), 0.0, at_end, 0.0,
        lambda times: np.array([push(run.sol(t))[0] for t in times]),
        float(last[5]), rho * jet * float(last[1] * last[0]), rho * jet * float(last[6]) / 2, float(last[7]),
    )  # fmt: skip
    held = case.volume * (1 + case.compliance * (at_end - case.ambient))
    return outcome, held - case.breakthrough * case.water


def spray_flux(
    p: float, ambient: float, quality: float, rho: float, gas_volume: float, gamma: float
) -> tuple[float, float]:
    """Greatest mass flux (kg/m²/s) over all exit pressures down to the ambient, and thrust an area, Pa."""

    def at(exit_pressure: float) -> tuple[float, float]:
        there = gas_volume * (p / exit_pressure) ** (1 / gamma)
        drop = quality * gamma / (gamma - 1) * (p * gas_volume - exit_pressure * there)
        u = math.sqrt(2 * ((1 - quality) * (p - exit_pressure) / rho + drop))
        flux = u / ((1 - quality) / rho + quality * there)
        return flux, flux * u + exit_pressure - ambient

    best = minimize_scalar(lambda x: -at(x)[0], bounds=(ambient, p), method="bounded", options={"xatol": 1e-9 * p})
    return max(at(best.x), at(ambient))


def fire_spray(case: Stand, pressure: float, gas_volume: float, gas_mass: float) -> tuple[float, float, float]:
    """Impulse, duration and water left of the spray. State: water mass, gas mass, impulse."""
    rho, area = case.density, case.spray_coefficient * math.pi * case.bore**2 / 4
    gamma = float(case.gas) if isinstance(case.gas, float) else 1.4
    room = gas_volume + case.breakthrough * case.water
    packed = gas_mass / gas_volume

    def now(y: np.ndarray) -> tuple[float, float]:
        free = room - y[0] / rho
        return pressure * (y[1] / free / packed) ** gamma, free / y[1]

    def rates(_: float, y: np.ndarray) -> list[float]:
        p, specific = now(y)
        if p <= case.ambient:
            return [0.0, 0.0, 0.0]
        quality = case.slip * y[1] / (case.slip * y[1] + y[0])
        flux, push = spray_flux(p, case.ambient, quality, rho, specific, gamma)
        return [-(1 - quality) * flux * area, -quality * flux * area, push * area]

    def spent(_: float, y: np.ndarray) -> float:
        return now(y)[0] / case.ambient - 1 - 1e-6

    spent.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(rates, (0.0, 60.0), [case.breakthrough * case.water * rho, gas_mass, 0.0], events=spent,
                    method="DOP853", rtol=1e-10, atol=1e-13)  # fmt: skip
    return float(run.y[2, -1]), float(run.t[-1]), float(run.y[0, -1])


def fire_gas(case: Stand, p0: float, t0: float, volume: float, gamma: float = 1.4) -> tuple[float, float, float]:
    """Impulse, duration and mass out of gas alone from a rigid vessel without heat, by quadrature over what is left."""
    area = case.gas_coefficient * math.pi * case.bore**2 / 4
    m0 = p0 * volume / (water.R_DRY * t0)
    m_end = m0 * (case.ambient / p0) ** (1 / gamma)
    cp = gamma / (gamma - 1) * water.R_DRY
    choke = (2 / (gamma + 1)) ** (gamma / (gamma - 1))

    def leaving(m: float) -> tuple[float, float]:
        p = p0 * (m / m0) ** gamma
        t = t0 * (m / m0) ** (gamma - 1)
        at = max(case.ambient, p * choke)
        cold = t * (at / p) ** ((gamma - 1) / gamma)
        speed = math.sqrt(max(2 * cp * (t - cold), 0.0))
        flow = area * at / (water.R_DRY * cold) * speed
        return flow, flow * speed + (at - case.ambient) * area

    # With m = m_end + (m0 − m_end) w² the flow goes with w at the end and both integrands are smooth.
    def share(kind: int) -> Callable[[float], float]:
        def of(w: float) -> float:
            flow, push = leaving(m_end + (m0 - m_end) * w * w)
            return 2 * (m0 - m_end) * w * (push if kind else 1.0) / flow

        return of

    m_choke = min(m0, m0 * (case.ambient / choke / p0) ** (1 / gamma))
    kink = math.sqrt(max((m_choke - m_end) / (m0 - m_end), 0.0))
    sums = [
        sum(quad(share(kind), a, b, epsabs=0.0, epsrel=1e-9)[0] for a, b in ((0.0, kink), (kink, 1.0)) if b > a)
        for kind in (1, 0)
    ]
    return sums[0], sums[1], m0 - m_end


def fire_by_hand(case: Stand) -> tuple[Outcome, float]:
    """The whole firing: water, spray where gas breaks through, gas alone. Also the mass of gas at the start."""
    outcome, gas_volume = fire_water(case)
    start = case.volume * (1 + case.compliance * (case.pressure - case.ambient)) - case.water
    e = saturation(case.temperature) if case.gas == "moist" else 0.0
    mass = ((case.pressure - e) / water.R_DRY + e / water.R_VAPOUR) * start / case.temperature
    p = outcome.water_out_pressure
    if case.breakthrough > 0.0:
        impulse, time, left = fire_spray(case, p, gas_volume, mass)
        # The water that still moved as gas broke through comes to rest in the vessel, and takes its momentum back.
        impulse -= 0.0 if case.steady else outcome.contained
    else:
        (impulse, time, _), left = fire_gas(case, p, p * gas_volume / (mass * water.R_DRY), gas_volume), 0.0
    return replace(outcome, impulse_tail=impulse, tail_time=time, water_left=left), mass
