"""Where the rocket comes down, and what that means for field and people."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.cures import Judge
    from bottlewright.design import Design
    from bottlewright.field.landings import FlyBatch
    from bottlewright.field.numbers import FieldNumbers
    from bottlewright.field.scatter import Scatter
    from bottlewright.field.trials import Seen
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["ScatterResult", "peopleless", "scatter"]


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

    def with_people_of(self, project: "Project") -> "ScatterResult":
        """Return the same landings with the people of another design that is `Project.peopleless` the same one."""
        from bottlewright.field.numbers import keep
        from bottlewright.field.scatter import moved

        found = moved(project.design, self.found)
        numbers = keep(project.design, found)
        return ScatterResult(project, found=found, field_numbers=numbers, engine=self.engine)

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

        return scatter_document(self.design, self.found) | {"engine": self.engine}

    def odds(self) -> list[tuple[str, str, str, str]]:
        """Return each failure, its odds as judged before anything was counted, as used, and what these rest on."""
        from bottlewright.field.results import odds_in_use

        return list(odds_in_use(self.design, self.found))

    def drift_words(self) -> str:
        """Return how far the wind of the file carries the canopy, against the edge of the field on that side."""
        from bottlewright.flight.canopy_words import drift_words

        return drift_words(self.design, self.project.flown, edge_downwind_of(self.project))

    def words(self) -> str:
        """See `Result.words`."""
        from bottlewright.field.results import scatter_words
        from bottlewright.verdict import open_words

        beside = f"  {open_words(self.verdict).capitalize()}.\n" if self.found.calls else ""
        return scatter_words(self.design, self.found) + beside + self.flown_by()

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


def edge_downwind_of(project: "Project") -> float | None:
    """Return how far the edge of the field is straight down the file's wind, m; None where nobody can say."""
    from bottlewright.field.downwind import edge_downwind

    return edge_downwind(project.design, project.site)


def scatter(
    project: "Project", winds: bool, progress: Progress | None, stop: Stop | None, fly_many: "FlyBatch | None",
    landed: "Seen | None" = None,
) -> ScatterResult:  # fmt: skip
    """Work out where the rocket comes down; see `Project.scatter`."""
    with watching(progress, stop, fly_many) as watch:
        scatter_flights, keep = watch.run(_loaded)
        found = scatter_flights(project.design, project.site, fly=watch.fly, say=watch.say, winds=winds,
                                seen=landed or (lambda _: None))  # fmt: skip
    return ScatterResult(project, found=found, field_numbers=keep(project.design, found), engine=watch.engine)


def _loaded() -> "tuple[Callable[..., Scatter], Callable[[Design, Scatter], FieldNumbers]]":
    """Return what works out and keeps the landings: its libraries take half a second to load, the first time."""
    from bottlewright.field.numbers import keep
    from bottlewright.field.scatter import scatter as scatter_flights

    return scatter_flights, keep


def peopleless(project: "Project") -> str:
    """Return a name for all of a project on which a landing rests; see `Project.peopleless`."""
    from bottlewright.design.digest import landings_digest

    launcher = project.design.launcher
    return landings_digest(project.design.model_copy(update={"launcher": launcher.model_copy(update={"crew": None})}))
