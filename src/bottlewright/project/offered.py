"""Which loads of a rocket are offered to be flown: one rule for the next launch and for a lesson."""

from typing import TYPE_CHECKING, NamedTuple

from bottlewright.errors import BottlewrightError
from bottlewright.findings import Level

if TYPE_CHECKING:
    from bottlewright.project.project import Project
    from bottlewright.verdict import Verdict

__all__ = ["Offer", "load_words", "offer", "scaled", "waits_for_its_test", "why_none"]


class Offer(NamedTuple):
    """A load: what it is in words; the design with it, None where it is left out; why nobody flies it, or empty."""

    load: str
    project: "Project | None"
    why: str


def why_none(project: "Project", before_its_test: bool = False) -> str:
    """Return why no launch of a rocket is offered at all: a stop, whatever load another launch would have; or empty.

    Parameters
    ----------
    before_its_test
        Whether launches are prepared of a bottle that waits for its first water test, where that test would allow the
        planned pressure; nobody pumps it before then.
    """
    verdict = project.fly().verdict
    if stops := verdict.at(Level.STOP):
        return f"the verdict says stop: {_lower(stops[0].hazard)}"
    allowed = verdict.allowed.gauge_Pa
    if allowed is None and before_its_test and waits_for_its_test(verdict):
        return ""
    if allowed is None:
        return f"no pressure is allowed yet{_too_much_after(verdict) if before_its_test else ''}"
    return "the planned pressure is over what is allowed" if verdict.planned.gauge_Pa > allowed else ""


def waits_for_its_test(verdict: "Verdict") -> bool:
    """Say whether nothing but a water test of its own stands between a bottle and the planned pressure."""
    allowed, then = verdict.allowed, verdict.allowed.after_test
    return (allowed.gauge_Pa is None and allowed.held_by == "no test" and then is not None
            and verdict.planned.gauge_Pa <= then.allowed_gauge_Pa)


def _too_much_after(verdict: "Verdict") -> str:
    from bottlewright.design.unit_text import at_most

    then = verdict.allowed.after_test
    if then is None or verdict.planned.gauge_Pa <= then.allowed_gauge_Pa:
        return ""
    most = at_most(verdict.habit, then.allowed_gauge_Pa)
    return f", and the planned pressure is over the {most} that a passed water test would allow"


def offer(project: "Project", key: str, share: float) -> Offer:
    """Judge a share of a design's water or pressure as its verdict would."""
    load = scaled(project, key, share)
    try:
        other = project if share == 1.0 else project.changed({key: load})
        verdict = other.fly().verdict
    except BottlewrightError as error:
        return Offer(load, None, f"it makes no flight: {_plain(error)}")
    words = load_words(other)
    if stops := verdict.at(Level.STOP):
        return Offer(words, None, f"its verdict says stop: {_lower(stops[0].hazard)}")
    return Offer(words, other, _little_margin(verdict))


def _little_margin(verdict: "Verdict") -> str:
    """Return what the verdict says of a static margin that is less than is asked; empty where it says nothing."""
    from bottlewright.flight.findings import LITTLE_MARGIN

    return next((f"{one.hazard} ({one.limit})" for one in verdict.findings if one.code == LITTLE_MARGIN), "")


def _plain(error: BottlewrightError) -> str:
    """Return the first reason without key and option of the command line, which a child has no use for."""
    from bottlewright.design.errors import DesignError

    if not isinstance(error, DesignError):
        return str(error).splitlines()[0]
    first = error.problems[0]
    return f"the {first.path.rpartition('.')[2].replace('_', ' ')} {first.why}"


def _lower(hazard: str) -> str:
    return f"{hazard[:1].lower()}{hazard[1:]}"


def scaled(project: "Project", key: str, share: float) -> str:
    """Return a share of a design's water or pressure, rounded to what a jug or a gauge shows."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import UNITS, Dimension

    value, psi = project.value(key).value * share, UNITS[Dimension.PRESSURE]["psi"]
    if key == "charge.water":
        return f"{round(value * 1e6, -1):.0f} mL"
    return f"{value / psi:.0f} psi" if unit_habit(project.design).psi else f"{value * 1e-5:.1f} bar"


def load_words(project: "Project") -> str:
    """Return the load of a design, such as "365 mL at 4.5 bar"."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import show

    pressure = unit_habit(project.design).pressure(project.value("charge.pressure").value)
    return f"{show(project.value('charge.water').value, 'mL')} at {pressure}"
