"""The whole design as one typed value."""

from typing import Annotated, Literal

from pydantic import Field

from bottlewright.design.environment import Site, Weather
from bottlewright.design.field_tables import Failures, Scatter, Tune
from bottlewright.design.fields import Section
from bottlewright.design.launcher import Charge, Launcher, Stand
from bottlewright.design.model_options import Model
from bottlewright.design.rocket import Fins, Mass, Measured, Nose, Nozzle, Recovery, Sleeve, Vessel
from bottlewright.design.workshop import Prices, Stock, Workshop

__all__ = ["Design"]


class Design(Section):
    """One design file. `fins`, `sleeve` and `stand` may be missing; the other tables are filled in by `complete`."""

    schema_: Annotated[Literal[1], Field(alias="schema")] = 1  # of this format
    name: Annotated[str, Field(max_length=120)] = "Unnamed"  # of the rocket
    notes: str | None = None  # anything
    vessel: Vessel = Vessel()
    nozzle: Nozzle = Nozzle()
    nose: Nose | None = None
    fins: Fins | None = None
    sleeve: Sleeve | None = None
    mass: Annotated[list[Mass], Field(max_length=100)] = []  # what else weighs, one block each
    recovery: Recovery = Recovery()
    measured: Measured = Measured()
    launcher: Launcher = Launcher()
    charge: Charge = Charge()
    site: Site = Site()
    weather: Weather = Weather()
    failures: Failures = Failures()
    scatter: Scatter = Scatter()
    tune: Tune = Tune()
    stand: Stand | None = None
    workshop: Workshop = Workshop()
    prices: Prices = Prices()
    stock: Stock = Stock()
    model: Model = Model()
