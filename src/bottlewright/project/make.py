"""Patterns, parts, schedule, sheets and the printed pack."""

import datetime as dt
import hashlib
import threading
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.make.build import Given, Made, Workshop
    from bottlewright.make.pack.sheets import PackSheet
    from bottlewright.project.project import Project
    from bottlewright.report.first_page import FromFlights
    from bottlewright.verdict import Verdict

__all__ = ["MakeResult", "make", "sheets_to_come"]

_DRAWING = threading.Lock()
"""A page asks for many pictures at once; one of them draws, the others wait for it."""


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
            def printed() -> "Made":
                from bottlewright.field.site import field_site
                from bottlewright.logbook.paper import day_steps
                from bottlewright.make.build import finish
                from bottlewright.proof.sheet import pack_page
                from bottlewright.report.first_page import first_page
                from bottlewright.verdict import act_on
                from bottlewright.verdict.on_the_site import plan_of

                plan = plan_of(self.design, field_site(self.design.site, self.project.folder), self.verdict)
                first = first_page(act_on(self.verdict), self.verdict.findings, plan=plan, flights=flights)
                given = replace(self.given, findings=self.verdict.findings, first=first,
                                proof_test=pack_page(self.project.proved, first.act), day=day_steps())
                return finish(self.workshop, given, self.now, watch.say)

            flights = self._from_flights(stop or (lambda: False))
            with watching(progress, stop) as watch:
                self.__dict__["_made"] = watch.run(printed)
        made: Made = self.__dict__["_made"]
        return made

    def _from_flights(self, stop: Stop) -> "FromFlights | None":
        """Return what the rocket's flights changed, as the page Learn has it; None where it draws from none."""
        from bottlewright.project.using_learned import before_after
        from bottlewright.report.first_page import FromFlights

        taken = self.design.written.taken
        if taken is None:
            return None
        rows = tuple((f"{one.what[:1].upper()}{one.what[1:]}", one.before, one.after)
                     for one in before_after(self.project, stop))  # fmt: skip
        return FromFlights(taken.learned.sentence, rows)

    @cached_property
    def name(self) -> str:
        """Short name of this pack: another one, even of the same design at another hour, has another."""
        return hashlib.sha256(f"{self.project.text}{self.digest}{self.now}".encode()).hexdigest()[:12]

    @cached_property
    def sheets(self) -> "list[PackSheet]":
        """The sheets of the printed pack, one by one, with where each begins and how many pages it has."""
        from bottlewright.make.pack.sheets import pack_sheets

        return pack_sheets(self.made().pack)

    def chosen(self, names: Collection[str]) -> bytes:
        """Return the PDF of some sheets, by their names; under a stop the cover always goes along.

        Raises
        ------
        InputError
            When there is no such sheet, or none was chosen.
        """
        from bottlewright.errors import InputError
        from bottlewright.make.pack.sheets import chosen_pack

        there = [one.name for one in self.sheets]
        if unknown := sorted(set(names) - set(there)):
            raise InputError(f"{', '.join(unknown)} is no sheet of this pack; there are {', '.join(there)}")
        if not names:
            raise InputError("no sheet is chosen: tick those that you want")
        return chosen_pack(self.made().pack, names)

    def page_picture(self, number: int, dots: int = 110) -> bytes:
        """Return a page of the pack, counted from 1, as PNG; all pages of one size are drawn at the first call.

        Raises
        ------
        InputError
            When the pack has no such page.
        """
        from bottlewright.errors import InputError
        from bottlewright.make.pack.typeset import page_pictures

        with _DRAWING:
            drawn: dict[int, list[bytes]] = self.__dict__.setdefault("_drawn", {})
            if dots not in drawn:
                drawn[dots] = page_pictures(self.made().pack, dots)
        if not 1 <= number <= len(drawn[dots]):
            raise InputError(f"this pack has pages 1 to {len(drawn[dots])}")
        return drawn[dots][number - 1]

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


def sheets_to_come() -> list[tuple[str, str]]:
    """Return what every pack has, before one is made: title, and what it is for."""
    from bottlewright.make.pack.sheets import titles_to_come

    return titles_to_come()


def make(project: "Project", paper: str | None, progress: Progress | None, stop: Stop | None) -> MakeResult:
    """Draw the parts and lay out the work; see `Project.make`."""
    design, now = project.design, dt.datetime.now().replace(microsecond=0)

    def drawn() -> MakeResult:
        from bottlewright.make.build import workshop_of
        from bottlewright.make.inputs import collect_inputs
        from bottlewright.proof.parts import hole_sizes

        drills = {hole.name: hole.drill_m for hole in hole_sizes(design)}
        flight = project.fly().flight
        given = collect_inputs(design, project.file, project.proved, flight, drills, project.overrides, paper)
        return MakeResult(project, workshop=workshop_of(design, given, now), given=given, now=now)

    with watching(progress, stop) as watch:
        watch.say("drawing the parts")
        return watch.run(drawn)
