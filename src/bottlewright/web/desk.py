"""What is known of the job's present revision: worked out once, shown by every page."""

import gc
import math
import threading
from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import BottlewrightError
from bottlewright.project.grounds import grounds_of
from bottlewright.web.job import Job
from bottlewright.web.views.frame import WORKING, Frame, frame_of, waiting_frame
from bottlewright.web.work import Work

if TYPE_CHECKING:
    from bottlewright.project.flight import FlightResult
    from bottlewright.project.flights import FlightsResult
    from bottlewright.project.grounds import Grounds
    from bottlewright.project.loads import LoadWords
    from bottlewright.project.make import MakeResult
    from bottlewright.project.need import NeedResult
    from bottlewright.project.proof import ProofResult
    from bottlewright.project.scatter import ScatterResult

__all__ = ["Desk", "Warm"]


class Warm:
    """Compiles the physics beside the first pages; until it is done no flight is asked for."""

    def __init__(self) -> None:
        self.ready = threading.Event()

    def start(self, file: Path, changed: Any) -> None:
        """Begin; `changed` is called when the physics is there."""
        threading.Thread(target=self._run, args=(file, changed), daemon=True, name="warm").start()

    def _run(self, file: Path, changed: Any) -> None:
        from bottlewright.project.begin import begin

        try:
            begin(bottle="carbonated-1500", pressure="2 bar", file=file).fly().verdict_lines()
            gc.collect()
            gc.freeze()  # what is there now stays: no look through all of it in the middle of a change
        finally:
            self.ready.set()
            changed()


class Desk:
    """One revision of the job, and what is worked out of it, each thing when it is first asked for.

    Attributes
    ----------
    wind, closer, middle
        The wind (m/s, rad) that somebody looks at the field in, from how many steps nearer, and about which place (m).
    """

    def __init__(self, job: Job, work: Work, warm: Warm) -> None:
        self.job, self.work, self.warm = job, work, warm
        self.revision, self.finished = job.revision, work.finished
        self.wind: tuple[float, float] | None = None
        self.middle: tuple[float, float] | None = None
        self.closer = 0
        self.project, self.held = job.project, job.held  # after the revision: never an older project than it says

    @cached_property
    def flight(self) -> "FlightResult | None":
        """One flight; None while the physics is being compiled."""
        return self.project.fly() if self.warm.ready.is_set() else None

    @cached_property
    def load(self) -> "LoadWords | BottlewrightError":
        """What the load of now brings, or why nobody can say."""
        try:
            return self.project.load()
        except BottlewrightError as error:
            return error

    @cached_property
    def proved(self) -> "ProofResult":
        """What vessel and launcher can take, with the verdict by all that was worked out for this revision."""
        return self.work.judged(self.project)

    @cached_property
    def landings(self) -> "ScatterResult | None":
        """Where it comes down, with the people where they stand now; None until it is worked out."""
        return self.work.landings(self.project)

    @cached_property
    def pack(self) -> "MakeResult | None":
        """The pack of this revision that says what the verdict says now; None where nobody made one since.

        A pack that was made before the landings were worked out has the distances of the rule alone on its sheets.
        """
        found: MakeResult | None = self.work.result("make", self.project)
        return found if found is not None and found.act == self.proved.act else None

    @property
    def tried(self) -> tuple[float, float] | None:
        """The wind that somebody looks at the field in, where there is something to see: else the file's counts."""
        return self.wind if self.landings is not None and "scatter" not in self.work.running else None

    @cached_property
    def grounds(self) -> "Grounds":
        """What is drawn of the field."""
        return grounds_of(self.project)

    @cached_property
    def cured(self) -> Any:
        """The same with its cures, where they have been tried for this very revision."""
        tried = self.work.result("cures", self.project)
        return replace(self.proved, cures=tried.cures) if tried else self.proved

    def need(self, day: Mapping[str, str]) -> "NeedResult":
        """Return what a day needs, with the verdict by all that was worked out; no verdict while it compiles."""
        result = self.project.need(**day)
        return replace(result, judged=self.proved.verdict) if self.warm.ready.is_set() else result

    @property
    def flights(self) -> "FlightsResult | None":
        """Many flights of this very revision; None until they are done."""
        return self.work.result("flights", self.project)  # type: ignore[no-any-return]

    @cached_property
    def sketched(self) -> Any:
        """The drawing's result."""
        from bottlewright.project.drawing import drawn

        return drawn(self.project, self.held)

    @cached_property
    def margin(self) -> str:
        """The least static margin, in words."""
        return f"{self.flight.summary['static_margin_min_calibres']:.2f}" if self.flight else WORKING

    def _height(self, habit: Any) -> str:
        if self.flight is None:
            return WORKING
        height = self.flight.summary["apogee_m"]
        return habit.distance(height).partition(" (")[0] if math.isfinite(height) else "not known"

    def number(self, stage: str) -> str:
        """Return the key number of a stage, or that it is being worked out."""
        return self.numbers.get(stage, "—")

    @cached_property
    def numbers(self) -> dict[str, str]:
        """The key numbers of the strip."""
        habit = self.proved.verdict.habit
        allowed, act = self.proved.verdict.allowed, self.proved.act
        found = {
            "sketch": habit.length(self.sketched.length),
            "prove": "no pressure yet" if allowed.gauge_Pa is None else "none" if allowed.retired
            else act.allowed.removeprefix("not over ").partition(" (")[0],
            "fly": self._height(habit),
        }
        for stage, kind, done in (("tune", "tune", self.work.result("tune", self.project)),
                                  ("field", "scatter", self.landings), ("make", "make", self.pack)):  # fmt: skip
            if done is not None:
                found[stage] = "part of it" if getattr(done, "partial", False) else "worked out"
            elif kind in self.work.running:
                found[stage] = WORKING
        return found

    @cached_property
    def frame(self) -> Frame:
        """What stands round every page."""
        if not self.warm.ready.is_set():
            return waiting_frame(self.job)
        return frame_of(self.job, self.cured, self.numbers)
