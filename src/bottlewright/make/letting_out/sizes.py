"""Sizes of what lets the canopy out, mm: the pack, the seat of a nose, the bay with its door, the flap.

Whatever pattern, step or card prints one of these takes it from here.
"""

import math
from dataclasses import dataclass

from bottlewright.design import Design
from bottlewright.design.mechanism import NOSE_WAYS, Mechanism
from bottlewright.make.dimensions import mm
from bottlewright.physics.canopy_choice import packed_volume
from bottlewright.quantities import Quantity, value_of

__all__ = [
    "CLEARANCE",
    "DOORED",
    "EDGE_CLEAR",
    "LAP",
    "ROOM",
    "SEATED",
    "SHEET",
    "SKEWER",
    "Bay",
    "Flap",
    "LettingOut",
    "Pack",
    "Seat",
    "letting_out_of",
    "streamer_folds",
]  # fmt: skip

SEATED = (*NOSE_WAYS, "two halves")
"""Ways in which something slides off a seat."""
DOORED = ("side door", "air flap")
"""Ways in which a door in the side opens; the flap frees the door's band."""

SHEET = 0.5
"""Thickness of the plastic sheet for skirt, bay and door: our choice, the cover of a folder."""
PAPER_LAYERS, PAPER = 4, 0.1
"""Sheets of printer paper rolled in between, and how thick one is, mm: common practice, no source."""
CLEARANCE = 2.0 * PAPER_LAYERS * PAPER
"""Play of the skirt, across: within the 0.5 to 1 mm of common practice."""
LAP = 6.0
"""By how much a door lies over the edge of its opening: common practice, no source."""
ROOM = 20.0
"""By how much an opening is longer than the pack, and wider: common practice, no source."""
MOST_ARC = math.radians(90.0)
"""Of the way round that an opening may take; a tube that is open farther folds: common practice, no source."""
ON_BOTTLE, MARGIN = 30.0, 20.0
"""How far the bay goes over the bottle, and what stays of it before and behind its opening: our choice."""
SLOT, SLOT_WIDE, NOTCH, PIN = 10.0, 2.0, 3.0, 2.5
"""Length and width of the slot that anchors the band, depth of the door's notches, bore of the pin's hole."""
SKEWER = 2.0
"""Thickness of the arming pin."""
BESIDE = 14.0
"""From the door's edge to slot and pin: our choice."""
VENTS, VENT, VENT_AHEAD = 2, 3.0, 10.0
"""Holes under a nose, their bore, and how far they lie ahead of its rear edge: our choice."""
EDGE_CLEAR = 3.0
"""From a sliding nose's rear edge to the bottle: a steep edge would wedge itself fast (our judgement)."""
_FOLD = 100.0
"""Longest pack that a strip is folded to: our choice, a hand's length."""
_FEWEST_FOLDS = 3
_STREAMER_FOLD = 50.0


@dataclass(frozen=True, slots=True)
class Pack:
    """A folded canopy.

    Parameters
    ----------
    strip
        Length of the cloth folded gore upon gore, or of the streamer.
    folds
        Lengths that the strip is laid into.
    length, across
        Of the pack along the rocket's axis, and at most across it, loosely rolled.
    """

    strip: float
    folds: int
    length: float
    across: float


@dataclass(frozen=True, slots=True)
class Seat:
    """A skirt that slides over what is `diameter` across.

    Parameters
    ----------
    inner, around
        Diameter inside, and width of its sheet without the lap.
    shoulder, fixed
        How far it slides until it is clear, and how much of it is fixed ahead of that.
    vents, vent_bore, vent_ahead
        Holes, their bore, and how far they lie ahead of the joint.
    vented
        Whether the flights have the holes too.
    """

    diameter: float
    inner: float
    around: float
    shoulder: float
    fixed: float
    vents: int
    vent_bore: float
    vent_ahead: float
    vented: bool


@dataclass(frozen=True, slots=True)
class Bay:
    """A tube ahead of the bottle with an opening in its side, and the door over it.

    Parameters
    ----------
    inner, around
        Diameter inside, and width of its sheet without the lap.
    length, ahead
        Of the tube, and of what stands ahead of the bottle's straight part.
    opening, wide, arc
        Length of the opening along the axis, width round the tube along the sheet, and the angle of that, rad.
    asked_arc
        The angle that the pack would need; more than `arc` where it does not come out.
    """

    inner: float
    around: float
    length: float
    ahead: float
    opening: float
    wide: float
    arc: float
    asked_arc: float

    @property
    def front(self) -> float:
        """Front edge of the opening from the rear edge of the tube."""
        return ON_BOTTLE + MARGIN + self.opening

    @property
    def to_pin(self) -> float:
        """From the middle of the door to slot and pin, along the sheet."""
        return 0.5 * self.wide + LAP + BESIDE


@dataclass(frozen=True, slots=True)
class Flap:
    """A plate in the air on a lever, and the band that would turn it.

    Parameters
    ----------
    area, side
        Of the plate, mm² and mm; it is square.
    arm, band_arm
        From the hinge to the middle of the plate, and to the band.
    band
        Pull of the band while the flap is shut, N.
    airspeed
        Under which it opens, m/s.
    normal
        The air's force on it over q times its area, with its ±.
    """

    area: float
    side: float
    arm: float
    band_arm: float
    band: float
    airspeed: float
    normal: Quantity

    @property
    def at_plate(self) -> float:
        """What holds it shut at the middle of its plate, N."""
        return self.band * self.band_arm / self.arm


@dataclass(frozen=True, slots=True)
class LettingOut:
    """What lets a canopy out; what the design has not is None.

    Parameters
    ----------
    nose
        Length of the shaped nose: the bay takes its length from the nose's, for together they reach from tip to bottle.
    nose_asked
        Length that the design would have to give the nose for that; 0 where it does.
    """

    mechanism: Mechanism | None
    pack: Pack | None
    seat: Seat | None
    bay: Bay | None
    flap: Flap | None
    nose: float
    nose_asked: float


def letting_out_of(design: Design) -> LettingOut:
    """Return the sizes for a completed design."""
    pack = _pack(design)
    mechanism = design.recovery.mechanism if design.recovery.kind != "none" else None
    nose = mm(design.nose.length) if design.nose else 0.0
    if mechanism is None:
        return LettingOut(None, pack, None, None, None, nose, 0.0)
    seat = _seat(mechanism) if mechanism.way in SEATED else None
    bay = _bay(mm(design.vessel.diameter), pack) if pack and mechanism.way in DOORED else None
    least = bay.ahead + 0.5 * mm(design.vessel.diameter) if bay else 0.0
    fits = bay is not None and nose >= least and design.nose is not None and design.nose.shape not in ("bottle", "flat")
    flap = _flap(mechanism) if bay else None
    shaped = nose - (bay.ahead if bay and fits else 0.0)
    return LettingOut(mechanism, pack, seat, bay, flap, shaped, 0.0 if fits or bay is None else least)


def streamer_folds(length: float) -> int:
    """Return into how many lengths a streamer is folded: of 50 mm or so."""
    return max(2, round(length / _STREAMER_FOLD))


def _pack(design: Design) -> Pack | None:
    """Return the folded canopy: its length by how it is folded, how thick it is by its mass."""
    part = design.recovery
    volume = 1e9 * packed_volume(value_of(part.mass)) if part.mass else 0.0
    if part.kind == "streamer" and part.length is not None and part.width is not None:
        strip, wide = mm(part.length), mm(part.width)
        folds = streamer_folds(strip)
        fold = strip / folds
        return Pack(strip, folds, max(fold, wide), max(min(fold, wide), volume / (fold * wide)))
    if part.kind != "parachute" or part.diameter is None:
        return None
    across = mm(part.diameter)
    strip = 0.25 * math.pi * across if part.canopy == "hemisphere" else 0.5 * across
    folds = max(_FEWEST_FOLDS, math.ceil(strip / _FOLD - 1e-9))
    length = strip / folds
    return Pack(strip, folds, length, math.sqrt(4.0 * volume / (math.pi * length)))


def _seat(mechanism: Mechanism) -> Seat:
    diameter, vented = mm(mechanism.seat), mechanism.cavity == "vented"
    inner, shoulder = diameter + CLEARANCE, mm(mechanism.shoulder)
    bore = mm(mechanism.vent_bore) if vented else VENT
    return Seat(diameter, inner, math.pi * (inner + SHEET), shoulder, max(shoulder, 2.0 * VENT_AHEAD),
                (mechanism.vents or VENTS) if vented else VENTS, bore, VENT_AHEAD, vented)  # fmt: skip


def _bay(diameter: float, pack: Pack) -> Bay:
    outer, chord = diameter + 2.0 * SHEET, pack.across + ROOM
    asked = 2.0 * math.asin(min(chord / outer, 1.0))
    arc, opening = min(asked, MOST_ARC), pack.length + ROOM
    ahead = opening + 2.0 * MARGIN
    middle = diameter + SHEET
    return Bay(diameter, math.pi * middle, ON_BOTTLE + ahead, ahead, opening, 0.5 * middle * arc, arc, asked)


def _flap(mechanism: Mechanism) -> Flap | None:
    if mechanism.flap_area is None or mechanism.flap_normal is None:
        return None
    area = 1e6 * mechanism.flap_area.value
    return Flap(area, math.sqrt(area), mm(mechanism.flap_arm), mm(mechanism.flap_band_arm),
                value_of(mechanism.flap_band), value_of(mechanism.airspeed), mechanism.flap_normal)  # fmt: skip
