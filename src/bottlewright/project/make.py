"""Patterns, parts, schedule, sheets and the printed pack."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.make.build import Given, Made, Workshop
    from bottlewright.project.project import Project
    from bottlewright.verdict import Verdict

__all__ = ["MakeResult", "make"]


@dataclass(frozen=True, eq=False, repr=False)
class MakeResult(Result):
    """What the workshop needs.

    Parameters
    ----------
    workshop, given, now
        Drawn and planned; what it was planned from, and when. The sheets are printed when they are asked for: their
        numbers are those of the verdict.
    """

    command: ClassVar[str] = "make"
    stages: ClassVar[tuple[str, ...]] = ("make",)
    workshop: "Workshop"
    given: "Given"
    now: dt.datetime

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        return judge_alone(self.design, self.project.folder, proof=self.project.proved,
                           more=self.workshop.findings)  # fmt: skip

    def made(self, progress: Progress | None = None, stop: Stop | None = None) -> "Made":
        """Print the sheets; the second time they are at hand."""
        if "_made" not in self.__dict__:
            from bottlewright.make.build import finish
            from bottlewright.report.first_page import first_page
            from bottlewright.verdict import act_on

            with watching(progress, stop) as watch:
                first = first_page(act_on(self.verdict), self.verdict.findings)
                given = replace(self.given, findings=self.verdict.findings, first=first)
                self.__dict__["_made"] = watch.run(lambda: finish(self.workshop, given, self.now, watch.say))
        made: Made = self.__dict__["_made"]
        return made

    @property
    def paper(self) -> str:
        """What the pack is printed on: a4 or letter."""
        return self.given.paper

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        made = self.made()
        findings = [finding.as_json() for finding in made.findings]
        return {"name": self.design.name, **made.results, "files": sorted(made.files), "findings": findings}

    def words(self) -> str:
        """See `Result.words`."""
        numbers = self._numbers
        return (f"{self.design.name}: {numbers['pattern_sheets']} sheets of patterns, {numbers['parts']} parts, "
                f"earliest launch day {numbers['earliest_launch_day'] or 'unknown'}\n")

    def columns(self) -> Mapping[str, Any]:
        """Return the steps of the work: what, how long it takes and waits, s, and when it is ready."""
        wanted = ("task", "title", "work_s", "wait_s", "ready")
        return {name: [step[name] for step in self._numbers["schedule"]] for name in wanted}

    def files(self, progress: Progress | None = None, stop: Stop | None = None) -> dict[str, bytes]:
        """See `Result.files`."""
        return dict(self.made(progress, stop).files)


def make(project: "Project", paper: str | None, progress: Progress | None, stop: Stop | None) -> MakeResult:
    """Draw the parts and lay out the work; see `Project.make`."""
    from bottlewright.make.build import workshop_of
    from bottlewright.make.inputs import collect_inputs
    from bottlewright.proof.parts import hole_sizes

    design, now = project.design, dt.datetime.now().replace(microsecond=0)

    def drawn() -> MakeResult:
        drills = {hole.name: hole.drill_m for hole in hole_sizes(design)}
        flight = project.fly().flight
        given = collect_inputs(design, project.file, project.proved, flight, drills, project.overrides, paper)
        return MakeResult(project, workshop=workshop_of(design, given, now), given=given, now=now)

    with watching(progress, stop) as watch:
        watch.say("drawing the parts")
        return watch.run(drawn)
