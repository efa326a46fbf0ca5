"""Which models the engine uses, for those who want to ask it something unusual."""

from typing import Annotated, Literal

from pydantic import Field, StrictBool

from bottlewright.design.fields import Of, Section
from bottlewright.quantities import Dimension, Quantity

__all__ = ["Model"]

D = Dimension


class Model(Section):
    """Choices of model; the defaults are the best we know."""

    gas: Literal["moist", "dry"] | Annotated[float, Field(strict=True, ge=1.0, le=1.7)] = "moist"  # or an exponent
    jet: Literal["unsteady", "quasi-steady"] = "unsteady"  # with or without the inertia of the water
    gas_vessel: Literal["adiabatic", "isothermal"] = "adiabatic"  # when only gas is left
    breakthrough: Annotated[Quantity, Of(D.NUMBER, 0.0, 0.9)] | None = None  # share of water then left
    slip: Annotated[Quantity, Of(D.NUMBER, 1.0, 20.0)] | None = None  # speed of gas over speed of water in the spray
    spray_coefficient: Annotated[Quantity, Of(D.NUMBER, 0.1, 1.0)] | None = None  # discharge coefficient of the spray
    heat_transfer: Annotated[Quantity, Of(D.HEAT_TRANSFER, "0 W/m2/K", "5000 W/m2/K")] | None = None  # from wall to gas
    drag_coefficient: Annotated[Quantity, Of(D.NUMBER, 0.0, 3.0)] | None = None  # on the largest cross-section
    drag_factor: Annotated[Quantity, Of(D.NUMBER, 0.1, 10.0)] | None = None  # on the built-up drag
    tail_efficiency: Annotated[Quantity, Of(D.NUMBER, 0.0, 1.0)] | None = None  # lift kept where the body narrows
    roughness: Annotated[Quantity, Of(D.LENGTH, "0 mm", "2 mm")] | None = None  # of the outer surface
    charging_kept: Annotated[Quantity, Of(D.NUMBER, 0.0, 1.0)] | None = None  # part of the heat of pumping still there
    stretch: StrictBool = True  # let the vessel grow under pressure
    tolerance: Annotated[Quantity, Of(D.NUMBER, 1e-13, 1e-2)] | None = None  # relative, of the integrator
    time_limit: Annotated[Quantity, Of(D.TIME, "0.1 s", "1 h")] | None = None  # a longer flight is cut off
