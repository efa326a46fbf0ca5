"""How large a field has to be: by the landings, whichever way the wind turns, and by the published rules."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.field.chance import Chance, chance
from bottlewright.proof.rules import Rule, governs, rule_table

__all__ = ["Smallest", "smallest_field"]


class Smallest(NamedTuple):
    """The smallest square field with the launcher in its middle.

    Parameters
    ----------
    side
        m; the larger of what landings and published rules ask for. None where the flights are too few to say.
    by_landings
        m, by the landings alone: their furthest but for those that may leave, in every direction.
    beyond
        Chance of coming down further off than half of that.
    allowed
        The chance of leaving that is accepted.
    rule
        The published rule that asks for more than the landings, where one does.
    """

    side: float | None
    by_landings: float | None
    beyond: Chance | None
    allowed: float
    rule: Rule | None


def smallest_field(landings: NDArray[np.float64], allowed: float, groups: Sequence[str] = ()) -> Smallest:
    """Return the smallest square field for some landings.

    The wind may turn, so what counts is how far off they lie, on whatever side: a square that holds the circle will do
    in each direction. Of all circles that leave so few flights outside that even the upper end of the chance is
    accepted, it is the smallest, rounded up to whole metres.

    Parameters
    ----------
    landings
        Rows of metres from the launcher.
    allowed
        Accepted chance of leaving the field.
    groups
        Of published rules that bind besides those that always do.
    """
    away = np.sort(np.hypot(*landings.T))[::-1]
    beyond, few = None, -1
    for hits in range(len(away)):
        now = chance(hits, len(away))
        if now.high > allowed:
            break
        beyond, few = now, hits
    half = None if few < 0 or few >= len(away) else float(np.ceil(away[few]))
    rule = max((one for one in rule_table() if one.subject in ("field width", "field length") and one.value is not None
                and governs(one, groups)), key=lambda one: one.value or 0.0, default=None)  # fmt: skip
    asked = rule.value if rule else None
    if half is None:
        return Smallest(None, None, None, allowed, rule)
    more = asked is not None and asked > 2.0 * half
    return Smallest(max(2.0 * half, asked or 0.0), 2.0 * half, beyond, allowed, rule if more else None)
