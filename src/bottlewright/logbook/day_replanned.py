"""What a new plan leaves as it stands: a rocket that is out there is not moved, changed or forgotten on paper."""

from bottlewright.logbook.day_plan import DayPlan, DayRocket
from bottlewright.logbook.day_state import Day, RocketNow
from bottlewright.logbook.gates import ON_THE_PAD

__all__ = ["as_before", "moved_on_paper"]

_FILLED = ("loaded", "seated", "field clear")
"""States in which a rocket has its water, and may stand down again."""


def moved_on_paper(day: Day, plan: DayPlan) -> str:
    """Say what a plan would change on paper alone of a rocket that is out there; empty where nothing."""
    for name, now in day.rockets.items():
        if now.state in (*ON_THE_PAD, "down", "field open") and (moved := _moved(day.plan.rockets[name], plan)):
            return f"{name} stands at “{now.state}”: {moved} until it is back"
        if now.state in _FILLED and _is_another(day.plan.rockets[name], plan.rockets.get(name)):
            off = "call stop and let it off" if now.state == "field clear" else "stand it down"
            return (f"{name} stands at “{now.state}”, filled as the day had it before: {off} first, or put its design "
                    "back")  # fmt: skip
    return ""


def _moved(rocket: DayRocket, plan: DayPlan) -> str:
    """Say what of a rocket that is out there a plan would change on paper alone; empty where nothing."""
    new = plan.rockets.get(rocket.name)
    if new is None:
        return "it stays on the day"
    if new.vessel != rocket.vessel:
        return f"its bottle stays {rocket.vessel or 'the one without a name'}"
    return f"its launcher stays {rocket.pad}" if new.pad != rocket.pad else ""


def _is_another(before: DayRocket, rocket: DayRocket | None) -> bool:
    """Say whether a plan has something else for a rocket on which distances and limits rest."""
    return rocket is not None and before.rests_on != rocket.rests_on


def as_before(day: Day, rocket: DayRocket) -> RocketNow:
    """Return where a rocket of a new plan stands; as another, nobody has looked it over yet."""
    now, before = day.rockets.get(rocket.name, RocketNow()), day.plan.rockets.get(rocket.name)
    other = before is not None and (before.vessel != rocket.vessel or _is_another(before, rocket))
    return RocketNow(launched=now.launched) if other and now.state in ("inspected", "loaded") else now
