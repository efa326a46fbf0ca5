"""Many flights of one design, each with its own draw of everything that carries a ±."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.errors import InputError
from bottlewright.names import several
from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.field.landings import FlyBatch
    from bottlewright.project.project import Project
    from bottlewright.report.course_chart import HeightBand
    from bottlewright.verdict import Verdict

__all__ = ["FlightsResult", "fly_many"]

BLOCK = 256
"""Flights between two words on how far it is."""

BANDED = 1000
"""Most flights that a band is made of: more don't move it, and each is flown once more for it."""


@dataclass(frozen=True, eq=False, repr=False)
class FlightsResult(Result):
    """Many flights, as key figures.

    Parameters
    ----------
    summaries
        A record for each flight that was done, its key figures by name.
    wanted, seed
        How many were asked for, and from which seed: the same seed gives the same flights.
    """

    command: ClassVar[str] = "flights"
    stages: ClassVar[tuple[str, ...]] = ("fly",)
    summaries: Any
    wanted: int
    seed: int

    @property
    def partial(self) -> bool:
        """Whether it was stopped before all flights were done."""
        return len(self.summaries) < self.wanted

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        return judge_alone(self.design, self.project.folder, proof=self.project.proved)

    def columns(self) -> Mapping[str, Any]:
        """Return the key figures, a flight in each row, the unit in each name; NaN where something never came."""
        names = self.summaries.dtype.names
        return {name: self.summaries[name] for name in names if name not in ("ending", "steps")}

    @cached_property
    def band(self) -> "HeightBand":
        """How high the flights are at each moment: one in ten is lower than `low`, one in ten higher than `high`.

        They are flown once more for it, the first thousand of them, with their heights kept along the way.
        """
        from bottlewright.flight.batch import sample_batch
        from bottlewright.flight.height_band import height_band, heights_of, moments_of

        few = self.summaries[:BANDED]
        times = moments_of(few["flight_time_s"])
        return height_band(times, heights_of(sample_batch(self.design, 0, len(few), seed=self.seed), times))

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        import numpy as np

        def spread(column: Any) -> dict[str, float] | None:
            seen = column[np.isfinite(column)]
            return None if not len(seen) else dict(
                zip(("low", "middle", "high"), np.quantile(seen, (0.1, 0.5, 0.9)).tolist(), strict=True))  # fmt: skip

        return {"name": self.design.name, "flights": len(self.summaries), "flights_wanted": self.wanted,
                "seed": self.seed, **{name: spread(column) for name, column in self.columns().items()}}  # fmt: skip

    def words(self) -> str:
        """Return the height that one flight in ten stays under, the middle one, and that one in ten passes."""
        height, habit = self._numbers["apogee_m"], self.verdict.habit
        flown = f"{self.design.name}: {several(len(self.summaries), 'flight')}"
        if height is None:
            return f"{flown}, {'none of which' if len(self.summaries) > 1 else 'which never'} left the launcher\n"
        low, middle, high = (habit.distance(height[one]) for one in ("low", "middle", "high"))
        if len(self.summaries) == 1:
            return f"{flown}. It comes to {middle}\n"
        return (f"{flown}. The middle one comes to {middle}; one in ten "
                f"stays under {low}, one in ten passes {high}\n")  # fmt: skip


def fly_many(
    project: "Project", count: int, seed: int, progress: Progress | None, stop: Stop | None,
    fly: "FlyBatch | None",
) -> FlightsResult:  # fmt: skip
    """Fly a design many times; see `Project.fly_many`."""
    import numpy as np

    from bottlewright.flight.batch import sample_batch

    if count < 1:
        raise InputError(f"one flight at least is flown, not {count}")
    done: list[Any] = []
    with watching(progress, stop, fly) as watch:
        try:
            for first in range(0, count, BLOCK):
                batch = sample_batch(project.design, first, min(BLOCK, count - first), seed=seed)
                done.append(watch.fly(batch))
                watch.say("flying", min(first + BLOCK, count) / count)
        except KeyboardInterrupt:
            if not done or not watch.stopped:
                raise
    summaries = np.concatenate(done)
    summaries.setflags(write=False)
    return FlightsResult(project, summaries=summaries, wanted=count, seed=seed, engine=watch.engine)
