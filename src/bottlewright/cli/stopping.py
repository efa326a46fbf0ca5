"""Stop when asked, by Ctrl-C or by the system: exit code 130, no traceback, from the first moment on.

Where there is nothing to put in order the program ends at once, whatever it is doing: loading libraries, compiling.
Inside `tidy_stop` it raises `KeyboardInterrupt` instead, so that flights under way are kept and folders cleared away.
"""

import contextlib
import os
import signal
from collections.abc import Iterator
from types import FrameType

__all__ = ["STOPPED", "stop_when_asked", "tidy_stop"]

STOPPED = 130
"""Exit code, as shells have it for Ctrl-C."""

_tidy = 0


def stop_when_asked() -> None:
    """Take over Ctrl-C and SIGTERM for this process, except where whoever started it wants them ignored."""
    for number in (signal.SIGINT, signal.SIGTERM):
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _stop)


def _stop(_number: int, _frame: FrameType | None) -> None:
    if _tidy:
        raise KeyboardInterrupt
    with contextlib.suppress(OSError):
        os.write(2, b"\nstopped\n")
    os._exit(STOPPED)


@contextlib.contextmanager
def tidy_stop() -> Iterator[None]:
    """Inside, a stop raises `KeyboardInterrupt`."""
    global _tidy
    _tidy += 1
    try:
        yield
    finally:
        _tidy -= 1
