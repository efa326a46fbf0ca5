"""What is known of the job's present revision: worked out once, shown by every page."""

import threading
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.web.job import Job
from bottlewright.web.views.frame import WORKING, Frame, frame_of, waiting_frame
from bottlewright.web.work import Work

if TYPE_CHECKING:
    from bottlewright.project.flight import FlightResult
    from bottlewright.project.proof import ProofResult

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
        finally:
            self.ready.set()
            changed()


class Desk:
    """One revision of the job, and what is worked out of it, each thing when it is first asked for."""

    def __init__(self, job: Job, work: Work, warm: Warm) -> None:
        self.job, self.work, self.warm = job, work, warm
        self.project, self.revision, self.finished = job.project, job.revision, work.finished

    @cached_property
    def flight(self) -> "FlightResult | None":
        """One flight; None while the physics is being compiled."""
        return self.project.fly() if self.warm.ready.is_set() else None

    @cached_property
    def proved(self) -> "ProofResult":
        """What vessel and launcher can take, with the verdict by all that was worked out for this revision."""
        done = (self.work.result(kind, self.project.digest) for kind in ("tune", "scatter", "make"))
        return self.project.prove([result for result in done if result is not None])

    @property
    def cured(self) -> Any:
        """The same with its cures, where they have been tried for this very revision."""
        tried = self.work.result("cures", self.project.digest)
        return replace(self.proved, cures=tried.cures) if tried else self.proved

    @cached_property
    def sketched(self) -> Any:
        """The drawing's result."""
        from bottlewright.project.drawing import drawn

        return drawn(self.project)

    @cached_property
    def margin(self) -> str:
        """The least static margin, in words."""
        return f"{self.flight.summary['static_margin_min_calibres']:.2f}" if self.flight else WORKING

    def number(self, stage: str) -> str:
        """Return the key number of a stage, or that it is being worked out."""
        return self.numbers.get(stage, "—")

    @cached_property
    def numbers(self) -> dict[str, str]:
        """The key numbers of the strip."""
        habit = self.proved.verdict.habit
        allowed = self.proved.verdict.allowed.gauge_Pa
        found = {
            "sketch": habit.length(self.sketched.length),
            "prove": "no pressure yet" if allowed is None else habit.pressure(allowed).partition(" (")[0],
            "fly": habit.distance(self.flight.summary["apogee_m"]).partition(" (")[0] if self.flight else WORKING,
        }
        for stage, kind in (("tune", "tune"), ("field", "scatter"), ("make", "make")):
            if self.work.result(kind, self.project.digest) is not None:
                found[stage] = "worked out"
            elif kind in self.work.running:
                found[stage] = WORKING
        return found

    @cached_property
    def frame(self) -> Frame:
        """What stands round every page."""
        if not self.warm.ready.is_set():
            return waiting_frame(self.job)
        return frame_of(self.job, self.cured, self.numbers)
