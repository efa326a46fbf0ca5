"""Measure: what was read of one launch, and how that lies beside what was foretold."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import BottlewrightError
from bottlewright.project.after_launch import AfterLaunch, Listed, WindSaid, after_launch, held_to, launches_of
from bottlewright.project.field_sheet import FieldSheet, Landed, field_sheet
from bottlewright.project.measuring import LANDINGS, wind_words
from bottlewright.web.views.page import Figure, Width, figure_of

if TYPE_CHECKING:
    from bottlewright.project.grounds import Grounds
    from bottlewright.web.office import Office

__all__ = ["MeasurePage", "Tapped", "WindLine", "measure_page"]


class Tapped(NamedTuple):
    """The field to tap a landing on, for one width.

    Parameters
    ----------
    width, sheet
        For which width, and the picture.
    west, north
        The upper left corner from the launcher, m; `per` of them a point.
    """

    width: str
    sheet: FieldSheet
    west: float
    north: float
    per: float


class WindLine(NamedTuple):
    """A reading of the wind with what it says of the rocket's limit."""

    said: WindSaid
    limit: str
    over: bool


@dataclass(frozen=True, kw_only=True)
class MeasurePage:
    """The page of what is measured.

    Parameters
    ----------
    launches
        Each launch, the latest first.
    designs
        Files that a launch may be begun with.
    shown
        The launch that the page is of; None where there is none.
    trouble
        Why the logbook can't be read.
    figure
        Measured beside foretold.
    winds
        Readings of the wind.
    forces
        Words for the wind, by force.
    maps
        The field, to tap the landing on.
    field
        The file that the field is of.
    units
        The builder's own: distance, speed, pressure, temperature.
    stayed
        Why the launch that is shown did not leave, or is being called off; empty where it left or may still leave.
    """

    launches: Sequence[Listed]
    designs: Sequence[str]
    shown: AfterLaunch | None
    trouble: str
    figure: Figure | None
    winds: Sequence[WindLine]
    forces: Sequence[tuple[int, str]]
    landings: Sequence[str]
    maps: Sequence[Tapped]
    field: str
    units: dict[str, str]
    may_begin: bool
    stayed: str = ""


_CALLED_OFF = ("stop", "venting", "misfire wait", "approach allowed")
"""States of the day from which no rocket leaves: its launch is called off."""


def _called_off(office: "Office", launches: Sequence[Listed]) -> dict[str, str]:
    """Return the launches that the day is calling off now, by name, with where their rockets stand."""
    day, found = office.launch.day, dict[str, str]()
    latest = {one.rocket: one.name for one in launches[::-1]}  # of a rocket, the one that is under way
    for rocket, now in day.rockets.items() if day else ():
        name = latest.get(rocket) if now.state in _CALLED_OFF else None
        if name and after_launch(office.folder, name).flight.at is None:
            found[name] = now.state
    return found


def measure_page(office: "Office", launch: str, width: Width) -> MeasurePage:
    """Return the page of a launch, of the latest where none is named."""
    launches: Sequence[Listed] = ()
    shown, trouble, stayed = None, "", ""
    try:
        launches = launches_of(office.folder)
        off = _called_off(office, launches)
        launches = [one for one in launches if one[0] not in off]
        wanted = launch or (launches[0][0] if launches else "")
        shown = after_launch(office.folder, wanted) if wanted else None
        stayed = shown.stayed if shown else ""
        if wanted in off:
            stayed = f"It stands at “{off[wanted]}”: nobody goes near before the page of the day says so"
    except BottlewrightError as error:
        trouble = str(error)
    found = shown.pictures.get("compared") if shown else None
    maps, field = _maps(office, width)
    habit = shown.habit if shown else None
    units = {one: habit.unit(one) if habit else one for one in ("m", "m/s", "bar", "°C")}
    return MeasurePage(
        launches=launches, designs=office.designs(), shown=shown, trouble=trouble,
        figure=figure_of(found, width) if found else None, winds=_winds(office, shown) if shown else (),
        forces=wind_words(), landings=LANDINGS, maps=maps, field=field, units=units,
        may_begin=office.warm.ready.is_set(), stayed=stayed,
    )  # fmt: skip


def _winds(office: "Office", shown: AfterLaunch) -> list[WindLine]:
    """Return each reading beside the limit that the day of its launch holds it to."""
    book, day = office.launch.book, office.launch.day
    rocket = day.plan.rockets.get(shown.flight.rocket) if day and book and book.name == str(shown.flight.day) else None
    return [WindLine(one, *held_to(rocket, one, shown.habit)) for one in shown.winds]


def _maps(office: "Office", width: Width) -> tuple[list[Tapped], str]:
    """Return the field of the design that is open, for each width."""
    if office.job is None:
        return [], ""
    desk = office.desk()
    grounds = desk.grounds
    if grounds.wrong:
        return [], ""
    return [_map(grounds, name) for name in ("wide", "narrow") if width in (name, "both")], office.job.file.name


def _map(grounds: "Grounds", width: str) -> Tapped:
    sheet = field_sheet(grounds, Landed({}, (), ()), None, width == "narrow")
    per, (east, north) = sheet.per * grounds.size, grounds.launcher
    return Tapped(width, sheet, sheet.west * grounds.size - east, sheet.north * grounds.size - north, per)
