"""What differs between two texts of a design file, in the words of a page: what an undo would take back."""

import re
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from bottlewright.project.fields import label_of

__all__ = ["difference"]


_LONG, _LONGEST = 24, 64
"""Letters of a value, and of all that a button says: a longer one says only which value it is."""
_TEST = re.compile(r"vessel\.proof\.\d+\.pressure")


@lru_cache(maxsize=64)
def difference(here: str, there: str) -> str:
    """Say what becomes of a design when the second text takes the place of the first: ``"water 400 mL → 365 mL"``.

    Empty where no value differs, or a text is none of a design.
    """
    try:
        now, then = (dict(_flat(tomllib.loads(text))) for text in (here, there))
    except tomllib.TOMLDecodeError:
        return ""
    keys = [key for key in {**now, **then} if now.get(key) != then.get(key) and ".parts_" not in key]
    keys.sort(key=lambda key: not _TEST.fullmatch(key))  # a proof test is told before the count that it raises
    if not keys:
        return ""
    named = {key: "proof test" if _TEST.fullmatch(key) else label_of(key, now | then) for key in keys}
    first, *more = keys
    was, becomes = (_short(values.get(first, "not said")) for values in (now, then))
    told = f"{named[first]} {was} → {becomes}"
    told = told if len(told) <= _LONGEST else named[first]
    return told + (f" and {len(more)} more" if more else "")


def _short(value: str) -> str:
    """Return a value as short as a button says it: that it is a guess, and a long text's end, stand in the file."""
    value = value.removesuffix(" (assumed)")
    return value if len(value) <= _LONG else f"{value[: _LONG - 1].rstrip()}…"


def _flat(table: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Yield each key with its value as a page says it."""
    entries = enumerate(table) if isinstance(table, list) else table.items()
    for name, value in entries:
        key = f"{path}.{name}" if path else str(name)
        if isinstance(value, dict) or (isinstance(value, list) and any(isinstance(one, dict) for one in value)):
            yield from _flat(value, key)
        else:
            yield key, _said(value)


def _said(value: Any) -> str:
    """Return a value as a page says it: an outline by its number of corners, a place by its two distances."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, list):
        return str(value)
    return f"{len(value)} corners" if value and isinstance(value[0], list) else ", ".join(map(str, value))
