"""The page for the field as one file: it opens without the laptop, keeps entries and sends them later."""

import datetime as dt
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.errors import InputError
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.day_words import StateWords, stop_in_words, table_in_words, waits_in_words
from bottlewright.logbook.people import THE_LAPTOP, People, Person
from bottlewright.logbook.roles import ROLES
from bottlewright.logbook.sighting import ANGLE_OFF_DEG
from bottlewright.project.content_policy import own_policy
from bottlewright.project.standing import hour_of
from bottlewright.project.words import here

if TYPE_CHECKING:
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.project.result import Result
    from bottlewright.project.scatter import ScatterResult

__all__ = ["FieldFile", "checked_address", "entry_words", "field_file", "mark_of", "page_script"]


class FieldFile(NamedTuple):
    """The page as a file, its name, and the addresses that its policy lets it send to."""

    name: str
    html: str
    connect: str


@dataclass(frozen=True, slots=True)
class _Page:
    """What the template sets."""

    name: str
    digest: str
    saved: str
    who: str
    role: str
    asks_who: bool
    writes: Sequence[str]
    level: str
    verdict: str
    verdict_rest: str
    answer: str
    answers: Sequence[tuple[str, str]]
    load: Sequence[tuple[str, str, str]]
    people: Sequence[tuple[str, str, str]]
    rests_on: str
    sides: Sequence[tuple[str, str]]
    winds: Sequence[tuple[str, str]]
    wind_because: str
    hours: Sequence[tuple[str, str, str]]
    map_wide: str
    map_narrow: str
    map_says: str
    phases: Sequence[Mapping[str, Any]]
    misfire: Mapping[str, Any]
    unchecked: Sequence[str]
    units: Mapping[str, Any]
    vessel: str
    thunder: str
    stop: str
    states: Sequence[StateWords]
    waits: Sequence[tuple[str, str]]


NO_LANDINGS = "Nobody has worked out where it comes down. Only the published distances count."
ONLY_NUMBERS = "The distances come from landings that were worked out before; the landings themselves are not drawn."
"""Distances and limits outlive the landings that they come from: they are kept beside the design."""


def field_file(
    result: "Result", scattered: "ScatterResult | None", people: People, person: Person | None = None,
    addresses: Sequence[str] = (), now: dt.datetime | None = None,
) -> FieldFile:  # fmt: skip
    """Return the page of the field for one person.

    Parameters
    ----------
    result
        Whose verdict counts all that was worked out.
    scattered
        Where the rocket comes down; None where nobody has worked it out.
    people
        Of the folder: they give the pass with which the page sends what it kept.
    person
        Whose page it is; the laptop's own when left out.
    addresses
        Of the laptop, such as ``"http://192.168.1.20:8731"``; none where it answers nobody.
    """
    from bottlewright.report.html import templates

    person, now = person or THE_LAPTOP, (now or dt.datetime.now()).replace(second=0, microsecond=0)
    page = _page(result, scattered, person, now)
    shown = people.pass_of(person.mark)
    data = {"mark": mark_of(shown), "pass": shown, "digest": page.digest, "file": result.project.file.name,
            "addresses": list(addresses), "angle_off_deg": ANGLE_OFF_DEG, "units": page.units}  # fmt: skip
    environment, connect = templates(), " ".join(addresses)
    assert environment.loader is not None
    css = environment.loader.get_source(environment, "field-page.css")[0]
    js = "".join(page_script(name) for name in ("outbox", "stop", "field-page"))
    policy = own_policy(f"<style>{_style(css)}</style><script>{js}</script>", connect)
    html = environment.get_template("field-page.html").render(
        page=page, policy=policy, css=_style(css), js=js, data=_inside(data))  # fmt: skip
    words = "".join(letter if letter.isalnum() else " " for letter in page.name.lower()).split()
    return FieldFile(f"field-{'-'.join(words)[:40] or 'rocket'}.html", html, connect)


def page_script(name: str) -> str:
    """Return a script that the saved page and the pages of the server share, such as that of the Stop button."""
    from bottlewright.report.html import templates

    environment = templates()
    assert environment.loader is not None
    return environment.loader.get_source(environment, f"{name}.js")[0]


def mark_of(shown: str) -> str:
    """Return by what a page knows again what it kept: it tells folders and people apart, and is no pass."""
    person, _, signature = shown.partition(".")
    return f"{person}.{signature[:16]}"


def checked_address(text: str) -> str:
    """Return the address of a laptop as a page sends to it.

    Raises
    ------
    InputError
        For anything but http or https, a name or number, and a port.
    """
    if not re.fullmatch(r"https?://[A-Za-z0-9.-]{1,80}(:[0-9]{1,5})?/?", text):
        raise InputError(f"{text!r} is no address of a laptop, such as http://192.168.1.20:8731")
    return text.rstrip("/")


def _style(css: str) -> str:
    from bottlewright.figures.colours import LIGHT, class_rules

    return css + class_rules({name: f"var(--{name})" for name in LIGHT})


def _inside(data: Mapping[str, Any]) -> str:
    """Return values as JSON that ends no element of the page."""
    return json.dumps(data).replace("<", "\\u003c").replace("&", "\\u0026")


def _page(result: "Result", scattered: "ScatterResult | None", person: Person, now: dt.datetime) -> _Page:
    from bottlewright.report.first_page import first_page, rows_of

    act, name = result.act, result.design.name
    first, _, rest = result.verdict_lines()[0].partition(". ")
    rows = rows_of(first_page(act, result.findings))
    load = [(name, says.replace(*_COVER), remark.replace(*_COVER)) for name, says, remark in rows["load"]]
    allowed = "Nobody pumps this bottle again" if act.retired else f"{act.allowed[:1].upper()}{act.allowed[1:]}"
    stand = f"Whoever pumps {act.pumper}, whoever pulls {act.operator}, spectators {act.spectators}"
    map_wide, map_narrow, map_says = _map(result, scattered)
    phases, misfire = _sheets(result)
    return _Page(
        name=name, digest=result.digest, saved=f"{now.day} {now:%b %Y, %H:%M}", role=person.role,
        who=f"{person.name}: {person.role}" if person.name else "for whoever has this phone",
        asks_who=not person.name, writes=ROLES[person.role].writes, level=act.level, verdict=first,
        verdict_rest=here(rest), answer=f"{name} at the field",
        answers=[(f"On the gauge: {allowed}", act.because), (here(stand), here(act.distances_because))],
        load=load, people=rows["people"], rests_on=here(rows["rests_on"]),
        sides=[(row.where, row.says) for row in act.sides], winds=[(row.where, row.says) for row in act.winds],
        wind_because=act.wind_because,
        hours=[hour_of(result, call) for call in scattered.found.calls] if scattered else [],
        map_wide=map_wide, map_narrow=map_narrow, map_says=map_says, phases=phases, misfire=misfire,
        unchecked=[here(one) for one in act.unchecked], units=_units(result.verdict.habit),
        vessel=result.design.vessel.id or "", thunder=day_table().limits["thunder_wait"].says, stop=stop_in_words(),
        states=table_in_words(), waits=waits_in_words(),
    )  # fmt: skip


def _map(result: "Result", scattered: "ScatterResult | None") -> tuple[str, str, str]:
    """Return the map, wide and narrow, and what it shows: without landings the field and everybody in their place."""
    from bottlewright.design.errors import DesignError
    from bottlewright.field.site import field_site
    from bottlewright.verdict.on_the_site import plan_of

    if drawn := scattered.pictures.get("map") if scattered else None:
        return drawn.inline(), drawn.inline(narrow=True), drawn.caption
    says = ONLY_NUMBERS if result.act.sides else NO_LANDINGS
    try:
        plan = plan_of(result.design, field_site(result.design.site, result.project.folder), result.verdict)
    except DesignError:
        return "", "", f"No map: the field can't be used as it is drawn. {says}"
    return (plan.wide, plan.narrow, f"{plan.says} {says}") if plan else ("", "", says)


def _sheets(result: "Result") -> tuple[Sequence[Mapping[str, Any]], Mapping[str, Any]]:
    """Return the phases of the day and what to do at a misfire: the very lines of the printed pack."""
    from bottlewright.logbook.paper import day_steps
    from bottlewright.make.sheets.launch_day import launch_day, misfire
    from bottlewright.make.specification import specify
    from bottlewright.make.template_values import template_values, words_of
    from bottlewright.proof.parts import hole_sizes

    design = result.design
    spec = specify(design, {hole.name: hole.drill_m for hole in hole_sizes(design)})
    words = template_values(spec, words_of(result.act))
    here = {name: text.replace(*_COVER) for name, text in words.items()}
    phases = launch_day(spec, here, day_steps())["phases"]
    for phase in phases:
        phase["lines"] = [[who, what.replace(*_COVER), hold] for who, what, hold in phase["lines"]]
    return phases, misfire(spec, here, day_steps())


_COVER = "the cover", "the top of this page"
"""What the pack says of itself, and what it is here."""


def _units(habit: "UnitHabit") -> Mapping[str, Any]:
    """Return the units that people write in, each with its size in SI, and where they stand to look at an angle."""
    from bottlewright.quantities import UNITS, Dimension

    speed, pressure, length = ("mph", "psi", "ft") if habit.inches else ("m/s", "bar", "m")
    return {"speed": [speed, UNITS[Dimension.SPEED][speed]], "length": [length, UNITS[Dimension.LENGTH][length]],
            "pressure": [pressure, UNITS[Dimension.PRESSURE][pressure]], "stand": "150" if habit.inches else "50",
            "eye": "5" if habit.inches else "1.5"}  # fmt: skip


def entry_words(entry: Mapping[str, Any]) -> tuple[str, str, str]:
    """Return an entry in words: when, who, and what; one that somebody wrote by hand may lack anything."""
    try:
        what = _what(entry)
    except (KeyError, TypeError, ValueError, OverflowError):
        what = "an entry that can't be read"
    said = "; ".join(filter(None, (what, str(entry.get("remark", "")), str(entry.get("photo", "")))))
    who = ", ".join(filter(None, (str(entry.get("who", "")), str(entry.get("role", "")))))
    return str(entry.get("at", ""))[:16].replace("T", " "), who, said


def _what(entry: Mapping[str, Any]) -> str:
    kind = entry.get("kind")
    if kind == "wind":
        return f"wind {entry['speed_m_s']:g} m/s" + (f" from {entry['from_deg']:g}°" if "from_deg" in entry else "")
    if kind == "pressure":
        return f"gauge {entry['gauge_Pa'] / 1e5:.2f} bar"
    if kind == "launch":
        return f"launch {entry['number']}"
    if kind == "sight":
        return (f"{entry['angle_deg']:g}° from {entry['distance_m']:g} m: {entry['height_m']:.1f} m "
                f"± {entry['height_off_m']:.1f} m for the angle alone")  # fmt: skip
    return ""
