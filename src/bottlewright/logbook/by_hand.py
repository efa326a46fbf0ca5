"""A launch that somebody begins or writes down by hand, against the day that is kept: one launch at a time."""

from pathlib import Path

from bottlewright.errors import InputError
from bottlewright.logbook.day import NO_PLAN, day_of
from bottlewright.logbook.day_state import Day, RocketNow
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.entries import from_a_phone
from bottlewright.logbook.gates import ON_THE_PAD
from bottlewright.logbook.journal import day_files, read_journal

__all__ = ["check_by_hand"]

_ITS_OWN = ON_THE_PAD | {"loaded", "launched", "down"}
"""States in which the day has a launch of the rocket in hand: its file was begun when it was loaded."""


def check_by_hand(folder: Path, rocket: str, vessel: str | None, at: str) -> None:
    """Refuse a launch by hand of a rocket, or a bottle, that the day is leading through a launch of its own.

    Parameters
    ----------
    folder
        The logbook's own.
    vessel
        What is written on its bottle; None where nothing is.
    at
        When it is said to leave, on the field's watches: what flew before the day began is none of the day's.

    Raises
    ------
    InputError
        With where the rocket stands, and what would be right.
    """
    for path in day_files(folder)[::-1]:
        day = day_of(NO_PLAN, (one for one in read_journal(path).entries if not from_a_phone(one)))
        if day.plan.rockets:  # a later journal may hold remarks of phones alone
            break
    else:
        return
    if at[:10] < path.stem:
        return
    for name, now in day.rockets.items():
        same = name == rocket or (vessel and day.plan.rockets[name].vessel == vessel)
        if same and now.state in _ITS_OWN:
            raise InputError(_why(day, name, rocket, now))


def _why(day: Day, name: str, rocket: str, now: RocketNow) -> str:
    vessel = day.plan.rockets[name].vessel
    which = rocket if name == rocket else f"the bottle of {rocket}, {vessel}, is in {name}, which"
    says = day_table().states[now.state].says
    return (f"{which} stands at “{now.state}” on the day that is kept ({says}). No launch of it is begun or written "
            "down by hand meanwhile: this one began when it was loaded, and has its file. Lead it on, on the page "
            "Launch, until it is back or was called off")  # fmt: skip
