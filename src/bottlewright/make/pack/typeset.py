"""Data to PDF, pictures or facts through the typesetter, offline, with fonts that come with the packages."""

import json
from collections.abc import Callable, Mapping
from importlib.resources import as_file, files
from typing import Any

from bottlewright.report.png import typeface_folder

__all__ = ["asked_of_pack", "page_pictures", "typeset"]


def typeset(data: Mapping[str, Any], template: str = "pack.typ") -> bytes:
    """Return the PDF that a template sets from data: the same data, the same file."""
    import typst

    made = _set(data, lambda file, **look: typst.compile(file, timestamp=0, **look), template)
    assert isinstance(made, bytes), "one PDF is one bytes object"
    return made


def page_pictures(data: Mapping[str, Any], dots: float) -> list[bytes]:
    """Return each page as PNG with so many dots an inch."""
    import typst

    made = _set(data, lambda file, **look: typst.compile(file, format="png", ppi=dots, timestamp=0, **look))
    return list(made) if isinstance(made, list) else [made]


def asked_of_pack(data: Mapping[str, Any], label: str) -> list[Any]:
    """Return the values that the template notes under a label."""
    import typst

    return list(json.loads(_set(data, lambda file, **look: typst.query(file, f"<{label}>", field="value", **look))))


def _set(data: Mapping[str, Any], work: Callable[..., Any], template: str = "pack.typ") -> Any:
    with as_file(files("bottlewright.make") / "templates") as folder:
        return work(str(folder / template), root=str(folder), font_paths=[typeface_folder()],
                    ignore_system_fonts=True, sys_inputs={"data": json.dumps(data, ensure_ascii=False)})
