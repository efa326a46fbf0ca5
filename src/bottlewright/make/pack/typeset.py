"""Data to PDF through the typesetter, without the network and with fonts that come with the packages."""

import json
from importlib.resources import as_file, files
from importlib.util import find_spec
from pathlib import Path
from typing import Any

__all__ = ["typeset"]


def typeset(data: dict[str, Any]) -> bytes:
    """Return the PDF that the template sets from data: the same data, the same file."""
    import typst

    # DejaVu Sans lies with matplotlib, which need not be imported for it; the serif is the typesetter's own.
    plotting = find_spec("matplotlib")
    assert plotting is not None, "matplotlib is a dependency"
    assert plotting.origin is not None, "matplotlib is a dependency"
    fonts = str(Path(plotting.origin).parent / "mpl-data" / "fonts" / "ttf")
    with as_file(files("bottlewright.make") / "templates") as folder:
        made: object = typst.compile(
            str(folder / "pack.typ"),
            root=str(folder),
            font_paths=[fonts],
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
            timestamp=0,
        )
    assert isinstance(made, bytes), "one PDF is one bytes object"
    return made
