"""Where each number of the state lives, and the phases of a flight.

The state of a rocket in flight, SI: place of the dry centre of mass (east, north, up), its velocity, the length of
air passed (for gusts), the attitude quaternion (body to ground, scalar first), the body rates, the impulse so far, and
three numbers of the charge that mean something else in each phase. A phase integrates only the first `SIZE[phase]`
numbers, so that a rocket under its canopy carries no attitude. TUMBLING is a coast with the balance point moved.

Body axes: e1 along the axis toward the nose, e2 and e3 across.
"""

from typing import Any, NamedTuple, TypeAlias

import numpy as np

__all__ = [
    "AIR_PATH", "ATTITUDE", "CANOPY", "CHARGE_A", "CHARGE_B", "CHARGE_C", "COAST", "EVENTS", "GAS", "IMPULSE",
    "OPENING", "PHASES", "PLACE", "RATES", "SIZE", "SLIDE", "SPRAY", "STATE", "TUMBLE", "TUMBLING", "TWO_PARTS",
    "VELOCITY", "WATER", "Endings", "Pushed", "Record",
]  # fmt: skip

Record: TypeAlias = Any
"""A record of a numpy structured array (parameters, vehicle, note, work): compiled code reads its fields as
attributes, which no static type of numpy describes."""

PLACE, VELOCITY, AIR_PATH, ATTITUDE, RATES, IMPULSE = 0, 3, 6, 7, 11, 14
CHARGE_A, CHARGE_B, CHARGE_C = 15, 16, 17
STATE = 18
EVENTS = 8
"""Kinds of event that end a phase, `bottlewright.flight.phases`, or that a mechanism waits for."""

Pushed: TypeAlias = tuple[float, float, float, float, float, float, float]
"""Axial specific force, thrust, mass, centre, transverse moment, outflow and the height that it comes from."""

SLIDE, OPENING, WATER, SPRAY, GAS, COAST, CANOPY, TUMBLING = 0, 1, 2, 3, 4, 5, 6, 7
PHASES = ("on the seal", "opening", "water", "spray", "air", "coast", "under the canopy", "ballast shifted")

SIZE = np.array([18, 18, 18, 17, 16, 14, 7, 14])
"""Numbers of the state in use by phase. SLIDE: air that came in, nothing, gas temperature; OPENING and WATER: water
volume, jet speed, gas temperature; SPRAY: water mass, gas mass; GAS: root of the relative excess pressure."""

TWO_PARTS, TUMBLE = 4, 5
"""Codes of what slows the fall where it is no canopy; `bottlewright.flight.parameters` has them all."""


class _Endings(NamedTuple):
    landed: int = 0
    never_left: int = 1
    cut_off: int = 2
    fired: int = 3
    too_many_steps: int = 4
    not_finite: int = 5
    refused: int = 6
    stuck: int = 7


Endings = _Endings()
"""How a computed flight ended."""
