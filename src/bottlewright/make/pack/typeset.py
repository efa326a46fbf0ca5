"""Data to PDF through the typesetter, without the network and with fonts that come with the packages."""

import json
from importlib.resources import as_file, files
from typing import Any

from bottlewright.report.png import typeface_folder

__all__ = ["typeset"]


def typeset(data: dict[str, Any]) -> bytes:
    """Return the PDF that the template sets from data: the same data, the same file."""
    import typst

    with as_file(files("bottlewright.make") / "templates") as folder:
        made: object = typst.compile(
            str(folder / "pack.typ"),
            root=str(folder),
            font_paths=[typeface_folder()],
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
            timestamp=0,
        )
    assert isinstance(made, bytes), "one PDF is one bytes object"
    return made
