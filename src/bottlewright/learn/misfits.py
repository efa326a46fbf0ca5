"""What does not fit: a number in the wrong unit or column, a flight that does not belong, residuals with a pattern."""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from bottlewright.design.paths import value_at
from bottlewright.learn.fit import Fit
from bottlewright.learn.launches import Reading
from bottlewright.learn.meaning import CALLED, listed
from bottlewright.learn.unknowns import GAUGE

__all__ = ["Compared", "Odd", "compared", "odd_flights", "patterns", "wrong_numbers"]

_FAR, _NEAR = 4.0, 1.5
"""Of its ±: a number so far from what was foretold that comes so near when read in another way was likely written that
way. Our judgement."""
_ODD, _BENT = 3.0, 2.5
"""Of its ±: a reading of a launch that the other launches leave so far off, or a value of one launch (its water, its
wind) that has to be bent so far. Our judgement: about one honest launch in some hundreds."""
_PATTERN = 2.0
"""Standard errors from which on the middle residual of a kind of measurement is a pattern: one in twenty comes so by
chance."""
_MEDIAN = math.sqrt(0.5 * math.pi)
"""Standard error of a median over that of a mean, of a normal sample."""
_FOOT = 0.3048

_READ_AS = {
    "height": ((_FOOT, "as feet"), (1.0 / _FOOT, "as metres where feet were written"), (0.1, "with the point moved"),
               (10.0, "with the point moved")),
    "away": ((_FOOT, "as feet"), (1.0 / _FOOT, "as metres where feet were written"), (0.1, "with the point moved"),
             (10.0, "with the point moved")),
    "speed": ((1.0 / 3.6, "as km/h"), (0.44704, "as miles an hour"), (_FOOT, "as feet per second")),
    "time": ((1e-3, "as milliseconds"), (1e-2, "as hundredths of a second"), (60.0, "as minutes"),
             (0.1, "with the point moved"), (10.0, "with the point moved")),
}  # fmt: skip
for _name in ("time up", "canopy", "water out"):
    _READ_AS[_name] = _READ_AS["time"]
_READ_AS["sinking"] = _READ_AS["speed"]
_READ_AS["true pressure"] = ((0.06894757, "as psi"), (0.1, "with the point moved"), (10.0, "with the point moved"))
_READ_AS["impulse"] = ((4.4482216, "as pounds of force"), (9.80665, "as kilograms of force"))
"""By what a number would have to be multiplied where it was written in another unit."""


class Compared(NamedTuple):
    """One measurement beside what was foretold of it, by the design alone and after all flights; SI."""

    launch: str
    what: str
    measured: float
    spread: float
    before: float
    before_spread: float
    after: float
    after_spread: float
    off: float

    def as_json(self) -> dict[str, object]:
        """Return it as plain values; `off` in units of its own ±."""
        return self._asdict()


class Odd(NamedTuple):
    """A launch that does not fit the others, and why in words."""

    launch: str
    why: str


def compared(fit: Fit) -> list[Compared]:
    """Return each measurement beside what the design alone and what all flights together make of it."""
    weights, shown = fit.posterior.weights, fit.posterior.predictions
    seen = weights > 0.0  # what flies nowhere weighs nothing, and shows no number
    after = weights[seen] @ shown[seen]
    model = weights[seen] @ (shown[seen] - after) ** 2
    off = (fit.data.value - after) / fit.data.sigma
    names = [one.name for one in fit.launches for _ in one.readings]
    rows = zip(names, fit.readings, *fit.before, after, np.sqrt(model + fit.data.sigma**2), off, strict=True)
    return [Compared(name, one.what, one.value, one.spread, float(middle), float(wide), float(now), float(doubt),
                     float(far)) for name, one, middle, wide, now, doubt, far in rows]  # fmt: skip


# --- a wrong unit or column -------------------------------------------------------------------------------------------


def wrong_numbers(fit: Fit) -> list[str]:
    """Return measurements that fit only in another unit, another column or from the other side, in words."""
    return [f"{row.launch}: the {CALLED[row.what]}, {_told(row.what, row.measured)}, lies far from the "
            f"{_told(row.what, row.before)} that the design makes. It fits {way}: look at what was written down."
            for row, way in _wrong(fit)]  # fmt: skip


def _wrong(fit: Fit) -> list[tuple[Compared, str]]:
    rows, found = compared(fit), []
    for row, reading in zip(rows, fit.readings, strict=True):
        if abs(row.measured - row.before) > _FAR * row.before_spread:
            way = _other_column(row, rows) or _other_unit(row, reading)
            found += [(row, way)] if way else []
    return found


def _other_unit(row: Compared, reading: Reading) -> str:
    """Return in which unit a measurement would fit; empty where in none. Its ± was written in the same unit."""
    if row.what == "bearing":
        turned = math.remainder(row.measured + math.pi - row.before, 2.0 * math.pi)
        return "when it is turned round" if abs(turned) < _NEAR * row.before_spread else ""
    own = math.sqrt(max(row.before_spread**2 - reading.spread**2, 0.0))
    fits = [(abs(factor * row.measured - row.before) / math.hypot(own, factor * reading.spread), words)
            for factor, words in _READ_AS[row.what]]  # fmt: skip
    best, words = min(fits)
    return words if best < _NEAR else ""


def _other_column(row: Compared, others: Sequence[Compared]) -> str:
    """Return in the place of which other measurement of the launch this one would fit; empty where in none."""
    for one in others:
        if one.launch == row.launch and one.what != row.what and "bearing" not in (one.what, row.what):
            here = abs(row.measured - one.before) < _NEAR * one.before_spread
            there = abs(one.measured - row.before) < _NEAR * row.before_spread
            if here and there:
                return f"where the {CALLED[one.what]} stands, and that one here"
    return ""


def _told(what: str, value: float) -> str:
    if what == "bearing":
        return f"{round(math.degrees(value)) % 360}°"
    return f"{value:.4g} {'m' if what in ('height', 'away') else 'm/s' if what in ('speed', 'sinking') else 's'}"


# --- a flight that does not belong ------------------------------------------------------------------------------------


def odd_flights(fit: Fit) -> list[Odd]:
    """Return launches that the others leave unexplained; they count little already, and a person decides on them.

    What all launches show alike is a pattern and nobody's fault, and a number in a wrong unit is told as that.
    """
    rows, found = compared(fit), []
    told = [(row.launch, row.what) for row, _ in _wrong(fit)]
    usual = {what: middle if bent else 0.0 for what, (middle, bent) in _sides(rows).items()}
    for number, launch in enumerate(fit.launches):
        said = [f"its {CALLED[one.what]} is {abs(off):.1f} times its ± too {'great' if off > 0 else 'small'}"
                for one in rows if one.launch == launch.name and (one.launch, one.what) not in told
                and abs(off := one.off - usual.get(one.what, 0.0)) > _ODD]  # fmt: skip
        said += list(_bent(fit, number))
        if said:
            found.append(Odd(launch.name, listed(said)))
    return found if len(fit.launches) > 1 else []


def _bent(fit: Fit, launch: int) -> Iterator[str]:
    for number, one in enumerate(fit.asked):
        off = float(fit.posterior.mean[number])
        if one.launch == launch and abs(off) > _BENT:
            old = value_at(fit.launches[launch].design, one.path)
            name = "pressure" if one.path == GAUGE else one.path.partition(".")[2].replace("_", " ")
            yield (f"it needs {'more' if off > 0 else 'less'} {name} than was written down, by {abs(off):.1f} times "
                   f"the ± of {old.text or f'{old.value:.4g}'}")  # fmt: skip


# --- a pattern --------------------------------------------------------------------------------------------------------

_LOOK_AT = {
    "height": "the pressure and the water at the launch, and how the height was measured",
    "time up": "who starts the stopwatch, and whether anyone sees the highest point",
    "time": "the wind or the canopy's opening",
    "away": "the wind over the field: its speed and how it grows with height",
    "bearing": "where the wind came from, and which way the launcher leaned",
    "speed": "how the speed was measured",
    "canopy": "the canopy's trip and its delay",
    "water out": "the water that was loaded, and the nozzle",
    "sinking": "the canopy: is it whole, and does it open fully?",
    "true pressure": "the gauge, and whether the pressure fell between reading and release",
    "impulse": "the zero and the scale of the thrust stand",
}  # fmt: skip


def patterns(fit: Fit) -> list[str]:
    """Return which kinds of measurement lie off to one side after the fit while others fit, with where to look."""
    sides = _sides(compared(fit))
    fits = [CALLED[what] for what, (_, bent) in sides.items() if not bent]
    lead = f"The {listed(fits)} fit{'s' if len(fits) == 1 else ''}; " if fits else ""
    return [f"{lead}{'t' if lead else 'T'}he {CALLED[what]} comes out {'greater' if middle > 0 else 'smaller'} than "
            f"the fit makes it, flight after flight: look at {_LOOK_AT[what]}."
            for what, (middle, bent) in sides.items() if bent]  # fmt: skip


def _sides(rows: Sequence[Compared]) -> dict[str, tuple[float, bool]]:
    """Return the middle residual of each kind that was measured twice or more, and whether that is a pattern.

    It is the median, so that one odd flight makes no pattern; its standard error is that of a normal sample.
    """
    found = {}
    for what in dict.fromkeys(one.what for one in rows):
        off = [one.off for one in rows if one.what == what]
        if len(off) > 1:
            middle = float(np.median(off))
            found[what] = middle, abs(middle) * math.sqrt(len(off)) > _PATTERN * _MEDIAN
    return found
