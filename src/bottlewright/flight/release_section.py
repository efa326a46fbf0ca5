"""What the chapter of Fly says of letting the canopy out."""

from collections.abc import Sequence

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.flight.canopy_words import canopy_rows, size_rows
from bottlewright.flight.fly import Flight
from bottlewright.flight.hold_course import hold_picture
from bottlewright.flight.hold_window import HoldWindow, window_words
from bottlewright.flight.outcomes import by_mechanism
from bottlewright.flight.release_ways import WayFlown
from bottlewright.flight.release_words import let_out_words, share_words
from bottlewright.report.html import fold, place, prose, table
from bottlewright.report.style import Picture

__all__ = ["release_html", "release_pictures"]


def release_pictures(design: Design, flight: Flight, window: HoldWindow | None = None) -> list[Picture]:
    """Return the chart of the nose's hold, where a nose has to come off."""
    picture = hold_picture(design, flight, window)
    return [picture] if picture else []


def release_html(
    design: Design, flight: Flight, window: HoldWindow | None = None, ways: Sequence[WayFlown] = ()
) -> str:
    """Return how often it is let out in time, the chart of its nose's hold, other ways, and what is said of the canopy.

    Parameters
    ----------
    flight
        The middle flight.
    window, ways
        Where they were flown.
    """
    habit = unit_habit(design)
    said = prose(f"{let_out_words(design)} {_NOT_IN_IT}") if by_mechanism(design) else ""
    chart = place("hold") if release_pictures(design, flight) else ""
    firm = prose(window_words(window, habit)) if window else ""
    side_by_side = fold("Other ways, on this rocket", prose(_HOW) + table(
        ("what lets it out", "in a hundred flights", "adds", "who can build it"),
        [(one.words + (", yours" if one.own else ""), share_words(one.share), habit.mass(one.mass.value, 2), one.build)
         for one in ways])) if ways else ""  # fmt: skip
    rows, sizes = canopy_rows(design, flight), size_rows(design, flight)
    help_ = table(("", ""), rows) if rows else ""
    if sizes:
        help_ += table(("comes down at", "canopy", "drifts from the top, in the file's wind"), sizes)
    return said + chart + firm + side_by_side + (fold("Pack, lines and canopy", help_) if help_ else "")


_NOT_IN_IT = "A jam, a forgotten pin and a flat cell are not in these numbers: Field adds them."
_HOW = "The same draws for all. Masses and who can build it are our judgement; the rocket keeps its mass of now."
