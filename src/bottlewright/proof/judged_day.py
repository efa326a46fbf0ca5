"""The day on which a vessel and its tests are judged: the later of the launch's and today's, by one clock."""

from datetime import date

from bottlewright.design.document import Design

__all__ = ["counted_to", "days_past", "is_past", "judged_on", "today"]


def today() -> date:
    """Return today's date. Nothing else under `proof` looks at a clock; tests put a day of their own in its place."""
    return date.today()


def is_past(day: str) -> bool:
    """Say whether a day, such as "2027-03-06", is before today."""
    return date.fromisoformat(day) < today()


def days_past(design: Design) -> int:
    """Return how many days ago the launch of the file was to be; 0 where it is still to come, or no day is given."""
    return max((today() - date.fromisoformat(design.charge.day)).days, 0) if design.charge.day else 0


def judged_on(design: Design) -> date | None:
    """Return the day that age and tests are counted to; None where the file dates nothing: then no clock is needed."""
    if design.charge.day is not None:
        return max(date.fromisoformat(design.charge.day), today())
    return today() if any(test.date for test in design.vessel.proof) else None


def counted_to(design: Design) -> str:
    """Say to which day age and tests are counted where that is still to come, to be read on; empty where it is today.

    Whoever tests a bottle today has to see why the test counts as so old.
    """
    judged = judged_on(design)
    return f", counted to the design's launch day, {judged} (charge.day)" if judged and judged > today() else ""
