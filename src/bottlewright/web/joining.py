"""The page at which somebody joins: the passcode, then a name and a role, then waiting for the laptop."""

from collections.abc import Callable
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from bottlewright.errors import InputError
from bottlewright.project.people import ROLES, checked_name
from bottlewright.web.door import Door, Guest
from bottlewright.web.guard import COOKIE, guest_of

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["joining_routes"]

_MOST = 2000
"""Bytes of a form of this page."""
_HEADERS = {"Cache-Control": "no-store", "Referrer-Policy": "same-origin"}
"""Without a referrer a form would not say where it comes from, and we ask for that."""


def joining_routes(door: Door, templates: "Environment", stops: Callable[[Guest], str]) -> list[Route]:
    """Return the routes of whoever comes in from the local network.

    Parameters
    ----------
    stops
        Returns the pass with which somebody who has a role calls a stop; empty while no day is kept.
    """
    def page(guest: Guest | None, code: str = "", wrong: str = "", given: dict[str, str] | None = None) -> Response:
        html = templates.get_template("join.html").render(
            guest=guest, own_pass=stops(guest) if guest and guest.role else "", code=code, wrong=wrong,
            given=given or {}, roles=ROLES, free=_free(door))  # fmt: skip
        return HTMLResponse(html, 422 if wrong else 200, headers=_HEADERS)

    async def show(request: Request) -> Response:
        code = request.query_params.get("code", "")
        return page(guest_of(request), code if code.isdecimal() and len(code) < 20 else "")

    async def knock(request: Request) -> Response:
        given = await _form(request)
        address = request.client.host if request.client else ""
        try:
            session = door.knock(given.get("passcode", ""), address)
        except InputError as error:
            return page(None, wrong=f"{error}.")
        if not session:
            return page(None, wrong="That is not the passcode. It stands on the laptop.")
        answer = RedirectResponse("/join", 303, headers=_HEADERS)
        answer.set_cookie(COOKIE, session, httponly=True, samesite="strict", path="/")
        return answer

    async def ask(request: Request) -> Response:
        guest, given = guest_of(request), await _form(request)
        if guest is None or guest.role:
            return RedirectResponse("/join", 303, headers=_HEADERS)
        try:
            name = checked_name(given.get("name", ""))
            role = given.get("role", "")
            if role not in ROLES:
                raise InputError("Choose what you will do")
            if ROLES[role].adult and given.get("adult") != "yes":
                raise InputError("Only an adult is in charge. Say that you are one, or choose something else")
            if any(one.name == name for one in door.guests if one is not guest):
                raise InputError(f"{name} is taken; choose other initials or another number")
        except InputError as error:
            return page(guest, wrong=f"{error}.", given=given)
        guest.name, guest.wants, guest.adult, guest.refused = name, role, given.get("adult") == "yes", ""
        door.told()
        return RedirectResponse("/join", 303, headers=_HEADERS)

    async def state(request: Request) -> Response:
        guest = guest_of(request)
        kept = bool(guest and guest.role and stops(guest))  # a day began: the page shows itself anew, with the stop
        return PlainTextResponse(f"{_state(guest)}|{kept}", headers=_HEADERS)

    return [
        Route("/join", show), Route("/join", knock, methods=["POST"]),
        Route("/join/ask", ask, methods=["POST"]), Route("/join/state", state),
    ]  # fmt: skip


def _state(guest: Guest | None) -> str:
    """Return where somebody stands, for a page that waits."""
    if guest is None:
        return "gone"
    return f"{guest.role}|{guest.wants}|{bool(guest.refused)}"


def _free(door: Door) -> str:
    """Return the first number that nobody has, to be taken by whoever gives no initials."""
    taken = {one.name for one in door.guests}
    return next(str(number) for number in range(1, 1000) if str(number) not in taken)


async def _form(request: Request) -> dict[str, str]:
    body = await request.body()
    try:
        return dict(parse_qsl(body[:_MOST].decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=10))
    except ValueError:
        return {}
