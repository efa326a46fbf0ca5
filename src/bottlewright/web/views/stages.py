"""The pages by the name of their stage."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from bottlewright.web.views.field import field
from bottlewright.web.views.fly import fly
from bottlewright.web.views.learn import learn
from bottlewright.web.views.make import make
from bottlewright.web.views.page import Page, Width
from bottlewright.web.views.prove import prove
from bottlewright.web.views.sketch import sketch
from bottlewright.web.views.tune import tune

if TYPE_CHECKING:
    from bottlewright.web.desk import Desk

__all__ = ["VIEWS"]

VIEWS: "Mapping[str, Callable[[Desk, Width], Page]]" = {
    "sketch": sketch, "prove": prove, "tune": tune, "fly": fly, "field": field, "make": make,
    "learn": learn,
}  # fmt: skip
"""What makes a page's content, in the order of the work."""
