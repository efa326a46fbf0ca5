"""What distances, wind limit and pressure of a rocket rest on, value by value, so that two states of it are compared.

Everything counts that is not named here as counting for nothing: a key that somebody adds later is held to, until
somebody shows that nothing hangs on it.
"""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel

from bottlewright.design.document import Design
from bottlewright.design.fields import quantity_bounds
from bottlewright.design.once import once_per_design
from bottlewright.design.paths import field_names, leaves
from bottlewright.quantities import Dimension, Quantity

__all__ = ["changed_keys", "dimension_of", "number_at", "rests_on"]

_TABLES_BESIDE = frozenset({"schema_", "name", "notes", "damage", "tune", "stand", "workshop", "prices", "stock"})
"""Tables of words, of the workshop, of what Tune aims at, and of a firing on a stand. Damage is judged by findings."""
_LIFE = frozenset({"age", "cycles", "storage", "storage_date", "surface", "surface_date", "hard_landing", "inspected",
                   "retired", "proof"})  # fmt: skip
"""Of the bottle: grows with each launch. What it takes off the allowed pressure or stops, the verdict says."""
_BESIDE = re.compile(
    rf"vessel\.(?:{'|'.join(sorted(_LIFE))})(?:\..*)?|measured\.(?:by|day)|learned\.confirmed_(?:by|on)"
    r"|weather\.hours\..*|site\.name|(?:mass|site\.keep_out)\.\d+\.name"
)
"""Names, who did it and when, and the forecast, by which hours are called and no limit is worked out."""


@once_per_design
def rests_on(design: Design) -> Mapping[str, str]:
    """Return each value that counts of a completed design by its key: numbers in SI with their ±, words as they are.

    What was learned from flights stands in the values; its short name stands for what belongs together in it.
    """
    found: dict[str, str] = {}
    for name in field_names(Design):
        if name not in _TABLES_BESIDE:
            found |= {key: _said(value) for key, value in leaves(getattr(design, name), name)
                      if not _BESIDE.fullmatch(key)}  # fmt: skip
    if design.written.learned is not None:
        found["learned"] = design.written.learned.digest or design.written.learned.unread
    return found


def _said(value: Any) -> str:
    return f"{value.value:.12g}±{value.spread:.12g}" if isinstance(value, Quantity) else str(value)


def changed_keys(before: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    """Return the keys at which two states differ, in the order of the file; those that are gone come last."""
    return [key for key in {**now, **before} if before.get(key) != now.get(key)]


def number_at(text: str) -> tuple[float, float] | None:
    """Return value and ± of a text of `rests_on`; None for a word."""
    value, sign, spread = text.partition("±")
    try:
        return (float(value), float(spread)) if sign else None
    except ValueError:
        return None


@cache
def dimension_of(key: str) -> Dimension | None:
    """Return what kind of quantity stands at a key of the format; None for a word, and for a corner of an outline."""
    model: Any = Design
    *tables, name = (part for part in key.split(".") if not part.isdecimal())
    for table in tables:
        field = model.model_fields.get(table)
        model = next(_models(field.annotation), None) if field else None
        if model is None:
            return None
    field = model.model_fields.get(name)
    bounds = quantity_bounds(field) if field and not key.rpartition(".")[2].isdecimal() else None
    return bounds.dimension if bounds else None


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models(part)
