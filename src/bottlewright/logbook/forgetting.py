"""Take a person out of every file of a folder: who wrote an entry, who was let in, a name in words and comments.

A name is taken out where it stands as a word of its own. A number or a single letter means too much else, so it is
taken out only where it can be nothing but a person. What can't be changed is named, and left for a person to look at.
`forgetting_records` does it in the logbook's own files, key by key.
"""

import contextlib
import json
import os
import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from bottlewright.design import complete, parse_design
from bottlewright.design.digest import design_digest
from bottlewright.design.errors import DesignError
from bottlewright.design.paths import value_at
from bottlewright.design.writing import changed_text, write_over
from bottlewright.errors import BottlewrightError, InputError
from bottlewright.logbook.files import FOLDER, writing
from bottlewright.logbook.forgetting_records import SOMEBODY, Forgetting, of_day, of_record
from bottlewright.logbook.people import PEOPLE

__all__ = ["Forgotten", "Place", "forget"]

_TEXTS = {".toml", ".csv", ".geojson", ".json", ".jsonl", ".md", ".txt", ".ics"}
_MOST_BYTES = 20_000_000
_RESULTS = "bottlewright-files.json"
_PERSONS = ("measured.by", "recovery.mechanism.tests.confirmed_by")
"""Keys of a design that hold a person."""
_NO_TEXT = re.compile("[\udc80-\udcff]")


class Place(NamedTuple):
    """A file, and in how many places of it the person was."""

    file: str
    places: int


class Forgotten(NamedTuple):
    """Files out of which the person was taken, and what is left to a person, each with why."""

    done: Sequence[Place]
    left: Sequence[tuple[str, str]]


def forget(folder: Path, name: str, look: bool = False) -> Forgotten:
    """Take a person out of every file below a folder: of all the files, or, when one can't be written, of none.

    What was done stays: the cycle, the test, the launch. Another copy of a logbook still has the name, and brings it
    back when the two are merged: forget it there too.

    Parameters
    ----------
    name
        As it was written.
    look
        Only say what would be done.

    Raises
    ------
    InputError
        When there is no name, or a file can't be written.
    """
    name = " ".join(name.split())
    if not name or name.startswith(SOMEBODY):
        raise InputError("Say whom to take out: the name, initials or number as it was written")
    files = list(_files(folder := folder.resolve()))
    own = [file for file, _ in files if _kind(file)]
    with contextlib.ExitStack() as held:
        try:
            for book in sorted({file.parent.parent for file in own}) if not look else ():
                held.enter_context(writing(book))
        except OSError as error:
            raise InputError(f"the logbook can't be written: {error.strerror}. Nothing was changed") from None
        who = Forgetting(name, _word(name), _nobody_yet(own))
        done, left, texts = [], [], dict[Path, str]()
        for file, shown in files:
            if who.word and who.word.search(re.sub(r"[_-]", " ", file.stem)):
                left.append((shown, "its own name holds the person's: rename it"))
            found, new, why = _in_file(file, who)
            if found and new is not None:
                done.append(Place(shown, found))
                texts[file] = new
            if why:
                left.append((shown, why))
        left += [(f"photos/{one}", "a photo of an entry of this person: look at it, and delete it if it shows somebody")
                 for one in sorted(who.photos) if (folder / "photos" / one).is_file()]  # fmt: skip
        if not look:
            _write(texts)
    return Forgotten(done, left)


def _kind(file: Path) -> str:
    """Return which of the logbook's own files it is, by the name of their folder; empty for any other file."""
    kinds = {"days": ".jsonl", "vessels": ".toml", "flights": ".toml", "contests": ".toml"}
    own = file.parent.parent.name == FOLDER and kinds.get(file.parent.name) == file.suffix
    return file.parent.name if own else ""


def _nobody_yet(files: Iterable[Path]) -> str:
    """Return a word for the person that stands for no other in the logbook: two of one day stay two."""
    said = [one for file in files for one in re.findall(rf"\b{SOMEBODY}\b(?: (\d+)\b)?", _read(file) or "")]
    return f"{SOMEBODY} {1 + max(int(one or 1) for one in said)}" if said else SOMEBODY


def _read(file: Path) -> str | None:
    """Return a file's text; bytes that are none of a text stay what they are. None where it can't be read."""
    try:
        return file.read_bytes().decode("utf-8", "surrogateescape") if file.stat().st_size <= _MOST_BYTES else None
    except OSError:
        return None


def _write(texts: dict[Path, str]) -> None:
    for file in texts:
        if not os.access(file, os.W_OK) or not os.access(file.parent, os.W_OK | os.X_OK):
            raise InputError(f"{file.name} can't be written: nothing was changed in any file")
    before = {file: file.read_bytes() for file in texts}
    try:
        for file, text in texts.items():
            write_over(file, text)
    except OSError as error:
        for file, content in before.items():
            if file.read_bytes() != content:
                write_over(file, content.decode("utf-8", "replace"))
        raise InputError(f"a file can't be written: {error.strerror}. Nothing was changed in any file") from None


def _files(folder: Path) -> Iterator[tuple[Path, str]]:
    """Yield every file below a folder, its name from there; no link is followed."""
    for at, folders, names in os.walk(folder, followlinks=False):
        folders[:] = sorted(one for one in folders if not one.startswith("."))
        for name in sorted(names):
            file = Path(at) / name
            own = name == PEOPLE and Path(at) == folder
            if not file.is_symlink() and file.is_file() and (own or not name.startswith(".")):
                yield file, file.relative_to(folder).as_posix()


def _in_file(file: Path, who: Forgetting) -> tuple[int, str | None, str]:
    """Return how often the person is in a file, its text without them, and what of it is left to whoever asks.

    The text is None where the file stays as it is.
    """
    if file.suffix.lower() not in _TEXTS and file.name != PEOPLE:
        return 0, None, _why_not_text(file, who.word)
    text, kind = _read(file), _kind(file)
    if text is None or (kind != "days" and _NO_TEXT.search(text)):
        return 0, None, "it can't be read: look into it"
    if file.name == PEOPLE:
        return (*_of_people(text, who.name), "")
    if kind == "days":
        return of_day(text, who)
    return of_record(text, kind, who) if kind else _of_text(file, text, who)


def _of_text(file: Path, text: str, who: Forgetting) -> tuple[int, str | None, str]:
    base, times = _of_keys(text, who) if file.suffix == ".toml" else (text, 0)
    new, more = who.within(base)
    found = times + more
    if not found:
        return 0, None, ""
    if file.parent.name == "raw" and file.parent.parent.name == FOLDER:
        return found, None, "a logger's file stays as it came: delete it, or change it by hand"
    if (file.parent / _RESULTS).exists() or any((up / _RESULTS).exists() for up in file.parents):
        return found, None, "it is a result of a command: delete it, and run the command again"
    if file.suffix == ".toml" and _meaning(base) != _meaning(new):
        return times or more, base if times else None, "the name stands where it counts: change it by hand"
    return found, new, ""


def _of_keys(text: str, who: Forgetting) -> tuple[str, int]:
    """Return a design's text without the person at the keys that hold one, and at how many."""
    new: dict[str, str | float | int | bool | None] = {}
    try:
        design = parse_design(text)
    except BottlewrightError:
        return text, 0
    withdrawn = [f"damage.{number}.withdrawn_by" for number in range(len(design.damage))]
    for key in (*_PERSONS, *withdrawn):
        with contextlib.suppress(DesignError):  # of a table that is not there
            said, times = who.within(str(value_at(design, key) or ""), person=True)
            new |= {key: said} if times else {}
    return (changed_text(text, new), len(new)) if new else (text, 0)


def _why_not_text(file: Path, word: "re.Pattern[str] | None") -> str:
    if file.suffix.lower() != ".html" or word is None or file.stat().st_size > _MOST_BYTES:
        return ""
    return "a page with the name in it: delete it" if word.search(file.read_text("utf-8", "replace")) else ""


def _word(name: str) -> "re.Pattern[str] | None":
    """Return what finds a name as a word of its own; None for one that means too much else."""
    if len(name) < 2 or name.isdecimal():
        return None
    exact = re.IGNORECASE if len(name) > 3 else 0
    return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", exact)


def _of_people(text: str, name: str) -> tuple[int, str]:
    try:
        kept = json.loads(text)
        stay = [one for one in kept["people"] if one["name"].casefold() != name.casefold()]
        found = len(kept["people"]) - len(stay)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return 0, text
    return found, json.dumps({**kept, "people": stay}, indent=1, ensure_ascii=False) + "\n"


def _meaning(text: str) -> str:
    """Return what a design file says, comments aside; its own text where it is no design."""
    try:
        return design_digest(complete(parse_design(text)))
    except BottlewrightError:
        return text
