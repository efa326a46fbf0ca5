"""The whole of Field for one design: where it comes down, the chances, the wind it stands, and what would help."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.field_tables import Hour
from bottlewright.field.distance import Distance, distance_by_direction, distance_everywhere
from bottlewright.field.exposure import Exposure, exposures, worst_ratio
from bottlewright.field.findings import (
    REMEDY,
    call_findings,
    distance_finding,
    exposure_findings,
    people_rule,
    return_findings,
    site_findings,
    stuck_findings,
    turning_findings,
)
from bottlewright.field.keep_out_kinds import kinds
from bottlewright.field.landings import (
    FlyBatch,
    Mode,
    Sample,
    can_open,
    failure_odds,
    mode_name,
    points,
    sample_flights,
    with_wind,
)
from bottlewright.field.launch_point import Place, best_launch_point, best_tilt, place_now
from bottlewright.field.outlines import Ellipse, dense_outlines, gaussian_ellipse
from bottlewright.field.site import FieldSite
from bottlewright.field.wind_limit import (
    DIRECTIONS,
    Call,
    HourCall,
    WindLimit,
    call_hour,
    compass,
    confirmed,
    limit_at,
    wind_limits,
)
from bottlewright.findings import Finding, by_urgency
from bottlewright.flight.batch import fly_batch, sample_batch
from bottlewright.flight.state import Endings
from bottlewright.proof.rules import rule_table, strictest
from bottlewright.quantities import Quantity

__all__ = ["Proposal", "Scatter", "scatter"]

Floats = NDArray[np.float64]
BLOCK = 512  # flights between two chances to stop with what there is
BALLISTIC = 300  # flights that show a ballistic return, whatever its odds
TRIAL = 20  # of the sample, one flight in so many stands behind each trial of a wind or a tilt
HOUR_FLIGHTS = 4000  # at most, behind the go of an hour; the smallest accepted chance, 0.1 %, asks for 3689
HIGHEST_TILT = math.radians(15.0)


@dataclass(frozen=True)
class Proposal:
    """A launch point or a tilt that keeps the landings further from what they must not reach."""

    words: str
    place: Place
    tilt: float | None = None
    leans_towards: float | None = None

    @property
    def remedy(self) -> str:
        """The words, and whether it is enough."""
        left = self.place.ratio
        return self.words if left <= 1.0 else f"{self.words} (not enough: {left:.1f} times the accepted chance is left)"

    @property
    def sentence(self) -> str:
        """What to do and what it brings."""
        room = self.place.room
        brings = (f"99 of 100 landings then keep {room:.0f} m of room" if room >= 0.0
                  else f"even then one landing in 100 lies {-room:.0f} m or more too far")
        return f"{self.remedy}: {brings}."


@dataclass(frozen=True)
class Scatter:
    """What Field found.

    Parameters
    ----------
    site, odds
        The field, and the odds of the failures.
    landings
        Rows of metres from the launch point by how the flight came down, those that went as planned first.
    flights, wanted, lost
        Flights counted, asked for, and without an end.
    outlines, ellipse
        Ground that holds 50, 90 and 95 % of the landings, and the ellipse of 95 % of those that went as planned.
    exposures
        Chance of leaving and of each keep-out.
    ballistic
        Landings when the parachute stays in; the middle landing speed (m/s) and energy (J) of these.
    distance, sectors
        How far people must stand, on any side and by direction.
    limits, tried, calls
        Strongest wind by direction, flights behind each wind that was tried for it; go, wait or no by hour.
    proposals
        What would lower the chances.
    stopped
        Whether the user stopped it before all was worked out.
    findings
        Sorted.
    """

    site: FieldSite
    odds: dict[str, Quantity]
    landings: dict[str, Floats]
    flights: int
    wanted: int
    lost: int
    outlines: list[tuple[float, BaseGeometry]]
    ellipse: Ellipse | None
    exposures: list[Exposure]
    ballistic: Floats
    ballistic_speed: float
    ballistic_energy: float
    distance: Distance
    sectors: list[tuple[float, Distance]]
    limits: list[WindLimit]
    tried: int
    calls: list[Call]
    proposals: list[Proposal]
    stopped: bool
    findings: list[Finding]


def scatter(
    design: Design,
    site: FieldSite,
    flights: int | None = None,
    seed: int | None = None,
    fly: FlyBatch = fly_batch,
    say: Callable[[str, float], None] = lambda *_: None,
    winds: bool = True,
) -> Scatter:
    """Work out where the rocket comes down and what that means.

    Parameters
    ----------
    design, site
        Completed design and its checked field.
    flights, seed
        Of the sample; the design's when None.
    fly
        Flies plans.
    say
        Told what is being done and how far it is, 0 to 1. On Ctrl-C the work goes on with the flights there are.
    winds
        Work out the wind limits and proposals too, which takes most of the time.
    """
    wanted = flights or design.scatter.flights
    seed = design.scatter.seed if seed is None else seed
    middle = fly(sample_batch(design, 0, 1, seed=seed, vary=False))
    apogee = float(np.nan_to_num(middle["apogee_time_s"][0]))
    sample, summaries = _fly_blocks(design, wanted, seed, apogee, fly, say)
    every = points(summaries)
    kept = np.isfinite(every).all(axis=1)
    stuck = np.isin(summaries["ending"], (Endings.never_left, Endings.stuck))
    landings, modes = every[kept], np.where(stuck, Mode.STUCK, sample.modes)[kept]
    if not len(landings):
        raise DesignError([Problem("", "makes no flight with an end", "run `bottlewright fly` and look what it says")])
    leaving = design.scatter.leaving.value if design.scatter.leaving else None
    seen = exposures(site, landings, leaving)
    limits: list[WindLimit] = []
    proposals: list[Proposal] = []
    calls: list[Call] = []
    stopped = len(every) < wanted

    def in_hour(hour: Hour) -> list[Exposure]:
        flown = sample_flights(_in_weather(design, hour), 0, min(wanted, HOUR_FLIGHTS), seed, apogee).batch
        return exposures(site, _landings(flown, fly), leaving)

    few = sample.batch[: max(wanted // TRIAL, 20)]
    turning = summaries["static_margin_min_calibres"] < 0.0
    # A rocket that stays, or turns over, gets no "go".
    if winds and len(every) == wanted and max(np.mean(stuck), np.mean(turning)) <= 0.5:
        try:
            limits = _wind_limits(design, site, few, leaving, fly, say)
            proposals = _proposals(design, site, few, landings, fly, say)
            calls = _calls(design, limits, seen, in_hour, say)
        except KeyboardInterrupt:  # what is known of the landings is told all the same
            stopped = True
    ballistic = fly(_ballistic_plans(design, seed))
    planned = landings[modes == Mode.AS_PLANNED]
    people = kinds()["spectators"].allowed
    distance, sectors = distance_everywhere(landings, people), distance_by_direction(landings, people)
    strike = _middle(ballistic["landing_speed_m_s"]), _middle(ballistic["landing_energy_J"])
    findings = [
        *stuck_findings(int(stuck.sum()), len(stuck)), *turning_findings(int(turning.sum()), len(turning)),
        *site_findings(site),
        *exposure_findings(seen, proposals[0].remedy if proposals else REMEDY),
        distance_finding(distance, people, sectors),
        *return_findings(*strike, design.recovery.kind if can_open(design) else "none"),
        *call_findings(calls, len(few), min(len(every), HOUR_FLIGHTS)),
    ]  # fmt: skip
    return Scatter(
        site=site, odds=failure_odds(design), landings=_by_mode(design, landings, modes), flights=len(landings),
        wanted=wanted, lost=int(np.count_nonzero(~kept)), outlines=dense_outlines(landings),
        ellipse=gaussian_ellipse(planned, 0.95) if len(planned) > 2 else None, exposures=seen,
        ballistic=points(ballistic), ballistic_speed=strike[0], ballistic_energy=strike[1], distance=distance,
        sectors=sectors, limits=limits, tried=len(few), calls=calls, proposals=proposals, stopped=stopped,
        findings=by_urgency(findings),
    )  # fmt: skip


# --- flying ----------------------------------------------------------------------------------------------------------


def _fly_blocks(
    design: Design, wanted: int, seed: int, apogee: float, fly: FlyBatch, say: Callable[[str, float], None]
) -> tuple[Sample, Any]:
    """Fly block by block; when the user stops it, return the blocks that are done, if there is one."""
    samples, summaries = [], []
    try:
        for first in range(0, wanted, BLOCK):
            sample = sample_flights(design, first, min(BLOCK, wanted - first), seed, apogee)
            summaries.append(fly(sample.batch))
            samples.append(sample)
            say("flying the sample", min(first + BLOCK, wanted) / wanted)
    except KeyboardInterrupt:
        if not samples:
            raise
    flown = Sample(np.concatenate([one.batch for one in samples]), np.concatenate([one.modes for one in samples]))
    return flown, np.concatenate(summaries[: len(samples)])


def _ballistic_plans(design: Design, seed: int) -> Any:
    batch = sample_batch(design, 0, BALLISTIC, seed=seed)
    batch["turbulence"], batch["release"] = 1, 2
    return batch


def _middle(values: Floats) -> float:
    seen = values[np.isfinite(values)]
    return float(np.median(seen)) if len(seen) else math.nan


def _by_mode(design: Design, landings: Floats, modes: NDArray[np.int64]) -> dict[str, Floats]:
    return {mode_name(mode, design): landings[modes == mode] for mode in Mode if np.any(modes == mode)}


# --- what would help --------------------------------------------------------------------------------------------------


def _landings(batch: Any, fly: FlyBatch) -> Floats:
    rows = points(fly(batch))
    return rows[np.isfinite(rows).all(axis=1)]


def _wind_limits(
    design: Design, site: FieldSite, few: Any, leaving: float | None, fly: FlyBatch,
    say: Callable[[str, float], None],
) -> list[WindLimit]:
    """Return the limit for each direction; none where there is nothing to leave or hit."""
    if site.boundary is None and not site.keep_outs:
        return []

    def ratio(speed: float, from_direction: float) -> float:
        landed = _landings(with_wind(few, design, speed, from_direction), fly)
        return worst_ratio(exposures(site, landed, leaving))

    if ratio(0.0, DIRECTIONS[0]) > 1.0:  # then no wind helps, from wherever
        return [WindLimit(direction, 0.0, reached=True) for direction in DIRECTIONS]
    limits = []
    rule = strictest(rule_table(), "wind")  # nothing above a published maximum is ever proposed
    highest = rule.value if rule and rule.value else 9.0
    for limit in wind_limits(lambda speed, way: ratio(speed, way) if speed > 0.0 else 0.0, highest=highest):
        limits.append(limit)
        say("finding the strongest wind from each direction", len(limits) / len(DIRECTIONS))
    return limits


def _proposals(
    design: Design, site: FieldSite, few: Any, landings: Floats, fly: FlyBatch, say: Callable[[str, float], None]
) -> list[Proposal]:
    """Return a launch point and a tilt that do better than the present ones, where there are such."""
    if site.boundary is None:
        return []
    say("looking for a better launch point", 0.0)
    now = place_now(site, landings)
    best = best_launch_point(site, landings, people=people_rule().value or 0.0)
    if best is None:
        return []
    away = math.hypot(best.east, best.north)
    found = []
    if away > 3.0 and best.room > now.room + 2.0:
        bearing = math.atan2(best.east, best.north)
        words = f"Move the launcher {away:.0f} m towards {compass(bearing)}"
        found.append(Proposal(words, best))
    if away > 3.0:
        found += _tilt(design, site, few, math.atan2(best.east, best.north), fly)
    say("looking for a better launch point", 1.0)
    return found


def _tilt(design: Design, site: FieldSite, few: Any, leans_towards: float, fly: FlyBatch) -> list[Proposal]:
    """Try tilts towards where the landings should go."""
    aimed = few.copy()
    leaning = design.launcher.leans_towards
    aimed["leans_towards"] += leans_towards - (leaning.value if leaning else 0.0)
    present = design.launcher.tilt.value if design.launcher.tilt else 0.0

    def place_at(tilt: float) -> Place:
        leaning = aimed.copy()
        leaning["tilt"] += tilt - present
        return place_now(site, _landings(leaning, fly))

    tilt, place = best_tilt(place_at, HIGHEST_TILT)
    if place.room < place_now(site, _landings(few, fly)).room + 2.0:
        return []
    words = f"Lean the launcher {math.degrees(tilt):.0f}° from upright towards {compass(leans_towards)}"
    return [Proposal(words, place, tilt, leans_towards)]


def _in_weather(design: Design, hour: Hour) -> Design:
    """Return the design in the wind of an hour."""
    wind = {"wind_speed": hour.wind_speed, "wind_from": hour.wind_from, "gust": hour.gust}
    return design.model_copy(update={"weather": design.weather.model_copy(update=wind)})


def _calls(
    design: Design, limits: list[WindLimit], seen: list[Exposure], in_hour: Callable[[Hour], list[Exposure]],
    say: Callable[[str, float], None],
) -> list[Call]:
    """Return go, wait or no for the weather of the design and for each hour of its table.

    A go is confirmed by the chances of the whole sample, for an hour of the table flown in its own wind.
    """
    weather = design.weather
    if not limits or weather.wind_speed is None or weather.wind_from is None:
        return []
    now = Hour(at="now", wind_speed=weather.wind_speed, wind_from=weather.wind_from, gust=weather.gust)
    calls = []
    for done, hour in enumerate([now, *weather.hours]):
        limit, gust = limit_at(limits, hour.wind_from.value, hour.wind_from.spread), hour.gust
        call = call_hour(hour.at, limit, hour.wind_speed.value, hour.wind_speed.spread, gust.value if gust else None)
        if call.verdict is HourCall.GO:
            call = confirmed(call, seen if hour is now else in_hour(hour))
        calls.append(call)
        say("flying in the wind of each hour", (done + 1) / (len(weather.hours) + 1))
    return calls
