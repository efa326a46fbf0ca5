"""One cure: what to change, what that costs, and what stays open."""

from dataclasses import dataclass
from typing import Any

from bottlewright.design.rewriting import Changes, as_overrides
from bottlewright.findings import Finding

__all__ = ["Cure"]


@dataclass(frozen=True, slots=True)
class Cure:
    """A change that removes a finding; it was flown and judged again by every package.

    Parameters
    ----------
    code
        Of the finding that it removes.
    words
        What to do, and what comes of it.
    changes
        Keys of the design file with their new values, in the builder's units; an empty text takes the key out. Nothing
        where it takes another bottle.
    mass_kg
        What the rocket without water gets heavier.
    cost
        What it costs in the builder's money; None where no price is known.
    hours
        Of work more, by the steps of the workshop.
    findings_left
        Stops and looks that stay open with it.
    tried
        What the design was judged with where people do something and no key is offered: it is written once it is so.
    """

    code: str
    words: str
    changes: Changes = ()
    mass_kg: float = 0.0
    cost: float | None = None
    hours: float = 0.0
    findings_left: tuple[Finding, ...] = ()
    tried: Changes = ()

    @property
    def overrides(self) -> tuple[str, ...]:
        """The change as the command line writes it after each `--set`."""
        return as_overrides(self.changes)

    def as_json(self) -> dict[str, Any]:
        """Return the cure as one document."""
        return {
            "code": self.code, "words": self.words, "changes": dict(self.changes), "mass_kg": self.mass_kg,
            "cost": self.cost, "hours": self.hours, "tried": dict(self.tried or self.changes),
            "findings_left": [finding.as_json() for finding in self.findings_left],
        }  # fmt: skip
