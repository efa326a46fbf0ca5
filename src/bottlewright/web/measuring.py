"""What is measured in the field, on pages: entered into the file of its launch, and a card of it to print."""

from collections.abc import Awaitable, Callable, Mapping
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.after_launch import after_launch
from bottlewright.project.content_policy import own_policy
from bottlewright.project.foretelling import foretell_by_hand
from bottlewright.project.measuring import enter
from bottlewright.web.guard import guest_of
from bottlewright.web.posts import refused

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["MEASURE", "is_launch", "launch_named", "measuring_routes"]

MEASURE = "measure"
_FRAMED = "frame-ancestors 'none'"
"""A file can't say it of itself."""


def launch_named(page: str) -> str | None:
    """Return which launch a page's path names, empty for the latest; None for another page."""
    name, _, launch = page.partition("~")
    return launch if name == MEASURE else None


def is_launch(office: "Office", page: str) -> bool:
    """Say whether a page's path is that of measuring, for the latest launch or for one that there is."""
    launch = launch_named(page)
    if not launch:
        return launch is not None
    try:
        after_launch(office.folder, launch)
    except BottlewrightError:
        return False
    return True


def measuring_routes(office: "Office", changed: Callable[[], None]) -> list[Route]:
    """Return the routes of what is posted, and of the card."""
    async def card(request: Request) -> Response:
        try:
            html = await run_in_threadpool(lambda: after_launch(office.folder, request.path_params["launch"]).card())
        except InputError:
            raise HTTPException(404) from None
        policy = f"{own_policy(html)}; {_FRAMED}"
        return HTMLResponse(html, headers={"Cache-Control": "no-store", "Content-Security-Policy": policy})

    return [
        Route("/do/measure", _posted(office, _enter, changed), methods=["POST"]),
        Route("/do/foretell", _posted(office, _foretell, changed), methods=["POST"]),
        Route("/card/{launch}", card),
    ]  # fmt: skip


Act = Callable[["Office", Mapping[str, str], str], str]


def _posted(office: "Office", act: Act, changed: Callable[[], None]) -> Callable[[Request], Awaitable[Response]]:
    """Return what answers a post: where to go next, or refused in words; on the disk before it is answered."""
    async def handler(request: Request) -> Response:
        guest = guest_of(request)
        try:
            given = dict(parse_qsl((await request.body()).decode("utf-8", "replace"), keep_blank_values=True,
                                   max_num_fields=60))  # fmt: skip
            by = guest.name if guest else given.get("by", "").strip()
            answer = await run_in_threadpool(act, office, given, by)
        except (BottlewrightError, ValueError, OSError) as error:
            return refused(error)
        changed()
        return Response(answer, 200, media_type="text/plain")

    return handler


def _now(office: "Office") -> str:
    """Return the time by the clock of the day: what is measured stands in order with what was done."""
    return office.launch.now().isoformat(timespec="milliseconds")


def _enter(office: "Office", given: Mapping[str, str], by: str) -> str:
    told = {key: text for key, text in given.items() if key not in ("launch", "kind", "by")}
    enter(office.folder, given.get("launch", ""), given.get("kind", ""), told, _now(office), by)
    return ""


def _foretell(office: "Office", given: Mapping[str, str], _: str) -> str:
    """Begin a launch of a design of the folder, foretold with the flights that were flown already where there are."""
    file = given.get("file", "")
    if file not in office.designs():
        raise InputError(f"{file or 'Nothing'} is no design file of this folder")
    if not office.warm.ready.is_set():
        raise InputError("the physics is still being compiled, once on this machine: try again in a moment")
    standing = office.shelf.standing(file)
    if standing.project is None or standing.judged is None:
        raise InputError(f"{file}: {standing.wrong}")
    team = given.get("team", "").strip()
    flights = office.work.result("flights", standing.project)
    name = foretell_by_hand(office.folder, standing.project, {"team": team} if team else {}, _now(office),
                            given.get("entry", ""), flights, standing.judged.verdict)  # fmt: skip
    return f"/launch/measure?launch={name}"
