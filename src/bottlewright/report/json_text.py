"""A document as JSON text; what is not a finite number becomes null."""

import json
import math
from collections.abc import Iterable
from typing import Any

from bottlewright.findings import Finding

__all__ = ["json_text"]


def json_text(document: Any, ascii_only: bool = False) -> str:
    """Return a document as JSON text, indented; numpy arrays and findings are understood."""
    return json.dumps(_plain(document), ensure_ascii=ascii_only, indent=1, allow_nan=False)


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, dict):
        return {str(key): _plain(entry) for key, entry in value.items()}
    if isinstance(value, Finding):
        return value.as_json()
    if hasattr(value, "tolist"):  # numpy's arrays and scalars
        return _plain(value.tolist())
    if isinstance(value, Iterable):
        return [_plain(entry) for entry in value]
    raise TypeError(f"{type(value).__name__} has no JSON form")
