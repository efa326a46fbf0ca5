"""Write design files: values put back with the builder's comments kept, whole files at once or not at all."""

import contextlib
import errno
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.reading import design_text, parse_design, plain_toml

__all__ = ["changed_text", "write_design", "write_new", "write_over"]


def write_design(
    source: str | Path, changes: Mapping[str, str | float | int | bool], target: str | Path | None = None
) -> None:
    """Write a design with some values changed; comments, order and layout stay as the builder left them.

    Parameters
    ----------
    source
        The design file to start from.
    changes
        Values as the design file has them, by dotted path: ``{"charge.pressure": "5 bar"}``.
    target
        A new file, which must not exist yet; left out, the source itself is replaced.

    Raises
    ------
    DesignError
        If the changed design would be refused; nothing is written then.
    FileExistsError
        If the target exists.
    """
    text = changed_text(design_text(source).text, changes)
    if target is None:
        write_over(Path(source), text)
    else:
        write_new(Path(target), text)


def changed_text(text: str, changes: Mapping[str, str | float | int | bool | None]) -> str:
    """Return the text of a design with some values changed, checked; None takes a key out. See `write_design`."""
    document: Any = tomlkit.parse(plain_toml(text))
    problems = []
    for path, value in changes.items():
        try:
            _put(document, path.split("."), value)
        except (KeyError, IndexError, ValueError, TypeError, TOMLKitError):
            problems.append(Problem(path, "is not a place in this design"))
    if problems:
        raise DesignError(problems)
    changed = tomlkit.dumps(document)
    parse_design(changed)
    return changed


def _put(node: Any, names: list[str], value: Any) -> None:
    name: Any = int(names[0]) if isinstance(node, list) else names[0]
    if len(names) > 1:
        if isinstance(node, dict) and name not in node:
            node[name] = tomlkit.table()
        _put(node[name], names[1:], value)
    elif value is None:
        if name in node:
            del node[name]
    elif isinstance(node, list | dict):
        if isinstance(node, list) and not 0 <= name < len(node):
            raise IndexError(name)
        node[name] = value
    else:
        raise TypeError(name)


def write_over(path: Path, text: str) -> None:
    """Put a text in place of a file in one step, so that a crash leaves either the old or the new one whole."""
    with _beside(path, text) as fresh:
        if path.exists():
            os.chmod(fresh, path.stat().st_mode & 0o777)
        os.replace(fresh, os.path.realpath(path))


def write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet, whole or not at all.

    Raises
    ------
    FileExistsError
        If there is something under that name already.
    """
    with _beside(path, text) as fresh:
        try:
            os.link(fresh, path)  # unlike a rename, a link never takes the place of a file
        except (PermissionError, NotImplementedError):  # a file system without links
            with open(path, "x", encoding="utf-8", newline="") as file:
                file.write(text)


@contextlib.contextmanager
def _beside(path: Path, text: str) -> Any:
    folder = Path(os.path.realpath(path)).parent
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise NotADirectoryError(errno.ENOTDIR, f"{folder} is a file") from None
    handle, fresh = tempfile.mkstemp(prefix=f".{path.name}-", dir=folder)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(fresh, 0o666 & ~mask)
        yield fresh
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(fresh)
