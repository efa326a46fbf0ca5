"""The whole design as one typed value."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import Field, PrivateAttr

from bottlewright.design.environment import Site, Weather
from bottlewright.design.field_tables import Failures, Scatter, Tune
from bottlewright.design.fields import Name, Notes, Section
from bottlewright.design.launcher import Charge, Launcher, Stand
from bottlewright.design.learned import Learned, LearnedKeys, Taken, Teacher
from bottlewright.design.model_options import Model
from bottlewright.design.rocket import Damage, Fins, Mass, Measured, Nose, Nozzle, Recovery, Sleeve, Vessel
from bottlewright.design.vessel_history import Lookup, VesselHistory
from bottlewright.design.workshop import Prices, Stock, Workshop
from bottlewright.findings import Finding

__all__ = ["Design", "Written"]


@dataclass(frozen=True)
class _Notes:
    """Lies beside a design and is no part of it: designs that differ in nothing else are equal."""

    find: Callable[[], Sequence[Finding]] = field(default=tuple, compare=False)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        return tuple(self.find())


@dataclass(frozen=True, slots=True)
class Written:
    """What a design was read from; no part of the design either.

    Parameters
    ----------
    text, overrides
        The text, and what the command line changed in it.
    tables
        What stands in both together, as plain tables; nobody changes them.
    read
        The design that those tables make, not completed; None where no text stands behind it.
    notes
        How the text was come by, and how it was read as TOML.
    lookup, history
        How the bottle that it names is looked up, and what was found of it.
    teacher, learned
        How what its flights taught is looked up, and what was found.
    taken
        What the completed design took on of that.
    """

    text: str = field(default="", compare=False)
    overrides: tuple[str, ...] = field(default=(), compare=False)
    tables: Mapping[str, Any] = field(default_factory=dict, compare=False)
    read: "Design | None" = field(default=None, compare=False)
    notes: tuple[str, ...] = field(default=(), compare=False)
    lookup: Lookup | None = field(default=None, compare=False)
    history: VesselHistory | None = field(default=None, compare=False)
    teacher: Teacher | None = field(default=None, compare=False)
    learned: Learned | None = field(default=None, compare=False)
    taken: Taken | None = field(default=None, compare=False)


class Design(Section):
    """One design file. `fins`, `sleeve` and `stand` may be missing; the other tables are filled in by `complete`."""

    schema_: Annotated[Literal[1], Field(alias="schema")] = 1  # of this format
    name: Annotated[Name, Field(max_length=120)] = "Unnamed"  # of the rocket
    notes: Notes | None = None  # anything
    vessel: Vessel = Vessel()
    nozzle: Nozzle = Nozzle()
    nose: Nose | None = None
    fins: Fins | None = None
    sleeve: Sleeve | None = None
    mass: Annotated[list[Mass], Field(max_length=100)] = []  # what else weighs, one block each
    recovery: Recovery = Recovery()
    measured: Measured = Measured()
    damage: Annotated[list[Damage], Field(max_length=100)] = []  # what happened to it, one block each
    launcher: Launcher = Launcher()
    charge: Charge = Charge()
    site: Site = Site()
    weather: Weather = Weather()
    failures: Failures = Failures()
    scatter: Scatter = Scatter()
    tune: Tune = Tune()
    stand: Stand | None = None
    workshop: Workshop = Workshop()
    prices: Prices = Prices()
    stock: Stock = Stock()
    model: Model = Model()
    learned: LearnedKeys = LearnedKeys()
    _reading_notes: _Notes = PrivateAttr(_Notes())
    _written: Written = PrivateAttr(Written())

    @property
    def reading_notes(self) -> tuple[Finding, ...]:
        """What there is to say about how the file was read, such as a decimal comma."""
        return self._reading_notes.findings

    def with_reading_notes(self, find: Callable[[], Sequence[Finding]]) -> Self:
        """Return the same design with what finds these notes, once somebody reads them."""
        design = self.model_copy()
        design._reading_notes = _Notes(find)
        return design

    @property
    def written(self) -> Written:
        """What it was read from: empty for a design that no text stands behind."""
        return self._written

    def with_written(self, written: Written) -> Self:
        """Return the same design with what it was read from."""
        design = self.model_copy()
        design._written = written
        return design
