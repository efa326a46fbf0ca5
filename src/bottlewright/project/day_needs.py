"""What a day takes before it begins: from the designs of a folder and how often each is launched."""

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError

if TYPE_CHECKING:
    from bottlewright.logbook.day_needs import DayNeeds as DayNeeds

__all__ = ["Judge", "day_needs", "needs_json", "needs_words"]


Judge = Callable[[str], Any]
"""From a design file's name to its project and verdict."""


def day_needs(folder: Path, launches: Mapping[str, int], day: str, judge: Judge | None = None) -> "DayNeeds":
    """Return the sums of a day.

    Parameters
    ----------
    folder
        Of the designs.
    launches
        By the name of each design file.
    day
        Such as "2027-03-20".
    judge
        Gives design and verdict of a file; read and judged now when left out.

    Raises
    ------
    InputError
        When a design can't be read, or nothing is launched.
    """
    from bottlewright.logbook.day_needs import day_needs as summed
    from bottlewright.logbook.day_needs import need_of
    from bottlewright.project.day_answers import judged_now

    wanted = {file: count for file, count in launches.items() if count > 0}
    if not wanted:
        raise InputError("say which design is launched how often")
    needs = []
    for file, count in wanted.items():
        project, verdict = judge(file) if judge else judged_now(folder, file)
        needs.append(need_of(project.design, project.proved, verdict, count))
    return summed(needs, date.fromisoformat(day))


def needs_words(needs: "DayNeeds") -> str:
    """Return the sums in lines."""
    lines = [f"{one.what}: {one.shown}. {one.how}" for one in needs.lines]
    return "\n".join([*lines, *needs.bottles]) + "\n"


def needs_json(needs: "DayNeeds") -> dict[str, Any]:
    """Return the sums as one document: SI."""
    return {"lines": [one._asdict() for one in needs.lines], "bottles": list(needs.bottles)}
