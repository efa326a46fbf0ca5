"""What to launch and what to measure next, so that the prediction after it is surest; beside simply repeating.

Each draw of what is known of the rocket is flown with each load: that gives the height that is asked for, and all that
could be measured, draw by draw (`information`). What belongs to one launch (how the gauge was read, water, wind, gusts)
is scatter of the reading, and of the prediction: no launch removes it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.flight.batch import TOLERANCE, fly_batch
from bottlewright.flight.vehicle import VEHICLE, prepare
from bottlewright.learn.fit import MODEL_MISSES, TAILS, Fit, kinds_of
from bottlewright.learn.information import errors_like, gain, variance_after
from bottlewright.learn.instruments.stopwatch import unseen_top
from bottlewright.learn.unknowns import Unknown, unknowns_of, varied

__all__ = ["BAND", "INSTRUMENTS", "Instrument", "NextLaunch", "Option", "next_launch"]

Floats = NDArray[np.float64]

BAND = 1.6449
"""Standard deviations on either side within which nine in ten lie."""
_DRAWS, _SCATTER, _MOST = 400, 120, 2
"""Draws that are flown with each load; flights of one rocket for the scatter of launches; how many instruments at
once."""

_SAME, _SAME_VALUE = 0.2, 1.15
"""Share of what is gained that is no reason to change the load or to carry one more instrument; factor between
variances of a value that is none. Our judgement."""

FIGURES = {"height": "apogee_m", "time": "flight_time_s", "time up": "apogee_time_s", "water out": "water_out_time_s"}
"""What a launch shows, and where it stands in a flight's key figures."""
KINDS = [*FIGURES, "true pressure", "mass"]
"""All that can be measured."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """Something that people have at hand.

    Parameters
    ----------
    name, does
        By which it is asked for, and what somebody does with it, in words that go on after "and".
    what
        What it measures: of `FIGURES`, "true pressure" or "mass".
    spread, share
        Its ±: SI, and as a share of the value; the larger counts. Our judgement where no source is named.
    """

    name: str
    does: str
    what: str
    spread: float
    share: float = 0.0


INSTRUMENTS: Mapping[str, Instrument] = {one.name: one for one in (
    Instrument("angles", "read its height by angles", "height", 1.0, 0.05),
    Instrument("altimeter", "carry an altimeter", "height", 1.0, 0.03),
    Instrument("stopwatch", "time it to the ground with a stopwatch", "time", 0.3),
    Instrument("two stopwatches", "time it to the ground with two stopwatches", "time", 0.3 / 2.0**0.5),
    Instrument("stopwatch to the top", "time it to its highest point", "time up", float(np.hypot(0.2, unseen_top()))),
    Instrument("second gauge", "read the pressure on a second gauge that was checked", "true pressure", 5e3),
    Instrument("film", "film when the water is out (240 frames a second)", "water out", 0.005),
    Instrument("scales", "weigh it dry on kitchen scales", "mass", 1e-3),
)}  # fmt: skip
"""By name. ± of an altimeter: `instruments.barometer`; of a stopwatch: as for a time that was written without one; of
angles likewise, or as the launches so far have it."""


@dataclass(frozen=True)
class Option:
    """One launch with what is measured of it, and what it would leave of the doubt.

    Parameters
    ----------
    load
        Its name; empty for nothing launched.
    with_
        Instruments.
    height, time
        ± within which nine in ten of the next launch would lie, m and s.
    gain
        Information on what the rocket's next height is, nats.
    """

    load: str
    with_: tuple[Instrument, ...]
    height: float
    time: float
    gain: float

    @property
    def does(self) -> str:
        """What is measured, in words."""
        return " and ".join(one.does for one in self.with_)


@dataclass(frozen=True)
class NextLaunch:
    """What the next launch could tell.

    Parameters
    ----------
    height, time
        ± within which nine in ten of the next launch lie by what is known now, m and s.
    floor, floor_by_pressure
        The height's if all of the rocket were known: what differs from launch to launch. The same where the true
        pressure of each launch is read on a second gauge and foretold with.
    repeat
        The load of the design with what was measured at the last launch.
    options
        All that was looked at, the surest height first.
    parted
        For values that can't be told apart: by key, the option that lowers their doubt most, and the share of it that
        would be left.
    """

    height: float
    time: float
    floor: float
    floor_by_pressure: float
    repeat: Option
    options: Sequence[Option]
    parted: Mapping[str, tuple[Option, float]]

    @cached_property
    def best(self) -> Option:
        """The surest of those that hardly differ, with as few instruments and as little change as may be."""
        least = self.options[0].height
        near = [one for one in self.options if one.height <= least + _SAME * (self.height - least)]
        return min(near, key=lambda one: (len(one.with_), one.load != self.repeat.load, one.height))




@dataclass(frozen=True)
class _Shown:
    """What launches with one load show: draws without scatter, (m, `KINDS`), and the covariance of the scatter."""

    draws: Floats
    scatter: Floats


def next_launch(
    fit: Fit, loads: Mapping[str, Design], instruments: Iterable[Instrument], parting: Sequence[str] = (), seed: int = 0
) -> NextLaunch:
    """Work out what each launch and measurement would tell.

    Parameters
    ----------
    fit
        Of the launches so far.
    loads
        Completed designs by name, the one whose next prediction is asked for first.
    instruments
        At hand.
    parting
        Keys of values that can't be told apart.
    """
    generator = np.random.default_rng(seed)
    known = _known(fit, next(iter(loads.values())), generator)
    shown = {name: _flown(design, known, generator) for name, design in loads.items()}
    home, *_ = shown.values()
    columns = {one.path: n for n, one in enumerate(known.unknowns) if one.launch is None}
    paths = [path for path in parting if path in columns]
    targets = np.concatenate([home.draws[:, :2], known.scores[:, [columns[path] for path in paths]]], axis=1)
    judge = _Judge(targets, np.diag(home.scatter)[:2])
    at_hand = [_as_measured(one, fit) for one in instruments]
    found = [judge.option(load, some, each) for load, each in shown.items() for some in _together(at_hand)]
    repeat, _ = judge.option(next(iter(shown)), _last_measured(fit), home)
    parted = {}
    for number, path in enumerate(paths, 2):
        if found:
            least = min(left[number] for _, left in found)
            option, left = next(one for one in found if one[1][number] <= _SAME_VALUE * least)
            parted[path] = option, float(np.sqrt(left[number] / judge.before[number]))
    now = BAND * np.sqrt(judge.before[:2] + judge.own)
    pressure = KINDS.index("true pressure")
    second = INSTRUMENTS["second gauge"].spread
    held = home.scatter[0, pressure] ** 2 / (home.scatter[pressure, pressure] + second**2)
    floors = BAND * np.sqrt([judge.own[0], max(judge.own[0] - held, 0.0)])
    options = sorted((one for one, _ in found), key=lambda one: one.height)
    return NextLaunch(float(now[0]), float(now[1]), float(floors[0]), float(floors[1]), repeat, options, parted)


def _together(instruments: Sequence[Instrument]) -> Iterator[tuple[Instrument, ...]]:
    for count in range(1, _MOST + 1):
        for some in combinations(instruments, count):
            if len({one.what for one in some}) == count and some[0].what != "mass":
                yield some


def _as_measured(one: Instrument, fit: Fit) -> Instrument:
    """Return an instrument with the ± that these people reached with it."""
    reached = [reading.spread for reading in fit.readings if reading.what == one.what]
    if one.name in ("angles", "stopwatch") and reached:
        return replace(one, spread=float(np.median(reached)), share=0.0)
    return one


def _last_measured(fit: Fit) -> tuple[Instrument, ...]:
    """Return what was measured at the last launch, as instruments."""
    last = [one for one in fit.launches if not one.held][-1:]
    found = {reading.what: Instrument(reading.how, f"measure its {reading.what}", reading.what, reading.spread)
             for one in last for reading in one.readings if reading.what in KINDS}  # fmt: skip
    return tuple(found.values())


# --- what is known, and what launches would show ----------------------------------------------------------------------


@dataclass(frozen=True)
class _Known:
    """Draws of what is known: of all values of a design, and by kind of what the model misses alike."""

    unknowns: Sequence[Unknown]
    scores: Floats
    missed: Mapping[str, Floats]


def _known(fit: Fit, design: Design, generator: np.random.Generator) -> _Known:
    rows = generator.permutation(len(fit.drawn.scores))[:_DRAWS]
    unknowns = unknowns_of([design])
    scores = np.zeros((len(rows), len(unknowns)))
    columns = {one: n for n, one in enumerate(fit.rocket)}
    for number, one in enumerate(unknowns):
        if one.launch is None:
            scores[:, number] = (fit.drawn.scores[rows, columns[one]] if one in columns
                                 else generator.normal(size=len(rows)))  # fmt: skip
    learned = dict(zip(kinds_of(fit.launches), fit.drawn.missed[rows].T, strict=True))
    missed = {kind: learned.get(kind, generator.normal(size=len(rows))) for kind in FIGURES}
    return _Known(unknowns, scores, missed)


def _flown(design: Design, known: _Known, generator: np.random.Generator) -> _Shown:
    """Fly each draw without what belongs to one launch, and their middle with it."""
    scatter = np.tile(known.scores.mean(axis=0), (_SCATTER, 1))
    of_a_launch = [n for n, one in enumerate(known.unknowns) if one.launch is not None]
    scatter[:, of_a_launch] = generator.normal(size=(_SCATTER, len(of_a_launch)))
    batch = varied(design, 0, known.unknowns, np.concatenate([known.scores, scatter]))
    batch["tolerance"] = TOLERANCE
    batch["index"][-_SCATTER:] = np.arange(1, _SCATTER + 1)
    flights = fly_batch(batch)
    lines = np.stack([*(flights[key] for key in FIGURES.values()), batch["pressure_gauge"], _masses(batch)], axis=1)
    draws, others = lines[: len(known.scores)], lines[len(known.scores) :]
    for number, kind in enumerate(FIGURES):
        draws[:, number] *= 1.0 + MODEL_MISSES[kind][0] * known.missed[kind]
    seen = np.isfinite(draws).all(axis=1)
    if seen.sum() < _SCATTER:
        raise ValueError("with this load too few flights come to an end that could be measured")
    draws = np.where(seen[:, None], draws, draws[seen].mean(axis=0))
    own = np.cov(others[np.isfinite(others).all(axis=1)].T)
    each = [MODEL_MISSES[kind][1] * draws[:, number].mean() for number, kind in enumerate(FIGURES)]
    return _Shown(draws, own + np.diag(np.array([*each, 0.0, 0.0]) ** 2))


def _masses(batch: Any) -> Floats:
    """Return the dry mass of each rocket, kg."""
    vehicle, found = np.zeros(1, VEHICLE), np.full(len(batch), np.nan)
    for number, one in enumerate(batch):
        if prepare(one, False, vehicle[0]):
            found[number] = vehicle[0]["dry_mass"]
    return found


# --- what it would leave ----------------------------------------------------------------------------------------------


class _Judge:
    """What is asked for, and how sure it is now: the next height and time, and values that can't be told apart."""

    def __init__(self, targets: Floats, own: Floats) -> None:
        self.targets, self.own = targets, own
        self.before = targets.var(axis=0)

    def option(self, load: str, some: tuple[Instrument, ...], shown: _Shown) -> tuple[Option, Floats]:
        """Return a launch with some instruments, and the variance that it leaves of each target."""
        columns = [KINDS.index(one.what) for one in some]
        draws = shown.draws[:, columns]
        spread = np.maximum([one.spread for one in some], [one.share for one in some] * draws.mean(axis=0))
        errors = shown.scatter[np.ix_(columns, columns)] + np.diag(errors_like(spread, TAILS))
        left = variance_after(self.targets, draws, errors) if some else self.before
        height, time = BAND * np.sqrt(left[:2] + self.own)
        return Option(load, some, float(height), float(time), gain(float(self.before[0]), float(left[0]))), left
