"""What a builder wants of the flight, in ordinary words: "at least 6 s in the air", "nearest to 60 m"."""

import re
from difflib import get_close_matches
from typing import Any, Literal, NamedTuple

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError, core_schema

from bottlewright.quantities import UNITS, Dimension, QuantityError, parse_quantity, spelled

__all__ = ["EXAMPLES", "Wish", "wish_of"]

D = Dimension
Bound = Literal["least", "most", "nearest", "best"]

EXAMPLES = (
    "as high as it goes", "as long in the air as it can", "as little pressure as will do", "nearest to 60 m",
    "at least 40 m high", "at least 6 s in the air", "touch down under 5 m/s", "at most 40 g", "at most 4 bar",
)  # fmt: skip
"""One sentence of each sort that is understood."""


class Wish(NamedTuple):
    """One sentence of `tune.want`.

    Parameters
    ----------
    bound
        "least" and "most" are limits, "nearest" and "best" the aim.
    figure
        Of the flight's summary, or "pressure" (gauge).
    value
        SI; NaN of the best.
    text
        As the builder wrote it.
    """

    bound: Bound
    figure: str
    value: float
    text: str


_BEST = (
    (r"(as high as (it goes|it can|possible|can be)|highest( flight)?)", "apogee_m"),
    (r"((as long in the air|to stay up as long) as (it can|possible|can be)|longest( time)? in the air)",
     "flight_time_s"),
    (r"(as little pressure as (will do|possible|can be)|least pressure|lowest pressure)", "pressure"),
)  # fmt: skip
_FIGURES = {
    D.TIME: "flight_time_s", D.LENGTH: "apogee_m", D.SPEED: "landing_speed_m_s", D.PRESSURE: "pressure",
}  # fmt: skip
_LEAST = r"at least|no less than|more than|over|above"
_MOST = r"at most|no more than|less than|not over|under|below|up to"
_BOUND = re.compile(rf"(?:.*?\b)?(?P<words>{_LEAST}|{_MOST}|nearest to|as near as can be to)\s+(?P<rest>.+)", re.I)
_AMOUNT = re.compile(r"([+-]?[\d.]+)\s*([^\s\d]\S*)(.*)")
_GRAVITY = re.compile(r"([\d.]+)\s*(?:g|times gravity|times its weight)\b.*", re.I)


def wish_of(text: str) -> Wish:
    """Return what a sentence wants.

    Raises
    ------
    QuantityError
        If it is none that is understood, with the nearest sentence that is.
    """
    words = " ".join(text.split())
    for pattern, figure in _BEST:
        if re.fullmatch(pattern, words, re.I):
            return Wish("best", figure, float("nan"), words)
    match = _BOUND.fullmatch(words)
    wish = _bounded(match["words"].lower(), spelled(match["rest"]), words) if match else None
    if wish is None:
        near = get_close_matches(words, EXAMPLES, 1, 0.3)
        raise QuantityError(f"is no wish that is understood: {words[:60]!r}; write such as "
                            f"{near[0] if near else EXAMPLES[0]!r}")
    return wish


def _bounded(bound: str, rest: str, words: str) -> Wish | None:
    """Return a wish with a number; what the number measures is told by its unit. g is gravity here, not grams."""
    kind: Bound = "nearest" if "near" in bound else "least" if re.fullmatch(_LEAST, bound) else "most"
    if gravity := _GRAVITY.fullmatch(rest):
        return Wish("most", "max_acceleration_m_s2", float(gravity[1]) * 9.80665, words) if kind == "most" else None
    amount = _AMOUNT.match(rest)
    for dimension, figure in _FIGURES.items():
        if amount and amount[2] in UNITS[dimension]:
            value = parse_quantity(f"{amount[1]} {amount[2]}", dimension).value
            fits = value > 0.0 and kind in _KINDS[figure]
            return Wish(kind, figure, value, words) if fits else None
    return None


_KINDS = {
    "apogee_m": ("least", "most", "nearest"), "flight_time_s": ("least", "most"), "landing_speed_m_s": ("most",),
    "pressure": ("most",),
}  # fmt: skip
"""What can be wanted of each figure."""


class OfWish:
    """Annotation that turns a sentence into a `Wish`, and writes it as it stood."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        write = core_schema.plain_serializer_function_ser_schema(lambda wish: wish.text)
        return core_schema.no_info_plain_validator_function(self.read, serialization=write)

    def read(self, value: Any) -> Wish:
        """Return the wish, or raise pydantic's error with the builder's message."""
        try:
            return value if isinstance(value, Wish) else wish_of(value if isinstance(value, str) else repr(value))
        except QuantityError as error:
            raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {"description": "a limit or the aim, in words", "examples": list(EXAMPLES), "type": "string"}
