"""Findings as a reader meets them: those of one kind as one, what to write as a list to tick, what to do first."""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from bottlewright.findings import OWN_TEST, Finding, Level, by_urgency

__all__ = ["Action", "Kind", "Wanted", "counts", "first_actions", "first_sentence", "gist", "kinds", "split_wanted"]


class Kind(NamedTuple):
    """Findings of one code, level and stage: a heading, what they share, and a row each for what they do not."""

    heading: str
    first: Finding
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shared: tuple[tuple[str, str], ...]

    @property
    def times(self) -> int:
        """How many findings these are."""
        return max(len(self.rows), 1)


class Wanted(NamedTuple):
    """Something to write into the design file, and why."""

    write: str
    why: str


class Action(NamedTuple):
    """What to do, why, and whose finding asks for it."""

    do: str
    why: str
    level: Level
    stage: str


_NAMES = {"hazard": "What can go wrong", "found": "Found", "limit": "Limit", "source": "Who says so",
          "remedy": "What to do"}  # fmt: skip

_HEADINGS = {
    "chance-within": "The chance of coming down where the rocket must not, within what you accept",
    "chance-not-settled": "The chance of coming down where the rocket must not, not shown to be within what you accept",
    "chance-too-high": "The chance of coming down where the rocket must not, over what you accept",
    "wind-wait": "Hours at which the wind says wait",
    "wind-wait-spectators": "Hours to wait for: so few flights do not say how far spectators stand",
    "wind-no": "Hours at which the wind says no",
    "wind-no-crew": "Hours whose wind brings the rocket down on operator or pumper",
    "wind-no-spectators": "Hours whose wind brings the rocket down among the spectators",
    "wind-nothing-against": "Hours at which nothing in the wind speaks against it",
}
"""What several findings of a code have in common, where their hazards differ."""


def kinds(findings: Iterable[Finding]) -> list[Kind]:
    """Gather repeated findings: same code, level and stage make one, in the order of urgency."""
    groups: dict[tuple[str, Level, str], list[Finding]] = {}
    for finding in by_urgency(dict.fromkeys(findings)):
        groups.setdefault((finding.code, finding.level, finding.stage), []).append(finding)
    return [_kind(group) for group in groups.values()]


def _kind(group: Sequence[Finding]) -> Kind:
    first = group[0]
    if len(group) == 1:
        shared = tuple((said, getattr(first, name)) for name, said in _NAMES.items() if name != "hazard")
        return Kind(first.hazard, first, (), (), shared)
    differ = [name for name in _NAMES if len({getattr(one, name) for one in group}) > 1]
    same = [name for name in _NAMES if name not in differ and name != "hazard"]
    heading = _HEADINGS.get(first.code, f"{len(group)} findings of one kind") if "hazard" in differ else first.hazard
    return Kind(
        heading, first,
        tuple(_NAMES[name] for name in differ),
        tuple(tuple(getattr(one, name) for name in differ) for one in group),
        tuple((_NAMES[name], getattr(first, name)) for name in same),
    )  # fmt: skip


_UNDESCRIBED = {"age-unknown", "assumed-spread", "no-prices", "workshop-not-described"}
"""Codes of notes that say no more than that something was not written down."""


def split_wanted(findings: Iterable[Finding]) -> tuple[list[Finding], list[Wanted]]:
    """Split off the notes that only miss a description: what is left, and what to write."""
    kept: list[Finding] = []
    wanted: dict[Wanted, None] = {}
    for finding in findings:
        if finding.level is Level.NOTE and (finding.code in _UNDESCRIBED or finding.code.endswith("-not-described")):
            wanted[Wanted(finding.remedy, finding.found)] = None
        else:
            kept.append(finding)
    return kept, list(wanted)


def first_actions(findings: Iterable[Finding], most: int = 3) -> list[Action]:
    """Return what to do first: the remedies of the most urgent findings, each once; notes ask for nothing now.

    A bottle without a water test of its own is tested before anything else is done with it.
    """
    actions: dict[str, Action] = {}
    for one in sorted(by_urgency(findings), key=lambda finding: finding.code != OWN_TEST):
        if one.level not in (Level.NOTE, Level.UNCHECKED):
            do = first_sentence(one.remedy)
            actions.setdefault(do, Action(do, first_sentence(one.hazard), one.level, str(one.stage)))
    return list(actions.values())[:most]


def first_sentence(text: str) -> str:
    """Return the first sentence of a text without its full stop; whose rules come first stands on every page anyway."""
    return re.split(r"\.\s", text)[0].split("; local rules")[0].rstrip(".")


def gist(text: str) -> str:
    """Return the part of a sentence that names the matter: what explains it or follows from it is left out."""
    return re.split(r"[:;]\s|, (?:and so|and|so|but|because)\s|\.\s", text)[0].rstrip(".")


def counts(findings: Iterable[Finding]) -> dict[Level, int]:
    """Return how many findings there are of each level, the most urgent first; those of one kind count each."""
    levels = [finding.level for finding in dict.fromkeys(findings)]
    return {level: levels.count(level) for level in reversed(Level)}
