"""A logger's file brought in on a page: held while somebody looks at it, put right, and taken into a launch."""

import re
from collections.abc import Awaitable, Callable, Mapping
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from bottlewright.errors import BottlewrightError, FieldsError, InputError
from bottlewright.project.importing import take_into
from bottlewright.project.logger_look import told_column, told_event
from bottlewright.web.guard import LOGGER_FILE, guest_of
from bottlewright.web.logger_files import Held
from bottlewright.web.posts import refused

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["IMPORT", "file_named", "logger_routes"]

IMPORT = "import"
_NAMED = re.compile(r"[0-9a-f]{12}")


def file_named(page: str) -> str | None:
    """Return which file a page's path names, empty where none is; None for another page."""
    name, _, file = page.partition("~")
    return file if name == IMPORT and (not file or _NAMED.fullmatch(file)) else None


def logger_routes(office: "Office", changed: Callable[[], None]) -> list[Route]:
    """Return the routes of what is posted."""
    files = office.logger_files

    def given(request: Request, content: bytes) -> Response:
        name, launch = request.query_params.get("name", "file"), request.query_params.get("launch", "")
        if not content:
            raise InputError("the file is empty")
        return Response(f"/launch/import?file={files.give(name[:200], content, launch)}", 200, media_type="text/plain")

    def column(told: Mapping[str, str], _: str) -> Response:
        what = told.get("what", "")
        if what in ("rate", "tag"):
            answer = told.get("answer", "").strip()
            bare = what == "rate" and answer.replace(".", "", 1).isdigit()
            said = _of_one(what, f"{answer} Hz" if bare else answer)
        else:
            def said(old: Mapping[str, str]) -> dict[str, str]:
                return told_column(old, what, told.get("column", ""), told.get("unit", ""), told.get("was", ""))

        return _done(files.put(told.get("file", ""), said))

    def event(told: Mapping[str, str], _: str) -> Response:
        name = told.get("key", "")
        time, spread = told.get("value", "").strip(), told.get("spread", "").strip()
        held = files.put(told.get("file", ""), lambda old: told_event(old, name, time, spread))
        return _done(held)

    def view(told: Mapping[str, str], _: str) -> Response:
        held = files.put(told.get("file", ""), dict, told.get("launch"))
        if "whole" in told:
            held.span = None if told["whole"] == "yes" else held.shown.span
        return _done(held)

    def take(told: Mapping[str, str], by: str) -> Response:
        held = files.put(told.get("file", ""), dict, told.get("launch", ""))
        if not held.launch:
            raise FieldsError({"launch": "choose the launch that it was on"})
        if held.shown.file is None:
            raise InputError(held.shown.trouble)
        now = office.launch.now().isoformat(timespec="milliseconds")
        take_into(office.folder, held.launch, held.shown.file, now, by)
        return Response(f"/launch/measure?launch={held.launch}", 200, media_type="text/plain")

    return [
        Route(LOGGER_FILE, _posted(changed, given), methods=["POST"]),
        *(Route(f"/do/logger-{name}", _posted(changed, _of_a_form(act)), methods=["POST"])
          for name, act in (("column", column), ("event", event), ("view", view), ("take", take))),
    ]  # fmt: skip


def _of_one(what: str, answer: str) -> Callable[[Mapping[str, str]], dict[str, str]]:
    def said(old: Mapping[str, str]) -> dict[str, str]:
        told = {key: text for key, text in old.items() if key != what}
        return {**told, what: answer} if answer else told

    return said


def _done(held: Held) -> Response:
    return Response("", 200, {"X-Revision": str(held.revision)}, "text/plain")


Act = Callable[[Request, bytes], Response]


def _of_a_form(act: Callable[[Mapping[str, str], str], Response]) -> Act:
    """Return what a form does, by its answers and by whoever sent it."""

    def done(request: Request, body: bytes) -> Response:
        told = dict(parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=60))
        guest = guest_of(request)
        return act(told, guest.name if guest else told.get("by", "").strip())

    return done


def _posted(changed: Callable[[], None], act: Act) -> Callable[[Request], Awaitable[Any]]:
    """Return what answers a post: what the act says, or refused in words, by field where the form has several."""

    async def handler(request: Request) -> Response:
        body = await request.body()
        try:
            answer = await run_in_threadpool(act, request, body)
        except (BottlewrightError, ValueError, OSError) as error:
            return refused(error)
        changed()
        return answer

    return handler
