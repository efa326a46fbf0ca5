"""Put each cure that was found beside its finding, in the verdict that everything prints."""

import shlex
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from bottlewright.cures.cure import Cure
from bottlewright.cures.find import find_cures
from bottlewright.cures.judging import Judge
from bottlewright.cures.workshop import prices_of
from bottlewright.design.document import Design
from bottlewright.design.rewriting import as_overrides
from bottlewright.findings import Finding, Level, Stage
from bottlewright.verdict import Verdict, judge_alone

__all__ = ["cured", "cures_of"]


def cures_of(
    design: Design, folder: Path, verdict: Verdict, judge: Judge | None = None,
    say: Callable[[str, float], None] = lambda *_: None,
) -> tuple[Cure, ...]:
    """Return the cures of a verdict's stops, and of its looks at how steady the rocket flies.

    The other looks carry their number in the remedy already, and trying them takes landings by the hundred.

    Parameters
    ----------
    folder
        Where the design file lies.
    judge
        Finds all there is to find in a changed design; when left out, all but new landings.
    say
        Takes what is being done and how far it is, 0 to 1; it may raise to stop.
    """
    open_ = [*verdict.at(Level.STOP), *verdict.at(Level.LOOK, Stage.FLY)]
    return find_cures(design, open_, judge or (lambda changed: judge_alone(changed, folder).findings),
                      prices_of(design, folder), say)


def cured(verdict: Verdict, cures: Sequence[Cure]) -> Verdict:
    """Return the verdict with each cure first in the remedy of its finding."""
    by_code = {cure.code: cure for cure in cures}
    landed = verdict.distances.spectators is not None
    return replace(verdict, findings=tuple(_with(one, by_code.get(one.code), landed) for one in verdict.findings))


def _with(finding: Finding, cure: Cure | None, landed: bool) -> Finding:
    if cure is None or finding.level not in (Level.STOP, Level.LOOK):
        return finding
    words = cure.words[:1].upper() + cure.words[1:]
    tried = "no change of this one cures it"
    if cure.tried:
        tried = "tried, and this finding was gone; write it into the file once it is so: "
        tried += " ".join(f"--set {shlex.quote(text)}" for text in as_overrides(cure.tried))
    if cure.changes:
        by_rule = not landed and any(key.startswith("launcher.crew.") for key, _ in cure.changes)
        tried = "by the rule alone, landings are not worked out" if by_rule else "tried, and this finding was gone"
        tried += "; " + " ".join(f"--set {shlex.quote(text)}" for text in cure.overrides)
    return replace(finding, remedy=f"{words} ({tried}). Otherwise: {finding.remedy}")
