"""A cure in words: what to change, as a builder would say it, and what comes of it."""

import re
from collections.abc import Mapping

from bottlewright.design.document import Design
from bottlewright.design.rewriting import Changes
from bottlewright.design.unit_habit import unit_habit
from bottlewright.quantities import Dimension, Quantity, parse_quantity

__all__ = ["cure_words"]

_SAID = {
    "fins.count": "{} fins", "fins.position": "their front at {}", "fins.root": "{} along the body",
    "fins.span": "{} outwards", "fins.tip": "{} at their outer edge", "fins.sweep": "swept back by {}",
    "charge.water": "{} of water",
    "launcher.guide_length": "a guide of {}",
    "launcher.tilt": "the launcher {} from upright", "recovery.diameter": "a parachute {} wide",
    "recovery.delay": "a delay of {}", "launcher.crew.operator": "whoever pulls the cord stands {} away",
    "launcher.crew.pumper": "whoever pumps stands {} away", "launcher.crew.spectators": "spectators stand {} away",
    "launcher.cord.length": "a cord of {}", "launcher.hose.length": "a hose of {}",
    "sleeve.length": "a card skirt {} long", "charge.temperature": "water of {}",
    "launcher.stakes.count": "{} stakes of the same kind", "launcher.stakes.weights": "weights of {} on its feet",
    "launcher.cord.turn": "the cord led round {} of the bar",
    "weather.wind_speed": "wait for another hour or day, with a mean wind and gusts of no more than {}",
    "weather.temperature": "wait for another day, with air of {} or more",
    "site.launch_point": "the launcher at {} in the drawing of the field, east and north",
}  # fmt: skip
_FIN_SIZES = ("fins.span", "fins.root", "fins.tip", "fins.sweep", "fins.position")


def cure_words(
    before: Design, after: Design, changes: Changes, result: str, summary: Mapping[str, float], margin: float
) -> str:
    """Return a cure in words.

    Parameters
    ----------
    before, after
        The completed design without and with the changes.
    result
        Which number of the flight it ends with.
    summary
        Key figures of that flight.
    margin
        Least static margin of it, and of the flight with what was measured carried over.
    """
    new = {key: text for key, text in changes if text}
    parts = [*_plan(before, new), *_fins(after, new), *_tip(new), *_rest(new)]
    told = ", ".join(parts) + _result(after, result, summary, margin)
    dropped = [key for key, text in changes if not text]
    return told + _weigh_again(dropped)


def _plan(before: Design, new: Mapping[str, str]) -> list[str]:
    """Say a pressure as one to plan: a cure is no order to pump."""
    planned = before.charge.pressure
    if "charge.pressure" not in new or planned is None:
        return []
    more = parse_quantity(str(new["charge.pressure"]), Dimension.PRESSURE).value > planned.value
    return [f"plan {new['charge.pressure']} in the file instead of {unit_habit(before).pressure(planned.value)}"
            f"{', which is more pressure, within what is allowed now' if more else ''}"]


def _fins(after: Design, new: Mapping[str, str]) -> list[str]:
    """Say the fins as the bench needs them: "fins with span 150 mm, root 110 mm, front at 190 mm"."""
    fins, habit = after.fins, unit_habit(after)
    if fins is None or not any(key in new for key in _FIN_SIZES):
        return []

    def size(key: str, quantity: Quantity | None) -> str:
        return new.get(key) or (habit.length(quantity.value) if quantity else "")

    told = [f"fins with span {size('fins.span', fins.span)}, root {size('fins.root', fins.root)}"]
    told += [f"{new['fins.tip']} at their outer edge"] if "fins.tip" in new else []
    told += [f"swept back by {new['fins.sweep']}"] if "fins.sweep" in new else []
    return told + ([f"front at {new['fins.position']}"] if "fins.position" in new else [])


def _tip(new: Mapping[str, str]) -> list[str]:
    return [f"{text} in the tip" for key, text in new.items() if re.fullmatch(r"mass\.\d+\.mass", key)]


def _rest(new: Mapping[str, str]) -> list[str]:
    told = [form.format(re.sub(r' ±.*|["\[\]]', "", new[key])) for key, form in _SAID.items()
            if key in new and key not in _FIN_SIZES]  # fmt: skip
    return told + (["the parachute let out at the top"] if new.get("recovery.release") == "apogee" else [])


def _result(after: Design, result: str, summary: Mapping[str, float], margin: float) -> str:
    habit = unit_habit(after)
    if result == "margin":
        return f": margin {margin:.1f}"
    if result == "landing":
        return f": it lands at {habit.speed(summary['landing_speed_m_s'], 2)}"
    return f": off the guide at {habit.speed(summary['guide_exit_speed_m_s'], 2)}" if result == "guide" else ""


def _weigh_again(dropped: list[str]) -> str:
    """Say which measurements no longer fit what is built then, and are used no more."""
    names = {
        "measured.dry_mass": "the weight on the scale", "measured.balance_point": "the balance point",
        "fins.mass": "the weight of the fins", "recovery.mass": "the weight of the parachute",
        "sleeve.mass": "the weight of the skirt",
    }  # fmt: skip
    gone = [names[key] for key in dropped if key in names]
    if not gone:
        return ""
    listed = gone[0] if len(gone) == 1 else f"{', '.join(gone[:-1])} and {gone[-1]}"
    return f". What you measured no longer fits and is left out: {listed}; weigh and balance it again"
