"""From release to free jet, worked out a second time and apart from the engine: SciPy, other variables. SI floats.

**Slide.** Tube, spigot or socket keeps the nozzle shut over a stroke s. Nothing flows out, so rocket and water are one
body and the gas pushes it off the seal's area: M f = (p − pa) A_s + F, v̇ = f − g cos θ. Pressure on the launcher's part
does no work, as that part stands still: what the gas of bottle, hollow tube and hose loses together goes into p A_s v
and into the wall, whose growth V₀ κ (p − pa) takes d(½ V₀ κ p²) of the gas's p dV. With U_h(q) the energy left in the
hose when q has left it (dU_h = cp T_h dm_h has one answer, the isentrope T_h ∝ m_h^(γ−1)),

    Z = U + ½ V₀ κ p² + U_h(q),     dZ/dt = −p A_s v,     dq/dt = flow of a nozzle from p_h, T_h to p.

State: x, v, Z, q; temperature is the root of Z. The engine marches temperatures instead. An endless supply at the gas's
own temperature keeps p and T: cv T dm + R T dm = cp T dm.

**Opening.** A throttle of area σ A_j behind the neck; the stream leaves it with w = u/σ at the pressure pa. Bernoulli
from the surface to the stream, the losses of the neck at u:

    Λ u̇ = (p − pa)/ρ + f h − ½ u² (1 + k + κ − β²),     κ = 1/σ² − 1.

From neck to stream p_n − pa = ½ ρ (w² − u²) = ½ ρ u² κ. What the launcher throttles is cut at the neck: its exit
gives E = ρ A_j u² + (p_n − pa) A_j. A throttle that the rocket or the stand holds is within the cut: E = ρ A_j u w. The
thrust is E + ρ A_j d(h u)/dt. With u = σ w and σ → 0 Bernoulli leaves Λ σ̇ w = (p − pa)/ρ + f h − ½ w², one positive
root w₀, where free f is that moment's: M f = [½ ρ A_j w² on the launcher's side] + ρ A_j h σ̇ w + F. The march is in u
and begins with u = w₀ σ (the engine's is in w).

Newton times v and Bernoulli times ρ A_j u, with dΛ/dt = −β² u, give in ground axes, for either side,

    d/dt [½ M v² − ρ A_j h u v + ½ ρ A_j Λ u²] = (p − pa) A_j u + (p_c − pa) A_j (v − c) − ½ ρ A_j u (v − c)²
                                                − ½ k ρ A_j u³ + ρ A_j u h g cos θ − M g cos θ v + F v

with c the speed and p_c the pressure at the cut: u and p_n, or w and pa. A wrong thrust on either side breaks this.

**Breakthrough.** Of the momentum inside, −ρ A_j h u against the rocket, J = ρ A_j h u is there when spray begins, and
none in the quasi-steady spray: it comes off the spray's thrust by (J/τ_b) exp(−t/τ_b), and off the spray's end what it
was too short for. τ_b: the rest would leave at A_j u in
V_left/(A_j u) while its momentum falls evenly; the exponential of half that time has the same ∫ J dt. But what stops
the water is pressure of the vessel on it, nowhere under the air's outside, so that the rocket is not pulled back: the
first of it, J/τ_b, is at most the spray's own first thrust T₀, τ_b ≥ J/T₀. The impulse of a firing then is what has
left: ∫E dt of the water and ∫(ṁ u + (p_e − pa) A) dt of the spray.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from firing_by_hand import TIGHT, Stand, latent, saturation, spray_flux
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from bottlewright.physics import water

GAMMA = 1.4
SEED = 1e-9
"""Share of the opening that the march in u begins at: what has left before is a part in 1e18."""


def capacity(exponent: float) -> float:
    """Heat capacity cv of dry gas that keeps p Vⁿ without heat, J/(kg K)."""
    return water.CV_DRY if exponent == GAMMA else water.R_DRY / (exponent - 1.0)


@dataclass(frozen=True)
class Gas:
    """A closed amount of gas: dry air and water substance (vapour and mist), kg, in a wall that may stretch.

    `soft` is V₀ κ, m³/Pa: the gas gets room + soft (p − ambient). A gas that keeps p Vⁿ without heat is one whose
    ratio of heats is the `exponent` n.
    """

    dry: float
    substance: float
    soft: float
    ambient: float
    exponent: float = GAMMA

    def at(self, temperature: float, room: float) -> tuple[float, float, float]:
        """Pressure, volume and vapour: saturated where there is water enough, else all of it vapour."""
        push = self.dry * water.R_DRY * temperature
        if self.substance > 0.0:
            e = saturation(temperature)
            volume = self._volume(push, e, room)
            vapour = e * volume / (water.R_VAPOUR * temperature)
            if vapour <= self.substance:
                return push / volume + e, volume, vapour
            push += self.substance * water.R_VAPOUR * temperature
        volume = self._volume(push, 0.0, room)
        return push / volume, volume, self.substance

    def _volume(self, push: float, e: float, room: float) -> float:
        """Positive root of V = room + soft (push/V + e − ambient)."""
        b = room + self.soft * (e - self.ambient)
        return 0.5 * (b + math.sqrt(b * b + 4.0 * self.soft * push))

    def energy(self, temperature: float, room: float) -> float:
        """Inner energy and what the wall holds of p dV."""
        pressure, _, vapour = self.at(temperature, room)
        inner = self.dry * capacity(self.exponent) * temperature + 0.5 * self.soft * pressure**2
        if self.substance == 0.0:
            return inner
        liquid = water.C_LIQUID * (temperature - water.T_TRIPLE)
        return inner + self.substance * liquid + vapour * (latent(temperature) - water.R_VAPOUR * temperature)

    def entropy(self, temperature: float, room: float) -> float:
        """Entropy, J/K, to a constant."""
        _, volume, vapour = self.at(temperature, room)
        s = self.dry * (capacity(self.exponent) * math.log(temperature) + water.R_DRY * math.log(volume))
        if vapour > 0.0:
            partial = vapour * water.R_VAPOUR * temperature / volume
            dryness = math.log(partial / saturation(temperature))
            s += self.substance * water.C_LIQUID * math.log(temperature)
            s += vapour * (latent(temperature) / temperature - water.R_VAPOUR * dryness)
        return s

    def temperature(self, of: Callable[[float, float], float], value: float, room: float, near: float) -> float:
        """Temperature at which `energy` or `entropy` has a value, by secants."""
        t0, t1 = near, near + 0.01
        f0, f1 = of(t0, room) - value, of(t1, room) - value
        for _ in range(30):
            if f1 == f0 or abs(t1 - t0) < 1e-13 * t1:
                break
            t0, t1, f0 = t1, t1 - f1 * (t1 - t0) / (f1 - f0), f1
            f1 = of(t1, room) - value
        return t1


def gas_filling(
    kind: str | float, pressure: float, temperature: float, room: float, soft: float = 0.0, ambient: float = 101325.0
) -> Gas:
    """Gas at a pressure in a room (unstretched) at rest, saturated where moist."""
    e = saturation(temperature) if kind == "moist" else 0.0
    volume = room + soft * (pressure - ambient)
    dry = (pressure - e) * volume / (water.R_DRY * temperature)
    exponent = GAMMA if isinstance(kind, str) else kind
    return Gas(dry, e * volume / (water.R_VAPOUR * temperature), soft, ambient, exponent)


@dataclass(frozen=True)
class Hose:
    """A vessel of dry gas that feeds the bottle through a restriction. A check valve lets only its pressure differ."""

    volume: float
    area: float
    coefficient: float
    pressure: float
    temperature: float
    exponent: float = GAMMA

    @property
    def mass(self) -> float:
        return self.pressure * self.volume / (water.R_DRY * self.temperature)

    def after(self, gone: float) -> tuple[float, float, float]:
        """Pressure, temperature and inner energy when a mass has left."""
        left = 1.0 - gone / self.mass
        temperature = self.temperature * left ** (self.exponent - 1.0)
        energy = self.mass * left * capacity(self.exponent) * temperature
        return self.pressure * left**self.exponent, temperature, energy

    def flow(self, gone: float, pressure: float) -> float:
        """Mass flow into a pressure, kg/s: choked or not, none backward."""
        own, temperature, _ = self.after(gone)
        if own <= pressure:
            return 0.0
        throat = max(pressure, own * (2.0 / (self.exponent + 1.0)) ** (self.exponent / (self.exponent - 1.0)))
        # ln of p_h/p_throat without cancelling when the two are near.
        log = math.log1p((own - throat) / throat)
        cp = capacity(self.exponent) + water.R_DRY
        speed = math.sqrt(-2.0 * cp * temperature * math.expm1(-log * (self.exponent - 1.0) / self.exponent))
        density = own / (water.R_DRY * temperature) * math.exp(-log / self.exponent)
        return self.coefficient * self.area * density * speed


@dataclass(frozen=True)
class Slide:
    """Release over a stroke. `mass` is rocket and water; `force(x, v)` any other axial force; tilt from the vertical.

    `inside`: tube or spigot in the neck takes room in the vessel; else a socket around a male nozzle fills with water.
    """

    pressure: float
    temperature: float
    vessel: float
    water: float
    seal: float
    stroke: float
    mass: float
    ambient: float = 101325.0
    inside: bool = True
    tube: float = 0.0
    gas: str | float = "dry"
    compliance: float = 0.0
    supply: Hose | Literal["none", "infinite"] = "none"
    gravity: float = 0.0
    tilt: float = 0.0
    force: Callable[[float, float], float] | None = None
    carries_gas: bool = False

    def room(self, x: float) -> float:
        """Unstretched room of the gas in bottle and tube."""
        return self.vessel - self.water - (self.seal * (self.stroke - x) if self.inside else -self.seal * x) + self.tube

    @property
    def soft(self) -> float:
        return self.vessel * self.compliance


@dataclass(frozen=True)
class Freed:
    """The rocket as it leaves its seal. `gas` is what the bottle keeps; `series(t)`: rows x, v, p, T, inflow, T_h."""

    time: float
    speed: float
    pressure: float
    temperature: float
    gas: Gas
    gas_volume: float
    water: float
    kept_by_socket: float
    tube_gas: float
    passed: float
    hose: tuple[float, float, float]
    work: float
    series: Callable[[np.ndarray], np.ndarray]

    @property
    def gas_mass(self) -> float:
        return self.gas.dry + self.gas.substance


def slide(case: Slide, method: str = "DOP853", rtol: float = 1e-11) -> Freed | None:
    """The slide to the end of the stroke; None where the pressure does not lift the rocket off its seal.

    A wide restriction before little gas is stiff: `method` LSODA.
    """
    start = gas_filling(case.gas, case.pressure, case.temperature, case.room(0.0), case.soft, case.ambient)
    endless = case.supply == "infinite"
    hose = case.supply if isinstance(case.supply, Hose) else None
    weight = case.gravity * math.cos(case.tilt)

    def carried(held: Gas, volume: float) -> float:
        share = (volume - case.tube) / volume
        return case.mass + (held.dry + held.substance) * share * case.carries_gas

    def gas_of(x: float, z: float, q: float) -> tuple[Gas, float, float, float]:
        """Gas, temperature, pressure, volume."""
        if endless:
            # Room at one pressure and temperature fills with dry gas of that temperature.
            volume = case.room(x) + case.soft * (case.pressure - case.ambient)
            grown = replace(start, dry=start.dry + case.pressure * case.seal * x / (water.R_DRY * case.temperature))
            return grown, case.temperature, case.pressure, volume
        held = replace(start, dry=start.dry + q)
        rest = z - (hose.after(q)[2] if hose else 0.0)
        t = held.temperature(held.energy, rest, case.room(x), case.temperature)
        pressure, volume, _ = held.at(t, case.room(x))
        return held, t, pressure, volume

    def rates(_: float, y: np.ndarray) -> list[float]:
        x, v, z, q = y
        held, _, pressure, volume = gas_of(x, z, q)
        excess = pressure - case.ambient
        other = case.force(x, v) if case.force else 0.0
        f = (excess * case.seal + other) / carried(held, volume)
        inflow = hose.flow(q, pressure) if hose else 0.0
        return [v, f - weight, -pressure * case.seal * v, inflow]

    def out(_: float, y: np.ndarray) -> float:
        return float(y[0] - case.stroke)

    whole = case.room(0.0) + case.soft * (case.pressure - case.ambient)
    if (case.pressure - case.ambient) * case.seal <= carried(start, whole) * weight:
        return None
    out.terminal = True  # type: ignore[attr-defined]
    z0 = start.energy(case.temperature, case.room(0.0)) + (hose.after(0.0)[2] if hose else 0.0)
    run = solve_ivp(
        rates, (0.0, 60.0), [0.0, 0.0, z0, 0.0], method=method, events=out, dense_output=True, first_step=1e-7,
        rtol=rtol, atol=[0.01 * rtol, 0.1 * rtol, rtol * z0, 1e-4 * rtol],
    )  # fmt: skip
    x, v, z, q = (float(a) for a in run.y[:, -1])
    work = (case.pressure * case.seal * x if endless else z0 - z) - case.ambient * case.seal * x
    held, t, pressure, volume = gas_of(x, z, q)
    share = (volume - case.tube) / volume
    kept = replace(held, dry=held.dry * share, substance=held.substance * share)
    lost = 0.0 if case.inside else case.seal * case.stroke

    def series(times: np.ndarray) -> np.ndarray:
        rows = []
        for moment in np.atleast_1d(times):
            y = run.sol(moment)
            _, heat, p, _ = gas_of(y[0], y[2], y[3])
            fed = (hose.flow(y[3], p), hose.after(y[3])[1]) if hose else (0.0, 0.0)
            rows.append([y[0], y[1], p, heat, *fed])
        return np.array(rows).T

    return Freed(
        float(run.t[-1]), v, pressure, t, kept, volume - case.tube, case.water - lost, lost,
        (held.dry + held.substance) * (1.0 - share), held.dry - start.dry, hose.after(q) if hose else (0.0, 0.0, 0.0),
        work, series,
    )  # fmt: skip


def pressure_over_water(gas: Gas, vessel: float, temperature: float, held: float) -> Callable[[float], float]:
    """Pressure against the water left, on the isentrope of gas that has a temperature over `held` of water."""
    entropy = gas.entropy(temperature, vessel - held)

    def of(left: float) -> float:
        t = gas.temperature(gas.entropy, entropy, vessel - left, temperature)
        return gas.at(t, vessel - left)[0]

    return of


@dataclass(frozen=True)
class Throttle:
    """How the way out opens: in a time, or with the travel of a neck `outer` wide off a spigot `inner` wide.

    `ahead` is travel that counts as made when the march begins.
    """

    side: Literal["launcher", "held"]
    time: float = 0.0
    contraction: float = 1.0
    outer: float = 0.0
    inner: float = 0.0
    ahead: float = 0.0

    def gap(self, x: float, jet: float) -> float:
        """Side of the cone between spigot and neck over the jet's area; 0 where a time says."""
        if self.time > 0.0:
            return 0.0
        slant = math.hypot(x + self.ahead, (self.outer - self.inner) / 2)
        return self.contraction * math.pi * (self.outer + self.inner) / 2 * slant / jet

    def open(self, t: float, x: float, jet: float) -> float:
        """Share of the jet's area that is open."""
        if self.time > 0.0:
            return min(t / self.time, 1.0)
        return min(self.gap(x, jet), 1.0)


@dataclass(frozen=True)
class Flight:
    """A rocket free along its axis: dry mass with gas, start speed, gravity's part along the axis, other force."""

    mass: float
    speed: float = 0.0
    weight: float = 0.0
    force: float = 0.0


@dataclass(frozen=True)
class Jet:
    """What the water phase gives.

    `through_exit` is the impulse of what leaves, `momentum_left` J, `length` Λ at the end. `energy` has what was gained
    and spent, J. `series(t)` gives rows thrust, u, σ, v, impulse.
    """

    time: float
    impulse: float
    through_exit: float
    momentum_left: float
    left: float
    out: float
    jet_speed: float
    jet_area: float
    length: float
    speed: float
    pressure: float
    energy: dict[str, float]
    series: Callable[[np.ndarray], np.ndarray]


def first_stream(
    case: Stand, excess: float, height: float, length: float, growth: float, side: str, flight: Flight | None
) -> float:
    """Speed of the stream while nothing is open yet: ½ w² + Λ σ̇ w = (p − pa)/ρ + f h, with f of that moment."""
    rho, jet = case.density, case.contraction * math.pi * case.bore**2 / 4
    a, b, c = 0.5, length * growth, excess / rho + case.specific_force * height
    if flight:
        mass = flight.mass + rho * case.water
        a -= 0.5 * rho * jet * height / mass * (side == "launcher")
        b -= growth * rho * jet * height**2 / mass
        c = excess / rho + height * flight.force / mass
    return (math.sqrt(b * b + 4 * a * c) - b) / (2 * a)


class Water:
    """Rates of the water phase. State: height, u, ∫dz/A, water, v, x, and the sums named in `SUMS`."""

    SUMS = ("impulse", "exit", "work", "pushed", "jet", "loss", "head", "lifted", "other", "out")
    FIRST = 6

    def __init__(
        self, case: Stand, pressure: Callable[[float], float], throttle: Throttle | None, flight: Flight | None
    ) -> None:
        self.case, self.pressure, self.throttle, self.flight = case, pressure, throttle, flight
        bore = math.pi * case.bore**2 / 4
        narrow = min(case.bore / (2 * case.radii[0]), 1.0)
        self.jet, self.loss = case.contraction * bore, 1 / case.velocity_coefficient**2 - 1
        inner = 0.4 * case.bore * max(1 - 1.47 * narrow + 0.47 * narrow**3, 0.0)
        self.fixed = (case.land + inner) * self.jet / bore
        self.launchers = throttle is not None and throttle.side == "launcher"
        self.weight = flight.weight if flight else case.specific_force

    def length(self, inertial: float) -> float:
        return max(self.jet * inertial + self.fixed, 0.05 * self.case.bore)

    def opened(self, t: float, y: np.ndarray) -> float:
        return self.throttle.open(t, y[5], self.jet) if self.throttle else 1.0

    def mass(self, y: np.ndarray) -> float:
        return self.flight.mass + self.case.density * float(y[3]) if self.flight else 0.0

    def push(self, t: float, y: np.ndarray) -> tuple[float, float, float, float, float]:
        """Impulse a second through the exit, thrust, growth of u, axial specific force, speed of the stream."""
        h, u, inertial, left = (float(a) for a in y[:4])
        rho, jet = self.case.density, self.jet
        stream, beta = u / self.opened(t, y), jet / self.case.area(h)
        leaving = rho * jet * (0.5 * (u * u + stream * stream) if self.launchers else u * stream)
        head = (self.pressure(left) - self.case.ambient) / rho - 0.5 * (stream**2 + u * u * (self.loss - beta**2))
        still, inner = leaving - rho * jet * beta * u * u, rho * jet * h
        if self.flight:
            mass = self.mass(y)
            gain = (head + h * (still + self.flight.force) / mass) / (self.length(inertial) - h * inner / mass)
            f = (still + inner * gain + self.flight.force) / mass
        else:
            f = self.case.specific_force
            gain = (head + f * h) / self.length(inertial)
        return leaving, still + inner * gain, gain, f, stream

    def rates(self, t: float, y: np.ndarray) -> list[float]:
        h, u, v = float(y[0]), float(y[1]), float(y[4])
        leaving, thrust, gain, f, stream = self.push(t, y)
        rho, jet = self.case.density, self.jet
        beta, flow = jet / self.case.area(h), jet * u
        # The cut: at the neck with its pressure where the launcher's part throttles, in the stream where ours does.
        cut, pressed = (u, 0.5 * rho * (stream**2 - u * u)) if self.launchers else (stream, 0.0)
        return [
            -beta * u, gain, -beta * beta * u / jet, -flow, f - self.weight if self.flight else 0.0, v,
            thrust, leaving, (self.pressure(float(y[3])) - self.case.ambient) * flow, pressed * jet * (v - u),
            0.5 * rho * flow * (v - cut) ** 2, 0.5 * self.loss * rho * flow * u * u, rho * flow * self.weight * h,
            self.mass(y) * self.weight * v, self.flight.force * v if self.flight else 0.0, flow,
        ]  # fmt: skip

    def start(self, kick: float = 0.0) -> tuple[float, np.ndarray]:
        """Time and state to march from: with a momentum inside, or with the first of the opening behind it."""
        case, throttle, rho, jet = self.case, self.throttle, self.case.density, self.jet
        y = np.zeros(self.FIRST + len(self.SUMS))
        y[0], y[3] = case.surface_height, case.water
        y[2] = case.over(lambda z: 1 / case.area(z), 0.0, y[0])
        y[4] = v = self.flight.speed if self.flight else 0.0
        if throttle is None or throttle.open(0.0, 0.0, jet) > 0.0:
            y[1], y[6] = kick / (rho * jet * y[0]), kick
            y[4] += kick / self.mass(y) if self.flight else 0.0
            return 0.0, y
        excess, length, h = self.pressure(case.water) - case.ambient, self.length(y[2]), float(y[0])

        def first(growth: float) -> tuple[float, float, float]:
            w = first_stream(case, excess, h, length, growth, throttle.side, self.flight)
            leaving = 0.5 * rho * jet * w * w * self.launchers
            f = (leaving + rho * jet * h * growth * w + self.flight.force) / self.mass(y) if self.flight else 0.0
            return w, leaving, f - self.weight

        if throttle.time > 0.0:
            t = SEED * throttle.time
            w, leaving, a = first(1.0 / throttle.time)
        else:
            around = throttle.contraction * math.pi * throttle.outer / jet
            x = SEED / around
            w, leaving, a = first(around * v)
            t = 2.0 * x / (v + math.sqrt(v * v + 2.0 * a * x))
            w, leaving, a = first(around * (v + 0.5 * a * t))
            y[5] = x
        y[1] = w * SEED
        y[4] += a * t if self.flight else 0.0
        leaving += 0.5 * rho * jet * w * y[1] * (not self.launchers)
        y[6], y[7] = leaving * t + rho * jet * h * y[1], leaving * t
        y[-1] = 0.5 * jet * y[1] * t
        y[3] -= y[-1]
        y[8] = excess * y[-1]
        if self.flight:
            way = v * t
            y[9], y[13], y[14] = leaving * way, self.mass(y) * self.weight * way, self.flight.force * way
        return t, y


def _ends(model: Water, end: float, bend: float) -> tuple[Callable[[float, np.ndarray], float], ...]:
    """Return what ends a leg: the water at `end`, the way out wide open, the water at a bend of the wall."""
    def empty(_: float, y: np.ndarray) -> float:
        return float(y[0] - end)

    def wide(_: float, y: np.ndarray) -> float:
        return model.throttle.gap(y[5], model.jet) - 1.0 if model.throttle else -1.0

    def bent(_: float, y: np.ndarray) -> float:
        return float(y[0] - bend)

    for event in (empty, wide, bent):
        event.terminal = True  # type: ignore[attr-defined]
    return empty, wide, bent


def fire_jet(
    case: Stand, pressure: Callable[[float], float], throttle: Throttle | None = None, flight: Flight | None = None,
    until: float = 60.0, kick: float = 0.0,
) -> Jet:  # fmt: skip
    """Water through a way out that opens, held or free, until gas breaks through or a time is up.

    Held, the stand's specific force acts; free, Newton's. Without a throttle all is open at once. Where something is
    open from the first, the water may have a momentum already, a `kick` that the rocket has got of it, N s.
    """
    end = case.breakthrough * case.water
    end = brentq(lambda h: case.over(case.area, 0.0, h) - end, 0.0, case.surface_height, xtol=1e-15)
    model = Water(case, pressure, throttle, flight)
    t, y = model.start(kick)
    legs = []
    for stage in (throttle, None) if throttle else (None,):
        model = Water(case, pressure, stage, flight)
        last = min(until, stage.time) if stage and stage.time > 0.0 else until
        # While it opens the stream follows at once; short steps keep the curves between them as good as the steps.
        step = last / 200 if stage and stage.time > 0.0 else math.inf
        over = False
        while not over:
            # No step goes over a bend of the wall: its error would not show.
            bend = max((z for z in case.heights if end < z < y[0] - 1e-9), default=-1.0)
            run = solve_ivp(
                model.rates, (t, last), y, events=_ends(model, end, bend), dense_output=True, max_step=step,
                first_step=0.05 * t if not legs and t > 0.0 else 1e-9, **TIGHT,
            )  # fmt: skip
            legs.append((run, model))
            t, y = float(run.t[-1]), run.y[:, -1]
            over = not run.t_events[2].size
        if run.t_events[0].size or t >= until:
            break

    def series(times: np.ndarray) -> np.ndarray:
        rows = []
        for moment in np.atleast_1d(times):
            run, leg = next((leg for leg in legs if moment <= leg[0].t[-1]), legs[-1])
            state = run.sol(max(moment, run.t[0]))
            rows.append([leg.push(moment, state)[1], state[1], leg.opened(moment, state), state[4], state[6]])
        return np.array(rows).T

    sums = dict(zip(Water.SUMS, (float(a) for a in y[Water.FIRST :]), strict=True))
    h, u, v, length = float(y[0]), float(y[1]), float(y[4]), model.length(float(y[2]))
    rho, jet, mass = case.density, model.jet, model.mass(y)
    first = (flight.mass + rho * case.water) * flight.speed**2 / 2 if flight else 0.0
    moving = 0.5 * mass * v * v - rho * jet * h * u * v + 0.5 * rho * jet * length * u * u
    energy = {name: sums[name] for name in ("work", "pushed", "head", "other", "jet", "loss", "lifted")}
    energy["moving"] = moving - first
    return Jet(
        t, sums["impulse"], sums["exit"], rho * jet * h * u, float(y[3]), sums["out"], u, jet, length, v,
        pressure(float(y[3])), energy, series,
    )  # fmt: skip


@dataclass(frozen=True)
class Spray:
    """What the spray gives: impulse with the moving water's momentum given back, and of what leaves alone."""

    time: float
    impulse: float
    through_exit: float
    given_back_at_end: float
    water_left: float
    settling: float
    series: Callable[[np.ndarray], np.ndarray]


def fire_spray(
    case: Stand, jet: Jet, gas_volume: float, gas_mass: float, returned: bool = True,
    flux: Callable[..., tuple[float, float]] = spray_flux, rtol: float = 1e-10,
) -> Spray:  # fmt: skip
    """Spray from the end of a water phase, its thrust less (J/τ) exp(−t/τ), the remainder of J at its end.

    A spray that finds no pressure to begin with takes nothing and pushes nothing: J comes back at once.

    `series(t)` gives rows thrust and impulse, without the remainder.
    """
    rho, area = case.density, case.spray_coefficient * math.pi * case.bore**2 / 4
    room, packed = gas_volume + jet.left, gas_mass / gas_volume
    momentum = jet.momentum_left if returned else 0.0

    def now(y: np.ndarray) -> tuple[float, float]:
        free = room - y[0] / rho
        return jet.pressure * (y[1] / free / packed) ** GAMMA, free / y[1]

    def flows(y: np.ndarray) -> tuple[float, float, float]:
        p, specific = now(y)
        if p <= case.ambient:
            return 0.0, 0.0, 0.0
        quality = case.slip * y[1] / (case.slip * y[1] + y[0])
        out, push = flux(p, case.ambient, quality, rho, specific, GAMMA)
        return (1 - quality) * out * area, quality * out * area, push * area

    begin = [jet.left * rho, gas_mass, 0.0, 0.0]
    if now(np.array(begin))[0] <= case.ambient * (1 + 1e-6):
        return Spray(0.0, -momentum, 0.0, momentum, begin[0], 0.0, lambda times: np.zeros((2, len(times))))
    settling = jet.left / (2 * jet.jet_area * jet.jet_speed)
    settling = max(settling, momentum / flows(np.array(begin))[2])

    def rates(t: float, y: np.ndarray) -> list[float]:
        wet, dry, push = flows(y)
        return [-wet, -dry, push, push - momentum / settling * math.exp(-t / settling)]

    def spent(_: float, y: np.ndarray) -> float:
        return now(y)[0] / case.ambient - 1 - 1e-6

    def empty(_: float, y: np.ndarray) -> float:
        return float(y[0] - 1e-9 * rho * room)

    spent.terminal = empty.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(rates, (0.0, 60.0), begin, events=(spent, empty), method="DOP853",
                    dense_output=True, rtol=rtol, atol=1e-13)  # fmt: skip
    time = float(run.t[-1])
    rest = momentum * math.exp(-time / settling)

    def series(times: np.ndarray) -> np.ndarray:
        states = [run.sol(min(t, time)) for t in np.atleast_1d(times)]
        thrusts = [rates(t, y)[3] for t, y in zip(np.atleast_1d(times), states, strict=True)]
        return np.array([thrusts, [y[3] for y in states]])

    return Spray(
        time, float(run.y[3, -1]) - rest, float(run.y[2, -1]), rest, float(run.y[0, -1]), settling, series
    )  # fmt: skip
