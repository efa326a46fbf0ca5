"""The day in the field: what is posted while it is kept, and what watches over it beside the pages."""

import logging
import threading
import time
from collections.abc import Awaitable, Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection, Request
from starlette.responses import Response
from starlette.routing import Route

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.day_against_design import LowerWind, bars_of, less_allowed, lower_wind
from bottlewright.project.day_anew import shown_anew
from bottlewright.project.day_flights import catch_up, follow
from bottlewright.project.launch_day import LAPTOP, LINK_LOST, Speaker, role_of
from bottlewright.project.project import read
from bottlewright.web.guard import guest_of
from bottlewright.web.work import name_of

if TYPE_CHECKING:
    from bottlewright.project.launch_day import RocketShown
    from bottlewright.project.project import Project
    from bottlewright.web.door import Guest
    from bottlewright.web.office import Office
    from bottlewright.web.shelf import Standing

__all__ = [
    "SHOUT", "DayWatch", "barred_designs", "beside", "judge_of", "landings_under_way", "launch_page_of",
    "launch_routes", "less_now", "looks_at", "prepare", "rocket_anew", "work_out_landings",
]  # fmt: skip

SHOUT = "SHOUT STOP"
"""What whoever pressed Stop does where the program can't take it."""
_COMPILING = 10.0
"""Seconds that a step waits for the physics of a program that has just begun."""
_EVERY = 1.0
"""Seconds between two looks at what is due."""


def launch_routes(office: "Office", changed: Callable[[], None]) -> list[Route]:
    """Return the routes of what is posted: a stop, whatever else a device says, whose turn it is."""
    def route(path: str, act: Callable[[Mapping[str, str], Speaker], None], shout: bool = False) -> Route:
        return Route(path, _posted(office, act, changed, shout), methods=["POST"])

    return [
        route("/do/stop", lambda given, speaker: office.launch.stop(given, speaker), shout=True),
        route("/do/day", lambda given, speaker: office.launch.say(given, speaker)),
        route("/do/turn", lambda given, speaker: office.launch.choose(given.get("rocket", ""), speaker)),
    ]  # fmt: skip


def _posted(office: "Office", act: Callable[[Mapping[str, str], Speaker], None], changed: Callable[[], None],
            shout: bool) -> Callable[[Request], Awaitable[Response]]:  # fmt: skip
    """Return what answers a post: empty once it is on the disk, else refused in words."""

    async def handler(request: Request) -> Response:
        body = (await request.body()).decode("utf-8", "replace")
        try:
            given = dict(parse_qsl(body, keep_blank_values=True, max_num_fields=60))
            await run_in_threadpool(act, given, _speaker(office, request, given))
        except (BottlewrightError, ValueError) as error:
            return _refused(str(error), shout)
        except OSError as error:
            return _refused(f"it can't be written: {error.strerror}", shout)
        changed()
        return Response("", 200, media_type="text/plain")

    return handler


def barred_designs(office: "Office", under_pressure: bool = False) -> dict[str, list[str]]:
    """Return what stands against flying by the day as it was prepared, by rocket: what changed, a stop since then.

    A day keeps the numbers with which it was prepared; what became of their design would not be seen on it.
    `under_pressure` as `bars_of` has it.
    """
    day, files = office.launch.day, office.designs()
    known = {one.file: one for one in _standings(office)} if day is not None else {}

    def judge(file: str) -> Any:
        standing = known.get(file)
        if file in files and (standing is None or (standing.judged is None and not standing.wrong)):
            return _only_read(office, file)  # it is being judged
        return _judged(standing)

    return bars_of(day, judge, under_pressure) if day is not None else {}


def _only_read(office: "Office", file: str) -> tuple[Any, Any] | None:
    """Return a design without a verdict; None where it can't be read: that is said once it is judged."""
    try:
        return read(office.folder / file), None
    except BottlewrightError:
        return None


def rocket_anew(office: "Office", name: str) -> "RocketShown | None":
    """Return a rocket as it would be shown if the day was prepared anew with the verdict of now; None where none is."""
    mine = next((one for one in _judged_now(office) if one[0].name == name), None)
    return shown_anew(office.launch, *mine) if mine else None


def less_now(office: "Office") -> dict[str, float]:
    """Return what is allowed now, Pa, by rocket, where it is a little less than the day says and bars nothing."""
    return {plan.name: less for plan, verdict in _of_the_day(office)
            if (less := less_allowed(plan, verdict)) is not None}  # fmt: skip


def lower_winds(office: "Office") -> dict[str, LowerWind]:
    """Return the limits of the wind by rocket, where one is lower now than the day has it."""
    return {plan.name: lower for plan, verdict in _of_the_day(office)
            if (lower := lower_wind(plan, verdict)) is not None}  # fmt: skip


def _standings(office: "Office") -> "list[Standing]":
    return office.shelf.standings(office.designs(), office.warm.ready.is_set())


def _of_the_day(office: "Office") -> Iterator[tuple[Any, Any]]:
    """Yield the rockets of the day, as it was prepared, with what the verdict is now, as far as it is known."""
    return ((plan, verdict) for plan, _, verdict in _judged_now(office))


def _judged_now(office: "Office") -> "Iterator[tuple[Any, Project, Any]]":
    """Yield them with their project too."""
    day = office.launch.day
    for one in _standings(office) if day is not None else ():
        plan = day.plan.rockets.get(one.project.name) if day is not None and one.project is not None else None
        if plan is not None and one.project and one.judged is not None and plan.file in ("", one.file):
            yield plan, one.project, one.judged.verdict


def _refused(why: str, shout: bool) -> Response:
    return Response(f"{SHOUT}: this was not taken, because {why}" if shout else why, 422, media_type="text/plain")


def _speaker(office: "Office", request: Request, given: Mapping[str, str]) -> Speaker:
    """Return who speaks: a phone by what the laptop gave it, the laptop for the role that its form names."""
    guest = guest_of(request)
    if guest is not None:
        return Speaker(guest.name, role_of(guest.role), guest.key)
    return office.launch.speaks(given.get("role", ""), "", LAPTOP)


def looks_at(page: str, asks: HTTPConnection) -> str:
    """Return a page as the board keeps it: that of the day is another for each role and device."""
    if page != "launch":
        return page
    guest = guest_of(asks)
    role = role_of(guest.role) if guest else ""
    return f"launch/{role}/{guest.key if guest and role else '' if guest else LAPTOP}"


def launch_page_of(path: str) -> tuple[str, str] | None:
    """Return the role and the device of a page of the day as the board keeps it; None for any other page."""
    name, _, rest = path.partition("/")
    if name != "launch" or not rest:
        return None
    role, _, device = rest.partition("/")
    return role, device


def beside(office: "Office") -> dict[str, object]:
    """Return what every window shows beside its page: whether a day is kept, the stop that stands, and the time."""
    day = office.launch.day
    if day is None:
        return {"day": False, "stop": "", "at": 0.0}
    return {"day": True, "stop": day.stop, "at": office.launch.at()}


class DayWatch:
    """Looks every second at what is due while a day is kept: a stop under pressure, a device that is lost.

    Parameters
    ----------
    office
        Whose day it is.
    """

    def __init__(self, office: "Office") -> None:
        self._office, self._shown = office, ""
        self._barring: frozenset[str] = frozenset()
        self._following = ThreadPoolExecutor(1, "launches")
        self._closed = threading.Event()

    def start(self) -> None:
        """Begin, beside the pages: first the files of launches are brought up to the journal."""
        self._office.launch.taken = self.taken
        self._office.launch.judge = _when_ready(self._office)
        self._following.submit(self._carry, self._catch_up)
        threading.Thread(target=self._run, daemon=True, name="day").start()

    def close(self) -> None:
        """End."""
        self._closed.set()
        self._following.shutdown(wait=False)

    def taken(self, entry: Mapping[str, Any]) -> None:
        """Carry a step into the file of its launch, beside the answer: what is foretold takes a second."""
        if entry.get("what") == "step" and not self._closed.is_set():
            self._following.submit(self._carry, lambda: self._follow(dict(entry)))

    def _carry(self, act: Callable[[], bool]) -> None:
        """Write into the files of launches; what could not be written is told on the page."""
        office, wrote = self._office, False
        was = office.launch.left_out
        try:
            wrote = act()
            office.launch.left_out = ""
        except (BottlewrightError, OSError) as error:
            office.launch.left_out = str(error)
        if wrote or office.launch.left_out != was:
            office.changed()

    def _follow(self, entry: dict[str, Any]) -> bool:
        book = self._office.launch.book
        return book is not None and follow(self._office.folder, book, entry, self._known) != ""

    def _catch_up(self) -> bool:
        """Bring the files of the last day that was kept up to its journal: a crash may have come between."""
        book = self._office.launch.last_book()
        now = self._office.launch.now().isoformat(timespec="milliseconds")
        return book is not None and catch_up(self._office.folder, book, self._known, now) != []

    def _known(self, file: str) -> Any:
        self._office.warm.ready.wait()
        standing = self._office.shelf.standing(file)
        if standing.project is None or standing.judged is None:
            raise InputError(f"{file}: {standing.wrong}")
        return standing.project, standing.judged.verdict, self._office.work.result("flights", standing.project)

    def _run(self) -> None:
        while not self._closed.wait(_EVERY):
            self.look()

    def look(self) -> None:
        """Do what is due now, and show what changed by itself, such as a wait that is over."""
        day, ((lower, barred), wrong) = self._office.launch, self._of_designs()
        try:
            written = day.watch(self._connected(), lower, barred)
            day.trouble = wrong
        except (BottlewrightError, OSError) as error:
            written, day.trouble = day.trouble != str(error), str(error)
        shown = day.signature()
        if written or shown != self._shown:
            self._shown = shown
            self._office.changed()

    def _of_designs(self) -> tuple[tuple[dict[str, LowerWind], dict[str, list[str]]], str]:
        """Return lower limits and what stands against rockets, and why nobody knows them: the rest is watched over."""
        try:
            return (lower_winds(self._office), self._barred()), ""
        except Exception as error:
            logging.getLogger(__name__).exception("the designs of the day can't be looked at")
            return ({}, {}), f"What the designs say now is not known ({type(error).__name__})"

    def _barred(self) -> dict[str, list[str]]:
        """Return what designs say against rockets under pressure, once two looks in a row say it of the same rocket.

        An editor that writes a file leaves half of it for a moment.
        """
        found = barred_designs(self._office, under_pressure=True)
        before, self._barring = self._barring, frozenset(found)
        return {name: texts for name, texts in found.items() if name in before}

    def _connected(self) -> dict[str, bool]:
        """Return, for each role whose person joined with a device, whether that device is there."""
        day = self._office.launch.day
        if day is None or self._office.door is None:
            return {}
        held: dict[str, bool] = {}
        for guest in self._office.door.guests:
            role = role_of(guest.role)
            if role in day.roles and day.roles[role].name == guest.name:
                held[role] = is_there(guest)
        return held


def is_there(guest: "Guest") -> bool:
    """Say whether a device has a window open, or had one until a moment ago."""
    return guest.windows > 0 or time.monotonic() - guest.left < LINK_LOST


def work_out_landings(office: "Office", given: dict[str, str]) -> None:
    """Work out where a design of the folder comes down: without that no limit of the wind is known."""
    standing = office.shelf.standing(given.get("file", ""))
    if given.get("file", "") not in office.designs() or standing.project is None:
        raise InputError(standing.wrong or "there is no such design in this folder")
    if not office.warm.ready.is_set():
        raise InputError("the physics is still being compiled, once on this machine: try again in a moment")
    office.work.begin_in_turn("scatter", standing.project)


def landings_under_way(office: "Office", project: "Project") -> str:
    """Return how far the landings of a design are, in words; empty where nobody works them out."""
    now = office.work.running.get("scatter")
    if now and now.digest == name_of("scatter", project):
        return f"{now.words}, {round(100 * now.share)} %"
    return "its landings wait for those of another" if office.work.waits("scatter", project) else ""


def judge_of(office: "Office") -> Callable[[str], Any]:
    """Return what judges a design file as the pages judge it, with all that was worked out there."""
    return lambda file: _judged(office.shelf.standing(file))


def _judged(standing: "Standing | None") -> tuple[Any, Any]:
    if standing is None:
        raise InputError("there is no such design in this folder any more")
    if standing.project is None or standing.judged is None:
        raise InputError(standing.wrong or "it is not judged yet: try again in a moment")
    return standing.project, standing.judged.verdict


def _when_ready(office: "Office") -> Callable[[str], Any]:
    """Return what judges a design file for a step: where this program has just begun, the step waits a moment."""
    def judge(file: str) -> Any:
        if not office.warm.ready.wait(_COMPILING):
            raise InputError("the physics is still being compiled, once on this machine: try again in a moment")
        return judge_of(office)(file)

    return judge


def prepare(office: "Office", given: dict[str, str]) -> str:
    """Prepare the day; judged as the pages judge. Whoever asks while landings are worked out is told, and asked."""
    open_ = [standing.project.name for standing in office.shelf.standings(office.designs(), False)
             if standing.project is not None and given.get(f"launches.{standing.file}", "").strip() not in ("", "0")
             and landings_under_way(office, standing.project)]  # fmt: skip
    if open_ and given.get("without") != "yes":
        raise InputError(f"Where {' and '.join(open_)} {'comes' if len(open_) == 1 else 'come'} down is still being "
                         "worked out. Until then no limit of the wind is known, and nobody pumps. Wait for it, or tick "
                         "“keep the day without it”, and prepare it anew later")
    office.launch.prepare(given, judge_of(office))
    return "/launch"
