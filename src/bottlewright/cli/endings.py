"""How a command ends: what went wrong in words on standard error, and the exit code.

0 done, 1 a finding says stop, 2 what was asked for can't be done, 70 a fault of the program, 130 stopped, 141 nobody
reads on.
"""

import contextlib
import os
import sys

import typer

from bottlewright.cli.stopping import STOPPED
from bottlewright.errors import BottlewrightError, InputError, StoppedError

__all__ = ["ending", "let_go_of_streams", "open_streams"]


def open_streams() -> None:
    """Make ready standard input, output and error, which whoever started the program may have closed.

    Raises
    ------
    InputError
        When standard output is closed: there is nobody to answer.
    """
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115 - as long as the program runs
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    if sys.stdout is None:
        raise InputError("Standard output is closed, so nothing can be reported; send it to a file or to /dev/null")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without ± must not stop the work


def let_go_of_streams() -> None:
    """Print what is still waiting; where that can't be, see to it that the interpreter does not try again."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def ending(error: BaseException) -> int:
    """Tell how a command ended that did not run to its end; return the exit code."""
    with contextlib.suppress(OSError):  # standard error may be full too
        if isinstance(error, KeyboardInterrupt | typer.Abort):
            _tell("\nstopped")
            return STOPPED
        if isinstance(error, typer.Exit):
            return error.exit_code
        if isinstance(error, BrokenPipeError):
            return 141
        if hasattr(error, "show"):  # a wrong command line, in typer's words
            error.show()
            return 2
        if isinstance(error, StoppedError):
            _tell("\nstopped")
            return STOPPED
        if isinstance(error, BottlewrightError):
            if hasattr(error, "problems"):
                from bottlewright.cli.printing import tell_problems

                tell_problems(error)
            else:
                _tell(str(error))
            return 2
        return _unexpected(error)
    return 2


def _tell(words: str) -> None:
    typer.echo(words, err=True)


def _unexpected(error: BaseException) -> int:
    if os.environ.get("BOTTLEWRIGHT_DEBUG") == "1":
        import traceback

        traceback.print_exception(error)
    if isinstance(error, OSError) and error.strerror:  # the computer's doing: a full disk, a place without access
        where = f"{error.filename} can't be used" if error.filename else "The results can't be written"
        _tell(f"{where}: {error.strerror}")
        return 2
    message = str(error) or "no message"
    _tell(f"This should not have happened: {type(error).__name__}: {message[:500]}")
    _tell("It is a fault of the program, not of your design. Please report it with the design file and the output "
          "of the same command run with BOTTLEWRIGHT_DEBUG=1 set.")
    return 70
