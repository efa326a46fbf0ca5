"""What Field hands to programs and readers: one document in SI units, a table of landings, and words."""

import math
import textwrap
from collections.abc import Iterator
from typing import Any

from bottlewright.design.document import Design
from bottlewright.design.unit_text import percent
from bottlewright.field.chance import chance
from bottlewright.field.compass import bearing_words
from bottlewright.field.exposure import Exposure
from bottlewright.field.landings import judged_odds
from bottlewright.field.launch_point import Proposal
from bottlewright.field.outlines import Ellipse
from bottlewright.field.people import Stand
from bottlewright.field.scatter import Scatter
from bottlewright.field.wind_limit import HourCall, swing_of, within_reach
from bottlewright.field.words import limit_words, sides_words
from bottlewright.report.csv_text import csv_text

__all__ = [
    "chance_rows", "landings_csv", "limit_rows", "limits_rest_on", "odds_rows", "scatter_document", "scatter_words",
]


def scatter_document(design: Design, found: Scatter) -> dict[str, Any]:
    """Return the scatter as one document."""
    origin = found.site.origin
    return {
        "name": design.name,
        "field": found.site.name,
        "launch_point_deg": None if origin is None else {"longitude": origin.longitude, "latitude": origin.latitude},
        "flights": found.flights,
        "flights_wanted": found.wanted,
        "flights_without_end": found.lost,
        "stopped": found.stopped,
        "seed": design.scatter.seed,
        "failure_odds": {name: {"value": q.value, "source": q.source} for name, q in found.odds.items()},
        "landings": {name: len(points) for name, points in found.landings.items()},
        "ellipse_95_as_planned": None if found.ellipse is None else _ellipse(found.ellipse),
        "outlines": [{"share": level, "area_m2": ground.area} for level, ground in found.outlines],
        "chances": [_exposure(exposure) for exposure in found.exposures],
        "ballistic_return": {"speed_m_s": found.ballistic_speed, "energy_J": found.ballistic_energy},
        "crew": [_stand(one) for one in found.ground.stands],
        "spectators": {
            "bearing_deg": math.degrees(found.ground.watching.bearing) % 360.0,
            "distance_on_that_side_m": found.ground.watching.asked.metres,
            "distance_m": found.distance.metres, "settled": found.distance.settled,
            "reach_m": found.reach.metres,
            "by_direction": [
                {"towards_deg": math.degrees(way), "distance_m": each.metres, "settled": each.settled}
                for way, each in found.sectors
            ],
        },
        "wind_limits": [
            {"from_deg": math.degrees(limit.from_direction), "speed_m_s": limit.speed, "height_m": found.wind_height,
             "reached": limit.reached}
            for limit in found.limits
        ],
        "flights_behind_each_limit": found.tried if found.limits else 0,
        "hours": [{"at": call.at, "verdict": str(call.verdict), "why": call.why} for call in found.calls],
        "proposals": [_proposal(proposal) for proposal in found.proposals],
        "findings": [finding.as_json() for finding in found.findings],
    }  # fmt: skip


def _ellipse(ellipse: Ellipse) -> dict[str, float]:
    return {
        "east_m": ellipse.east, "north_m": ellipse.north, "half_long_m": ellipse.long, "half_short_m": ellipse.short,
        "bearing_deg": math.degrees(ellipse.bearing),
    }  # fmt: skip


def _exposure(exposure: Exposure) -> dict[str, Any]:
    seen = exposure.chance
    return {
        "of": exposure.name, "kind": exposure.kind.name, "chance": seen.value, "low": seen.low, "high": seen.high,
        "hits": seen.hits, "allowed": exposure.allowed,
    }  # fmt: skip


def _proposal(proposal: Proposal) -> dict[str, Any]:
    turned = proposal.tilt is not None and proposal.leans_towards is not None
    return {
        "words": proposal.words, "east_m": proposal.place.east, "north_m": proposal.place.north,
        "room_m": proposal.place.room, "chance_over_accepted": proposal.place.ratio,
        "tilt_deg": math.degrees(proposal.tilt or 0.0) if turned else None,
        "leans_towards_deg": math.degrees(proposal.leans_towards or 0.0) % 360.0 if turned else None,
    }  # fmt: skip


def _stand(one: Stand) -> dict[str, Any]:
    return {
        "role": one.role, "distance_m": one.distance, "bearing_deg": math.degrees(one.bearing) % 360.0,
        "bearing_given": one.chosen, "in_lull_m_s": one.lull, "strike_chance": one.chance,
        "strike_chance_at_most": one.bound, "allowed": one.allowed, "sheltered": one.sheltered,
        "nearest_place": None if one.better is None else {
            "distance_m": one.better.distance, "bearing_deg": math.degrees(one.better.bearing) % 360.0,
            "settled": one.better.settled},
    }  # fmt: skip


def landings_csv(found: Scatter) -> str:
    """Return every landing, one a line."""
    rows = [(name, f"{east:.3f}", f"{north:.3f}") for name, points in found.landings.items()
            for east, north in points.tolist()]  # fmt: skip
    return csv_text([("came_down", "east_m", "north_m"), *rows])


def chance_rows(found: Scatter) -> Iterator[tuple[str, str, str]]:
    """Yield what, its chance with its interval, and what is accepted."""
    for exposure in found.exposures:
        kind = "" if exposure.name == exposure.kind.name else f" ({exposure.kind.name})"
        yield f"{exposure.name}{kind}", str(exposure.chance), percent(exposure.allowed)


def limit_rows(design: Design, found: Scatter) -> Iterator[tuple[str, str, str]]:
    """Yield where the wind comes from, the limit within its swing, and the distance for people on that side."""
    said = sides_words([each for _, each in found.sectors], found.habit)
    people = {round(math.degrees(way)): far for (way, _), far in zip(found.sectors, said, strict=True)}
    for limit in within_reach(found.limits, swing_of(design)):
        degrees = round(math.degrees(limit.from_direction))
        speed = limit_words(limit.speed, found.habit) + ("" if limit.reached else ", the published maximum")
        yield bearing_words(limit.from_direction), speed, people[degrees]


def limits_rest_on(found: Scatter) -> str:
    """Say at what height the wind is measured, how many flights stand behind the limits, and what those can't see."""
    unseen = chance(0, found.tried).high
    return (f"Measure the wind {found.habit.distance(found.wind_height)} above the ground. Each limit is the least "
            "within the swing of the wind to either side. We tried each wind with "
            f"{found.tried} flights. Where none of them landed wrong, the chance may still be up to {percent(unseen)}, "
            "so each hour is held to a sample of its own.")


_FAILURES = {
    "not_opening": "it does not open", "early_opening": "it opens early", "fin_lost": "a fin is lost",
    "release_never": "its mechanism never lets it out", "release_early": "its mechanism lets it out early",
    "release_late": "its mechanism lets it out too low", "release_torn": "it tears or breaks as it opens",
}  # fmt: skip


def odds_rows(found: Scatter) -> Iterator[tuple[str, str, str]]:
    """Yield each failure, its odds and who says so."""
    for name, quantity in found.odds.items():
        yield _FAILURES[name], percent(quantity.value), quantity.source


def odds_in_use(design: Design, found: Scatter) -> Iterator[tuple[str, str, str, str]]:
    """Yield each failure, its odds as judged before anything was counted, as used, and what these rest on."""
    judged = judged_odds(design)
    for name, quantity in found.odds.items():
        before = percent(judged[name].value) if name in judged else "not judged"
        used = "none seen" if quantity.value == 0.0 and name.startswith("release_") else percent(quantity.value)
        yield _FAILURES[name], before, used, quantity.source


def scatter_words(design: Design, found: Scatter) -> str:
    """Return the answer in plain words and tables, for a terminal."""
    stopped = "" if found.flights + found.lost == found.wanted else f", stopped early of {found.wanted}"
    lines = [f"{design.name} on {found.site.name}: {found.flights} flights{stopped}", ""]
    lines += [f"  {len(points):>6}  {name}" for name, points in found.landings.items()]
    if any(name.startswith("ballistic") for name in found.landings):
        lines += ["", "  Ballistic: nothing slows the rocket, and it falls like a dart."]
    if found.exposures:
        lines += ["", "Chance of coming down, per flight", *_columns(chance_rows(found), ("", "", "accepted"))]
    if found.limits:
        heads = ("wind from", "strongest", "people on that side")
        lines += ["", "Strongest wind, and how far people stand", *_columns(limit_rows(design, found), heads)]
        lines += ["", *textwrap.wrap(limits_rest_on(found), 100, initial_indent="  ", subsequent_indent="  ")]
    for call in found.calls:
        verdict = call.verdict.upper() if call.verdict is not HourCall.OPEN else str(call.verdict)
        lines += ["", f"  {call.at}: {verdict}. {call.why}."]
    for proposal in found.proposals:
        lines += ["", f"  {proposal.sentence}"]
    return "\n".join([*lines, ""])


def _columns(rows: Iterator[tuple[str, str, str]], heads: tuple[str, str, str]) -> list[str]:
    table = [heads, *rows] if any(heads) else list(rows)
    widths = [max(len(row[column]) for row in table) for column in range(3)]
    padded = ([cell.ljust(width) for cell, width in zip(row, widths, strict=True)] for row in table)
    return [f"  {'  '.join(row)}".rstrip() for row in padded]
