"""In which order the entries of a journal were said: what the journal says of it itself goes before any clock.

Each entry names the one behind which it was written (``after``) and has the next number (``n``), whatever its time is.
So a clock that jumps moves nothing, and what laptops that were cut apart wrote meanwhile lies by time between.
"""

from collections.abc import Iterable, Sequence

from bottlewright.logbook.journal import Entry

__all__ = ["behind", "by_the_rules_of_now", "in_order"]


def in_order(entries: Iterable[Entry]) -> list[Entry]:
    """Return entries in their order, each name once.

    An entry has the latest time of its own and those behind which it was written. Entries without ``after``, as earlier
    versions wrote them, lie by their time alone.
    """
    at: dict[str, str] = {}
    first: dict[str, tuple[tuple[str, int, str, str], Entry]] = {}
    for entry in sorted(entries, key=lambda one: (_number(one), _words(one))):  # what is named has a lesser number
        name, own = str(entry.get("entry")), str(entry.get("at", ""))
        time = max(own, at.get(str(entry.get("after", "")), own))
        key = (time, _number(entry), name, _words(entry))
        if name not in first or key < first[name][0]:
            first[name], at[name] = (key, entry), time
    return [entry for _, entry in sorted(first.values(), key=lambda one: one[0])]


def behind(entries: Sequence[Entry], entry: Entry) -> Entry:
    """Return an entry as it is written behind others, which are in order: with the next number, and the last's name."""
    last = str(entries[-1].get("entry")) if entries else ""
    return {**entry, "n": max(map(_number, entries), default=0) + 1, "after": last}


def by_the_rules_of_now(entry: Entry) -> bool:
    """Say whether an entry was taken by the rules of now; older ones are read to the states that they led to then."""
    return "after" in entry


def _number(entry: Entry) -> int:
    number = entry.get("n")
    return number if isinstance(number, int) else 0


def _words(entry: Entry) -> str:
    return str(sorted(entry.items(), key=str))
