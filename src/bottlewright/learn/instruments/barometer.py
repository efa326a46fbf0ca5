"""A barometer in a rocket: it feels the air's pressure at its port, late, with the flow's share, and drifts.

The port adds k·½ρv² to the air's own pressure; with the hydrostatic equation dp = −ρ g dz, that reads as a height which
is k v²/(2 g) too low (Bernoulli's and the hydrostatic equation, any text on fluid mechanics; k is −0.5 to 1 over a
body, zero at a good place). A vent of finite size follows with one time constant. In six flown records that were looked
at, the greatest reading was a spike at launch, up to 3.4 times the height, and the ground drifted by 1 to 4 m in a
flight: so no reading of the thrust counts, and the greatest reading is no height.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Barometer"]

Floats = NDArray[np.float64]
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class Barometer:
    """A barometer and its port.

    Parameters
    ----------
    port, u_port
        k of the port error k·½ρv², and its ±: nothing is known of a port that was never looked at. Our judgement.
    lag, u_lag
        Time constant of the vent, s. Our judgement: holes of a millimetre or two in a small bay.
    scale
        ± of height as a share, since the logger takes the air for that of a standard day: 10 °C are 3.5 % of the
        absolute temperature (hypsometric equation).
    """

    port: float = 0.0
    u_port: float = 0.3
    lag: float = 0.0
    u_lag: float = 0.05
    scale: float = 0.03

    def seen(self, time: Floats, height: Floats, speed: Floats, drift: float = 0.0) -> Floats:
        """Return the height that it shows, m.

        Parameters
        ----------
        time, height, speed
            Of the flight, s, m, m/s of the air past the port.
        drift
            Of its ground, m/s.
        """
        shown = height - self.port * speed**2 / (2.0 * GRAVITY)
        if self.lag > 0.0:
            late = shown.copy()
            for n in range(1, len(time)):
                share = -np.expm1(-(time[n] - time[n - 1]) / self.lag)
                late[n] = late[n - 1] + share * (shown[n] - late[n - 1])
            shown = late
        return np.asarray(shown + drift * (time - time[0]))

    def u_height(self, height: float, speed: float) -> float:
        """Return the ± of a height by what the port and the air's temperature do, m.

        Parameters
        ----------
        speed
            Of the air past the port, m/s.
        """
        return float(np.hypot(self.u_port * speed**2 / (2.0 * GRAVITY), self.scale * height))
