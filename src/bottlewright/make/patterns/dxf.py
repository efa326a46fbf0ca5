"""Patterns as DXF in millimetres: one layer to cut, one to fold, one to mark, one for text that stays uncut."""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import TYPE_CHECKING

from bottlewright.make.drawing import Label, Path, Pattern, Style, captioned, simple

if TYPE_CHECKING:
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.layouts.layout import Modelspace

__all__ = ["pattern_dxf"]

_LAYERS = {Style.CUT: ("CUT", 1), Style.FOLD: ("FOLD", 5), Style.MARK: ("MARK", 3), Style.AID: ("AID", 8)}


def pattern_dxf(pattern: Pattern) -> str:
    """Return one pattern as a DXF document, $INSUNITS 4 (millimetres); the same pattern, the same text."""
    from ezdxf import units
    from ezdxf.document import Drawing

    with _no_clock():
        document = Drawing.new("R2010")
        document.units = units.MM
        for name, colour in (*_LAYERS.values(), ("TEXT", 7)):
            document.layers.add(name, color=colour)
        _draw(pattern, document.modelspace())
        stream = StringIO()
        document.write(stream)
    return stream.getvalue()


def _draw(pattern: Pattern, space: "Modelspace") -> None:
    for shape in simple(captioned(pattern)):
        if isinstance(shape, Label):
            text = space.add_text(
                shape.text,
                height=0.73 * shape.height,  # DXF measures capitals, we the type size
                rotation=math.degrees(shape.angle),
                dxfattribs={"layer": "TEXT"},
            )
            text.set_placement(shape.at, align=_align(shape.anchor))
            continue
        layer = {"layer": _LAYERS[shape.style][0]}
        if isinstance(shape, Path):
            space.add_lwpolyline(shape.points, close=shape.closed, dxfattribs=layer)
        elif shape.end - shape.start >= 2.0 * math.pi - 1e-9:
            space.add_circle(shape.centre, shape.radius, dxfattribs=layer)
        else:
            start, end = math.degrees(shape.start), math.degrees(shape.end)
            space.add_arc(shape.centre, shape.radius, start, end, dxfattribs=layer)


@contextmanager
def _no_clock() -> Iterator[None]:
    """Keep the time of day and random names out of the file."""
    from ezdxf._options import options

    before, options.write_fixed_meta_data_for_testing = options.write_fixed_meta_data_for_testing, True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _align(anchor: float) -> "TextEntityAlignment":
    from ezdxf.enums import TextEntityAlignment

    named = {0.0: TextEntityAlignment.MIDDLE_LEFT, 1.0: TextEntityAlignment.MIDDLE_RIGHT}
    return named.get(anchor, TextEntityAlignment.MIDDLE_CENTER)
