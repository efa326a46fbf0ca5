"""The page of the field, as a file to save; what it sends back; and the photos."""

import json
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from bottlewright.errors import BottlewrightError, InputError
from bottlewright.project.content_policy import own_policy
from bottlewright.project.field_page import FieldFile, field_file, page_script
from bottlewright.project.launch_day import LAPTOP
from bottlewright.project.people import THE_LAPTOP, Person, taken_in
from bottlewright.project.project import Project, read
from bottlewright.web.door import Guest
from bottlewright.web.guard import ENTRIES, guest_of
from bottlewright.web.office import Office

__all__ = ["day_routes", "pass_of", "stop_pass"]

_FRAMED = "frame-ancestors 'none'"
"""A file can't say it of itself."""
_SHARED = ("outbox", "stop")
"""Scripts that the saved page has too."""
_KINDS = {"jpg": "image/jpeg", "jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp"}


def day_routes(office: Office) -> list[Route]:
    """Return the routes."""
    def made(request: Request) -> FieldFile:
        project = _of_the_field(office) if office.warm.ready.is_set() else None
        if project is None:
            raise HTTPException(404, "No design is open, or the physics is still being compiled: try again in a moment")
        guest, work = guest_of(request), office.work
        hosts = [request.headers["host"], *sorted(office.door.hosts if office.door else ())]
        person = Person(guest.person, guest.name, guest.role) if guest else None
        addresses = [f"http://{host}" for host in dict.fromkeys(hosts)]
        return field_file(work.judged(project), work.landings(project), office.people, person, addresses)

    async def day(request: Request) -> Response:
        try:
            page = await run_in_threadpool(made, request)
        except OSError as error:  # it has no pass then, and would keep what it can never send
            return PlainTextResponse(f"The page can't be made: the laptop can't write ({error.strerror})", 507)
        headers = {"Cache-Control": "no-store",
                   "Content-Security-Policy": f"{own_policy(page.html, page.connect)}; {_FRAMED}"}  # fmt: skip
        if request.query_params.get("save"):
            headers["Content-Disposition"] = f'attachment; filename="{page.name}"'
        return HTMLResponse(page.html, headers=headers)

    async def entries(request: Request) -> Response:
        readable = {"Access-Control-Allow-Origin": "null"} if request.headers.get("origin") == "null" else {}
        status, answer = await run_in_threadpool(_taken, office, await request.body())
        if status == 200:
            office.changed()
            return JSONResponse(answer, headers={"Cache-Control": "no-store", **readable})
        return PlainTextResponse(str(answer), status, headers=readable)

    async def photo(request: Request) -> Response:
        name = request.path_params["name"]
        if not office.photo(name):
            raise HTTPException(404)
        kind = _KINDS[name.rpartition(".")[2].lower()]
        return FileResponse(office.folder / "photos" / name, media_type=kind, headers={"Cache-Control": "no-store"})

    async def script(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in _SHARED:
            raise HTTPException(404)
        return Response(page_script(name), media_type="text/javascript")

    return [
        Route("/static/shared/{name}.js", script),
        Route("/day", day), Route(ENTRIES, entries, methods=["POST"]), Route("/photo/{name}", photo),
    ]  # fmt: skip


def pass_of(office: Office, guest: Guest | None) -> str:
    """Return the pass with which a page sends a stop that it kept, also to a server that began anew.

    The laptop's own page has one while a day may be kept; before that nothing is written into its folder for it.
    """
    if guest is not None:
        return office.people.pass_of(guest.person) if guest.person else ""
    try:
        return office.people.pass_of(THE_LAPTOP.mark) if office.journal.folder.is_dir() else ""
    except OSError:
        return ""


def stop_pass(office: Office, guest: Guest | None) -> str:
    """Return the pass of a page that shows nothing of a day but the stop; empty while none is kept."""
    return pass_of(office, guest) if office.launch.kept else ""


def _of_the_field(office: Office) -> Project | None:
    """Return the design that is open, else that of the rocket whose turn it is on a day that is kept."""
    if office.job is not None:
        return office.desk().project
    screen = office.launch.screen("", LAPTOP)
    file = screen.rocket.plan.file if screen and screen.rocket else ""
    return office.shelf.standing(file).project if file else None


def _taken(office: Office, body: bytes) -> tuple[int, Any]:
    """Return how what a phone sent was answered: what is on disk now, or why nothing is."""
    try:
        sent = json.loads(body)
    except (ValueError, RecursionError):
        sent = None
    if not isinstance(sent, dict) or not isinstance(sent.get("pass"), str):
        return 422, "that is nothing that a page of this program sends"
    person = office.people.who_shows(sent["pass"])
    if person is None:
        return 403, "this page was saved for another folder, or for somebody who was sent away. Join and save anew"
    try:
        kept, refused = taken_in(office.journal, person, sent.get("entries"),
                                 lambda event: office.launch.heard(event, sent.get("now")))
    except InputError as error:
        return 422, str(error)
    except OSError as error:
        return 507, f"the laptop can't write: {error.strerror}"
    day = office.launch.day
    return 200, {"kept": kept, "refused": refused, "digest": _digest(office, sent.get("file")),
                 "stop": day.stop if day else ""}  # fmt: skip


def _digest(office: Office, file: object) -> str:
    """Return the digest of a design as it is now, so that a page that was saved notices that it is older.

    Empty where nobody can read it: then the page says nothing new of it.
    """
    if office.job and (not isinstance(file, str) or office.job.file.name == file):
        return office.job.project.digest
    try:
        return read(office.folder / file).digest if file in office.designs() else ""
    except (BottlewrightError, OSError):
        return ""
