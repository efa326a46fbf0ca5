"""The records of the logbook as typed values: one file a vessel, one file a launch.

A time is that of the watches on the field, "2027-03-20T10:15:00", or a day alone. An entry carries a name of its own,
`entry`, so that two copies of it are known for one; a line written by hand may leave it out.
"""

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StrictBool
from pydantic_core import PydanticCustomError

from bottlewright.design.fields import Day, Name, Notes, Of, OfBearing, Section, VesselId, of_letters
from bottlewright.quantities import Dimension, Quantity, as_written

__all__ = [
    "LANDINGS", "LATEST", "NOT_RETRIEVED", "Conditions", "ContestFile", "Corrected", "Differs", "EntryId", "FlightFile",
    "Happened", "Heated", "Inspection", "Loaded", "Measurement", "Moment", "Prediction", "Pressurised", "RawFile",
    "Sighting", "Team", "Top", "VesselFile", "VesselId", "VesselTest", "Watch", "WindReading", "WorkDone",
]  # fmt: skip

D = Dimension
LATEST = 1
"""Version of the files that this program writes."""
EntryId = Annotated[str, BeforeValidator(lambda value: of_letters(value, 64, "."))]

LANDINGS = ("soft", "hard", "tree", "roof", "water", "road", "power line", "lost")
"""How or where a rocket comes down."""
NOT_RETRIEVED = ("tree", "roof", "water", "road", "power line")
"""Where a rocket comes down that nobody fetches it from."""


def _moment(value: Any) -> str:
    try:
        read = datetime.fromisoformat(value)
    except (TypeError, ValueError):
        read = None
    if read is None or read.tzinfo is not None:
        why = f'is {as_written(value)}; write a day as "2027-03-20", a time as "2027-03-20T10:15:00"'
        raise PydanticCustomError("quantity", "{why}", {"why": why})
    return read.date().isoformat() if "T" not in value and len(value) == 10 else read.isoformat()


Moment = Annotated[str, BeforeValidator(_moment)]
"""A day, or a day with the time on the field's watches."""
Pressure = Annotated[Quantity, Of(D.PRESSURE, "0 bar", "25 bar")]
Size = Annotated[Quantity, Of(D.LENGTH, "0 mm", "5 m")]
Speed = Annotated[Quantity, Of(D.SPEED, "0 m/s", "60 m/s")]
Warmth = Annotated[Quantity, Of(D.TEMPERATURE, "-40 °C", "80 °C")]
Lasts = Annotated[Quantity, Of(D.TIME, "0 s", "1 h")]
Far = Annotated[Quantity, Of(D.LENGTH, "0 m", "2 km")]


class Happened(Section):
    """Something that happened to the bottle."""

    entry: EntryId | None = None  # name of this entry, the same in every copy
    at: Moment  # when
    note: Notes | None = None  # anything
    by: Name | None = None  # who wrote it: initials or a number


class Pressurised(Happened):
    """One time under pressure, however it ended: each is one cycle."""

    peak: Pressure | None = None  # highest reading of the gauge; left out where nobody knows
    ended: Literal["begun", "launched", "vented", "leak", "burst"]  # how the pressure came off; "begun": not yet


class VesselTest(Happened):
    """One pressure test, as it happened."""

    pressure: Pressure  # gauge
    hold: Annotated[Quantity, Of(D.TIME, "0 s", "1 day")]  # how long it was held
    medium: Literal["water", "air"]  # what the bottle was filled with
    passed: StrictBool  # no leak, no creak, no lasting growth
    diameter_before: Size | None = None  # outer, without pressure
    diameter_after: Size | None = None  # outer, without pressure


class Inspection(Happened):
    """A look over the whole bottle."""

    adult: Name  # who looked
    fit: StrictBool  # false retires the bottle


class Heated(Happened):
    """Was left warm."""

    how: Literal["sun", "hot car"]  # where it was kept


class WorkDone(Happened):
    """Work on the wall."""

    what: Literal["glued", "hot-glued", "super-glued", "spray-painted", "sanded", "cut", "heated"]  # what was done


class Differs(Section):
    """Another value that a merged copy had: a question for whoever knows."""

    key: Name  # of which key
    value: Notes  # as the other copy had it, as JSON


class VesselFile(Section):
    """All that happened to one bottle."""

    schema_: Annotated[Literal[1], Field(alias="schema")] = 1  # of this format
    id: VesselId  # what is written on the bottle; the name of the file
    bottle: Name | None = None  # which kind, as vessel.bottle of a design
    opened: Day | None = None  # when the drink was opened
    earlier: Annotated[int, Field(strict=True, ge=0, le=100000)] | None = None  # under pressure before this file began
    retired: Name | None = None  # why nobody pumps it again
    retired_on: Day | None = None  # since when
    notes: Notes | None = None  # anything
    test: list[VesselTest] = []  # pressure tests
    pressurised: list[Pressurised] = []  # every other time under pressure, vented ones too
    hard_landing: list[Happened] = []  # came down hard
    heat: list[Heated] = []  # was left warm
    work: list[WorkDone] = []  # what was done to the wall
    inspection: list[Inspection] = []  # looks over the whole bottle
    differs: list[Differs] = []  # what merged copies say otherwise


class Prediction(Section):
    """What was foretold before the launch; one flight in ten lies below a band, one above it."""

    made: Moment  # when: before the launch
    height: Far | None = None  # of the apogee
    height_low: Far | None = None  # lower end of its band
    height_high: Far | None = None  # upper end of its band
    time_up: Lasts | None = None  # from launch to apogee
    time_up_low: Lasts | None = None  # lower end of its band
    time_up_high: Lasts | None = None  # upper end of its band
    time: Lasts | None = None  # from launch to touchdown
    time_low: Lasts | None = None  # lower end of its band
    time_high: Lasts | None = None  # upper end of its band
    away: Far | None = None  # landing from the launcher
    away_low: Far | None = None  # lower end of its band
    away_high: Far | None = None  # upper end of its band
    bearing: Annotated[Quantity, OfBearing()] | None = None  # of the landing
    allowed: Pressure | None = None  # highest reading of the gauge that the verdict allowed
    allowed_because: Notes | None = None  # what that rested on
    water: Annotated[Quantity, Of(D.VOLUME, "0 mL", "60 L")] | None = None  # that it was foretold with
    pressure: Pressure | None = None  # that it was foretold with, on the gauge
    wind: Speed | None = None  # that it was foretold with
    wind_height: Far | None = None  # above the ground, of that wind
    wind_exponent: Annotated[Quantity, Of(D.NUMBER, 0.0, 1.0)] | None = None  # by which wind was taken to grow


class Conditions(Section):
    """Wind, air and sky at the launch."""

    wind: Speed | None = None  # mean
    gust: Speed | None = None  # strongest
    wind_height: Annotated[Quantity, Of(D.LENGTH, "0.5 m", "300 m")] | None = None  # above the ground, of that wind
    wind_from: Annotated[Quantity, OfBearing()] | None = None  # where it came from
    temperature: Warmth | None = None  # of the air
    pressure: Annotated[Quantity, Of(D.PRESSURE, "500 hPa", "1100 hPa")] | None = None  # of the air
    sky: Name | None = None  # in a few words


class Loaded(Section):
    """What was really loaded."""

    water: Annotated[Quantity, Of(D.VOLUME, "0 mL", "60 L")] | None = None  # as measured
    pressure: Pressure | None = None  # on the gauge, at the launch
    temperature: Warmth | None = None  # of the water
    allowed: Pressure | None = None  # at most on the gauge, as a launch that nothing was foretold of was written down


class ByHand(Section):
    """One thing that somebody read in the field."""

    entry: EntryId | None = None  # name of this entry, the same in every copy
    at: Moment | None = None  # when it was written down
    by: Name | None = None  # initials or a number


class Watch(ByHand):
    """One stopwatch, started at the launch; the mean of all counts."""

    of: Literal["time up", "time"]  # until the highest point, or until it touched the ground
    took: Lasts  # what it showed


class Sighting(ByHand):
    """The highest point as one station saw it; height by all stations together."""

    away: Annotated[Quantity, Of(D.LENGTH, "1 m", "2 km")]  # the station from the launcher, along level ground
    side: Annotated[Quantity, OfBearing()] | None = None  # where the station stands, seen from the launcher
    ground: Annotated[Quantity, Of(D.LENGTH, "-200 m", "200 m")] | None = None  # of the station above the launcher's
    eye: Annotated[Quantity, Of(D.LENGTH, "0 m", "10 m")] | None = None  # above the station's ground
    elevation: Annotated[Quantity, Of(D.ANGLE, "0.1 deg", "89.5 deg")]  # of the rocket above the level
    towards: Annotated[Quantity, OfBearing()] | None = None  # bearing of the rocket, where somebody read one


class Top(Section):
    """What somebody saw of where the highest point lay, over the ground."""

    away: Far  # from the launcher; "0 m ± 3 m" is straight above it
    towards: Annotated[Quantity, OfBearing()] | None = None  # seen from the launcher


class WindReading(ByHand):
    """The wind, as one person came by it."""

    how: Literal["gauge", "words", "strip", "grass"]  # instrument, Beaufort's words, strip of cloth, drift of grass
    speed: Speed  # mean, with its ±
    height: Far  # above the ground, for which it holds
    gust: Speed | None = None  # strongest
    wind_from: Annotated[Quantity, OfBearing()] | None = None  # where it came from
    read: Notes | None = None  # what was seen or counted


class Corrected(ByHand):
    """A single value that somebody put right; what stood there before stays here."""

    key: Name  # of which key, such as "loaded.water"
    was: Notes  # as JSON
    now: Notes | None = None  # as JSON; left out where it was taken out


Measured = Literal["height", "time up", "time", "away", "bearing", "mass", "speed", "water out", "canopy", "sinking",
                   "true pressure"]


class Measurement(Section):
    """One thing that was measured of the flight, with its ±."""

    entry: EntryId | None = None  # name of this entry, the same in every copy
    at: Moment | None = None  # when it was written down
    what: Measured  # of the flight
    value: Name  # such as "48 m ± 2 m"
    how: Notes  # such as "two stations" or "mean of three stopwatches"
    count: Annotated[int, Field(strict=True, ge=1, le=99)] | None = None  # how many stopwatches or stations
    by: Name | None = None  # initials or a number


class RawFile(ByHand):
    """A logger's file that was kept."""

    name: Name  # as the logger called it
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]  # of its bytes
    said: list[Name] = []  # what somebody said of its columns and events, such as "apogee=2.6 s"


class FlightFile(Section):
    """One launch: the design as flown, what was foretold, what was loaded, measured and seen."""

    schema_: Annotated[Literal[1], Field(alias="schema")] = 1  # of this format
    entry: EntryId  # name of this launch, the same in every copy
    day: Day  # of the launch
    number: Annotated[int, Field(strict=True, ge=1, le=9999)]  # of the day
    rocket: Annotated[Name, Field(max_length=120)]  # what it is called
    at: Moment | None = None  # when it left
    vessel: VesselId | None = None  # what is written on its bottle
    pressurised: EntryId | None = None  # the entry of the vessel's file
    team: Name | None = None  # initials or a number
    target: Annotated[Quantity, Of(D.LENGTH, "1 m", "2 km")] | None = None  # height that was said before it
    crew: dict[Name, Name] = {}  # who did what: initials or a number
    digest: Name | None = None  # of the design
    design: Notes | None = None  # the design as flown, whole
    prediction: Prediction | None = None  # made before it
    conditions: Conditions | None = None  # of the air
    loaded: Loaded | None = None  # what was really loaded
    seen: Notes | None = None  # what was seen
    landing: Literal["soft", "hard", "tree", "roof", "water", "road", "power line", "lost"] | None = None  # how, where
    damage: Notes | None = None  # what broke; "none" where nothing did
    egg: Literal["whole", "broken"] | None = None  # where one flew along
    counts: StrictBool = True  # in the contest
    photos: list[Name] = []  # names of photographs and films
    top: Top | None = None  # where its highest point lay
    measured: list[Measurement] = []  # each with its ±
    watch: list[Watch] = []  # stopwatches
    sight: list[Sighting] = []  # stations that read an angle
    wind: list[WindReading] = []  # readings of the wind
    corrected: list[Corrected] = []  # single values that were put right
    withdrawn: list[Name] = []  # entries of the lists above, and photos, that were wrong and don't count
    raw: list[RawFile] = []  # files of loggers
    differs: list[Differs] = []  # what merged copies say otherwise


class Team(ByHand):
    """A team of a contest; the last entry of a name counts."""

    team: Name  # initials, a number or a name
    members: list[Name] = []  # initials or numbers
    rocket: Name | None = None  # what it flies
    flies: StrictBool = True  # false: takes part no more


class ContestFile(Section):
    """One contest: its teams in their order, its rounds, the rule that it is scored by."""

    schema_: Annotated[Literal[1], Field(alias="schema")] = 1  # of this format
    day: Day  # of the contest; the name of the file
    rule: Name | None = None  # by which it is scored
    rules: Name | None = None  # the school's own rule file, beside the designs
    rounds: Annotated[int, Field(strict=True, ge=1, le=20)] | None = None  # launches that each team has
    team: list[Team] = []  # teams
    differs: list[Differs] = []  # what merged copies say otherwise
