"""A thrust stand: a load cell shows the force on it, with a zero, a scale, and the ringing of the stand.

A spring with a mass on it follows a push with its own ringing on top, but the area under what it shows is that of the
push once it has come to rest (any text on vibrations: the transfer function of a linear oscillator is 1 at frequency
zero). So the impulse is trusted and the greatest thrust is not. The cell is off by 1 % (our judgement, of cells of the
usual price, loaded with known masses first). The weight that is lost with the water lifts the zero from before to
after: it is drawn in between as the impulse grows.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["ThrustStand", "impulse_of", "push_of", "water_end_of"]

Floats = NDArray[np.float64]
_PART = 0.1
"""Of the greatest thrust: what is over it is push."""
_CALM = (0.03, 0.04, 0.06)
"""s over which the thrust is averaged on either side of where it may fall: some swings of a stand. Where they tell
different times, the stand rings too long. Our judgement."""
_BESIDE = 0.4
"""s on either side of the push in which the zero is read."""


@dataclass(frozen=True, slots=True)
class ThrustStand:
    """A thrust stand.

    Parameters
    ----------
    zero
        What it shows without thrust, N.
    scale, u_scale
        What it shows of what there is, and its ±.
    frequency, damping
        Of its ringing, Hz, and as a share of the critical; none where the frequency is infinite.
    """

    zero: float = 0.0
    scale: float = 1.0
    u_scale: float = 0.01
    frequency: float = math.inf
    damping: float = 0.05

    def seen(self, time: Floats, thrust: Floats) -> Floats:
        """Return what it shows, N; rows must be many in one swing."""
        shown = thrust
        if math.isfinite(self.frequency):
            omega = 2.0 * math.pi * self.frequency
            at, speed, places = 0.0, 0.0, []
            for n in range(len(time)):
                step = time[n] - time[n - 1] if n else 0.0
                speed += step * (omega**2 * (thrust[n] - at) - 2.0 * self.damping * omega * speed)
                at += step * speed
                places.append(at)
            shown = np.array(places)
        return np.asarray(self.zero + self.scale * shown)


def push_of(time: Floats, shown: Floats) -> tuple[float, float] | None:
    """Return when the push begins and when it is over, s; None where there is none."""
    zero = float(np.median(shown[: max(len(shown) // 20, 5)]))
    force = shown - zero
    strong = np.flatnonzero(force > _PART * force.max())
    off = 1.4826 * float(np.median(np.abs(force)))
    if len(strong) < 3 or force.max() < max(10.0 * off, 1.0):
        return None
    return float(time[max(strong[0] - 1, 0)]), float(time[min(strong[-1] + 1, len(time) - 1)])


def water_end_of(time: Floats, shown: Floats) -> tuple[float, float] | None:
    """Return when the jet turned from water to air, and its ±, s: where the thrust falls most, not before a third of
    the push is over, for until then the stand rings. None where the stand rings on.
    """
    push = push_of(time, shown)
    if push is None:
        return None
    step = float(np.median(np.diff(time)))
    whole, found = np.concatenate([[0.0], np.cumsum(shown)]), []
    for calm in _CALM:
        rows = max(int(calm / step), 2)
        places = np.arange(rows, len(shown) - rows)
        drop = (whole[places] - whole[places - rows]) - (whole[places + rows] - whole[places])
        late = (time[places] > push[0] + (push[1] - push[0]) / 3.0) & (time[places] <= push[1])
        if late.sum() < 5:
            return None
        at = places[late][int(np.argmax(drop[late]))]
        found.append(0.5 * float(time[at - 1] + time[at]))
    if max(found) - min(found) > _CALM[0]:
        return None
    return float(np.median(found)), math.hypot(max(2.0 * step, 0.25 * _CALM[1]), float(np.std(found)))


def impulse_of(time: Floats, shown: Floats) -> tuple[float, float] | None:
    """Return the impulse of a firing and its ±, N s; None where no zero is known on either side."""
    push = push_of(time, shown)
    if push is None:
        return None
    before = shown[(time < push[0]) & (time > push[0] - _BESIDE)]
    after = shown[(time > push[1] + 0.5 * _BESIDE) & (time < push[1] + 1.5 * _BESIDE)]
    if len(before) < 5 or len(after) < 5:
        return None
    zeros = float(np.median(before)), float(np.median(after))
    inside = (time >= push[0]) & (time <= push[1] + 0.5 * _BESIDE)
    t, force = time[inside], shown[inside]
    first = force - zeros[0]
    grown = np.concatenate([[0.0], np.cumsum(0.5 * (first[1:] + first[:-1]) * np.diff(t))])
    force = force - zeros[0] - (zeros[1] - zeros[0]) * np.clip(grown / max(float(grown[-1]), 1e-12), 0.0, 1.0)
    impulse = float(np.sum(0.5 * (force[1:] + force[:-1]) * np.diff(t)))
    between = abs(zeros[1] - zeros[0]) * (push[1] - push[0]) / math.sqrt(12.0)
    return impulse, math.hypot(ThrustStand().u_scale * impulse, between)
