"""The field in another wind than the file's: what the limits say of it at once, and its own landings soon after."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bottlewright.errors import FieldsError
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from bottlewright.design.field_tables import Hour
    from bottlewright.field.ground import Ground
    from bottlewright.field.scatter import Scatter
    from bottlewright.field.wind_limit import Call
    from bottlewright.project.project import Project

__all__ = ["WindLandings", "as_written", "called", "in_wind", "wind_asked", "wind_landings",
           "wind_of"]

_MOST = 40.0
"""m/s; no wind of a launch day is stronger."""


@dataclass(frozen=True, eq=False)
class WindLandings:
    """Where the rocket comes down in one wind, by a sample as large as that of an hour of the day.

    Parameters
    ----------
    ground
        What the landings mean.
    landings
        By kind of return, as many of each as its odds bring.
    outlines
        Ground that holds 50, 90 and 95 % of them.
    flights
        Of the sample.
    """

    ground: "Ground"
    landings: "dict[str, Any]"
    outlines: "list[tuple[float, BaseGeometry]]"
    flights: int


def wind_asked(project: "Project", given: Mapping[str, str]) -> tuple[float, float] | None:
    """Return a wind that somebody asks for, m/s and rad; None where the two fields are empty.

    Raises
    ------
    FieldsError
        With what is wrong with `speed` or `from`.
    """
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.errors import BottlewrightError
    from bottlewright.quantities import Dimension, parse_quantity

    texts = {name: given.get(name, "").strip() for name in ("speed", "from")}
    if not any(texts.values()):
        return None
    asked = {"speed": (unit_habit(project.design).unit("m/s"), Dimension.SPEED), "from": ("deg", Dimension.ANGLE)}
    wrong, read = dict[str, str](), dict[str, float]()
    for name, (unit, dimension) in asked.items():
        plain = texts[name].replace(",", ".").lstrip("+-").replace(".", "", 1).isdecimal()
        try:
            read[name] = parse_quantity(f"{texts[name]} {unit}" if plain else texts[name], dimension).value
        except BottlewrightError as error:
            wrong[name] = str(error)
    if "speed" in read and not 0.0 <= read["speed"] <= _MOST:
        wrong["speed"] = f"has to be a wind from a calm to {_MOST:g} m/s"
    if "from" in read and not abs(read["from"]) < 100.0:
        wrong["from"] = "has to be a direction, such as 240 for 240° from north"
    if wrong:
        raise FieldsError(wrong)
    return read["speed"], read["from"] % (2.0 * math.pi)


def in_wind(project: "Project", speed: float, from_bearing: float) -> "Project":
    """Return a project in another mean wind, m/s and rad; its ± stays, and nobody knows its gusts."""
    weather = project.design.weather
    spreads = [f" ± {one.spread:.6g} {unit}" if one is not None and one.spread else ""
               for one, unit in ((weather.wind_speed, "m/s"), (weather.wind_from, "rad"))]  # fmt: skip
    values: dict[str, object] = {"weather.wind_speed": f"'{speed:.6g} m/s{spreads[0]}'",
                                 "weather.wind_from": f"'{from_bearing:.6g} rad{spreads[1]}'"}  # fmt: skip
    return project.changed(values | ({"weather.gust": None} if weather.gust else {}))


def wind_of(project: "Project") -> tuple[float, float] | None:
    """Return the wind that the file gives, m/s and rad; None where it does not say how strong and where from."""
    from bottlewright.field.numbers import wind_given

    weather = project.design.weather
    if not wind_given(project.design) or weather.wind_speed is None or weather.wind_from is None:
        return None
    return weather.wind_speed.value, weather.wind_from.value


def as_written(project: "Project", speed: float, from_bearing: float) -> dict[str, str | None]:
    """Return the changes that make a wind, m/s and rad, the file's own: its ± stays, the gusts of the other go."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import neat

    weather, unit = project.design.weather, unit_habit(project.design).unit("m/s")
    texts = {"wind_speed": neat(speed, unit, 3), "wind_from": f"{round(math.degrees(from_bearing), 1) % 360.0:g} deg"}
    changes: dict[str, str | None] = {"weather.gust": None} if weather.gust else {}
    for name, text in texts.items():
        was = getattr(weather, name)
        spread = was.text.replace("+/-", "±").partition("±")[2].strip() if was and was.text else ""
        changes[f"weather.{name}"] = f"{text} ± {spread}" if spread else text
    return changes


def wind_landings(project: "Project", progress: Progress | None, stop: Stop | None) -> WindLandings:
    """Fly a sample in the wind of a project; see `WindLandings`.

    Raises
    ------
    StoppedError
        When `stop` said so.
    """
    import numpy as np

    from bottlewright.field.ground import ground_in
    from bottlewright.field.outlines import dense_outlines
    from bottlewright.field.trials import Trials
    from bottlewright.field.wind_limit import HOUR_FLIGHTS

    design, wanted = project.design, min(project.design.scatter.flights, HOUR_FLIGHTS)
    with watching(progress, stop) as watch:
        trials = Trials.of(design, project.site, watch.fly, watch.say, design.scatter.seed)
        ground = ground_in(trials, _hour(project), wanted)
        first = ground.strata[0]  # the rare ones were flown besides: of each as many are shown as its odds would bring
        count = len(first.landings) / first.odds
        landings = {one.name: one.landings[: round(count * one.odds)] for one in ground.strata}
        return WindLandings(ground, landings, dense_outlines(np.concatenate(list(landings.values()))), wanted)


def called(project: "Project", found: "Scatter", landings: WindLandings | None) -> "Call | None":
    """Return no, wait or nothing against it for the wind of a project; None where there are no limits.

    Parameters
    ----------
    found
        The scatter of the same design in the wind of the file, whose limits count.
    landings
        In this very wind, where they are worked out: without them the limits alone are asked.
    """
    from bottlewright.field.wind_limit import against_people, by_limit, confirmed

    if not found.limits:
        return None
    call = by_limit(project.design, _hour(project), found.limits, found.habit)
    if landings is None:
        return call
    return confirmed(call, landings.ground.exposures, against_people(landings.ground, found.habit))


def _hour(project: "Project") -> "Hour":
    from bottlewright.design.field_tables import Hour

    weather = project.design.weather
    assert weather.wind_speed is not None
    assert weather.wind_from is not None
    return Hour(at="in this wind", wind_speed=weather.wind_speed, wind_from=weather.wind_from)
