"""What has to hold of every refusal and of everything that is read, whatever stood in the file."""

import math
import re
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any
from unicodedata import category

from pydantic import BaseModel

from bottlewright.design import Design, DesignError, complete, parse_design, stood_on
from bottlewright.design.text_files import bad_character
from bottlewright.design.written_out import written_out

__all__ = ["faults_of_design", "faults_of_message", "faults_of_names", "faults_of_problems", "within_two_seconds"]

LONGEST = 900
"""Letters of one problem: a table with many keys lists them all, and nothing else is longer."""

PROGRAMMERS_WORDS = re.compile(
    r"pydantic|Traceback|Input should|NoneType|object is not|<class|\bErrors?\b|[a-z]Error\b|unhashable|\bdatetime\b"
    r"|JSON ?Decode|Expecting|has no attribute"
    r"|indices must|could not convert|invalid literal|\bcodec\b|\bdict\b|\btuple\b|\bstr\(|'str'"
    r"|not supported between|\bkeyword\b|positional|newline=|field larger|\bbool\b|NUL\b|TOML ?Decode|type=|\bobject\b"
    r"|numpy|shapely"
    r"|\bfloat\b|\bargument\b|delimiter|surrogates not|Quantity\("
)  # fmt: skip
OF_THE_WHOLE_FILE = re.compile(
    r"(?:\(with --set .*\) )?(?:is empty|holds a number too long|has more mistakes|has more problems|is a folder"
    r"|is too big|does not exist|says again what an earlier line)"
)


def faults_of_message(message: str, longest: int = LONGEST) -> list[str]:
    """Return what makes a message no message to a builder."""
    faults = [f"says {word[0]!r}: {message[:200]!r}" for word in PROGRAMMERS_WORDS.finditer(message)]
    unprinted = sorted(letter for letter in set(message) if not letter.isprintable() and category(letter) != "Zs")
    faults += [f"holds {letter!r}: {message[:200]!r}" for letter in unprinted]
    faults += [f"has {len(message)} letters: {message[:200]!r}"] if len(message) > longest else []
    return faults + ([] if message.strip() else ["says nothing"])


def faults_of_problems(error: DesignError) -> list[str]:
    """Return what is wrong with the problems of a refused design, apart from the design."""
    faults = [] if error.problems else ["names no problem"]
    for problem in error.problems:
        faults += faults_of_message(str(problem))
        if not (problem.path or problem.line or OF_THE_WHOLE_FILE.match(problem.why)):
            faults.append(f"says neither path nor line: {str(problem)[:200]!r}")
    return faults


def faults_of_names(texts: Iterable[str], lines: bool = False) -> list[str]:
    """Return the names that were taken although they hold what a name must not."""
    return [f"took a name that holds {bad}: {text[:80]!r}" for text in texts if (bad := bad_character(text, lines))]


def _texts(node: Any) -> Iterator[str]:
    if isinstance(node, str):
        yield node
    elif isinstance(node, BaseModel):
        for name in type(node).model_fields:
            if name != "notes":
                yield from _texts(getattr(node, name))
    elif isinstance(node, dict):
        for key, entry in node.items():
            yield from _texts(key)
            yield from _texts(entry)
    elif isinstance(node, list | tuple):
        for entry in node:
            yield from _texts(entry)


def faults_of_design(design: Design) -> list[str]:
    """Return what is wrong with a design that was read: it has to be complete, finite, and to survive being written."""
    faults = faults_of_names([*_texts(design), *(quantity.text for _, quantity in stood_on(design))])
    for note in design.reading_notes:
        faults += faults_of_message(note.found, 10 * LONGEST)
    try:
        completed = complete(design)
        values = _values(completed)
        faults += [f"{path} is {pair}" for path, pair in values.items() if not all(map(math.isfinite, pair))]
        again = _values(complete(parse_design(written_out(completed))))
    except DesignError as error:
        return faults + faults_of_problems(error)
    return faults + [f"{path} was {values.get(path)} and reads back as {again.get(path)}"
                     for path in values.keys() | again.keys() if values.get(path) != again.get(path)]  # fmt: skip


def _values(design: Design) -> dict[str, tuple[float, float]]:
    return {path: (quantity.value, quantity.spread) for path, quantity in stood_on(design)}


@contextmanager
def within_two_seconds(faults: list[str]) -> Iterator[None]:
    """Find fault with what takes the processor longer than two seconds, whether it reads the file or refuses it."""
    start = time.process_time()
    try:
        yield
    finally:
        took = time.process_time() - start
        if took > 2.0:
            faults.append(f"took {took:.1f} s")
