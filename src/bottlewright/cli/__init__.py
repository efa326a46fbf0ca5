"""The command line: parse, call, print.

A command is one line in `COMMANDS` and one function in a module of its own, which returns the exit code, 0 or, where a
finding says stop, 1; the others are in `bottlewright.cli.endings`. Only the module of the command that is asked for is
imported, so that help comes at once, and nothing before `start` has taken over Ctrl-C.
"""

import gc
import importlib
import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from bottlewright import __version__
from bottlewright.cli.stopping import STOPPED, close, leave, stop_when_asked

if TYPE_CHECKING:
    import typer

__all__ = ["COMMANDS", "main", "start"]

COMMANDS = {
    "begin": ("bottlewright.cli.begin:begin", "Write a commented design file from a few answers."),
    "open": ("bottlewright.cli.open:open_folder", "The job in your browser."),
    "complete": ("bottlewright.cli.complete:complete", "The design with all that is filled in, and what it rests on."),
    "study": ("bottlewright.cli.study:study", "Everything below in one folder, with one report."),
    "prove": ("bottlewright.cli.prove:prove", "What vessel and launcher can take, and where everyone stands."),
    "fire": ("bottlewright.cli.fire:fire", "A static firing on a thrust stand."),
    "fly": ("bottlewright.cli.fly:fly", "One flight, from the release to the ground."),
    "release": ("bottlewright.cli.release:release", "How the canopy comes out, how often, and what makes it surer."),
    "tune": ("bottlewright.cli.tune:tune", "What to load and what to change, and why."),
    "compare": ("bottlewright.cli.compare:compare", "Designs, or launches of the logbook, side by side."),
    "scatter": ("bottlewright.cli.scatter:scatter", "Where it will come down, and what that means."),
    "make": ("bottlewright.cli.make:make", "Patterns, parts, schedule, sheets and the printed pack."),
    "field-page": ("bottlewright.cli.field_page:field_page", "One file for the phones at the field."),
    "launch": ("bottlewright.cli.launch:launch", "A day in the field: prepared, printed, and kept on its page."),
    "log": ("bottlewright.cli.log:log", "What really happened: bottles, tests and launches."),
    "learn": ("bottlewright.cli.learn:learn", "What the flights taught, and what does not fit."),
    "lesson": ("bottlewright.cli.lesson:lesson", "One variable at a time for a class: worksheet and key."),
    "forget": ("bottlewright.cli.forget:forget", "A person out of every file of a folder."),
}
"""Where each command's function is, and what it does in a line; in the order of the work."""

_ABOUT = """From a sketch to a recovered water rocket: verdicts with their basis, predictions with their spread.

A bottle can burst and a rocket can strike. Fill with water for a pressure test, wear eye protection, keep everyone away
from a bottle under pressure, fly in a clear field with nothing overhead. Local rules and the person in charge of the
site come first.
"""


_OBJECTS = 1_000_000
"""New objects between two searches for those that only hold each other, which a command hardly makes: at the usual 700
the searches take a tenth of a second of `fly`, while libraries load."""


def start() -> None:
    """Be the program `bottlewright`: what `main` does, and stop without a traceback from here on."""
    gc.set_threshold(_OBJECTS)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # its threads wait for each other, awake, while flights take all
    with stop_when_asked():
        try:
            main()
        except SystemExit as ended:
            if ended.code == STOPPED:
                leave()
            close(ended.code)
            raise


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    from bottlewright.cli.endings import ending, let_go_of_streams, open_streams

    try:
        open_streams()
        code = _run(list(sys.argv[1:] if arguments is None else arguments))
        sys.stdout.flush()
    except (Exception, KeyboardInterrupt) as error:
        code = ending(error)
    let_go_of_streams()
    sys.exit(code)


def _run(given: list[str]) -> int:
    from typer.main import get_command

    command = get_command(_app(next((word for word in given if not word.startswith("-")), "")))
    with command.make_context("bottlewright", given) as context:
        return command.invoke(context) or 0


def _app(chosen: str) -> "typer.Typer":
    import typer

    app = typer.Typer(
        help=_ABOUT,
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    )

    def show_version(wanted: bool) -> None:
        if wanted:
            typer.echo(f"bottlewright {__version__}")
            raise typer.Exit

    @app.callback()
    def top(
        version: bool = typer.Option(False, "--version", callback=show_version, is_eager=True, help="Show the version")
    ) -> None:
        """Take the options that stand before a command."""

    for name, (target, about) in COMMANDS.items():
        function = _found(target) if name == chosen else _not_chosen
        app.command(name, help=None if name == chosen else about)(function)
    return app


def _found(target: str) -> Callable[..., int | None]:
    module, _, name = target.partition(":")
    function: Callable[..., int | None] = getattr(importlib.import_module(module), name)
    return function


def _not_chosen() -> None:
    """Stand in for a command that was not asked for: help needs its name and line only."""
