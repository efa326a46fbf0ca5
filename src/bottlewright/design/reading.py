"""Read a design file: text, then types, then sense; everything that is wrong comes back at once."""

import re
import tomllib
from collections.abc import Iterable, Sequence, Set
from copy import deepcopy
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from bottlewright.design.checking import contradictions
from bottlewright.design.document import Design, Written
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.fields import UNREAD
from bottlewright.design.learned import Teacher, learned_from
from bottlewright.design.partial import partial_design
from bottlewright.design.paths import put_quantity, stood_on
from bottlewright.design.reading_notes import reading_notes
from bottlewright.design.text_files import TextFile, TextFileError, read_text_file
from bottlewright.design.toml_text import TomlText, TooDeepError, read_toml
from bottlewright.design.validation_messages import problems_of
from bottlewright.design.vessel_history import Lookup, VesselHistory, named_vessel, with_history

__all__ = ["design_text", "marked", "marked_by_file", "overridden_path", "override", "parse_design", "placed",
           "plain_toml", "read_design", "with_origin"]  # fmt: skip

_LARGEST = 300_000  # bytes; a hand-written design is a few thousand
_SET = "--set"


def read_design(
    path: str | Path, overrides: Sequence[str] = (), lookup: Lookup | None = None, teacher: Teacher | None = None
) -> Design:
    """Read and check a design file.

    Parameters
    ----------
    path
        A TOML file.
    overrides
        Such as ``'charge.pressure="5 bar"'``; the quotes may be left out. Nothing after the = takes a value out, and
        the number after a list's last adds an entry.
    lookup
        Finds what is known of the bottle that the design names by `vessel.id`.
    teacher
        Finds what its flights taught, where the design asks for it.

    Returns
    -------
    Design
        As written; `bottlewright.design.completion.complete` fills in the rest.

    Raises
    ------
    DesignError
        With all problems at once.
    """
    source = str(path)
    try:
        text, notes = design_text(path)
        return parse_design(text, overrides, notes, lookup, teacher)
    except DesignError as error:
        raise DesignError(error.problems, source) from None


def parse_design(
    text: str, overrides: Sequence[str] = (), notes: Sequence[str] = (), lookup: Lookup | None = None,
    teacher: Teacher | None = None,
) -> Design:  # fmt: skip
    """Read and check a design given as text; see `read_design`. `notes` say how the text was come by."""
    read = _toml(text)
    written = deepcopy(read.data)
    problems, overridden = override(read.data, overrides)
    if read.problems:
        problems += read.problems
        found = _besides(read)
        raise DesignError(placed([*problems, *found], text, overridden, [*read.problems, *found]))
    raw = deepcopy(read.data) if overrides else written
    history = named_vessel(read.data, lookup)
    design, found = _judged(with_history(read.data, history))
    if design is None or problems or found:
        problems += found
        of_file = _judged(written)[1] if overrides else problems
        raise DesignError(placed(problems, text, overridden, of_file))
    design = marked(design, overridden) if overridden else design
    design = marked_by_file(design, history)
    said = tuple(dict.fromkeys([*notes, *read.notes]))
    learned = learned_from(read.data, teacher)
    origin = Written(text, tuple(overrides), raw, design, said, lookup, history, teacher, learned)
    return with_origin(design, origin)


def with_origin(design: Design, written: Written) -> Design:
    """Return a design, completed or not, with what it was read from and with the notes on how that was understood."""
    assert written.read is not None
    notes = partial(reading_notes, written.read, written.tables, written.notes)
    return design.with_written(written).with_reading_notes(notes)


def _besides(read: TomlText) -> list[Problem]:
    """Return what is wrong with the values of a text whose other lines can't be read, as far as those don't matter."""
    if read.unread is None:
        return []
    for path in read.unread:
        put_value(read.data, [str(name) for name in path], UNREAD)
    unread = {".".join(map(str, path)) for path in read.unread}
    return [problem for problem in _judged(read.data)[1] if not _within(problem.path, unread)]


def _judged(data: dict[str, Any]) -> tuple[Design | None, list[Problem]]:
    """Return the design of the raw tables, None where they make none, and everything that is wrong with it."""
    try:
        design = Design.model_validate(data)
    except ValidationError as error:
        problems = problems_of(error, data)
        rest = partial_design(data, error)
    else:
        return design, contradictions(design)
    if rest:
        design, unread = rest
        problems += [problem for problem in contradictions(design) if not _within(problem.path, unread)]
    return None, problems


def _within(path: str, paths: Iterable[str]) -> bool:
    """Tell whether a path is one of the others or lies inside one."""
    return any(f"{path}.".startswith(f"{other}.") for other in paths)


_CURES = {
    "is a folder": "give the design file in it",
    "does not exist": "`bottlewright begin` writes a new design file",
}


def design_text(path: str | Path) -> TextFile:
    """Return the text of a design file, whichever way it is saved, and what there is to say about that.

    Raises
    ------
    DesignError
        If it is no ordinary text file of the size of a design.
    """
    try:
        return read_text_file(path, _LARGEST, "a design file")
    except TextFileError as error:
        raise DesignError([Problem("", error.why, _CURES.get(error.why, error.right))]) from None


def plain_toml(text: str) -> str:
    """Return the text of a design as TOML: with straight quotes and plain spaces where it had others.

    Raises
    ------
    DesignError
        If it can't be read as that.
    """
    read = _toml(text)
    if read.problems:
        raise DesignError(read.problems)
    return read.text


def _toml(text: str) -> TomlText:
    if not text.strip():
        raise DesignError([Problem("", "is empty", "`bottlewright begin` writes a design to start from")])
    try:
        return read_toml(text)
    except TooDeepError:
        raise DesignError([Problem("", "holds a number too long or keys too deep to be a design")]) from None


# --- overrides -------------------------------------------------------------------------------------------------


def override(data: dict[str, Any], overrides: Iterable[str]) -> tuple[list[Problem], set[str]]:
    """Change raw tables as `--set` says; return what is wrong with that, and the paths that were changed."""
    problems: list[Problem] = []
    overridden: set[str] = set()
    for text in overrides:
        _, equals, value = text.partition("=")
        path = overridden_path(text)
        if not equals or not path or not all(path.split(".")) or path.count(".") > 10:
            why = f'can\'t be read: {text[:80]!r}; write {_SET} charge.pressure="5 bar"'
            problems.append(Problem(_SET, why))
        elif not value.strip():
            _take_out(data, path.split("."))
            overridden.add(path)
        elif not put_value(data, path.split("."), _value(value.strip())):
            problems.append(Problem(path, "is not a place in this design", mark=f"({_SET})"))
        else:
            overridden.add(path)
    return problems, overridden


def overridden_path(text: str) -> str:
    """Return the path that an override such as ``"charge.pressure = 5 bar"`` changes."""
    return ".".join(part.strip() for part in text.partition("=")[0].split("."))


def _value(text: str) -> Any:
    try:
        parsed = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text.strip("„“”‟")
    return parsed["value"] if list(parsed) == ["value"] else text


def put_value(node: Any, names: list[str], value: Any) -> bool:
    """Put a value into raw tables; the number after a list's last adds an entry, and 0 begins a list."""
    name: Any = names[0]
    if isinstance(node, list):
        if not (name.isascii() and name.isdigit() and int(name) <= len(node)):
            return False
        name = int(name)
        if name == len(node):
            node.append({})
    elif not isinstance(node, dict):
        return False
    if len(names) == 1:
        node[name] = value
        return True
    child = node[name] if isinstance(node, list) else node.setdefault(name, [] if names[1] == "0" else {})
    return put_value(child, names[1:], value)


def _take_out(node: Any, names: list[str]) -> None:
    """Take a value out of raw tables, or an entry out of a list, where it is there."""
    *way, last = names
    for name in way:
        if isinstance(node, list):
            node = node[int(name)] if name.isascii() and name.isdigit() and int(name) < len(node) else None
        else:
            node = node.get(name) if isinstance(node, dict) else None
    if isinstance(node, dict):
        node.pop(last, None)
    elif isinstance(node, list) and last.isascii() and last.isdigit() and int(last) < len(node):
        del node[int(last)]


def marked(design: Design, overridden: Set[str], source: str = f"{_SET} on the command line") -> Design:
    """Say of the overridden quantities that they come from the command line, or from elsewhere."""
    for path, quantity in stood_on(design, {path.partition(".")[0] for path in overridden}):
        if path in overridden:
            design = put_quantity(design, path.split("."), replace(quantity, source=source))
    return design


def marked_by_file(design: Design, history: VesselHistory | None) -> Design:
    """Say of what the bottle's own file says that it comes from there."""
    if history is None or not history.file:
        return design
    keys = [f"vessel.{key}" for key in history.values]
    paths = {path for path, _ in stood_on(design, {"vessel"}) if _within(path, keys)}
    return marked(design, paths, history.file)


# --- where it stands in the file ------------------------------------------------------------------------------------

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*([\w.\"'-]+)\s*=")


def _lines(text: str) -> dict[str, int]:
    """Return the line of each table header and key by dotted path, as far as plain lines tell."""
    lines: dict[str, int] = {}
    counts: dict[str, int] = {}
    table = ""
    for number, line in enumerate(text.splitlines(), 1):
        if header := _HEADER.match(line):
            name = header[2].replace('"', "").replace("'", "")
            if header[1] == "[[":
                lines.setdefault(name, number)
                counts[name] = counts.get(name, -1) + 1
                name = f"{name}.{counts[name]}"
            table = f"{name}."
            lines.setdefault(name, number)
        elif key := _KEY.match(line):
            lines.setdefault(table + (key[1].strip("\"'") or '""'), number)
    return lines


def placed(
    problems: Iterable[Problem], text: str, overridden: Set[str] = frozenset(), of_file: Sequence[Problem] = ()
) -> list[Problem]:
    """Say of each problem which line of the file it lies in, or that an override made it."""
    lines = _lines(text)
    keys = ", ".join(sorted(overridden))
    keys = keys if len(keys) <= 120 else f"{keys[:117]}..."
    placed = []
    for problem in problems:
        if problem.line:
            placed.append(problem)
            continue
        if _within(problem.path, overridden):
            placed.append(replace(problem, mark=f"({_SET})"))
            continue
        if overridden and problem not in of_file and problem.path != _SET:
            problem = replace(problem, mark=f"(with {_SET} {keys})")
        parts = problem.path.split(".")
        paths = (".".join(parts[:n]) for n in range(len(parts), 0, -1))
        placed.append(replace(problem, line=next((lines[p] for p in paths if p in lines), 0)))
    return sorted(placed, key=lambda problem: problem.line)
