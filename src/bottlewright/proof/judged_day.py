"""The day on which a vessel and its tests are judged: that of the launch, else today, by one clock."""

from datetime import date

from bottlewright.design.document import Design

__all__ = ["judged_on", "today"]


def today() -> date:
    """Return today's date. Nothing else under `proof` looks at a clock; tests put a day of their own in its place."""
    return date.today()


def judged_on(design: Design) -> date | None:
    """Return the day that age and tests are counted to; None where the file dates nothing: then no clock is needed."""
    if design.charge.day is not None:
        return date.fromisoformat(design.charge.day)
    return today() if any(test.date for test in design.vessel.proof) else None
