"""A person taken out of the logbook's own files: of the keys that hold a person, and of what was written in words."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import tomlkit
from tomlkit.container import Container
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AbstractTable, AoT, Whitespace

from bottlewright.design.errors import DesignError
from bottlewright.logbook.files import parse_record
from bottlewright.logbook.records import ContestFile, FlightFile, VesselFile

__all__ = ["SOMEBODY", "Forgetting", "of_day", "of_record"]

SOMEBODY = "somebody"
"""Stands where the name stood; with a number where it stands for somebody else already."""

PERSONS = frozenset({"who", "by", "adult", "adults", "crew", "members", "name"})
"""Keys whose whole value is a person, or a list or table of persons: of `records`, of the day's events, of `entries`.

A ``team`` is not one of them: a number may be the team's. ``name`` is a rocket's under ``rockets``."""

_KEPT = {
    str: frozenset({
        "design", "sha256", "digest", "entry", "pressurised", "id", "vessel", "rocket", "pad", "photo",
        "what", "event", "role", "role_of", "point", "gate", "code", "kind", "landing", "ended", "at", "called",
        "pressure", "mean", "gust", "from", "says", "peak", "file",
    }),
    list: frozenset({"photos", "raw", "stops", "holds", "looks"}),
}  # fmt: skip
"""Texts and lists that are a design, the names of things and files, or words of the program's: told, and left."""

_LEFT = "the name still stands in it, in a design as it was flown or as what something is called: change it by hand"


@dataclass
class Forgetting:
    """Who is taken out.

    Parameters
    ----------
    word
        Finds the name as a word of its own; None for one that means too much else.
    stands
        What stands in its place.
    photos
        Gathered on the way: pictures that entries of this person name.
    """

    name: str
    word: re.Pattern[str] | None
    stands: str = SOMEBODY
    photos: set[str] = field(default_factory=set)

    def within(self, text: str, person: bool = False) -> tuple[str, int]:
        """Return a text without the name, and how often it stood there; of a `person`'s key the whole text counts."""
        if person and text.casefold() == self.name.casefold():
            return self.stands, 1
        return self.word.subn(self.stands, text) if self.word else (text, 0)

    def left(self, text: str) -> str:
        """Return what is said of a text in which the name still stands."""
        return _LEFT if self.word and self.word.search(text) else ""


def of_day(text: str, who: Forgetting) -> tuple[int, str, str]:
    """Return how often a journal names the person, all its lines without the name, and what is left to be done.

    A torn line loses the name too, where it is one that can be found in words.
    """
    found, lines = 0, []
    for line in text.split("\n"):
        try:
            entry = json.loads(line) if line.strip() else None
        except (ValueError, RecursionError):
            line, times = who.within(line)
            found, entry = found + times, None
        if isinstance(entry, dict) and (times := _walked(entry, who)):
            who.photos |= {entry["photo"]} if isinstance(entry.get("photo"), str) else set()
            found, line = found + times, json.dumps(entry, ensure_ascii=False)
        lines.append(line)
    new = "\n".join(lines)
    return found, new.encode("utf-8", "surrogateescape").decode("utf-8", "replace"), who.left(new)


_MODELS: dict[str, type[FlightFile] | type[VesselFile] | type[ContestFile]] = {
    "flights": FlightFile, "vessels": VesselFile, "contests": ContestFile}  # fmt: skip


def of_record(text: str, kind: str, who: Forgetting) -> tuple[int, str | None, str]:
    """Return the same of the file of a bottle ("vessels"), a launch ("flights") or a contest; comments are words."""
    try:
        document: Any = tomlkit.parse(text)
    except TOMLKitError:
        return 0, None, "it can't be read: look into it"
    found = _walked(document, who) + _in_comments(document, who)
    new = tomlkit.dumps(document)
    said = document.get("team")
    teams = [said] if isinstance(said, str) else [one.get("team") for one in said or ()]
    if who.word is None and any(who.within(str(team), person=True)[1] for team in teams):
        why = "a team is called that: change it by hand if it is this person"
    else:
        why = who.left(new)
    if not found:
        return 0, None, why
    try:
        parse_record(new, _MODELS[kind])
    except DesignError:
        return found, None, "without the name it could not be read: change it by hand"
    who.photos |= {str(one) for one in document.get("photos", [])}
    return found, new, why


def _walked(node: Any, who: Forgetting, persons: frozenset[str] = PERSONS, every: bool = False) -> int:
    """Take a person out of the values of tables and lists; return how often they stood there.

    Parameters
    ----------
    persons
        Keys that hold one; none among rockets.
    every
        All that is in it is a person.
    """
    found = 0
    for key in list(node) if isinstance(node, dict) else range(len(node)):
        value = node[key]
        if any(isinstance(value, sort) and key in keys for sort, keys in _KEPT.items()) or (
                key == "name" and not persons):  # fmt: skip
            continue
        person = every or key in persons
        if isinstance(value, dict | list):
            found += _walked(value, who, frozenset() if key == "rockets" else persons, person)
        elif isinstance(value, str):
            new, times = _differing(node, who) if key == "value" and "key" in node else who.within(str(value), person)
            if times:
                node[key] = new
            found += times
    return found


def _differing(differs: Any, who: Forgetting) -> tuple[str, int]:
    """Return what another copy said, without the name: JSON of a value of the key that stands beside it."""
    try:
        said = json.loads(differs["value"])
    except ValueError:
        said = None
    if not isinstance(said, str):
        return who.within(str(differs["value"]))
    new, times = who.within(said, person=not PERSONS.isdisjoint(str(differs["key"]).split(".")))
    return json.dumps(new, ensure_ascii=False), times


def _in_comments(document: Any, who: Forgetting) -> int:
    found = 0
    for item in _items(document):
        new, times = who.within(item.trivia.comment)
        if times:
            item.trivia.comment = new
        found += times
    return found


def _items(node: Any) -> Iterator[Any]:
    """Yield what may have a comment in a document."""
    inner = node.value if isinstance(node, AbstractTable) else node
    for one in inner.body if isinstance(inner, Container | AoT) else ():
        item = one[1] if isinstance(one, tuple) else one
        if not isinstance(item, Whitespace):
            yield item
            yield from _items(item)
