"""Who may ask: this computer's own pages only. Host, origin, token, sizes, and what a page may load."""

import secrets
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["COOKIE", "MOST_BYTES", "Guard", "new_token"]

COOKIE = "bottlewright-session"
MOST_BYTES = 200_000
"""Of a request's body; a change is a few dozen."""

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


class Guard:
    """Refuses what does not come from a page of this server.

    A page of another site could post to a server on this computer, or open a socket to it; the browser says where from,
    and a content policy does not cover sockets. A change needs the session's token besides.

    Parameters
    ----------
    app
        What is guarded.
    hosts
        Names and port by which this server may be called.
    token
        Of this session.

    Attributes
    ----------
    office
        What the application works for; for those who start it.
    """

    def __init__(self, app: ASGIApp, hosts: frozenset[str], token: str) -> None:
        self.app, self.hosts, self.token = app, hosts, token
        self.office: Any = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if why := self._refused(scope, headers):
            await self._refuse(why, scope, receive, send)
            return
        await self.app(scope, _limited(receive), _with_headers(send))

    def _refused(self, scope: Scope, headers: Headers) -> str:
        """Return why a request is refused; empty where it is not."""
        if headers.get("host", "") not in self.hosts:
            return "this server answers by its own address only"
        origin = headers.get("origin")
        foreign = origin is not None and urlsplit(origin).netloc not in self.hosts
        if foreign or (origin is None and scope["type"] == "websocket"):
            return "this server answers its own pages only"
        if scope["type"] == "http" and scope["method"] not in ("GET", "HEAD"):
            if scope["method"] != "POST":
                return "only GET and POST are understood"
            if not secrets.compare_digest(headers.get("x-bottlewright-token", ""), self.token):
                return "the page is of an earlier session: load it again"
            if not headers.get("content-length", "").isdecimal() or int(headers["content-length"]) > MOST_BYTES:
                return "that is too much, or of unknown length"
        return ""

    async def _refuse(self, why: str, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008, "reason": why})
            return
        await PlainTextResponse(why, status_code=403)(scope, receive, _with_headers(send))


def _with_headers(send: Send) -> Send:
    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return guarded


def _limited(receive: Receive) -> Receive:
    seen = 0

    async def limited() -> Message:
        nonlocal seen
        message = await receive()
        if message["type"] == "http.request":
            seen += len(message.get("body", b""))
            if seen > MOST_BYTES:
                return {"type": "http.disconnect"}
        return message

    return limited
