"""What ends a pressure vessel for good, whatever else is known of it: no pressure is allowed in it any more."""

from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.proof.vessel import own_tests

__all__ = ["MOST_CYCLES", "Ended", "ended"]

MOST_CYCLES = 15
"""Times under pressure after which a bottle is spent: "retire after 10 to 15 launches", NASA Glenn Research Center and
University of Nebraska guides. No cycle-life curve is published."""


@dataclass(frozen=True, slots=True)
class Ended:
    """Why a vessel is finished: a short name, and in words that read on after "because"."""

    code: str  # "failed", "hot", "worked on", "spent"
    because: str


def ended(design: Design) -> Ended | None:
    """Return why the vessel of a completed design is finished, or None while it is not."""
    vessel = design.vessel
    if any(not test.passed for test in own_tests(design)):
        return Ended("failed", "it has failed a test")
    if vessel.storage == "hot car":
        return Ended("hot", "it was kept in a hot car, and heat takes strength away that no eye can see")
    hard = [work for work in dict.fromkeys(vessel.surface) if work != "glued"]
    if hard:
        return Ended("worked on", f"its wall was {' and '.join(hard)}")
    if (vessel.cycles or 0) > MOST_CYCLES:
        return Ended("spent", f"it has been under pressure {vessel.cycles} times, and {MOST_CYCLES} are its life")
    return None
