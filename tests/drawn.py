"""Read a figure back from its SVG text: words with the places they take, parts with their corners, scales by ticks."""

import re
import xml.etree.ElementTree as ElementTree
from functools import cache
from importlib.util import find_spec
from itertools import combinations, pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np
from fontTools.ttLib import TTFont
from numpy.polynomial import Polynomial

MM = 72.0 / 25.4
_NUMBER = r"-?\d+(?:\.\d+)?(?:e-?\d+)?"


@cache
def font(bold: bool) -> TTFont:
    """The typeface itself, which the figures know by a table only."""
    folder = Path(find_spec("matplotlib").origin).parent / "mpl-data" / "fonts" / "ttf"
    return TTFont(folder / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"))


def advance(text: str, size: float, bold: bool = False) -> float:
    """Width of words by the typeface's own file."""
    face = font(bold)
    glyphs, table = face.getBestCmap(), face["hmtx"]
    return size / face["head"].unitsPerEm * sum(table[glyphs[ord(letter)]][0] for letter in text)


class Word(NamedTuple):
    text: str
    x: float
    y: float
    size: float
    anchor: str
    turned: bool
    bold: bool
    colour: str

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of the small letters: what a reader sees of it."""
        long = advance(self.text, self.size, self.bold)
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * long
        if self.turned:
            return self.x - 0.72 * self.size, self.y + back - long, self.x, self.y + back
        return self.x - back, self.y - 0.72 * self.size, self.x - back + long, self.y


class Drawn:
    """What stands in an SVG text."""

    def __init__(self, figure) -> None:
        self.svg = figure if isinstance(figure, str) else figure.svg()
        root = ElementTree.fromstring(self.svg)
        self.width, self.height = map(float, root.get("viewBox").split()[2:])
        self.words = [_word(node) for node in root.iter() if node.tag.endswith("}text")]
        self.texts = [word.text for word in self.words]
        self.parts: dict[str, list[np.ndarray]] = {}
        self.looks: dict[str, ElementTree.Element] = {}
        for node in root.iter():
            if node.get("data-part") and node.get("d"):
                self.parts.setdefault(node.get("data-part"), []).extend(outlines(node.get("d")))
                self.looks.setdefault(node.get("data-part"), node)

    def middle(self, part: str) -> np.ndarray:
        """The middle of a mark."""
        corners = np.concatenate(self.parts[part])
        return 0.5 * (corners.min(axis=0) + corners.max(axis=0))

    def word(self, text: str) -> Word:
        return next(word for word in self.words if word.text == text)

    def x_scales(self) -> list[Polynomial]:
        """Each scale across, from points to the values that its ticks say."""
        rows: dict[float, list[Word]] = {}
        for word in self.words:
            if word.anchor == "middle" and _value(word.text) is not None and not word.turned:
                rows.setdefault(word.y, []).append(word)
        found = []
        for _, row in sorted(rows.items()):
            row.sort(key=lambda word: word.x)
            found += [_fit([word.x for word in piece], piece) for piece in _runs(row, rising=True)]
        return found

    def y_scales(self, anchor: str = "end") -> list[Polynomial]:
        """Each scale upwards at the left ("end") or right ("start"), from points to values, the uppermost first."""
        columns: dict[float, list[Word]] = {}
        for word in self.words:
            if word.anchor == anchor and _value(word.text) is not None and not word.turned:
                columns.setdefault(word.x, []).append(word)
        found = []
        for column in columns.values():
            column.sort(key=lambda word: word.y)
            found += _runs(column, rising=False)
        found.sort(key=lambda piece: (piece[0].y, piece[0].x))
        return [_fit([word.y - 0.36 * word.size for word in piece], piece) for piece in found]

    def overlaps(self) -> list[tuple[str, str]]:
        """Pairs of words that cover each other."""
        return [(a.text, b.text) for a, b in combinations(self.words, 2) if _meet(a.box, b.box)]

    def outside(self) -> list[str]:
        """Words that leave the sheet."""
        return [word.text for word in self.words if word.box[0] < 0 or word.box[1] < 0
                or word.box[2] > self.width or word.box[3] > self.height]


def _word(node: ElementTree.Element) -> Word:
    return Word(node.text, float(node.get("x")), float(node.get("y")), float(node.get("font-size", "8")),
                node.get("text-anchor", "start"), "rotate(-90" in node.get("transform", ""),
                node.get("font-weight") == "bold", node.get("class").split()[0].removeprefix("f-"))


def _runs(words: list[Word], rising: bool) -> list[list[Word]]:
    """Parts of a row or column of ticks through which the values rise, or fall."""
    values = [_value(word.text) for word in words]
    cuts = [k + 1 for k, (a, b) in enumerate(pairwise(values)) if (b > a) != rising]
    return [[words[k] for k in piece] for piece in np.split(np.arange(len(words)), cuts) if len(piece) > 1]


def _value(text: str) -> float | None:
    try:
        return float(text.replace("−", "-"))
    except ValueError:
        return None


def _fit(places: list[float], words: list[Word]) -> Polynomial:
    values = [_value(word.text) for word in words]
    line = Polynomial.fit(places, values, 1)
    assert np.allclose(line(np.array(places)), values, atol=2e-3 * max(map(abs, values))), "the ticks are not even"
    return line


def _meet(a, b) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > 0.3 and min(a[3], b[3]) - max(a[1], b[1]) > 0.3


def outlines(d: str) -> list[np.ndarray]:
    """Corners of each piece of a path; of an arc its ends."""
    pieces = []
    for piece in re.findall(r"M[^M]*", d):
        at, corners = np.zeros(2), []
        for letter, rest in re.findall(r"([MLlHhVvAamz])([^MLlHhVvAamz]*)", piece):
            n = [float(value) for value in re.findall(_NUMBER, rest)]
            if letter in "Aa":
                n = n[-2:]
            if letter in "ML" or letter == "A":
                at = np.array(n)
            elif letter in "lm" or letter == "a":
                at = at + n
            elif letter in "Hh":
                at = np.array([n[0] + at[0] * (letter == "h"), at[1]])
            elif letter in "Vv":
                at = np.array([at[0], n[0] + at[1] * (letter == "v")])
            if letter != "z":
                corners.append(at)
        pieces.append(np.array(corners))
    return pieces
