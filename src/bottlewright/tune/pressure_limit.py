"""The highest pressure that Tune may propose: what Prove rates the vessel to, less what gauge and pump may be out."""

from bottlewright.design.document import Design
from bottlewright.proof.launcher import pressure_doubt
from bottlewright.proof.rating import fresh_rating, rated_pressure
from bottlewright.quantities import show
from bottlewright.tune.advice import Ceiling

__all__ = ["ceiling_of"]


def ceiling_of(design: Design) -> Ceiling:
    """Return the highest pressure to propose for a completed design, with its basis.

    For a vessel that failed a test it is that of the fresh bottle which has to take its place.
    """
    rated, doubt = rated_pressure(design), pressure_doubt(design)
    if rated.failed:
        basis = "what a fresh bottle of its kind, without a test of its own, is rated to: it takes this one's place"
        return Ceiling(fresh_rating(design), basis, rated.gauge_Pa)
    basis = f"what the vessel is rated to; {rated.basis}"
    if doubt > 0.0:
        basis = (f"what the vessel is rated to, {show(rated.gauge_Pa, 'bar')}, less {show(doubt, 'bar', 2)} by which "
                 f"gauge or pump may be out; {rated.basis}")
    # Not under half of it, however far the gauge may be out: Prove then warns of the rest (our judgement).
    return Ceiling(max(rated.gauge_Pa - doubt, 0.5 * rated.gauge_Pa), basis, rated.gauge_Pa)
