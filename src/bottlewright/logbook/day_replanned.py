"""What a new plan leaves as it stands: a rocket that is out there is not moved, changed or forgotten on paper."""

from bottlewright.logbook.day_plan import DayPlan, DayRocket
from bottlewright.logbook.day_state import Day, RocketNow
from bottlewright.logbook.gates import ON_THE_PAD

__all__ = ["as_before", "moved_on_paper"]


def moved_on_paper(day: Day, plan: DayPlan) -> str:
    """Say what a plan would change on paper alone of a rocket that is out there; empty where nothing."""
    for name, now in day.rockets.items():
        if now.state in (*ON_THE_PAD, "down", "field open") and (moved := _moved(day.plan.rockets[name], plan)):
            return f"{name} stands at “{now.state}”: {moved} until it is back"
    return ""


def _moved(rocket: DayRocket, plan: DayPlan) -> str:
    """Say what of a rocket that is out there a plan would change on paper alone; empty where nothing."""
    new = plan.rockets.get(rocket.name)
    if new is None:
        return "it stays on the day"
    if new.vessel != rocket.vessel:
        return f"its bottle stays {rocket.vessel or 'the one without a name'}"
    return f"its launcher stays {rocket.pad}" if new.pad != rocket.pad else ""


def as_before(day: Day, rocket: DayRocket) -> RocketNow:
    """Return where a rocket of a new plan stands; with another bottle nobody has looked it over yet."""
    now, before = day.rockets.get(rocket.name, RocketNow()), day.plan.rockets.get(rocket.name)
    other = before is not None and before.vessel != rocket.vessel
    return RocketNow(launched=now.launched) if other and now.state in ("inspected", "loaded") else now
