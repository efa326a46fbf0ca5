"""Where and in what air: site and weather."""

from typing import Annotated, Literal

from pydantic import Field, StrictBool

from bottlewright.design.field_tables import Hour, KeepOut, Rectangle, RuleGroup, Spot
from bottlewright.design.fields import Name, Of, OfBearing, Section
from bottlewright.quantities import Dimension, Quantity

__all__ = ["Site", "Weather"]

D = Dimension
Speed = Annotated[Quantity, Of(D.SPEED, "0 m/s", "40 m/s")]
Terrain = Literal["water", "grass", "crops", "hedges", "parkland", "suburb"]


class Site(Section):
    """The field."""

    name: Name | None = None  # of the field
    latitude: Annotated[Quantity, Of(D.ANGLE, "-90 deg", "90 deg")] | None = None  # north positive
    height: Annotated[Quantity, Of(D.LENGTH, "-500 m", "6 km")] | None = None  # above the sea
    longitude: Annotated[Quantity, Of(D.ANGLE, "-180 deg", "180 deg")] | None = None  # east positive
    map: Name | None = None  # a GeoJSON file with the boundary, the launch point and the keep-outs
    rectangle: Rectangle | None = None  # a plain field instead of a map
    boundary: list[Spot] | None = None  # or its corners, in order
    launch_point: Spot | None = None  # where the launcher stands; the middle of the field when left out
    keep_out: list[KeepOut] = []
    pressure_limit: Annotated[Quantity, Of(D.PRESSURE, "0 bar", "25 bar")] | None = None  # gauge, the most allowed here
    rules: list[RuleGroup] = []  # of a contest or of another field of work that bind here, besides those that always do


class Weather(Section):
    """Measured or forecast air at the site."""

    temperature: Annotated[Quantity, Of(D.TEMPERATURE, "-40 °C", "55 °C")] | None = None  # of the air
    pressure: Annotated[Quantity, Of(D.PRESSURE, "400 hPa", "1100 hPa")] | None = None  # at the site, not reduced
    humidity: Annotated[Quantity, Of(D.NUMBER, "0 %", "100 %")] | None = None  # relative
    wind_speed: Speed | None = None  # mean over some minutes
    wind_from: Annotated[Quantity, OfBearing()] | None = None  # clockwise from north
    gust: Speed | None = None  # the strongest, at the same height
    wind_height: Annotated[Quantity, Of(D.LENGTH, "0.5 m", "300 m")] | None = None  # where it was measured or forecast
    exponent: Annotated[Quantity, Of(D.NUMBER, 0.0, 1.0)] | None = None  # of the power law
    roughness_length: Annotated[Quantity, Of(D.LENGTH, "0.01 mm", "5 m")] | None = None  # of the log law
    profile: Literal["power", "log", "linear"] = "power"  # how the wind grows with height
    shear: Annotated[Quantity, Of(D.RATE, "-1 1/s", "1 1/s")] | None = None  # growth of a linear profile, a second
    terrain: Terrain = "grass"  # the ground upwind
    turbulence: StrictBool = False  # gusts as well
    seed: Annotated[int, Field(strict=True, ge=0, le=2**32 - 1)] = 0  # of the gusts: the same seed, the same gusts
    hours: list[Hour] = []  # the wind hour by hour, to see what stands against each
