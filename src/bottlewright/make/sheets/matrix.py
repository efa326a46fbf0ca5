"""The risk matrix: a school's own words for how likely and how bad, and which of them stands for each of our names.

A hazard carries a named likelihood and a named severity, never the number of a step: a matrix with another number of
steps has to say which of its words each name is, or it is refused.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

from bottlewright.design.text_files import bad_character, printable
from bottlewright.design.toml_text import TooDeepError, read_toml
from bottlewright.errors import BottlewrightError
from bottlewright.quantities import as_written

__all__ = ["LARGEST_MATRIX", "LIKELIHOODS", "SEVERITIES", "Matrix", "MatrixError", "read_matrix", "usual_matrix"]

LIKELIHOODS = ("hardly ever", "seldom", "now and then", "often", "nearly always")
"""How likely it is that somebody is hurt although everyone keeps to the measures; the least first."""

SEVERITIES = ("a plaster", "a doctor", "hospital", "life-changing or worse")
"""How bad it is then; the least first."""

LARGEST_MATRIX = 50_000
"""Bytes that the file of a matrix may have."""

_MOST_STEPS, _MOST_LETTERS, _MOST_MEANING, _MOST_TOLD = 12, 60, 300, 12


class MatrixError(BottlewrightError, ValueError):
    """The school's matrix can't be used; the message says why."""

    def __init__(self, why: str) -> None:
        super().__init__(printable(why))  # it quotes the file, and a letter in it may hide others on a screen


@dataclass(frozen=True, slots=True)
class Matrix:
    """A risk matrix.

    Parameters
    ----------
    name, source
        What it is called, and whose it is.
    likely, bad
        Its words for how likely (rows) and how bad (columns), the least first.
    cells
        The word in each cell.
    means
        What each of these words asks for, the mildest first.
    stop
        The words that forbid going on.
    likelihood, severity
        Its word for each of `LIKELIHOODS` and `SEVERITIES`.
    """

    name: str
    source: str
    likely: tuple[str, ...]
    bad: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    means: Mapping[str, str]
    stop: tuple[str, ...]
    likelihood: Mapping[str, str]
    severity: Mapping[str, str]

    def at(self, likelihood: str, severity: str) -> str:
        """Return the word of the cell that a named likelihood and a named severity meet in."""
        row = self.likely.index(self.likelihood[likelihood])
        return self.cells[row][self.bad.index(self.severity[severity])]


@cache
def usual_matrix() -> Matrix:
    """Return the plain default matrix."""
    return read_matrix((files("bottlewright.make") / "data" / "matrix.toml").read_text(encoding="utf-8"))


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
        If a table is missing, the cells don't match the words, a name stands for no word, or a worse name stands for a
        milder one.
    """
    table = _toml(text, note)
    matrix = Matrix(
        _word("name", table.get("name", "the school's matrix"), _MOST_MEANING),
        _word("source", table.get("source", "the school"), _MOST_MEANING),
        _words("likely", table["likely"]),
        _words("bad", table["bad"]),
        tuple(_words("cells", row) for row in table["cells"]),
        _pairs("means", table["means"]),
        _words("stop", table["stop"]),
        _pairs("likelihood", table["likelihood"]),
        _pairs("severity", table["severity"]),
    )
    if not matrix.likely or not matrix.bad:
        raise MatrixError("needs at least one word in likely and in bad")
    if len(matrix.cells) != len(matrix.likely) or any(len(row) != len(matrix.bad) for row in matrix.cells):
        raise MatrixError(f"has to have {len(matrix.likely)} rows of cells, {len(matrix.bad)} words each")
    wrong = [
        *_twice("likely", matrix.likely),
        *_twice("bad", matrix.bad),
        *_wrong_meanings(matrix),
        *_wrong_names("likelihood", "likely", LIKELIHOODS, matrix.likelihood, matrix.likely),
        *_wrong_names("severity", "bad", SEVERITIES, matrix.severity, matrix.bad),
    ]
    wrong = wrong or _milder_cells(matrix)
    if wrong:
        raise MatrixError(" · ".join(wrong))
    return matrix


def _toml(text: str, note: Callable[[str], None]) -> dict[str, Any]:
    """Return the tables of the file, each of the kind that it has to be."""
    try:
        read = read_toml(text)
    except TooDeepError:
        raise MatrixError("holds a number too long or keys too deep to be a matrix") from None
    if read.problems:
        more = f" · and {len(read.problems) - _MOST_TOLD} more" if len(read.problems) > _MOST_TOLD else ""
        raise MatrixError("can't be read: " + " · ".join(map(str, read.problems[:_MOST_TOLD])) + more)
    for said in read.notes:
        note(said)
    for key, kind, right in _PARTS:
        if not isinstance(read.data.get(key), kind):
            raise MatrixError(f"{key} is {'wrong' if key in read.data else 'missing'}; it has to be {right}")
    return read.data


_PARTS: tuple[tuple[str, type, str], ...] = (
    ("likely", list, "a list of words"),
    ("bad", list, "a list of words"),
    ("cells", list, "a list of lists of words"),
    ("means", dict, "a table that says what each word of cells asks for, the mildest first"),
    ("stop", list, 'a list of the words of cells that forbid going on, such as ["high"]'),
    ("likelihood", dict, "a table that says which word of likely stands for each of " + ", ".join(LIKELIHOODS)),
    ("severity", dict, "a table that says which word of bad stands for each of " + ", ".join(SEVERITIES)),
)
"""Key, kind, and what would be right."""


# --- what can be wrong with it ---------------------------------------------------------------------------------------


def _twice(key: str, words: Sequence[str]) -> list[str]:
    return [f"{key} has {word!r} twice" for word in dict.fromkeys(words) if words.count(word) > 1]


def _wrong_meanings(matrix: Matrix) -> list[str]:
    """Say which word of a cell means nothing, and which word that stops is in no cell."""
    used = dict.fromkeys(word for row in matrix.cells for word in row)
    lacking = [word for word in used if word not in matrix.means]
    strange = [word for word in matrix.stop if word not in used]
    return [f"means lacks {word!r}; say what it asks for" for word in lacking] + [
        f"stop has {word!r}, which stands in no cell; the cells have {', '.join(used)}" for word in strange
    ]


def _wrong_names(key: str, of: str, names: Sequence[str], mapped: Mapping[str, str], words: Sequence[str]) -> list[str]:
    """Say which name stands for no word, which strange name is there, and which worse name stands for a milder word."""
    wrong = [
        f'{key} lacks "{name}"; write which word of {of} stands for it: {", ".join(words)}'
        for name in names
        if name not in mapped
    ]
    wrong += [f"{key} has {name!r}; its names are {', '.join(names)}" for name in mapped if name not in names]
    wrong += [
        f"{key} has {word!r}, which is no word of {of}; those are {', '.join(words)}"
        for word in dict.fromkeys(mapped.values())
        if word not in words
    ]
    if wrong:
        return wrong
    wrong = [
        f'{key} takes "{worse}" for {mapped[worse]!r} and "{milder}" for {mapped[milder]!r}: the worse can\'t be milder'
        for milder, worse in pairwise(names)
        if words.index(mapped[worse]) < words.index(mapped[milder])
    ]
    if mapped[names[-1]] != words[-1]:
        wrong.append(f'{key} has to take "{names[-1]}" for {words[-1]!r}, the last word of {of}')
    return wrong


def _milder_cells(matrix: Matrix) -> list[str]:
    """Say which cell is milder than one for something less likely or less bad, by the order of means."""
    order = list(matrix.means)
    steps = [[order.index(word) for word in row] for row in matrix.cells]
    wrong = [
        f"cells has {matrix.cells[r][c]!r} for {matrix.likely[r]!r} and {matrix.bad[c]!r}, milder than "
        f"{matrix.cells[r - up][c - left]!r} for {matrix.likely[r - up]!r} and {matrix.bad[c - left]!r}; "
        f"likely, bad and means have to begin with the least"
        for r, row in enumerate(steps)
        for c, step in enumerate(row)
        for up, left in ((1, 0), (0, 1))
        if r >= up and c >= left and step < steps[r - up][c - left]
    ]
    return wrong[:1]


def _words(key: str, row: Any) -> tuple[str, ...]:
    if not isinstance(row, list):
        raise MatrixError(f'{key} has to be a list of words in brackets, such as ["rare", "likely"]')
    if len(row) > _MOST_STEPS:
        raise MatrixError(f"{key} has {len(row)} steps; at most {_MOST_STEPS} fit on a sheet")
    return tuple(_word(key, word, _MOST_LETTERS) for word in row)


def _pairs(key: str, table: Mapping[Any, Any]) -> dict[str, str]:
    if len(table) > _MOST_STEPS:
        raise MatrixError(f"{key} has {len(table)} lines; at most {_MOST_STEPS} fit on a sheet")
    return {_word(key, name, _MOST_LETTERS): _word(key, said, _MOST_MEANING) for name, said in table.items()}


def _word(key: str, word: Any, most: int) -> str:
    if isinstance(word, list | dict):
        raise MatrixError(f"{key} has {as_written(word)} where a word has to be")
    text = word if isinstance(word, str) else as_written(word)
    bad = bad_character(text)
    if bad or len(text) > most:
        raise MatrixError(f"{key} has a word that " + (f"holds {bad}" if bad else f"is longer than {most} letters"))
    return text
