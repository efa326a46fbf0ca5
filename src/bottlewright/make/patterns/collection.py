"""All patterns of a design, in the order that they are used."""

from bottlewright.design import Design
from bottlewright.make.drawing import Pattern
from bottlewright.make.launcher.stand import StandSizes
from bottlewright.make.launcher.stand_drawing import plate_template
from bottlewright.make.patterns.canopy import canopy
from bottlewright.make.patterns.fins import fin, fin_jig, wrap_strip
from bottlewright.make.patterns.nose import nose
from bottlewright.make.patterns.wrap import sleeve, splice_band

__all__ = ["all_patterns"]


def all_patterns(design: Design, stand: StandSizes) -> list[Pattern]:
    """Return every flat part of a completed design at true size."""
    single = [splice_band(design), fin(design), wrap_strip(design), fin_jig(design)]
    return [
        *(pattern for pattern in single if pattern is not None),
        *nose(design),
        *sleeve(design),
        *canopy(design),
        plate_template(design, stand),
    ]
