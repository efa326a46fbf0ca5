"""What a design says of its bottle, put right by the bottle's own file: what really happened counts.

Where the two differ the worse one counts, and both are said: nothing that somebody writes into a design makes a bottle
younger, less used or better tested than its file.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from bottlewright.design.errors import DesignError
from bottlewright.design.vessel_history import Differs, VesselHistory, nobody_knows, said_of_test
from bottlewright.logbook.files import FOLDER, in_the_way, read_record, vessel_file
from bottlewright.logbook.held import bottle_held_too_much
from bottlewright.logbook.records import VesselFile, VesselTest
from bottlewright.logbook.vessels import counted, cycles_by, retired_because, under_pressure
from bottlewright.names import several
from bottlewright.proof.judged_day import today
from bottlewright.proof.vessel import MOST_CYCLES
from bottlewright.quantities import Dimension, QuantityError, parse_quantity

__all__ = ["looked_up", "vessel_line"]

_DAY = 86400.0


def looked_up(tables: Mapping[str, Any], folder: Path) -> VesselHistory | None:
    """Return what the file of the bottle says that the raw tables of a design name; None where they name none.

    Parameters
    ----------
    folder
        Where the design lies, and the logbook beside it.
    """
    own = tables.get("vessel")
    if not isinstance(own, Mapping) or not isinstance(own.get("id"), str):
        return None
    path = vessel_file(folder / FOLDER, own["id"])
    name = path.relative_to(folder).as_posix()
    if "/" in own["id"] or not path.is_file():
        why = "" if "/" in own["id"] else in_the_way(path)
        return nobody_knows(own, why or f"there is no file {name} of it", name, begins=not why and "/" not in own["id"])
    try:
        vessel = read_record(path, VesselFile)
    except DesignError as error:
        return nobody_knows(own, f"{name} can't be read: {error}", name)
    charge = tables.get("charge")
    launch = charge.get("day") if isinstance(charge, Mapping) else None
    try:
        too_much = bottle_held_too_much(folder / FOLDER, vessel)
    except DesignError as error:  # a launch that can't be read may be the one
        return nobody_knows(own, f"a launch's file can't be read: {error}", name)
    except OSError as error:
        return nobody_knows(own, f"a launch's file can't be read: {error.filename}: {error.strerror}", name)
    return replace(_told(vessel, own, name, _day(launch)), too_much=too_much)


def _day(written: Any) -> date:
    """Return the day that an age in the file is counted to: that of the launch, today without one."""
    try:
        return written if isinstance(written, date) else date.fromisoformat(written)
    except (TypeError, ValueError):
        return today()


def _told(vessel: VesselFile, own: Mapping[str, Any], name: str, day: date) -> VesselHistory:
    differs: list[Differs] = [Differs(f"two copies of {name}", "", f"{one.key}: {one.value}", "the file as it stands")
                              for one in vessel.differs]  # fmt: skip
    values: dict[str, Any] = {
        "age": _age(vessel, own, day, differs),
        "cycles": _cycles(vessel, own, differs),
        "proof": _tests(vessel, own, name, differs),
        "hard_landing": max([one.at[:10] for one in vessel.hard_landing] + _texts(own, "hard_landing"), default=None),
        "retired": retired_because(vessel) or own.get("retired"),
        "inspected": max((cycles_by(vessel, one.at) - 1 for one in vessel.inspection if one.fit), default=None),
        **_heat(vessel, own),
        **_work(vessel, own),
    }
    if vessel.bottle and not own.get("bottle"):
        values["bottle"] = vessel.bottle
    return VesselHistory(vessel.id, name, values, f"{vessel_line(vessel)}, by {name}", tuple(differs))


def _texts(own: Mapping[str, Any], key: str) -> list[str]:
    return [str(own[key])] if own.get(key) else []


def vessel_line(vessel: VesselFile) -> str:
    """Return a bottle's file in one line: how often under pressure, since when open, its last test."""
    count, tests = counted(vessel), sorted(vessel.test, key=lambda one: one.at)
    times = f"{count} time{'' if count == 1 else 's'} under pressure" if count is not None else (
        f"{several(len(under_pressure(vessel)), 'time under pressure')} since its file began, and nobody knows how "
        "often before")
    opened = f", opened on {vessel.opened}" if vessel.opened else ", nobody knows when it was opened"
    last = f"; last test on {tests[-1].at[:10]}, {'passed' if tests[-1].passed else 'failed'}" if tests else "; no test"
    return f"bottle {vessel.id}: {times}{opened}{last}"


def _age(vessel: VesselFile, own: Mapping[str, Any], day: date, differs: list[Differs]) -> Any:
    if vessel.opened is None:
        return own.get("age")
    days = (day - date.fromisoformat(vessel.opened)).days
    if days < 0:
        differs.append(Differs("vessel.age", f"a launch on {day}", f"opened on {vessel.opened}", "unknown age"))
        return None
    try:
        said = parse_quantity(own["age"], Dimension.TIME) if "age" in own else None
    except QuantityError:
        return own["age"]  # the design is refused for it, with its line
    if said is None or abs(said.value / _DAY - days) <= 1.0 + 2.0 * said.spread / _DAY:
        return f"{several(days, 'day')} ± 0.5 day"
    older = said.value / _DAY > days
    counts = "the design's, which is older" if older else "the file's"
    differs.append(Differs("vessel.age", str(own["age"]), f"opened on {vessel.opened}, {several(days, 'day')}", counts))
    return own["age"] if older else f"{several(days, 'day')} ± 0.5 day"


def _cycles(vessel: VesselFile, own: Mapping[str, Any], differs: list[Differs]) -> Any:
    """Return the count that a rating is made with; none where nobody knows it and it is not spent for certain."""
    count, said = counted(vessel), own.get("cycles")
    if not isinstance(said, int):
        said = None
    least = max(len(under_pressure(vessel)), said or 0)
    if said is not None and said != count:
        worse = count is None or said > count
        differs.append(Differs("vessel.cycles", str(said), "not known" if count is None else str(count),
                               "the more of the two" if worse else "the file's"))
    if count is not None:
        return max(count, least)
    return least if least >= MOST_CYCLES else None


def _tests(vessel: VesselFile, own: Mapping[str, Any], name: str, differs: list[Differs]) -> list[dict[str, Any]]:
    """Return the tests of the file, and of the design's own those that failed."""
    told = [_test(vessel, one) for one in sorted(vessel.test, key=lambda one: one.at)]
    written = own.get("proof")
    for one in written if isinstance(written, list) else []:
        if not isinstance(one, Mapping) or any(_same(one, known) for known in told):
            continue
        what = said_of_test(one)
        if one.get("passed") is False:
            told.append(dict(one))
            differs.append(Differs("vessel.proof", f"{what} that failed", "no such test", "the failed test"))
        else:
            differs.append(Differs("vessel.proof", what, "no such test", f"nothing of it, until {name} has it",
                                   _enter(vessel, one)))  # fmt: skip
    return told


def _enter(vessel: VesselFile, test: Mapping[str, Any]) -> str:
    """Return the command that writes a passed test of the design into the bottle's file."""
    given = [("--pressure", test.get("pressure")), ("--hold", test.get("hold")), ("--filled", test.get("medium")),
             ("--at", test.get("date"))]  # fmt: skip
    said = [f'{option} "{value}"' for option, value in given if value is not None]
    return " ".join([f"bottlewright log test {vessel.id}", *said, "--held"])


def _test(vessel: VesselFile, test: VesselTest) -> dict[str, Any]:
    keys = ("pressure", "hold", "medium", "diameter_before", "diameter_after")
    plain = test.model_dump(include=set(keys), exclude_none=True)
    kind = {"bottle": vessel.bottle} if vessel.bottle else {}
    return {**plain, **kind, "passed": test.passed, "date": test.at[:10], "cycles": cycles_by(vessel, test.at)}


def _same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    try:
        alike = abs(parse_quantity(one["pressure"], Dimension.PRESSURE).value
                    - parse_quantity(other["pressure"], Dimension.PRESSURE).value) < 1.0  # fmt: skip
    except (QuantityError, KeyError):
        return False
    return alike and str(one.get("date")) == other["date"] and one.get("passed", True) == other["passed"]


def _heat(vessel: VesselFile, own: Mapping[str, Any]) -> dict[str, Any]:
    """Return how it was kept: the worst that either says."""
    kept = [one.how for one in vessel.heat]
    if "hot car" in (*kept, own.get("storage")):
        return {"storage": "hot car", "storage_date": None}
    if not kept:
        return {}
    dates = _texts(own, "storage_date") if own.get("storage") == "sun" else []
    if own.get("storage") == "sun" and not dates:
        return {"storage": "sun", "storage_date": None}  # nobody says when: later than every test
    return {"storage": "sun", "storage_date": max([one.at[:10] for one in vessel.heat] + dates)}


def _work(vessel: VesselFile, own: Mapping[str, Any]) -> dict[str, Any]:
    if not vessel.work:
        return {}
    surface = own.get("surface")
    own_work = [one for one in surface if isinstance(one, str)] if isinstance(surface, list) else []
    dates = _texts(own, "surface_date")
    last = max([one.at[:10] for one in vessel.work] + dates)
    return {"surface": sorted({*own_work, *(one.what for one in vessel.work)}),
            "surface_date": None if own_work and not dates else last}  # fmt: skip
