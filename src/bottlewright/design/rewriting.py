"""A design with some values changed, as `--set` does: the rest is filled in anew.

Only the tables that a change touches are read again. Where that makes no design, all of its text is, which says what
is wrong and where.
"""

from collections.abc import Iterable, Sequence
from copy import deepcopy
from typing import Any

from pydantic import ValidationError

from bottlewright.design.checking import sound
from bottlewright.design.completion import complete
from bottlewright.design.document import Design, Written
from bottlewright.design.learned import learned_from
from bottlewright.design.reading import (
    marked,
    marked_by_file,
    overridden_path,
    override,
    parse_design,
    with_origin,
)
from bottlewright.design.taught import with_learned
from bottlewright.design.vessel_history import named_vessel, with_history

__all__ = ["Changes", "as_overrides", "rewritten", "writes"]

Changes = tuple[tuple[str, str], ...]
"""Keys and their new values as text; an empty text takes the key out."""


def as_overrides(changes: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """Return changes as the command line writes them after `--set`."""
    return tuple(f"{key}={value}" for key, value in changes)


def rewritten(design: Design, changes: Iterable[tuple[str, str]]) -> Design:
    """Return the completed design that a design's text makes with more changes.

    Raises
    ------
    DesignError
        If that makes no design.
    """
    written, more = design.written, as_overrides(changes)
    changed = _changed(written, more)
    if changed is None:
        return complete(parse_design(written.text, [*written.overrides, *more], written.notes, written.lookup,
                                     written.teacher))  # fmt: skip
    return changed


def _changed(written: Written, more: Sequence[str]) -> Design | None:
    """Return the completed design that more overrides make of what was read, None where they make none."""
    touched = {overridden_path(text).partition(".")[0] for text in more}
    if written.read is None or not touched <= Design.model_fields.keys():
        return None
    tables = {name: deepcopy(table) if name in touched else table for name, table in written.tables.items()}
    problems, _ = override(tables, more)
    if problems:
        return None
    history = named_vessel(tables, written.lookup)
    if history is not None:
        touched = touched | {"vessel"}
    told = with_history(tables, history)
    overrides = (*written.overrides, *more)
    kept = {field.alias or name: getattr(written.read, name) for name, field in Design.model_fields.items()}
    again = {name: told[name] for name in touched if name in told}
    try:
        read = Design.model_validate({name: table for name, table in kept.items() if name not in touched} | again)
    except ValidationError:
        return None
    read = marked_by_file(marked(read, {overridden_path(text) for text in overrides}), history)
    completed = sound(read)
    origin = Written(written.text, overrides, tables, read, written.notes, written.lookup, history, written.teacher,
                     learned_from(tables, written.teacher))  # fmt: skip
    return completed and with_learned(with_origin(completed, origin))


def writes(design: Design) -> frozenset[str]:
    """Return the keys that stand in the text of a design or in what the command line changed."""
    return frozenset(_keys(design.written.tables, ""))


def _keys(node: Any, path: str) -> Iterable[str]:
    if path:
        yield path
    named = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for name, child in named:
        yield from _keys(child, f"{path}.{name}" if path else f"{name}")
