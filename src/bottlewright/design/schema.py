"""JSON Schema of the design file, for editors that complete and check as you type.

A field's description is the comment at the end of its line in the model, so that it is written once. The schema is
generated when the format changes (`python -m bottlewright.design.schema`) and shipped as data/design.schema.json.
"""

import inspect
import json
import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel

from bottlewright import __version__
from bottlewright.design.document import Design

__all__ = ["design_schema", "field_comments", "shipped_schema"]

_FIELD = re.compile(r"^    (\w+): .*?  # (.+)$", re.MULTILINE)


def design_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of a design file."""
    schema = Design.model_json_schema(by_alias=True, mode="validation")
    comments = {model.__name__: field_comments(model) for model in _models(Design)}
    for name, described in {"Design": schema, **schema["$defs"]}.items():
        for key, field in described.get("properties", {}).items():
            _tidy(field, comments.get(name, {}).get(key, ""))
    for unwanted in ("Quantity",):
        schema["$defs"].pop(unwanted, None)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:bottlewright:design:{_format_version()}",
        **schema,
        "title": "A water rocket's design",
    }


def _format_version() -> str:
    """Return the version of the format: until 1.0 it may change with the program's minor version, not with a patch."""
    return ".".join(__version__.split(".")[:2])


def _models(model: type[BaseModel]) -> set[type[BaseModel]]:
    found = {model}
    waiting: list[Any] = [field.annotation for field in model.model_fields.values()]
    while waiting:
        part = waiting.pop()
        waiting += get_args(part)
        if isinstance(part, type) and issubclass(part, BaseModel) and part not in found:
            found |= {part}
            waiting += [field.annotation for field in part.model_fields.values()]
    return found


@cache
def field_comments(model: type[BaseModel]) -> dict[str, str]:
    """Return the comment at the end of each field's line in a model, by the field's name."""
    return dict(_FIELD.findall(inspect.getsource(model)))


def _tidy(field: dict[str, Any], comment: str) -> None:
    """Drop null, which TOML has not, and join the model's comment with what the type says."""
    field.pop("title", None)
    if field.get("default") is None or isinstance(field["default"], dict):
        field.pop("default", None)
    if "anyOf" in field:
        options = [option for option in field.pop("anyOf") if option != {"type": "null"}]
        field.update(options[0] if len(options) == 1 else {"anyOf": options})
    words = [comment, field.get("description", "")]
    if any(words):
        field["description"] = ". ".join(text[0].upper() + text[1:] for text in words if text)


def schema_text() -> str:
    """Return the schema as it is shipped."""
    return json.dumps(design_schema(), indent=1, ensure_ascii=False) + "\n"


def shipped_schema() -> dict[str, Any]:
    """Return the schema that is shipped with the package."""
    text = (files("bottlewright.design") / "data" / "design.schema.json").read_text(encoding="utf-8")
    shipped: dict[str, Any] = json.loads(text)
    return shipped


if __name__ == "__main__":
    from bottlewright.design.writing import write_over

    write_over(Path(__file__).parent / "data" / "design.schema.json", schema_text())
