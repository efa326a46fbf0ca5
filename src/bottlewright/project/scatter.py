"""Where the rocket comes down, and what that means for field and people."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.cures import Judge
    from bottlewright.field.landings import FlyBatch
    from bottlewright.field.numbers import FieldNumbers
    from bottlewright.field.scatter import Scatter
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["ScatterResult", "scatter"]


@dataclass(frozen=True, eq=False, repr=False)
class ScatterResult(Result):
    """What Field found.

    Parameters
    ----------
    found
        In full.
    field_numbers
        What of it every other command reads; kept for them.
    """

    command: ClassVar[str] = "scatter"
    stages: ClassVar[tuple[str, ...]] = ("field",)
    found: "Scatter"
    field_numbers: "FieldNumbers"

    @property
    def partial(self) -> bool:
        """Whether it was stopped before all was worked out."""
        return self.found.stopped

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        return judge_alone(self.design, self.project.folder, proof=self.project.proved, field=self.field_numbers)

    def _judge_of_changes(self) -> "Judge":
        from bottlewright.cures import WholeJudge

        return WholeJudge(self.project.folder, self.design, self.found)

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        from bottlewright.field.results import scatter_document

        return scatter_document(self.design, self.found)

    def words(self) -> str:
        """See `Result.words`."""
        from bottlewright.field.results import scatter_words
        from bottlewright.verdict import open_words

        beside = f"  {open_words(self.verdict).capitalize()}.\n" if self.found.calls else ""
        return scatter_words(self.design, self.found) + beside

    def columns(self) -> Mapping[str, Any]:
        """Return the landings: metres east and north of the launch point, and how each came down."""
        import numpy as np

        rows = [points for points in self.found.landings.values() if len(points)]
        east, north = np.concatenate(rows).T if rows else np.empty((2, 0))
        modes = [name for name, points in self.found.landings.items() for _ in points]
        return {"east_m": east, "north_m": north, "came_down": modes}

    def _pictures(self) -> "list[Picture]":
        from bottlewright.field.chapters import field_pictures

        return list(field_pictures(self.design, self.found))

    def _own_files(self) -> "Mapping[str, str | bytes]":
        from bottlewright.field.chapters import field_files

        return {**super()._own_files(), **field_files(self.found)}


def scatter(
    project: "Project", winds: bool, progress: Progress | None, stop: Stop | None, fly_many: "FlyBatch | None"
) -> ScatterResult:
    """Work out where the rocket comes down; see `Project.scatter`."""
    from bottlewright.field.numbers import keep
    from bottlewright.field.scatter import scatter as scatter_flights

    with watching(progress, stop, fly_many) as watch:
        found = scatter_flights(project.design, project.site, fly=watch.fly, say=watch.say, winds=winds)
    return ScatterResult(project, found=found, field_numbers=keep(project.design, found))
