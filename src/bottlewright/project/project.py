"""A project: one completed design, where its file lies, and everything that can be worked out for it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.project.watch import Progress, Stop

if TYPE_CHECKING:
    from bottlewright.design import Design
    from bottlewright.field.landings import FlyBatch
    from bottlewright.field.site import FieldSite
    from bottlewright.findings import Finding
    from bottlewright.project.firing import FiringResult
    from bottlewright.project.flight import FlightResult
    from bottlewright.project.flights import FlightsResult
    from bottlewright.project.make import MakeResult
    from bottlewright.project.proof import ProofResult
    from bottlewright.project.result import Result
    from bottlewright.project.scatter import ScatterResult
    from bottlewright.project.study import StudyResult
    from bottlewright.project.tune import TuneResult
    from bottlewright.proof.prove import ProofReport
    from bottlewright.verdict import Verdict

__all__ = ["Project", "parse", "read"]


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
        """Return the names of the files that the design file names: map, price list, risk matrix."""
        design = self.design
        return [name for name in (design.site.map, design.prices.file, design.workshop.matrix) if name]

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
        from bottlewright.project.flight import fly

        return fly(self)

    def fly_many(
        self, count: int = 200, seed: int = 0, progress: Progress | None = None, stop: Stop | None = None,
        fly_many: "FlyBatch | None" = None,
    ) -> "FlightsResult":  # fmt: skip
        """Fly the rocket many times, everything that carries a ± drawn anew for each flight.

        After a stop, the blocks of flights that are done are reported and `partial` is true.

        Raises
        ------
        StoppedError
            When `stop` came before the first flights were done.
        """
        from bottlewright.project.flights import fly_many as fly_them

        return fly_them(self, count, seed, progress, stop, fly_many)

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
        fly_many: "FlyBatch | None" = None,
    ) -> "ScatterResult":  # fmt: skip
        """Say where the rocket comes down, the chance of leaving the field, and where people stand.

        How many flights and from which seed stands in the design's table `scatter`. After a stop, the flights that are
        done are reported and `partial` is true.

        Parameters
        ----------
        winds
            Work out the wind limits and proposals too, which take longest.

        Raises
        ------
        StoppedError
            When `stop` came before the first flights were done.
        """
        from bottlewright.project.scatter import scatter

        return scatter(self, winds, progress, stop, fly_many)

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

    return Project(complete(read_design(file, overrides)), Path(file))


def parse(text: str, file: str | Path = "rocket.toml") -> Project:
    """Read a design from text; `file` says where it would lie. See `read`."""
    from bottlewright.design import complete, parse_design

    return Project(complete(parse_design(text)), Path(file))
