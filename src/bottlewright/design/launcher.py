"""What stays on the ground: launcher, charge, test stand."""

from typing import Annotated, Any, Literal

from pydantic import model_validator

from bottlewright.design.fields import Day, Of, OfBearing, Section
from bottlewright.design.launcher_parts import (
    Clamp,
    Cord,
    Coupling,
    Crew,
    Frame,
    Gauge,
    Hose,
    Pump,
    Release,
    Stakes,
    Valve,
)
from bottlewright.design.phrases import share_text
from bottlewright.quantities import Dimension, Quantity

__all__ = ["Charge", "Launcher", "Stand"]

D = Dimension
Size = Annotated[Quantity, Of(D.LENGTH, "0 mm", "10 m")]


class Launcher(Section):
    """The launcher: how the rocket is guided, sealed, held and let go."""

    guide_length: Size | None = None  # how far rod, rail or cradle leads the rocket
    tilt: Annotated[Quantity, Of(D.ANGLE, "0 deg", "89 deg")] | None = None  # from the vertical
    leans_towards: Annotated[Quantity, OfBearing()] | None = None  # clockwise from north
    tube_diameter: Annotated[Quantity, Of(D.LENGTH, "0 mm", "150 mm")] | None = None  # outer, of a launch tube
    tube_length: Size | None = None  # how far the launch tube reaches into the vessel
    tube_bore: Annotated[Quantity, Of(D.LENGTH, "0 mm", "150 mm")] | None = None  # inner, of the tube; 0 mm for a rod
    seal: Literal["spigot", "socket"] | None = None  # reaches into the neck, or takes the nozzle in
    seal_diameter: Annotated[Quantity, Of(D.LENGTH, "1 mm", "150 mm")] | None = None  # what the pressure pushes on
    stroke: Size | None = None  # way that the rocket slides before its seal lets the water out
    supply: Literal["none", "hose", "infinite"] | None = None  # what feeds the bottle during the stroke
    hose_volume: Annotated[Quantity, Of(D.VOLUME, "0 mL", "100 L")] | None = None  # air in hose and pump line
    restriction: Annotated[Quantity, Of(D.LENGTH, "0 mm", "150 mm")] | None = None  # narrowest passage from the hose
    flow_coefficient: Annotated[Quantity, Of(D.NUMBER, 0.1, 1.0)] | None = None  # discharge of passage and gap
    release: Release | None = None
    cord: Cord | None = None
    hose: Hose | None = None
    valve: Valve | None = None
    clamp: Clamp | None = None
    coupling: Coupling | None = None
    gauge: Gauge | None = None
    frame: Frame | None = None
    stakes: Stakes | None = None
    pump: Pump | None = None
    crew: Crew | None = None


class Charge(Section):
    """What is put in: water as a volume, air to a gauge pressure."""

    water: Annotated[Quantity, Of(D.VOLUME, "0 mL", "60 L")] | None = None  # as a volume or a share of the vessel
    water_share: Annotated[Quantity, Of(D.NUMBER, "0 %", "100 %")] | None = None  # of the vessel, instead of water
    pressure: Annotated[Quantity, Of(D.PRESSURE, "0 bar", "25 bar")] | None = None  # gauge
    temperature: Annotated[Quantity, Of(D.TEMPERATURE, "-20 °C", "70 °C")] | None = None  # of water and air at launch
    wait: Annotated[Quantity, Of(D.TIME, "0 s", "1 day")] | None = None  # under pressure before the launch
    day: Day | None = None  # of the launch, on which age and tests are judged; today when left out
    air: Literal["soaked", "pumped"] = "soaked"  # as warm as its surroundings, or still warm from the pump

    @model_validator(mode="before")
    @classmethod
    def _water_as_share(cls, data: Any) -> Any:
        """Take ``water = "a third"`` for a share of the vessel."""
        water = data.get("water") if isinstance(data, dict) else None
        share = share_text(water) if isinstance(water, str) and "water_share" not in data else None
        return {key: value for key, value in data.items() if key != "water"} | {"water_share": share} if share else data


class Stand(Section):
    """A thrust stand for `fire`."""

    tilt: Annotated[Quantity, Of(D.ANGLE, "0 deg", "90 deg")] | None = None  # 0 nozzle down, 90 level, never up
    opening_time: Annotated[Quantity, Of(D.TIME, "0 s", "1 s")] | None = None  # of plug or valve; 0 s: free at once
