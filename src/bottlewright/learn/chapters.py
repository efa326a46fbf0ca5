"""What the report tells of what flights taught, under Fly: each value before and after, where the design draws so."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from bottlewright.design.document import Design
from bottlewright.design.learned import GAUGE, Taken
from bottlewright.design.paths import value_at
from bottlewright.design.unit_habit import unit_habit
from bottlewright.learn.meaning import INSIDE, THOUGHT, Known
from bottlewright.learn.picture import values_picture
from bottlewright.learn.unknowns import NAMED
from bottlewright.report.html import Chapter, place, prose

__all__ = ["taken_known", "with_learned"]


def with_learned(chapter: Chapter, design: Design) -> Chapter:
    """Return the Fly chapter with what the flights taught, as it was where the design draws from nothing."""
    taken = design.written.taken
    known = [*taken_known(design)]
    if taken is None or not known:
        return chapter
    habit = unit_habit(design)
    picture = values_picture(known, habit, "learned-values")
    told = prose(f"What the flights taught: {taken.learned.rests_on}. Nothing learned raises the pressure that a "
                 "bottle may hold.", *(one.sentence(habit) for one in known))  # fmt: skip
    section = replace(chapter.section, html=chapter.section.html + told + place(picture.name),
                      pictures=[*chapter.section.pictures, picture])  # fmt: skip
    said = {"rests_on": list(taken.learned.launches), "values": [one.as_json() for one in known]}
    return replace(chapter, section=section, results={**chapter.results, "learned": said})


def taken_known(design: Design) -> Iterator[Known]:
    """Yield each value that a completed design takes on from its flights, before and after."""
    taken = design.written.taken
    if taken is None:
        return
    for column, path in enumerate(taken.learned.paths):
        if path in NAMED and taken.worth[column] > 0.0 and (path in taken.before or path == GAUGE):
            yield _known(design, taken, column, path)


def _known(design: Design, taken: Taken, column: int, path: str) -> Known:
    old = value_at(design, path) if path == GAUGE else taken.before[path]
    start, step = (0.0, taken.learned.shares[column] * old.spread) if path == GAUGE else (old.value, old.spread)
    middle, variance = taken.learned.middles[column]
    tail = 0.5 * (1.0 - INSIDE)
    low, high = (start + step * float(end) for end in np.quantile(taken.learned.scores[:, column], (tail, 1.0 - tail)))
    thought = "the gauge said" if path == GAUGE else THOUGHT[old.basis]
    return Known(path, NAMED[path], start, step, start + step * middle, low, high, float(np.sqrt(variance)), middle,
                 thought)  # fmt: skip
