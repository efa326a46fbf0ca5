"""A lesson: one variable against height, with each team's points, a worksheet and its key."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Literal

from bottlewright.errors import InputError
from bottlewright.project.result import Result

if TYPE_CHECKING:
    from bottlewright.design.document import Design
    from bottlewright.learn.one_variable import OneVariable
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture

__all__ = ["VARIED", "LessonResult", "lesson"]

VARIED = ("water", "pressure")
_SHARES = {"water": (0.4, 0.6, 0.8, 1.0, 1.25, 1.5, 1.75), "pressure": (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)}
"""Of the design's load: pressure never over it. What makes a stop is left out."""

_FIRST = "Put that right first: see what the verdict says"


@dataclass(frozen=True, eq=False, repr=False)
class LessonResult(Result):
    """One variable against height.

    Parameters
    ----------
    found
        What is foretold, and what was measured.
    left_out
        Values that are not launched, and why.
    paper
        Of the sheets.
    """

    command: ClassVar[str] = "lesson"
    stages: ClassVar[tuple[str, ...]] = ("fly",)
    found: "OneVariable"
    left_out: tuple[str, ...]
    paper: str

    @property
    def held(self) -> str:
        """What stays the same beside the rocket."""
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.quantities import show

        if self.found.what == "water":
            return f"{unit_habit(self.design).pressure(self.project.value('charge.pressure').value)} on the gauge"
        return f"{show(self.project.value('charge.water').value, 'mL')} of water"

    @property
    def allowed(self) -> str:
        """What the verdict says of the pressure, and what that rests on."""
        act = self.act
        if self.first_step:
            return (f"On the gauge: {act.allowed}; {act.after_test}. What Prove allows after the test counts, and not "
                    "this sheet.")  # fmt: skip
        return f"On the gauge: {act.allowed}, for every launch of this sheet. Why: {act.because}."

    @property
    def first_step(self) -> str:
        """Say what comes before any launch where the bottle waits for its first water test; else empty."""
        from bottlewright.project.offered import waits_for_its_test

        act = self.act
        if not waits_for_its_test(self.verdict):
            return ""
        return ("First step: the water test of this very bottle. Fill it with water to the brim, hold it at "
                f"{act.proof} {act.hold} as the test sheet of the page Prove says, and enter there what happened. "
                "Nobody pumps air into it before it has passed. If it leaks, creaks or grows, nobody pumps it again, "
                "and there is no lesson with it.")  # fmt: skip

    @property
    def taught_by(self) -> str:
        """Say that launches over the band taught it already, so that nobody takes them as its proof; else empty."""
        taken = self.design.written.taken
        had = sum(one.launch in taken.learned.launches for one in self.found.counted) if taken else 0
        if taken is None or not had:
            return ""
        return (f"The band is {taken.learned.rests_on}. {had} of the launches here {'is' if had == 1 else 'are'} among "
                "them: that they lie in it shows little. What flies from now on puts it to the test.")  # fmt: skip

    def sheet(self, key: bool) -> bytes:
        """Return the worksheet, or its key, as PDF."""
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.learn.lesson_sheet import lesson_pdf

        return lesson_pdf(self.found, self.project.name, self.held, self.allowed, key, unit_habit(self.design),
                          self.paper, self.not_flown(), self.taught_by, self.first_step)  # fmt: skip

    def not_flown(self) -> list[str]:
        """Return what nobody flies, in sentences: values shown for their heights alone, and what a stop leaves out.

        After them, which of the others have little to spare.
        """
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.learn.lesson_sheet import little_to_spare, not_flown_words

        habit = unit_habit(self.design)
        return [*not_flown_words(self.found, habit), *(f"Left out: {one}." for one in self.left_out),
                *little_to_spare(self.found, habit)]  # fmt: skip

    def rows(self) -> list[tuple[str, str]]:
        """Return each value that may be flown with its band, in the builder's units."""
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.learn.lesson_sheet import value_words

        habit = unit_habit(self.design)
        return [(value_words(self.found, one.value, habit),
                 f"{habit.distance(one.low, 3).split(' ')[0]} to {habit.distance(one.high, 3)}")
                for one in self.found.flown]  # fmt: skip

    def launches(self) -> list[tuple[str, str, str, str, str]]:
        """Return each measured launch: its name, team, value, height with its ±, and where it lies."""
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.learn.lesson_sheet import lies_words, value_words
        from bottlewright.logbook.measured import said

        habit = unit_habit(self.design)
        unit, size = ("ft", 0.3048) if habit.inches else ("m", 1.0)
        return [(one.launch, one.team, value_words(self.found, one.value, habit),
                 said(one.height / size, one.spread / size, unit), lies_words(self.found, one))
                for one in self.found.points]  # fmt: skip

    def words(self) -> str:
        """See `Result.words`."""
        name = self.found.what
        lines = [f"{self.project.name}: {name} against height, all else the same ({self.held})", ""]
        lines += [self.first_step, ""] if self.first_step else []
        lines += [f"  {value:>9}  eight in ten: {band}" for value, band in self.rows()]
        lines += ["", "Launches so far" if self.found.points else "No launch of it with a measured height so far."]
        lines += [f"  {launch}  {f'team {team}, ' if team else ''}{value}: {height}, {lies}"
                  for launch, team, value, height, lies in self.launches()]  # fmt: skip
        return "\n".join([*lines, *filter(None, [self.taught_by]), *self.not_flown(), ""])

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        unit = {"water": "water_m3", "pressure": "pressure_gauge_Pa"}[self.found.what]
        return {
            "rocket": self.project.name, "varied": self.found.what, "held": self.held,
            "foretold": [{unit: one.value, "height_low_m": one.low, "height_m": one.middle, "height_high_m": one.high,
                          "not_to_be_flown": one.barred, "flights": one.flights, "with_little_margin": one.swinging,
                          "margin_least_calibres": one.margin} for one in self.found.foretold],
            "launches": [{"launch": one.launch, "team": one.team, unit: one.value, "height_m": one.height,
                          "height_u_m": one.spread, "counts": not one.apart, "why_not": one.apart,
                          "inside": self.found.inside(one)} for one in self.found.points],
            "left_out": list(self.left_out), "first_step": self.first_step, "taught_by": self.taught_by,
        }  # fmt: skip

    def columns(self) -> Mapping[str, Any]:
        """Return what is foretold at each value, SI."""
        rows = self._numbers["foretold"]
        return {name: [row[name] for row in rows] for name in rows[0] if name != "not_to_be_flown"}

    def _pictures(self) -> "list[Picture]":
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.learn.one_variable_picture import one_variable_picture

        return [one_variable_picture(self.found, unit_habit(self.design))]

    def _own_files(self) -> "Mapping[str, str | bytes]":
        return {"lesson.json": self.json(), "worksheet.pdf": self.sheet(key=False), "key.pdf": self.sheet(key=True)}


def lesson(project: "Project", vary: str = "water", paper: Literal["a4", "letter"] | None = None) -> LessonResult:
    """Work out one variable against height, with the launches of the logbook beside the design.

    Parameters
    ----------
    vary
        One of `VARIED`.
    paper
        Of the sheets; the usual one of the design's units when left out.

    Raises
    ------
    InputError
        When it can't be varied, nobody may launch the rocket at all, or no two values of it may be flown.
    """
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.learn.one_variable import OneVariable, foretold_at, points_of
    from bottlewright.make.patterns.nesting import usual_paper
    from bottlewright.project.logbook import Logbook
    from bottlewright.project.offered import why_none

    if vary not in VARIED:
        raise InputError(f"one of {' or '.join(VARIED)} can be varied, not {vary!r}")
    if nobody := why_none(project, before_its_test=True):
        raise InputError(f"nobody launches {project.name} yet: {nobody}. {_FIRST}")
    designs, barred, left_out = _designs(project, vary)
    foretold = foretold_at(designs, barred)
    if sum(not one.barred for one in foretold) < 2:
        why = "; ".join(dict.fromkeys([*barred.values(), *left_out]))
        raise InputError(f"{project.name} makes no two launches that differ in {vary} alone and that may be flown: "
                         f"{why}. {_FIRST}")  # fmt: skip
    points = points_of(Logbook(Path(project.folder)).read(), project.design, vary)
    size = paper or usual_paper(unit_habit(project.design).inches)
    return LessonResult(project, found=OneVariable(vary, foretold, points), left_out=tuple(left_out), paper=size,
                        judged=project.fly().verdict)  # fmt: skip


def _designs(project: "Project", vary: str) -> "tuple[dict[float, Design], dict[float, str], list[str]]":
    """Return the designs by value, why some of them are not flown, and what is left out because its verdict stops it.

    Its own load among them, with too little margin like every other.
    """
    from bottlewright.project.offered import offer

    designs, barred, left_out = {}, {}, []
    for share in _SHARES[vary]:
        found = offer(project, f"charge.{vary}", share)
        if found.project is None:
            left_out.append(f"{found.load}, for {found.why}")
            continue
        value = found.project.value(f"charge.{vary}").value
        designs[value] = found.project.design
        if found.why:
            barred[value] = found.why
    return designs, barred, left_out
