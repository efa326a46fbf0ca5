"""The ± of what the builder writes without one: nobody measures exactly, so each key has a usual ±.

Without this a value typed in would count as exact, and the predictions would be surer than when it is left out.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from bottlewright.design import tables
from bottlewright.design.document import Design
from bottlewright.design.paths import put_quantity, stood_on
from bottlewright.quantities import UNITS, Basis, Quantity, states_spread, written_unit

__all__ = ["assumed_spreads", "with_spreads"]


def with_spreads(design: Design) -> Design:
    """Return the design with the usual ± on every value that was written without one; ``"± 0"`` means exact."""
    for path, quantity in assumed_spreads(design):
        design = put_quantity(design, path.split("."), quantity)
    return design


def assumed_spreads(design: Design) -> Iterator[tuple[str, Quantity]]:
    """Yield path and quantity of every value of a design as written that takes a usual ±."""
    for path, quantity in stood_on(design):
        written = quantity.basis is Basis.MEASURED and quantity.text and not states_spread(quantity.text)
        usual = tables.usual_spread(_with_stars(path)) if written else None
        if usual is None or quantity.spread > 0.0 or (quantity.value == 0.0 and not usual.at_zero):
            continue
        spread = _short(usual.size + usual.share * abs(quantity.value), written_unit(quantity.text))
        if spread > 0.0:
            yield path, replace(quantity, spread=spread, source=f"{quantity.source}; ± assumed: {usual.source}")


@lru_cache(1024)
def _with_stars(path: str) -> str:
    return re.sub(r"\.\d+(?=\.|$)", ".*", path)


@lru_cache(1024)
def _short(spread: float, unit: str) -> float:
    """Return a ±, SI, to three digits of its value's unit: so it can be written out short and to the last bit."""
    factor = next(table[unit] for table in UNITS.values() if unit in table)
    return float(f"{spread / factor:.3g}") * factor
