"""The highest pressure that Tune may propose: what Prove rates the vessel to, less what gauge and pump may be out."""

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.proof.launcher import pressure_doubt
from bottlewright.proof.rating import fresh_rating, rated_pressure
from bottlewright.tune.advice import Ceiling

__all__ = ["ceiling_of"]


def ceiling_of(design: Design) -> Ceiling:
    """Return the highest pressure to propose for a completed design, with its basis.

    For a vessel that failed a test it is that of the fresh bottle which has to take its place.
    """
    rated, doubt, habit = rated_pressure(design), pressure_doubt(design), unit_habit(design)
    if rated.failed:
        basis = "a fresh bottle of its kind, without a test of its own, is rated to that, and it takes this one's place"
        return Ceiling(fresh_rating(design), basis, rated.gauge_Pa)
    basis = f"the bottle is rated to that, because {rated.basis}"
    if doubt > 0.0:
        basis = (f"the bottle is rated to {at_most(habit, rated.gauge_Pa)}, and gauge or pump may be out by "
                 f"{habit.pressure(doubt, 2)}; {rated.basis}")
    # Not under half of it, however far the gauge may be out: Prove then warns of the rest (our judgement).
    return Ceiling(max(rated.gauge_Pa - doubt, 0.5 * rated.gauge_Pa), basis, rated.gauge_Pa)
