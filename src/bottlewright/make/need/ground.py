"""Whether the field takes the published distances, and what is known of where the rocket comes down."""

from collections.abc import Iterator
from dataclasses import replace

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.make.need.asked import UNKNOWN, WAITING, Asked, Count, RestsOn, sentence
from bottlewright.make.need.figures import Away, Figures
from bottlewright.proof.rules import RuleCheck, check_rules

__all__ = ["field", "field_habit", "field_rules"]


def field_habit(asked: Asked, of: Figures) -> UnitHabit:
    """Return the units of the field: those it was given in."""
    return replace(of.habit, inches=True) if asked.feet else of.habit


def field_rules(asked: Asked, of: Figures) -> list[RuleCheck]:
    """Hold the field against the published rules that bind and speak of its size."""
    plan = replace(of.plan, field_width=asked.width, field_length=asked.length)
    return [check for check in check_rules(plan)
            if check.governs and check.rule.subject in ("field width", "field length")]  # fmt: skip


def field(asked: Asked, of: Figures) -> Iterator[Count]:
    """Hold the field against published widths and distances, and say what is known of landings."""
    habit = field_habit(asked, of)
    if asked.width is None or asked.length is None:
        yield Count("Field", "side", "Room on the shorter side", None, "m", UNKNOWN, "Say how large the field is.",
                    RestsOn.NOBODY)  # fmt: skip
    else:
        half = 0.5 * asked.width
        yield Count("Field", "side", "Room each way on the shorter side", half, "m", habit.distance(half),
                    "With the launcher in the middle of the field.", RestsOn.ASKED)  # fmt: skip
        for check in field_rules(asked, of):
            least, yours = check.rule.value or 0.0, habit.distance(check.plan or 0.0)
            yield Count("Field", check.rule.id, f"{sentence(check.rule.subject)}, at least", least, "m",
                        habit.distance(least), f"{check.rule.source}. Yours is {yours}.", RestsOn.RULE)  # fmt: skip
    yield from _distances(of.away)


def _distances(away: Away | None) -> Iterator[Count]:
    if away is None:
        yield Count("Field", "spectators", "Spectators stand off", None, "m", WAITING, "It takes a flight.",
                    RestsOn.RULE)  # fmt: skip
        return
    least, _, sides = away.spectators.removesuffix(", see the table").partition("; ")
    how = "By published rule alone. It knows nothing of where this rocket comes down."
    if away.landings:
        how = f"The larger of published rule and landings{f'; {sides}' if sides else ''}."
    yield Count("Field", "spectators", "Spectators stand off", away.furthest_m, "m", least.partition(" by rule")[0],
                how, RestsOn.DESIGN if away.landings else RestsOn.RULE)  # fmt: skip
    yield Count("Field", "landings", "Where it comes down", None, "m",
                "see Field" if away.landings else "not worked out",
                f"It goes up {away.height}. " + ("Worked out for field and weather of the design, not for this field."
                if away.landings else "How far the wind carries it from there, nobody has worked out: Field does."),
                RestsOn.DESIGN if away.landings else RestsOn.NOBODY)  # fmt: skip

