"""What the commands share: their options, reading the design, words or one JSON document, a folder of results."""

import hashlib
import json
import math
import os
import shutil
import sys
import tempfile
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TextIO

import typer

from bottlewright.findings import Finding, Level, by_urgency, stops

if TYPE_CHECKING:
    from bottlewright.design import Design, DesignError

__all__ = [
    "DesignFile", "InputError", "Json", "Out", "Sets", "answer", "exit_code", "json_text", "load", "place_for",
    "print_json", "results_folder", "say", "styled", "tell_findings", "tell_problems",
]  # fmt: skip

DesignFile = Annotated[Path, typer.Argument(help="The design file.", show_default=False)]
Sets = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", show_default=False,
                 help='Override a value, such as --set charge.pressure="5 bar". May be repeated.'),
]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON document, SI units, instead of words.")]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", show_default=False, help="Write the results into this folder.")
]

MANIFEST = "bottlewright-files.json"
"""Lists, in a folder of results, what we wrote there: the only files we ever replace or remove."""


class InputError(Exception):
    """What was asked for can't be done as asked; the message says why and what would be right. Exit code 2."""


def load(path: Path, sets: Sequence[str] | None = None, out: Path | None = None) -> "Design":
    """Read and complete a design file with its overrides; `main` tells what is wrong with it, with exit code 2.

    A place that results can't be written to is refused before anything is worked out.
    """
    from bottlewright.design import complete, read_design

    if out is not None:
        _known_files(Path(os.path.realpath(out)))
    return complete(read_design(path, sets or ()))


def answer(as_json: bool, document: Any, words: str, findings: Sequence[Finding] = ()) -> int:
    """Print the document as JSON, or the words and the findings; return the exit code."""
    if as_json:
        print_json(document)
    else:
        typer.echo(words)
        tell_findings(findings)
    return exit_code(findings)


# --- words ------------------------------------------------------------------------------------------------------


def styled(text: str, stream: TextIO, colour: str | None = None, bold: bool = False) -> str:
    """Return the text with colour where the stream is a terminal that wants it; colour never says it alone."""
    plain = not stream.isatty() or "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
    return text if plain else typer.style(text, fg=colour, bold=bold or None)


def say(text: str = "") -> None:
    """Tell the user something beside the result: progress, where files lie. Goes to standard error."""
    typer.echo(text, err=True)


def tell_problems(error: "DesignError") -> None:
    """Print everything that is wrong with a design to standard error."""
    count = len(error.problems)
    name = error.source or "The design"
    if count == 1 and not error.problems[0].path:
        return say(f"{name} {error.problems[0]}")
    say(f"{name} can't be used yet: {count} thing{'s' if count > 1 else ''} to put right.")
    for problem in error.problems:
        where = f"  (line {problem.line})" if problem.line else ""
        path = "".join(letter if letter.isprintable() else "?" for letter in problem.path[:120])
        say(f"\n  {styled(path, sys.stderr, bold=True)}{where}\n      {problem.why}")
        if problem.right:
            say(f"      {problem.right}")
    return None


_SIGNS = {Level.STOP: ("■ STOP", "red"), Level.LOOK: ("▲ LOOK", "yellow"), Level.NOTE: ("○ NOTE", "cyan")}


def tell_findings(findings: Iterable[Finding]) -> None:
    """Print findings, the most urgent first: level in words and shape, what was found, limit, source, remedy.

    On a terminal the lines are broken to its width; in a file a line stays a line.
    """
    width = min(shutil.get_terminal_size().columns, 100) if sys.stdout.isatty() else None

    def broken(text: str, first: str, rest: str) -> str:
        if width is None:
            return first + text
        return textwrap.fill(text, width, initial_indent=first, subsequent_indent=rest, break_long_words=False)

    for finding in by_urgency(findings):
        sign, colour = _SIGNS[finding.level]
        head = broken(f"{finding.stage}: {finding.hazard}", f"{sign}  ", " " * 8)
        typer.echo(styled(head, sys.stdout, colour, bold=True))
        for name in ("found", "limit", "source", "remedy"):
            typer.echo(broken(getattr(finding, name), f"    {name:<8}", " " * 12))
        typer.echo()


def exit_code(findings: Iterable[Finding]) -> int:
    """Return 1 where a finding says stop, else 0."""
    return 1 if stops(findings) else 0


# --- JSON ---------------------------------------------------------------------------------------------------------


def print_json(document: Any) -> None:
    """Print one JSON document to standard output; what is not a finite number becomes null."""
    unicode = (sys.stdout.encoding or "").lower().startswith("utf")
    typer.echo(json_text(document, ascii_only=not unicode))


def json_text(document: Any, ascii_only: bool = False) -> str:
    """Return a document as JSON text, indented; numpy arrays and findings are understood."""
    return json.dumps(_plain(document), ensure_ascii=ascii_only, indent=1, allow_nan=False)


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, dict):
        return {str(key): _plain(entry) for key, entry in value.items()}
    if isinstance(value, Finding):
        return value.as_json()
    if hasattr(value, "tolist"):  # numpy's arrays and scalars
        return _plain(value.tolist())
    if isinstance(value, Iterable):
        return [_plain(entry) for entry in value]
    raise TypeError(f"{type(value).__name__} has no JSON form")


# --- a folder of results ------------------------------------------------------------------------------------------


def place_for(name: str, command: str) -> Path:
    """Return where a command writes a rocket's results when it was not told: a name that any file system takes."""
    words = "".join(letter if letter.isalnum() else " " for letter in name.lower()).split()
    return Path(f"{'-'.join(words) or 'rocket'}-{command}")


@contextmanager
def results_folder(out: Path, command: str) -> Iterator[Path]:
    """Give a new folder to write into, and put it in place of `out` when all went well.

    A folder that is there already is replaced only when every file in it is one that we wrote and nobody changed since;
    results of other commands in it are kept. On an error nothing is left behind.

    Raises
    ------
    InputError
        Before anything is written, when `out` holds something of the user's.
    """
    out = Path(os.path.realpath(out))
    known = _known_files(out)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    except OSError as error:
        raise InputError(f"{out} can't be written: {error.strerror}") from None
    try:
        yield fresh
        _keep_others(out, fresh, known, command)
        fresh.chmod(0o777 & ~_umask())
        _swap(fresh, out)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _file_above(out: Path) -> Path | None:
    return next((place for place in out.parents if place.is_file()), None)


def _known_files(out: Path) -> dict[str, dict[str, str]]:
    if not out.exists():
        above = _file_above(out)
        if above is not None:
            raise InputError(f"{out} can't be written: {above} is a file, not a folder")
        return {}
    if not out.is_dir():
        raise InputError(f"{out} is a file; --out needs a folder")
    try:
        known: dict[str, dict[str, str]] = json.loads((out / MANIFEST).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError):
        known = {}
    for path in sorted(path for path in out.rglob("*") if not path.is_dir() or path.is_symlink()):
        name = path.relative_to(out).as_posix()
        if name == MANIFEST and known:
            continue
        if name not in known or path.is_symlink():
            raise InputError(f"{out} holds {name}, which this program did not write; give --out another folder")
        if _digest(path) != known[name].get("sha256"):
            raise InputError(f"{out / name} was changed by hand since it was written; give --out another folder")
    return known


def _keep_others(out: Path, fresh: Path, known: dict[str, dict[str, str]], command: str) -> None:
    """Carry over what other commands wrote, and list all that is in the folder."""
    ours = [path.relative_to(fresh).as_posix() for path in fresh.rglob("*") if path.is_file()]
    files = {name: {"command": command, "sha256": _digest(fresh / name)} for name in ours}
    for name, entry in known.items():
        if name not in files and entry.get("command") != command and (out / name).is_file():
            (fresh / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(out / name, fresh / name)
            files[name] = entry
    listed = {"about": "Files that bottlewright wrote here; it replaces these and no others.", "files": files}
    (fresh / MANIFEST).write_text(json.dumps(listed, indent=1, ensure_ascii=False, sort_keys=True), encoding="utf-8")


def _swap(fresh: Path, out: Path) -> None:
    if not out.exists():
        fresh.rename(out)
        return
    aside = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    os.replace(out, aside)
    try:
        fresh.rename(out)
    except OSError:
        os.replace(aside, out)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
