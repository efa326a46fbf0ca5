"""One flight, from the release to the ground."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.picture import Shown
from bottlewright.project.result import Result

if TYPE_CHECKING:
    from bottlewright.flight.fly import Flight
    from bottlewright.project.course import CourseResult
    from bottlewright.project.flights import FlightsResult
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["FlightResult", "SeriesResult", "read_only", "with_series"]


class SeriesResult(Result):
    """A result against time."""

    @property
    def series(self) -> Mapping[str, Any]:
        """Arrays of one length against time, the unit in each name."""
        raise NotImplementedError

    def columns(self) -> Mapping[str, Any]:
        """Return the series, a moment in each row."""
        return self.series


@dataclass(frozen=True, eq=False, repr=False)
class FlightResult(SeriesResult):
    """One flight.

    Parameters
    ----------
    flight
        As the physics left it.
    """

    command: ClassVar[str] = "fly"
    stages: ClassVar[tuple[str, ...]] = ("sketch", "fly")
    flight: "Flight"

    @property
    def summary(self) -> Mapping[str, float]:
        """Key figures, the unit in each name; NaN where something never came."""
        return self.flight.summary

    @property
    def series(self) -> Mapping[str, Any]:
        """The flight against time: arrays of one length, the unit in each name."""
        return self.flight.series

    @property
    def ending(self) -> str:
        """How it ended, in words."""
        return self.flight.ending

    @property
    def title(self) -> str:
        """The flight in one sentence: how high, where it lands, and when."""
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.flight.chapters import flight_title

        return flight_title(self.flight, unit_habit(self.design))

    def course(self, many: "FlightsResult | None" = None) -> "CourseResult | None":
        """Return the flight moment by moment, with its one picture; None where the rocket never left the launcher.

        Parameters
        ----------
        many
            Many flights of the same design: their heights are then shown as a band behind the one flight.

        Raises
        ------
        InputError
            When they are of another design.
        """
        from bottlewright.project.course import course_result

        return course_result(self, many)

    def let_out(self) -> str:
        """Return what lets the canopy out and how often in time, in words; empty where no mechanism is described."""
        from bottlewright.flight.outcomes import by_mechanism
        from bottlewright.flight.release_words import let_out_words

        return let_out_words(self.design) if by_mechanism(self.design) else ""

    @cached_property
    def hold(self) -> "Shown | None":
        """The pull at the joint of a nose against its hold; None where no nose has to come off."""
        from bottlewright.flight.hold_course import hold_picture

        picture = hold_picture(self.design, self.flight)
        return Shown(picture) if picture else None

    def canopy_rows(self, timer: bool = True) -> list[tuple[str, str]]:
        """Return what is said of the canopy, by what it is about: its pack, what gives first, when a timer is set."""
        from bottlewright.flight.canopy_words import canopy_rows

        return canopy_rows(self.design, self.flight, timer)

    def canopy_sizes(self) -> list[tuple[str, str, str]]:
        """Return descents, the size of canopy for each, and how far the file's wind carries it from the top."""
        from bottlewright.flight.canopy_words import size_rows

        return size_rows(self.design, self.flight)

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        return judge_alone(self.design, self.project.folder, proof=self.project.proved, flight=self.flight)

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        from bottlewright.flight.results import flight_document

        return flight_document(self.design, self.flight)

    def words(self) -> str:
        """See `Result.words`."""
        from bottlewright.flight.summary_text import flight_words

        return flight_words(self.design, self.flight)

    def _pictures(self) -> "list[Picture]":
        from bottlewright.flight.chapters import fly_chapter

        return list(fly_chapter(self.design, self.flight).section.pictures)

    def _own_files(self) -> "Mapping[str, str | bytes]":
        return with_series(self, "flight.csv")


def with_series(result: Result, name: str) -> dict[str, str]:
    """Return a result's document without its series, and the series as a table."""
    from bottlewright.flight.results import series_csv
    from bottlewright.report.json_text import json_text

    document = result.document()
    series = document.pop("series")
    return {f"{result.command}.json": json_text(document), name: series_csv(series)}


def read_only(flight: "Flight") -> "Flight":
    """Return a flight whose series nobody can write into."""
    for column in flight.series.values():
        column.setflags(write=False)
    return flight
