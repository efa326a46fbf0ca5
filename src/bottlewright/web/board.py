"""Every open window shows the present revision: each page is rendered once and given to all that show it."""

import asyncio
import contextlib
import itertools
import json
import re
import secrets
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from starlette.concurrency import run_in_threadpool
from starlette.websockets import WebSocket, WebSocketDisconnect

__all__ = ["Board", "whole"]

_KEPT = re.compile(r'<!--keep-->(<(\w+)[^>]*? id="([^"]+)".*?)<!--/keep-->', re.DOTALL)
"""A piece of a page that is sent again only when it is another; templates mark it."""

_BESIDE = " beside"
"""Under which a window's own notes keep what it was told beside its page; no piece of a page is called so."""

Render = Callable[[str, str], tuple[int, str]]
"""From the path of a page, and the width that its window has, to its revision and its HTML."""


@dataclass(eq=False)
class _Window:
    news: asyncio.Event = field(default_factory=asyncio.Event)
    whole: bool = False


class Board:
    """The windows that are open, each with a task of its own: a slow one holds up nobody.

    Parameters
    ----------
    render
        Renders a page.
    beside
        What every window is told beside its page, such as that a stop stands; and ``at``, the time of that.

    Attributes
    ----------
    session
        Names this run of the server: a page of an earlier one loads itself again.
    """

    def __init__(self, render: Render, beside: Callable[[], Mapping[str, object]] = dict) -> None:
        self._render, self._beside = render, beside
        self._windows: set[_Window] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._kept: dict[tuple[str, str], tuple[int, tuple[int, str]]] = {}
        self._lock = threading.Lock()
        self._versions = itertools.count(1)
        self._version = 0
        self.session = secrets.token_hex(8)

    @property
    def open_windows(self) -> int:
        """How many windows are open."""
        return len(self._windows)

    def changed(self) -> None:
        """Tell every window, from any thread, that there is something new to show."""
        self._version = next(self._versions)  # no two threads get the same, so that no news passes for shown already
        loop = self._loop
        if loop is not None and not loop.is_closed():
            with contextlib.suppress(RuntimeError):  # it closed meanwhile
                loop.call_soon_threadsafe(self._wake)

    def _wake(self) -> None:
        for window in self._windows:
            window.news.set()

    def rendered(self, page: str, width: str) -> tuple[int, str]:
        """Return a page's revision and HTML: rendered once for each version and width."""
        with self._lock:
            version, kept = self._version, self._kept.get((page, width))
            if kept is None or kept[0] != version:
                kept = self._kept[page, width] = version, self._render(page, width)
            return kept[1]

    def _message(self, page: str, width: str, sent: dict[str, str]) -> str:
        """Return what makes a window's page the present one; empty where it is."""
        revision, html = self.rendered(page, width)
        beside = dict(self._beside())
        sent[_BESIDE] = json.dumps({**beside, "at": ""})
        shown = f"{html}{sent[_BESIDE]}"
        if sent.get("") == shown:
            return ""
        sent[""] = shown
        return json.dumps({"revision": revision, "session": self.session, "html": _news(html, sent), **beside})

    def _at_once(self, sent: dict[str, str]) -> str:
        """Return what is new beside a page that is shown already, such as a stop: it waits for no page to be drawn."""
        beside = dict(self._beside())
        now = json.dumps({**beside, "at": ""})
        if sent.get(_BESIDE, now) == now:
            return ""
        sent[_BESIDE] = now
        return json.dumps({"session": self.session, **beside})

    async def attend(self, socket: WebSocket, page: str, width: str, shut: Callable[[], bool] = lambda: False) -> None:
        """Show a page in a window until it closes: its present state at once, then whatever is new.

        Parameters
        ----------
        shut
            Says that whoever looks was sent away: the window gets nothing more, and ends.
        """
        self._loop = asyncio.get_running_loop()
        await socket.accept()
        window = _Window()
        window.news.set()
        self._windows.add(window)
        sent: dict[str, str] = {}

        def again() -> None:
            window.whole = True
            window.news.set()

        listener = asyncio.create_task(_until_closed(socket, again))
        try:
            while not listener.done():
                waiting = asyncio.create_task(window.news.wait())
                await asyncio.wait({waiting, listener}, return_when=asyncio.FIRST_COMPLETED)
                waiting.cancel()
                if window.news.is_set() and not listener.done():
                    window.news.clear()
                    if window.whole:
                        window.whole = False
                        sent.clear()
                    for say in (lambda: self._at_once(sent), lambda: self._message(page, width, sent)):
                        message = await run_in_threadpool(say)
                        if shut():
                            await socket.close(1008)
                            return
                        if message:
                            await socket.send_text(message)
        except (WebSocketDisconnect, RuntimeError):
            pass
        finally:
            self._windows.discard(window)
            listener.cancel()


def whole(html: str) -> str:
    """Return a page with all its pieces."""
    return _KEPT.sub(r"\1", html)


def _news(html: str, sent: dict[str, str]) -> str:
    """Return a page in which a piece that the window has already is an empty element marked so."""
    def piece(hit: re.Match[str]) -> str:
        text, tag, name = hit.groups()
        if sent.get(name) == text:
            return f'<{tag} id="{name}" data-same></{tag}>'
        sent[name] = text
        return text

    return _KEPT.sub(piece, html)


async def _until_closed(socket: WebSocket, again: Callable[[], None]) -> None:
    """Read what a window sends until it closes: whatever it is, it asks for the whole page."""
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        while True:
            await socket.receive_text()
            again()
