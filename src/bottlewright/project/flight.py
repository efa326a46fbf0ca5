"""One flight, from the release to the ground."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result

if TYPE_CHECKING:
    from bottlewright.flight.fly import Flight
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["FlightResult", "SeriesResult", "fly", "read_only", "with_series"]


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


def fly(project: "Project") -> FlightResult:
    """Fly the rocket of a project once, in the weather of its design."""
    from bottlewright.flight.fly import fly as fly_once

    return FlightResult(project, flight=read_only(fly_once(project.design, series=True)))


def read_only(flight: "Flight") -> "Flight":
    """Return a flight whose series nobody can write into."""
    for column in flight.series.values():
        column.setflags(write=False)
    return flight
