"""The routes: a page for each stage, one socket for each window, and the few things that can be posted."""

import json
from collections.abc import Awaitable, Callable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qsl

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.websockets import WebSocket

from bottlewright.errors import BottlewrightError
from bottlewright.web.board import Board
from bottlewright.web.guard import Guard, new_token
from bottlewright.web.office import Office
from bottlewright.web.views.first import first_page
from bottlewright.web.views.frame import STAGES
from bottlewright.web.views.stages import VIEWS, waiting
from bottlewright.web.work import KINDS

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["make_app"]


Act = Callable[[Office, dict[str, str]], Any]
"""What a post does; the text that it returns is where the page goes next."""


@cache
def _environment() -> "Environment":
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(loader=PackageLoader("bottlewright.web"), autoescape=True, undefined=StrictUndefined,
                       trim_blocks=True, lstrip_blocks=True)  # fmt: skip


def make_app(folder: Path, hosts: frozenset[str], token: str | None = None) -> Guard:
    """Return the application for one folder.

    Parameters
    ----------
    folder
        Where design files lie, or will.
    hosts
        Names and port by which the server may be called, such as ``"127.0.0.1:8731"``.
    token
        Of the session; a new one when left out.
    """
    token = token or new_token()
    office = Office(folder)

    def content(path: str) -> tuple[int, str]:
        """Render what changes of a page."""
        if path == "first" or office.job is None:
            return office.revision, _environment().get_template("first.html").render(first=first_page(office))
        desk = office.desk()
        page = VIEWS[path](desk) if desk.warm.ready.is_set() else waiting(path, desk)
        return desk.revision, _environment().get_template("stage.html").render(frame=desk.frame, page=page)

    board = Board(content)
    office.changed = board.changed

    async def show(path: str) -> Response:
        message = json.loads(await run_in_threadpool(board.rendered, path))
        html = _environment().get_template("page.html").render(
            content=message["html"], revision=message["revision"], path=path, token=token,
            title=office.job.project.name if office.job else "Bottlewright",
        )  # fmt: skip
        return HTMLResponse(html, headers={"Cache-Control": "no-store"})

    async def home(_: Request) -> Response:
        return RedirectResponse("/sketch") if office.job else await show("first")

    async def stage(request: Request) -> Response:
        name = request.path_params["stage"]
        if name not in STAGES and name != "first":
            raise HTTPException(404)
        if office.job is None and name != "first":
            return RedirectResponse("/")
        return await show(name)

    async def picture(request: Request) -> Response:
        svg = await run_in_threadpool(office.picture, request.path_params["of"], request.path_params["name"])
        if svg is None:
            raise HTTPException(404)
        return Response(svg, media_type="image/svg+xml", headers={"Cache-Control": "no-store"})

    async def file(request: Request) -> Response:
        content = await run_in_threadpool(office.made_file, request.path_params["name"])
        if content is None:
            raise HTTPException(404)
        kind = "application/pdf" if request.path_params["name"].endswith(".pdf") else "application/octet-stream"
        return Response(content, media_type=kind)

    async def live(socket: WebSocket) -> None:
        page = socket.path_params["page"]
        if page not in STAGES and page != "first":
            await socket.close(1008)
            return
        await board.attend(socket, page)

    def posted(act: Act) -> Callable[[Request], Awaitable[Response]]:
        async def handler(request: Request) -> Response:
            body = (await request.body()).decode("utf-8", "replace")
            given = dict(parse_qsl(body, keep_blank_values=True, max_num_fields=200))
            try:
                answer = await run_in_threadpool(act, office, given)
            except BottlewrightError as error:
                return Response(str(error), 422, media_type="text/plain")
            except OSError as error:
                return Response(f"It can't be written: {error.strerror}", 422, media_type="text/plain")
            board.changed()
            return Response(answer or "", 200, media_type="text/plain",
                            headers={"X-Revision": str(office.revision)})  # fmt: skip

        return handler

    def begin_work(kind: str) -> Act:
        return lambda office, _: office.begin_work(kind)

    def stop_work(kind: str) -> Act:
        return lambda office, _: office.work.stop(kind)

    posts: dict[str, Act] = {
        "begin": Office.begin, "first": Office.try_first, "change": Office.change, "changes": Office.change_all,
        "undo": Office.undo, "redo": Office.redo, "theirs": Office.take_theirs, "mine": Office.keep_mine,
        "open": Office.open,
    }  # fmt: skip
    routes = [
        Route("/", home),
        *(Route(f"/do/{name}", posted(act), methods=["POST"]) for name, act in posts.items()),
        *(Route(f"/start/{kind}", posted(begin_work(kind)), methods=["POST"]) for kind in KINDS),
        *(Route(f"/stop/{kind}", posted(stop_work(kind)), methods=["POST"]) for kind in KINDS),
        Route("/picture/{of}/{name}.svg", picture),
        Route("/file/{name:path}", file),
        WebSocketRoute("/live/{page}", live),
        Mount("/static", StaticFiles(directory=str(files("bottlewright.web") / "static"))),
        Route("/{stage}", stage),
    ]  # fmt: skip
    guard = Guard(Starlette(routes=routes), hosts, token)
    guard.office = office
    return guard
