"""How the canopy comes out, in plain words: how often in time, and what the others come to."""

from collections.abc import Mapping

from bottlewright.design.descents import descent_of, sentence
from bottlewright.design.document import Design
from bottlewright.flight.outcomes import FLOWN, Outcome, came_out

__all__ = ["OUTCOMES", "came_out_words", "share_words"]

OUTCOMES = {
    Outcome.IN_TIME: "in time", Outcome.EARLY: "too early, in fast air on the way up",
    Outcome.LATE: "too low to slow it", Outcome.NEVER: "never", Outcome.TORN: "torn or broken",
}  # fmt: skip
"""What each outcome means to whoever stands below."""


def came_out_words(design: Design) -> str:
    """Return in a sentence or two how often it is let out in time; counted in flights, jams not among them."""
    counted = came_out(design)
    wrong = [f"{OUTCOMES[one]} in {count}" for one, count in counted.items() if count and one is not Outcome.IN_TIME]
    rest = f" {sentence('; '.join(wrong))}." if wrong else ""
    comes = sentence(descent_of(design.recovery).comes)
    return f"{comes} in time in {counted[Outcome.IN_TIME]} of {FLOWN} flights.{rest}"


_SHORT = {Outcome.IN_TIME: "in time", Outcome.EARLY: "early", Outcome.LATE: "too low", Outcome.NEVER: "never",
          Outcome.TORN: "torn"}  # fmt: skip


def share_words(share: Mapping[Outcome, float]) -> str:
    """Return how many flights in a hundred come to what, in time first; what none came to is left out."""
    return ", ".join(f"{100.0 * part:.0f} {_SHORT[one]}" for one, part in share.items()
                     if part >= 0.005 or one is Outcome.IN_TIME)  # fmt: skip
