"""Everything of one design in one folder, with one report."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.field.landings import FlyBatch
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.study import Study

__all__ = ["StudyResult", "study"]


@dataclass(frozen=True, eq=False, repr=False)
class StudyResult(Result):
    """The whole study.

    Parameters
    ----------
    studied
        In full.
    """

    command: ClassVar[str] = "study"
    stages: ClassVar[tuple[str, ...]] = ("sketch", "prove", "tune", "fly", "field", "make")
    studied: "Study"

    def document(self) -> dict[str, Any]:
        """Return the numbers of all stages as one document: a table for each stage, SI, the unit in each name."""
        return self._numbers

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        from bottlewright.study import summary_of

        return summary_of(self.studied)

    def words(self) -> str:
        """See `Result.words`."""
        sections = (chapter.section for chapter in self.studied.chapters)
        lines = [f"  {one.stage:<8}{one.state.words:<20}{one.title}" for one in sections]
        return "\n".join([f"{self.design.name}\n", *lines, ""])

    def columns(self) -> Mapping[str, Any]:
        """Return the findings: level, stage, what can go wrong, what was found, limit, source, remedy."""
        rows = [finding.as_json() for finding in self.findings]
        return {name: [row[name] for row in rows] for name in (rows[0] if rows else ())}

    def _pictures(self) -> "list[Picture]":
        return [picture for chapter in self.studied.chapters for picture in chapter.section.pictures]

    def files(self, progress: Progress | None = None, stop: Stop | None = None) -> dict[str, bytes]:
        """See `Result.files`."""
        from bottlewright.study import study_files

        source = self.project.file.name.encode(errors="replace").decode()  # a name may hold bytes that are no letters
        with watching(progress, stop) as watch:
            return watch.run(lambda: study_files(self.studied, source, watch.say))


def study(
    project: "Project", paper: str | None, progress: Progress | None, stop: Stop | None, fly_many: "FlyBatch | None"
) -> StudyResult:
    """Study the rocket; see `Project.study`."""
    def studied() -> "Study":
        from bottlewright.study import study as study_all

        return study_all(project.design, project.file, project.overrides, watch.fly, watch.say, paper)

    with watching(progress, stop, fly_many) as watch:
        found = watch.run(studied)
    return StudyResult(project, studied=found, judged=found.verdict, cures=found.cures)
