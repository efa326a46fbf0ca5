"""The field types of the design file: quantities with a dimension and bounds, as pydantic reads and writes them."""

import math
import re
from datetime import date, datetime
from typing import Annotated, Any, get_args, get_origin

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError, core_schema

from bottlewright.design.phrases import bearing_text
from bottlewright.design.text_files import bad_character
from bottlewright.quantities import UNITS, Basis, Dimension, Quantity, QuantityError, as_written, parse_quantity
from bottlewright.system import kept_for_a_device

__all__ = [
    "UNREAD", "UNREAD_WORD", "Day", "Name", "Notes", "Of", "OfBearing", "Section", "VesselId", "of_letters",
    "quantity_bounds", "read_day",
]  # fmt: skip

UNREAD = Quantity(math.nan, 0.0, Basis.ASSUMED, "could not be read")
"""Stands for a value that could not be read, while the rest of a wrong design is judged.

What is worked out from it is not a number either, and a comparison with that is never true: so no contradiction is
told that rests on a broken value. It never leaves the reading of a design file.
"""

UNREAD_WORD = ""
"""Stands for a word that could not be read."""


class Section(BaseModel):
    """A table of the design file: unknown keys are refused, values are replaced and never changed in place."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, hide_input_in_errors=True)


class Of:
    """Annotation that turns text into a `Quantity` of one dimension, between bounds written as text with units.

    ``Annotated[Quantity, Of(Dimension.LENGTH, "1 mm", "2 m")]``; both bounds are allowed values.
    """

    def __init__(self, dimension: Dimension, low: str | float, high: str | float) -> None:
        self.dimension = dimension
        self.low = parse_quantity(low, dimension)
        self.high = parse_quantity(high, dimension)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        """Validate by `read`; serialise as the builder's own text."""
        return core_schema.no_info_plain_validator_function(
            self.read, serialization=core_schema.plain_serializer_function_ser_schema(lambda quantity: quantity.text)
        )

    def read(self, value: Any) -> Quantity:
        """Return the quantity, or raise pydantic's error with the builder's message."""
        if isinstance(value, Quantity) and math.isnan(value.value):
            return value  # `UNREAD`: no file can hold one
        try:
            quantity = value if isinstance(value, Quantity) else parse_quantity(value, self.dimension)
        except QuantityError as error:
            raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None
        if not self.low.value <= quantity.value <= self.high.value:
            written = value if isinstance(value, str) else quantity.text or repr(quantity.value)
            why = f"is {written}, and has to be from {self.low.text} to {self.high.text}"
            raise PydanticCustomError("bounds", "{why}", {"why": why})
        return quantity

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Describe the value for editors."""
        units = ", ".join(unit for unit in UNITS[self.dimension] if unit)
        described: JsonSchemaValue = {
            "description": f"{self.dimension} from {self.low.text} to {self.high.text}, ± allowed; units: {units}",
            "examples": [self.low.text, self.high.text],
            "type": ["string", "number"] if self.dimension is Dimension.NUMBER else "string",
        }
        return described


class OfBearing(Of):
    """An angle clockwise from north, which may be written as a point of the compass: ``"NE"``, ``"south-west"``."""

    def __init__(self) -> None:
        super().__init__(Dimension.ANGLE, "-360 deg", "360 deg")

    def read(self, value: Any) -> Quantity:
        """Return the quantity, or raise pydantic's error with the builder's message."""
        try:
            return super().read(bearing_text(value) if isinstance(value, str) else value)
        except QuantityError as error:
            raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None


def _clean(lines: bool) -> AfterValidator:
    def check(text: str) -> str:
        bad = bad_character(text, lines)
        if bad:
            why = f"holds {bad}: {as_written(text)}; write it without"
            raise PydanticCustomError("name", "{why}", {"why": why})
        return text

    return AfterValidator(check)


Name = Annotated[str, _clean(lines=False)]
"""One line of text: a line break or a control character in a name spoils every file and sheet that it is written to."""

Notes = Annotated[str, _clean(lines=True)]
"""Text of one line or several."""


def read_day(value: Any) -> date:
    """Return a date of the file, written with quotes or without, or raise pydantic's error with what would be right."""
    try:
        if isinstance(value, date) and not isinstance(value, datetime):
            return value
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        why = f'is {as_written(value)}; write a day as "2027-03-06"'
        raise PydanticCustomError("quantity", "{why}", {"why": why}) from None


Day = Annotated[str, BeforeValidator(lambda day: read_day(day).isoformat())]
"""A date as text, such as "2027-03-06"."""


def of_letters(value: Any, most: int, more: str = "") -> str:
    """Return a name of plain letters, or raise pydantic's error with what would be right."""
    if isinstance(value, str) and re.fullmatch(rf"[A-Za-z0-9][A-Za-z0-9_{more}-]{{0,{most - 1}}}", value):
        return value
    why = f"is {as_written(value)}; it may have letters a to z, digits, - and _, {most} at the most"
    raise PydanticCustomError("quantity", "{why}", {"why": why})


def _vessel_id(value: Any) -> str:
    name = of_letters(value, 32)
    if kept_for_a_device(name):
        why = f"is {name!r}, and Windows takes no file of that name: write another one on the bottle, such as B01"
        raise PydanticCustomError("quantity", "{why}", {"why": why})
    return name


VesselId = Annotated[str, BeforeValidator(_vessel_id)]
"""What is written on a bottle: letters, digits, - and _, so that it is a file's name everywhere."""


def quantity_bounds(field: Any) -> Of | None:
    """Return the `Of` of a pydantic field that holds one quantity, or None when it holds something else."""
    marks = list(getattr(field, "metadata", ()))
    for part in get_args(getattr(field, "annotation", None)):
        if get_origin(part) is Annotated:
            marks += get_args(part)[1:]
    return next((mark for mark in marks if isinstance(mark, Of)), None)
