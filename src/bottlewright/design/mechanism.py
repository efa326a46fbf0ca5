"""What lets the canopy out: the way, what trips it, and what was counted of it on the ground."""

from typing import Annotated, Literal

from pydantic import Field

from bottlewright.design.fields import Day, Name, Of, Section
from bottlewright.quantities import Dimension, Quantity

__all__ = ["NOSE_WAYS", "TIMERS", "GroundTests", "Mechanism"]

D = Dimension
Force = Annotated[Quantity, Of(D.FORCE, "0 N", "100 N")]
Length = Annotated[Quantity, Of(D.LENGTH, "0 mm", "1 m")]
Area = Annotated[Quantity, Of(D.AREA, "10 mm2", "0.2 m2")]
Arm = Annotated[Quantity, Of(D.LENGTH, "1 mm", "500 mm")]
Time = Annotated[Quantity, Of(D.TIME, "0 s", "60 s")]
Way = Literal["loose nose", "sprung nose", "side door", "air flap", "two halves", "latch"]
Trip = Literal["none", "wind-up timer", "servo timer", "barometer", "gyro", "low airspeed", "free fall", "tilt ball"]
Count = Annotated[int, Field(strict=True, ge=0, le=10000)]

NOSE_WAYS = ("loose nose", "sprung nose")
"""Ways in which the nose itself has to come off its seat."""
TIMERS = ("wind-up timer", "servo timer")


class GroundTests(Section):
    """Tries of this very mechanism on the ground, packed as it flies: what was counted beats what is judged."""

    tries: Count = 0  # all of them, good or bad
    stuck: Count = 0  # of these, how often it did not let go
    early: Count = 0  # of these, how often it let go before it was meant to
    confirmed_by: Name | None = None  # who saw the old and the new odds and takes the new ones
    confirmed_on: Day | None = None  # such as "2027-03-30"


class Mechanism(Section):
    """What lets the canopy out, and how it feels that it is time."""

    way: Way = "loose nose"  # what opens
    trip: Trip = "none"  # what lets it go; none where the nose or the flap does so by itself
    hold: Force | None = None  # pull that just draws the nose off its seat, on a scale; its ± is a factor both ways
    shoulder: Length | None = None  # of the seat: how far the nose slides until it is clear
    seat: Annotated[Quantity, Of(D.LENGTH, "1 mm", "1 m")] | None = None  # diameter of the seat
    nose_mass: Annotated[Quantity, Of(D.MASS, "0.1 g", "20 kg")] | None = None  # all that comes off or rests on it
    nose_centre: Length | None = None  # its balance point, from the nose tip
    nose_drag: Annotated[Quantity, Of(D.NUMBER, 0.0, 2.0)] | None = None  # drag coefficient of the nose, on the seat
    push: Force | None = None  # of spring or rubber on the seated nose
    push_end: Force | None = None  # at the end of its stroke
    push_stroke: Length | None = None  # how far it pushes
    cavity: Literal["leaky", "sealed", "vented"] = "leaky"  # the room under the nose
    cavity_volume: Annotated[Quantity, Of(D.VOLUME, "1 mL", "60 L")] | None = None  # air in it
    vents: Annotated[int, Field(strict=True, ge=1, le=20)] | None = None  # holes, of a vented one
    vent_bore: Annotated[Quantity, Of(D.LENGTH, "0.2 mm", "20 mm")] | None = None  # of each hole
    suction: Annotated[Quantity, Of(D.NUMBER, -1.5, 1.0)] | None = None  # pressure there over dynamic pressure
    starts: Literal["launch", "end of push"] = "launch"  # a timer: pin drawn as it leaves, or an inertia latch
    latch_level: Annotated[Quantity, Of(D.NUMBER, 1.2, 50.0)] | None = None  # push in g that moves an inertia latch
    latch_time: Annotated[Quantity, Of(D.TIME, "0 s", "2 s")] | None = None  # that such a push has to last, to arm it
    latch_travel: Annotated[Quantity, Of(D.LENGTH, "0 mm", "100 mm")] | None = None  # that it moves until it is armed
    time: Time | None = None  # that a timer runs
    start: Time | None = None  # from that moment until it runs
    drop: Annotated[Quantity, Of(D.LENGTH, "0.1 m", "50 m")] | None = None  # below its highest reading, of a barometer
    lag: Annotated[Quantity, Of(D.TIME, "0.005 s", "5 s")] | None = None  # by which its reading follows
    locked: Time | None = None  # after the end of the push, of a barometer
    port: Annotated[Quantity, Of(D.NUMBER, -2.0, 1.0)] | None = None  # pressure error at its hole over dynamic pressure
    angle: Annotated[Quantity, Of(D.ANGLE, "5 deg", "175 deg")] | None = None  # turned since launch, of a gyro
    airspeed: Annotated[Quantity, Of(D.SPEED, "1 m/s", "40 m/s")] | None = None  # under which flap or switch opens
    felt: Annotated[Quantity, Of(D.NUMBER, 0.01, 2.0)] | None = None  # specific force in g, of "free fall"
    flap_area: Area | None = None  # that the air presses shut; with arms and band it gives the airspeed
    flap_arm: Arm | None = None  # from its hinge to the middle of that area
    flap_band: Annotated[Quantity, Of(D.FORCE, "1e-3 N", "50 N")] | None = None  # pull of what opens it, while shut
    flap_band_arm: Arm | None = None  # from the hinge to the line of that pull
    flap_normal: Annotated[Quantity, Of(D.NUMBER, 0.2, 2.5)] | None = None  # air's force on it over q times its area
    act: Time | None = None  # from the trip until it is open: electronics, servo, door
    tests: GroundTests = GroundTests()
