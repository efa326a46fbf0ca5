"""Help with the canopy: its size for a wanted descent, how far it then drifts, and whether its pack fits the nose."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design import tables
from bottlewright.design.document import Design
from bottlewright.flight.fly import Flight
from bottlewright.flight.layout import layout_of
from bottlewright.physics.canopy_choice import HAND_ROLLED, canopy_area, compartment, drift, packed_volume
from bottlewright.physics.parachute import round_area
from bottlewright.quantities import value_of

__all__ = ["WANTED", "Pack", "Size", "across", "canopy_sizes", "pack_of"]

Floats = NDArray[np.float64]

WANTED = (3.5, 4.5, 6.0)
"""Descents that sizes are given for, m/s: gentle, usual, quick out of the wind (common practice, no source)."""
_LOOSER, _USUAL, _TIGHTER = HAND_ROLLED - 50.0, HAND_ROLLED, HAND_ROLLED + 50.0
"""Density of a pack rolled by hand, kg/m³ (common practice, no source)."""


class Size(NamedTuple):
    """A canopy for a descent.

    Parameters
    ----------
    speed, across
        Descent, m/s; size of the canopy, of the shape that the design has, m.
    drift
        How far the file's wind carries it from the top of the middle flight, m.
    """

    speed: float
    across: float
    drift: float


class Pack(NamedTuple):
    """The packed canopy and the room for it.

    Parameters
    ----------
    packed, least, most
        Room that the pack fills, m³, and between which limits; by hand it comes out tighter or looser.
    needed
        Room that it needs to come out of, m³.
    room
        Room in the nose less what else lies in it, m³; None where the pack does not lie in the nose, or nobody can say.
    length
        Of the nose's own seat that such room takes, m.
    why
        Where the room is not known: why.
    """

    packed: float
    least: float
    most: float
    needed: float
    room: float | None
    length: float
    why: str

    @property
    def fits(self) -> bool | None:
        """Whether it fits, and comes out; None where the room is not known."""
        return None if self.room is None else self.needed <= self.room


def across(design: Design, speed: float, flight: Flight) -> float:
    """Return how wide a canopy of the design's shape has to be for a steady descent, m.

    Its drag area grows as its width squared, from that of the canopy that the design has.
    """
    vehicle = flight.vehicle
    wanted = canopy_area(float(vehicle["hanging_mass"]) or float(vehicle["dry_mass"]), speed, 1.0,
                         float(vehicle["air"][1]), float(vehicle["gravity"]))  # fmt: skip
    wanted = max(wanted - float(vehicle["hanging_area"]), 0.0)
    return value_of(design.recovery.diameter) * math.sqrt(wanted / float(vehicle["canopy_area"]))


def canopy_sizes(design: Design, flight: Flight) -> list[Size]:
    """Return sizes for usual descents, each with its drift; none without a parachute, or where it never climbed.

    Parameters
    ----------
    flight
        The middle flight.
    """
    height, weather = flight.summary["apogee_m"], design.weather
    if design.recovery.kind != "parachute" or not height > 0.0 or not flight.vehicle["canopy_area"] > 0.0:
        return []
    wind, at, bend = value_of(weather.wind_speed), value_of(weather.wind_height), value_of(weather.exponent)
    return [Size(speed, across(design, speed, flight), drift(wind, at, bend, height, speed)) for speed in WANTED]


def pack_of(design: Design) -> Pack | None:
    """Return the packed canopy and the room for it; None where nothing is packed."""
    recovery = design.recovery
    if recovery.kind not in ("parachute", "streamer") or recovery.mass is None:
        return None
    mass = recovery.mass.value
    room, why = _room(design)
    seat = value_of(design.nose.diameter) if design.nose else 0.0
    needed = compartment(mass, _USUAL)
    return Pack(packed_volume(mass, _USUAL), packed_volume(mass, _TIGHTER), packed_volume(mass, _LOOSER), needed, room,
                needed / float(round_area(seat)) if seat > 0.0 else math.nan, why)  # fmt: skip


def _room(design: Design) -> tuple[float | None, str]:
    """Return the room in the nose less the wall and what else lies in it, m³, or why nobody can say."""
    nose, at = design.nose, value_of(design.recovery.position)
    if nose is None or nose.shape == "bottle":
        return None, "the rocket has no nose to pack it in; measure the place that it lies in"
    layout = layout_of(design)
    if at > layout.nose_end:
        return None, "it lies behind the nose; measure the place that it lies in"
    if nose.wall is None:
        return None, ("nobody said how thick the nose's wall is: write nose.wall, or measure the hollow by the water "
                      "that it holds")  # fmt: skip
    filled = 0.0
    for part in design.mass:
        if part.position.value < layout.nose_end:
            density = tables.material(part.material)["density"].value if part.material else _UNKNOWN
            filled += part.mass.value / density
    return max(_hollow(layout.outer_x, layout.outer_r, layout.nose_end, nose.wall.value) - filled, 0.0), ""


_UNKNOWN = 1000.0
"""Density of things without a material in the nose, kg/m³: boards, cells and servos with their gaps (our judgement)."""


def _hollow(x: Floats, r: Floats, end: float, wall: float) -> float:
    """Return the room inside an outer shape up to a station, m³, a wall thickness in."""
    volume, before = 0.0, 0
    for place in range(1, len(x)):
        if x[place] > end + 1e-9:
            break
        a, b = max(r[before] - wall, 0.0), max(r[place] - wall, 0.0)
        volume += math.pi / 3.0 * (x[place] - x[before]) * (a * a + a * b + b * b)
        before = place
    return float(volume)
