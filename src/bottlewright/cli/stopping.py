"""Stop when asked, by Ctrl-C or by the system: exit code 130, no traceback, from the first moment on.

The program ends at once, whatever it is doing: loading libraries, compiling, drawing. An exception instead would be
lost in libraries that call back from compiled code. What has to be put in order first says so with
`bottlewright.project.interruption.at_stop`.
"""

import atexit
import contextlib
import os
import signal
import threading
from collections.abc import Iterator
from types import FrameType
from typing import NoReturn

from bottlewright.project.interruption import acts
from bottlewright.system import stop_signals

__all__ = ["STOPPED", "close", "leave", "stop_when_asked"]

STOPPED = 130
"""Exit code, as shells have it for Ctrl-C."""

@contextlib.contextmanager
def stop_when_asked() -> Iterator[None]:
    """Take over Ctrl-C and SIGTERM for this process, except where whoever started it wants them ignored.

    Afterwards, when all is said and written, they are ignored for the moment that the interpreter takes to close.
    """
    taken = [one for one in stop_signals() if signal.getsignal(one) is not signal.SIG_IGN]
    for number in taken:
        signal.signal(number, _stop)
    try:
        yield
    finally:
        for number in taken:
            signal.signal(number, signal.SIG_IGN)


def _stop(_number: int, _frame: FrameType | None) -> None:
    with contextlib.suppress(OSError):
        if any(act() for act in acts()):
            return
    with contextlib.suppress(OSError):
        os.write(2, b"\x1b[?25h\nstopped\n" if os.isatty(2) else b"\nstopped\n")  # a bar may have hidden the cursor
    leave()


def leave() -> NoReturn:
    """End the process here, without waiting for flights that are under way on other threads."""
    os._exit(STOPPED)


def close(code: object) -> None:
    """End the process here when all is said and written and no thread has anything left to do.

    The interpreter would take everything down first that is loaded: half a second after a study.
    """
    if isinstance(code, int) and all(one.daemon or one is threading.main_thread() for one in threading.enumerate()):
        atexit._run_exitfuncs()
        os._exit(code)
