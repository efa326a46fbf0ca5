"""What the builder describes of the rocket: vessel, nozzle, nose, fins, sleeve, masses, recovery, measurements."""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StrictBool

from bottlewright.design.fields import Day, Name, Of, Section, VesselId
from bottlewright.design.mechanism import Mechanism
from bottlewright.design.payload import Payload
from bottlewright.design.tables import bottle
from bottlewright.quantities import Dimension, Quantity

__all__ = [
    "Damage", "Fins", "Mass", "Measured", "Nose", "NoseShape", "Nozzle", "ProofTest", "Recovery", "Sleeve", "Swing",
    "Vessel",
]  # fmt: skip

D = Dimension
Size = Annotated[Quantity, Of(D.LENGTH, "0 mm", "5 m")]
Thickness = Annotated[Quantity, Of(D.LENGTH, "0.01 mm", "50 mm")]
Coefficient = Annotated[Quantity, Of(D.NUMBER, 0.1, 1.0)]
Profile = Annotated[list[tuple[Size, Size]], Field(min_length=2, max_length=48)]
Outline = Annotated[list[tuple[Size, Size]], Field(min_length=3, max_length=200)]
SomeMass = Annotated[Quantity, Of(D.MASS, "0 g", "20 kg")]
NoseShape = Literal["ogive", "cone", "paraboloid", "ellipsoid", "hemisphere", "flat", "bottle"]


def _bottle_row(name: str) -> str:
    """Return the name of the row that everyday words mean; what means none stays, and is told with the rest."""
    try:
        return bottle(name).name if name else name
    except KeyError:
        return name


BottleName = Annotated[Name, AfterValidator(_bottle_row)]
Kind = Literal["carbonated", "still", "hot-drink", "unknown"]
Work = Literal["glued", "hot-glued", "super-glued", "spray-painted", "sanded", "cut", "heated"]


class ProofTest(Section):
    """One pressure test of this very vessel, as it happened."""

    pressure: Annotated[Quantity, Of(D.PRESSURE, "0 bar", "25 bar")]  # gauge
    hold: Annotated[Quantity, Of(D.TIME, "0 s", "1 day")]  # how long it was held
    medium: Literal["water", "air"] = "water"  # what it was filled with; water, unless you had good reason
    passed: StrictBool = True  # no leak, no creak, no lasting growth
    date: Day | None = None  # such as "2026-05-09"; the start of the bottle's life when left out
    cycles: Annotated[int, Field(strict=True, ge=0, le=100000)] | None = None  # under pressure by then, with it
    bottle: BottleName | None = None  # row of the bottle that was tested; the pages write it
    volume: Annotated[Quantity, Of(D.VOLUME, "10 mL", "60 L")] | None = None  # of that bottle; the pages write it
    count: Annotated[int, Field(strict=True, ge=1, le=12)] | None = None  # bottles joined then; the pages write it
    diameter_before: Size | None = None  # outer, without pressure
    diameter_after: Size | None = None  # outer, without pressure


class Vessel(Section):
    """The pressure vessel: a row of the bottle table, or what you measured, or both (what you measured wins)."""

    id: VesselId | None = None  # what is written on the bottle; its file in the folder's logbook tells of its life
    bottle: BottleName | None = None  # a row of the bottle table, or words: "carbonated-1500", "1.5 litre fizzy"
    volume: Annotated[Quantity, Of(D.VOLUME, "10 mL", "60 L")] | None = None  # brim-full, of one bottle
    diameter: Annotated[Quantity, Of(D.LENGTH, "20 mm", "600 mm")] | None = None  # outer, at the cylinder
    wall: Annotated[Quantity, Of(D.LENGTH, "0.05 mm", "10 mm")] | None = None  # thickness at the cylinder
    empty_mass: Annotated[Quantity, Of(D.MASS, "1 g", "10 kg")] | None = None  # of one bottle without cap
    neck_bore: Annotated[Quantity, Of(D.LENGTH, "3 mm", "600 mm")] | None = None  # inner diameter of the neck
    kind: Kind | None = None  # what it was sold with; the row's when left out
    material: Name = "PET"  # of the wall; no other is taken for a pressure vessel
    neck_length: Size | None = None  # from the lip to where the shoulder begins
    shoulder_length: Size | None = None  # from neck to cylinder, along the axis
    base_length: Size | None = None  # of the rounded or footed end
    profile: Profile | None = None  # height above the nozzle exit, inner radius
    modulus: Annotated[Quantity, Of(D.PRESSURE, "100 MPa", "300000 MPa")] | None = None  # Young's, of the wall
    poisson: Annotated[Quantity, Of(D.NUMBER, 0.0, 0.5)] | None = None  # Poisson's ratio of the wall
    count: Annotated[int, Field(strict=True, ge=1, le=12)] = 1  # bottles joined end to end
    joint: Literal["none", "splice", "coupling"] = "none"  # how bottles are joined
    joint_overlap: Size | None = None  # length of the glued lap
    joint_adhesive: Name | None = None  # what it is glued with
    wraps: Annotated[int, Field(strict=True, ge=0, le=50)] = 0  # turns of reinforcing tape or fibre
    age: Annotated[Quantity, Of(D.TIME, "0 day", "30 years")] | None = None  # since it was opened, on `charge.day`
    cycles: Annotated[int, Field(strict=True, ge=0, le=100000)] | None = None  # launches and pressurisations so far
    storage: Literal["cool", "sun", "hot car"] | None = None  # where it was kept
    storage_date: Day | None = None  # last day in the sun, such as "2026-05-02"; after every test when left out
    surface: list[Work] = []  # what was done to the wall
    surface_date: Day | None = None  # last day of that work, such as "2026-05-02"; after every test when left out
    hard_landing: Day | None = None  # last day it came down hard; no test up to that day counts any more
    inspected: Annotated[int, Field(strict=True, ge=0, le=100000)] | None = None  # count when last looked over
    retired: Name | None = None  # why nobody pumps it again
    proof: list[ProofTest] = []  # pressure tests of this vessel


class Nozzle(Section):
    """The opening that the water leaves by; the bare neck when left out."""

    bore: Annotated[Quantity, Of(D.LENGTH, "1 mm", "150 mm")] | None = None  # at its narrowest
    length: Size | None = None  # of the parallel land
    shape: Literal["neck", "rounded", "square-edged", "tube", "cone", "re-entrant"] | None = None  # of the way in
    contraction: Coefficient | None = None  # jet area over bore area
    velocity_coefficient: Coefficient | None = None  # jet speed over ideal speed, of water
    gas_coefficient: Coefficient | None = None  # discharge coefficient of gas, on the bore
    mass: SomeMass | None = None  # insert and cap together


class Nose(Section):
    """The nose, from its tip to its seat on the bottle."""

    shape: NoseShape = "ogive"  # "bottle" is the bottle's own base
    length: Size | None = None  # from the tip to the seat at the upper end of the cylinder
    diameter: Annotated[Quantity, Of(D.LENGTH, "1 mm", "5 m")] | None = None  # at the seat; the bottle's when left out
    wall: Thickness | None = None  # solid when left out
    material: Name | None = None  # a row of the material table
    mass: SomeMass | None = None  # with all that is fixed to it


class Fins(Section):
    """A ring of equal fins; a trapezoid, or an outline of your own."""

    count: Annotated[int, Field(strict=True, ge=1, le=12)] = 3  # how many
    root: Size | None = None  # length along the body
    tip: Size | None = None  # length of the outer edge
    span: Annotated[Quantity, Of(D.LENGTH, "0 mm", "1 m")] | None = None  # from the body outwards
    sweep: Annotated[Quantity, Of(D.LENGTH, "-1 m", "2 m")] | None = None  # tip leading edge behind root leading edge
    outline: Outline | None = None  # (aft of the root's front, out from the body) along the edge
    position: Size | None = None  # root's front edge from the nose tip
    thickness: Thickness | None = None  # of the sheet
    edge: Literal["blunt", "round", "bevelled"] = "blunt"  # of the section
    cant: Annotated[Quantity, Of(D.ANGLE, "-20 deg", "20 deg")] | None = None  # angle to the axis
    material: Name | None = None  # a row of the material table
    mass: SomeMass | None = None  # all fins together


class Sleeve(Section):
    """A tube or wrap around the body: fairing, skirt, fin carrier."""

    length: Size  # along the axis
    diameter: Size | None = None  # outer; wrapped on the bottle when left out
    thickness: Thickness | None = None  # of the sheet
    material: Name | None = None  # a row of the material table
    mass: SomeMass | None = None  # with what holds it
    position: Size | None = None  # front edge from the nose tip


class Mass(Section):
    """Anything else that weighs: ballast, tape, altimeter, camera, egg."""

    name: Name  # what it is
    mass: SomeMass  # on the scale
    position: Size  # of its centre, from the nose tip
    length: Size | None = None  # along the axis, where it is long
    material: Name | None = None  # a row of the material table; no metal goes on the rocket
    payload: Payload | None = None  # of a camera, or of what else has a mount or a cell


Knot = Literal[
    "overhand knot", "reef knot", "figure-eight knot", "bowline", "anchor bend", "clove hitch", "two half hitches",
    "clinch knot",
]  # fmt: skip
Moment = Literal["apogee", "delay", "never", "mechanism", "at the top", "after launch", "by its mechanism"]
_PLAIN: dict[str, Moment] = {"at the top": "apogee", "after launch": "delay", "by its mechanism": "mechanism"}


def _plain(said: Moment) -> Moment:
    """Return the one word that a moment has inside, for plain words or itself."""
    return _PLAIN.get(said, said)


class Recovery(Section):
    """How the rocket comes down."""

    kind: Literal["none", "parachute", "streamer", "rotor", "two parts", "tumble"] = "none"  # what slows the fall
    canopy: Literal["hexagon", "octagon", "round", "square", "cross", "hemisphere"] = "hexagon"  # shape
    diameter: Annotated[Quantity, Of(D.LENGTH, "50 mm", "5 m")] | None = None  # flat to flat, or across
    spill_hole: Size | None = None  # diameter of the hole in the top
    lines: Annotated[int, Field(strict=True, ge=1, le=64)] | None = None  # how many; of a rotor, blades
    line_length: Size | None = None  # from the edge of the canopy to where the lines meet
    length: Size | None = None  # of a streamer
    width: Size | None = None  # of a streamer
    drag_coefficient: Annotated[Quantity, Of(D.NUMBER, 0.01, 3.0)] | None = None  # on the flat area
    material: Name | None = None  # of the canopy, a row of the material table
    mass: SomeMass | None = None  # with lines; of a rotor, a cord
    position: Size | None = None  # of the packed canopy, from the nose tip
    release: Annotated[Moment, AfterValidator(_plain)] = "apogee"  # when it is let out
    delay: Annotated[Quantity, Of(D.TIME, "0 s", "60 s")] | None = None  # from then, or from launch, to taut lines
    filling: Annotated[Quantity, Of(D.NUMBER, 0.5, 50.0)] | None = None  # filling distance in canopy diameters
    line_strength: Annotated[Quantity, Of(D.FORCE, "1 N", "5 kN")] | None = None  # of one line, a blade's root
    line_knot: Knot = "overhand knot"  # the weakest knot in the lines
    tab_strength: Annotated[Quantity, Of(D.FORCE, "1 N", "5 kN")] | None = None  # pull that tears a line off the canopy
    riser_strength: Annotated[Quantity, Of(D.FORCE, "1 N", "5 kN")] | None = None  # of the cord from lines to rocket
    riser_knot: Knot = "overhand knot"  # the weakest knot in that cord
    ballast: Name | None = None  # name of the mass that shifts, of a rocket that tumbles
    shift: Annotated[Quantity, Of(D.LENGTH, "1 mm", "1 m")] | None = None  # how far aft that ballast goes
    cord_length: Annotated[Quantity, Of(D.LENGTH, "50 mm", "20 m")] | None = None  # between two parts
    cord_strength: Annotated[Quantity, Of(D.FORCE, "1 N", "5 kN")] | None = None  # of that cord, without knots
    cord_stiffness: Annotated[Quantity, Of(D.STIFFNESS, "1 N/m", "1e6 N/m")] | None = None  # of all of that cord
    mechanism: Mechanism | None = None


class Swing(Section):
    """The whole rocket, dry, hung level from two equal strings and turned a little: how slowly it swings to and fro."""

    period: Annotated[Quantity, Of(D.TIME, "0.05 s", "60 s")]  # of one swing, there and back
    strings: Annotated[Quantity, Of(D.LENGTH, "20 mm", "20 m")]  # length of each
    apart: Annotated[Quantity, Of(D.LENGTH, "5 mm", "5 m")]  # from one string to the other, balance point midway


class Measured(Section):
    """What the scale and the string say: they beat every estimate. Without water and compressed air."""

    dry_mass: Annotated[Quantity, Of(D.MASS, "5 g", "50 kg")] | None = None  # ready to fly, on the scale
    balance_point: Size | None = None  # from the nose tip
    swing: Swing | None = None  # it says how hard the whole is to turn
    by: Annotated[Name, Field(max_length=40)] | None = None  # who measured it: initials or a number
    day: Day | None = None  # on which it was measured, such as "2027-03-20"
    parts_mass: SomeMass | None = None  # what the parts added up to when it was weighed; the pages write it
    parts_balance: Size | None = None  # where the parts balanced when it was balanced; the pages write it
    parts_radius: Size | None = None  # radius of gyration of the parts when it was swung; the pages write it


class Damage(Section):
    """Something that broke, bent or was scratched, and what came of it. Nobody repairs what holds pressure."""

    part: Literal["bottle", "nozzle", "nose", "fins", "sleeve", "recovery", "launcher", "other"]  # what is damaged
    what: Annotated[Name, Field(max_length=120)]  # what happened to it, such as "dent beside a fin"
    day: Day | None = None  # on which it was seen, such as "2027-03-20"
    done: Literal["nothing", "repaired", "replaced"] = "nothing"  # so far; a damaged bottle is retired
    withdrawn_by: Annotated[Name, Field(max_length=40)] | None = None  # who looked and found that there is no damage
    withdrawn_on: Day | None = None  # on which day; an entry with both counts no more

    @property
    def withdrawn(self) -> bool:
        """Whether somebody gave a word and a day for it that the part was never damaged."""
        return bool(self.withdrawn_by and self.withdrawn_on)
