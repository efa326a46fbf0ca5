"""Several ways of letting the canopy out, side by side, flown for this very rocket."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.mechanism import Mechanism
from bottlewright.design.mechanism_completion import with_mechanism
from bottlewright.design.rewriting import Changes, rewritten
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.outcomes import Outcome, drawn_flights, outcomes
from bottlewright.flight.release_choice import changes_to, is_own, rows_of, ways_for
from bottlewright.quantities import Basis, Dimension, Quantity, parse_quantity

__all__ = ["WayFlown", "compare_ways", "let_out_by"]

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
        What it adds to a rocket that has none, kg.
    parts, build
        What has to be bought, by the names of a price list; what it asks of whoever builds it.
    keys
        What the design file says otherwise once it is taken, as it was flown.
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
    keys: Changes = ()
    own: bool = False


def let_out_by(design: Design, mechanism: Mechanism) -> Design:
    """Return a completed design whose canopy another mechanism lets out."""
    recovery = design.recovery.model_copy(update={"mechanism": mechanism, "release": "mechanism"})
    return design.model_copy(update={"recovery": with_mechanism(recovery, design)})


def compare_ways(
    design: Design, flights: int = 200, say: Callable[[str, float], None] = lambda _words, _share: None
) -> list[WayFlown]:
    """Fly a completed design with the ways that a class can build, as its file would have them; the surest first.

    None for a rocket that comes down without a canopy or a streamer.

    Parameters
    ----------
    say
        Told what is being flown and how far it is.
    """
    names, flown = ways_for(design), []
    for number, name in enumerate(names):
        say(f"flying {rows_of()[name]['says']}", number / len(names))
        keys = changes_to(design, name)
        flown.append(_flown(name, rewritten(design, keys) if keys else design, flights, keys, is_own(design, name)))
    return sorted(flown, key=lambda row: -row.share[Outcome.IN_TIME])


def _flown(name: str, design: Design, flights: int, keys: Changes, own: bool) -> WayFlown:
    batch = drawn_flights(design, flights)
    seen = outcomes(design, batch, fly_batch(batch))
    row = rows_of()[name]
    mass = parse_quantity(row["mass"], Dimension.MASS)
    return WayFlown(
        name, row["says"], flights, {one: float(np.mean(seen == one)) for one in Outcome},
        Quantity(mass.value, mass.spread, Basis.ASSUMED, _OURS), tuple(row["parts"]), row["build"], keys, own,
    )  # fmt: skip
