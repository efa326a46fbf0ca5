"""The sheets of the pack one by one: what each is, where it stands, and a print-out of those that are chosen."""

import re
from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from bottlewright.make.pack.typeset import asked_of_pack, typeset

__all__ = ["PackSheet", "chosen_pack", "pack_sheets", "titles_to_come"]

_TITLES: Mapping[str, tuple[str, str]] = {
    "cover": ("Cover", "what is read first"), "parts": ("Parts list", "what to get, with mass and price"),
    "schedule": ("Build schedule", "who does what when, and what has to cure"),
    "building": ("Launcher and steps", "drawings, cut list, every step with its check"),
    "packing": ("Fold and pack", "the canopy folded step by step, sizes of what lets it out"),
    "ground": ("Ground-test card", "try the release on the ground and count, where the design describes it"),
    "test": ("Proof-test sheet", "full of water: how hard, step by step, and when it ends"),
    "risks": ("Risk sheet", "each danger, its limit and what is done"),
    "day": ("Launch-day checklist", "who does what on the day"),
    "misfire": ("Misfire sheet", "when it does not go"), "vessel": ("Vessel card", "goes with the bottle for life"),
    "built": ("As-built card", "for each rocket, to file what was measured"),
    "flight": ("Flight card", "what to write down of each flight"),
    "briefing": ("Briefing and consent", "to read out and to sign"),
    "words": ("Words", "words of the trade, explained"), "findings": ("Findings", "all that was found, in full"),
}  # fmt: skip


class PackSheet(NamedTuple):
    """One sheet of the pack.

    Parameters
    ----------
    name, title, what
        Its short name, what it is called, and what it is for.
    first, pages
        Its first page in the pack, counted from 1, and how many pages it has.
    """

    name: str
    title: str
    what: str
    first: int
    pages: int


def pack_sheets(data: Mapping[str, Any]) -> list[PackSheet]:
    """Return the sheets of a pack in its order, by what the typesetter says of their pages."""
    found, (last,) = asked_of_pack(data, "sheet"), asked_of_pack(data, "pages")
    firsts = [*(int(one["page"]) for one in found), int(last) + 1]
    return [PackSheet(one["name"], *_titled(one["name"], data["sheets"]), first, after - first)
            for one, (first, after) in zip(found, pairwise(firsts), strict=True)]  # fmt: skip


def titles_to_come() -> list[tuple[str, str]]:
    """Return what every pack has, before one is made: title, and what it is for."""
    before = ("cover", "parts", "schedule", "building")
    patterns = ("Patterns", "every part to cut, at true size")
    return [*(_TITLES[name] for name in before), patterns,
            *(words for name, words in _TITLES.items() if name not in before)]  # fmt: skip


def _titled(name: str, patterns: Sequence[Mapping[str, Any]]) -> tuple[str, str]:
    if name in _TITLES:
        return _TITLES[name]
    number = int(name.removeprefix("pattern-"))
    if not patterns:
        return "Patterns", "nothing of it is printed"
    sheet = patterns[number - 1]
    tiles = "; to be joined" if sheet["tiles"] else ""
    parts = dict.fromkeys(re.sub(r" (caption|[A-Z]\d+)$", "", part) for part in sheet["parts"])
    return f"Pattern {number} of {len(patterns)}", f"{', '.join(parts).replace('-', ' ')}{tiles}"


def chosen_pack(data: Mapping[str, Any], names: Collection[str]) -> bytes:
    """Return the PDF of some sheets of a pack, in its order; under a stop the cover always goes along.

    Raises
    ------
    ValueError
        When none is chosen.
    """
    if not names:
        raise ValueError("no sheet is chosen")
    along = {"cover"} if data["stopped"] else set()
    return typeset({**data, "only": sorted({*names, *along})})
