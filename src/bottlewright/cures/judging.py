"""Judge a changed rocket as everything else is judged: by every package, its landings flown anew where they change."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from bottlewright.design.digest import design_digest
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.field.landings import FlyBatch
from bottlewright.field.numbers import field_numbers
from bottlewright.field.scatter import Scatter, moved, scatter
from bottlewright.field.site import field_site
from bottlewright.findings import Finding, by_urgency
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.fly import fly
from bottlewright.flight.results import findings_of
from bottlewright.make.findings import about_glues
from bottlewright.proof.prove import prove
from bottlewright.verdict.judgement import judge_alone

__all__ = ["Judge", "WholeJudge", "level_of"]

Judge = Callable[[Design], Sequence[Finding]]
"""All that every package finds in a completed design."""

FLIGHTS = 400
"""Of a changed rocket, for the landings that a cure is judged by: 0.7 s on one core."""


def level_of(design: Design) -> list[Finding]:
    """Return what proof, flight and make find in a completed design: all but its landings."""
    return by_urgency([*prove(design).findings, *findings_of(design, fly(design)), *about_glues(design)])


@dataclass
class WholeJudge:
    """The verdict on changes of one design, landings included.

    Parameters
    ----------
    folder
        Where the design file lies, and its map beside it.
    design, found
        A design whose landings are known already; with them people are judged who stand elsewhere.
    fly_many
        Flies many plans.
    """

    folder: Path
    design: Design | None = None
    found: Scatter | None = None
    fly_many: FlyBatch = fly_batch
    known: dict[str, Scatter | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.design is not None and self.found is not None:
            self.known[_flight_of(self.design)] = self.found

    def __call__(self, design: Design) -> Sequence[Finding]:
        """Return what every package finds in a completed design."""
        found = self._landings(design)
        numbers = field_numbers(design, found) if found else None
        return judge_alone(design, self.folder, field=numbers).findings

    def _landings(self, design: Design) -> Scatter | None:
        """Return the landings of a design, people in their places; None where it makes no flight with an end."""
        flight = _flight_of(design)
        if flight not in self.known:
            try:
                site = field_site(design.site, self.folder)
                self.known[flight] = scatter(design, site, FLIGHTS, fly=self.fly_many, winds=False)
            except DesignError:
                self.known[flight] = None
        found = self.known[flight]
        return moved(design, found) if found else None


def _flight_of(design: Design) -> str:
    """Return the digest of all that the landings hang on: not on people, nor on the cord in their hands."""
    return design_digest(design.model_copy(
        update={"launcher": design.launcher.model_copy(update={"crew": None, "cord": None})}))  # fmt: skip
