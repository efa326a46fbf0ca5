"""One wind over one field: what the landings in it mean for keep-outs, crew and spectators."""

from dataclasses import dataclass, replace

from bottlewright.design.document import Design
from bottlewright.design.field_tables import Hour
from bottlewright.field.distance import Distance, distance_by_direction, distance_everywhere, sector_of
from bottlewright.field.exposure import Exposure, with_tails
from bottlewright.field.landings import in_weather
from bottlewright.field.people import Stand, accepted, crew_stands, people_rule
from bottlewright.field.strata import fly_strata
from bottlewright.field.tail import Stratum
from bottlewright.field.trials import FlownSample, Trials, fly_sample

__all__ = ["Ground", "Watching", "ground_in", "ground_of", "people_moved"]


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
    """

    strata: list[Stratum]
    exposures: list[Exposure]
    sectors: list[tuple[float, Distance]]
    reach: Distance
    stands: list[Stand]
    watching: Watching


def ground_of(trials: Trials, sample: FlownSample, wanted: int, further: bool = True) -> Ground:
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
    return Ground(strata, seen, sectors, furthest, crew_stands(design, strata), _watching(design, sectors))


def people_moved(design: Design, ground: Ground) -> Ground:
    """Return the same landings with the people of another design: who stands elsewhere changes no flight."""
    return replace(ground, stands=crew_stands(design, ground.strata), watching=_watching(design, ground.sectors))


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
    then = replace(trials, design=in_weather(trials.design, hour), say=lambda *_: None)
    sample = fly_sample(then, wanted)
    if len(sample.stuck) < wanted:
        raise KeyboardInterrupt
    return ground_of(then, sample, wanted)
