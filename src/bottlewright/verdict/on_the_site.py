"""The site from above as the sheets print it: everybody in their place by the verdict, the wind, the keep-outs."""

import math
from collections.abc import Sequence

from shapely.geometry.base import BaseGeometry

from bottlewright.design.document import Design
from bottlewright.field.numbers import wind_given
from bottlewright.field.sides import counted_sides
from bottlewright.field.site import FieldSite
from bottlewright.field.site_plan import StandBack, Stands, left_out, site_plan
from bottlewright.field.words import away_words
from bottlewright.report.first_page import SitePlan
from bottlewright.verdict.verdict import Verdict

__all__ = ["people_of", "plan_of"]


def plan_of(
    design: Design, site: FieldSite, verdict: Verdict, outlines: Sequence[tuple[float, BaseGeometry]] = ()
) -> SitePlan | None:
    """Draw the site from above, wide and narrow; None where no field is drawn and no landings are known.

    Parameters
    ----------
    site
        The field about the launcher.
    outlines
        Share of the landings inside, and its ground; none where only their numbers are at hand.
    """
    people, speed, bearing = people_of(verdict), design.weather.wind_speed, design.weather.wind_from
    if not people and site.boundary is None and not site.keep_outs:
        return None
    wind = (speed.value, bearing.value) if speed and bearing and wind_given(design) else None
    sectors = verdict.distances.spectators or ()
    counts = counted_sides([one.away for one in sectors])
    sides = [StandBack(one.from_deg, one.to_deg, away) for one, (away, _) in zip(sectors, counts, strict=True)]
    parts = (site, people, [one for one in outlines if one[0] in (0.5, 0.95)], sides)
    away = left_out(*parts)
    keep_outs = ", ".join(area.name for area in site.keep_outs) or "nothing drawn"
    says = f"The site from above. Keep out of: {keep_outs}." + (f" Beyond the plan: {'; '.join(away)}." if away else "")
    wide, narrow = (
        site_plan(*parts, wind=wind, habit=verdict.habit, width=width, name=f"plan-{width:.0f}")
        for width in (690.0, 358.0)
    )
    return SitePlan(wide, narrow, says)


def people_of(verdict: Verdict) -> list[Stands]:
    """Return where each stands by the verdict; one for whom no place will do is not drawn.

    Whoever the plan has further off than is asked is drawn where the plan has them: there they will stand.
    """
    where = verdict.distances
    facing = where.own_sides
    placed = [
        ("pumper", where.pumper_m, where.pumper_bearing_deg, where.pumper_settled),
        ("operator", where.operator_m, where.operator_bearing_deg, where.operator_settled),
        ("spectators", where.asked("spectators") if facing else None, where.spectators_bearing_deg,
         all(one.settled for one in facing)),
    ]
    stands = []
    for role, asked, bearing, settled in placed:
        if asked is None:
            continue
        planned = where.planned(role) if settled and where.keeps(role) else None
        further = planned is not None and planned > asked + 0.05
        away = planned if further and planned is not None else asked
        label = f"{role} {away_words(away, settled, verdict.habit)}{', as planned' if further else ''}"
        turn = None if bearing is None else math.radians(bearing)
        stands.append(Stands(label, away, turn, many=role == "spectators"))
    return stands
