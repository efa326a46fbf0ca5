"""A completed design as the text of a design file: every value that a flight stands on, at full precision.

What the builder wrote stays as it was written. What the program filled in is marked "(assumed)" or "(table)", so that
flying the file gives what flying the design gave, to the last digit.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, get_args

import tomlkit
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError
from tomlkit.items import AoT, Table

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.fields import Of
from bottlewright.design.formatting import usual_unit
from bottlewright.design.reading import parse_design
from bottlewright.quantities import UNITS, Basis, Dimension, Quantity, parse_quantity, written_unit

__all__ = ["written_out"]

_MARKS = {Basis.MEASURED: "", Basis.TABLE: " (table)", Basis.ASSUMED: " (assumed)"}
_ABOUT = (
    "Written out with every value that the program filled in; after # stands what each rests on.",
    "Once you have measured one, put your value in its place and take (assumed) or (table) away.",
)


def written_out(design: Design) -> str:
    """Return a completed design as the text of a design file.

    Raises
    ------
    DesignError
        If a value can't be said in a design file, such as one outside the bounds of its key.
    """
    document = tomlkit.document()
    for line in _ABOUT:
        document.add(tomlkit.comment(line))
    document.add(tomlkit.nl())
    _fill(document, design, "")
    text = tomlkit.dumps(document)
    try:
        parse_design(text)
    except DesignError as error:  # its lines are those of a file that nobody has
        raise DesignError([replace(problem, line=0) for problem in error.problems], design.name) from None
    return text


def _fill(table: Any, section: BaseModel, path: str) -> None:
    """Put the values of a section into a TOML table, those with a header of their own last, as TOML wants them."""
    items = []
    for name, field in type(section).model_fields.items():
        value = getattr(section, name)
        said_as_water = f"{path}{name}" == "charge.water_share" and getattr(section, "water", None) is not None
        if value is None or said_as_water:
            continue
        item = _item(value, _of(field), f"{path}{name}")
        if not (_is_empty(item) and value == field.get_default()):
            items.append((field.alias or name, item))
    for name, item in sorted(items, key=lambda named: isinstance(named[1], Table | AoT)):
        table.add(name, item)


def _is_empty(item: Any) -> bool:
    return hasattr(item, "__len__") and len(item) == 0


def _item(value: Any, of: Of | None, path: str) -> Any:
    if isinstance(value, BaseModel):
        table = tomlkit.table()
        _fill(table, value, f"{path}.")
        return table
    if isinstance(value, list) and value and isinstance(value[0], BaseModel):
        blocks = tomlkit.aot()
        for index, entry in enumerate(value):
            blocks.append(_item(entry, None, f"{path}.{index}"))
        return blocks
    item = tomlkit.item(_plain(value, of, path))
    if isinstance(value, Quantity) and not value.text:
        item.comment(" ".join(value.source.splitlines()))
    return item


def _plain(value: Any, of: Of | None, path: str) -> Any:
    """Return a value as TOML has it: quantities as text."""
    if isinstance(value, Quantity):
        return _text(value, of, path)
    if isinstance(value, list | tuple):
        return [_plain(entry, of, f"{path}.{index}") for index, entry in enumerate(value)]
    return value


def _of(field: FieldInfo) -> Of | None:
    """Return the dimension and bounds of the quantity, or of the quantities, that a field holds."""
    marks = [mark for mark in field.metadata if isinstance(mark, Of)]
    return next(iter([*marks, *_nested(field.annotation)]), None)


def _nested(annotation: Any) -> Iterator[Of]:
    for part in get_args(annotation):
        if isinstance(part, Of):
            yield part
        yield from _nested(part)


def _text(quantity: Quantity, of: Of | None, path: str) -> str:
    """Return a quantity as text that reads back to the last bit: the builder's own, or a number and its ±."""
    if of is None:  # a place on the field: only the builder's own text says whether it is in metres or degrees
        if quantity.text:
            return quantity.text
        raise DesignError([Problem(path, "was given as a bare number, and nothing says its unit")])
    usual = (usual_unit(of.dimension, quantity.value, quantity.spread), next(iter(UNITS[of.dimension])))
    own_units = (written_unit(quantity.text), *usual) if quantity.text else usual
    number = next(filter(None, (_number(quantity.value, of.dimension, unit) for unit in usual)))
    spreads = [text for unit in own_units if (text := _number(quantity.spread, of.dimension, unit, "± "))]
    own = [quantity.text, *(f"{quantity.text} {spread}" for spread in spreads)] if quantity.text else []
    whole = f"{number} {_in_unit_of(number, spreads)}{_MARKS[quantity.basis]}"
    return next((text for text in own if _reads_as(text, of, quantity)), whole)


def _in_unit_of(number: str, spreads: list[str]) -> str:
    """Return the ± that stands in the unit of the number, where it can; else the first."""
    return next((text for text in spreads if written_unit(text[1:]) == written_unit(number)), spreads[0])


def _reads_as(text: str, of: Of, quantity: Quantity) -> bool:
    try:
        read = of.read(text)
    except PydanticCustomError:  # a second ±
        return False
    return (read.value, read.spread, read.basis) == (quantity.value, quantity.spread, quantity.basis)


def _number(value: float, dimension: Dimension, unit: str, sign: str = "") -> str:
    """Return an SI value in a unit with as many digits as it takes to read back to the last bit, or no text.

    With a ± before it a value is a difference: of degrees Celsius, not from their zero. In SI units there is a text.
    """
    zero = 0.0 if sign else parse_quantity(f"0 {unit}", dimension).value
    for digits in range(1, 18):
        shown = float(f"{(value - zero) / UNITS[dimension][unit]:.{digits}g}")
        text = f"{sign}{shown!r}".removesuffix(".0") + f" {unit}".rstrip()
        read = parse_quantity(f"0 {unit} {text}" if sign else text, dimension)
        if (read.spread if sign else read.value) == value:
            return text
    return ""
