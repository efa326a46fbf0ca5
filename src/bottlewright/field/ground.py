"""One wind over one field: what the landings in it mean for keep-outs, crew and spectators."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.field_tables import Hour
from bottlewright.field.distance import Distance, distance_by_direction, distance_everywhere, sector_of
from bottlewright.field.exposure import Exposure, with_tails
from bottlewright.field.landings import in_weather, with_wind
from bottlewright.field.people import Lull, Stand, accepted, crew_stands, people_rule
from bottlewright.field.strata import fly_strata
from bottlewright.field.tail import Stratum
from bottlewright.field.trials import FlownSample, Trials, fly_sample

__all__ = ["Ground", "Watching", "fly_lulls", "ground_in", "ground_of", "people_moved"]


@dataclass(frozen=True)
class Watching:
    """Where the spectators stand: bearing (rad), whether the file gives it, distance (m; None unsaid), what it must be.

    Without a bearing they stand where the distance may be the least.
    """

    bearing: float
    chosen: bool
    planned: float | None
    asked: Distance


@dataclass(frozen=True)
class Ground:
    """Landings by kind of return, chances, and where people stand in one wind.

    Parameters
    ----------
    strata
        Each kind of return with its odds.
    exposures
        Chance of leaving the field and of each keep-out.
    sectors
        How far spectators stand, by bearing (rad), never less than the published distance.
    reach
        How far the landings reach in their furthest direction.
    stands, watching
        Operator and pumper; spectators.
    lulls
        Landings in less wind, by which operator and pumper are judged too.
    """

    strata: list[Stratum]
    exposures: list[Exposure]
    sectors: list[tuple[float, Distance]]
    reach: Distance
    stands: list[Stand]
    watching: Watching
    lulls: Sequence[Lull] = ()


LULL_STEP = 1.5
"""m/s between two of the lulls that are flown, from a calm up to the wind of the design."""
LULL_FLIGHTS = 2000
"""Of a lull: as many as the sample where it has no more than that, else half of them, for in less wind the landings lie
closer together and their tails are known as well."""


def fly_lulls(trials: Trials, wanted: int) -> list[Lull]:
    """Fly the design in a calm and in each lull below its own wind, each flight keeping its own deviation from it.

    A wind that drops brings down near the launcher what was to be carried past the people there.

    Parameters
    ----------
    wanted
        Flights of the sample.

    Raises
    ------
    KeyboardInterrupt
        When the user stops the flights.
    """
    weather, count = trials.design.weather, min(wanted, max(LULL_FLIGHTS, wanted // 2))
    if weather.wind_speed is None or weather.wind_from is None:
        return []
    turned, flown = weather.wind_from.value, []
    for speed in np.arange(0.0, weather.wind_speed.value, LULL_STEP).tolist():
        trials.say("flying in lulls of the wind", speed / weather.wind_speed.value)
        fly = partial(_dropped, trials, speed, turned)
        then = Trials.of(trials.design, trials.site, fly, trials.muted("flying in lulls of the wind"), trials.seed)
        sample = fly_sample(then, count)
        if len(sample.stuck) < count:
            raise KeyboardInterrupt
        flown.append(Lull(speed, fly_strata(then, sample, count)[0]))
    return flown


def _dropped(trials: Trials, speed: float, turned: float, batch: Any) -> Any:
    return trials.fly(with_wind(batch, trials.design, speed, turned))


def ground_of(
    trials: Trials, sample: FlownSample, wanted: int, further: bool = True, lulls: Sequence[Lull] = ()
) -> Ground:
    """Return what the landings of a sample mean; the rare returns are flown besides, unless the user stopped it."""
    design = trials.design
    further = further and len(sample.stuck) == wanted
    strata, lost = fly_strata(trials, sample, wanted, further)
    seen = with_tails(trials.exposures(sample.landings), trials.site, strata)
    least = people_rule().value or 0.0
    allowed = accepted(design, "spectators").a_launch
    bare = distance_by_direction(strata, allowed, known=lost == 0 and further)
    sectors = [(way, one._replace(metres=max(one.metres, least))) for way, one in bare]
    furthest = distance_everywhere(bare)
    stands = crew_stands(design, strata, lulls, lambda: trials.say("looking where people may stand", 0.0))
    return Ground(strata, seen, sectors, furthest, stands, _watching(design, sectors), lulls)


def people_moved(design: Design, ground: Ground) -> Ground:
    """Return the same landings with the people of another design: who stands elsewhere changes no flight."""
    stands = crew_stands(design, ground.strata, ground.lulls)
    return replace(ground, stands=stands, watching=_watching(design, ground.sectors))


def _watching(design: Design, sectors: list[tuple[float, Distance]]) -> Watching:
    crew = design.launcher.crew
    given = crew.spectators_bearing if crew else None
    bearing = given.value if given else min(sectors, key=lambda sector: sector[1].metres)[0]
    planned = crew.spectators.value if crew and crew.spectators else None
    return Watching(bearing, given is not None, planned, sector_of(sectors, bearing))


def ground_in(trials: Trials, hour: Hour, wanted: int) -> Ground:
    """Fly a sample in the wind of an hour and return what it means.

    Raises
    ------
    KeyboardInterrupt
        When the user stops the flights.
    """
    then = replace(trials, design=in_weather(trials.design, hour), say=trials.muted("flying in another wind"),
                   seen=lambda _: None)  # fmt: skip
    sample = fly_sample(then, wanted)
    if len(sample.stuck) < wanted:
        raise KeyboardInterrupt
    return ground_of(then, sample, wanted)
