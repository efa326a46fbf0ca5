"""A completed design with what flights taught of it.

A score is by how many of its own ± a value lies off the design's. What was changed since the flights counts as far as
it is like what flew: a share a of the score, the rest is drawn anew, so that the ± grows back towards the design's own.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from bottlewright.design.document import Design
from bottlewright.design.learned import GAUGE, TOLD_APART, Change, Learned, Taken
from bottlewright.design.paths import bounds_of, leaves, put_quantity, value_at
from bottlewright.quantities import Basis, Quantity

__all__ = [
    "RESTS_ON", "changes_since", "flown_as", "gauge_error", "taken_on", "with_learned", "without_learned",
    "worth_of",
]  # fmt: skip

RESTS_ON: Mapping[str, tuple[str, ...]] = {
    "model.drag_factor": ("fins", "nose", "sleeve", "vessel.diameter", "vessel.shoulder_length", "vessel.base_length"),
    "nozzle.velocity_coefficient": ("nozzle",),
    "recovery.drag_coefficient": ("recovery.kind", "recovery.canopy", "recovery.diameter", "recovery.spill_hole",
                                  "recovery.material", "recovery.length", "recovery.width"),
    "recovery.delay": ("recovery",),
    "measured.balance_point": ("measured", "mass"),
}  # fmt: skip
"""What a learned value is a property of: when one of these changes, less of it is known."""

_RESTS_ON = tuple(dict.fromkeys(name for names in RESTS_ON.values() for name in names))
_TABLES = tuple(dict.fromkeys(name.partition(".")[0] for name in _RESTS_ON))

SLIGHT, PLAIN = 0.03, 0.15
WORTH = {"none": 1.0, "slight": 0.9, "plain": 0.5, "other": 0.0}
"""How far a value is like the one that flew, by the greatest change of what it rests on: under 3 %, under 15 %, more.
Our judgement."""


def with_learned(design: Design) -> Design:
    """Return a completed design with what flights could tell apart in place of tables and assumptions."""
    taken = taken_on(design)
    if taken is None:
        return design
    source, before = taken.learned.rests_on, {}
    for column, path in enumerate(taken.learned.paths):
        if path in TOLD_APART and taken.worth[column] > 0.0:
            old = before[path] = value_at(design, path)
            mean, spread = taken.middle(column)
            low, high = bounds_of(path, design)
            new = min(max(old.value + old.spread * mean, low), high)
            learned = Quantity(new, old.spread * spread, Basis.LEARNED, source)
            design = put_quantity(design, path.split("."), learned)
    return design.with_written(replace(design.written, taken=replace(taken, before=before)))


def without_learned(design: Design) -> Design:
    """Return a completed design as it was before it took on what flights taught."""
    taken = design.written.taken
    if taken is None:
        return design
    for path, quantity in taken.before.items():
        design = put_quantity(design, path.split("."), quantity)
    return design.with_written(replace(design.written, taken=None))


def taken_on(design: Design) -> Taken | None:
    """Return what a design takes on from its flights; None where that is nothing."""
    learned = design.written.learned
    if learned is None or learned.unread or not learned.paths:
        return None
    changes = changes_since(design, learned)
    return Taken(learned, tuple(worth_of(path, changes) for path in learned.paths), changes)


def worth_of(path: str, changes: tuple[Change, ...]) -> float:
    """Return which share of what was learned of a value still counts after changes."""
    by = max((one.by for one in changes if one.touches == path or one.key == path), default=0.0)
    return WORTH["none" if by == 0.0 else "slight" if by < SLIGHT else "plain" if by < PLAIN else "other"]


def changes_since(design: Design, learned: Learned) -> tuple[Change, ...]:
    """Return what is not as it flew."""
    now, found = flown_as(design, learned.paths), []
    before = learned.flown or {}
    for key in sorted(now.keys() | before.keys()):
        if now.get(key) == before.get(key):
            continue
        by = _part(now.get(key), before.get(key))
        if by == 0.0:
            continue
        touched = [path for path, names in RESTS_ON.items() if path != key and _under(key, names)]
        found += [Change(key, by, path) for path in touched] or [Change(key, by, key)]
    return tuple(found)


def flown_as(design: Design, paths: tuple[str, ...]) -> dict[str, float | str]:
    """Return what a learned value is a property of, by key: SI values and words, of a completed design.

    Parameters
    ----------
    paths
        Of the learned values, which belong to it themselves unless flights tell them apart or the gauge showed them.
    """
    wanted, found = frozenset(paths), {}
    for table in dict.fromkeys([*_TABLES, *(path.partition(".")[0] for path in paths)]):
        for key, value in leaves(getattr(design, table, None), table):
            if (key in wanted or _belongs(key)) and key not in TOLD_APART and key != GAUGE:
                found[key] = value.value if isinstance(value, Quantity) else str(value)
    return found


@cache
def _belongs(key: str) -> bool:
    return _under(key, _RESTS_ON)


def _part(now: float | str | None, before: float | str | None) -> float:
    """Return by what part a value changed: 1 where it is another word, is gone or is new."""
    if isinstance(now, float) and isinstance(before, float):
        size = max(abs(now), abs(before))
        part = abs(now - before) / size if size else 0.0
        return 0.0 if part < 1e-9 else min(part, 1.0)
    return 0.0 if now == before else 1.0


def _under(key: str, names: tuple[str, ...]) -> bool:
    return any(key == name or key.startswith(f"{name}.") for name in names)


def gauge_error(design: Design) -> float:
    """Return how much more than the gauge said flights taught that there was, Pa; in the middle."""
    taken = design.written.taken
    if taken is None or GAUGE not in taken.learned.paths:
        return 0.0
    column = taken.learned.paths.index(GAUGE)
    pressure: Quantity = value_at(design, GAUGE)
    return pressure.spread * taken.learned.shares[column] * taken.middle(column)[0]
