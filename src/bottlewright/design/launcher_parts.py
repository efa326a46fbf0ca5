"""The parts of a launcher as the builder describes them: release, cord, hose, valve, stand, pump, people."""

from typing import Annotated, Literal

from pydantic import Field, StrictBool

from bottlewright.design.fields import Of, OfBearing, Section
from bottlewright.quantities import Dimension, Quantity

__all__ = ["Clamp", "Cord", "Coupling", "Crew", "Frame", "Gauge", "Hose", "Pump", "Release", "Stakes", "Valve"]

D = Dimension
Size = Annotated[Quantity, Of(D.LENGTH, "0 mm", "10 m")]
Bore = Annotated[Quantity, Of(D.LENGTH, "0.5 mm", "200 mm")]
Distance = Annotated[Quantity, Of(D.LENGTH, "0 m", "500 m")]
Bearing = Annotated[Quantity, OfBearing()]  # clockwise from north
Rating = Annotated[Quantity, Of(D.PRESSURE, "0.1 bar", "400 bar")]  # gauge
Strength = Annotated[Quantity, Of(D.FORCE, "0 N", "50 kN")]
Friction = Annotated[Quantity, Of(D.NUMBER, 0.01, 1.5)]
Slope = Annotated[Quantity, Of(D.ANGLE, "0 deg", "80 deg")]


class Release(Section):
    """What holds the rocket down and lets it go."""

    kind: Literal["collar", "ties", "pin", "plug"] = "collar"  # hose connector, ring of cable ties, fork, friction plug
    spring: Strength | None = None  # moves the collar, sleeve or pin with no pressure on
    friction: Friction | None = None  # coefficient between the holding faces
    wedge: Slope | None = None  # of the holding face: how much of the hold-down force presses outwards
    slope: Slope | None = None  # of the locking face towards its open position; 0 for a parallel collar or pin
    count: Annotated[int, Field(strict=True, ge=1, le=100)] | None = None  # claws, ties or pin legs
    strength: Strength | None = None  # of one claw, tie or leg
    grip: Strength | None = None  # of a friction plug, measured with a spring scale
    guided_length: Size | None = None  # over which the collar or sleeve slides
    pull_radius: Size | None = None  # from the axis to where a cord is tied


class Cord(Section):
    """The cord or cords that open the release."""

    length: Distance | None = None  # from the stand to the hand
    count: Annotated[int, Field(strict=True, ge=1, le=2)] = 2  # cords, on opposite sides of the release
    evenness: Annotated[Quantity, Of(D.NUMBER, 0.5, 1.0)] | None = None  # share of the harder-pulled of two cords
    strength: Strength | None = None  # breaking strength of one cord
    diameter: Size | None = None  # of the cord
    leverage: Annotated[Quantity, Of(D.NUMBER, 0.1, 20.0)] | None = None  # force at the release over force of the cord
    turn: Annotated[Quantity, Of(D.ANGLE, "0 deg", "1080 deg")] | None = None  # round the turning bar, all together
    turn_friction: Friction | None = None  # between cord and bar
    height: Size | None = None  # above the ground where it leaves the stand


class Hose(Section):
    """From the pump to the rocket."""

    length: Distance | None = None  # from the pump to the launcher
    bore: Bore | None = None  # inner diameter
    outer: Bore | None = None  # outer diameter, for the hole in the stand
    rating: Rating | None = None  # printed on it, at about 23 °C
    temperature: Annotated[Quantity, Of(D.TEMPERATURE, "-30 °C", "120 °C")] | None = None  # of its wall at launch
    sun: StrictBool = False  # lies in full sun
    loop_height: Size | None = None  # top of a raised loop above the nozzle
    check_valve: StrictBool = False  # at the launcher, so that nothing flows back into the hose


class Valve(Section):
    """Where the pump is put on."""

    kind: Literal["snap-in", "clamp-in", "cycle", "quick-connect", "other"] = "other"  # which sort
    bore: Bore | None = None  # narrowest passage in it
    rating: Rating | None = None  # gauge pressure it is made for


class Clamp(Section):
    """What holds the hose on its barb."""

    kind: Literal["worm", "ear", "wire", "crimped", "none"] = "worm"  # crimped: pressed or screwed on for good
    rating: Rating | None = None  # gauge pressure it holds the hose at


class Coupling(Section):
    """The connector at the launcher's end of the hose."""

    bore: Bore | None = None  # narrowest passage in it
    rating: Rating | None = None  # gauge pressure it is made for
    diameter: Bore | None = None  # outer, where it passes the board


class Gauge(Section):
    """The pressure gauge that is read while somebody pumps."""

    fitted: StrictBool = True  # false where there is none, and nobody knows the pressure
    range: Rating | None = None  # full scale
    accuracy: Annotated[Quantity, Of(D.NUMBER, "0.05 %", "20 %")] | None = None  # of full scale


class Frame(Section):
    """The stand that the rocket is held on."""

    kind: Literal["boards", "tube"] = "boards"  # what it is made of
    mass: Annotated[Quantity, Of(D.MASS, "0 kg", "200 kg")] | None = None  # with everything fixed to it
    width: Size | None = None  # of the footprint across its narrow way
    depth: Size | None = None  # of the footprint along the cord
    height: Size | None = None  # of the plate that holds the release, above the ground
    board_width: Size | None = None  # of a board
    board_thickness: Size | None = None  # of a board
    tube_diameter: Size | None = None  # outer, of a tube


class Stakes(Section):
    """What pins the stand to the ground."""

    count: Annotated[int, Field(strict=True, ge=0, le=50)] | None = None  # how many; 0 for none
    weights: Annotated[Quantity, Of(D.MASS, "0 kg", "200 kg")] | None = None  # laid on the feet where no stake goes in
    length: Size | None = None  # in the ground
    diameter: Size | None = None  # of one stake
    ground: Literal["firm soil", "soft soil", "sand", "hard"] = "firm soil"  # what they stand in


class Pump(Section):
    """The pump, or the compressor in its place."""

    kind: Literal["hand", "foot", "compressor"] | None = None  # a compressor goes on by itself until something stops it
    regulator: StrictBool | None = None  # of a compressor: holds its outlet at the pressure that is set
    relief_valve: StrictBool | None = None  # of a compressor: lets the air off by itself above the pressure that is set
    bore: Bore | None = None  # of the barrel
    stroke: Size | None = None  # of the piston
    clearance: Annotated[Quantity, Of(D.VOLUME, "0 mL", "1 L")] | None = None  # left at the end of a stroke
    rating: Rating | None = None  # gauge pressure it is made for
    cadence: Annotated[Quantity, Of(D.RATE, "1 1/min", "200 1/min")] | None = None  # strokes a minute


class Crew(Section):
    """Who stands where, measured from the rocket."""

    operator: Distance | None = None  # who pulls the cord
    pumper: Distance | None = None  # who pumps
    spectators: Distance | None = None  # the nearest of them
    operator_bearing: Bearing | None = None  # from the launcher to the operator; the best one when left out
    pumper_bearing: Bearing | None = None  # from the launcher to the pumper
    spectators_bearing: Bearing | None = None  # from the launcher to the middle of the spectators
    shelter: StrictBool | None = None  # operator and pumper stand under a roof or in a car until it is down
    eye_protection: StrictBool | None = None  # everyone inside the distances for it wears it
    puller: Literal["adult", "child"] = "adult"  # who pulls the cord and pumps
    remote_vent: StrictBool | None = None  # the pressure can be let off from the operator's place
