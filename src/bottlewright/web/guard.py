"""Who may ask: this computer's own pages, and the phones let in. Host, origin, token, sizes, what a page may load."""

import asyncio
import secrets
from collections.abc import Mapping
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import HTTPConnection
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bottlewright.web.door import Door, Guest
from bottlewright.web.roles import JOINING, may_look, may_post

__all__ = [
    "BODY_SECONDS", "COOKIE", "ENTRIES", "LAPTOP", "LOGGER_FILE", "MOST_BYTES", "MOST_OF_A_FILE", "Guard", "guest_of",
    "new_token", "shut_out",
]  # fmt: skip

COOKIE = "bottlewright-session"
MOST_BYTES, MOST_OF_A_FILE = 200_000, 4_000_000
"""Of a request's body: a change is a few dozen, and a logger's file is ten minutes at a hundred rows a second."""
LOGGER_FILE = "/do/logger"
BODY_SECONDS, PHONE_SECONDS = 2.0, 10.0
"""In which all of a body has to be there, from this very computer and from a phone."""

LAPTOP = "127.0.0.1"
"""The address that only this computer can call: who comes in by it sits at the laptop."""

ENTRIES = "/entries"
"""Where a page that was saved sends what it kept: it has no origin and no cookie, and brings a pass of its own."""

_OPEN = ("/join", "/static/style.css")
"""What is there without the passcode."""

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def new_token() -> str:
    """Return a token that nobody guesses."""
    return secrets.token_urlsafe(24)


def guest_of(request: HTTPConnection) -> Guest | None:
    """Return which phone asks; None for the laptop."""
    found: Guest | None = request.scope["guest"]
    return found


def shut_out(guest: Guest | None, door: Door | None) -> bool:
    """Say whether somebody was sent away meanwhile."""
    return guest is not None and (door is None or not door.holds(guest))


class Guard:
    """Refuses what does not come from a page of this server.

    A page of another site could post to a server on this computer, or open a socket to it; the browser says where from,
    and a content policy does not cover sockets. A change needs the session's token besides.

    What comes from the local network gets the page that asks for the passcode, and more only with a role; what it may
    then write stands in `bottlewright.web.roles`.

    Parameters
    ----------
    app
        What is guarded.
    hosts
        Names and port by which this server may be called on this computer.
    token
        Of this session.
    door
        The way in from the local network; None where there is none.

    Attributes
    ----------
    office
        What the application works for; for those who start it.
    """

    def __init__(self, app: ASGIApp, hosts: frozenset[str], token: str, door: Door | None = None) -> None:
        self.app, self.hosts, self.token, self.door = app, hosts, token, door
        self.office: Any = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers, scope["guest"] = Headers(scope=scope), None
        answer = self._refused(scope, headers) if _at_laptop(scope) else self._kept_out(scope, headers)
        if answer is not None:
            await self._refuse(answer, scope, receive, send)
            return
        if scope["type"] == "http" and scope["method"] == "POST":
            try:
                seconds = BODY_SECONDS if _at_laptop(scope) else PHONE_SECONDS
                body = await asyncio.wait_for(_body(receive, _most(scope)), seconds)
            except TimeoutError:  # the connection is closed: one that stalls holds no socket
                slow = PlainTextResponse("that came too slowly", status_code=408, headers={"Connection": "close"})
                await slow(scope, receive, _with_headers(send))
                return
            if body is None:
                return
            receive = _again(body, receive)
        await self.app(scope, receive, _with_headers(send))

    def _refused(self, scope: Scope, headers: Headers) -> Response | None:
        """Return the refusal of a request from this computer; None where it is none."""
        if why := _foreign(scope, headers, self.hosts):
            return _no(why)
        return _bad_post(scope, headers, self.token)

    def _kept_out(self, scope: Scope, headers: Headers) -> Response | None:
        """Return the refusal of a request from the local network; None where it is none."""
        if self.door is None:
            return _no("this server answers this computer only")
        if why := _foreign(scope, headers, self.door.hosts):
            return _no(why)
        path, posts = scope["path"], scope["type"] == "http" and scope["method"] not in ("GET", "HEAD")
        guest = self.door.guest(HTTPConnection(scope).cookies.get(COOKIE, ""))
        scope["guest"] = guest
        if posts and path in (*JOINING, ENTRIES):
            return _bad_post(scope, headers, None)
        if path in (_OPEN if guest is None else (*_OPEN, *JOINING, "/static/joined.js")) and scope["type"] == "http":
            return None
        if guest is None or not guest.role:
            return _to_the_door(scope, posts)
        if posts:
            if not may_post(guest.role, path):
                return _no(f"your role ({guest.role}) does not write this")
            return _bad_post(scope, headers, guest.token)
        return None if may_look(path) else _no("this is for the laptop alone")

    async def _refuse(self, answer: Response, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008, "reason": "refused"})
            return
        await answer(scope, receive, _with_headers(send))


def _at_laptop(scope: Scope) -> bool:
    """Say whether a request came in by the address that nobody else can call; what it claims does not count."""
    server, client = scope.get("server"), scope.get("client")
    return server is not None and client is not None and server[0] == LAPTOP and str(client[0]).startswith("127.")


def _foreign(scope: Scope, headers: Headers, hosts: frozenset[str]) -> str:
    """Return why the page that asks is none of ours; empty where it is."""
    if headers.get("host", "") not in hosts:
        return "this server answers by its own address only"
    origin = headers.get("origin")
    if scope["path"] == ENTRIES and origin == "null":
        return ""  # a page that was saved as a file; what it sends carries a pass
    foreign = origin is not None and origin not in {f"http://{host}" for host in hosts}
    needed = scope["type"] == "websocket" or (scope["path"] in JOINING and scope.get("method") == "POST")
    return "this server answers its own pages only" if foreign or (origin is None and needed) else ""


def _bad_post(scope: Scope, headers: Headers, token: str | None) -> Response | None:
    """Return the refusal of what is written; None where it is in order. Without a token nothing else asks for one."""
    if scope["type"] != "http" or scope["method"] in ("GET", "HEAD"):
        return None
    if scope["method"] != "POST":
        return _no("only GET and POST are understood")
    free = token is None or scope["path"] == ENTRIES
    if not free and not secrets.compare_digest(headers.get("x-bottlewright-token", "").encode(), str(token).encode()):
        return _no("the page is of an earlier session: load it again")
    length = headers.get("content-length", "")
    if not length.isdecimal() or int(length) > _most(scope):
        if scope["path"] == LOGGER_FILE:
            return _no(f"the file has {int(length) / 1e6:.1f} MB; this page takes {MOST_OF_A_FILE / 1e6:.0f} MB at the "
                       "most. A longer one: bottlewright log import" if length.isdecimal() else "of unknown length")
        return _no("that is too much, or of unknown length")
    return None


def _most(scope: Scope) -> int:
    """Return how many bytes a post may have."""
    return MOST_OF_A_FILE if scope["path"] == LOGGER_FILE else MOST_BYTES


def _to_the_door(scope: Scope, posts: bool) -> Response:
    """Send whoever wants a page to the one that asks for the passcode; refuse the rest."""
    page = scope["type"] == "http" and not posts and "." not in scope["path"]
    return RedirectResponse("/join", 303) if page else _no("give the passcode first")


def _no(why: str) -> Response:
    return PlainTextResponse(why, status_code=403)


def _with_headers(send: Send) -> Send:
    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return guarded


async def _body(receive: Receive, most: int) -> bytes | None:
    """Return the whole body; None where the client went away, or sent more than it said."""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return None
        body += bytes(message.get("body", b""))
        if len(body) > most:
            return None
        if not message.get("more_body", False):
            return bytes(body)


def _again(body: bytes, receive: Receive) -> Receive:
    """Return what gives a body that was read already, and then whatever comes."""
    given = False

    async def replayed() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return replayed
