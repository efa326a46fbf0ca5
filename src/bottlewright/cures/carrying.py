"""Weight and balance of the whole, measured before a change, carried over to the rocket after it.

A cure that changes a part stops using what was measured of the whole. Yet the measurement said what the sum of
the parts does not know, and a cure that works only because it is forgotten is none: each is flown once more with it.
"""

from typing import Any

from bottlewright.design.document import Design
from bottlewright.design.rewriting import rewritten
from bottlewright.flight.layout import vehicle_of
from bottlewright.flight.parameters import parameters_of

__all__ = ["carried_over"]


def carried_over(before: Design, after: Design) -> Any:
    """Return the parameters of a changed rocket that is as much heavier and as far off balance as was measured before.

    Parameters
    ----------
    before, after
        Completed; in `after` the measurements that no longer fit are left out.
    """
    parts = vehicle_of(rewritten(before, (("measured.dry_mass", ""), ("measured.balance_point", ""))))
    whole, new = vehicle_of(before), vehicle_of(after)
    mass = whole["dry_mass"] + new["dry_mass"] - parts["dry_mass"]
    moment = whole["dry_mass"] * whole["dry_centre"]
    moment += new["dry_mass"] * new["dry_centre"] - parts["dry_mass"] * parts["dry_centre"]
    record = parameters_of(after)[0]
    record["measured_mass"], record["measured_balance"] = mass, moment / mass
    return record
