"""How the canopy comes out, in plain words: how often in time, and what the others come to."""

import math
from collections.abc import Mapping

from bottlewright.design.descents import descent_of, sentence
from bottlewright.design.document import Design
from bottlewright.design.mechanism import TIMERS, Mechanism
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.flight.outcomes import FLOWN, Outcome, came_out
from bottlewright.quantities import value_of

__all__ = ["OUTCOMES", "came_out_words", "let_out_words", "share_words", "way_words"]

OUTCOMES = {
    Outcome.IN_TIME: "in time", Outcome.EARLY: "too early, in fast air on the way up",
    Outcome.LATE: "too low to slow it", Outcome.NEVER: "never", Outcome.TORN: "torn or broken",
}  # fmt: skip
"""What each outcome means to whoever stands below."""


_OPENS = {
    "loose nose": "a loose nose, which slides off by itself",
    "sprung nose": "a nose that a spring or rubber pushes off",
    "side door": "a door in the side", "air flap": "a flap that the air holds shut; it frees a door in the side",
    "two halves": "the joint of two halves", "latch": "a latch",
}  # fmt: skip


def way_words(design: Design) -> str:
    """Return in a sentence what really lets it out, and what that waits for; the design has a mechanism."""
    mechanism = design.recovery.mechanism
    assert mechanism is not None, "described"
    waits = _waits_for(mechanism, unit_habit(design))
    return f"What lets it out: {_OPENS[mechanism.way]}{waits}."


def _waits_for(mechanism: Mechanism, habit: UnitHabit) -> str:
    trip = mechanism.trip
    if mechanism.way == "air flap":
        return f" as the airspeed falls below {habit.speed(value_of(mechanism.airspeed), 2)}"
    if trip == "none":
        return f" once more than {habit.force(value_of(mechanism.hold), 2)} pulls at it"
    if trip in TIMERS:
        since = "launch" if mechanism.starts == "launch" else "drag was more than thrust"
        return f". A {trip} lets it go {value_of(mechanism.time):.2g} s after {since}"
    return {
        "barometer": f". A barometer lets it go {habit.distance(value_of(mechanism.drop), 2)} under its highest "
                     "reading",
        "gyro": f". A gyro lets it go once the rocket has turned {math.degrees(value_of(mechanism.angle)):.0f}°",
        "low airspeed": f". A switch lets it go below {habit.speed(value_of(mechanism.airspeed), 2)} through the air",
        "free fall": f". A switch lets it go where it feels less than {value_of(mechanism.felt):.2g} g: low speed, not "
                     "the top",
        "tilt ball": ". A ball lets it go as the push ends: it feels no gravity in free flight",
    }[trip]  # fmt: skip


def let_out_words(design: Design) -> str:
    """Return what really lets it out, and how often in time."""
    return f"{way_words(design)} {came_out_words(design)}"


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
