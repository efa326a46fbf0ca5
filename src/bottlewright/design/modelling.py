"""Which models the engine uses, for those who want to ask it something unusual."""

from typing import Annotated, Literal

from pydantic import Field

from bottlewright.design.fields import Of, Section
from bottlewright.quantities import Dimension, Quantity

__all__ = ["Model"]

D = Dimension


class Model(Section):
    """Choices of model; the defaults are the best we know."""

    gas: Literal["moist", "dry"] | Annotated[float, Field(ge=1.0, le=1.7)] = "moist"
    jet: Literal["unsteady", "quasi-steady"] = "unsteady"
    gas_vessel: Literal["adiabatic", "isothermal"] = "adiabatic"
    breakthrough: Annotated[Quantity, Of(D.NUMBER, 0.0, 0.9)] | None = None
    slip: Annotated[Quantity, Of(D.NUMBER, 1.0, 20.0)] | None = None
    spray_coefficient: Annotated[Quantity, Of(D.NUMBER, 0.1, 1.0)] | None = None
    heat_transfer: Annotated[Quantity, Of(D.HEAT_TRANSFER, "0 W/m2/K", "5000 W/m2/K")] | None = None
    drag_coefficient: Annotated[Quantity, Of(D.NUMBER, 0.0, 3.0)] | None = None
    drag_factor: Annotated[Quantity, Of(D.NUMBER, 0.1, 10.0)] | None = None  # on the built-up drag
    tail_efficiency: Annotated[Quantity, Of(D.NUMBER, 0.0, 1.0)] | None = None
    roughness: Annotated[Quantity, Of(D.LENGTH, "0 mm", "2 mm")] | None = None
    charging_kept: Annotated[Quantity, Of(D.NUMBER, 0.0, 1.0)] | None = None  # part of the heat of pumping still there
    stretch: bool = True
    tolerance: Annotated[Quantity, Of(D.NUMBER, 1e-13, 1e-2)] | None = None
    time_limit: Annotated[Quantity, Of(D.TIME, "0.1 s", "1 h")] | None = None
