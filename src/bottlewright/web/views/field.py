"""Field: where does it come down, and who stands where?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.project import standing
from bottlewright.project.field_sheet import MOST_DRAWN, FieldSheet, Landed, Rose, field_sheet, landed_in, rose_of
from bottlewright.project.fits import FLIGHTS, Fit, smallest_briefly, smallest_words
from bottlewright.project.grounds import ROLES, kinds_to_keep_out_of
from bottlewright.project.standing import Standing, beside_words, chances, sides, standings
from bottlewright.project.winds import WindLandings, called, in_wind, wind_of
from bottlewright.project.words import here
from bottlewright.web.views.frame import findings_of
from bottlewright.web.views.page import Page, Running, Width, running
from bottlewright.web.work import name_of

if TYPE_CHECKING:
    from bottlewright.project.grounds import Grounds, Outline
    from bottlewright.web.desk import Desk

__all__ = ["FieldPage", "Hour", "Table", "Windy", "field", "hour_of", "measured_words"]

QUESTION = "Where does it come down, and who stands where?"
HAND_HELD = 3.0
"""Higher than a hand holds a wind meter, m."""
WORKING_WIND = "Where it comes down in this wind, and who may stand where, is being worked out"
OF_FILE = {True: "This is the wind of the file",
           False: "The file gives no wind: still air with the usual spread is taken"}  # fmt: skip
_YES = (("", "not said"), ("true", "yes"), ("false", "no"))
CREW = (("eye_protection", "everyone near wears eye protection", _YES),
        ("shelter", "who pumps and pulls is under shelter until it is down", _YES),
        ("puller", "who pumps and pulls", (("adult", "an adult"), ("child", "a child"))))  # fmt: skip
_SHAPES = {"no": "stop", "wait": "look", "nothing against it": "none"}
_LINES = ("road", "power line")
"""Kinds that are drawn as a line, until somebody draws them otherwise."""
_SIDES = {"wide": 34.0, "narrow": 27.0}
"""Side of what a finger has to hit, points of the sheet: 44 px from the width of the page on that it is drawn for."""


class Table(NamedTuple):
    """Corners as numbers: of what, its kind, form and width, and each corner's east and north."""

    what: str
    number: int
    name: str
    kind: str
    form: str
    width: str
    corners: Sequence[tuple[str, str]]


class Hour(NamedTuple):
    """What the wind of an hour says: when, the shape, no or wait or nothing against it, and because."""

    at: str
    shape: str
    says: str
    why: str


class Windy(NamedTuple):
    """The wind that is looked at.

    Parameters
    ----------
    rose
        The limits by direction, with it; None without limits.
    speed, towards, unit
        Of the two fields that turn it.
    tried
        Whether it is another one than the file's.
    says
        What it says.
    waits, of_file
        Whether its own landings are being worked out; what the wind of the file is.
    measured
        At what height all these winds are measured, and which limit a sentence means.
    """

    rose: Rose | None
    speed: str
    towards: str
    unit: str
    tried: bool
    says: Hour | None
    waits: str
    of_file: str
    measured: str


class Answer(NamedTuple):
    """What else the file knows of the people: its key, what it is called, what it may be, and what it is."""

    key: str
    label: str
    options: Sequence[tuple[str, str]]
    now: str


class Stood(NamedTuple):
    """One person's row: how far and where to by the file, and what the landings say of it."""

    role: str
    does: str
    distance: str
    bearing: str
    found: Standing | None


@dataclass(frozen=True, kw_only=True)
class FieldPage(Page):
    """The page of the field.

    Parameters
    ----------
    sheets
        The field drawn for each width that a window may have, and the side of what a finger has to hit, points.
    wrong, mapped
        Why what is drawn can't be used; the map that the design names.
    kinds
        What to keep out of, and how it is drawn at first.
    tables, no_edge, unit
        Corners as numbers, the edge of a field that has none yet, and their unit.
    launcher, launcher_given
        Where it stands, and whether somebody said so.
    crew
        What else the file knows of the people.
    people, sides, sides_of
        Everybody's place; how far spectators keep, by side, and in which wind.
    hours, beside
        Hours of the day, and what is open besides.
    windy
        The wind that is looked at.
    flown
        How many landings the figure shows, and of how many.
    smallest
        The smallest field in words, and what that rests on.
    fits, fitting, fits_flights
        Rockets of the folder on this field, how that work stands, and the flights behind each.
    chances, odds, drift
        The chance of each bad place; of each failure its odds as judged, as used, and what these rest on; how far the
        wind carries the canopy.
    """

    sheets: Sequence[tuple[str, FieldSheet, float]]
    wrong: str
    mapped: str
    kinds: Sequence[tuple[str, str]]
    tables: Sequence[Table]
    no_edge: Table
    launcher: tuple[str, str]
    launcher_given: bool
    crew: Sequence[Answer]
    unit: str
    people: Sequence[Stood]
    sides: Sequence[tuple[str, str]]
    sides_of: str
    hours: Sequence[Hour]
    beside: str
    windy: Windy
    flown: str
    smallest: tuple[str, str] | None
    fits: Sequence[Fit] | None
    fitting: Running
    fits_flights: int
    chances: Sequence[tuple[str, str, str]]
    odds: Sequence[tuple[str, str, str, str]]
    drift: str


def field(desk: "Desk", width: Width) -> FieldPage:
    """Return the page of the field: drawn on, with the landings on it."""
    found, grounds = desk.landings, desk.grounds
    work = running(desk, "scatter", "Work out the landings once more" if found else "Work out the landings")
    project = desk.project if desk.tried is None else in_wind(desk.project, *desk.tried)
    there: WindLandings | None = desk.work.result("wind", project) if desk.tried is not None else None
    landed = _landed(desk, found, there)
    hours = _hours(desk, found)
    answer, lead = _answer(desk, work, hours)
    ground = there.ground if there else found.found.ground if found and desk.tried is None else None
    return FieldPage(
        stage="field", question=QUESTION, answer=answer, lead=lead, running=work,
        findings=findings_of(desk.cured, "field"), sheets=_sheets(desk, landed, width),
        wrong=grounds.wrong, mapped=grounds.mapped if grounds.drawn else "",
        kinds=[(kind, "line" if kind in _LINES else "outline") for kind in kinds_to_keep_out_of()],
        tables=_tables(grounds), no_edge=Table("boundary", 0, "The edge of the field", "", "outline", "", ()),
        launcher=grounds.written(grounds.launcher), launcher_given=grounds.launcher_given,
        crew=_crew(desk.project.design), unit=grounds.unit, people=_people(grounds, project.design, ground),
        sides=sides(ground, grounds.habit) if ground else (),
        sides_of="in this wind" if desk.tried else "in the file's wind",
        hours=hours, beside=beside_words(desk.proved), windy=_windy(desk, project, found, there),
        flown=_flown(desk, found, there, landed), smallest=smallest_words(found) if found else None,
        fits=_fits(desk, found),
        fitting=running(desk, "fits", "See which rockets of this folder fit the field"),
        fits_flights=FLIGHTS, chances=chances(found) if found else (),
        odds=found.odds() if found else (), drift=found.drift_words() if found else "",
    )  # fmt: skip


def _answer(desk: "Desk", work: Running, hours: Sequence[Hour]) -> tuple[str, str]:
    """Return the heading and what it rests on; a stop anywhere is the answer here too."""
    found = desk.landings
    if desk.grounds.wrong:
        return "The field can't be used as it is drawn", ""
    if found is None:
        if work.on:
            return ("The landings are being worked out", "They appear on the field as they are flown. Limits, "
                    "distances and hours follow when all of them are there.")  # fmt: skip
        if desk.proved.verdict.distances.spectators is not None:  # kept from before: the program began anew since
            return ("The distances are worked out, the landings are not drawn here", "What stands on top comes from "
                    "landings of this very rocket, field and weather. Work them out again to see them.")  # fmt: skip
        drawn = "" if desk.grounds.edge else "Draw the field first, or work out how large it has to be. "
        return ("Nobody has worked out the landings yet", f"{drawn}Thousands of flights, each with its own wind "
                "and faults. Without them only the published distances count.")  # fmt: skip
    stopped = "It was stopped before all was worked out. " if found.partial else ""
    if desk.proved.verdict.level == "stop":
        worst = desk.frame.verdict[0]
        return worst.bold, f"{stopped}{hours[0].why if hours else worst.because}."
    if not hours:
        return desk.frame.verdict[2].bold, stopped + desk.frame.verdict[2].because
    return f"The wind now: {hours[0].says}", f"{stopped}{hours[0].why}. {beside_words(desk.proved)}."


def _landed(desk: "Desk", found: Any, there: WindLandings | None) -> Landed:
    now = desk.work.running.get("scatter")
    if now and now.digest == name_of("scatter", desk.project):
        return Landed({}, (), (), tuple(now.landed))
    if desk.tried is not None:
        return landed_in(None, there)
    return landed_in(found)


def _sheets(desk: "Desk", landed: Landed, width: Width) -> list[tuple[str, FieldSheet, float]]:
    wind = desk.tried or wind_of(desk.project)
    return [(name, field_sheet(desk.grounds, landed, wind, name == "narrow", desk.closer, desk.middle), _SIDES[name])
            for name in ("wide", "narrow") if width in (name, "both")]  # fmt: skip


def _flown(desk: "Desk", found: Any, there: WindLandings | None, landed: Landed) -> str:
    """Say how many landings the figure shows, of how many."""
    flown = sum(map(len, landed.blocks or landed.landings.values()))
    some = f" The figure shows {MOST_DRAWN} of each kind at the most." if flown > MOST_DRAWN else ""
    if landed.blocks:
        return (f"{flown} of {desk.project.design.scatter.flights} landings so far, in the order that they are flown. "
                f"Limits and distances follow when all is worked out.{some}")  # fmt: skip
    if desk.tried is not None:
        return f"Landings in this wind, by {there.flights} flights and more of the rare failures." if there else (
            "Landings in this wind are being worked out.")
    return f"All {flown} landings of {found.found.wanted} flights.{some}" if found else ""


def _hours(desk: "Desk", found: Any) -> list[Hour]:
    return [hour_of(desk, call) for call in found.found.calls] if found else []


def hour_of(desk: "Desk", call: Any) -> Hour:
    """Return what an hour says, with its shape."""
    at, says, why = standing.hour_of(desk.proved, call, asked=desk.tried is not None)
    return Hour(at, _SHAPES[says], says, here(why))


def _windy(desk: "Desk", project: Any, found: Any, there: WindLandings | None) -> Windy:
    rose = rose_of(found, desk.tried or wind_of(desk.project) or (0.0, 0.0)) if found else None
    unit = desk.grounds.habit.unit("m/s")
    if rose is None:
        return Windy(None, "", "", unit, desk.tried is not None, None, "", "", "")
    tried = desk.tried is not None
    call = called(project, found.found, there) if tried else None
    waits = "" if not tried or there else WORKING_WIND
    failed = desk.work.failed.get(("wind", name_of("wind", project))) if waits else None
    return Windy(rose, rose.speed, str(rose.towards), unit, tried, hour_of(desk, call) if call else None,
                 f"Not known: {failed}" if failed else waits, OF_FILE[wind_of(desk.project) is not None],
                 measured_words(found.found))  # fmt: skip


def measured_words(found: Any) -> str:
    """Say at what height the winds are measured: a meter in the hand reads less than one far above it."""
    high = found.habit.distance(found.wind_height)
    said = (f"All winds here are those {high} above the ground, as forecasts give them. A wind meter held in the hand "
            "reads less in the same wind: write its height on Sketch, under Weather, and work out the landings again."
            if found.wind_height > HAND_HELD else f"All winds here are measured {high} above the ground.")  # fmt: skip
    return f"{said} A limit in a sentence is the lowest of the sides that the wind may come from."


def _tables(grounds: "Grounds") -> list[Table]:
    edge = [(0, grounds.edge)] if grounds.edge else []
    return [_table(grounds, number, one) for number, one in (*edge, *enumerate(grounds.keep_outs))]


def _table(grounds: "Grounds", number: int, one: "Outline") -> Table:
    width = "" if one.width is None else f"{round(one.width / grounds.size, 2):g}"
    name = "The edge of the field" if one.what == "boundary" else one.name
    return Table(one.what, number, name, one.kind, one.form, width, [grounds.written(corner) for corner in one.corners])


def _people(grounds: "Grounds", design: Any, ground: Any) -> list[Stood]:
    said = {one.role: one for one in standings(design, ground, grounds.habit)} if ground else {}
    crew, rows = design.launcher.crew, []
    for role, does in ROLES.items():
        away, way = (getattr(crew, name) if crew else None for name in (role, f"{role}_bearing"))
        rows.append(Stood(role, does, away.text if away else "", way.text if way else "", said.get(role)))
    return rows


def _crew(design: Any) -> list[Answer]:
    crew, found = design.launcher.crew, []
    for name, label, options in CREW:
        said = getattr(crew, name) if crew else None
        now = str(said).lower() if said is not None else "adult" if name == "puller" else ""
        found.append(Answer(f"launcher.crew.{name}", label, options, now))
    return found


def _fits(desk: "Desk", found: Any) -> Sequence[Fit] | None:
    """Return each rocket on this field; of this one's smallest field there is one number, by all of its flights."""
    fits: Sequence[Fit] | None = desk.work.result("fits", desk.project)
    if fits is None or found is None:
        return fits
    own = smallest_briefly(smallest_words(found)[0], found.design)
    return [one._replace(smallest=own) if one.file == desk.project.file.name else one for one in fits]
