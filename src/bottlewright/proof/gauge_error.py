"""What a reading of the gauge is worth: the true pressure may be higher.

A gauge that is described may read low by its accuracy times its full scale; one that is not, by a share of the reading.
"""

from bottlewright.design.document import Design
from bottlewright.proof.defaults import taken

__all__ = ["BY_EYE", "reading_at_most", "true_at_most"]

BY_EYE = 0.06
"""How far off the reading of a gauge that nobody describes may be, as a share of itself: twice the usual ± of
charge.pressure (the gauge of a pump, read by eye; our estimate)."""


def reading_at_most(design: Design, true: float) -> float:
    """Return the highest reading at which the true pressure is no more than this, Pa gauge."""
    error = _error(design)
    return true / (1.0 + BY_EYE) if error is None else max(true - error, 0.0)


def true_at_most(design: Design, reading: float) -> float:
    """Return how high the true pressure may be at a reading, Pa gauge."""
    error = _error(design)
    return reading * (1.0 + BY_EYE) if error is None else reading + error


def _error(design: Design) -> float | None:
    dial = design.launcher.gauge
    if dial is None or dial.range is None:
        return None
    return dial.range.value * taken(dial.accuracy, "gauge.accuracy").value
