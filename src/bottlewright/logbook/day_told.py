"""A day as its journal tells it to somebody who was not there: when what happened, and who said so."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from bottlewright.logbook.day import NO_PLAN, day_of
from bottlewright.logbook.day_joined import why_in_doubt
from bottlewright.logbook.day_order import in_order
from bottlewright.logbook.day_table import day_table
from bottlewright.logbook.day_wind import lower_wind_words
from bottlewright.logbook.entries import from_a_phone
from bottlewright.logbook.journal import Entry, journal_files, read_journal

__all__ = ["DayTold", "days_told", "told_of"]

_STEPS = ("pump", "launch", "down", "misfire", "leak", "vent", "approach", "give up", "retire",
          "stand down")  # fmt: skip
"""What is told of a rocket; the rest of its way stands in the journal."""


class DayTold(NamedTuple):
    """A day, and what happened on it, line by line."""

    day: str
    lines: tuple[str, ...]


def days_told(folder: Path) -> tuple[DayTold, ...]:
    """Return the days of a logbook, given by its folder, on which anything happened, the oldest first."""
    found = []
    for path in journal_files(folder):
        lines = told_of([one for one in read_journal(path).entries if not from_a_phone(one)])
        if lines:
            found.append(DayTold(path.stem, lines))
    return tuple(found)


def told_of(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Return what the entries of one day tell, in their order; what was refused is left out."""
    day = day_of(NO_PLAN, entries)
    refused = {str(one.get("entry")): why_in_doubt(one, refusal) for one, refusal in day.refused}
    names = {code: words for one in day.plan.rockets.values() for code, words in one.words.items()}
    return tuple(f"{str(one.get('at', ''))[11:16]} {one.get('by') or 'somebody'}: {words}"
                 for one in in_order(entries) for words in _or_in_doubt(one, refused, names))  # fmt: skip


def _or_in_doubt(entry: Entry, refused: dict[str, str], names: dict[str, str]) -> Iterator[str]:
    """Yield what an entry tells; of one that was refused, only what stopped the day for it."""
    name = str(entry.get("entry"))
    if name not in refused:
        yield from _words(entry, names)
    elif refused[name]:
        yield f"STOP: {refused[name]}"


def _words(entry: Entry, names: dict[str, str]) -> Iterator[str]:
    what, rocket = str(entry.get("what")), str(entry.get("rocket", ""))
    if what == "step" and entry.get("event") in _STEPS:
        landing = f": {entry['landing']}" if entry.get("landing") else ""
        why = f": {entry['why']}" if entry.get("why") else ""
        yield f"{rocket}: {day_table().acts[str(entry['event'])].done}{landing}{why}"
    elif what == "override":
        code = str(entry.get("code"))
        yield f"{rocket}: {entry.get('adult')} lifts “{names.get(code, code)}”: {entry.get('reason')}"
    elif what == "inspection":
        fit = "fit" if entry.get("fit") else "unfit"
        yield f"{entry.get('adult')} looked over bottle {entry.get('vessel')}: {fit}"
    elif what == "second sign":
        yield f"{rocket}: second sign: {entry.get('sign')}"
    elif what == "prepared":
        plan: Any = entry.get("plan")
        charge = plan["roles"].get("charge", {}).get("name", "nobody")
        yield f"the day is prepared: {', '.join(one['name'] for one in plan['rockets'])}; in charge: {charge}"
    elif what == "lower wind":
        yield lower_wind_words(entry)
    elif what in _PLAIN:
        more = entry.get("why") or entry.get("note") or entry.get("count")
        yield f"{_PLAIN[what]}{f': {more}' if more else ''}"
    elif what == "sky":
        yield from (f"{seen} is seen" if entry[seen] else f"no {seen} any more"
                    for seen in ("aircraft", "darkness", "frost") if seen in entry)  # fmt: skip


_PLAIN = {"stop": "STOP", "barred": "NOT TAKEN", "lift stop": "the stop is over", "near miss": "NEAR MISS",
          "near miss signed": "looked into the near miss and signed", "thunder": "thunder",
          "inside": "people inside a line", "note": "remark",
          "clock": "this computer’s clock jumped by days, and every wait began anew"}  # fmt: skip
