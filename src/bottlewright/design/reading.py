"""Read a design file: text, then types, then sense; everything that is wrong comes back at once."""

import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from bottlewright.design.checking import contradictions
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.partial import partial_design
from bottlewright.design.paths import stood_on
from bottlewright.design.validation_messages import problems_of

__all__ = ["parse_design", "read_design"]

_LARGEST = 300_000  # bytes; a hand-written design is a few thousand
_DEEP = re.compile(r"(?:[\w\"'-]{1,80}\s*\.\s*){12}")  # dotted keys this deep are no design, and slow to parse
_SET = "--set"


def read_design(path: str | Path, overrides: Sequence[str] = ()) -> Design:
    """Read and check a design file.

    Parameters
    ----------
    path
        A TOML file.
    overrides
        Such as ``'charge.pressure="5 bar"'``; the quotes may be left out.

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
        text = _text(Path(path))
        return parse_design(text, overrides)
    except DesignError as error:
        raise DesignError(error.problems, source) from None


def parse_design(text: str, overrides: Sequence[str] = ()) -> Design:
    """Read and check a design given as text; see `read_design`."""
    data = _toml(text)
    problems, overridden = _override(data, overrides)
    design, found = _judged(data)
    if design is None or problems or found:
        problems += found
        raise DesignError(_placed(problems, text, overridden, _problems_without(text) if overrides else problems))
    return _marked(design, overridden) if overridden else design


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


def _problems_without(text: str) -> list[Problem]:
    """Return what is wrong with a file before anything in it is overridden."""
    return _judged(_toml(text))[1]


def _within(path: str, paths: Iterable[str]) -> bool:
    """Tell whether a path is one of the others or lies inside one."""
    return any(f"{path}.".startswith(f"{other}.") for other in paths)


def _text(path: Path) -> str:
    try:
        wrong = _no_file(path)
        raw = b"" if wrong else path.read_bytes()
    except OSError as error:
        wrong = Problem("", f"can't be read: {error.strerror}")
    if wrong:
        raise DesignError([wrong])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise DesignError([Problem("", "is not text", "a design file is TOML in UTF-8")])
    return text


def _no_file(path: Path) -> Problem | None:
    if path.is_dir():
        return Problem("", "is a folder", "give the design file in it")
    if not path.exists():
        return Problem("", "does not exist", "`bottlewright begin` writes a new design file")
    if not path.is_file():
        return Problem("", "is not an ordinary file")
    size = path.stat().st_size
    if size > _LARGEST:
        return Problem("", f"is {size / 1e6:.1f} MB, too big for a design file", "a design is a short text, a few kB")
    return None


def _toml(text: str) -> dict[str, Any]:
    if not text.strip():
        raise DesignError([Problem("", "is empty", "`bottlewright begin` writes a design to start from")])
    too_much = Problem("", "holds a number too long or keys too deep to be a design")
    if _DEEP.search(text):
        raise DesignError([too_much])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DesignError([Problem("", f"is not TOML: {error}", 'a line looks like  bore = "9 mm"')]) from None
    except (ValueError, RecursionError):
        raise DesignError([too_much]) from None


# --- overrides -------------------------------------------------------------------------------------------------


def _override(data: dict[str, Any], overrides: Iterable[str]) -> tuple[list[Problem], set[str]]:
    problems: list[Problem] = []
    overridden: set[str] = set()
    for text in overrides:
        key, equals, value = text.partition("=")
        path = ".".join(part.strip() for part in key.split("."))
        if not equals or not path or not all(path.split(".")) or path.count(".") > 10:
            why = f'can\'t be read: {text[:80]!r}; write {_SET} charge.pressure="5 bar"'
            problems.append(Problem(_SET, why))
        elif not _put(data, path.split("."), _value(value.strip())):
            problems.append(Problem(path, f"({_SET}) is not a place in this design"))
        else:
            overridden.add(path)
    return problems, overridden


def _value(text: str) -> Any:
    try:
        parsed = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text
    return parsed["value"] if list(parsed) == ["value"] else text


def _put(node: Any, names: list[str], value: Any) -> bool:
    name: Any = names[0]
    if isinstance(node, list):
        if not (name.isascii() and name.isdigit() and int(name) < len(node)):
            return False
        name = int(name)
    elif not isinstance(node, dict):
        return False
    if len(names) == 1:
        node[name] = value
        return True
    child = node[name] if isinstance(node, list) else node.setdefault(name, {})
    return _put(child, names[1:], value)


def _marked(design: Design, overridden: set[str]) -> Design:
    """Say of the overridden quantities that they come from the command line."""
    for path, quantity in stood_on(design):
        if path in overridden:
            design = _set_source(design, path.split("."), replace(quantity, source=f"{_SET} on the command line"))
    return design


def _set_source(node: Any, names: list[str], quantity: Any) -> Any:
    if not names:
        return quantity
    if isinstance(node, list | tuple):
        index = int(names[0])
        return type(node)([*node[:index], _set_source(node[index], names[1:], quantity), *node[index + 1 :]])
    return node.model_copy(update={names[0]: _set_source(getattr(node, names[0]), names[1:], quantity)})


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
            lines.setdefault(table + key[1].strip("\"'"), number)
    return lines


def _placed(
    problems: Iterable[Problem], text: str, overridden: set[str], of_file: list[Problem]
) -> list[Problem]:
    """Say of each problem which line of the file it lies in, or that an override made it."""
    lines = _lines(text)
    placed = []
    for problem in problems:
        if _within(problem.path, overridden):
            placed.append(replace(problem, why=f"({_SET}) {problem.why}"))
            continue
        if overridden and problem not in of_file and problem.path != _SET:
            problem = replace(problem, why=f"(with {_SET} {', '.join(sorted(overridden))}) {problem.why}")
        parts = problem.path.split(".")
        paths = (".".join(parts[:n]) for n in range(len(parts), 0, -1))
        placed.append(replace(problem, line=next((lines[p] for p in paths if p in lines), 0)))
    return sorted(placed, key=lambda problem: problem.line)
