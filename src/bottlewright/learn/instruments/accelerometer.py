"""An accelerometer: it feels specific force, all forces but gravity over the mass: 1 g at rest and 0 in free fall.

Any text on inertial navigation (f = a − g, output scale·(f·axis) + bias, held within ± its range). Misalignment by an
angle costs 1 − cos of it along the axis. It has to be let rest before the launch: what it shows there, less 9.81 m/s²,
is its bias and scale together, which one pose can't tell apart.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Accelerometer", "at_its_stop"]

Floats = NDArray[np.float64]
GRAVITY = 9.80665
_STUCK = 3
"""So many rows alike at the greatest value are no pull but the end of the range. Our judgement."""


@dataclass(frozen=True, slots=True)
class Accelerometer:
    """An accelerometer along the rocket.

    Parameters
    ----------
    bias
        m/s².
    scale
        What it shows of what it feels.
    most
        End of its range, m/s².
    off_axis
        Angle between it and the rocket, rad.
    u_scale
        ± of the scale. Our judgement, of parts of the usual price.
    """

    bias: float = 0.0
    scale: float = 1.0
    most: float = np.inf
    off_axis: float = 0.0
    u_scale: float = 0.03

    def seen(self, acceleration: Floats, pitch: Floats | float = 0.5 * np.pi) -> Floats:
        """Return what it shows along the rocket, m/s².

        Parameters
        ----------
        acceleration
            Of the rocket along its own axis, m/s².
        pitch
            Of the axis above the level, rad.
        """
        force = (acceleration + GRAVITY * np.sin(pitch)) * np.cos(self.off_axis)
        return np.asarray(np.clip(self.scale * force + self.bias, -self.most, self.most))


def at_its_stop(values: Floats, over: float = 2.0 * GRAVITY) -> bool:
    """Say whether a record stood at the end of the instrument's range: its greatest value, over some, row after row."""
    size = np.abs(values[np.isfinite(values)])
    if len(size) < 2 * _STUCK or not size.max() > over:
        return False
    stuck = size >= size.max() * (1.0 - 1e-9)
    runs = np.convolve(stuck, np.ones(_STUCK), "valid")
    return bool((runs >= _STUCK).any())
