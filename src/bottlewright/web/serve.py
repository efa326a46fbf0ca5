"""Serve the pages on this computer: a free port, one address, one server for each folder."""

import json
import os
import signal
import socket
import threading
import time
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from bottlewright.errors import InputError
from bottlewright.project.interruption import at_stop
from bottlewright.project.launch_day import LINK_LOST
from bottlewright.project.people import LOCK
from bottlewright.system import remove_open, share_no_port
from bottlewright.web.door import Door, local_addresses, qr_text, spoken
from bottlewright.web.guard import LAPTOP

if TYPE_CHECKING:
    from bottlewright.web.office import Office

__all__ = ["listening", "serve", "serving"]

USUAL_PORT = 8731
BACKLOG = 64
"""Connections that wait to be taken; as many are taken at one go, before any is counted."""
THIS = "this computer"
_WHO = ".bottlewright-open.json"


def serve(folder: Path, port: int | None, browser: bool, say: Callable[[str], None], lan: bool = False,
          page: str = "") -> None:  # fmt: skip
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
    lan
        Answer phones in the local network too: with a passcode, and only as the person at the laptop lets them.
    page
        The page that is opened first.

    Raises
    ------
    InputError
        When another server has the folder, the port is taken, or there is no local network to answer in.
    """
    import uvicorn
    from filelock import FileLock, Timeout

    from bottlewright.web.app import make_app
    from bottlewright.web.connections import Counted

    folder.mkdir(parents=True, exist_ok=True)
    lock = FileLock(folder / LOCK)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise InputError(f"{folder} is open already: {_who(folder)}. Go there, or end that one first") from None
    def clear() -> bool:
        (folder / _WHO).unlink(missing_ok=True)
        return remove_open(folder / LOCK)

    try:
        with at_stop(clear), listening(port) as listener, _local_too(lan, listener) as beside:
            number = listener.getsockname()[1]
            address = f"http://127.0.0.1:{number}/"
            (folder / _WHO).write_text(json.dumps({"address": address, "process": os.getpid()}), encoding="utf-8")
            door = Door(frozenset(f"{one.getsockname()[0]}:{number}" for one in beside)) if lan else None
            app = make_app(folder, frozenset({f"{LAPTOP}:{number}", f"localhost:{number}"}), door=door)
            if hasattr(signal, "SIGHUP") and threading.current_thread() is threading.main_thread():
                signal.signal(signal.SIGHUP, lambda *_: os.kill(os.getpid(), signal.SIGTERM))  # the terminal is closed
            say(f"Open in your browser:  {address}{page}   (Ctrl-C ends it)")
            if door:
                _tell_the_way_in(door, say)
            if browser:
                threading.Timer(0.5, webbrowser.open, (f"{address}{page}",)).start()
            config = uvicorn.Config(app, log_level="error", access_log=False, ws_max_size=65536,
                                    ws_ping_interval=LINK_LOST, ws_ping_timeout=2.0 * LINK_LOST, proxy_headers=False,
                                    timeout_graceful_shutdown=1, http=Counted, backlog=BACKLOG)  # fmt: skip
            uvicorn.Server(config).run(sockets=[listener, *beside])
    finally:
        clear()
        lock.release()


@contextmanager
def _local_too(lan: bool, listener: socket.socket) -> "Iterator[list[socket.socket]]":
    """Yield sockets that listen in the local networks, on the port of the one given; none where nobody wants it."""
    with ExitStack() as opened:
        found = local_addresses() if lan else []
        if lan and not found:
            raise InputError("this computer is in no local network: join one, or open a hotspot, and begin again")
        number = listener.getsockname()[1]
        yield [opened.enter_context(listening(number, address)) for address in found]


def _tell_the_way_in(door: Door, say: Callable[[str], None]) -> None:
    """Say how phones join, and what everybody on the network can do."""
    addresses = sorted(f"http://{host}/" for host in door.hosts)
    say("")
    say(qr_text(f"{addresses[0]}join?code={door.passcode}").rstrip("\n"))
    say(f"Phones on this network:  {'  or  '.join(addresses)}")
    say(f"Passcode:                {spoken(door.passcode)}")
    say("They ask for a role, and you give it on the page People of this laptop.")
    say("CAUTION: this is not encrypted. Whoever is on this network can read and change what goes over it, names")
    say("among it. Do not use it on a network that you do not trust.")


@contextmanager
def serving(folder: Path) -> "Iterator[tuple[str, Office]]":
    """Serve a folder beside what goes on here, its physics compiled; give address and office."""
    import uvicorn

    from bottlewright.web.app import make_app

    listener = listening(0)
    host = f"127.0.0.1:{listener.getsockname()[1]}"
    app = make_app(folder, frozenset({host}))
    app.office.warm.ready.wait()
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", proxy_headers=False))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield f"http://{host}", app.office
    finally:
        server.should_exit = True
        thread.join(10)


def listening(port: int | None, address: str = LAPTOP) -> socket.socket:
    """Return a socket that listens at an address, this computer's own when left out."""
    wanted = [port] if port is not None else [*range(USUAL_PORT, USUAL_PORT + 20), 0]
    for number in wanted:
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        share_no_port(listener)
        try:
            listener.bind((address, number))
        except OSError:
            listener.close()
            continue
        listener.listen(BACKLOG)
        return listener
    where = THIS if address == LAPTOP else address
    raise InputError(f"port {port} of {where} is taken; leave --port out for a free one")


def _who(folder: Path) -> str:
    try:
        return str(json.loads((folder / _WHO).read_text(encoding="utf-8"))["address"])
    except (OSError, ValueError, KeyError):
        return "by another process"
