"""Work that takes long: one at a time, with progress and a stop, each result for the revision it was begun for."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from bottlewright.errors import BottlewrightError, StoppedError
from bottlewright.project.project import Project
from bottlewright.project.watch import Progress, Stop

__all__ = ["KINDS", "Running", "Work"]

KINDS: dict[str, Callable[[Project, Progress, Stop], Any]] = {
    "tune": lambda project, progress, stop: project.tune(progress, stop),
    "scatter": lambda project, progress, stop: project.scatter(progress=progress, stop=stop),
    "make": lambda project, progress, stop: _made(project, progress, stop),
    "cures": lambda project, progress, stop: project.prove().cured(progress, stop),
}
"""What can be worked out on request, by name."""


def _made(project: Project, progress: Progress, stop: Stop) -> Any:
    result = project.make(progress=progress, stop=stop)
    result.made(progress, stop)
    return result


@dataclass
class Running:
    """One piece of work under way.

    Parameters
    ----------
    kind, digest
        What is worked out, and for which design.
    words, share
        What is being done now, and how far it is, 0 to 1.
    """

    kind: str
    digest: str
    words: str = "beginning"
    share: float = 0.0
    stop: threading.Event = field(default_factory=threading.Event)


class Work:
    """Runs work beside the pages and keeps its results by kind and digest of the design.

    Parameters
    ----------
    changed
        Called, from any thread, when something is to be shown anew.

    Attributes
    ----------
    running, failed
        What is under way, by kind; why there is no result, by kind and digest.
    finished
        How many results there have been.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed = changed
        self._lock = threading.Lock()
        self._results: dict[tuple[str, str], Any] = {}
        self.running: dict[str, Running] = {}
        self.failed: dict[tuple[str, str], str] = {}
        self.finished = 0

    def result(self, kind: str, digest: str) -> Any:
        """Return what was worked out for a design; None where nothing was."""
        return self._results.get((kind, digest))

    def begin(self, kind: str, project: Project) -> None:
        """Begin a piece of work; one of that kind that is under way for another design is stopped."""
        with self._lock:
            now = self.running.get(kind)
            if now and now.digest == project.digest:
                return
            if now:
                now.stop.set()
            self.running[kind] = one = Running(kind, project.digest)
        threading.Thread(target=self._run, args=(one, project), daemon=True, name=f"work-{kind}").start()

    def stop(self, kind: str) -> None:
        """Stop a piece of work; it ends within half a second."""
        with self._lock:
            if kind in self.running:
                self.running[kind].stop.set()

    def _run(self, one: Running, project: Project) -> None:
        def progress(words: str, share: float) -> None:
            step = words != one.words or abs(share - one.share) >= 0.02
            one.words, one.share = words, share
            if step:
                self._changed()

        key = one.kind, one.digest
        try:
            self._changed()
            self._results[key] = KINDS[one.kind](project, progress, one.stop.is_set)
            self.failed.pop(key, None)
            self.finished += 1
        except StoppedError:
            self.failed[key] = "stopped, as you asked"
        except BottlewrightError as error:
            self.failed[key] = str(error)
        finally:
            with self._lock:
                if self.running.get(one.kind) is one:
                    del self.running[one.kind]
            self._changed()
