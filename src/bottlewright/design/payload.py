"""What flies along and is no part of the rocket: a camera, an altimeter, a tracker; its mount, cell and picture."""

from typing import Annotated, Literal

from pydantic import Field, StrictBool

from bottlewright.design.fields import Of, Section
from bottlewright.quantities import Dimension, Quantity

__all__ = ["Payload"]

D = Dimension


class Payload(Section):
    """A camera, or another thing that flies along: how it is held, what cell it has, what picture it takes."""

    held: Literal["on a shelf", "on the side", "inside"] = "on the side"  # a shelf bears the push; inside, walls do
    breaks_away: Annotated[Quantity, Of(D.FORCE, "0 N", "500 N")] | None = None  # pull that just draws it off its mount
    tethered: StrictBool | None = None  # a short cord ties it to the rocket as well
    waterproof: StrictBool | None = None  # seams taped, lens port dry
    cell: Literal["none", "lithium", "alkaline"] | None = None  # that it runs on
    view: Annotated[Quantity, Of(D.ANGLE, "5 deg", "170 deg")] | None = None  # of a camera, across its picture
    looks: Literal["down", "out"] = "down"  # along the body to the tail, or square to it
    exposure: Annotated[Quantity, Of(D.TIME, "0.01 ms", "1 s")] | None = None  # of one picture
    pixels: Annotated[int, Field(strict=True, ge=16, le=20000)] | None = None  # across the picture
