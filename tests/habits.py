"""Two builders of one rocket: one writes bar and mm, the other psi, inches, feet, ounces and mph."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

__all__ = ["CURLEW", "SWEPT", "curlew_text", "loose", "pairs", "strings", "swept"]

CURLEW = Path(__file__).parent.parent / "examples" / "curlew" / "rocket.toml"

_FACTORS = {
    "bar": ("psi", 14.503774), "mm": ("in", 1 / 25.4), "m": ("ft", 1 / 0.3048), "g": ("oz", 1 / 28.349523),
    "kg": ("lb", 1 / 0.45359237), "N": ("lbf", 1 / 4.4482216), "m/s": ("mph", 1 / 0.44704),
}  # fmt: skip
_NUMBER = r"\d+(?:\.\d+)?"
_SPAN = rf"{_NUMBER}(?: (?:to|and) {_NUMBER})?"
_IMPERIAL = {"bar": "psi", "m": "ft", "mm": "in", "m/s": "mph", "N": "lbf", "g": "oz"}


def curlew_text(inch_pound: bool) -> str:
    """Return Curlew's design file as shipped, or with each measure in inch-pound units."""
    text = CURLEW.read_text(encoding="utf-8")
    if not inch_pound:
        return text

    def other(match: re.Match[str]) -> str:
        unit, factor = _FACTORS[match[2]]
        return f"{float(match[1]) * factor:.4g} {unit}"

    def line(match: re.Match[str]) -> str:
        return re.sub(rf"({_NUMBER}) (bar|mm|m/s|kg|m|g|N)\b", other, match[0])

    return re.sub(r'= "[^"]*"', line, text)


def pairs(text: str, metric: str) -> list[tuple[str, str]]:
    """Return each imperial number with the metric one in brackets behind it."""
    return re.findall(rf"(?<![\w.])({_SPAN}) {_IMPERIAL[metric]} \(({_SPAN}) {metric}\)", text)


def loose(text: str, metric: str) -> list[str]:
    """Return the numbers in either unit that stand without the other one beside them, with some words about them."""
    own = _IMPERIAL[metric]
    rest = re.sub(rf"(?<![\w.]){_SPAN} {own} \({_SPAN} (?:{metric}|MPa)\)", "", text)
    return [match[0] for match in re.finditer(rf".{{0,40}}\d (?:{own}|{metric})(?![\w/²³]| \d).{{0,10}}", rest)]


def strings(value: Any) -> Iterator[str]:
    """Yield every text in a document."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for entry in value.values():
            yield from strings(entry)
    elif isinstance(value, list | tuple):
        for entry in value:
            yield from strings(entry)


SWEPT = (
    r"\btold\b", r"\bstands on\b", r"\bends? the bottle\b", r"\bsingle pieces? of evidence\b", r"raises it most",
    r"look the other way", r"go when asked", r"\ba flight\b(?! comes)", r"^[\d.]+ \w+ (is|are|pull|would)\b",
    r"\d ?%", r"\d deg\b", r"(\w+): \1s? ", r"\bHourCall\b", r":[^.;\n]*: [^.;\n]*: ", r"side of its ±", r"low side",
    r"high side",
)  # fmt: skip
"""Ways of saying it that this program has given up; a per cent sign follows a thin space."""


def swept(text: str) -> list[str]:
    """Return what of the swept words is left in a text."""
    return [match[0] for phrase in SWEPT for match in re.finditer(phrase, text)]
