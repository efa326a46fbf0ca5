"""The verdict of a command: with a cure beside each stop, and a word while cures are tried."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.cli.printing import say

if TYPE_CHECKING:
    from bottlewright.cures import Cure
    from bottlewright.design import Design
    from bottlewright.findings import Finding
    from bottlewright.verdict import Verdict

__all__ = ["with_cures"]

Judge = Callable[[Any], "Sequence[Finding]"]


def with_cures(
    design: "Design", folder: Path, verdict: "Verdict", judge: Judge | None = None
) -> "tuple[Verdict, tuple[Cure, ...]]":
    """Return the verdict with a cure beside each stop that has one, and the cures; nothing is tried without a stop."""
    if verdict.level != "stop":
        return verdict, ()
    from bottlewright.cures import cured, cures_of

    say("Something says stop: trying what would put it right.")
    cures = cures_of(design, folder, verdict, judge)
    return cured(verdict, cures), cures
