"""A project: one completed design, where its file lies, and everything that can be worked out for it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.project.beside import history_beside, learned_beside
from bottlewright.project.watch import Progress, Stop

if TYPE_CHECKING:
    import datetime as dt

    from bottlewright.design import Design
    from bottlewright.field.landings import FlyBatch
    from bottlewright.field.site import FieldSite
    from bottlewright.field.trials import Seen
    from bottlewright.findings import Finding
    from bottlewright.flight.fly import Flight
    from bottlewright.project.firing import FiringResult
    from bottlewright.project.flight import FlightResult
    from bottlewright.project.flights import FlightsResult
    from bottlewright.project.loads import LoadMap, LoadWords
    from bottlewright.project.make import MakeResult
    from bottlewright.project.need import NeedResult
    from bottlewright.project.next_one import NextOne
    from bottlewright.project.parts import Parts
    from bottlewright.project.proof import ProofResult
    from bottlewright.project.release import ReleaseResult
    from bottlewright.project.result import Result
    from bottlewright.project.scatter import ScatterResult
    from bottlewright.project.schedule import Schedule
    from bottlewright.project.study import StudyResult
    from bottlewright.project.tune import TuneResult
    from bottlewright.proof.prove import ProofReport
    from bottlewright.verdict import Verdict

__all__ = ["Project", "parse", "read"]

_MOST_BESIDE = 5_000_000
"""Bytes of a file beside the design: no larger one is read, as a map or anything else."""


@dataclass(frozen=True, eq=False)
class Project:
    """A completed design and the place of its file; nothing in it ever changes.

    Parameters
    ----------
    design
        Completed: every value has a number, a ± and what it rests on.
    file
        Where the design file lies, or would: map, price list and risk matrix are looked for beside it.
    """

    design: "Design"
    file: Path

    # --- the design ---------------------------------------------------------------------------------------------

    @property
    def name(self) -> str:
        """What the rocket is called."""
        return self.design.name

    @property
    def folder(self) -> Path:
        """Where the design file lies."""
        return self.file.parent

    @property
    def overrides(self) -> tuple[str, ...]:
        """What was changed since the file was read, each as ``"key=value"``."""
        return tuple(self.design.written.overrides)

    @cached_property
    def digest(self) -> str:
        """Short name of the design; it changes with every value and ±."""
        from bottlewright.design.digest import design_digest

        return design_digest(self.design)

    def value(self, key: str) -> Any:
        """Return what stands at a key, such as ``"charge.pressure"``: a quantity in SI with its ±, a word, a count.

        Raises
        ------
        DesignError
            When the design has no such key.
        """
        from bottlewright.design import value_at

        return value_at(self.design, key)

    def changed(self, values: Mapping[str, object]) -> "Project":
        """Return a project with other values; the rest is filled in anew.

        Parameters
        ----------
        values
            By key: text with its unit, as in the file (``{"charge.pressure": "5 bar", "nose.shape": "cone"}``), or a
            count. None takes a value out.

        Raises
        ------
        DesignError
            When a key does not exist, a value is not allowed there, or they make no rocket together.
        """
        from bottlewright.design.rewriting import rewritten

        texts = [(key, "" if value is None else str(value)) for key, value in values.items()]
        return Project(rewritten(self.design, texts), self.file)

    @property
    def text(self) -> str:
        """The design file as it was read, or begun."""
        return self.design.written.text

    def written_out(self) -> str:
        """Return the design file with every value that was filled in, and what each rests on."""
        from bottlewright.design.written_out import written_out

        return written_out(self.design)

    def files_beside(self) -> list[str]:
        """Return the names of the files that the design file names: map, price list, risk matrix, the bottle's file."""
        design, history = self.design, self.design.written.history
        own, learned = history.file if history else "", design.written.learned
        taught = learned.file if learned else ""
        named = (design.site.map, design.prices.file, design.workshop.matrix, own, taught)
        return [name for name in named if name]

    @cached_property
    def around(self) -> str:
        """Short name of all that counts beside the design: what the files that it names hold, and the day.

        Read once; a project that was made after a change of them has another.
        """
        import hashlib

        from bottlewright.design.text_files import TextFileError, read_file
        from bottlewright.project.beside import newer_beside
        from bottlewright.proof.judged_day import today

        found = hashlib.sha256(str(today()).encode())
        for name in self.files_beside():
            try:
                found.update(read_file(self.folder / name, _MOST_BESIDE))
            except TextFileError as error:
                found.update(str(error).encode())
        found.update("".join(newer_beside(self.folder, self.design)).encode())
        return found.hexdigest()[:16]

    @property
    def notes(self) -> "list[Finding]":
        """How the files were read where that is not plain; the field's map is read for it where there is one."""
        return list(self.design.reading_notes)

    def basis(self) -> dict[str, str]:
        """Return what each value rests on, by key: measured, table or assumed."""
        from bottlewright.design import stood_on

        return {path: str(quantity.basis) for path, quantity in stood_on(self.design)}

    # --- what comes of it ---------------------------------------------------------------------------------------

    @cached_property
    def proved(self) -> "ProofReport":
        """What vessel and launcher can take, worked out once."""
        from bottlewright.proof.prove import prove

        return prove(self.design)

    @cached_property
    def flown(self) -> "Flight":
        """One flight with its series, flown once; raises as `fly` does."""
        from bottlewright.flight.fly import fly
        from bottlewright.project.flight import read_only

        return read_only(fly(self.design, series=True))

    @cached_property
    def site(self) -> "FieldSite":
        """The field with its map, read once.

        Raises
        ------
        DesignError
            When its map can't be read.
        """
        from bottlewright.field.site import field_site

        return field_site(self.design.site, self.folder)

    def prove(self, beside: "Sequence[Result]" = ()) -> "ProofResult":
        """Say how hard the bottle may be pumped, what else is weaker, how to show it, and where everyone stands.

        Parameters
        ----------
        beside
            Results of other stages for this design: what they found counts in the verdict too.
        """
        from bottlewright.project.proof import prove

        return prove(self, beside)

    def fly(self) -> "FlightResult":
        """Fly the rocket once, from the release to the ground, in the weather of the design.

        Raises
        ------
        DesignError
            When the design makes no rocket.
        """
        from bottlewright.project.flight import FlightResult

        return FlightResult(self, flight=self.flown)

    def fly_many(
        self, count: int = 200, seed: int = 0, progress: Progress | None = None, stop: Stop | None = None,
        fly_many: "FlyBatch | None" = None,
    ) -> "FlightsResult":  # fmt: skip
        """Fly the rocket many times, everything that carries a ± drawn anew for each flight.

        After a stop, the blocks of flights that are done are reported and `partial` is true.

        Raises
        ------
        InputError, StoppedError
            When it is to fly less than once; when `stop` came before the first flights were done.
        """
        from bottlewright.project.flights import fly_many as fly_them

        return fly_them(self, count, seed, progress, stop, fly_many)

    def release(self, progress: Progress | None = None, stop: Stop | None = None) -> "ReleaseResult":
        """Say how the canopy comes out: a nose's hold, what makes it surer, other ways, all with the same draws.

        Raises
        ------
        StoppedError
            When `stop` said so.
        """
        from bottlewright.project.release import release

        return release(self, progress, stop)

    def fire(self) -> "FiringResult":
        """Fire the bottle on a thrust stand, held still: thrust, pressure and water against time.

        Raises
        ------
        DesignError
            When the design makes no rocket.
        """
        from bottlewright.project.firing import fire

        return fire(self)

    def verdict(self) -> "Verdict":
        """Return what is open, how hard the bottle may be pumped and who stands where, by all that is known now."""
        return self.prove().verdict

    def load(self) -> "LoadWords":
        """Say what the present load brings in the sampled flights, and which limits it breaks or is close to.

        Raises
        ------
        DesignError
            When aim or bounds in the table `tune` leave nothing to choose.
        """
        from bottlewright.project.loads import load_words

        return load_words(self)

    def load_maps(self, progress: Progress | None = None, stop: Stop | None = None) -> "Iterator[LoadMap]":
        """Fly a map of water and pressure, coarse at first and finer after. Raises as `tune` does."""
        from bottlewright.project.loads import load_maps

        return load_maps(self, progress, stop)

    @cached_property
    def loadless(self) -> str:
        """Short name of the design but for its load: maps and best loads with the same name hold for both."""
        from bottlewright.project.loads import loadless

        return loadless(self)

    @cached_property
    def peopleless(self) -> str:
        """Short name of the design but for people's places and the bottle's life: it lands the same for both."""
        from bottlewright.project.scatter import peopleless

        return peopleless(self)

    def tune(
        self, progress: Progress | None = None, stop: Stop | None = None, fly_many: "FlyBatch | None" = None
    ) -> "TuneResult":
        """Say what to load, what it brings, what holds it back and what to measure next.

        What is aimed at and what may be changed stand in the design's table `tune`.

        Raises
        ------
        StoppedError
            When `stop` said so: half a search recommends nothing.
        """
        from bottlewright.project.tune import tune

        return tune(self, progress, stop, fly_many)

    def scatter(
        self, winds: bool = True, progress: Progress | None = None, stop: Stop | None = None,
        fly_many: "FlyBatch | None" = None, landed: "Seen | None" = None,
    ) -> "ScatterResult":  # fmt: skip
        """Say where the rocket comes down, the chance of leaving the field, and where people stand.

        How many flights and from which seed stands in the design's table `scatter`. After a stop, the flights that are
        done are reported and `partial` is true.

        Parameters
        ----------
        winds
            Work out the wind limits and proposals too, which take longest.
        landed
            Takes the landings of the sample block by block as they are flown: rows of metres east and north of the
            launcher, NaN for a flight without an end.

        Raises
        ------
        StoppedError
            When `stop` came before the first flights were done.
        """
        from bottlewright.project.scatter import scatter

        return scatter(self, winds, progress, stop, fly_many, landed)

    def make(
        self, paper: str | None = None, progress: Progress | None = None, stop: Stop | None = None
    ) -> "MakeResult":
        """Draw patterns, lists, schedule and sheets; `save` writes them with the printed pack.

        Parameters
        ----------
        paper
            "a4" or "letter"; the usual one of the builder's units when left out.

        Raises
        ------
        StoppedError
            When `stop` said so.
        """
        from bottlewright.project.make import make

        return make(self, paper, progress, stop)

    def parts(self) -> "Parts":
        """List what to get: parts, supplies and tools, what is there, what it costs, what is missing."""
        from bottlewright.project.parts import parts_of

        return parts_of(self)

    def next_one(self, name: str, age: str = "") -> "NextOne":
        """Copy the design for another rocket and bottle: what carries over, what does not. Nothing is written.

        Parameters
        ----------
        name
            Of the new rocket.
        age
            Since its bottle was opened, such as ``"3 days"``; empty where nobody knows.
        """
        from bottlewright.project.next_one import next_one

        return next_one(self, name, age)

    def schedule(self, now: "dt.datetime | None" = None) -> "Schedule":
        """Lay out the work on all rockets from now on, or from the day in the design: who waits for what, ready when.

        Parameters
        ----------
        now
            The present moment when left out.
        """
        from bottlewright.project.schedule import schedule_of

        return schedule_of(self, now)

    def need(self, **answers: object) -> "NeedResult":
        """Count what a day with children needs: bottles, pumps, hose, hours, litres of water, minutes a launch.

        Parameters
        ----------
        answers
            ``children`` and ``team`` (how many share a rocket), ``hours`` there (``"2 h"``), ``field``
            (``"60 m x 40 m"``), ``budget`` (``"120 crowns"``); what is left out is `need.ANSWERS`.

        Raises
        ------
        FieldsError
            With what is wrong, by the name of the answer.
        """
        from bottlewright.project.need import need

        return need(self, answers)

    def study(
        self, paper: str | None = None, progress: Progress | None = None, stop: Stop | None = None,
        fly_many: "FlyBatch | None" = None,
    ) -> "StudyResult":  # fmt: skip
        """Study the rocket: all of the above, with one report.

        Raises
        ------
        StoppedError
            When `stop` said so.
        """
        from bottlewright.project.study import study

        return study(self, paper, progress, stop, fly_many)


def read(file: str | Path, overrides: Sequence[str] = ()) -> Project:
    """Read a design file and fill in what it leaves out.

    Parameters
    ----------
    file
        A TOML file.
    overrides
        Changes such as ``"charge.pressure=5 bar"``.

    Raises
    ------
    DesignError
        With everything that is wrong at once.
    """
    from bottlewright.design import complete, read_design
    beside = Path(file).parent
    design = read_design(file, overrides, partial(history_beside, beside), partial(learned_beside, beside))
    return Project(complete(design), Path(file))


def parse(text: str, file: str | Path = "rocket.toml") -> Project:
    """Read a design from text; `file` says where it would lie. See `read`."""
    from bottlewright.design import complete, parse_design
    beside = Path(file).parent
    design = parse_design(text, lookup=partial(history_beside, beside), teacher=partial(learned_beside, beside))
    return Project(complete(design), Path(file))
