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
from tomlkit.items import AoT, InlineTable

from bottlewright.design.entries import has_dotted, has_header, with_entry, with_table, without_entry
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.reading import design_text, parse_design, plain_toml
from bottlewright.system import replace_file

__all__ = ["changed_text", "sync_folder", "write_design", "write_new", "write_over"]


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


def changed_text(text: str, changes: Mapping[str, str | float | int | bool | list[str] | None]) -> str:
    """Return the text of a design with some values changed, checked; None takes a key out. See `write_design`.

    The number after a list's last adds an entry, as ``{"vessel.proof.1.pressure": "8 bar", "vessel.proof.1.hold": …}``
    does, with ``mass.2.payload.view`` and the like for a table inside it; an entry's own path with None takes it out.
    """
    document: Any = tomlkit.parse(plain_toml(text))
    problems, gone = [], list[tuple[str, int]]()
    fresh, tables = dict[str, dict[str, Any]](), dict[str, dict[str, Any]]()
    for path, value in changes.items():
        try:
            added, taken = _of_entry(document, path.split("."), value)
            if added:
                fresh.setdefault(added[0], {})[added[1]] = value
            elif taken:
                gone.append(taken)
            elif table := _new_table(document, path, text):
                tables.setdefault(table, {})[path.rpartition(".")[2]] = value
            else:
                _put(document, path.split("."), value)
        except (KeyError, IndexError, ValueError, TypeError, AttributeError, RecursionError, TOMLKitError):
            problems.append(Problem(path, "is not a place in this design"))
    if problems:
        raise DesignError(problems)
    try:
        changed = tomlkit.dumps(document)
    except AttributeError:  # a number or a word in the place of a table
        raise DesignError([Problem(path, "is not a place for a value") for path in changes]) from None
    for table, number in sorted(gone, reverse=True):
        changed = without_entry(changed, table, number)
    for table, values in tables.items():
        if kept := {key: value for key, value in values.items() if value is not None}:
            changed = with_table(changed, table, kept)
    for table, values in fresh.items():
        changed = with_entry(changed, table, {key: value for key, value in values.items() if value is not None})
    parse_design(changed)
    return changed


def _of_entry(document: Any, names: list[str], value: Any) -> tuple[tuple[str, str] | None, tuple[str, int] | None]:
    """Return the list and the key of a new entry, or the list and the number of one that is taken out.

    Neither for a value of an entry that is there, for anything else, and for a list in one pair of brackets.
    """
    node: Any = document
    for depth, name in enumerate(names):
        if not isinstance(node, dict | list):
            break
        table, rest = ".".join(names[:depth]), names[depth + 1 :]
        if isinstance(node, list):
            if not name.isdecimal() or not isinstance(node, AoT):
                break
            if int(name) == len(node) and rest:
                return (table, ".".join(rest)), None
            if int(name) < len(node) and not rest and value is None:
                return None, (table, int(name))
            node = node[int(name)]
        elif name not in node:
            first = len(rest) >= 2 and rest[0] == "0"
            return ((f"{table}.{name}".lstrip("."), ".".join(rest[1:])), None) if first else (None, None)
        else:
            node = node[name]
    return None, None


def _new_table(document: Any, path: str, text: str) -> str:
    """Return the table of a key that is not there yet, in one that has a header or keys with dots; else empty."""
    names, node = path.split(".")[:-1], document
    for depth, name in enumerate(names):
        if not isinstance(node, dict) or name.isdecimal():
            return ""
        if name not in node:
            above = ".".join(names[:depth])
            return ".".join(names) if depth and (has_header(text, above) or has_dotted(text, above)) else ""
        node = node[name]
    return ""


def _put(node: Any, names: list[str], value: Any) -> None:
    name: Any = int(names[0]) if isinstance(node, list) else names[0]
    if isinstance(node, list) and name < 0:
        raise IndexError(name)
    if isinstance(node, list) and name == len(node) and len(names) > 1:
        node.append(tomlkit.inline_table())
    if len(names) > 1:
        if isinstance(node, dict) and name not in node:
            node[name] = tomlkit.inline_table() if isinstance(node, InlineTable) else tomlkit.table()
        _put(node[name], names[1:], value)
    elif value is None:
        if isinstance(node, list) or name in node:
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
        replace_file(fresh, os.path.realpath(path))
    sync_folder(Path(os.path.realpath(path)).parent)


def sync_folder(folder: Path) -> None:
    """See to it that a new name in a folder is on the disk; nothing where a system can't say so."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


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
        except FileExistsError:
            raise
        except (OSError, NotImplementedError):  # a file system without links, which each system says in its own way
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
