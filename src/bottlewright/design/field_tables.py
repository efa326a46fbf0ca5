"""The design tables behind `scatter` and `tune`: the field's outline, the hours of wind, the odds, the aims."""

from typing import Annotated, Any, Literal

from pydantic import Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError, core_schema

from bottlewright.design.fields import Name, Of, OfBearing, Section
from bottlewright.design.wishes import OfWish, Wish
from bottlewright.quantities import UNITS, Dimension, Quantity

__all__ = [
    "FEWEST_FLIGHTS", "MOST_FLIGHTS", "Failures", "Hour", "KeepOut", "KeepOutKind", "Rectangle", "RuleGroup", "Scatter",
    "Spot", "Tune", "TuneVariable",
]  # fmt: skip

D = Dimension
Distance = Annotated[Quantity, Of(D.LENGTH, "1 m", "20 km")]
Speed = Annotated[Quantity, Of(D.SPEED, "0 m/s", "40 m/s")]
Bearing = Annotated[Quantity, OfBearing()]  # clockwise from north
Odds = Annotated[Quantity, Of(D.NUMBER, "0 %", "100 %")]

Volume = Annotated[Quantity, Of(D.VOLUME, "0 mL", "60 L")]
Pressure = Annotated[Quantity, Of(D.PRESSURE, "0.1 bar", "25 bar")]
Bore = Annotated[Quantity, Of(D.LENGTH, "1 mm", "150 mm")]
Ballast = Annotated[Quantity, Of(D.MASS, "0 g", "5 kg")]
Span = Annotated[Quantity, Of(D.LENGTH, "5 mm", "1 m")]
FEWEST_FLIGHTS, MOST_FLIGHTS = 20, 1_000_000
"""How many flights a scatter may sample, in the file and on the command line alike."""

KeepOutKind = Literal["spectators", "road", "building", "power line", "trees", "water", "animals", "other"]
RuleGroup = Literal["science contest", "distance contest", "section 1036"]
TuneVariable = Literal["water", "pressure", "bore", "ballast", "fin span"]


class _OfSpot:
    """Annotation that reads two texts: metres east and north, or degrees of longitude and latitude, in this order."""

    metres = (Of(D.LENGTH, "-20 km", "20 km"),) * 2
    degrees = (Of(D.ANGLE, "-180 deg", "180 deg"), Of(D.ANGLE, "-90 deg", "90 deg"))

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        write = core_schema.plain_serializer_function_ser_schema(lambda spot: [quantity.text for quantity in spot])
        return core_schema.no_info_plain_validator_function(self.read, serialization=write)

    def read(self, value: Any) -> tuple[Quantity, Quantity]:
        """Return the two quantities, both lengths or both angles."""
        if not isinstance(value, list | tuple) or len(value) != 2:
            why = 'has to be two values, such as ["20 m", "35 m"] (east, north) or ["-30.001 deg", "52.002 deg"]'
            raise PydanticCustomError("spot", "{why}", {"why": f"{why} (longitude, latitude)"})
        in_degrees = any(_is_angle(part) for part in value)
        first, second = self.degrees if in_degrees else self.metres
        return first.read(value[0]), second.read(value[1])

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {
            "description": "metres east and north, or degrees of longitude and latitude, in this order",
            "examples": [["20 m", "35 m"], ["-30.001 deg", "52.002 deg"]],
            "type": "array",
            "items": {"type": "string"},
            "minItems": 2,
            "maxItems": 2,
        }


def _is_angle(part: Any) -> bool:
    return isinstance(part, str) and any(part.strip().endswith(unit) for unit in UNITS[D.ANGLE])


Spot = Annotated[tuple[Quantity, Quantity], _OfSpot()]


class Rectangle(Section):
    """A plain field: its length along a bearing, its width across. Positions are metres from its middle."""

    length: Distance  # along the bearing
    width: Distance  # across it
    bearing: Bearing | None = None  # of the long side; north when left out


class KeepOut(Section):
    """A place where the rocket must not come down: an outline, or a line with a width, or a spot with a width."""

    name: Name  # what it is called
    kind: KeepOutKind = "other"  # which sets its usual width and the chance that is accepted
    outline: list[Spot] | None = None  # its corners, in order
    line: list[Spot] | None = None  # or its middle line, such as a road's
    spot: Spot | None = None  # or its middle
    width: Annotated[Quantity, Of(D.LENGTH, "0.1 m", "2 km")] | None = None  # of the line, or across the spot
    allowed: Odds | None = None  # chance of coming down there that you accept


class Hour(Section):
    """The wind at one hour of the day, from a forecast or a measurement at `weather.wind_height`."""

    at: Name  # such as "14:00"
    wind_speed: Speed  # mean over some minutes
    wind_from: Bearing  # clockwise from north
    gust: Speed | None = None  # the strongest, not the addition


class Failures(Section):
    """Chance, a flight, that a thing goes wrong."""

    not_opening: Odds | None = None  # the parachute or streamer stays in
    early_opening: Odds | None = None  # it comes out on the way up
    fin_lost: Odds | None = None  # one fin is gone from the start


class Scatter(Section):
    """How many flights `scatter` makes and which chance you accept."""

    flights: Annotated[int, Field(strict=True, ge=FEWEST_FLIGHTS, le=MOST_FLIGHTS)] = 4000  # how many are sampled
    seed: Annotated[int, Field(strict=True, ge=0, le=2**62)] = 1  # the same seed, the same flights
    leaving: Odds | None = None  # accepted chance of leaving the field
    launches: Annotated[int, Field(strict=True, ge=1, le=1000)] = 10  # on one day; they share what is accepted
    striking: Annotated[Quantity, Of(D.NUMBER, "1e-6 %", "0.01 %")] | None = None  # accepted chance of a strike a day


class Tune(Section):
    """What `tune` aims at, what it may change and the limits you add to those that always hold."""

    want: list[Annotated[Wish, OfWish()]] = []  # in words, such as "at least 6 s in the air"; goes before the aim
    aim: Literal["height", "hang time", "least pressure", "nearest height"] = "height"  # what is best
    height: Annotated[Quantity, Of(D.LENGTH, "1 m", "2 km")] | None = None  # wanted, for the last two aims
    most_pressure: Annotated[Quantity, Of(D.PRESSURE, "0.1 bar", "25 bar")] | None = None  # gauge
    most_g: Annotated[Quantity, Of(D.NUMBER, 1.0, 2000.0)] | None = None  # payload acceleration over gravity's
    reach: Annotated[Quantity, Of(D.NUMBER, "50 %", "99 %")] | None = None  # share of flights that do at least as well
    vary: list[TuneVariable] = ["water", "pressure"]  # what it may change
    water: tuple[Volume, Volume] | None = None  # lowest and highest
    pressure: tuple[Pressure, Pressure] | None = None  # gauge, lowest and highest
    bore: tuple[Bore, Bore] | None = None  # of the nozzle, lowest and highest
    ballast: tuple[Ballast, Ballast] | None = None  # added at the nose
    fin_span: tuple[Span, Span] | None = None  # lowest and highest
    flights: Annotated[int, Field(strict=True, ge=8, le=5000)] = 48  # behind each trial
    seed: Annotated[int, Field(strict=True, ge=0, le=2**62)] = 1  # the same seed, the same search
