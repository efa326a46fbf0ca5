"""Every key of the design file as a page: what it means, what it may be, what it is when left out, an example.

Generated from the models, the table of defaults and the sample, and written into docs/design-file.md between two marks
(`python -m bottlewright.design.reference docs/design-file.md`); a test compares.
"""

import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from bottlewright.data_file import data_file
from bottlewright.design import tables
from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.design.field_tables import Spot
from bottlewright.design.fields import Of, OfBearing
from bottlewright.design.paths import stood_on
from bottlewright.design.reading import parse_design
from bottlewright.design.schema import field_comments
from bottlewright.design.wishes import Wish
from bottlewright.quantities import UNITS, Basis, Quantity

__all__ = ["Key", "keys", "reference_page", "sample", "with_reference"]

START, END = "<!-- keys: generated, see design/reference.py -->", "<!-- end of the keys -->"
_NOTHING = "—"


@dataclass(frozen=True, slots=True)
class Key:
    """One key: its table and name, and what the page says of it."""

    table: str
    name: str
    meaning: str
    may_be: str
    left_out: str
    spread: str
    example: str


@cache
def sample() -> dict[str, Any]:
    """Return a design that has every key once, for the examples; a single rocket would not have them all."""
    return data_file("design", "sample")


def keys() -> list[Key]:
    """Return every key of the format, in the order of the models."""
    return [key for _, _, found in _tables(Design, "") for key in found]


def reference_page() -> str:
    """Return the page: one table of keys for each table of the file."""
    parts = [_units()]
    for title, about, found in _tables(Design, ""):
        rows = [f"| `{k.name}` | {k.meaning} | {k.may_be} | {k.left_out} | {k.spread} | `{k.example}` |" for k in found]
        head = "| key | what it is | what it may be | when left out | ± when you write none | such as |"
        parts.append("\n".join([f"### {title}", "", about, "", head, "| --- | --- | --- | --- | --- | --- |", *rows]))
    return "\n\n".join(parts)


def with_reference(page: str) -> str:
    """Return a page with the keys put between its two marks."""
    before, _, rest = page.partition(START)
    return f"{before}{START}\n\n{reference_page()}\n\n{END}{rest.partition(END)[2]}"


def _units() -> str:
    rows = [f"| {kind} | {', '.join(f'`{unit}`' for unit in table if unit)} |" for kind, table in UNITS.items()]
    return "\n".join(["| a value that is | takes the units |", "| --- | --- |", *rows])


def _tables(model: type[BaseModel], path: str) -> Iterator[tuple[str, str, list[Key]]]:
    """Yield title, meaning and keys of a table and then of the tables inside it."""
    inner: list[tuple[type[BaseModel], str]] = []
    found = []
    for name, field in model.model_fields.items():
        where = f"{path}.{name}" if path else name
        table = _section(field.annotation)
        if table is None:
            found.append(_key(model, path, field.alias or name, field))
        else:
            inner.append((table, f"{where}.*" if _is_list(field.annotation) else where))
    shown = path.removesuffix(".*").replace(".*", "")
    title = "At the top of the file" if not path else f"`[[{shown}]]`" if path.endswith("*") else f"`[{shown}]`"
    about = " ".join((model.__doc__ or "").split())
    yield title, "These stand before the first table." if not path else about, found
    for table, where in inner:
        yield from _tables(table, where)


def _key(model: type[BaseModel], path: str, name: str, field: FieldInfo) -> Key:
    where = f"{path}.{name}" if path else name
    usual = tables.usual_spread(where)
    return Key(
        table=path, name=name, meaning=_meaning(model, name),
        may_be=_described(field.annotation, list(field.metadata)), left_out=_left_out(field, where),
        spread=usual.text if usual else _NOTHING, example=_example(where),
    )  # fmt: skip


def _meaning(model: type[BaseModel], name: str) -> str:
    comments = field_comments(model)
    text = comments.get(name) or comments.get(f"{name}_", "")  # a word of Python's is written with a line after it
    return text[:1].upper() + text[1:]


# --- what it may be ------------------------------------------------------------------------------------------------


def _parts(annotation: Any) -> tuple[Any, list[Any]]:
    """Return a type without None and without its marks, and the marks."""
    marks: list[Any] = []
    while True:
        options = [part for part in get_args(annotation) if part is not type(None)]
        if get_origin(annotation) is Annotated:
            annotation, *more = get_args(annotation)
            marks += more
        elif len(options) == 1 and type(None) in get_args(annotation):
            annotation = options[0]
        else:
            return annotation, marks


def _section(annotation: Any) -> type[BaseModel] | None:
    kind, _ = _parts(annotation)
    if get_origin(kind) is list:
        kind, _ = _parts(get_args(kind)[0])
    return kind if isinstance(kind, type) and issubclass(kind, BaseModel) else None


def _is_list(annotation: Any) -> bool:
    return get_origin(_parts(annotation)[0]) is list


def _described(annotation: Any, marks: list[Any]) -> str:
    if annotation in (Spot, Spot | None):
        return "two lengths, east and north, or two angles, longitude and latitude"
    kind, more = _parts(annotation)
    marks = [*marks, *more]
    low, high = _mark(marks, "ge"), _mark(marks, "le")
    of = next((mark for mark in marks if isinstance(mark, Of)), None)
    if of is not None:
        point = ", or a point of the compass" if isinstance(of, OfBearing) else ""
        return f"{of.dimension}, {of.low.text} to {of.high.text}{point}"
    if get_origin(kind) is Literal:
        return ", ".join(f"`{_toml(value)}`" for value in get_args(kind))
    if get_origin(kind) is tuple:
        return f"a pair: {' and '.join(dict.fromkeys(_described(part, []) for part in get_args(kind)))}"
    if get_origin(kind) is list:
        fewest, most = _mark(marks, "min_length"), _mark(marks, "max_length")
        count = f", {fewest or 0} to {most} of them" if most else ""
        return f"a list{count}, each {_described(get_args(kind)[0], [])}"
    if get_origin(kind) is dict:
        return f"a table: part = {_described(get_args(kind)[1], [])}"
    if options := [part for part in get_args(kind) if part is not type(None)]:
        return " or ".join(_described(part, []) for part in options)
    words = {Wish: "a sentence", bool: "`true` or `false`", int: "a whole number", float: "a number", str: "text"}
    text = words.get(kind, 'a day such as `"2027-03-06"`')
    return f"{text}, {_count(low)} to {_count(high)}" if low is not None and high is not None else text


def _count(bound: float) -> str:
    return f"{bound:g}" if isinstance(bound, float) else str(bound)


def _mark(marks: list[Any], name: str) -> Any:
    """Return what a mark of a kind says; pydantic's own `Field` holds its marks in turn."""
    inner = [part for mark in marks for part in (mark, *getattr(mark, "metadata", ()))]
    return next((getattr(mark, name) for mark in inner if hasattr(mark, name)), None)


# --- when it is left out, and an example ---------------------------------------------------------------------------

_LEFT_OUT = (
    '[nose]\n[fins]\n[sleeve]\nlength = "90 mm"\n[recovery]\nkind = "parachute"\ndiameter = "450 mm"\n'
    "[recovery.mechanism]\n[stand]",
    '[nozzle]\nbore = "9 mm"\n[recovery]\nkind = "streamer"\nlength = "1 m"\nwidth = "90 mm"\n'
    '[recovery.mechanism]\nway = "air flap"',
    '[nose]\n[recovery]\nkind = "parachute"\ndiameter = "450 mm"\n[recovery.mechanism]\ncavity = "vented"',
)
"""Designs with little in them: what they are completed with is what those who leave it out get."""


@cache
def _completed() -> dict[str, Quantity]:
    least = '[vessel]\nbottle = "carbonated-1500"\n[charge]\npressure = "3 bar"\n'
    found: dict[str, Quantity] = {}
    for more in _LEFT_OUT:
        design = complete(parse_design(least + more))
        found |= {path: q for path, q in stood_on(design) if q.basis is not Basis.MEASURED and path not in found}
    return found


def _left_out(field: FieldInfo, path: str) -> str:
    if field.is_required():
        return "needed"
    if path in ("vessel.bottle", "charge.pressure", "recovery.diameter", "recovery.length", "recovery.width"):
        return _NEEDED[path]
    if path in tables.defaults():
        return tables.defaults()[path]
    if path in _PROPORTIONS:
        rule, of = _PROPORTIONS[path]
        return f"{tables.defaults()[rule]} {of}, our choice for a sketch"
    if (filled := _completed().get(path)) is not None:
        table = re.search(r"(\w+) table '", filled.source)
        return f"by the {table[1]} table" if table else filled.source
    if path in _RULES:
        return _RULES[path]
    if field.default is None or field.default == {} or field.default == []:
        return _NOTHING
    return f"`{_toml(field.default)}`"


_NEEDED = {
    "vessel.bottle": "needed, or `volume`, or `profile`", "charge.pressure": "needed: nobody but you can choose it",
    "recovery.diameter": "needed for a parachute", "recovery.length": "needed for a streamer",
    "recovery.width": "needed for a streamer",
}  # fmt: skip
_PROPORTIONS = {
    "nose.length": ("rule.nose_length_in_diameters", "diameters of the bottle"),
    "fins.root": ("rule.fin_root_in_diameters", "diameters of the bottle"),
    "fins.span": ("rule.fin_span_in_diameters", "diameters of the bottle"),
    "fins.tip": ("rule.fin_tip_in_roots", "of the root"),
}
_RULES = {
    "nozzle.shape": "`\"rounded\"`; of the bare neck `\"neck\"`", "vessel.kind": "the bottle table's",
    "nose.material": '`"expanded-polystyrene"`', "fins.material": '`"balsa"`', "sleeve.material": '`"card"`',
    "recovery.material": '`"nylon-canopy"`, a streamer `"crepe-paper"`', "recovery.lines": "by the canopy table",
    "charge.water_share": "see `water`",
}  # fmt: skip
"""Words that completion puts where none are written; the test of the page holds them against it."""


def _example(path: str) -> str:
    node: Any = sample()
    *tables_above, name = path.split(".")
    for part in tables_above:
        node = node[0] if part == "*" else node[part]
    return f"{name} = {_toml(node[name])}"


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(inner)}" for key, inner in value.items()) + " }"
    return f'"{value}"' if isinstance(value, str) else str(value)


if __name__ == "__main__":
    from bottlewright.design.writing import write_over

    target = Path(sys.argv[1])
    write_over(target, with_reference(target.read_text(encoding="utf-8")))
