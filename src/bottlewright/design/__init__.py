"""What the builder describes: the typed design, the design file, and the tables that fill in the rest."""

from bottlewright.design.completion import complete
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.paths import bounds_of, stood_on, uncertain, value_at, with_values
from bottlewright.design.reading import parse_design, read_design

__all__ = [
    "Design", "DesignError", "Problem", "bounds_of", "complete", "parse_design", "read_design", "stood_on",
    "uncertain", "value_at", "with_values",
]
