"""The plan of a water-filled proof test: how hard, how long, in which steps, what to measure, and what ends it."""

import math
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.proof.allowed import Allowed, allowed_pressure
from bottlewright.proof.bursts import burst_table, law
from bottlewright.proof.distances import Distances, governing_distance
from bottlewright.proof.energy import StoredEnergy, stored_energy, water_filled
from bottlewright.proof.evidence import own_tests
from bottlewright.proof.next_test import believed_for_test, next_test, test_ceiling
from bottlewright.proof.pressure_rules import pressure_rules
from bottlewright.proof.rating import reported_chance
from bottlewright.proof.vessel import describe_bottle, need, permanent_limit, vessel_stress
from bottlewright.quantities import Dimension

__all__ = ["ProofPlan", "ProofStep", "proof_plan", "vessel_energy"]

_PARTS = (0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class ProofStep:
    """One step of the test: gauge pressure, hold, and what to look for."""

    pressure_Pa: float
    hold_s: float
    look_for: str


@dataclass(frozen=True, slots=True)
class ProofPlan:
    """A water-filled proof test for a launch at a reading of the gauge.

    `proof_gauge_Pa` is the factor times that launch, the gauge's error and a month's loss included, and no more than
    the ceiling; `capped` says whether the ceiling holds it down, and the launch is then more than it will cover.
    """

    launch_gauge_Pa: float
    factor: float
    factor_source: str
    floor_factor: float
    floor_source: str
    proof_gauge_Pa: float
    floor_gauge_Pa: float
    ceiling_gauge_Pa: float
    ceiling_because: str
    ceiling_source: str
    capped: bool
    hold_s: float
    steps: tuple[ProofStep, ...]
    break_chance: float
    diameter_growth_m: float
    permanent_growth_limit_m: float
    growth_source: str
    water_added_m3: float
    on_water: StoredEnergy
    on_air: StoredEnergy
    distances: Distances
    measure: tuple[str, ...]
    ends_it: tuple[str, ...]


def vessel_energy(design: Design, state: str, gauge: float, gas: float) -> StoredEnergy:
    """Return the stored energy of a completed design's vessel with so much gas in it (m³) at a gauge pressure."""
    vessel = design.vessel
    volume = need(vessel.volume) * vessel.count
    water, wall = water_filled(
        gauge, volume, 0.5 * need(vessel.diameter), need(vessel.wall), need(vessel.modulus), need(vessel.poisson)
    )
    return stored_energy(state, gauge, gas, water * (1.0 - gas / volume), wall)


def proof_plan(design: Design, launch: float | None = None, allowed: Allowed | None = None) -> ProofPlan:
    """Plan the proof test of a completed design for a launch at a reading of the gauge, Pa.

    When left out it is the planned one, and no more than the strictest published maximum: there is no sense in testing
    for a pressure that nobody may use. Before its own test it is the one that the test would allow.

    Parameters
    ----------
    allowed
        Where it has been worked out already.
    """
    table, bottle, tests = burst_table()["proof"], describe_bottle(design), own_tests(design)
    if launch is None:
        first = (allowed or allowed_pressure(design)).after_test
        launch = min(need(design.charge.pressure), pressure_rules(design).maximum_Pa)
        launch = first.allowed_gauge_Pa if first else launch
        proof = first.test_gauge_Pa if first else next_test(design, bottle, tests, launch)
    else:
        proof = next_test(design, bottle, tests, launch)
    hold = law("hold", Dimension.TIME, "proof")
    volume = need(design.vessel.volume) * design.vessel.count
    belief, stress = believed_for_test(bottle, tests), vessel_stress(design, proof)
    ceiling = test_ceiling(design, belief)
    habit = unit_habit(design)
    permanent = permanent_limit(stress.diameter_growth_m)
    return ProofPlan(
        launch_gauge_Pa=launch, factor=table["factor"], factor_source=table["factor_source"],
        floor_factor=table["floor"], floor_source=table["floor_source"],
        proof_gauge_Pa=proof, floor_gauge_Pa=min(table["floor"] * launch, proof),
        ceiling_gauge_Pa=ceiling.gauge_Pa, ceiling_because=ceiling.because, ceiling_source=ceiling.source,
        capped=proof > ceiling.gauge_Pa * (1.0 - 1e-9), hold_s=hold,
        steps=tuple(_step(proof, part, hold) for part in _PARTS),
        break_chance=reported_chance(belief.chance_below(proof)),
        diameter_growth_m=stress.diameter_growth_m,
        permanent_growth_limit_m=permanent, growth_source=table["growth_source"],
        water_added_m3=stress.volume_growth * volume,
        on_water=vessel_energy(design, "proof test on water", proof, 0.0),
        on_air=vessel_energy(design, "the same test on air", proof, volume),
        distances=governing_distance(design, proof),
        measure=(
            "the girth at the middle of the straight part, at its top and at its foot, with a tape, before and after",
            "the temperature of the water, and the gauge's reading at each step",
            "the girth again one hour after, since PET creeps back slowly",
        ),
        ends_it=(
            "a hiss, a drip, a creak or a click",
            "white streaks, a bulge, a cloudy patch, or a base that turns out",
            f"the gauge falling by more than {habit.pressure(0.02 * proof, 2)} in a hold",
            f"a girth grown for good by more than {habit.length(math.pi * permanent, 2)} round the straight part",
        ),
    )


def _step(proof: float, part: float, hold: float) -> ProofStep:
    last = part == 1.0
    look = "hold, watch, let the pressure off from your place" if last else "watch gauge and wall from your place"
    return ProofStep(part * proof, hold if last else 0.5 * hold, look)
