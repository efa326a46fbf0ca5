"""Values of a design by dotted path: read them, replace them, list what they stand on.

A path joins table and key with dots and counts list entries from 0: ``"charge.pressure"``, ``"mass.0.position"``.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.fields import Of, quantity_bounds
from bottlewright.quantities import Basis, Quantity

__all__ = ["bounds_of", "field_names", "leaves", "put_quantity", "stood_on", "uncertain", "value_at", "with_values"]


def _walk(node: Any, path: str, found: list[tuple[str, Quantity]]) -> None:
    named: Iterable[tuple[object, Any]] = ()
    if isinstance(node, BaseModel):
        values = vars(node)
        named = [(name, values[name]) for name in field_names(type(node))]
    elif isinstance(node, list | tuple):
        named = enumerate(node)
    for name, value in named:
        if isinstance(value, Quantity):
            found.append((f"{path}{name}", value))
        elif value is not None:
            _walk(value, f"{path}{name}.", found)


@cache
def field_names(model: type[BaseModel]) -> tuple[str, ...]:
    """Return the names of a table's keys, as its class has them."""
    return tuple(model.model_fields)


def leaves(node: Any, path: str) -> Iterator[tuple[str, Any]]:
    """Yield what stands at and below a place of a design, quantities and words, each with its path."""
    if isinstance(node, BaseModel):
        for name in field_names(type(node)):
            yield from leaves(getattr(node, name), f"{path}.{name}")
    elif isinstance(node, list | tuple):
        for place, entry in enumerate(node):
            yield from leaves(entry, f"{path}.{place}")
    elif node is not None:
        yield path, node


def stood_on(design: Design, tables: Collection[str] | None = None) -> list[tuple[str, Quantity]]:
    """List every quantity of a design with its path; each says whether it was measured, looked up or assumed.

    Parameters
    ----------
    design
        Completed or not.
    tables
        Only these tables of it; all when left out.
    """
    found: list[tuple[str, Quantity]] = []
    for name in field_names(Design):
        if tables is None or name in tables:
            _walk(getattr(design, name), f"{name}.", found)
    return found


def uncertain(design: Design) -> list[str]:
    """List the paths of the values that carry a ±."""
    return [path for path, quantity in stood_on(design) if quantity.spread > 0.0]


def _step(node: Any, name: str, path: str) -> Any:
    try:
        if isinstance(node, list | tuple):
            return node[int(name)]
        if name in type(node).model_fields:
            return getattr(node, name)
    except (ValueError, IndexError, AttributeError):
        pass
    raise DesignError([Problem(path, "is not a value of this design")])


def value_at(design: Design, path: str) -> Any:
    """Return what stands at a path: a `Quantity`, a word, a count, a table or None.

    Raises
    ------
    DesignError
        If the design has no such path.
    """
    node: Any = design
    for name in path.split("."):
        node = _step(node, name, path)
    return node


def bounds_of(path: str, design: Design) -> tuple[float, float]:
    """Return the lowest and highest SI value that the design file allows at the path of a quantity."""
    head, _, name = path.rpartition(".")
    owner = value_at(design, head) if head else design
    mark = _mark(owner, name)
    return (mark.low.value, mark.high.value) if mark else (float("-inf"), float("inf"))


def _mark(owner: Any, name: str) -> Of | None:
    field = type(owner).model_fields.get(name) if isinstance(owner, BaseModel) else None
    return quantity_bounds(field) if field else None


def with_values(design: Design, values: Mapping[str, float | int | str], clip: bool = False) -> Design:
    """Return the design with other values, such as ``{"charge.pressure": 4.5e5, "fins.count": 4}``.

    Parameters
    ----------
    values
        By path; quantities as SI numbers, which keep the ± and the basis of the value they replace.
    clip
        Move a quantity that lies outside what the design file allows to the bound instead of refusing it.

    Raises
    ------
    DesignError
        If a path does not exist or a value is not allowed there.
    """
    problems: list[Problem] = []
    for path, value in values.items():
        try:
            design = _replaced(design, path.split("."), path, value, clip)
        except DesignError as error:
            problems += error.problems
    if problems:
        raise DesignError(problems)
    return design


def _replaced(node: Any, names: list[str], path: str, value: Any, clip: bool) -> Any:
    child = _step(node, names[0], path)
    if len(names) > 1:
        new = _replaced(child, names[1:], path, value, clip)
    else:
        new = _new_value(node, names[0], child, path, value, clip)
    if isinstance(node, list | tuple):
        index = int(names[0])
        return type(node)([*node[:index], new, *node[index + 1 :]])
    return node.model_copy(update={names[0]: new})


def _new_value(owner: Any, name: str, old: Any, path: str, value: Any, clip: bool) -> Any:
    mark = _mark(owner, name)
    if mark is None and not isinstance(old, Quantity):
        try:
            return getattr(type(owner).model_validate({**_plain(owner), name: value}), name)
        except ValidationError as error:
            raise DesignError([Problem(path, f"can't be {value!r}: {error.errors()[0]['msg']}")]) from None
    number = float(value)
    if mark is not None:
        inside = min(max(number, mark.low.value), mark.high.value)
        if clip:
            number = inside
        elif number != inside:
            why = f"can't be {number:g} (SI); it has to be from {mark.low.text} to {mark.high.text}"
            raise DesignError([Problem(path, why)])
    return old.at(number) if isinstance(old, Quantity) else Quantity(number, 0.0, Basis.ASSUMED, "set for this run")


def put_quantity(node: Any, names: list[str], quantity: Quantity) -> Any:
    """Return a design, or a part of one, with another quantity at a path that it has, as it is and unchecked."""
    if not names:
        return quantity
    if isinstance(node, list | tuple):
        index = int(names[0])
        return type(node)([*node[:index], put_quantity(node[index], names[1:], quantity), *node[index + 1 :]])
    return node.model_copy(update={names[0]: put_quantity(getattr(node, names[0]), names[1:], quantity)})


def _plain(owner: BaseModel) -> dict[str, Any]:
    fields = type(owner).model_fields
    return {fields[name].alias or name: getattr(owner, name) for name in fields}
