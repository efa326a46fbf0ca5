"""What differs from one operating system to the next, with a way round where a call is missing.

Everything else of the program calls only what Python has on Linux, Windows and macOS alike; `make systems` has mypy
look at it as Windows and macOS see it.
"""

import contextlib
import os
import signal
import socket
import stat
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

__all__ = ["HANDED_OVER", "cores", "file_name_of", "is_own", "kept_for_a_device", "own_name", "remove_open",
           "replace_file", "share_no_port", "stop_signals", "whole_file_flags"]  # fmt: skip

HANDED_OVER = (5, 32)
"""Numbers by which Windows says that another program, such as one that looks for viruses, has a file open."""

_PATIENCE = 2.0
"""Seconds to wait for such a program."""

_TAKEN = {"con", "prn", "aux", "nul", *(f"{device}{digit}" for device in ("com", "lpt") for digit in "123456789¹²³")}
"""Names that Windows keeps for devices, whatever follows the first dot."""


def cores() -> int:
    """Return how many processor cores this process may use; all of them where the system does not say."""
    if hasattr(os, "sched_getaffinity"):  # Linux
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def is_own(about: os.stat_result) -> bool:
    """Whether a folder is the user's own and nobody else may write in it.

    Windows keeps no such numbers: there a folder below the user's profile is the user's own by its place.
    """
    if not stat.S_ISDIR(about.st_mode):
        return False
    return not hasattr(os, "getuid") or (about.st_uid == os.getuid() and not about.st_mode & 0o022)


def own_name() -> str:
    """Return what tells this user from others of the computer, for a folder in a place that all share."""
    return str(os.getuid()) if hasattr(os, "getuid") else "user"


def whole_file_flags(*, waits: bool = True) -> int:
    """Return flags for `os.open` that give a file's bytes as they are, and hand them to no process begun meanwhile.

    Parameters
    ----------
    waits
        False where a pipe under that name must make nobody wait.
    """
    names = ("O_CLOEXEC", "O_NOINHERIT", "O_BINARY", *(() if waits else ("O_NONBLOCK",)))
    return sum(getattr(os, name, 0) for name in names)


def replace_file(fresh: str | Path, place: str | Path) -> None:
    """Put a file in place of another in one step; where another program has that one open, wait a little for it."""
    _patiently(lambda: os.replace(fresh, place))


def remove_open(path: Path) -> bool:
    """Remove a file that this process may hold open; where the system lets nobody do that, it stays. Return False."""
    with contextlib.suppress(PermissionError):
        path.unlink(missing_ok=True)
    return False


def _patiently(act: Callable[[], Any]) -> None:
    until = time.monotonic() + _PATIENCE
    while True:
        try:
            act()
        except PermissionError as error:
            if getattr(error, "winerror", None) not in HANDED_OVER or time.monotonic() > until:
                raise
            time.sleep(0.02)
        else:
            return


def stop_signals() -> list[int]:
    """Return the signals that ask a program to stop: Ctrl-C, the system's, on Windows Ctrl-Break too."""
    names = ("SIGINT", "SIGTERM", "SIGBREAK")
    return [int(getattr(signal, name)) for name in names if hasattr(signal, name)]


def share_no_port(listener: socket.socket) -> None:
    """Let a socket have a port alone, and have it again at once after the program ended.

    On Windows the option that does it elsewhere would let two programs have the same port.
    """
    if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
    else:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)


def file_name_of(name: str) -> str:
    """Return a name that every system takes as the name of a file: Windows keeps some for devices.

    Examples
    --------
    >>> file_name_of("aux.toml"), file_name_of("curlew.toml")
    ('aux-1.toml', 'curlew.toml')
    """
    first, dot, rest = name.partition(".")
    return f"{first}-1{dot}{rest}" if kept_for_a_device(name) else name


def kept_for_a_device(name: str) -> bool:
    """Say whether Windows keeps a name for a device, so that a folder with such a file can't be copied there."""
    return name.partition(".")[0].strip().lower() in _TAKEN
