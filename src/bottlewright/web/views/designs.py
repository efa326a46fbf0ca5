"""Designs: which rockets are there, how do they compare, and what is the next one?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.compare import Comparison, compare, length_of, small_drawing, view_of
from bottlewright.project.next_one import what_holds
from bottlewright.web.views.frame import Cell, kept_together, verdict_cells

if TYPE_CHECKING:
    from bottlewright.web.office import Office
    from bottlewright.web.shelf import Standing

__all__ = ["Design", "DesignsPage", "compared", "designs_page", "shown_designs"]

_WIDE, _HIGHEST = 70.0, 1.6
"""Width of a small drawing, mm; the longest rocket, m, that sets the scale: a longer one is drawn at its own."""


class Design(NamedTuple):
    """One design in the list.

    Parameters
    ----------
    file, name
        Of it.
    svg
        The small drawing, at the scale of the others.
    cells
        The verdict's answers; nothing while they are being worked out.
    facts
        Number, and what it is.
    wrong
        Why it can't be read.
    open
        Whether it is the one that is worked on.
    carried, left
        What comes along to the next one and what does not, with the reason.
    """

    file: str
    name: str
    svg: str
    cells: Sequence[Cell]
    facts: Sequence[tuple[str, str]]
    wrong: str
    open: bool
    carried: Sequence[tuple[str, str]] = ()
    left: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True)
class DesignsPage:
    """The page of the folder.

    Parameters
    ----------
    designs
        In the order of their files.
    working
        Whether some are still being worked out.
    scale
        What the small drawings share, in words.
    """

    designs: Sequence[Design]
    working: bool
    scale: str


def designs_page(office: "Office") -> DesignsPage:
    """Return the page of the folder."""
    designs = shown_designs(office)
    return DesignsPage(designs, any(not one.cells and not one.wrong for one in designs),
                       "All drawn at one scale, from the side." if len(designs) > 1 else "")  # fmt: skip


def shown_designs(office: "Office") -> list[Design]:
    """Return the designs of the folder, as far as they are known."""
    found = office.shelf.standings(office.designs(), office.warm.ready.is_set())
    lengths = [length_of(view_of(one.project)) for one in found if one.project]
    longest = max((one for one in lengths if one <= _HIGHEST), default=max(lengths, default=1.0))
    return [_shown(one, longest, number, office) for number, one in enumerate(found)]


def _shown(one: "Standing", longest: float, number: int, office: "Office") -> Design:
    now = office.job is not None and office.job.file.name == one.file
    if one.project is None or one.judged is None:
        return Design(one.file, one.file, "", (), (), one.wrong, now)
    view = view_of(one.project)
    svg = small_drawing(view, one.project.name, str(number), _WIDE, max(longest, length_of(view)))
    habit, flight = one.judged.verdict.habit, one.project.fly().summary
    height, margin = flight["apogee_m"], flight["static_margin_min_calibres"]
    facts = [
        (habit.distance(height).partition(" (")[0] if math.isfinite(height) else "not known", "up"),
        (f"{margin:.2f}" if math.isfinite(margin) else "not known", "calibres (body widths) steady at the least"),
        (habit.length(length_of(view)).partition(" (")[0], "long"),
    ]
    cells = [Cell(kept_together(cell.bold), cell.because, cell.level) for cell in verdict_cells(one.judged)[:2]]
    return Design(one.file, one.project.name, svg, cells, facts, "", now, *what_holds(one.project))


def compared(office: "Office", files: Sequence[str]) -> Comparison:
    """Return designs side by side.

    Raises
    ------
    InputError
        When they are not two or three, or one of them can't be read.
    """
    from bottlewright.errors import InputError

    there = office.designs()
    chosen = list(dict.fromkeys(file for file in files if file in there))
    if not 2 <= len(chosen) <= 3:
        raise InputError("Choose two or three designs, and press Compare again")
    if office.job:
        office.job.settle()
    found = [office.shelf.standing(file) for file in chosen]
    for one in found:
        if one.wrong:
            raise InputError(f"{one.file}: {one.wrong}")
    return compare([one.project for one in found if one.project], [one.judged for one in found if one.judged])
