"""Every open window shows the present revision: each page is rendered once and given to all that show it."""

import asyncio
import contextlib
import json
import threading
from collections.abc import Callable
from dataclasses import dataclass, field

from starlette.concurrency import run_in_threadpool
from starlette.websockets import WebSocket, WebSocketDisconnect

__all__ = ["Board"]

Render = Callable[[str], tuple[int, str]]
"""From the path of a page to its revision and its HTML."""


@dataclass(eq=False)
class _Window:
    page: str
    news: asyncio.Event = field(default_factory=asyncio.Event)


class Board:
    """The windows that are open, each with a task of its own: a slow one holds up nobody.

    Parameters
    ----------
    render
        Renders a page.
    """

    def __init__(self, render: Render) -> None:
        self._render = render
        self._windows: set[_Window] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._kept: dict[str, tuple[int, str]] = {}
        self._lock = threading.Lock()
        self._version = 0

    @property
    def open_windows(self) -> int:
        """How many windows are open."""
        return len(self._windows)

    def changed(self) -> None:
        """Tell every window, from any thread, that there is something new to show."""
        self._version += 1
        loop = self._loop
        if loop is not None and not loop.is_closed():
            with contextlib.suppress(RuntimeError):  # it closed meanwhile
                loop.call_soon_threadsafe(self._wake)

    def _wake(self) -> None:
        for window in self._windows:
            window.news.set()

    def rendered(self, page: str) -> str:
        """Return the message that shows a page: rendered once for each version."""
        with self._lock:
            version, kept = self._version, self._kept.get(page)
            if kept and kept[0] == version:
                return kept[1]
            revision, html = self._render(page)
            message = json.dumps({"revision": revision, "html": html})
            self._kept[page] = version, message
            return message

    async def attend(self, socket: WebSocket, page: str) -> None:
        """Show a page in a window until it closes: its present state at once, then whatever is new."""
        self._loop = asyncio.get_running_loop()
        await socket.accept()
        window = _Window(page)
        window.news.set()
        self._windows.add(window)
        listener = asyncio.create_task(_until_closed(socket))
        try:
            while not listener.done():
                waiting = asyncio.create_task(window.news.wait())
                await asyncio.wait({waiting, listener}, return_when=asyncio.FIRST_COMPLETED)
                waiting.cancel()
                if window.news.is_set() and not listener.done():
                    window.news.clear()
                    await socket.send_text(await run_in_threadpool(self.rendered, page))
        except (WebSocketDisconnect, RuntimeError):
            pass
        finally:
            self._windows.discard(window)
            listener.cancel()


async def _until_closed(socket: WebSocket) -> None:
    """Read what a window sends, which is nothing, until it closes."""
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        while True:
            await socket.receive_text()
