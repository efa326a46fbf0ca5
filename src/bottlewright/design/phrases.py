"""Everyday words for values: a compass direction, a share of the vessel, a bottle by its size and drink."""

import re
from difflib import get_close_matches
from fractions import Fraction

from bottlewright.quantities import Dimension, Quantity, QuantityError, parse_quantity

__all__ = ["bearing_text", "bottle_size", "share_text"]

_POINTS = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw")
_WORDS = {"n": "north", "e": "east", "s": "south", "w": "west"}
_BEARINGS = {"-".join(_WORDS[letter] for letter in point): 22.5 * k for k, point in enumerate(_POINTS)}
_BEFORE = re.compile(r"(?:from|towards|toward|to)\s+(?:the\s+)?")
_SPREAD = re.compile(r"\s*(?:±|\+/-|\+-)")


def bearing_text(text: str) -> str:
    """Return a bearing in degrees for a point of the compass, ``"NE"`` → ``"45 deg"``; other texts as they are.

    Raises
    ------
    QuantityError
        If it is a word and no point of the compass, with the nearest one.
    """
    head, spread = _split(text)
    if not head or any(letter.isdigit() for letter in head):
        return text
    words = _BEFORE.sub("", head.lower(), count=1)
    letters = re.sub(r"north|east|south|west", lambda word: word[0][0], re.sub(r"[\s-]+", "", words))
    if letters in _POINTS:
        return f"{22.5 * _POINTS.index(letters):g} deg{spread}"
    near = get_close_matches(words[:40], _BEARINGS, 1, 0.5)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise QuantityError(f'is no direction: {text[:40]!r}; write degrees from north, such as "225 deg", or a point of '
                        f'the compass, such as "SW" or "south-west"{hint}')


def _split(text: str) -> tuple[str, str]:
    """Return a text without its ±, and that part as it stands."""
    match = _SPREAD.search(text)
    return (text[: match.start()].strip(), text[match.start() :]) if match else (text.strip(), "")


_COUNTS = {"": 1, "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4}
_PARTS = {"half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fifth": 5, "fifths": 5}
_OF = re.compile(r"\s+(?:full|of (?:the |a )?(?:bottle|vessel|volume|bottle's volume|vessel's volume|capacity))$")
_PERCENT = re.compile(r"\s*(?:percent|per cent|pct)\b")


def share_text(text: str) -> Quantity | None:
    """Return a share of a whole, 0 to 1, of ``"33 %"``, ``"a third"`` or ``"1/3"``; None where it says no share."""
    head, spread = _split(" ".join(text.split()))
    words = _OF.sub("", _PERCENT.sub(" %", head.lower()))
    if not words.endswith("%"):
        share = _fraction(words)
        if share is None or (spread and "%" not in _PERCENT.sub("%", spread)):
            return None
        words = f"{100 * float(share):.4g} %"
    try:
        read = parse_quantity(words + _PERCENT.sub(" %", spread), Dimension.NUMBER)
    except QuantityError:
        return None
    return read if 0.0 <= read.value <= 1.0 else None


def _fraction(words: str) -> Fraction | None:
    if match := re.fullmatch(r"(\d{1,3})\s*[/⁄]\s*(\d{1,3})", words):
        return Fraction(int(match[1]), int(match[2])) if int(match[2]) else None
    if words in ("½", "⅓", "⅔", "¼", "¾"):
        return {"½": Fraction(1, 2), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "¼": Fraction(1, 4),
                "¾": Fraction(3, 4)}[words]
    count, _, part = words.replace("-", " ").rpartition(" ")
    return Fraction(_COUNTS[count], _PARTS[part]) if count in _COUNTS and part in _PARTS else None


_SIZE = re.compile(r"(\d+(?:[.,]\d+)?)[\s-]*(l|litres?|liters?|ltr|ml|cl|millilitres?|milliliters?)\b")
_SCALE = {"l": 1e-3, "m": 1e-6, "c": 1e-5}
_FIZZY = {"fizzy", "carbonated", "sparkling", "soda", "pop", "lemonade", "fizz", "bubbly"}
_STILL = {"still", "flat", "uncarbonated"}
_NOT = {"not", "non", "no", "without"}


def bottle_size(text: str) -> tuple[float, str | None] | None:
    """Return the volume (m³) and the kind of drink (None where it is not said) of ``"1.5 litre fizzy"``."""
    found = _SIZE.search(text[:80].lower())
    if found is None:
        return None
    volume = float(found[1].replace(",", ".")) * _SCALE["l" if found[2].startswith("l") else found[2][0]]
    words = set(re.findall(r"[a-z]+", text.lower()))
    kinds = [kind for kind, known in (("carbonated", _FIZZY), ("still", _STILL)) if words & known]
    return volume, kinds[0] if len(kinds) == 1 and not words & _NOT else None
