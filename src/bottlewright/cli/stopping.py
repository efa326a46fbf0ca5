"""Stop when asked, by Ctrl-C or by the system: exit code 130, no traceback, from the first moment on.

The program ends at once, whatever it is doing: loading libraries, compiling, drawing. An exception instead would be
lost in libraries that call back from compiled code. What has to be put in order first says so with `at_stop`.
"""

import contextlib
import os
import signal
from collections.abc import Callable, Iterator
from types import FrameType
from typing import NoReturn

__all__ = ["STOPPED", "at_stop", "leave", "stop_when_asked"]

STOPPED = 130
"""Exit code, as shells have it for Ctrl-C."""

_acts: list[Callable[[], bool]] = []


@contextlib.contextmanager
def stop_when_asked() -> Iterator[None]:
    """Take over Ctrl-C and SIGTERM for this process, except where whoever started it wants them ignored.

    Afterwards, when all is said and written, they are ignored for the moment that the interpreter takes to close.
    """
    taken = [one for one in (signal.SIGINT, signal.SIGTERM) if signal.getsignal(one) is not signal.SIG_IGN]
    for number in taken:
        signal.signal(number, _stop)
    try:
        yield
    finally:
        for number in taken:
            signal.signal(number, signal.SIG_IGN)


@contextlib.contextmanager
def at_stop(act: Callable[[], bool]) -> Iterator[None]:
    """Do something before a stop inside; when it returns True the program goes on, for it will stop by itself."""
    _acts.append(act)
    try:
        yield
    finally:
        _acts.remove(act)


def _stop(_number: int, _frame: FrameType | None) -> None:
    with contextlib.suppress(OSError):
        if any(act() for act in reversed(_acts)):
            return
    with contextlib.suppress(OSError):
        os.write(2, b"\x1b[?25h\nstopped\n" if os.isatty(2) else b"\nstopped\n")  # a bar may have hidden the cursor
    leave()


def leave() -> NoReturn:
    """End the process here, without waiting for flights that are under way on other threads."""
    os._exit(STOPPED)
