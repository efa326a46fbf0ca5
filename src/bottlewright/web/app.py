"""The application: a page for each stage and one socket for each window, beside what is posted and fetched."""

import mimetypes
import re
import time
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from functools import cache, partial
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.websockets import WebSocket

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.compare_launches import LaunchComparison, compare_launches
from bottlewright.project.day_document import times_left
from bottlewright.project.launch_day import gauge_words
from bottlewright.project.lesson import LessonResult
from bottlewright.project.words import explained, here, linked
from bottlewright.web.board import Board, whole
from bottlewright.web.contest import CLASS, class_named, contest_routes
from bottlewright.web.day import day_routes, pass_of, stop_pass
from bottlewright.web.door import Door
from bottlewright.web.fetched import fetched_routes
from bottlewright.web.guard import Guard, guest_of, new_token, shut_out
from bottlewright.web.joining import joining_routes
from bottlewright.web.launching import beside, launch_page_of, launch_routes, looks_at
from bottlewright.web.lesson import lesson_of, lesson_routes
from bottlewright.web.logger import IMPORT, file_named, logger_routes
from bottlewright.web.measuring import MEASURE, is_launch, launch_named, measuring_routes
from bottlewright.web.office import Office
from bottlewright.web.posts import post_routes
from bottlewright.web.roles import posts_of
from bottlewright.web.views.contest import class_page, needs_of
from bottlewright.web.views.designs import compared, designs_page
from bottlewright.web.views.first import first_page
from bottlewright.web.views.frame import StageLink, kept_together
from bottlewright.web.views.launch import launch_link, launch_page, moment
from bottlewright.web.views.learn import learn_link
from bottlewright.web.views.logbook import logbook_page
from bottlewright.web.views.logger import logger_page
from bottlewright.web.views.make import sheet_page
from bottlewright.web.views.measure import measure_page
from bottlewright.web.views.need import need_page
from bottlewright.web.views.page import BOTH, WIDTHS, waiting
from bottlewright.web.views.people import people_page
from bottlewright.web.views.stages import VIEWS
from bottlewright.web.work import WANTED

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["make_app"]


_WORDY = re.compile(r"<!--keep words-->(.*?)<!--/keep-->", re.DOTALL)
"""A piece of a page in which words of the trade lead to what they mean; templates mark it."""

_KINDS = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}
"""Windows asks its registry what a file is, where some programs write that scripts are plain text."""

_HERE = "here"
"""Opened by a page that never changes: it is told of a stop, and shows that its device is there."""

LIST = "people"
"""The laptop's list: for nobody else, whatever stands before this application."""
_WITHOUT_A_FILE = ("first", "need", "designs", "launch", "logbook", LIST)
"""Pages that are there before any design is open."""


@cache
def _environment() -> "Environment":
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(loader=PackageLoader("bottlewright.web"), autoescape=True, undefined=StrictUndefined,
                              trim_blocks=True, lstrip_blocks=True)  # fmt: skip
    environment.filters.update(together=kept_together, here=here, gauge=gauge_words, moment=moment,
                               times_left=times_left,
                               explained_label=_explained_label)  # fmt: skip
    return environment


def _explained_label(label: str) -> str:
    """Return a field's label, leading to what it means where all of it is a word of the trade."""
    from markupsafe import Markup, escape

    shown = linked(str(escape(label)))
    return Markup(shown) if shown.startswith("<a ") and shown.endswith("</a>") and shown.count("<a ") == 1 else label


def _worded(html: str) -> str:
    """Return a page whose words of the trade lead to what they mean."""
    return _WORDY.sub(lambda hit: f"<!--keep-->{linked(hit[1])}<!--/keep-->", html)


def _content(office: Office, path: str, width: Any) -> tuple[int, str]:
    """Render what changes of a page."""
    asking = _asking(office)
    link = launch_link(office)
    if path == _HERE:
        return 0, ""
    if (who := launch_page_of(path)) is not None:
        html = _environment().get_template("launch.html").render(
            page=launch_page(office, *who), links=_links(office), asking=asking, needs=needs_of(office))  # fmt: skip
        return office.revision, _worded(html)
    launch = launch_named(path)
    if launch is not None:
        measured = measure_page(office, launch, width)
        html = _environment().get_template("measure.html").render(page=measured, asking=asking)
        return office.revision, html
    file = file_named(path)
    if file is not None:
        brought = logger_page(office, file, width)
        html = _environment().get_template("logger.html").render(page=brought, asking=asking)
        return brought.revision, html
    day_of_class = class_named(path)
    if day_of_class is not None:
        html = _environment().get_template("class.html").render(page=class_page(office, day_of_class), asking=asking)
        return office.revision, html
    if path == "need":
        frame, day = need_page(office)
        html = _environment().get_template("need.html").render(
            frame=frame, page=day, asking=asking, launch=link,
            learn=learn_link(office.job.project) if office.job else None)  # fmt: skip
        return frame.revision, _worded(html)
    if path == "designs":
        return office.revision, _environment().get_template("designs.html").render(page=designs_page(office))
    if path == "logbook":
        return office.revision, _environment().get_template("logbook.html").render(page=logbook_page(office))
    if path == LIST:
        return office.revision, _environment().get_template("people.html").render(page=people_page(office))
    if path == "first" or office.job is None:
        return office.revision, _environment().get_template("first.html").render(first=first_page(office))
    desk = office.desk()
    ready = desk.warm.ready.is_set()
    if path in WANTED:
        office.want(WANTED[path])
    page, template = (VIEWS[path](desk, width), path) if ready else (waiting(path, desk), "stage")
    shown = {"frame": desk.frame, "page": page, "asking": asking, "launch": link, "learn": learn_link(desk.project)}
    html = _environment().get_template(f"{template}.html").render(shown)
    return desk.revision, _worded(html)


def _links(office: Office) -> Sequence[StageLink]:
    """Return the strip of stages for the page of the day: that of the design that is open, with the day's own."""
    stages = office.desk().frame.stages if office.job else ()
    return [*stages, launch_link(office), learn_link(office.desk().project)] if stages else ()


def _asking(office: Office) -> int:
    """Return how many phones ask for a role."""
    return sum(bool(one.wants and not one.role) for one in office.door.guests) if office.door else 0


def make_app(folder: Path, hosts: frozenset[str], token: str | None = None, door: Door | None = None) -> Guard:
    """Return the application for one folder.

    Parameters
    ----------
    folder
        Where design files lie, or will.
    hosts
        Names and port by which the server may be called, such as ``"127.0.0.1:8731"``.
    token
        Of the session; a new one when left out.
    door
        The way in from the local network; None where there is none.
    """
    token = token or new_token()
    office = Office(folder)
    office.door = door

    board = Board(partial(_content, office), partial(beside, office))
    office.changed = board.changed
    if door:
        door.told = board.changed

    def page_of(request: Request, path: str, title: str, html: str, revision: int = 0) -> Response:
        guest = guest_of(request)
        shown = _environment().get_template("page.html").render(
            day=beside(office), content=html, revision=revision, session=board.session, path=path, title=title,
            token=guest.token if guest else token, own_pass=pass_of(office, guest), guest=guest,
            may=posts_of(guest.role) if guest else ())  # fmt: skip
        return HTMLResponse(shown, headers={"Cache-Control": "no-store"})

    async def show(request: Request, path: str) -> Response:
        revision, html = await run_in_threadpool(board.rendered, looks_at(path, request), BOTH)
        return page_of(request, path, office.job.project.name if office.job else "Bottlewright", whole(html), revision)

    async def home(request: Request) -> Response:
        return RedirectResponse("/sketch") if office.job else await show(request, "first")

    async def stage(request: Request) -> Response:
        name = request.path_params["stage"]
        if name not in (*VIEWS, *_WITHOUT_A_FILE) or (name == LIST and guest_of(request)):
            raise HTTPException(404)
        if office.job is None and name not in _WITHOUT_A_FILE:
            return RedirectResponse("/")
        return await show(request, name)

    async def measure(request: Request) -> Response:
        launch = request.query_params.get("launch", "")
        page = f"{MEASURE}~{launch}" if launch else MEASURE
        if not await run_in_threadpool(is_launch, office, page):
            return RedirectResponse("/launch/measure")
        return await show(request, page)

    async def bring_in(request: Request) -> Response:
        file, launch = request.query_params.get("file", ""), request.query_params.get("launch", "")
        held = await run_in_threadpool(office.logger_files.held, file) if file else None
        if held is None and (file or (launch and not is_launch(office, f"{MEASURE}~{launch}"))):
            return RedirectResponse("/launch/import")
        return await show(request, f"{IMPORT}~{file}" if file else IMPORT)

    async def class_(request: Request) -> Response:
        day = request.query_params.get("day", "")
        page = f"{CLASS}~{day}" if day else CLASS
        return RedirectResponse("/launch/class") if class_named(page) is None else await show(request, page)

    async def words(request: Request) -> Response:
        wanted = request.path_params.get("anchor")
        found = [one for one in explained() if wanted in (None, one.anchor)]
        if not found:
            raise HTTPException(404)
        html = _environment().get_template("words.html").render(words=found)
        bare = request.query_params.get("bare")
        return HTMLResponse(html) if bare else page_of(request, "words", "Words", html)

    async def look(request: Request) -> Response:
        pack = await run_in_threadpool(office.pack)
        shown = await run_in_threadpool(sheet_page, pack, request.path_params["name"]) if pack else None
        if shown is None:
            return RedirectResponse("/make")
        return page_of(request, "make", shown.title, _environment().get_template("sheet.html").render(sheet=shown))

    async def side_by_side(request: Request) -> Response:
        try:
            found = await run_in_threadpool(compared, office, request.query_params.getlist("with"))
        except InputError as error:
            html = _environment().get_template("compare.html").render(found=None, wrong=str(error))
        else:
            html = await run_in_threadpool(_environment().get_template("compare.html").render, found=found, wrong="")
        return page_of(request, "compare", "Side by side", _worded(html))

    async def launches_beside(request: Request) -> Response:
        chosen = request.query_params.getlist("with")
        found: LaunchComparison | None = None
        wrong = ""
        try:
            found = await run_in_threadpool(compare_launches, office.folder, chosen)
        except BottlewrightError as error:
            wrong = str(error)
        html = _environment().get_template("compare_launches.html").render(found=found, wrong=wrong)
        return page_of(request, "compare", "Launches side by side", _worded(html))

    async def one_variable(request: Request) -> Response:
        lesson: LessonResult | None = None
        wrong = ""
        try:
            lesson = await run_in_threadpool(lesson_of, office, request.query_params.get("vary", ""))
        except BottlewrightError as error:
            wrong = str(error)
        html = await run_in_threadpool(_environment().get_template("lesson.html").render, found=lesson, wrong=wrong,
                                       guest=guest_of(request))  # fmt: skip
        return page_of(request, "lesson", "One variable at a time", _worded(html))

    async def live(socket: WebSocket) -> None:
        page, width = socket.path_params["page"], socket.query_params.get("width", BOTH)
        guest = guest_of(socket)
        known = page in (*VIEWS, *_WITHOUT_A_FILE, _HERE) or is_launch(office, page) or class_named(page) is not None
        known = known or file_named(page) is not None
        if not known or width not in WIDTHS or (page == LIST and guest):
            await socket.close(1008)
            return
        if guest:
            guest.windows += 1
        try:
            await board.attend(socket, looks_at(page, socket), width, lambda: shut_out(guest, door))
        finally:
            if guest:
                guest.windows, guest.left = guest.windows - 1, time.monotonic()

    routes = [
        Route("/", home),
        *post_routes(office, board.changed),
        *fetched_routes(office),
        *day_routes(office),
        *launch_routes(office, board.changed),
        *measuring_routes(office, board.changed),
        Route("/launch/measure", measure),
        *logger_routes(office, board.changed),
        Route("/launch/import", bring_in),
        *contest_routes(office),
        Route("/launch/class", class_),
        *(joining_routes(door, _environment(), partial(stop_pass, office)) if door else ()),
        Route("/words", words),
        Route("/words/{anchor}", words),
        Route("/look/{name}", look),
        Route("/compare", side_by_side),
        Route("/compare/launches", launches_beside),
        Route("/lesson", one_variable),
        *lesson_routes(office),
        WebSocketRoute("/live/{page}", live),
        Mount("/static", StaticFiles(directory=str(files("bottlewright.web") / "static"))),
        Route("/{stage}", stage),
    ]  # fmt: skip

    for ending, kind in _KINDS.items():
        mimetypes.add_type(kind, ending)

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        await run_in_threadpool(office.close)

    guard = Guard(Starlette(routes=routes, lifespan=lifespan), hosts, token, door)
    guard.office = office
    return guard
