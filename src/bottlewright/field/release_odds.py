"""How often a mechanism lets the canopy out early, late, never or torn: counted in the flights, not judged."""

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.descents import descent_of
from bottlewright.design.document import Design
from bottlewright.design.unit_text import percent
from bottlewright.field.counted_tests import FEWEST_TRIES, WEIGHT, after_tries, confirmed
from bottlewright.field.landings import FlyBatch, Mode, failure_odds
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.outcomes import Outcome, by_mechanism, outcomes
from bottlewright.quantities import Basis, Quantity

__all__ = ["came_to", "release_odds", "release_odds_findings", "where_torn_falls"]

_MODES = {
    Outcome.EARLY: Mode.EARLY_OPENING, Outcome.LATE: Mode.LATE_OPENING, Outcome.NEVER: Mode.NOT_OPENING,
    Outcome.TORN: Mode.TORN,
}  # fmt: skip
_NAMES = {
    "release_never": (Mode.NOT_OPENING,), "release_early": (Mode.EARLY_OPENING,), "release_late": (Mode.LATE_OPENING,),
    "release_torn": (Mode.TORN,),
}  # fmt: skip
_NEVER = 2
"""Code of `recovery.release` with which nothing opens."""


def where_torn_falls(design: Design, fly: FlyBatch) -> FlyBatch:
    """Return a way to fly batches in which a canopy that tears slows nothing: it falls as if it had stayed in.

    Where a design is let out otherwise than by a mechanism, flights are as they were.
    """
    if not by_mechanism(design):
        return fly

    def flown(batch: NDArray[np.void]) -> NDArray[np.void]:
        summaries: NDArray[np.void] = fly(batch)
        torn = outcomes(design, batch, summaries) == Outcome.TORN
        if torn.any():
            kept = {name: summaries[name][torn] for name in ("opening_load_N", "canopy_out_time_s")}
            bare = batch[torn]
            bare["release"] = _NEVER
            fallen = fly(bare)
            for name, values in kept.items():
                fallen[name] = values
            summaries[torn] = fallen
        return summaries

    return flown


def came_to(
    design: Design, batch: NDArray[np.void], flown: NDArray[np.void], modes: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Return how flights came down: what they were given, or what their mechanism came to where nothing was given."""
    found = modes.copy()
    if by_mechanism(design):
        left_to_it = np.isin(modes, (Mode.AS_PLANNED, Mode.FIN_LOST))
        seen = outcomes(design, batch, flown)
        for outcome, mode in _MODES.items():
            found[left_to_it & (seen == outcome)] = mode
    return found


def release_odds(design: Design, modes: NDArray[np.int64], came: NDArray[np.int64]) -> dict[str, Quantity]:
    """Return the share of flights, of those that nothing was given to, in which the mechanism came to each failure."""
    left_to_it = np.isin(modes, (Mode.AS_PLANNED, Mode.FIN_LOST))
    flights = int(left_to_it.sum())
    if not by_mechanism(design) or flights == 0:
        return {}
    return {
        name: Quantity(float(np.isin(came[left_to_it], those).mean()), 0.0, Basis.TABLE,
                       f"{int(np.isin(came[left_to_it], those).sum())} of {flights} flights of our simulation")
        for name, those in _NAMES.items()
    }  # fmt: skip


def release_odds_findings(design: Design, odds: Mapping[str, Quantity]) -> Iterator[Finding]:
    """Judge a mechanism by its share of flights that go wrong, and say what counted tests would do to judged odds."""
    if not odds:
        return
    wrong = sum(one.value for one in odds.values())
    said = ", ".join(
        f"{word} in {percent(odds[name].value)}"
        for name, word in (("release_never", "never"), ("release_early", "early"), ("release_late", "too low"),
                           ("release_torn", "torn"))
    )  # fmt: skip
    given, cloth = failure_odds(design), design.recovery.kind in ("parachute", "streamer")
    judged = sum(given[name].value for name in ("not_opening", "early_opening") if name in given)
    if wrong > judged:
        yield Finding(
            Level.STOP if wrong > 0.5 else Level.LOOK, Stage.FIELD, "release-goes-wrong",
            hazard=_hazard(design),
            found=f"with every ± drawn, it comes out {said} of the flights" if cloth else
                  f"with every ± drawn, it is {said} of the flights",
            limit=f"no more than the {percent(judged)} that is judged of a home-made release whatever it is",
            source="our simulation; the odds to hold it against are our judgement",
            remedy="Change first what Fly asks for; another way of release, or measuring what has a wide ±, helps",
        )  # fmt: skip
    yield from _not_confirmed(design)


def _hazard(design: Design) -> str:
    if design.recovery.kind in ("parachute", "streamer"):
        return "The canopy does not come out when it should, and the rocket comes down fast or far away."
    return f"Often it goes wrong that {descent_of(design.recovery).comes}, and the rocket comes down fast or far away."


def _not_confirmed(design: Design) -> Iterator[Finding]:
    mechanism = design.recovery.mechanism
    if mechanism is None or mechanism.tests.tries < FEWEST_TRIES or confirmed(mechanism.tests):
        return
    tests, old = mechanism.tests, failure_odds(design)["not_opening"].value
    new = after_tries(old, tests.tries, tests.stuck)
    if new < old:
        yield Finding(
            Level.NOTE, Stage.FIELD, "tests-not-confirmed",
            hazard="Counted tests would make the odds better than judged, and with them the lines nearer.",
            found=f"{tests.stuck} of {tests.tries} tries stayed shut: not opening would go from {percent(old)} to "
                  f"about {percent(new)}",
            limit="a person sees the old and the new odds and takes the new ones",
            source=f"Bayes' rule; the judged odds weigh as much as {WEIGHT:.0f} tries, our judgement",
            remedy="Whoever answers for the launch writes recovery.mechanism.tests.confirmed_by and confirmed_on",
        )  # fmt: skip
