"""The Field chapter of the report."""

import math

from bottlewright.design.descents import descent_of
from bottlewright.design.document import Design
from bottlewright.design.unit_text import percent
from bottlewright.field.files import geojson_text, kml_text
from bottlewright.field.landings import Floats, Mode, can_open, mode_name
from bottlewright.field.pictures import field_map, wind_rose
from bottlewright.field.results import (
    chance_rows,
    landings_csv,
    limit_rows,
    limits_rest_on,
    odds_rows,
    scatter_document,
)
from bottlewright.field.scatter import Scatter
from bottlewright.field.wind_limit import called_under, swing_of, within_reach
from bottlewright.findings import Stage
from bottlewright.report.act_on import ActOn
from bottlewright.report.html import Chapter, Number, Section, fold, headline, pair, place, prose, state_of, table
from bottlewright.report.style import Picture

__all__ = ["field_chapter", "field_files", "field_pictures"]


def field_chapter(design: Design, found: Scatter, act: ActOn) -> Chapter:
    """Return where the rocket comes down: map, chances, wind limits, distances, what would help."""
    document = scatter_document(design, found)
    state = state_of(found.findings, Stage.FIELD)
    return Chapter(
        Section(Stage.FIELD, _title(found), state, _html(found, act), field_pictures(design, found)),
        findings=found.findings,
        results={key: value for key, value in document.items() if key not in ("name", "findings")},
        files=field_files(found),
    )


def _title(found: Scatter) -> str:
    leaving = next((exposure for exposure in found.exposures if exposure.kind.name == "outside the field"), None)
    if leaving is None:
        return "Where it comes down; no field is drawn"
    chance = leaving.chance
    share = f"under {percent(chance.most)}" if chance.hits == 0 else percent(chance.value)
    return f"{share[0].upper()}{share[1:]} of flights leave {found.site.name}"


def _html(found: Scatter, act: ActOn) -> str:
    numbers = [Number("spectators stand", act.spectators, "away at the least")]
    if act.wind:
        numbers.insert(0, Number("strongest wind", act.wind, act.wind_because))
    if math.isfinite(found.ballistic_energy):
        strike = f"{found.ballistic_energy:.0f} J"
        numbers.append(Number("if nothing slows it", found.habit.speed(found.ballistic_speed, 2), strike))
    beside = []
    if found.exposures:
        heads = ("Coming down", "Chance per flight, with the range that counting leaves open", "Accepted")
        beside.append(table(heads, [*chance_rows(found)]))
    if found.calls:
        stopped = act.says if act.level == "stop" else ""
        rows = [(one.at, str(one.verdict), one.why) for one in (called_under(call, stopped) for call in found.calls)]
        beside.append(table(("Hour", "The wind says", "Why"), rows))
    beside += [prose(one.sentence) for one in found.proposals]
    odds = table(("Failure", "Odds per flight", "Source"), [*odds_rows(found)])
    beside.append(fold("What may go wrong, and how often we reckon with it", odds))
    if act.winds:
        limits = table(("Wind from", "Strongest, in the hand"), act.winds) + prose(limits_rest_on(found))
        beside.append(fold("The strongest wind, by where it comes from", limits))
    if act.sides:
        sides = table(("Side of the launcher", "At least"), act.sides)
        beside.append(fold("How far spectators stand, by side", sides))
    parts = [headline(numbers), pair(place("map"), "".join(beside))]
    if found.limits:
        parts.append(place("wind-rose"))
    return "".join(parts)


def field_pictures(design: Design, found: Scatter) -> list[Picture]:
    """Return the map and, where there are limits, the rose."""
    weather = design.weather
    wind = (weather.wind_speed.value, weather.wind_from.value) if weather.wind_speed and weather.wind_from else None
    words = "; ".join(f"{what}, {chance}" for what, chance, _ in chance_rows(found))
    pictures = [
        Picture(
            "map", f"Landings of {found.flights} flights on {found.site.name}, north up.",
            f"Map of the field seen from above with the landings of {found.flights} flights. {words}",
            lambda width: field_map(found.site, _drawn(design, found), found.outlines, wind, found.habit, width),
        )
    ]  # fmt: skip
    if found.limits:
        shown = within_reach(found.limits, swing_of(design))
        limits = ", ".join(f"{way} {speed}" for way, speed, _ in limit_rows(design, found))
        caption = "The strongest wind at which the chances stay within what you accept, by where it comes from."
        pictures.append(Picture("wind-rose", caption, f"Wind limits by direction: {limits}",
                                lambda width: wind_rose(shown, found.habit, min(width, 100.0))))
    return pictures


def _drawn(design: Design, found: Scatter) -> dict[str, Floats]:
    """Return the landings to draw: those of the sample, and a ballistic return even where its odds are nil."""
    if not can_open(design) or mode_name(Mode.NOT_OPENING, design) in found.landings:
        return found.landings
    return found.landings | {f"ballistic, if {descent_of(design.recovery).stays}": found.ballistic}


def field_files(found: Scatter) -> dict[str, str | bytes]:
    """Return the files for other programs: landings as table, GeoJSON and, where the place is known, KML."""
    files: dict[str, str | bytes] = {
        "landings.csv": landings_csv(found),
        "landings.geojson": geojson_text(found.site, found.landings, found.outlines),
    }
    if found.site.origin is not None:
        files["landings.kml"] = kml_text(found.site, found.landings, found.outlines)
    return files


