"""The sheets of the day: risks with their matrix, launch-day checklist, misfire, briefing."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from bottlewright.design.text_files import bad_character
from bottlewright.design.toml_text import TooDeepError, read_toml
from bottlewright.make.specification import Specification
from bottlewright.make.template_values import filled, fits
from bottlewright.quantities import as_written

__all__ = [
    "LARGEST_MATRIX", "Matrix", "MatrixError", "Risk", "briefing", "launch_day", "misfire", "read_matrix", "risks",
    "usual_matrix",
]  # fmt: skip


@cache
def _data(name: str) -> dict[str, Any]:
    return tomllib.loads((files("bottlewright.make") / "data" / f"{name}.toml").read_text(encoding="utf-8"))


class MatrixError(ValueError):
    """The school's matrix can't be used; the message says why."""


@dataclass(frozen=True, slots=True)
class Matrix:
    """A risk matrix: words for how likely (rows) and how bad (columns), and the word in each cell."""

    name: str
    source: str
    likely: tuple[str, ...]
    bad: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    means: Mapping[str, str]

    def at(self, likely: int, bad: int) -> str:
        """Return the word of a cell; steps beyond the matrix's own count as its last."""
        return self.cells[min(likely, len(self.likely) - 1)][min(bad, len(self.bad) - 1)]


LARGEST_MATRIX = 50_000
"""Bytes that the file of a matrix may have."""

_MOST_STEPS, _MOST_LETTERS, _MOST_MEANING, _MOST_TOLD = 12, 60, 300, 12


def read_matrix(text: str, note: Callable[[str], None] = lambda _: None) -> Matrix:
    """Read a matrix from TOML of the form of data/matrix.toml.

    Parameters
    ----------
    text
        Of the file.
    note
        Told of what was understood although it is not written as we write it.

    Raises
    ------
    MatrixError
        If a table is missing or the cells don't match the words.
    """
    try:
        read = read_toml(text)
    except TooDeepError:
        raise MatrixError("holds a number too long or keys too deep to be a matrix") from None
    if read.problems:
        more = f" · and {len(read.problems) - _MOST_TOLD} more" if len(read.problems) > _MOST_TOLD else ""
        raise MatrixError("can't be read: " + " · ".join(map(str, read.problems[:_MOST_TOLD])) + more)
    for said in read.notes:
        note(said)
    table = read.data
    for key, kind, right in (("likely", list, "a list"), ("bad", list, "a list"), ("cells", list, "a list of lists"),
                             ("means", dict, "a table")):
        if not isinstance(table.get(key, {}), kind):
            raise MatrixError(f"{key} is {'wrong' if key in table else 'missing'}; it has to be {right} of words")
    matrix = Matrix(
        _word("name", table.get("name", "the school's matrix"), _MOST_MEANING),
        _word("source", table.get("source", "the school"), _MOST_MEANING),
        _words("likely", table["likely"]),
        _words("bad", table["bad"]),
        tuple(_words("cells", row) for row in table["cells"]),
        {_word("means", key, _MOST_MEANING): _word("means", said, _MOST_MEANING)
         for key, said in table.get("means", {}).items()},
    )  # fmt: skip
    if not matrix.likely or not matrix.bad:
        raise MatrixError("needs at least one word in likely and in bad")
    if len(matrix.cells) != len(matrix.likely) or any(len(row) != len(matrix.bad) for row in matrix.cells):
        raise MatrixError(f"has to have {len(matrix.likely)} rows of cells, {len(matrix.bad)} words each")
    return matrix


def _words(key: str, row: Any) -> tuple[str, ...]:
    if not isinstance(row, list):
        raise MatrixError(f'{key} has to be a list of words in brackets, such as ["rare", "likely"]')
    if len(row) > _MOST_STEPS:
        raise MatrixError(f"{key} has {len(row)} steps; at most {_MOST_STEPS} fit on a sheet")
    return tuple(_word(key, word, _MOST_LETTERS) for word in row)


def _word(key: str, word: Any, most: int) -> str:
    if isinstance(word, list | dict):
        raise MatrixError(f"{key} has {as_written(word)} where a word has to be")
    text = word if isinstance(word, str) else as_written(word)
    bad = bad_character(text)
    if bad or len(text) > most:
        raise MatrixError(f"{key} has a word that " + (f"holds {bad}" if bad else f"is longer than {most} letters"))
    return text


def usual_matrix() -> Matrix:
    """Return the plain default matrix."""
    return read_matrix((files("bottlewright.make") / "data" / "matrix.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True, slots=True)
class Risk:
    """One line of the risk sheet, in words."""

    hazard: str
    who: str
    likely: str
    bad: str
    level: str
    done: str
    remains: str


def risks(spec: Specification, words: Mapping[str, str], matrix: Matrix) -> list[Risk]:
    """Return the risks of a design's features, placed in a matrix."""
    return [
        Risk(
            row["hazard"],
            row["who"],
            matrix.likely[min(row["likely"], len(matrix.likely) - 1)],
            matrix.bad[min(row["bad"], len(matrix.bad) - 1)],
            matrix.at(row["likely"], row["bad"]),
            filled(spec, row["done"], words),
            filled(spec, row["remains"], words),
        )
        for row in _data("risks")["risk"]
        if fits(row.get("when", []), spec.features)
    ]


def launch_day(spec: Specification, words: Mapping[str, str]) -> dict[str, Any]:
    """Return roles, and phases with lines of (role, what, whether it is a hold point), for a design's features."""
    data = _data("launch_day")
    return {
        "roles": [[role["name"], filled(spec, role["duty"], words)] for role in data["role"]],
        "phases": [
            {
                "title": phase["title"],
                "lines": [
                    [who, filled(spec, what, words), hold]
                    for who, what, hold, *when in phase["lines"]
                    if fits(when[0] if when else [], spec.features)
                ],
            }
            for phase in data["phase"]
        ],
    }


def misfire(spec: Specification, words: Mapping[str, str]) -> dict[str, Any]:
    """Return the misfire and leak procedure."""
    return _table(spec, _data("launch_day")["misfire"], words)


def briefing(spec: Specification, words: Mapping[str, str]) -> dict[str, Any]:
    """Return the consent and briefing page."""
    return _table(spec, _data("launch_day")["briefing"], words)


def _table(spec: Specification, table: Mapping[str, Any], words: Mapping[str, str]) -> dict[str, Any]:
    return {
        key: filled(spec, value, words) if isinstance(value, str) else [filled(spec, line, words) for line in value]
        for key, value in table.items()
    }
