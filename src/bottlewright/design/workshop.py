"""The workshop where the rocket is built: opening hours, people, warmth, what things cost, what is in stock."""

import re
from datetime import date
from typing import Annotated, Any

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from bottlewright.design.fields import Name, Of, Section, read_day
from bottlewright.quantities import Dimension, Quantity, as_written

__all__ = ["OPENING", "Prices", "Stock", "Workshop"]

OPENING = re.compile(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) ([01]\d|2[0-3]):([0-5]\d)-([01]\d|2[0-4]):([0-5]\d)")
"""One weekly opening: day, from, to."""


def _opening(value: Any) -> Any:
    match = OPENING.fullmatch(value) if isinstance(value, str) else None
    if match is None or (match[2], match[3]) >= (match[4], match[5]) or (match[4] == "24" and match[5] != "00"):
        right = 'write a weekly opening as "Sat 10:00-13:00", day in three letters, earlier time first'
        why = f"is {as_written(value)}; {right}"
        raise PydanticCustomError("quantity", "{why}", {"why": why})
    return value


def _clock(value: Any) -> Any:
    if not isinstance(value, str) or not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", value):
        why = f'is {as_written(value)}; write an hour as "14:00"'
        raise PydanticCustomError("quantity", "{why}", {"why": why})
    return value


Clock = Annotated[str, BeforeValidator(_clock)]
Opening = Annotated[str, BeforeValidator(_opening)]
Day = Annotated[date, BeforeValidator(read_day)]


class Workshop(Section):
    """Where and when the rocket is built."""

    start: Day | None = None  # first day of the build
    hours: list[Opening] = []  # weekly openings, such as "Sat 10:00-13:00"
    closed: list[Day] = []  # days on which it stays shut all the same
    begins: Clock | None = None  # hour of that day, such as "14:00"; when it opens, when left out
    people: Annotated[int, Field(strict=True, ge=1, le=60)] | None = None  # hands at work at the same time
    adults: Annotated[int, Field(strict=True, ge=1, le=60)] | None = None  # who are there; some steps wait for one
    rockets: Annotated[int, Field(strict=True, ge=1, le=40)] | None = None  # built at the same time by this plan
    temperature: Annotated[Quantity, Of(Dimension.TEMPERATURE, "-20 °C", "50 °C")] | None = None  # while glue cures
    glue: Name | None = None  # for fins, sleeve and nose; a row of the glue table
    matrix: Name | None = None  # a TOML file with the school's own risk matrix
    children_per_adult: Annotated[int, Field(strict=True, ge=0, le=60)] | None = None  # most; 0: none come


class Prices(Section):
    """What things cost, a piece, in your own money."""

    currency: Name = ""  # what it is called
    file: Name | None = None  # CSV with the columns part and price
    each: dict[Name, Annotated[float, Field(strict=True, ge=0.0, le=1e6)]] = {}  # price of one piece, by part


class Stock(Section):
    """What is in the house already, by part and number."""

    have: dict[Name, Annotated[int, Field(strict=True, ge=0, le=10000)]] = {}  # how many are there, by part
