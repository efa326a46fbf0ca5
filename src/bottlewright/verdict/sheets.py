"""The verdict's numbers as every sheet, page and map prints them: in the builder's units, each written once."""

import math
from collections.abc import Iterator, Sequence

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import at_most
from bottlewright.field.compass import bearing_words, compass
from bottlewright.field.numbers import LimitAt, Sector
from bottlewright.field.wind_heights import growth_words
from bottlewright.field.wind_held import WindHeld, held_at, held_words
from bottlewright.field.words import away_words, limit_words, sides_words
from bottlewright.findings import Level
from bottlewright.proof.allowed_words import after_test_briefly, allowed_briefly
from bottlewright.proof.bursts import law
from bottlewright.quantities import Dimension, show
from bottlewright.report.act_on import ActOn, Row
from bottlewright.verdict.verdict import Verdict
from bottlewright.verdict.words import level_words, planned_words, side_words

__all__ = ["act_on"]

NO_PRESSURE = {"stop": "none: see the cover", "no test": "none yet: test first"}
"""What stands on a card in place of a pressure that nobody may pump to."""


def act_on(verdict: Verdict) -> ActOn:
    """Return what sheets, cards, report and maps print of a verdict."""
    habit, allowed, distances, held = verdict.habit, verdict.allowed, verdict.distances, verdict.held
    retired = allowed.because if allowed.retired else ""
    pressure = habit.pressure(verdict.planned.gauge_Pa)
    return ActOn(
        level=verdict.level,
        says=level_words(verdict).split(". ")[0].rstrip("."),
        water=show(verdict.planned.water_m3, "mL", 3),
        pressure=pressure,
        pump_to=_pump_to(verdict, pressure),
        leak=_leak(verdict, pressure),
        allowed=allowed_briefly(allowed, habit),
        because=allowed.because,
        after_test=after_test_briefly(allowed, habit),
        retired=retired,
        proof="" if verdict.proof_gauge_Pa is None else habit.pressure(verdict.proof_gauge_Pa),
        hold="" if verdict.proof_gauge_Pa is None else f"for {law('hold', Dimension.TIME, 'proof'):.0f} s",
        pumper=_person(distances.pumper_m, distances.pumper_settled, distances.rule_pumper_m, verdict),
        operator=_person(distances.operator_m, distances.operator_settled, distances.rule_operator_m, verdict),
        pumper_place=_place(distances.pumper_m, distances.pumper_bearing_deg),
        operator_place=_place(distances.operator_m, distances.operator_bearing_deg),
        spectators=_spectators(verdict),
        distances_because=distances.because if distances.spectators is not None
        else "Nobody has worked out where the rocket comes down; Field (the command `scatter`) does",
        planned=planned_words(distances, habit),
        stand=tuple(_stand(verdict)),
        sides=tuple(_sides(distances.spectators or (), habit)),
        wind=held_words(held, habit) if held else "",
        wind_because=_wind_because(verdict),
        wind_at=held_at(held, habit) if held else "",
        winds=tuple(_from(limit, held, habit) for limit in held.limits) if held else (),
        unchecked=verdict.unchecked,
        made_for=verdict.digest[:8],
    )


def _pump_to(verdict: Verdict, pressure: str) -> str:
    """Return what a card orders: no pressure at all under a stop, or of a bottle that has no water test yet."""
    if verdict.level == "stop":
        return NO_PRESSURE["stop"]
    if verdict.allowed.gauge_Pa is None:
        return NO_PRESSURE["no test"]
    return pressure + (" (not before every hold point on the cover is met)" if verdict.at(Level.HOLD) else "")


def _leak(verdict: Verdict, pressure: str) -> str:
    """Return how hard an old bottle is pumped in the leak test: never above what is allowed."""
    most = verdict.allowed.gauge_Pa
    if verdict.allowed.retired:
        return "what the fresh bottle will be allowed"
    if most is None:
        then = verdict.allowed.after_test
        most = then.allowed_gauge_Pa if then else math.inf
    return pressure if verdict.planned.gauge_Pa <= most else at_most(verdict.habit, most)


def _person(away: float | None, settled: bool, rule: float, verdict: Verdict) -> str:
    if verdict.distances.spectators is None:
        return f"{verdict.habit.stand_back(rule)} by rule (landings not worked out)"
    return "a distance that nobody has found (no place will do)" if away is None else (
        away_words(away, settled, verdict.habit))


def _stand(verdict: Verdict) -> Iterator[Row]:
    """Yield how far off each stands: where the plan has them, unless that is nearer than what is asked or not said."""
    distances, habit = verdict.distances, verdict.habit
    asked = {
        "whoever pumps": ("pumper", _person(distances.pumper_m, distances.pumper_settled, distances.rule_pumper_m,
                                            verdict)),
        "whoever pulls the cord": ("operator", _person(distances.operator_m, distances.operator_settled,
                                                       distances.rule_operator_m, verdict)),
        "spectators": ("spectators", _spectators(verdict)),
    }  # fmt: skip
    side = {"spectators": side_words(distances, habit)}
    said = {who: f"{habit.distance(distances.planned(role) or 0.0)} by your plan{side.get(role, '')}"
            if distances.keeps(role) else words for who, (role, words) in asked.items()}  # fmt: skip
    if said["whoever pumps"] == said["whoever pulls the cord"]:
        yield Row("whoever pumps or pulls the cord", said["whoever pumps"])
    else:
        yield from (Row(who, said[who]) for who in ("whoever pumps", "whoever pulls the cord"))
    yield Row("spectators", said["spectators"])


def _place(away: float | None, bearing: float | None) -> str:
    return "" if away is None or bearing is None else compass(math.radians(bearing))


def _spectators(verdict: Verdict) -> str:
    sectors, habit = verdict.distances.spectators, verdict.habit
    if sectors is None:
        return f"at least {habit.stand_back(verdict.distances.rule_spectators_m)} by rule; landings not worked out"
    furthest = max(sector.distance_m for sector in sectors)
    nearest = verdict.distances.nearest_side
    if nearest is None or furthest == nearest.distance_m:
        return habit.stand_back(furthest)
    return f"{habit.stand_back(furthest)}; on some sides {habit.stand_back(nearest.distance_m)} or more, see the table"


def _sides(sectors: Sequence[Sector], habit: UnitHabit) -> Iterator[Row]:
    said = sides_words([one.away for one in sectors], habit)
    return (Row(bearing_words(one.middle), far) for one, far in zip(sectors, said, strict=True))


def _from(limit: LimitAt, held: WindHeld, habit: UnitHabit) -> Row:
    way = bearing_words(math.radians(limit.from_deg))
    return Row(f"from {way}", limit_words(held.at(held.of(limit.from_deg)), habit))


def _wind_because(verdict: Verdict) -> str:
    if verdict.held is None:
        return "no limit was worked out"
    return (f"{held_at(verdict.held, verdict.habit)}, {growth_words(verdict.growth)}; all directions stand in the "
            f"table, each with the {verdict.held.swing:.0f}° to either side by which a wind swings")
