"""One type for every verdict: what can go wrong, what was found, the limit, who set the limit, and what to do.

Nothing in this program calls a rocket safe. A finding says what was found, on which basis, and against which rule;
local rules and the person in charge of the site come first.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

__all__ = ["OWN_TEST", "Finding", "Level", "Stage", "by_urgency", "stops"]

OWN_TEST = "own-test-missing"
"""Code of the hold point that comes before every other: the bottle has no water test of its own."""


class Level(StrEnum):
    """How much a finding asks of the builder.

    Worth knowing; nobody has checked it; look at it before you go on; something is missing, not wrong, that has to be
    there before anyone pumps (a hold point); or do not go on.
    """

    NOTE = "note"
    UNCHECKED = "unchecked"
    LOOK = "look"
    HOLD = "hold"
    STOP = "stop"


class Stage(StrEnum):
    """The stages of the job, in the order that the work flows."""

    SKETCH = "Sketch"
    PROVE = "Prove"
    TUNE = "Tune"
    FLY = "Fly"
    FIELD = "Field"
    MAKE = "Make"


@dataclass(frozen=True, slots=True)
class Finding:
    """One verdict, in words that a fourteen-year-old can follow, numbers and units first.

    Parameters
    ----------
    level, stage
        How urgent, and which stage of the job it belongs to.
    code
        Short stable name for programs and tests, such as ``"over-rated-pressure"``.
    hazard
        What can go wrong.
    found
        What this design shows, with its number and unit.
    limit
        The limit it is held against, with its number and unit.
    source
        Who set the limit: a standard, a rule, a measurement, ``"common practice, no source"`` or ``"our judgement"``.
    remedy
        What would put it right.
    """

    level: Level
    stage: Stage
    code: str
    hazard: str
    found: str
    limit: str
    source: str
    remedy: str

    def __post_init__(self) -> None:
        """Write hazards and remedies of all packages alike: a capital first, one sentence without a full stop."""
        for name in ("hazard", "remedy"):
            text = getattr(self, name)
            text = text[:1].upper() + text[1:]
            object.__setattr__(self, name, text if ". " in text else text.removesuffix("."))

    def as_json(self) -> dict[str, Any]:
        """Return the finding as plain strings under its field names."""
        return {key: str(value) for key, value in asdict(self).items()}


def by_urgency(findings: Iterable[Finding]) -> list[Finding]:
    """Sort stops first, then hold points, looks, what is unchecked, notes; within a level the order of the work.

    The missing water test is the first hold point, for nothing else counts before it.
    """
    levels = list(Level)[::-1]
    stages = list(Stage)
    return sorted(findings, key=lambda finding: (levels.index(finding.level), finding.code != OWN_TEST,
                                                 stages.index(finding.stage)))


def stops(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings that say: do not go on."""
    return [finding for finding in findings if finding.level is Level.STOP]
