"""Work that takes long: one at a time, with progress and a stop, each result for the revision it was begun for."""

import hashlib
import logging
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from bottlewright.errors import BottlewrightError, StoppedError
from bottlewright.project.book_shown import book_state
from bottlewright.project.fits import folder_name, rockets_here
from bottlewright.project.project import Project
from bottlewright.project.using_learned import learnless, taught
from bottlewright.project.watch import Stop
from bottlewright.project.winds import wind_landings

if TYPE_CHECKING:
    from bottlewright.project.proof import ProofResult
    from bottlewright.project.scatter import ScatterResult

__all__ = ["FLIGHTS", "KINDS", "WANTED", "Running", "Told", "Work", "name_of"]

FLIGHTS = 200
"""Flights that the spread of heights is made of."""

class Told:
    """Takes what a piece of work tells while it goes on: how far it is, and landings as they are flown."""

    def __init__(self, one: "Running", changed: Callable[[], None]) -> None:
        self._one, self._changed = one, changed

    def __call__(self, words: str, share: float) -> None:
        """Tell what is being done, and how far it is."""
        one, step = self._one, words != self._one.words or abs(share - self._one.share) >= 0.02
        one.words, one.share = words, share
        if step:
            self._changed()

    def landed(self, rows: Any) -> None:
        """Show more landings."""
        self._one.landed.append(rows)
        self._changed()


KINDS: dict[str, Callable[[Project, Told, Stop], Iterable[Any]]] = {
    "tune": lambda project, progress, stop: [project.tune(progress, stop)],
    "scatter": lambda project, progress, stop: [
        project.scatter(progress=progress, stop=stop, landed=progress.landed)],
    "make": lambda project, progress, stop: _made(project, progress, stop),
    "cures": lambda project, progress, stop: [project.prove().cured(progress, stop)],
    "map": lambda project, progress, stop: project.load_maps(progress, stop),
    "flights": lambda project, _, stop: _flown(project, stop),
    "wind": lambda project, progress, stop: [wind_landings(project, progress, stop)],
    "release": lambda project, progress, stop: [project.release(progress, stop)],
    "fits": lambda project, progress, stop: [rockets_here(project, progress, stop)],
    "learn": lambda project, progress, stop: [taught(project, progress, stop)],
}
"""What can be worked out, by name: its results one after the other, each better than the one before."""

WANTED = {"tune": "map", "fly": "flights", "field": "wind"}
"""What a page wants worked out by itself once the hand rests, by its name; nothing of it counts in the verdict."""

_JUDGED = ("tune", "scatter", "make")
"""Kinds whose findings count in the verdict."""

_BY_ITSELF, _KEPT = ("map", "flights", "cures", "wind"), 5
"""What follows a change by itself, and how many of each are kept for those who take a change back."""

_FOR_ANY_LOAD = ("tune", "map")
"""Kinds whose result holds whatever load stands in the design."""


def name_of(kind: str, project: Project) -> str:
    """Return the name under which a kind of result is kept: of all that it was worked out from, the day among it."""
    if kind in _FOR_ANY_LOAD:
        return f"{project.loadless}-{project.around}"
    if kind == "scatter":  # who stands elsewhere changes no flight
        return f"{project.peopleless}-{project.around}"
    if kind == "learn":  # whether the design draws from it already changes nothing of it
        return f"{learnless(project)}-{hash(book_state(project.folder))}"
    if kind == "fits":
        return f"{project.digest}-{project.around}-{folder_name(project)}"
    if kind == "make":  # which knows tools, prices and days that say nothing of the flight
        return f"{hashlib.sha256(project.text.encode()).hexdigest()}-{project.digest}-{project.around}"
    return f"{project.digest}-{project.around}"


def _flown(project: Project, stop: Stop) -> list[Any]:
    result = project.fly_many(FLIGHTS, stop=stop)
    result.band  # noqa: B018 - worked out here, so that no page waits for it
    return [result]


def _made(project: Project, progress: Told, stop: Stop) -> Any:
    result = project.make(progress=progress, stop=stop)
    result.made(progress, stop)
    return [result]


@dataclass
class Running:
    """One piece of work under way.

    Parameters
    ----------
    kind, digest
        What is worked out, and the name of what it is for.
    words, share
        What is being done now, and how far it is, 0 to 1.
    landed
        Landings so far, in blocks of rows of metres east and north.
    """

    kind: str
    digest: str
    words: str = "beginning"
    share: float = 0.0
    stop: threading.Event = field(default_factory=threading.Event)
    landed: list[Any] = field(default_factory=list)


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
        How many results there have been that the verdict counts.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed = changed
        self._lock = threading.Lock()
        self._results: dict[tuple[str, str], Any] = {}
        self.running: dict[str, Running] = {}
        self._waiting: dict[str, list[Project]] = {}
        self.failed: dict[tuple[str, str], str] = {}
        self.finished = 0

    def result(self, kind: str, project: Project) -> Any:
        """Return what was worked out for a project; None where nothing was."""
        if not any(one == kind for one, _ in tuple(self._results)):
            return None
        return self._results.get((kind, name_of(kind, project)))

    @property
    def counted(self) -> int:
        """How many results there are that verdicts rest on."""
        return sum(kind in _JUDGED for kind, _ in tuple(self._results))

    def landings(self, project: Project) -> "ScatterResult | None":
        """Return where it comes down, with the people where they stand now; None until it is worked out."""
        found: ScatterResult | None = self.result("scatter", project)
        return found if found is None or found.digest == project.digest else found.with_people_of(project)

    def judged(self, project: Project) -> "ProofResult":
        """Return what vessel and launcher can take, with the verdict by all that was worked out for a project."""
        done = (self.result("tune", project), self.landings(project), self.result("make", project))
        return project.prove([one for one in done if one is not None and one.digest == project.digest])

    def wanted(self, kind: str, project: Project) -> None:
        """Begin a piece of work unless it was done, is under way or failed."""
        key = kind, name_of(kind, project)
        if key not in self._results and key not in self.failed:
            self.begin(kind, project)

    def begin(self, kind: str, project: Project) -> None:
        """Begin a piece of work; one of that kind that is under way for another design is stopped."""
        name = name_of(kind, project)
        with self._lock:
            now = self.running.get(kind)
            if now and now.digest == name and not now.stop.is_set():
                return
            if now:
                now.stop.set()
            self.running[kind] = one = Running(kind, name)
        threading.Thread(target=self._run, args=(one, project), daemon=True, name=f"work-{kind}").start()

    def begin_in_turn(self, kind: str, project: Project) -> None:
        """Begin a piece of work once what is under way of that kind is done; it ends only when somebody stops it."""
        with self._lock:
            now = self.running.get(kind)
            if now and not now.stop.is_set() and now.digest != name_of(kind, project):
                if not self._in_turn(kind, project):
                    self._waiting.setdefault(kind, []).append(project)
                return
        self.begin(kind, project)

    def waits(self, kind: str, project: Project) -> bool:
        """Say whether a piece of work waits until another of its kind is done."""
        with self._lock:
            return self._in_turn(kind, project)

    def _in_turn(self, kind: str, project: Project) -> bool:
        return any(name_of(kind, one) == name_of(kind, project) for one in self._waiting.get(kind, ()))

    def _next(self, kind: str) -> None:
        with self._lock:
            waiting = self._waiting.get(kind) if kind not in self.running else None
            project = waiting.pop(0) if waiting else None
        if project is not None:
            self.begin(kind, project)

    def drop(self, kind: str) -> None:
        """Stop work that a page wanted and nobody asked for; it may be begun again, for the same design too."""
        with self._lock:
            if one := self.running.pop(kind, None):
                one.stop.set()

    def stop(self, kind: str) -> None:
        """Stop a piece of work; it ends within half a second, and so does what waits for it."""
        with self._lock:
            self._waiting.pop(kind, None)
            if kind in self.running:
                self.running[kind].stop.set()

    def stop_all(self) -> None:
        """Stop whatever is under way."""
        for kind in KINDS:
            self.stop(kind)

    def _keep(self, key: tuple[str, str], result: Any) -> None:
        """Keep a result, and of what follows every change by itself the last few only."""
        with self._lock:
            self._results[key] = result
            old = [one for one in self._results if one[0] == key[0] and one != key]
            for one in old[:-_KEPT] if key[0] in _BY_ITSELF else ():
                del self._results[one]

    def _run(self, one: Running, project: Project) -> None:
        key = one.kind, one.digest
        try:
            self._changed()
            for result in KINDS[one.kind](project, Told(one, self._changed), one.stop.is_set):
                self._keep(key, result)
                self._changed()
            self.failed.pop(key, None)
            self.finished += one.kind not in (*WANTED.values(), "fits", "release", "learn")
        except StoppedError:
            if self.running.get(one.kind) is one:  # else something newer took its place, and nobody asked
                self.failed[key] = "stopped, as you asked"
        except BottlewrightError as error:
            self.failed[key] = str(error)
        except Exception as error:
            logging.getLogger(__name__).exception("%s failed", one.kind)
            self.failed[key] = f"it failed, and that is a mistake of this program ({type(error).__name__})"
        finally:
            with self._lock:
                if self.running.get(one.kind) is one:
                    del self.running[one.kind]
            self._next(one.kind)
            self._changed()
