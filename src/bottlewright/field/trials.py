"""Flights of one design over one field, flown and counted: what every trial of a wind, a tilt or an hour needs."""

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_EXCEPTION, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.field.exposure import Exposure, clearances, exposures
from bottlewright.field.landings import FlyBatch, Mode, Sample, points, sample_flights
from bottlewright.field.release_odds import came_to, where_torn_falls
from bottlewright.field.site import FieldSite
from bottlewright.flight.batch import sample_batch
from bottlewright.flight.state import Endings

__all__ = ["BLOCK", "FIRST", "FlownSample", "Progress", "Seen", "Trials", "fly_sample", "side_by_side",
           "worst_first"]  # fmt: skip

Floats = NDArray[np.float64]
BLOCK = 512  # flights between two chances to stop with what there is
FIRST = (8, 32)  # flights after which a trial of a wind or a tilt may be settled
Progress = Callable[[str, float], None]
"""Called with what is being done and how far it is, 0 to 1."""
Seen = Callable[[Floats], None]
"""Called with rows of metres east and north of the launch point."""


@dataclass(frozen=True)
class Trials:
    """What stays the same while winds, tilts, launch points and hours are tried.

    Parameters
    ----------
    design, site
        Completed design and its checked field.
    fly
        Flies a batch.
    say
        Reports progress.
    seed
        Of the sample.
    leaving
        Accepted chance of leaving the field; the table's when None.
    apogee_time
        Of the middle flight, s: when it is highest.
    habit
        Units of the builder.
    seen
        Takes the landings of each block of the sample as it is flown.
    """

    design: Design
    site: FieldSite
    fly: FlyBatch
    say: Progress
    seed: int
    leaving: float | None
    apogee_time: float
    habit: UnitHabit
    seen: Seen = lambda _: None

    @classmethod
    def of(
        cls, design: Design, site: FieldSite, fly: FlyBatch, say: Progress, seed: int, seen: Seen = lambda _: None
    ) -> "Trials":
        """Fly the middle flight and note what all the trials share."""
        fly = where_torn_falls(design, fly)
        middle = fly(sample_batch(design, 0, 1, seed=seed, vary=False))
        leaving = design.scatter.leaving.value if design.scatter.leaving else None
        apogee_time = float(np.nan_to_num(middle["apogee_time_s"][0]))
        return cls(design, site, fly, say, seed, leaving, apogee_time, unit_habit(design), seen)

    def muted(self, words: str) -> Progress:
        """Return what says these words whatever it is told, and looks for a stop all the same."""
        return lambda _words, share: self.say(words, share)

    def landings(self, batch: Any) -> Floats:
        """Fly a batch and return where the flights with an end came down."""
        rows = points(self.fly(batch))
        return rows[np.isfinite(rows).all(axis=1)]

    def exposures(self, landings: Floats) -> list[Exposure]:
        """Count landings against the field."""
        return exposures(self.site, landings, self.leaving)


def worst_first(trials: Trials, count: int) -> Callable[[Any], Iterator[Floats]]:
    """Return what flies one batch of so many flights after another and gives where they came down, part by part.

    The flights that were nearest to trouble in the last whole batch fly first: often they settle it, and whoever asked
    goes no further.
    """
    order = np.arange(count)

    def flown(batch: Any) -> Iterator[Floats]:
        nonlocal order
        rows = np.empty((0, 2))
        for part in filter(len, np.split(order, FIRST)):
            rows = np.concatenate([rows, points(trials.fly(batch[part]))])
            yield rows
        ended = np.isfinite(rows).all(axis=1)
        order = order[np.argsort(np.where(ended, clearances(trials.site, rows), np.inf), kind="stable")]

    return flown


def side_by_side(trials: Trials, *works: Callable[[Trials], Any]) -> list[Any]:
    """Do works that need nothing of each other, two at a time: each fills the gaps that the other leaves on the cores.

    Where one is stopped or fails, the others end at the next batch that they fly, or the next thing that they say.
    """
    left = threading.Event()

    def fly(batch: Any) -> Any:
        look()
        return trials.fly(batch)

    def say(words: str, share: float) -> None:
        look()
        trials.say(words, share)

    def look() -> None:
        if left.is_set():
            raise KeyboardInterrupt

    theirs = replace(trials, fly=fly, say=say)
    with ThreadPoolExecutor(2) as pool:
        futures = [pool.submit(work, theirs) for work in works]
        try:
            wait(futures, return_when=FIRST_EXCEPTION)
            for future in futures:
                if future.done():
                    future.result()
        finally:
            left.set()
            pool.shutdown(cancel_futures=True)
    return [future.result() for future in futures]


@dataclass(frozen=True)
class FlownSample:
    """The sample as flown.

    Parameters
    ----------
    batch
        What was flown.
    landings, modes, fin_lost
        Where each flight with an end came down and what it was given to go wrong; whether a fin was lost, whatever
        else it came to.
    came_to
        How it came down: as it was given, or as its mechanism let the canopy out.
    ended, stuck, turning
        For each flight: it has an end; it never left the launcher; the pressure centre came ahead of the balance point.
    strikes
        Energy (J) at the ground of each flight with an end.
    """

    batch: Any
    landings: Floats
    modes: NDArray[np.int64]
    came_to: NDArray[np.int64]
    fin_lost: NDArray[np.bool_]
    ended: NDArray[np.bool_]
    stuck: NDArray[np.bool_]
    turning: NDArray[np.bool_]
    strikes: Floats


def _fins(design: Design) -> int:
    return design.fins.count if design.fins else 0


def fly_sample(trials: Trials, wanted: int) -> FlownSample:
    """Fly the sample block by block; when the user stops it, return the blocks that are done, if there is one."""
    samples: list[Sample] = []
    summaries: list[Any] = []
    try:
        for first in range(0, wanted, BLOCK):
            count = min(BLOCK, wanted - first)
            sample = sample_flights(trials.design, first, count, trials.seed, trials.apogee_time)
            summaries.append(trials.fly(sample.batch))
            samples.append(sample)
            trials.seen(points(summaries[-1]))
            trials.say("flying the sample", min(first + BLOCK, wanted) / wanted)
    except KeyboardInterrupt:
        if not samples:
            raise
    flown = np.concatenate(summaries[: len(samples)])
    rows = points(flown)
    kept = np.asarray(np.isfinite(rows).all(axis=1))
    stuck = np.isin(flown["ending"], (Endings.never_left, Endings.stuck))
    modes = np.where(stuck, Mode.STUCK, np.concatenate([one.modes for one in samples]))
    batch = np.concatenate([one.batch for one in samples])
    return FlownSample(
        batch=batch, landings=rows[kept], modes=modes[kept],
        came_to=came_to(trials.design, batch, flown, modes)[kept],
        fin_lost=batch["fin_count"][kept] < _fins(trials.design),
        ended=kept, stuck=stuck, turning=flown["static_margin_min_calibres"] < 0.0,
        strikes=flown["landing_energy_J"][kept],
    )  # fmt: skip
