"""Values of a design written for a reader: the builder's own text, or a number in the unit that a workshop uses."""

import re

from bottlewright.design.document import Design
from bottlewright.design.fields import quantity_bounds
from bottlewright.design.paths import value_at
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.quantities import Dimension, Quantity, show, show_difference, states_spread, written_unit

__all__ = ["format_value", "usual_unit"]

_UNITS = {
    Dimension.LENGTH: "mm",
    Dimension.AREA: "cm2",
    Dimension.VOLUME: "mL",
    Dimension.MASS: "g",
    Dimension.TIME: "s",
    Dimension.PRESSURE: "bar",
    Dimension.TEMPERATURE: "°C",
    Dimension.SPEED: "m/s",
    Dimension.ANGLE: "°",
    Dimension.FORCE: "N",
    Dimension.DENSITY: "kg/m3",
    Dimension.AREAL_DENSITY: "g/m2",
    Dimension.STIFFNESS: "N/m",
    Dimension.HEAT_TRANSFER: "W/m2/K",
    Dimension.RATE: "1/min",
}


def usual_unit(dimension: Dimension, value: float, spread: float = 0.0) -> str:
    """Return the unit in which a workshop says an SI value of a dimension, empty for plain numbers."""
    unit = _UNITS.get(dimension, "")
    return "m" if unit == "mm" and max(abs(value), spread) >= 10.0 else unit


def format_value(
    design: Design, path: str, quantity: Quantity, spread: bool = True, habit: UnitHabit | None = None
) -> str:
    """Return a quantity of the design as text: as the builder wrote it, else in his own unit of its dimension.

    Parameters
    ----------
    design, path
        Where the quantity stands, such as ``charge.pressure``.
    quantity
        The value to write.
    spread
        With its ±.
    habit
        The builder's units, where they are known already.
    """
    if quantity.text:
        if not spread:
            return re.split(r"\s*(?:±|\+/?-)", quantity.text)[0]
        return quantity.text if states_spread(quantity.text) or not quantity.spread > 0.0 else _assumed(quantity)
    head, _, name = path.rpartition(".")
    owner = value_at(design, head) if head else design
    field = getattr(type(owner), "model_fields", {}).get(name)
    bounds = quantity_bounds(field) if field else None
    # Only the points of outlines have no field of their own.
    metric = usual_unit(bounds.dimension if bounds else Dimension.LENGTH, quantity.value, quantity.spread)
    plain, own = (show(quantity.value, unit, 4, quantity.spread if spread else 0.0)
                  for unit in (metric, (habit or unit_habit(design)).unit(metric)))  # fmt: skip
    return plain if own == plain else f"{own} ({plain})"


def _assumed(quantity: Quantity) -> str:
    """Return a text without ± together with the ± that was assumed."""
    return f"{quantity.text} (± {show_difference(quantity.spread, written_unit(quantity.text))} assumed)"
