"""A figure as dots, for programs that take no SVG; set by the typesetter."""

from importlib.util import find_spec
from pathlib import Path
from typing import Any

__all__ = ["png", "typeface_folder"]


def typeface_folder() -> str:
    """Return the folder in which DejaVu Sans lies: that of matplotlib, which need not be imported for it."""
    plotting = find_spec("matplotlib")
    assert plotting is not None, "matplotlib is a dependency"
    assert plotting.origin is not None, "matplotlib is a dependency"
    return str(Path(plotting.origin).parent / "mpl-data" / "fonts" / "ttf")


def png(svg: str, dots: int = 160) -> bytes:
    """Return an SVG by day as PNG with so many dots an inch: the same SVG, the same file."""
    import typst

    page: Any = b'#set page(width: auto, height: auto, margin: 0pt)\n#image(bytes(sys.inputs.svg), format: "svg")'
    made: object = typst.compile(page, format="png", ppi=dots, sys_inputs={"svg": svg},
                                 font_paths=[typeface_folder()], ignore_system_fonts=True)
    assert isinstance(made, bytes), "one page is one bytes object"
    return made
