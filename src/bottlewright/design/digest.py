"""A short name for all that a design says, so that a number worked out for one design is never shown for another."""

import hashlib
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from bottlewright.design.document import Design
from bottlewright.quantities import Quantity

__all__ = ["design_digest"]

_BESIDE = frozenset({"notes", "workshop", "prices", "stock"})
"""Tables that say nothing of rocket, launcher, people, site or air."""


def design_digest(design: Design) -> str:
    """Return 32 hexadecimal digits that change with every value, ± and word of a completed design.

    Notes, workshop, prices and stock are left out: they change nothing that flies, lands or bursts.
    """
    digest = hashlib.sha256()
    for name in type(design).model_fields:
        if name not in _BESIDE:
            for part in _parts(getattr(design, name), name):
                digest.update(part.encode() + b"\0")
    return digest.hexdigest()[:32]


def _parts(node: Any, path: str) -> Iterator[str]:
    """Walk over path and value of all that a table holds, numbers to the last bit."""
    if isinstance(node, Quantity):
        yield f"{path}={float(node.value).hex()}±{float(node.spread).hex()}{node.basis.name}"
    elif isinstance(node, BaseModel):
        for name in type(node).model_fields:
            yield from _parts(getattr(node, name), f"{path}.{name}")
    elif isinstance(node, list | tuple):
        yield f"{path}#{len(node)}"
        for place, entry in enumerate(node):
            yield from _parts(entry, f"{path}.{place}")
    else:
        yield f"{path}={node!r}"
