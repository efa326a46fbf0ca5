"""A static firing on a thrust stand."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.flight import SeriesResult, read_only, with_series

if TYPE_CHECKING:
    from bottlewright.flight.fly import Flight
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["FiringResult", "fire"]


@dataclass(frozen=True, eq=False, repr=False)
class FiringResult(SeriesResult):
    """One firing, held still.

    Parameters
    ----------
    firing
        As the physics left it.
    """

    command: ClassVar[str] = "fire"
    stages: ClassVar[tuple[str, ...]] = ("prove",)
    firing: "Flight"

    @property
    def summary(self) -> Mapping[str, float]:
        """Key figures, the unit in each name; NaN where something never came."""
        from bottlewright.flight.results import FIRING

        return {name: self.firing.summary[name] for name in FIRING}

    @property
    def series(self) -> Mapping[str, Any]:
        """Thrust, pressure and water against time: arrays of one length, the unit in each name."""
        series: Mapping[str, Any] = self._numbers["series"]
        return series

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        rocket = self.design.stand is None or self.design.fins is not None
        return judge_alone(self.design, self.project.folder, proof=self.project.proved, flies=rocket)

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        from bottlewright.flight.results import firing_document

        return firing_document(self.design, self.firing)

    def words(self) -> str:
        """See `Result.words`."""
        from bottlewright.flight.summary_text import firing_words

        return firing_words(self.design, self.firing)

    def _pictures(self) -> "list[Picture]":
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.flight.chapters import firing_picture

        return [firing_picture(self.firing, unit_habit(self.design))]

    def _own_files(self) -> "Mapping[str, str | bytes]":
        return with_series(self, "firing.csv")


def fire(project: "Project") -> FiringResult:
    """Fire the bottle of a project on a thrust stand."""
    from bottlewright.flight.fly import fire as fire_once

    return FiringResult(project, firing=read_only(fire_once(project.design)))
