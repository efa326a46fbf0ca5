"""The designs of a folder, each read and judged once for what its file holds, beside the pages."""

import hashlib
import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bottlewright.errors import BottlewrightError
from bottlewright.project.book_shown import counts_beside
from bottlewright.project.editing import text_of
from bottlewright.project.project import Project, parse
from bottlewright.web.work import Work

if TYPE_CHECKING:
    from bottlewright.project.proof import ProofResult

__all__ = ["Shelf", "Standing"]


@dataclass(frozen=True)
class Standing:
    """A design of the folder.

    Parameters
    ----------
    file
        Its name.
    project, judged
        What it says, and what it may; None while that is being worked out, or where it can't be read.
    wrong
        Why it can't be read.
    """

    file: str
    project: Project | None = None
    judged: "ProofResult | None" = None
    wrong: str = ""


class Shelf:
    """Keeps what is known of each file until it, or anything that counts for it, is another.

    Parameters
    ----------
    folder, work
        Where the files lie; what was worked out for them counts in their verdicts.
    changed
        Called, from any thread, when one more is known.
    """

    def __init__(self, folder: Path, work: Work, changed: Callable[[], None]) -> None:
        self.folder, self.work, self._changed = folder, work, changed
        self._known: dict[str, tuple[str, Standing]] = {}
        self._named: dict[str, tuple[str | None, list[str]]] = {}
        self._lock = threading.Lock()
        self._busy = False

    def standings(self, files: list[str], judging: bool) -> list[Standing]:
        """Return what is known of each; what is not yet is worked out beside, where `judging` says that it may be."""
        beside = counts_beside(self.folder)
        names = {file: self._name(file, beside) for file in files}
        with self._lock:
            missing = [file for file in files if self._known.get(file, ("",))[0] != names[file]]
            begin = bool(missing) and judging and not self._busy
            self._busy = self._busy or begin
        if begin:
            threading.Thread(target=self._fill, args=(missing,), daemon=True, name="shelf").start()
        return [self._before(file, names[file]) if file in missing else self._known[file][1] for file in files]

    def _before(self, file: str, name: str) -> Standing:
        """Return what was known of the same text until a moment ago: a count that grew hides no design meanwhile."""
        known, standing = self._known.get(file, ("", Standing(file)))
        return standing if known.partition("-")[0] == name.partition("-")[0] else Standing(file)

    def standing(self, file: str) -> Standing:
        """Return what is known of one, worked out now where it is not yet."""
        name = self._name(file, counts_beside(self.folder))
        with self._lock:
            known = self._known.get(file)
        if known is None or known[0] != name:
            known = self._known[file] = name, self._judged(file)
        return known[1]

    def _name(self, file: str, beside: tuple[object, ...]) -> str:
        """Return what changes with the file, with what was worked out for any, and with what counts beside them."""
        try:
            held = hashlib.sha256((self.folder / file).read_bytes()).hexdigest()
        except OSError:
            held = ""
        own = tuple(_stands(self.folder / name) for name in self._own(file, held))
        return f"{held}-{self.work.counted}-{hash((beside, own))}"

    def _own(self, file: str, held: str) -> list[str]:
        """Return the files that a design names, such as its map, wherever they lie."""
        known, names = self._named.get(file, (None, []))
        if known != held:
            try:
                names = parse(text_of(self.folder / file), self.folder / file).files_beside()
            except Exception:  # said where it is judged
                names = []
            self._named[file] = held, names
        return names

    def _fill(self, files: list[str]) -> None:
        try:
            for file in files:
                self.standing(file)
                self._changed()
        finally:
            self._busy = False

    def _judged(self, file: str) -> Standing:
        try:
            project = parse(text_of(self.folder / file), self.folder / file)
            judged = self.work.judged(project)
            project.fly()
        except BottlewrightError as error:
            return Standing(file, wrong=str(error))
        except Exception as error:
            logging.getLogger(__name__).exception("%s can't be judged", file)
            return Standing(file, wrong=f"it can't be judged, and that is a mistake of this program "
                                        f"({type(error).__name__})")  # fmt: skip
        return Standing(file, project, judged)


def _stands(path: Path) -> tuple[int, int] | None:
    """Return what is another where a file was written anew; None where it can't be looked at."""
    try:
        at = path.stat()
    except (OSError, ValueError):
        return None
    return at.st_mtime_ns, at.st_size
