"""The highest pressure that Tune may propose: the allowed reading of the gauge, less what a pump may overshoot."""

import math
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.proof.allowed import aimed_at, allowed_pressure, fresh_after_test

__all__ = ["Ceiling", "ceiling_of", "own_ceiling"]


class Ceiling(NamedTuple):
    """The highest gauge pressure that any trial may have (Pa), what it rests on, and the vessel's rating (Pa).

    The rating is the ceiling itself when None, and 0 for a vessel that is finished. `first_test` is the water test (Pa
    gauge) that comes before any load, of this bottle or of the fresh one in its place; None where it has been passed.
    `in_the_end` is what further tests would allow (Pa): a plan above that is stopped.
    """

    pressure: float
    basis: str
    rated: float | None = None
    first_test: float | None = None
    in_the_end: float = 0.0

    @property
    def rating(self) -> float:
        """What the vessel is rated to, Pa gauge."""
        return self.pressure if self.rated is None else self.rated


def ceiling_of(design: Design) -> Ceiling:
    """Return the highest pressure to propose for a completed design, with its basis.

    For a vessel without a test of its own it is what that test would allow; for one that is finished, what it would
    allow the fresh bottle which has to take its place.
    """
    allowed, habit = allowed_pressure(design), unit_habit(design)
    if not allowed.retired and aimed_at(design, allowed.most_Pa) <= 0.0:
        return _bottle_alone(design)
    if allowed.gauge_Pa is not None and not allowed.retired:
        target = aimed_at(design, allowed.gauge_Pa)
        basis = (f"no more than {at_most(habit, allowed.gauge_Pa)} is allowed, and a pump may overshoot by "
                 f"{habit.pressure(allowed.gauge_Pa - target, 2)}; {allowed.because}")
        return Ceiling(target, basis, allowed.gauge_Pa)
    after = allowed.after_test or fresh_after_test(design)
    test = f"a water-filled test at {habit.pressure(after.test_gauge_Pa)}"
    if allowed.gauge_Pa is None:
        most = at_most(habit, after.allowed_gauge_Pa)
        basis = f"{test}, which it has not passed yet, would allow no more than {most}"
        target = aimed_at(design, after.allowed_gauge_Pa)
        return Ceiling(target, basis, after.allowed_gauge_Pa, after.test_gauge_Pa, after.in_the_end_gauge_Pa)
    basis = f"that is what {test} would allow a fresh bottle of its kind, which has to take this one's place"
    return Ceiling(aimed_at(design, after.allowed_gauge_Pa), basis, 0.0, after.test_gauge_Pa)


_AROUND = ("gauge", "hose", "valve", "clamp", "coupling", "pump", "release")


def _bottle_alone(design: Design) -> Ceiling:
    """Return what the bottle itself would be allowed, where gauge, launcher or place leave nothing to pump."""
    alone = design.model_copy(update={
        "launcher": design.launcher.model_copy(update=dict.fromkeys(_AROUND)),
        "site": design.site.model_copy(update={"pressure_limit": None}),
    })  # fmt: skip
    found = ceiling_of(alone)
    because = allowed_pressure(design).because
    return found._replace(basis=f"here nobody pumps it, because {because}; with that put right, {found.basis}")


def own_ceiling(design: Design, ceiling: Ceiling) -> Ceiling:
    """Lower the ceiling to what the builder allows."""
    own = [(most.value, "tune.most_pressure") for most in [design.tune.most_pressure] if most is not None]
    own += [(wish.value, "tune.want") for wish in design.tune.want if (wish.bound, wish.figure) == ("most", "pressure")]
    most, key = min(own, default=(math.inf, ""))
    if most >= ceiling.pressure:
        return ceiling
    return ceiling._replace(pressure=most, basis=f"you allow no more ({key})", rated=ceiling.rating)
