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
from bottlewright.design.reading import marked, overridden_path, override, parse_design, with_origin

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
        return complete(parse_design(written.text, [*written.overrides, *more], written.notes))
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
    overrides = (*written.overrides, *more)
    kept = {field.alias or name: getattr(written.read, name) for name, field in Design.model_fields.items()}
    again = {name: tables[name] for name in touched if name in tables}
    try:
        read = Design.model_validate({name: table for name, table in kept.items() if name not in touched} | again)
    except ValidationError:
        return None
    read = marked(read, {overridden_path(text) for text in overrides})
    completed = sound(read)
    return completed and with_origin(completed, Written(written.text, overrides, tables, read, written.notes))


def writes(design: Design) -> frozenset[str]:
    """Return the keys that stand in the text of a design or in what the command line changed."""
    return frozenset(_keys(design.written.tables, ""))


def _keys(node: Any, path: str) -> Iterable[str]:
    if path:
        yield path
    named = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for name, child in named:
        yield from _keys(child, f"{path}.{name}" if path else f"{name}")
