"""The whole of Field for one design: where it comes down, the chances, the wind it stands, and what would help."""

import math
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.design.descents import descent_of
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.field.distance import Distance, distance_everywhere
from bottlewright.field.exposure import Exposure
from bottlewright.field.findings import (
    REMEDY,
    call_findings,
    exposure_findings,
    reach_findings,
    return_findings,
    site_findings,
    stuck_findings,
    turning_findings,
)
from bottlewright.field.ground import Ground, fly_lulls, ground_of, people_moved
from bottlewright.field.landings import (
    FlyBatch,
    Mode,
    ballistic_flights,
    can_open,
    failure_odds,
    mode_name,
    points,
)
from bottlewright.field.launch_point import Proposal, proposals
from bottlewright.field.outlines import Ellipse, dense_outlines, gaussian_ellipse
from bottlewright.field.people import accepted
from bottlewright.field.people_findings import ballistic_findings, crew_findings, spectators_finding
from bottlewright.field.release_odds import release_odds, release_odds_findings
from bottlewright.field.site import FieldSite
from bottlewright.field.tail import flights_to_count
from bottlewright.field.trials import FlownSample, Progress, Seen, Trials, fly_sample, side_by_side
from bottlewright.field.unconfirmed import flown_with
from bottlewright.field.wind_limit import HOUR_FLIGHTS, Call, WindLimit, call_hours, fly_hours, site_limits
from bottlewright.findings import Finding, by_urgency
from bottlewright.flight.batch import fly_batch
from bottlewright.quantities import Quantity

__all__ = ["Scatter", "moved", "scatter"]

Floats = NDArray[np.float64]
TRIAL = 20  # of the sample, one flight in so many stands behind each trial of a wind or a tilt


@dataclass(frozen=True)
class Scatter:
    """What Field found.

    Parameters
    ----------
    site, odds
        The field, and the odds of the failures.
    landings
        Rows of metres from the launch point by how the flight came down, those that went as planned first.
    flights, wanted, lost, seed
        Flights counted, asked for, and without an end; the seed they were drawn with.
    outlines, ellipse
        Ground that holds 50, 90 and 95 % of the landings, and the ellipse of 95 % of those that went as planned.
    exposures
        Chance of leaving and of each keep-out.
    ballistic
        Landings when the parachute stays in; the middle landing speed (m/s) and energy (J) of these.
    planned_energy
        Of the middle strike as planned, J, whatever slows it.
    ground
        What the landings mean for keep-outs, crew and spectators.
    distance, sectors
        How far spectators stand, on any side and by direction, never less than the published distance.
    reach
        How far the landings reach in their furthest direction.
    limits, wind_height, tried, calls
        Strongest wind by direction, the height (m) it is measured at, flights behind each wind that was tried for it;
        no, wait or nothing against it by hour.
    proposals
        What would lower the chances.
    stopped
        Whether the user stopped it before all was worked out.
    habit
        Units of the builder.
    hours
        What the landings in the wind of each hour mean, where the limits have nothing against it.
    of_flights
        Findings that hold wherever people stand.
    findings
        Sorted.
    whole
        Whether all of it was worked out: neither stopped nor asked for without winds.
    """

    site: FieldSite
    odds: dict[str, Quantity]
    landings: dict[str, Floats]
    flights: int
    wanted: int
    lost: int
    seed: int
    outlines: list[tuple[float, BaseGeometry]]
    ellipse: Ellipse | None
    exposures: list[Exposure]
    ballistic: Floats
    ballistic_speed: float
    ballistic_energy: float
    planned_energy: float
    ground: Ground
    distance: Distance
    sectors: list[tuple[float, Distance]]
    reach: Distance
    limits: list[WindLimit]
    wind_height: float
    tried: int
    calls: list[Call]
    proposals: list[Proposal]
    stopped: bool
    habit: UnitHabit
    hours: list[Ground | None]
    of_flights: list[Finding]
    findings: list[Finding]
    whole: bool = False


def scatter(
    design: Design,
    site: FieldSite,
    flights: int | None = None,
    seed: int | None = None,
    fly: FlyBatch = fly_batch,
    say: Progress = lambda *_: None,
    winds: bool = True,
    seen: Seen = lambda _: None,
) -> Scatter:
    """Work out where the rocket comes down and what that means.

    Parameters
    ----------
    design, site
        Completed design and its checked field.
    flights, seed
        Of the sample; the design's when None.
    fly
        Flies a batch.
    say
        Reports progress. On Ctrl-C the work goes on with the flights there are.
    winds
        Work out the wind limits and proposals too, which takes most of the time.
    seen
        Takes the landings of the sample block by block, as they are flown.
    """
    wanted = flights or design.scatter.flights
    design, unconfirmed = flown_with(design, fly, design.scatter.seed if seed is None else seed)
    site = _watched(site, accepted(design, "spectators").a_launch)
    trials = Trials.of(design, site, fly, say, design.scatter.seed if seed is None else seed, seen)
    sample = fly_sample(trials, wanted)
    if not len(sample.landings):
        raise DesignError([Problem("", "makes no flight with an end", "run `bottlewright fly` and look what it says")])
    few = sample.batch[: max(wanted // TRIAL, 20)]
    stopped = len(sample.stuck) < wanted
    try:
        ground = ground_of(trials, sample, wanted, lulls=() if stopped else fly_lulls(trials, wanted))
    except KeyboardInterrupt:  # the landings of the sample are reported all the same
        ground, stopped = ground_of(trials, sample, wanted, further=False), True
    day = _day(trials, sample, few, ground, wanted) if winds and not stopped else _Day([], [], [], [], stopped)
    strikes = fly(ballistic_flights(design, trials.seed)[: 60 if stopped else None])
    odds = failure_odds(design) | release_odds(design, sample.modes, sample.came_to)
    planned = sample.landings[sample.came_to == Mode.AS_PLANNED]
    found = Scatter(
        site=site, odds=odds, landings=_by_mode(design, sample), flights=len(sample.landings),
        wanted=wanted, lost=len(sample.stuck) - len(sample.landings), seed=trials.seed,
        outlines=dense_outlines(sample.landings),
        ellipse=gaussian_ellipse(planned, 0.95) if len(planned) > 2 else None, exposures=ground.exposures,
        ballistic=points(strikes), ballistic_speed=_middle(strikes["landing_speed_m_s"]),
        ballistic_energy=_middle(strikes["landing_energy_J"]),
        planned_energy=_middle(sample.strikes[sample.modes == Mode.AS_PLANNED]),
        ground=ground, distance=distance_everywhere(ground.sectors), sectors=ground.sectors, reach=ground.reach,
        limits=day.limits, wind_height=_wind_height(design), tried=len(few),
        calls=day.calls, proposals=day.proposals, stopped=day.stopped, habit=trials.habit,
        hours=day.hours, of_flights=[], findings=[],
        whole=winds and not day.stopped,
    )  # fmt: skip
    found = replace(found, of_flights=[*unconfirmed, *_of_flights(design, found, sample)])
    return replace(found, findings=by_urgency([*found.of_flights, *_of_people(design, found)]))


class _Day(NamedTuple):
    """Wind limits, hours, calls and proposals; whether the user stopped before all was worked out."""

    limits: list[WindLimit]
    hours: list[Ground | None]
    calls: list[Call]
    proposals: list[Proposal]
    stopped: bool


def _watched(site: FieldSite, allowed: float) -> FieldSite:
    """Return the site with the accepted chance for spectators' ground no higher than that of a strike."""
    areas = (
        area._replace(allowed=min(area.allowed, allowed)) if area.kind.name == "spectators" else area
        for area in site.keep_outs
    )
    return replace(site, keep_outs=tuple(areas))


def _wind_height(design: Design) -> float:
    height = design.weather.wind_height
    assert height is not None, "a completed design has one"
    return height.value


def _day(trials: Trials, sample: FlownSample, few: Any, ground: Ground, wanted: int) -> _Day:
    """Work out what the wind allows and what would help.

    A rocket that stays on the launcher, or turns over, gets no limits, and no hour is judged.
    """
    limits: list[WindLimit] = []
    helps: list[Proposal] = []
    hours: list[Ground | None] = []
    calls: list[Call] = []
    stopped = False
    if max(np.mean(sample.stuck), np.mean(sample.turning)) <= 0.5:
        try:
            limits, helps = side_by_side(
                trials, lambda there: site_limits(there, few), lambda there: proposals(there, sample, len(few)))
            hours = fly_hours(trials, limits, ground, wanted)
            calls = call_hours(trials.design, limits, hours, trials.habit)
        except KeyboardInterrupt:  # what is known of the landings is reported all the same
            stopped = True
    return _Day(limits, hours, calls, helps, stopped)


def moved(design: Design, found: Scatter) -> Scatter:
    """Return a scatter with the people of another design, whose flights are the same."""
    hours = [one and people_moved(design, one) for one in found.hours]
    calls = call_hours(design, found.limits, hours, found.habit) if found.calls else []
    there = replace(found, ground=people_moved(design, found.ground), hours=hours, calls=calls)
    return replace(there, findings=by_urgency([*there.of_flights, *_of_people(design, there)]))


def _of_people(design: Design, found: Scatter) -> list[Finding]:
    """Return what is found of where people stand, and of the hours, against which a place may stand."""
    watched = accepted(design, "spectators")
    return [
        *crew_findings(found.ground.stands, accepted(design, "crew"), found.habit),
        spectators_finding(found.ground.watching, found.distance, watched,
                           flights_to_count(found.ground.strata, watched.a_launch), found.habit, found.ground.sectors),
        *ballistic_findings(
            found.site, found.ground.watching, found.reach.metres, *_strike(design, found), found.habit),
        *call_findings(found.calls, found.tried, min(found.flights + found.lost, HOUR_FLIGHTS)),
    ]  # fmt: skip


def _of_flights(design: Design, found: Scatter, sample: FlownSample) -> list[Finding]:
    """Return what is found of the flights and the field, wherever people stand."""
    flown = len(sample.stuck)
    return [
        *stuck_findings(int(sample.stuck.sum()), flown),
        *turning_findings(int(sample.turning.sum()), flown),
        *release_odds_findings(design, release_odds(design, sample.modes, sample.came_to)),
        *found.site.notes,
        *site_findings(found.site, found.habit),
        *exposure_findings(found.exposures, found.proposals[0].remedy if found.proposals else REMEDY),
        *reach_findings(found.site, found.reach.metres, found.reach.settled, found.habit),
        *return_findings(found.ballistic_speed, found.ballistic_energy,
                         descent_of(design.recovery).stays if can_open(design) else "", found.habit),
    ]  # fmt: skip


def _strike(design: Design, found: Scatter) -> tuple[float, str]:
    """Return the energy (J) of the strike that people have to reckon with, and that what slows it is out.

    It is that of the planned landing, whatever the canopy is called: a small one may slow nothing. Where no flight
    came down as planned, it is that of a fall with nothing to slow it.
    """
    if can_open(design) and math.isfinite(found.planned_energy):
        return found.planned_energy, descent_of(design.recovery).done
    return found.ballistic_energy, ""


def _middle(values: Floats) -> float:
    seen = values[np.isfinite(values)]
    return float(np.median(seen)) if len(seen) else math.nan


def _by_mode(design: Design, sample: FlownSample) -> dict[str, Floats]:
    found = {mode: sample.landings[sample.came_to == mode] for mode in Mode}
    return {mode_name(mode, design): rows for mode, rows in found.items() if len(rows)}
