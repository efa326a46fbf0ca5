"""All patterns of a design, in the order that they are used."""

from dataclasses import replace

from bottlewright.make.dimensions import on_drawing
from bottlewright.make.drawing import Pattern, dimensioned
from bottlewright.make.launcher.stand_drawing import plate_template
from bottlewright.make.patterns.canopy import canopy
from bottlewright.make.patterns.door import door
from bottlewright.make.patterns.fins import fin, fin_jig, wrap_strip
from bottlewright.make.patterns.line_jig import line_jig
from bottlewright.make.patterns.nose import nose
from bottlewright.make.patterns.quadrant import quadrant
from bottlewright.make.patterns.seat import seat
from bottlewright.make.patterns.wrap import sleeve, splice_band
from bottlewright.make.specification import Specification

__all__ = ["all_patterns"]


def all_patterns(spec: Specification) -> list[Pattern]:
    """Return every flat part of a completed design at true size, lengths in the builder's own unit first."""

    def said(length: float) -> str:
        return on_drawing(spec.to_tenth(length))

    return [replace(pattern, shapes=dimensioned(pattern.shapes, said)) for pattern in _patterns(spec)]


def _patterns(spec: Specification) -> list[Pattern]:
    single = [splice_band(spec), fin(spec), wrap_strip(spec), fin_jig(spec)]
    jig = line_jig(spec)
    return [
        *(pattern for pattern in single if pattern is not None),
        *nose(spec),
        *seat(spec),
        *door(spec),
        *sleeve(spec),
        *canopy(spec),
        *([jig] if jig else []),
        plate_template(spec),
        quadrant(spec),
    ]
