"""One flight moment by moment: a picture, the numbers at each moment, and a small drawing of the rocket then."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from bottlewright.errors import InputError
from bottlewright.project.picture import Shown

if TYPE_CHECKING:
    from bottlewright.flight.course import Course, Moment
    from bottlewright.project.flight import FlightResult
    from bottlewright.project.flights import FlightsResult

__all__ = ["CourseResult", "course_result"]


@dataclass(frozen=True, eq=False)
class CourseResult:
    """One flight moment by moment.

    Parameters
    ----------
    found
        As the flight gives it.
    """

    found: "Course"

    @cached_property
    def picture(self) -> Shown:
        """Height, speed, thrust, water and attitude on one time axis, and the band of many flights behind."""
        return Shown(self.found.picture)

    @property
    def moments(self) -> "tuple[Moment, ...]":
        """The moments, from the release to the end: their time, name and numbers in words."""
        return self.found.moments

    @property
    def cells(self) -> tuple[str, ...]:
        """What the numbers of a moment are."""
        from bottlewright.flight.course import CELLS

        return CELLS

    def places(self, narrow: bool = False) -> list[tuple[float, float]]:
        """Return where each moment stands in the picture, in its own units: to the right, and down to the height."""
        from bottlewright.report.style import FULL_WIDTH, NARROW

        return [(x, y) for x, y in self.found.places(NARROW if narrow else FULL_WIDTH).tolist()]

    @cached_property
    def drawing(self) -> str:
        """The rocket as it is at the release, as SVG for a page that has the colours' classes."""
        said = ("The rocket at this moment, from the side: how far it leans, its water, its jet, its canopy. "
                "The numbers beside it say the same.")  # fmt: skip
        sheet = self.found.drawing.sheet(self.moments[0].pose)
        return sheet.svg(said, "", "moment", alone=False, share=None)

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts of the drawing that move."""
        return self.found.drawing.PARTS

    def moved(self) -> list[tuple[str, ...]]:
        """Return, for each moment, the SVG transform of each of `parts`."""
        return [self.found.drawing.moved(one.pose) for one in self.moments]


def course_result(flight: "FlightResult", many: "FlightsResult | None") -> CourseResult | None:
    """Return the course of a flight; see `FlightResult.course`."""
    from bottlewright.flight.course import course_of

    if many is not None and many.digest != flight.digest:
        raise InputError("these flights are of another design than this flight: take those of the same design")
    found = course_of(flight.design, flight.flight, many.band if many is not None else None)
    return None if found is None else CourseResult(found)
