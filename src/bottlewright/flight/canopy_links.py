"""What an opening canopy pulls at: lines, the tabs that they are tied to, the riser; which of them gives first."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.physics.canopy_load import KNOT_STRENGTH, OVERSHOOT, UNEVEN, line_angle
from bottlewright.quantities import Quantity, value_of

__all__ = ["Link", "canopy_holds", "links_of", "not_said", "weakest"]


class Link(NamedTuple):
    """One thing that an opening canopy pulls at.

    Parameters
    ----------
    name, path
        What it is, with its knot; the key that its strength stands at.
    holds
        Load, as the computed motion has it, that it just holds, N; the overshoot of cloth is taken off.
    """

    name: str
    path: str
    holds: Quantity


def links_of(design: Design) -> list[Link]:
    """Return what holds whatever slows the rocket, the weakest first, as far as its strength is known."""
    return sorted(_links(design), key=lambda one: one.holds.value)


def _links(design: Design) -> Iterator[Link]:
    for name, key, share in _shares(design):
        strength = getattr(design.recovery, key)
        if strength is not None:
            held = Quantity(strength.value * share, strength.spread * share, strength.basis, strength.source)
            yield Link(name, f"recovery.{key}", held)


def _shares(design: Design) -> list[tuple[str, str, float]]:
    """Return each link, the key of its strength, and how many times that strength it lets the whole hold.

    Blades of a rotor share its load alike and have no knots; two parts hang by their cord.
    """
    recovery = design.recovery
    lines, knot = recovery.lines or 1, KNOT_STRENGTH[recovery.line_knot]
    if recovery.kind == "rotor":
        return [("a blade's root", "line_strength", float(lines))]
    if recovery.kind == "two parts":
        return [(f"the cord between the parts ({recovery.line_knot})", "cord_strength", knot)]
    if recovery.kind not in ("parachute", "streamer"):
        return []
    alike = 1.0
    if recovery.kind == "parachute":
        lean = line_angle(value_of(recovery.diameter), max(value_of(recovery.line_length), 1e-3))
        alike = lines * math.cos(lean) / UNEVEN
    return [
        (f"a line ({recovery.line_knot})", "line_strength", alike * knot / OVERSHOOT),
        ("the tab that a line is tied to", "tab_strength", alike / OVERSHOOT),
        (f"the riser from lines to rocket ({recovery.riser_knot})", "riser_strength",
         KNOT_STRENGTH[recovery.riser_knot] / OVERSHOOT),
    ]  # fmt: skip


def weakest(design: Design) -> Link | None:
    """Return what gives first; None where nobody said how strong anything is."""
    return next(iter(links_of(design)), None)


def canopy_holds(design: Design) -> Quantity | None:
    """Return the canopy load that the weakest of its links holds, N; None where nobody said."""
    link = weakest(design)
    return link.holds if link else None


_SAID = {"line_strength": "the lines", "tab_strength": "the tabs", "riser_strength": "the riser",
         "cord_strength": "the cord between the parts"}  # fmt: skip


def not_said(design: Design) -> list[str]:
    """Return what is pulled at and whose strength nobody gave."""
    return [_SAID[key] for _, key, _ in _shares(design) if getattr(design.recovery, key) is None]
