"""A short name for all that a design says, so that a number worked out for one design is never shown for another."""

import hashlib
from typing import Any

from pydantic import BaseModel

from bottlewright.design.document import Design
from bottlewright.design.once import once_per_design
from bottlewright.design.paths import field_names
from bottlewright.quantities import Quantity

__all__ = ["design_digest", "landings_digest"]

_BESIDE = frozenset({"notes", "workshop", "prices", "stock"})
"""Tables that say nothing of rocket, launcher, people, site or air."""
_LIFE = frozenset(f"vessel.{name}" for name in (
    "id", "age", "cycles", "storage", "storage_date", "surface", "surface_date", "hard_landing", "inspected", "retired",
    "proof"))  # fmt: skip
"""Which bottle it is, and what it has been through: no flight asks for them."""


@once_per_design
def design_digest(design: Design) -> str:
    """Return 32 hexadecimal digits that change with every value, ± and word of a completed design.

    Notes, workshop, prices and stock are left out: they change nothing that flies, lands or bursts.
    """
    parts = _parts(design)
    history = design.written.history
    if history is not None:  # a bottle that nobody knows, and what its file contradicts, are other findings
        parts.append(f"history={history.unknown}{history.waiting}{history.differs}{history.too_much}")
    return _short(parts)


@once_per_design
def landings_digest(design: Design) -> str:
    """Return 32 hexadecimal digits that change with all on which a landing may rest.

    What the bottle is called and has been through is left out: it changes what is allowed, and no flight. So a launch,
    a test, or a name on the bottle takes no distance and no stop of the landings away.
    """
    return _short(_parts(design, _LIFE))


def _short(parts: list[str]) -> str:
    return hashlib.sha256("".join(f"{part}\0" for part in parts).encode()).hexdigest()[:32]


def _parts(design: Design, beside: frozenset[str] = frozenset()) -> list[str]:
    parts: list[str] = []
    for name in Design.model_fields:
        if name not in _BESIDE:
            _gather(getattr(design, name), name, parts, beside)
    if design.written.learned is not None:
        parts.append(f"learned={design.written.learned.digest}{design.written.learned.unread}")
    return parts


def _gather(node: Any, path: str, parts: list[str], beside: frozenset[str]) -> None:
    """Gather path and value of all that a table holds, numbers to the last bit."""
    if path in beside:
        return
    if isinstance(node, Quantity):
        parts.append(f"{path}={float(node.value).hex()}±{float(node.spread).hex()}{node.basis.name}")
    elif isinstance(node, BaseModel):
        values = vars(node)
        for name in field_names(type(node)):
            _gather(values[name], f"{path}.{name}", parts, beside)
    elif isinstance(node, list | tuple):
        parts.append(f"{path}#{len(node)}")
        for place, entry in enumerate(node):
            _gather(entry, f"{path}.{place}", parts, beside)
    else:
        parts.append(f"{path}={node!r}")
