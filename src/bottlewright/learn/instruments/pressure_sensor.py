"""A pressure sensor on the launcher or in the bottle: it shows scale times the pressure, and a zero of its own.

Where the bottle is open it must show the air's pressure: what it shows there is its zero, and so it does not matter
whether it counts from the air or from nothing (JCGM 100:2008, a systematic effect that is corrected for). The scale is
left, 1 % (our judgement: data sheets of cheap sensors state 1 to 2.5 % of their range).

When the last water has gone, gas leaves in its place. Through one opening and under one pressure, the volume that flows
goes with the root of 1/density (Bernoulli's equation): some ten times as fast, so the pressure, which falls by
d(ln p)/dt = −n Q/V, falls suddenly ten times as steeply. That kink is the end of the water.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["PressureSensor", "at_its_stop", "at_release", "let_go_of", "water_end", "zero_of"]

Floats = NDArray[np.float64]
_HELD = 0.5
"""s before the release over which the pressure is taken. Our judgement."""
_AIR = 101325.0
_FLAT, _FINE = 20, 0.5
"""So many rows at exactly the greatest value are the end of the range, where of as many rows before them more than this
share differ from the next: the sensor shows more finely than that. Our judgement."""
_STEEPER = 3.0
"""Times as steep as while water leaves, from which on gas does; the kink is some ten times. Our judgement."""


@dataclass(frozen=True, slots=True)
class PressureSensor:
    """A pressure sensor.

    Parameters
    ----------
    zero
        What it shows of the open air, Pa.
    scale, u_scale
        What it shows of what there is, and its ±.
    """

    zero: float = 0.0
    scale: float = 1.0
    u_scale: float = 0.01

    def seen(self, gauge: Floats) -> Floats:
        """Return what it shows of pressures over the air's, Pa."""
        return np.asarray(self.zero + self.scale * gauge)


def zero_of(shown: Floats) -> tuple[float, float] | None:
    """Return what a sensor shows of the open air, and its ±, Pa: at the calmer end of a record; None where neither end
    lies low.
    """
    part = max(len(shown) // 10, 5)
    high = float(shown.max())
    ends = [(float(np.median(one)), float(np.std(one))) for one in (shown[-part:], shown[:part])]
    span = high - min(middle for middle, _ in ends)
    low = [(off, middle) for middle, off in ends if middle < high - 0.8 * span and off < 0.05 * span]
    if not low or span <= 0.0:
        return None
    off, middle = min(low)
    return middle, max(off / math.sqrt(part), 0.002 * span)


def at_its_stop(shown: Floats) -> bool:
    """Say whether a sensor stood at the end of its range: exactly its greatest value, row after row, where rows differ.

    One that shows in coarse steps does so whenever the pressure is held, and is not meant.
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], shown >= shown.max(), [False]]).astype(int)))
    runs = edges[1::2] - edges[::2]
    start, longest = int(edges[2 * int(runs.argmax())]), int(runs.max())
    before = shown[max(start - longest, 0) : start]
    return longest >= _FLAT and len(before) > _FLAT // 2 and float(np.mean(np.diff(before) != 0.0)) > _FINE


def let_go_of(time: Floats, shown: Floats) -> tuple[float, float] | None:
    """Return when the pressure began to fall for good, and its ±, s; None where it does not."""
    step = float(np.median(np.diff(time)))
    high, low = float(np.percentile(shown, 99.5)), float(np.percentile(shown, 1.0))
    above = np.flatnonzero(shown > low + 0.5 * (high - low))
    if not len(above) or above[-1] >= len(shown) - 2 or high - low <= 0.0:
        return None
    last = int(above[-1])
    held = float(np.median(shown[max(last - max(int(_HELD / step), 5), 0) : last + 1]))
    still = np.flatnonzero(shown[: last + 1] > held - 0.03 * (held - low))
    start = int(still[-1]) if len(still) else last
    falling = np.arange(start + 1, len(shown))[:400]
    part = falling[np.logical_and.accumulate(shown[falling] > held - 0.25 * (held - low))]
    if len(part) < 4:
        return float(0.5 * (time[start] + time[start + 1])), max(step, 0.003)
    slope, at = np.polyfit(time[part] - time[start], shown[part], 1)  # drawn back to where it was held
    return float(time[start] + (held - at) / slope), max(step, 0.003)


def at_release(time: Floats, shown: Floats, release: float, sensor: PressureSensor | None = None
               ) -> tuple[float, float] | None:  # fmt: skip
    """Return the pressure over the air's when it was let go, and its ±, Pa; None where no zero is known."""
    zero = zero_of(shown)
    before = shown[(time < release) & (time > release - _HELD)]
    if zero is None or not len(before):
        return None
    seen = sensor or PressureSensor()
    gauge = (float(np.median(before)) - zero[0]) / seen.scale
    off = float(np.median(np.abs(before - np.median(before)))) * 1.4826
    return gauge, math.hypot(seen.u_scale * gauge, zero[1], off)


def water_end(time: Floats, shown: Floats, release: float) -> tuple[float, float] | None:
    """Return when the last water left by the pressure in the bottle, and its ±, s; None where there is no kink."""
    zero = zero_of(shown)
    if zero is None:
        return None
    step = float(np.median(np.diff(time)))
    inside = (time >= release - 2.0 * step) & (time <= release + 1.5)
    absolute = np.maximum(shown[inside] - zero[0], 0.0) + _AIR
    if len(absolute) < 12:
        return None
    fall = -np.gradient(np.convolve(np.pad(np.log(absolute), 1, mode="edge"), np.ones(3) / 3.0, "valid"), time[inside])
    top = int(np.argmax(fall))
    early = fall[2 : max(top - 1, 3)]
    water = float(np.median(early[early > 0.0])) if (early > 0.0).any() else 0.0
    if top < 4 or water <= 0.0 or fall[top] < _STEEPER * water:
        return None
    half = 0.5 * (water + float(fall[top]))
    at = int(np.flatnonzero(fall[: top + 1] < half)[-1])
    return float(time[inside][at] + 0.5 * step), max(2.0 * step, 0.003)
