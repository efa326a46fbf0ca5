"""A gyroscope: it shows the rate of turning about its own axis, with a bias, a scale, and the end of its range.

Any text on inertial navigation (output scale·ω + bias, held within ± its range). Let it rest before the launch: what it
shows there is its bias. Turned about an axis that is off by an angle, it shows the cosine of it. The scale is some 3 %
off (our judgement, of parts of the usual price). The flight engine has no spin: what is read here is shown, and no fit
uses it.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Gyroscope", "rate_of"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Gyroscope:
    """A gyroscope about one axis.

    Parameters
    ----------
    bias
        rad/s.
    scale, u_scale
        What it shows of what there is, and its ±.
    most
        End of its range, rad/s.
    off_axis
        Angle between its axis and that of the turning, rad.
    """

    bias: float = 0.0
    scale: float = 1.0
    u_scale: float = 0.03
    most: float = np.inf
    off_axis: float = 0.0

    def seen(self, rate: Floats) -> Floats:
        """Return what it shows of a rate, rad/s."""
        shown = self.scale * rate * math.cos(self.off_axis) + self.bias
        return np.asarray(np.clip(shown, -self.most, self.most))


def rate_of(time: Floats, shown: Floats, release: float, ends: float) -> tuple[float, float, float] | None:
    """Return the greatest rate between two times, its ±, and the turns made between them; None where nothing rested.

    Parameters
    ----------
    shown
        rad/s.
    release, ends
        Of the part that is looked at, s.
    """
    before, inside = shown[time < release], (time >= release) & (time <= ends)
    if len(before) < 5 or inside.sum() < 5:
        return None
    bias = float(np.median(before))
    off = 1.4826 * float(np.median(np.abs(before - bias)))
    rate = shown[inside] - bias
    most = float(np.percentile(np.abs(rate), 98.0))  # one wild row is no rate
    turns = abs(float(np.sum(0.5 * (rate[1:] + rate[:-1]) * np.diff(time[inside])))) / (2.0 * math.pi)
    return most, math.hypot(Gyroscope().u_scale * most, off), turns
