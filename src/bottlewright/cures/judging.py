"""Judge a changed rocket as everything else is judged: by every package, its landings flown anew where they change."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from bottlewright.design.digest import design_digest
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.field.landings import FlyBatch
from bottlewright.field.numbers import field_numbers
from bottlewright.field.scatter import Scatter, moved, scatter
from bottlewright.field.site import field_site
from bottlewright.field.wind_limit import call_hours
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
"""Of a changed rocket, for the landings that a cure is judged by: some 2 s on one core, lulls and rare failures too."""
CLOSE = 1500
"""The same, for the few trials that settle how little less pressure cures it."""


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
    own: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if self.design is not None and self.found is not None:
            self.own = frozenset({_flight_of(self.design)})
            self.known[_flight_of(self.design)] = self.found

    def __call__(self, design: Design, flights: int = FLIGHTS) -> Sequence[Finding]:
        """Return what every package finds in a completed design, its landings counted by some flights."""
        found = self._landings(design, flights)
        numbers = field_numbers(design, found) if found else None
        return judge_alone(design, self.folder, field=numbers).findings

    def closely(self, design: Design) -> Sequence[Finding]:
        """Return what every package finds in a completed design, its landings counted by more flights."""
        return self(design, CLOSE)

    def _landings(self, design: Design, flights: int) -> Scatter | None:
        """Return the landings of a design, people in their places; None where it makes no flight with an end."""
        flight = _flight_of(design)
        name = flight if flights == FLIGHTS or flight in self.own else f"{flight} {flights}"
        if name not in self.known:
            try:
                site = field_site(design.site, self.folder)
                found = scatter(design, site, flights, fly=self.fly_many, winds=False)
                self.known[name] = self._in_wind(design, found)
            except DesignError:
                self.known[name] = None
        kept = self.known[name]
        return moved(design, kept) if kept else None

    def _in_wind(self, design: Design, found: Scatter) -> Scatter:
        """Hold a wind to the limits of the same rocket over the same field, which hold in every wind."""
        known = self.found
        if self.design is None or known is None or not known.calls or _windless(design) != _windless(self.design):
            return found
        hours = [found.ground, *(None for _ in design.weather.hours)]
        calls = call_hours(design, known.limits, hours, found.habit)
        return replace(found, limits=known.limits, tried=known.tried, hours=hours, calls=calls)


def _flight_of(design: Design) -> str:
    """Return the digest of all that the landings hang on: not on people, nor on the cord in their hands."""
    return design_digest(design.model_copy(
        update={"launcher": design.launcher.model_copy(update={"crew": None, "cord": None})}))  # fmt: skip


def _windless(design: Design) -> str:
    """Return the digest of all that the wind limits hang on: not on the mean wind, nor on gusts."""
    calm = design.weather.model_copy(update={"wind_speed": None, "gust": None})
    return _flight_of(design.model_copy(update={"weather": calm}))
