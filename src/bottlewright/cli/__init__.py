"""The command line: parse, call, print.

A command is one line in `COMMANDS` and one function in a module of its own, which returns the exit code:
0 done, 1 a finding says stop, 2 bad input, 70 a fault of the program. Only the module of the command that is asked for
is imported, so that help comes at once.
"""

import errno
import functools
import importlib
import os
import sys
from collections.abc import Callable, Sequence

import typer

from bottlewright import __version__

__all__ = ["COMMANDS", "main"]

COMMANDS = {
    "begin": ("bottlewright.cli.begin:begin", "Write a commented design file from a few answers."),
    "study": ("bottlewright.cli.study:study", "Everything below in one folder, with one report."),
    "prove": ("bottlewright.cli.prove:prove", "What vessel and launcher can take, and where everyone stands."),
    "fire": ("bottlewright.cli.fire:fire", "A static firing on a thrust stand."),
    "fly": ("bottlewright.cli.fly:fly", "One flight, from the release to the ground."),
    "tune": ("bottlewright.cli.tune:tune", "What to load and what to change, and why."),
    "scatter": ("bottlewright.cli.scatter:scatter", "Where it will come down, and what that means."),
    "make": ("bottlewright.cli.make:make", "Patterns, parts, schedule, sheets and the printed pack."),
}
"""Where each command's function is, and what it does in a line; in the order of the work."""

_ABOUT = """From a sketch to a recovered water rocket: verdicts with their basis, predictions with their spread.

A bottle can burst and a rocket can strike. Fill with water for a pressure test, wear eye protection, keep everyone away
from a bottle under pressure, fly in a clear field with nothing overhead. Local rules and the person in charge of the
site come first.
"""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without ± must not stop the work
    chosen = next((word for word in given if not word.startswith("-")), "")
    try:
        app = _app(chosen)
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception as error:  # the command's own module can't be imported
        sys.exit(_failed(error))
    app(given, prog_name="bottlewright")


def _app(chosen: str) -> typer.Typer:
    app = typer.Typer(
        help=_ABOUT,
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    )
    app.callback()(_top)
    for name, (target, about) in COMMANDS.items():
        function = _found(target) if name == chosen else _not_chosen
        app.command(name, help=None if name == chosen else about)(function)
    return app


def _found(target: str) -> Callable[..., None]:
    module, _, name = target.partition(":")
    function: Callable[..., int | None] = getattr(importlib.import_module(module), name)
    return _guarded(function)


def _not_chosen() -> None:
    """Stand in for a command that was not asked for: help needs its name and line only."""


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"bottlewright {__version__}")
        raise typer.Exit


def _top(
    version: bool = typer.Option(False, "--version", callback=_show_version, is_eager=True, help="Show the version."),
) -> None:
    """Take the options that stand before a command."""


def _guarded(function: Callable[..., int | None]) -> Callable[..., None]:
    """Turn what a command returns or raises into an exit code, and faults into a short message."""

    @functools.wraps(function)
    def run(*args: object, **kwargs: object) -> None:
        try:
            code = function(*args, **kwargs) or 0
            sys.stdout.flush()
        except BrokenPipeError:
            # Nobody reads on. Give the interpreter a place to flush what is left.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            code = 141
        except KeyboardInterrupt:
            typer.echo("\nstopped", err=True)
            code = 130
        except Exception as error:
            code = _failed(error)
        raise typer.Exit(code)

    return run


def _failed(error: Exception) -> int:
    from bottlewright.cli.common import InputError, tell_problems
    from bottlewright.design.errors import DesignError

    if isinstance(error, typer.Exit | typer.Abort | typer.BadParameter):
        raise error
    if isinstance(error, DesignError):
        tell_problems(error)
        return 2
    if isinstance(error, InputError):
        typer.echo(str(error), err=True)
        return 2
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EROFS):
        typer.echo(f"The results can't be written: {error.strerror}", err=True)
        return 2
    if os.environ.get("BOTTLEWRIGHT_DEBUG") == "1":
        import traceback

        traceback.print_exception(error)
    message = str(error) or "no message"
    typer.echo(f"This should not have happened: {type(error).__name__}: {message[:500]}", err=True)
    typer.echo("It is a fault of the program, not of your design. Please report it with the design file and the output "
               "of the same command run with BOTTLEWRIGHT_DEBUG=1 set.", err=True)
    return 70
