"""Several ways of letting the canopy out, side by side, flown for this very rocket."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.mechanism import Mechanism
from bottlewright.design.mechanism_completion import with_mechanism
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.outcomes import Outcome, drawn_flights, outcomes
from bottlewright.quantities import Basis, Dimension, Quantity, parse_quantity, value_of

__all__ = ["WayFlown", "compare_ways", "let_out_by"]

_LATER = 0.3
"""How long after the middle flight's top a timer is set here, s: nearly three of its ± (our judgement)."""
_STRONGER = 1.5
"""Push at the end of its stroke over what lifts the nose and overcomes its hold (our judgement)."""
_OURS = "our judgement; weigh your own"


@dataclass(frozen=True, slots=True)
class WayFlown:
    """One way, and how its canopies came out.

    Parameters
    ----------
    name, words
        Its row in the table of ways; what lets it out.
    flights
        How many were flown with every ± drawn, the same draws for all ways.
    share
        Of these, by outcome.
    mass
        What it adds to a rocket that has none, kg; the flights keep the rocket's mass of now.
    parts, build
        What has to be bought, by the names of a price list; what it asks of whoever builds it.
    own
        Whether it is the way that the design has.
    """

    name: str
    words: str
    flights: int
    share: Mapping[Outcome, float]
    mass: Quantity
    parts: tuple[str, ...]
    build: str
    own: bool = False


@cache
def _rows() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("bottlewright.flight") / "data" / "release_ways.toml").read_text(encoding="utf-8"))


def let_out_by(design: Design, mechanism: Mechanism) -> Design:
    """Return a completed design whose canopy another mechanism lets out."""
    recovery = design.recovery.model_copy(update={"mechanism": mechanism, "release": "mechanism"})
    return design.model_copy(update={"recovery": with_mechanism(recovery, design)})


def compare_ways(
    design: Design, flights: int = 200, say: Callable[[str, float], None] = lambda _words, _share: None
) -> list[WayFlown]:
    """Fly a completed design with the ways that a class can build, each set for this rocket; the surest first.

    None for a rocket that comes down without a canopy or a streamer.

    Parameters
    ----------
    say
        Told what is being flown and how far it is.
    """
    if design.recovery.kind not in ("parachute", "streamer"):
        return []
    ways, rows = _ways(design, flights), []
    for number, (name, mechanism) in enumerate(ways.items()):
        say(f"flying {_rows()[name]['says']}", number / len(ways))
        rows.append(_flown(name, let_out_by(design, mechanism), flights, _is_own(design, mechanism)))
    return sorted(rows, key=lambda row: -row.share[Outcome.IN_TIME])


def _ways(design: Design, flights: int) -> dict[str, Mechanism]:
    """Return each way, set for this rocket; the design's own as it stands."""
    never = drawn_flights(design, flights)
    never["release"] = 2
    top = float(np.nanmedian(fly_batch(never)["apogee_time_s"])) + _LATER
    timer = Quantity(top, 0.07 * top, Basis.ASSUMED, "set just past the top")
    own = design.recovery.mechanism
    hold = {"hold": own.hold} if own and own.hold else {}
    ways = {
        "loose-nose": Mechanism(way="loose nose", **hold),
        "sprung-nose-barometer": _sprung(design, hold),
        "air-flap": Mechanism(way="air flap"),
        "wind-up-timer": Mechanism(way="side door", trip="wind-up timer", time=timer),
        "door-barometer": Mechanism(way="side door", trip="barometer"),
        "door-gyro": Mechanism(way="side door", trip="gyro"),
    }
    if design.nose is None or design.nose.shape == "bottle":
        del ways["loose-nose"], ways["sprung-nose-barometer"]
    return {name: own if own and _is_own(design, way) else way for name, way in ways.items()}


def _sprung(design: Design, hold: Mapping[str, Quantity]) -> Mechanism:
    """Return a nose whose rubber lifts it and overcomes its hold at the end of the stroke."""
    loose = let_out_by(design, Mechanism(way="loose nose", **hold)).recovery.mechanism
    assert loose is not None, "filled in"
    held = value_of(loose.hold) + (loose.hold.spread if loose.hold else 0.0)
    end = _STRONGER * (value_of(loose.nose_mass) * 9.80665 + held)
    push = {name: Quantity(value, 0.15 * value, Basis.ASSUMED, "set to lift the nose; the ± is ours")
            for name, value in (("push", 2.0 * end), ("push_end", end))}  # fmt: skip
    stroke = Quantity(value_of(loose.shoulder) + 0.01, 0.0, Basis.ASSUMED, "the shoulder and a centimetre")
    return Mechanism(way="sprung nose", trip="barometer", push_stroke=stroke, **push, **hold)


def _is_own(design: Design, way: Mechanism) -> bool:
    own = design.recovery.mechanism
    return own is not None and (own.way, own.trip) == (way.way, way.trip)


def _flown(name: str, design: Design, flights: int, own: bool) -> WayFlown:
    batch = drawn_flights(design, flights)
    seen = outcomes(design, batch, fly_batch(batch))
    row = _rows()[name]
    mass = parse_quantity(row["mass"], Dimension.MASS)
    return WayFlown(
        name, row["says"], flights, {one: float(np.mean(seen == one)) for one in Outcome},
        Quantity(mass.value, mass.spread, Basis.ASSUMED, _OURS), tuple(row["parts"]), row["build"], own,
    )  # fmt: skip
