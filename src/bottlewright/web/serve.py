"""Serve the pages on this computer: a free port, one address, one server for each folder."""

import json
import os
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

from bottlewright.errors import InputError
from bottlewright.project.interruption import at_stop

__all__ = ["listening", "serve"]

USUAL_PORT = 8731
_LOCK, _WHO = ".bottlewright-open.lock", ".bottlewright-open.json"


def serve(folder: Path, port: int | None, browser: bool, say: Callable[[str], None]) -> None:
    """Serve the pages of a folder until stopped.

    Parameters
    ----------
    folder
        Where design files lie, or will; made where there is none.
    port
        Of this computer; a free one near the usual when left out.
    browser
        Open the browser.
    say
        Takes the address.

    Raises
    ------
    InputError
        When another server has the folder, or the port is taken.
    """
    import uvicorn
    from filelock import FileLock, Timeout

    from bottlewright.web.app import make_app

    folder.mkdir(parents=True, exist_ok=True)
    lock = FileLock(folder / _LOCK)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise InputError(f"{folder} is open already: {_who(folder)}. Go there, or end that one first") from None
    def clear() -> bool:
        (folder / _WHO).unlink(missing_ok=True)
        (folder / _LOCK).unlink(missing_ok=True)
        return False

    try:
        with at_stop(clear), listening(port) as listener:
            number = listener.getsockname()[1]
            address = f"http://127.0.0.1:{number}/"
            (folder / _WHO).write_text(json.dumps({"address": address, "process": os.getpid()}), encoding="utf-8")
            app = make_app(folder, frozenset({f"127.0.0.1:{number}", f"localhost:{number}"}))
            say(f"Open in your browser:  {address}   (Ctrl-C ends it)")
            if browser:
                threading.Timer(0.5, webbrowser.open, (address,)).start()
            config = uvicorn.Config(app, log_level="error", access_log=False, ws_max_size=65536, ws_ping_interval=20.0,
                                    timeout_graceful_shutdown=1)  # fmt: skip
            uvicorn.Server(config).run(sockets=[listener])
    finally:
        clear()
        lock.release()


def listening(port: int | None) -> socket.socket:
    """Return a socket that listens on this computer only."""
    wanted = [port] if port is not None else [*range(USUAL_PORT, USUAL_PORT + 20), 0]
    for number in wanted:
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind(("127.0.0.1", number))
        except OSError:
            listener.close()
            continue
        listener.listen(128)
        return listener
    raise InputError(f"port {port} of this computer is taken; leave --port out for a free one")


def _who(folder: Path) -> str:
    try:
        return str(json.loads((folder / _WHO).read_text(encoding="utf-8"))["address"])
    except (OSError, ValueError, KeyError):
        return "by another process"
