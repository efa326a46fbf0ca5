"""A folder of results: put in place whole, one command at a time, and nothing of the user's ever replaced.

A command writes into a working folder beside the place that was asked for. When all went well it takes the place's
lock, looks once more whether everything there is ours and unchanged, sets the old folder aside, puts the new one in
its place and looks at the old one a last time, now that nobody can write there any more. A killed command leaves its
working folder behind; the next command that writes beside it clears it away.
"""

import contextlib
import hashlib
import json
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from bottlewright.errors import InputError
from bottlewright.project.interruption import at_stop
from bottlewright.system import is_own, remove_open

__all__ = ["MANIFEST", "check_place", "place_for", "results_folder"]

MANIFEST = "bottlewright-files.json"
"""Lists, in a folder of results, what we wrote there: the only files we ever replace or remove."""

_WORK = ".bottlewright-work-"
_TRIAL = ".bottlewright-trial-"
_OWNER = "working-folder.json"
_ALIVE = "lock"
"""Locked by the command as long as it lives."""
_ABOUT = "Working folder of a bottlewright command; the next command clears it away when this one was killed."
_LOCK = ".bottlewright.lock"
_PATIENCE = 60.0
"""Seconds to wait for another command that is putting its results in place, which takes less than one."""

Entry = dict[str, str]


def place_for(name: str, command: str) -> Path:
    """Return where a command writes a rocket's results when it was not told: a name that any file system takes."""
    words = "".join(letter if letter.isalnum() else " " for letter in name.lower()).split()
    return Path(f"{'-'.join(words)[:60] or 'rocket'}-{command}")


def check_place(out: Path) -> Path:
    """Return the place with links followed; refuse one that results can't be written to, before anything is worked out.

    Raises
    ------
    InputError
        When `out` holds something of the user's, or can't be written.
    """
    with _refusing(out):
        place = Path(os.path.realpath(out))
        if any(len(os.fsencode(part)) > 255 for part in place.parts):
            raise InputError(f"{str(out)[:60]}… has a name longer than 255 bytes; give a shorter one")
        if os.path.ismount(place):
            raise InputError(f"{out} is where a disk is attached; give a folder inside it")
        try:
            _known_files(place)
        except (InputError, OSError):  # another command may be putting its results in place at this very moment
            with _locked(place.parent):
                _known_files(place)
        if _exists(place) and not os.access(place, os.R_OK | os.W_OK | os.X_OK):
            raise InputError(f"{out} can't be written: you have no access to it; give another folder")
        above = next(folder for folder in place.parents if _exists(folder))
        if not above.is_dir():
            raise InputError(f"{out} can't be written: {above} is a file, not a folder")
        os.rmdir(tempfile.mkdtemp(prefix=_TRIAL, dir=above))
        return place


@contextlib.contextmanager
def results_folder(out: Path, command: str) -> Iterator[Path]:
    """Give a new folder to write into, and put it in place of `out` when all went well.

    A folder that is there already is replaced only when every file in it is one that we wrote and nobody changed since;
    results of other commands in it are kept. On an error nothing is left behind.

    Raises
    ------
    InputError
        Before anything is written, when `out` holds something of the user's; afterwards, when that came meanwhile. The
        results then lie beside it, and the message says where.
    """
    place = check_place(out)
    with _working_folder(place) as work:
        fresh = work / "new"
        with _refusing(out):
            fresh.mkdir()
            yield fresh
        with _refusing(out), _locked(place.parent):
            try:
                _put(fresh, place, work, command)
            except InputError as error:
                beside = _unused(place)
                fresh.rename(beside)
                raise InputError(f"{error}. That came while the command ran: its results are in {beside}") from None


@contextlib.contextmanager
def _refusing(out: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise InputError(f"{out} can't be written: {error.strerror or error}; give another folder") from None


# --- whose is what ------------------------------------------------------------------------------------------------


def _known_files(out: Path) -> dict[str, Entry]:
    """Return what we wrote in a folder; refuse one that holds anything else, or anything that was changed since."""
    if not _exists(out):
        return {}
    if not out.is_dir():
        raise InputError(f"{out} is a file; a folder is needed")
    listed, known = _manifest(out), {}
    for path in _inside(out):
        name = path.relative_to(out).as_posix()
        if name == MANIFEST and listed:
            continue
        if name not in listed or not stat.S_ISREG(path.lstat().st_mode):
            raise InputError(f"{out} holds {name}, which this program did not write; give another folder")
        if _digest(path) != listed[name]["sha256"]:
            raise InputError(f"{path} was changed by hand since it was written; give another folder")
        known[name] = listed[name]
    return known


def _exists(path: Path) -> bool:
    """Whether something is there; unlike pathlib's own, it raises where one may not look."""
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def _inside(folder: Path) -> Iterator[Path]:
    """Yield all that lies in a folder, an empty folder too."""

    def fail(error: OSError) -> None:
        raise error

    for at, folders, files in os.walk(folder, onerror=fail):
        here = Path(at)
        links = [name for name in folders if (here / name).is_symlink()]
        yield from (here / name for name in sorted([*files, *links]))
        if not folders and not files and here != folder:
            yield here


def _manifest(folder: Path) -> dict[str, Entry]:
    """Return the files that our list names, none when there is no list that we can have written."""
    path = folder / MANIFEST
    try:
        if not stat.S_ISREG(path.lstat().st_mode) or path.stat().st_size > 10_000_000:
            return {}
        files = json.loads(path.read_text(encoding="utf-8"))["files"]
        return {str(name): {"command": str(entry["command"]), "sha256": str(entry["sha256"])}
                for name, entry in files.items()}  # fmt: skip
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


# --- putting it in place ------------------------------------------------------------------------------------------


def _put(fresh: Path, out: Path, work: Path, command: str) -> None:
    """Put the new folder in place of the old one; raise with the old one as it was when it is not all ours."""
    _keep_others(out, fresh, _known_files(out), command)
    if not out.exists():
        fresh.rename(out)
        return
    old = out.rename(work / "old")
    try:
        fresh.rename(out)
        _known_files(old)
    except BaseException:
        if out.exists():
            out.rename(fresh)
        old.rename(out)
        raise
    shutil.rmtree(old, ignore_errors=True)


def _keep_others(out: Path, fresh: Path, known: dict[str, Entry], command: str) -> None:
    """Carry over what other commands wrote, and list all that is in the folder."""
    ours = [path.relative_to(fresh).as_posix() for path in fresh.rglob("*") if path.is_file()]
    files = {name: {"command": command, "sha256": _digest(fresh / name)} for name in ours}
    for name, entry in known.items():
        if name not in files and entry["command"] != command:
            (fresh / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(out / name, fresh / name)
            files[name] = entry
    listed = {"about": "Files that bottlewright wrote here; it replaces these and no others.", "files": files}
    (fresh / MANIFEST).write_text(json.dumps(listed, indent=1, sort_keys=True), encoding="utf-8")


def _unused(out: Path) -> Path:
    return next(place for number in range(2, 1000) if not (place := out.with_name(f"{out.name}-{number}")).exists())


# --- one at a time, and clearing up after a killed one ------------------------------------------------------------


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Hold the lock of a folder. The lock file goes before the lock does, so nobody meets it as a file."""
    from filelock import FileLock, Timeout

    lock = FileLock(folder / _LOCK)
    try:
        lock.acquire(timeout=_PATIENCE)
    except Timeout:
        raise InputError(f"another command has been writing into {folder} for a minute; try again later") from None
    try:
        with at_stop(lambda: remove_open(folder / _LOCK)):
            yield
    finally:
        remove_open(folder / _LOCK)
        lock.release()


@contextlib.contextmanager
def _working_folder(out: Path) -> Iterator[Path]:
    """Give a working folder beside a place; it is locked while its command lives."""
    from filelock import FileLock

    with _refusing(out):
        out.parent.mkdir(parents=True, exist_ok=True)
        with _locked(out.parent):
            _clear_away(out.parent)
            work = Path(tempfile.mkdtemp(prefix=_WORK, dir=out.parent))
            (work / _OWNER).write_text(json.dumps({"about": _ABOUT, "place": out.name}), encoding="utf-8")
            alive = FileLock(work / _ALIVE)
            alive.acquire()
    try:
        with at_stop(lambda: _settle(work, out)):
            yield work
    finally:
        alive.release()
        _settle(work, out)


def _clear_away(folder: Path) -> None:
    """Clear away the working folders of killed commands: ours by name, mark and owner, and locked by nobody."""
    from filelock import FileLock, Timeout

    for work in folder.glob(f"{_WORK}*"):
        with contextlib.suppress(OSError, Timeout):
            place = _place_of(work)
            if not is_own(work.lstat()):
                continue
            if place is None and {entry.name for entry in work.iterdir()} - {_OWNER, _ALIVE}:
                continue  # not marked as ours, and not empty either
            with FileLock(work / _ALIVE, timeout=0):
                _settle(work, folder / (place or "results"))


def _place_of(work: Path) -> str | None:
    """Return the name of the place that a working folder is for; None when it is not marked as one."""
    try:
        owner = json.loads((work / _OWNER).read_text(encoding="utf-8"))
        place = str(owner["place"])
        return place if owner["about"] == _ABOUT and place not in ("", ".", "..") and "/" not in place else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _settle(work: Path, out: Path) -> bool:
    """Remove a working folder; what it set aside is put back when it was not replaced or is not all ours."""
    old = work / "old"
    if old.exists():
        if not out.exists():
            old.rename(out)
        elif not _is_ours(old):
            old.rename(_unused(out))
    shutil.rmtree(work, ignore_errors=True)
    return False


def _is_ours(folder: Path) -> bool:
    try:
        _known_files(folder)
    except InputError:
        return False
    return True

