"""An inertia latch: a mass on a spring that a push held long enough moves over its whole travel, and that air frees.

It feels the axial specific force: 1 g on the launcher, thrust and drag in flight. Over its level it moves aft by what
is over; under it the spring has it back before the next push. Armed it waits until the force is below nothing: that is
when drag is more than thrust, and never the top. docs/physics/recovery.md §3.
"""

import math

from bottlewright.flight.state import Record
from bottlewright.physics import jit
from bottlewright.physics.release_switches import latch_way, part_above

__all__ = ["LATCH_ARMED", "LATCH_FREE", "LATCH_NONE", "LATCH_WAITS", "latch_feels"]

LATCH_NONE, LATCH_WAITS, LATCH_ARMED, LATCH_FREE = 0, 1, 2, 3
"""How far a latch has come."""


@jit
def latch_feels(t: float, h: float, first: float, last: float, vehicle: Record) -> None:
    """Let the latch feel one step, over which the axial specific force goes evenly from `first` to `last`, m/s².

    A step that begins above the level or below nothing counts from its beginning: forces jump between two phases.
    """
    if vehicle.latch == LATCH_WAITS:
        level = vehicle.latch_level
        low, high = part_above(first, last, level)
        if first <= level:
            vehicle.latch_since, vehicle.latch_speed, vehicle.latch_at = math.inf, 0.0, 0.0
        if high > low:
            if vehicle.latch_since == math.inf:
                vehicle.latch_since = t + low * h
            speed, way = latch_way(
                max(first - level, 0.0), max(last - level, 0.0), (high - low) * h, vehicle.latch_speed
            )
            vehicle.latch_speed = speed
            vehicle.latch_at += way
            if vehicle.latch_at >= vehicle.latch_travel and t + high * h - vehicle.latch_since >= vehicle.latch_time:
                vehicle.latch = LATCH_ARMED
    if vehicle.latch == LATCH_ARMED and last < 0.0:
        vehicle.latch_free = t + (h * first / (first - last) if first > 0.0 else 0.0)
        vehicle.latch = LATCH_FREE
