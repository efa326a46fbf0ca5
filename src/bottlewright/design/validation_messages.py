"""Say what is wrong with the values of a design in the builder's words: pydantic finds it, this tells it."""

import re
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from bottlewright.design.document import Design
from bottlewright.design.errors import Problem
from bottlewright.quantities import as_written

__all__ = ["MOST", "Location", "keys_of", "located", "meant", "problems_of", "value_in"]

Location = tuple[int | str, ...]
"""Keys and indices from the top of the file down to a value."""

MOST = 200
"""Problems told at once: a file with more of them is no design gone wrong."""


RENAMED_KEYS = {"launcher.heading": "leans_towards"}
"""Keys that had another name once, by their old path."""

RENAMED_VALUES = {"fins.edge": {"square": "blunt", "rounded": "round", "sharp": "bevelled"}}
"""Values that had another name once, by path."""


def problems_of(error: ValidationError, data: dict[str, Any], model: type[BaseModel] = Design) -> list[Problem]:
    """Return one problem for each key that pydantic found wrong in the raw tables of a design, or of another file."""
    problems: dict[str, Problem] = {}
    for location, found in located(error, data):
        if len(problems) == MOST:
            problems[""] = Problem("", f"has more problems than these {MOST}: {error.error_count()} or so in all")
            break
        path = ".".join(str(part) or '""' for part in location)
        if path not in problems:
            problems[path] = Problem(path, *_words(found, location, data, model))
    return list(problems.values())


def located(error: ValidationError, data: dict[str, Any]) -> Iterator[tuple[Location, Any]]:
    """Yield where in the raw tables each error of pydantic lies, and the error."""
    for found in error.errors(include_url=False, include_input=False):
        yield _real(found["loc"], data, found["type"]), found


def _real(location: Location, data: Any, kind: str) -> Location:
    """Keep the parts of a location that are keys of the file; pydantic adds names of union members."""
    node: Any = data
    kept: list[int | str] = []
    for part in location:
        known = node if isinstance(node, dict) else range(len(node)) if isinstance(node, list) else ()
        if part in known:
            node = node[part]
        elif kind == "missing" and part == location[-1]:
            kept.append(part)
            break
        else:
            break
        kept.append(part)
    return tuple(kept)


def _words(found: Any, location: Location, data: Any, model: type[BaseModel]) -> tuple[str, str]:
    kind, context = found["type"], found.get("ctx", {})
    value = value_in(data, location)
    if kind == "extra_forbidden":
        return _unknown_key(location, value, model)
    if "why" in context:
        return context["why"], ""
    if kind == "missing":
        right = "a pair in brackets has two entries" if isinstance(location[-1], int) else "this table needs it"
        return "is missing", right
    if ".".join(map(str, location)) == "model.gas":
        return f"is {as_written(value)}", 'it has to be "moist", "dry" or an exponent from 1 to 1.7'
    if kind == "literal_error":
        new = RENAMED_VALUES.get(".".join(map(str, location)), {}).get(str(value))
        if new is not None:
            return f"is {as_written(value)}", f"this value is called {new!r} now"
        return f"is {as_written(value)}", f"it has to be {context['expected']}{_near(value, context['expected'])}"
    expected = {
        "model_type": "a table with keys of its own", "model_attributes_type": "a table with keys of its own",
        "int": "a whole number", "bool": "true or false", "string": "text in quotes", "list": "a list in brackets",
        "tuple": "a pair in brackets", "dict": "a table", "float": "a number",
        "missing_argument": "a pair in brackets",
    }
    word = expected.get(kind) or expected.get(kind.split("_")[0])
    if kind in ("greater_than_equal", "less_than_equal"):
        side = "at least" if "ge" in context else "at most"
        return f"is {as_written(value)}", f"it has to be {side} {context.get('ge', context.get('le'))}"
    if kind in ("too_short", "too_long"):
        wanted = f"at least {context['min_length']}" if kind == "too_short" else f"at most {context['max_length']}"
        return f"has {context['actual_length']} entries", f"it has to have {wanted}"
    if kind == "string_too_long":
        return f"has {len(value)} letters", f"it has to have at most {context['max_length']}"
    if word:
        return f"is {as_written(value)}", f"it has to be {word}"
    return str(found["msg"]).replace("Input should", "should"), ""


def value_in(data: Any, location: Location) -> Any:
    """Return what the raw tables hold at a location; None where there is nothing."""
    for part in location:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _near(value: Any, expected: str) -> str:
    words = re.findall(r"'([^']+)'", expected)
    near = get_close_matches(str(value)[:60], words, 1, 0.6) if isinstance(value, str) else []
    return f"; did you mean {near[0]!r}?" if near else ""


def _unknown_key(location: Location, value: Any, model: type[BaseModel]) -> tuple[str, str]:
    known, homes = meant(location, model)
    old = ".".join(str(part) for part in location if isinstance(part, str))
    if new := RENAMED_KEYS.get(old) if model is Design else None:
        return "is an old name", f"this key is called {new!r} now"
    if known is None:
        here = keys_of(location[:-1], model)
        kind = "a table" if isinstance(value, dict) else "a key"
        return "is an unknown key", f"{kind} here can be {', '.join(here)}" if here else ""
    if not homes:
        return "is an unknown key", f"did you mean {known!r}?"
    if known == location[-1]:
        return "is an unknown key here", f"{known!r} belongs to {_joined(homes)}"
    return "is an unknown key", f"did you mean {known!r} of {_joined(homes)}?"


def meant(location: Location, model: type[BaseModel] = Design) -> tuple[str | None, list[Location]]:
    """Return the known key that an unknown one stands for, and the tables it belongs to; none for its own table."""
    key, here = str(location[-1])[:60], keys_of(location[:-1], model)
    everywhere = {other for keys in _format(model).values() for other in keys}
    for near in get_close_matches(key, here, 1, 0.6):
        if key not in everywhere or key in near:  # "bore" of a vessel is its neck_bore, but "water" not its diameter
            return near, []
    alike = [key] if key in everywhere else get_close_matches(key, sorted(everywhere), 1, 0.75)
    if not alike:
        return None, []
    return alike[0], [table for table, keys in _format(model).items() if alike[0] in keys]


def keys_of(location: Location, model: type[BaseModel] = Design) -> list[str]:
    """Return the keys that the table at a location can have; none where it is no table of the format."""
    return _format(model).get(tuple(part for part in location if isinstance(part, str)), [])


def _joined(homes: Iterable[Location]) -> str:
    return " or ".join(f"[{'.'.join(map(str, home))}]" if home else "the top of the file" for home in homes)


@cache
def _format(model: type[BaseModel]) -> dict[Location, list[str]]:
    """Return the keys of every table by its path."""
    return dict(_known_keys(model, ()))


def _known_keys(model: type[BaseModel], path: Location) -> Iterator[tuple[Location, list[str]]]:
    yield path, [field.alias or name for name, field in model.model_fields.items()]
    for name, field in model.model_fields.items():
        for inner in _models_in(field.annotation):
            yield from _known_keys(inner, (*path, name))


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models_in(part)
