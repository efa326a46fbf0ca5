"""What the flights of a rocket taught beside what its design says: old and new, before anybody uses it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.errors import FieldsError, StoppedError
from bottlewright.project.effects import Turn
from bottlewright.project.watch import Progress, Stop

if TYPE_CHECKING:
    from bottlewright.project.editing import Values
    from bottlewright.project.learning import LearnResult
    from bottlewright.project.project import Project

__all__ = [
    "Kept", "Seen", "Taught", "as_before", "before_after", "kept", "learnless", "not_used", "taught", "used", "uses",
]  # fmt: skip

FLIGHTS = 400
"""Flights on either side of a comparison: the end of a band is known to some 3 % of its width then (order statistics of
a normal spread)."""
_BACK = "learned.from"
_NAMED = ("confirmed_by", "confirmed_on")


class Seen(NamedTuple):
    """A measurement: of what, what was to be expected before, and what was measured."""

    what: str
    expected: str
    measured: str


class Kept(NamedTuple):
    """What a design draws from, as it was kept, without a flight: nothing is worked out anew.

    Parameters
    ----------
    launches
        That it rests on.
    day
        On which it was worked out; empty where nobody wrote that down.
    values
        Each value that flights can tell, as the design alone has it and with what was learned.
    unread
        Why there is nothing although the design asks for it; empty where there is.
    """

    launches: Sequence[str]
    day: str
    values: Sequence[Turn]
    unread: str


@dataclass(frozen=True, eq=False)
class Taught:
    """What was learned, and what would be otherwise with it.

    Parameters
    ----------
    found
        What was worked out.
    values
        Each value that flights can tell, as the design alone has it and with what was learned.
    outcomes
        Predictions and what people act on, without and with it.
    readings
        By launch: what was measured, and what was to be expected before.
    """

    found: "LearnResult"
    values: Sequence[Turn]
    outcomes: Sequence[Turn]
    readings: Sequence[tuple[str, Sequence[Seen]]]


def uses(project: "Project") -> bool:
    """Say whether a design asks for what its flights taught."""
    return project.design.learned.from_ == "logbook"


def learnless(project: "Project") -> str:
    """Return a name for all of a project but what it learned: with the same launches, it learns the same."""
    return f"{as_before(project).digest}-{project.name}"


def as_before(project: "Project") -> "Project":
    """Return a design without what it learned."""
    values = not_used(project)
    return project.changed(values) if uses(project) or len(values) > 1 else project


def taught(project: "Project", progress: Progress, stop: Stop) -> Taught:
    """Work out what the launches in the logbook say of a rocket, and fly it without and with that.

    Raises
    ------
    InputError
        When there is no launch of it that anything was measured of.
    StoppedError
        When `stop` said so.
    """
    from bottlewright.project.learning import learn

    progress("fitting the rocket to its launches", 0.1)
    found = learn(project)
    if stop():
        raise StoppedError("stopped")
    progress("flying what the next launch could tell", 0.5)
    found.next  # noqa: B018  # worked out here, and shown by the page
    if stop():
        raise StoppedError("stopped")
    progress("flying it without and with what was learned", 0.7)
    before = as_before(project)
    after = _with(before, found)
    outcomes = _outcomes(before, after, stop)
    return Taught(found, _values(before, after), outcomes, _readings(found))


def kept(project: "Project") -> Kept | None:
    """Return what a design draws from its flights as it was kept; None where it asks for nothing."""
    known = project.design.written.learned
    if known is None:
        return None
    values = _values(as_before(project), project) if project.design.written.taken else ()
    return Kept(known.launches, known.made[:10], values, known.unread)


def before_after(project: "Project", stop: Stop) -> list[Turn]:
    """Return predictions and what people act on, without and with what a design draws from its flights; or nothing.

    Raises
    ------
    StoppedError
        When `stop` said so.
    """
    return [] if project.design.written.taken is None else _outcomes(as_before(project), project, stop)


def _with(project: "Project", found: "LearnResult") -> "Project":
    """Return a design as it would be with what was learned, which no file has yet."""
    from bottlewright.project.project import Project

    written = replace(project.design.written, teacher=lambda _: found.learned)
    return Project(project.design.with_written(written), project.file).changed({_BACK: "logbook"})


def _values(before: "Project", after: "Project") -> list[Turn]:
    from bottlewright.design.learned import GAUGE, TOLD_APART
    from bottlewright.design.taught import gauge_error
    from bottlewright.design.unit_habit import unit_habit

    taken = after.design.written.taken
    paths = taken.learned.paths if taken else ()
    found = [Turn(words, _said(before, path), _said(after, path))
             for path, words in TOLD_APART.items() if path in paths]  # fmt: skip
    if taken and GAUGE in paths:
        habit, column = unit_habit(before.design), paths.index(GAUGE)
        share = before.value(GAUGE).spread * taken.learned.shares[column]
        more = gauge_error(after.design)
        sign = "+" if more >= 0.0 else "−"
        now = f"{sign}{habit.pressure(abs(more), 2)} ± {habit.pressure(share * taken.middle(column)[1], 2)}"
        found.append(Turn("true pressure beside what the gauge says", f"± {habit.pressure(share, 2)}", now))
    return found


def _said(project: "Project", path: str) -> str:
    """Return a value with its ± in the unit that the design's file counts in."""
    from bottlewright.logbook.measured import said

    quantity = project.value(path)
    unit = "" if path.endswith(("factor", "coefficient")) else "s" if path.endswith("delay") else "m"
    return said(quantity.value, quantity.spread, unit)


def _outcomes(before: "Project", after: "Project", stop: Stop) -> list[Turn]:
    import math

    import numpy as np

    from bottlewright.design.unit_habit import unit_habit

    habit = unit_habit(before.design)
    flights = []
    for project in (before, after):
        flights.append(project.fly_many(FLIGHTS, stop=stop).columns())
        if stop():
            raise StoppedError("stopped")

    def band(key: str, words: Any) -> list[str]:
        ends = [np.nanquantile(one[key], (0.1, 0.9)).tolist() for one in flights]
        return [f"{words(low).split(' ')[0]} to {words(high)}" if math.isfinite(low) else "not known"
                for low, high in ends]  # fmt: skip

    away = [habit.distance(float(np.nanquantile(np.hypot(one["landing_east_m"], one["landing_north_m"]), 0.9)))
            for one in flights]  # fmt: skip
    acts = [project.prove().act for project in (before, after)]
    return [
        Turn("height, eight flights in ten", *band("apogee_m", habit.distance)),
        Turn("time in the air, eight in ten", *band("flight_time_s", lambda one: f"{one:.1f} s")),
        Turn("nine landings in ten lie within", *away),
        Turn("on the gauge", *(one.allowed or "no pressure is allowed yet" for one in acts)),
    ]  # fmt: skip


_UNITS = {"bearing": (1.0, "rad"), "speed": (1.0, "m/s"), "sinking": (1.0, "m/s"), "height": (1.0, "m"),
          "away": (1.0, "m"), "true pressure": (1e5, "bar"), "impulse": (1.0, "N s")}  # fmt: skip


def _readings(found: "LearnResult") -> list[tuple[str, Sequence[Seen]]]:
    from bottlewright.logbook.measured import said

    fit, at = found.fit, 0
    shown: list[tuple[str, Sequence[Seen]]] = []
    for launch in fit.launches:
        rows = []
        for reading in launch.readings:
            size, unit = _UNITS.get(reading.what, (1.0, "s"))
            expected = said(float(fit.before[0][at]) / size, float(fit.before[1][at]) / size, unit)
            measured = said(reading.value / size, reading.spread / size, unit)
            rows.append(Seen(reading.what, expected, f"{measured}, {reading.how}"))
            at += 1
        shown.append((launch.name, rows))
    return shown


def used(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the changes that let a design draw from what its flights taught.

    Somebody who saw old and new and takes the new lines gives initials and the day; without that no line comes nearer.

    Raises
    ------
    FieldsError
        With what is wrong by key.
    """
    answers = {"confirmed_by": given.get("by", "").strip(), "confirmed_on": given.get("day", "").strip()}
    if bool(answers["confirmed_by"]) != bool(answers["confirmed_on"]):
        lacks = "day" if answers["confirmed_by"] else "by"
        raise FieldsError({lacks: "say the day too" if lacks == "day" else "say who, initials or a number"})
    return {_BACK: "logbook", **{f"learned.{key}": text or None for key, text in answers.items()
                                 if text or getattr(project.design.learned, key) is not None}}  # fmt: skip


def not_used(project: "Project") -> "Values":
    """Return the changes that let a design be as it was before its flights: what was learned stays in the logbook."""
    said = (name for name in _NAMED if getattr(project.design.learned, name) is not None)
    return {_BACK: None, **{f"learned.{name}": None for name in said}}
