"""A design read again from its own text with some values changed, as `--set` does: the rest is filled in anew."""

from collections.abc import Iterable
from typing import Any

from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.design.reading import parse_design, raw_tables

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
    written = design.written
    return complete(parse_design(written.text, [*written.overrides, *as_overrides(changes)]))


def writes(design: Design) -> frozenset[str]:
    """Return the keys that stand in the text of a design or in what the command line changed."""
    return frozenset(_keys(raw_tables(design.written.text, design.written.overrides), ""))


def _keys(node: Any, path: str) -> Iterable[str]:
    if path:
        yield path
    named = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for name, child in named:
        yield from _keys(child, f"{path}.{name}" if path else f"{name}")
