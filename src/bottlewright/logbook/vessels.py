"""What a vessel's file says: how often it was under pressure, its tests, what ended it, and entries added to it."""

from collections.abc import Iterable
from pathlib import Path

from bottlewright.errors import InputError
from bottlewright.logbook.files import in_the_way, read_record, vessel_file, write_record, writing
from bottlewright.logbook.journal import Entry, journal_files, read_journal
from bottlewright.logbook.records import (
    Happened,
    Heated,
    Inspection,
    Pressurised,
    VesselFile,
    VesselId,
    VesselTest,
    WorkDone,
)

__all__ = ["VesselEntry", "add_entries", "carry_over", "counted", "cycles_by", "new_vessel", "read_vessel",
           "retire", "retired_because", "under_pressure"]  # fmt: skip

VesselEntry = Pressurised | VesselTest | Happened | Heated | Inspection | WorkDone
_LISTS: dict[type[Happened], str] = {
    Pressurised: "pressurised", VesselTest: "test", Inspection: "inspection", WorkDone: "work", Heated: "heat",
    Happened: "hard_landing",
}  # fmt: skip


def under_pressure(vessel: VesselFile) -> list[str]:
    """Return the moment of each time under pressure that the file tells of, tests too, the earliest first.

    Two entries of one name are two copies of one time; a line without a name is a time of its own.
    """
    found: dict[str, str] = {}
    for number, one in enumerate([*vessel.test, *vessel.pressurised]):
        found.setdefault(one.entry or f"line {number}", one.at)
    return sorted(found.values())


def counted(vessel: VesselFile) -> int | None:
    """Return how often a vessel was under pressure; None where nobody knows what was before its file began."""
    return None if vessel.earlier is None else vessel.earlier + len(under_pressure(vessel))


def cycles_by(vessel: VesselFile, at: str) -> int:
    """Return how often a vessel was under pressure by a moment, it included, as few as may be.

    Of a day without a time the other entries are taken as later: more times since a test let less of it count.
    """
    before = [one for one in under_pressure(vessel) if one < at[: len(one)]]
    return (vessel.earlier or 0) + len(before) + 1


def retired_because(vessel: VesselFile) -> str:
    """Return why nobody pumps a vessel again, reading on after "because"; empty where nothing says so."""
    if vessel.retired:
        return vessel.retired
    failed = next((one for one in vessel.test if not one.passed), None)
    if failed:
        return f"it failed a test on {failed.at[:10]}"
    for one in vessel.pressurised:
        if one.ended in ("leak", "burst"):
            return f"it {'leaked' if one.ended == 'leak' else 'burst'} on {one.at[:10]}"
    unfit = next((one for one in vessel.inspection if not one.fit), None)
    if unfit:
        return f"{unfit.adult} found it unfit on {unfit.at[:10]}"
    return ""


def read_vessel(folder: Path, name: str) -> VesselFile | None:
    """Read the file of a vessel of a logbook; None where there is none.

    Raises
    ------
    DesignError
        When it can't be read: with its line.
    """
    path = vessel_file(folder, name)
    return read_record(path, VesselFile) if path.exists() else None


def new_vessel(folder: Path, vessel: VesselFile) -> Path:
    """Begin the file of a vessel.

    Raises
    ------
    InputError
        When there is one of that id already, whichever way its letters are written.
    """
    path = vessel_file(folder, vessel.id)
    with writing(folder):
        taken = {path.stem.lower() for path in (folder / "vessels").glob("*.toml")}
        if vessel.id.lower() in taken:
            raise InputError(in_the_way(path) or f"there is a bottle {vessel.id} already: give this one another id")
        write_record(path, vessel)
    return path


def add_entries(folder: Path, name: VesselId, entries: Iterable[VesselEntry]) -> VesselFile:
    """Add entries to a vessel's file; one of the same name and words that is there already is there once.

    Parameters
    ----------
    entries
        A plain `Happened` is a hard landing.

    Raises
    ------
    InputError
        When no vessel of that id is known.
    """
    with writing(folder):
        return _added(folder, name, entries)


def _added(folder: Path, name: str, entries: Iterable[VesselEntry]) -> VesselFile:
    vessel = read_vessel(folder, name)
    if vessel is None:
        raise InputError(f"nobody knows a bottle {name}: begin its file first")
    for entry in entries:
        key = _LISTS[type(entry)]
        there = getattr(vessel, key)
        if entry.entry is None or entry not in there:
            vessel = vessel.model_copy(update={key: [*there, entry]})
    write_record(vessel_file(folder, name), vessel)
    return vessel


def retire(folder: Path, name: VesselId, because: str, day: str) -> None:
    """Retire a vessel; one that is retired stays so, for the reason that was written first.

    Raises
    ------
    InputError
        When no vessel of that id is known.
    """
    with writing(folder):
        vessel = _added(folder, name, [])
        if not vessel.retired:
            write_record(vessel_file(folder, name),
                         vessel.model_copy(update={"retired": because, "retired_on": day}))  # fmt: skip


def carry_over(folder: Path) -> dict[str, int]:
    """Bring into the vessels' files what the journals say and they lack: a crash came between the two.

    Returns
    -------
    dict
        How many entries were brought, by vessel. What names a vessel that nobody knows stays in the journal.
    """
    brought: dict[str, int] = {}
    with writing(folder):
        for path in journal_files(folder):
            waiting: dict[str, list[Pressurised]] = {}
            for entry in read_journal(path).entries:
                cycle = cycle_of(entry)
                if cycle is not None:
                    waiting.setdefault(str(entry["vessel"]), []).append(cycle)
            for name, cycles in waiting.items():
                vessel = read_vessel(folder, name)
                known = {(one.entry, one.ended) for one in vessel.pressurised} if vessel else set()
                lacking = [one for one in cycles if (one.entry, one.ended) not in known]
                if vessel and lacking:
                    _added(folder, name, lacking)
                    brought[name] = brought.get(name, 0) + len(lacking)
    return brought


def cycle_of(entry: Entry) -> Pressurised | None:
    """Return the time under pressure that an entry of the journal tells of; None where it tells of none.

    The step to pump begins one, whatever became of it; `pressurised` says under the same name how it ended.
    """
    if not entry.get("vessel"):
        return None
    if entry.get("what") == "step" and entry.get("event") == "pump":
        return Pressurised.model_validate({"entry": entry["entry"], "at": entry["at"], "ended": "begun"})
    if entry.get("what") != "pressurised":
        return None
    return Pressurised.model_validate({key: entry[key] for key in ("entry", "at", "peak", "ended", "by", "note")
                                       if entry.get(key) is not None})  # fmt: skip
