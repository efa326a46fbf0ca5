"""Which uncertain value of a design makes the spread of its flights, so what to measure next."""

from contextlib import suppress
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.paths import uncertain
from bottlewright.flight.parameters import slot_of
from bottlewright.tune.sensitivity import Sources, leading_values, sobol
from bottlewright.tune.trials import FlyBatch

__all__ = ["spread_sources"]

Floats = NDArray[np.float64]


def spread_sources(design: Design, figure: str, batch: Any, flights: Any, fly: FlyBatch) -> Sources:
    """Return which uncertain values make the spread of a figure.

    Parameters
    ----------
    design
        Completed.
    figure
        Field of the summary.
    batch, flights
        Sampled parameters as they were flown, and what they came to; the values are varied about these.
    fly
        Flies a batch.
    """
    slots, columns = _drawn(design, batch)
    paths, others = leading_values(columns, flights[figure])
    if not paths:
        return Sources((), 0.0)
    middle = batch[:1].copy()
    for path in columns:
        _write(middle, slots[path], np.median(columns[path]))

    def flown(rows: Floats) -> Floats:
        stacked = np.repeat(middle, len(rows))
        for k, path in enumerate(paths):
            _write(stacked, slots[path], np.clip(rows[:, k], columns[path].min(), columns[path].max()))
        return np.asarray(fly(stacked)[figure], float)

    middles = [float(np.median(columns[path])) for path in paths]
    spreads = [float(np.std(columns[path])) for path in paths]
    return sobol(flown, middles, spreads, paths, others, design.tune.seed)


_Slots = list[tuple[str, int | None]]


def _drawn(design: Design, batch: Any) -> tuple[dict[str, _Slots], dict[str, Floats]]:
    """Return the slots and draws of each uncertain value; one that moves with another is a slot of that other."""
    slots: dict[str, _Slots] = {}
    columns: dict[str, Floats] = {}
    for path in uncertain(design):
        with suppress(KeyError):
            slot = slot_of(path)
            column = _column(batch, slot).copy()
            leader = next((known for known, drawn in columns.items() if np.array_equal(drawn, column)), path)
            columns.setdefault(leader, column)
            slots.setdefault(leader, []).append(slot)
    return slots, columns


def _column(batch: Any, slot: tuple[str, int | None]) -> Floats:
    name, position = slot
    return np.asarray(batch[name] if position is None else batch[name][:, position])


def _write(batch: Any, slots: _Slots, values: Any) -> None:
    for slot in slots:
        _column(batch, slot)[:] = values
