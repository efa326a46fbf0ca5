"""The vessel of a design: what its strength depends on, its stresses, its stretch, its joint and its neck."""

import math
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.rocket import ProofTest, Vessel
from bottlewright.design.shape import bottle_surface
from bottlewright.design.tables import material
from bottlewright.proof import strength
from bottlewright.proof.bursts import Bottle, law, size_factor
from bottlewright.proof.judged_day import days_past, is_past
from bottlewright.quantities import Basis, Dimension, Quantity

__all__ = [
    "INSPECT_CYCLES", "MOST_CYCLES", "RETIRE_SOURCE", "Growth", "VesselStress", "cycles_counted", "describe_bottle",
    "done_since", "growth_after", "need", "permanent_limit", "vessel_stress", "wall_by_mass", "wall_temperature",
]

MOST_CYCLES = 15
"""Times under pressure after which a bottle is spent: "retire after 10 to 15 launches", NASA Glenn Research Center and
University of Nebraska guides. No cycle-life curve is published."""

INSPECT_CYCLES = 10
"""Times under pressure from which a bottle is looked over or retired: the lower number of the same guides."""

RETIRE_SOURCE = "NASA Glenn Research Center and University of Nebraska guides; no published cycle-life curve"
"""Who says both."""

_THREAD = 27.4e-3  # m, PCO 1881 neck drawing (read in a copy)
_ENGAGED = 6e-3  # m, of a PCO 1881 cap's thread (original not checked)


def need(quantity: Quantity | None) -> float:
    """Return the value of a quantity that a completed design always has."""
    assert quantity is not None, "the design has to be completed first"
    return quantity.value


def describe_bottle(design: Design) -> Bottle:
    """Gather from a completed design what the strength depends on."""
    vessel, charge, past = design.vessel, design.charge, 86400.0 * days_past(design)
    age = vessel.age
    return Bottle(
        kind=vessel.kind or "unknown",
        volume=need(vessel.volume),
        wall_ratio=_wall_ratio(vessel),
        age=age.value + 2.0 * age.spread + past if age else None,
        youngest=max(age.value - 2.0 * age.spread, 0.0) + past if age else None,
        cycles=cycles_counted(vessel) if vessel.cycles is not None else max(cycles_counted(vessel), MOST_CYCLES),
        storage=vessel.storage,
        surface=tuple(vessel.surface),
        dated=tuple(name for name, last in _done(vessel) if last and is_past(last)),
        temperature=wall_temperature(design),
        rest=charge.wait.value if charge.wait else 0.0,
        count=vessel.count,
        joint_shear_per_pressure=strength.splice_shear(1.0, 0.5 * need(vessel.diameter), overlap)
        if (overlap := _overlap(vessel)) else None,
    )


def done_since(vessel: Vessel, day: str | None) -> tuple[str, ...]:
    """Return what of sun and work on the wall may have come after a test of that day: all but what ended before it.

    A test without a date is the older one, and work without a date the later.
    """
    return tuple(name for name, last in _done(vessel) if not (day and last and last < day))


def _done(vessel: Vessel) -> list[tuple[str, str | None]]:
    """Return what was done to the bottle, each with its last day."""
    kept = [(vessel.storage, vessel.storage_date)] if vessel.storage else []
    return [*kept, *((work, vessel.surface_date) for work in vessel.surface)]


def cycles_counted(vessel: Vessel) -> int:
    """Return how often a vessel was under pressure, by the greatest of all that the file says of it.

    Whoever left `vessel.cycles` out may have used it up to the end of its life: its strength is taken for that.
    """
    return max(vessel.cycles or 0, len(vessel.proof), *(test.cycles or 0 for test in vessel.proof), 0)


def wall_temperature(design: Design) -> float:
    """Return how warm the wall may be at the launch, K: as the water inside or the air outside, whichever is more."""
    return max(need(design.charge.temperature), need(design.weather.temperature))


def _wall_ratio(vessel: Vessel) -> float | None:
    """Return wall over diameter at its weak end where somebody measured both: a typical value never lifts a rating.

    A wall that is thicker than usual lifts by what is sure of it, and never past what the bottle's mass allows. One
    that is thinner counts at its weak end too, but at most twice as far below the usual as measured: so a usual wall
    is not worse measured than left out. A measured wall on a diameter of the table lifts nothing.
    """
    wall, diameter = vessel.wall, vessel.diameter
    if wall is None or diameter is None or wall.basis is not Basis.MEASURED:
        return None
    usual = law("wall_ratio") * size_factor(need(vessel.volume))
    told = min(wall.value, wall_by_mass(vessel, 2.0)) / diameter.value
    sure = min(wall.value - 2.0 * wall.spread, wall_by_mass(vessel, -2.0)) / (diameter.value + 2.0 * diameter.spread)
    if told < usual:
        return max(sure, 2.0 * told - usual, 0.1 * told)
    return max(usual, sure) if diameter.basis is Basis.MEASURED else usual


def wall_by_mass(vessel: Vessel, spreads: float) -> float:
    """Return how thick the wall is (m) if the mass of a bottle, but its threaded neck, lies evenly over its surface.

    The straight part is no thicker: shoulder and base of a blown bottle are stretched less than it is.

    Parameters
    ----------
    spreads
        How many of its ± to add to the mass.
    """
    mass = need(vessel.empty_mass) + spreads * (vessel.empty_mass.spread if vessel.empty_mass else 0.0)
    spread_out = max(mass - law("neck_mass", Dimension.MASS, "wall"), 0.0)
    return spread_out / (material("pet")["density"].value * bottle_surface(vessel))


@dataclass(frozen=True, slots=True)
class Growth:
    """What a proof test has added to the diameter for good: grown, its standard deviation, and what may stay, m."""

    grown: float
    doubt: float
    allowed: float

    @property
    def sure(self) -> bool:
        """Whether it is too much by more than two standard deviations of the tape."""
        return self.grown - 2.0 * self.doubt > self.allowed


def permanent_limit(elastic: float) -> float:
    """Return the permanent growth that may stay beside an elastic one: a tenth of the two together."""
    share = law("growth_limit", table="proof")
    return share * elastic / (1.0 - share)


def growth_after(design: Design, test: ProofTest) -> Growth | None:
    """Return the permanent growth of the diameter in a test; None where it was not measured before and after."""
    before, after = test.diameter_before, test.diameter_after
    if before is None or after is None:
        return None
    elastic = vessel_stress(design, test.pressure.value).diameter_growth_m
    return Growth(after.value - before.value, math.hypot(before.spread, after.spread), permanent_limit(elastic))


def _overlap(vessel: Vessel) -> float | None:
    spliced = vessel.count > 1 and vessel.joint == "splice" and vessel.joint_overlap is not None
    return (need(vessel.joint_overlap) or None) if spliced else None


@dataclass(frozen=True, slots=True)
class VesselStress:
    """Stresses and stretch at one gauge pressure; joint values None without a splice of known overlap."""

    gauge_Pa: float
    hoop_Pa: float
    axial_Pa: float
    dome_Pa: float
    diameter_growth_m: float
    volume_growth: float
    film_strength_Pa: float
    cap_load_N: float
    thread_shear_Pa: float
    splice_shear_Pa: float | None
    splice_peak_over_mean: float | None
    splice_strength_Pa: float | None


def vessel_stress(design: Design, gauge: float) -> VesselStress:
    """Work out the stresses of a completed design's vessel at a gauge pressure (Pa).

    The dome is taken as half as strongly curved as the shoulder's end: radius of curvature equal to the cylinder's
    diameter, which gives it the cylinder's hoop stress.
    """
    vessel = design.vessel
    radius, wall = 0.5 * need(vessel.diameter), need(vessel.wall)
    elastic = (gauge, radius, wall, need(vessel.modulus), need(vessel.poisson))
    bore = need(vessel.neck_bore)
    overlap = _overlap(vessel)
    shear = peak = glue = None
    if overlap:
        shear = strength.splice_shear(gauge, radius, overlap)
        peak = strength.volkersen_peak(
            overlap, need(vessel.modulus), wall, wall,
            law("shear_modulus", Dimension.PRESSURE, "joint"), law("glue", Dimension.LENGTH, "joint"),
        )
        glue = law("strength", Dimension.PRESSURE, "joint")
    return VesselStress(
        gauge_Pa=gauge,
        hoop_Pa=strength.hoop_stress(gauge, radius, wall),
        axial_Pa=strength.axial_stress(gauge, radius, wall),
        dome_Pa=strength.dome_stress(gauge, 2.0 * radius, wall),
        diameter_growth_m=2.0 * radius * strength.hoop_strain(*elastic),
        volume_growth=strength.volume_growth(*elastic),
        film_strength_Pa=law("strength", Dimension.PRESSURE, "film"),
        cap_load_N=gauge * 0.7853981633974483 * bore**2,
        thread_shear_Pa=strength.thread_shear(gauge, bore, _THREAD, _ENGAGED),
        splice_shear_Pa=shear,
        splice_peak_over_mean=peak,
        splice_strength_Pa=glue,
    )
