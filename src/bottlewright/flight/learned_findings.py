"""What has to be known of values that flights taught: not there, of a rocket that was changed since, or gone stale."""

from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.learned import TOLD_APART
from bottlewright.design.taught import PLAIN, worth_of
from bottlewright.findings import Finding, Level, Stage

__all__ = ["learned_findings"]

_ASKED = 'learned.from = "logbook" asks for what the flights taught'


def learned_findings(design: Design) -> Iterator[Finding]:
    """Look at what a completed design takes on from its flights; nothing where it asks for nothing."""
    learned, taken = design.written.learned, design.written.taken
    if learned is None:
        return
    if learned.unread:
        yield Finding(
            Level.LOOK, Stage.FLY, "nothing-learned",
            "The design asks for what its flights taught, and flies by tables and judgement as before",
            learned.unread, _ASKED, "the design file",
            "Run `bottlewright learn` with --keep, or take the line out",
        )  # fmt: skip
    if learned.newer:
        yield Finding(
            Level.NOTE, Stage.FLY, "newer-flights",
            "Flights since then are not in what was learned",
            f"{learned.rests_on}: {', '.join(learned.newer[:4])}{' and more' * (len(learned.newer) > 4)}", _ASKED,
            "the logbook", "Learn anew on the page Learn, or with `bottlewright learn` and --keep",
        )  # fmt: skip
    changes = taken.changes if taken else ()
    if changes:
        keys = list(dict.fromkeys(one.key for one in changes))
        gone = [name for path, name in TOLD_APART.items() if path in learned.paths and worth_of(path, changes) < 1.0]
        lost = f"; so {' and '.join(gone)} {'is' if len(gone) == 1 else 'are'} known less well again" if gone else ""
        yield Finding(
            Level.LOOK if any(one.by >= PLAIN for one in changes) else Level.NOTE, Stage.FLY, "changed-since-learned",
            "The rocket is not as it was when its flights taught something",
            f"{', '.join(keys[:4])}{f' and {len(keys) - 4} more' * (len(keys) > 4)} changed since the flights{lost}",
            "what is as it flew counts whole, changed by less than 3 % nine tenths, by less than 15 % half, else 0",
            "our judgement", "Fly it as it is now, measure, and learn anew",
        )  # fmt: skip
