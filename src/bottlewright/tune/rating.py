"""The highest pressure that Tune may propose: what Prove rates the vessel to."""

from bottlewright.design.document import Design
from bottlewright.proof.rating import rated_pressure
from bottlewright.tune.advice import Ceiling

__all__ = ["ceiling_of"]


def ceiling_of(design: Design) -> Ceiling:
    """Return the rated pressure of a completed design's vessel, with its basis."""
    rated = rated_pressure(design)
    return Ceiling(rated.gauge_Pa, f"what the vessel is rated to; {rated.basis}")
