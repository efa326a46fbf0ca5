"""A prepared day in words and as one document: what flies, what is allowed, what stands against it, and the sums."""

from collections.abc import Mapping
from dataclasses import asdict
from functools import partial
from typing import TYPE_CHECKING, Any

from bottlewright.names import several

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.logbook.day_state import Day
    from bottlewright.project.launch_day import LaunchDay

__all__ = ["day_document", "day_words", "entry_words", "times_left"]


PREPARE_ANEW = ("what was prepared does not hold any more. Nobody pumps by these numbers: let any pressure off, then "
                "prepare the day anew.")


def day_document(kept: "LaunchDay") -> dict[str, Any]:
    """Return the day as plain values, SI; without a day only that none is kept."""
    from bottlewright.logbook.day_screen import sums_of
    from bottlewright.project.day_against_design import bars_of
    from bottlewright.project.day_answers import judged_now

    day, book = kept.day, kept.book
    if day is None or book is None:
        return {"kept": False}
    sums = sums_of(day)
    bars = bars_of(day, kept.judge or partial(judged_now, kept.folder))
    return {
        "kept": True, "day": book.name, "stop": day.stop, "near_miss": day.near_miss, "field_closed": day.field_closed,
        "rockets": [_rocket(day, one, bars.get(one.name, [])) for one in day.plan.rockets.values()],
        "turns": [asdict(one) for one in day.plan.turns],
        "roles": {role: {"name": one.name, "adult": one.adult} for role, one in day.roles.items()},
        "adults": sorted(day.adults), "local": dict(day.plan.local),
        "sums": None if sums is None else {**asdict(sums), "spent": dict(sums.spent)},
        "pressurised": [one._asdict() for one in day.cycles],
    }  # fmt: skip


def _rocket(day: "Day", one: "DayRocket", bars: list[str]) -> dict[str, Any]:
    from bottlewright.field.wind_heights import HAND_HEIGHT
    from bottlewright.logbook.day_wind import wind_limit_read, wind_limit_words
    from bottlewright.project.day_answers import against_rocket

    now = day.rockets[one.name]
    return {
        "name": one.name, "file": one.file, "vessel": one.vessel, "pad": one.pad, "state": now.state,
        "launched": now.launched, "allowed_Pa": one.allowed_Pa, "basis": one.basis, "planned_Pa": one.planned_Pa,
        "wind_limit_m_s": one.wind_limit_m_s, "wind_height_m": one.wind_height_m,
        "wind_from_deg": one.wind_from[0] if one.wind_from else None,
        "wind_in_hand_m_s": wind_limit_read(one, from_deg=one.wind_from[0] if one.wind_from else None),
        "wind_least_in_hand_m_s": wind_limit_read(one), "hand_height_m": HAND_HEIGHT,
        "wind_limit_says": wind_limit_words(one), "cycles": one.cycles,
        "findings": [*one.stops, *one.holds, *one.looks], "against": against_rocket(one), "barred": bars,
    }  # fmt: skip


def day_words(told: Mapping[str, Any]) -> str:
    """Return the day in lines, as `day_document` has it."""
    from bottlewright.logbook.day_screen import gauge_words
    from bottlewright.project.day_answers import day_roles

    if not told["kept"]:
        return "No day is kept today."
    count = told["sums"]["launches"] if told["sums"] else 0
    planned = f"{several(count, 'launch')} {'is' if count == 1 else 'are'}" if count else "no launches are"
    lines = [f"The day {told['day']}: {planned} planned."]
    for one in told["rockets"]:
        allowed = "no pressure is allowed" if one["allowed_Pa"] is None else (
            f"not over {gauge_words(one['allowed_Pa'], limit=True)} on the gauge")  # fmt: skip
        count = len(one["findings"])
        bottle = one["vessel"] or "without a name"
        lines += ["", f"{one['name']}, bottle {bottle}, on launcher {one['pad']}: {allowed}, because {one['basis']}.",
                  f"  Wind and gusts at most: {one['wind_limit_says']}.",
                  f"  It {_stands(one['state'])}. Open findings: {count}."]  # fmt: skip
        if one["barred"]:
            lines += [f"  STOP: {PREPARE_ANEW}", *(f"  Since the day was prepared: {text}." for text in one["barred"])]
        lines += [f"  Against it: {text}." for text in one["against"]]
    lines += ["", *(f"{day_roles()[role].says}: {who['name']}{', adult' if who['adult'] else ''}"
                  for role, who in told["roles"].items())]  # fmt: skip
    lines += [f"{name}: {value or 'NOT FILLED IN'}" for name, value in told["local"].items()]
    if sums := told["sums"]:
        lines += ["", f"Chance that a bottle bursts on this day: {_percent(sums['burst'])} ({sums['burst_basis']}).",
                  f"Chance that a rocket comes down on somebody: {_percent(sums['strike'])} "
                  f"({sums['strike_basis']})."]  # fmt: skip
        lines += [f"Bottle {vessel or 'without a name'} does not last: {times_left(left)}."
                  for vessel, left in sums["spent"].items()]  # fmt: skip
    return "\n".join(lines)


def times_left(left: int | None) -> str:
    """See `bottlewright.logbook.day_sums.times_left`."""
    from bottlewright.logbook.day_sums import times_left as words

    return words(left)


_MORE = ("rocket", "pressure", "mean", "gust", "from", "height", "landing", "why", "note", "sign", "adult", "reason",
         "name", "count")  # fmt: skip
"""Keys of an entry that say what is not told by its kind."""


def entry_words(entry: Mapping[str, Any]) -> str:
    """Return an entry of a day in a few words, those of the day's table where it has some."""
    from bottlewright.logbook.day_table import day_table
    from bottlewright.logbook.day_wind import lower_wind_words

    table, what = day_table(), str(entry.get("what", ""))
    if what == "step" and entry.get("event") in table.acts:
        words = f"{entry.get('rocket')}: {table.acts[entry['event']].done}"
        return f"{words}: {entry['landing']}" if entry.get("landing") else words
    if what == "confirm" and entry.get("point") in table.confirms:
        return table.confirms[entry["point"]].says
    if what == "link":
        role = table.roles.get(str(entry.get("role_of")))
        return f"the device of the {role.says if role else '?'} is {'lost' if entry.get('lost') else 'back'}"
    seen = [key for key in ("aircraft", "darkness", "frost") if entry.get(key) is True]
    if what == "clock":
        return "this computer’s clock jumped by days: every wait begins anew"
    if what == "lower wind":
        return lower_wind_words(entry)
    more = [str(entry[key]) for key in _MORE if entry.get(key) not in (None, "")]
    return ": ".join(filter(None, (what, ", ".join([*seen, *more]))))


def _stands(state: str) -> str:
    return "waits for its turn" if state == "waiting" else f"stands at: {state}"


def _percent(chance: float | None) -> str:
    from bottlewright.design.unit_text import percent

    return "not known" if chance is None else percent(chance)
