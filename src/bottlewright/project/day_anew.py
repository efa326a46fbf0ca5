"""A rocket of a day as it would be shown if the day was prepared anew: what stands against it as it is now."""

from dataclasses import replace
from typing import TYPE_CHECKING

from bottlewright.project.launch_day import LAPTOP

if TYPE_CHECKING:
    from bottlewright.logbook.day_plan import DayRocket
    from bottlewright.project.launch_day import LaunchDay, RocketShown
    from bottlewright.project.project import Project
    from bottlewright.verdict import Verdict

__all__ = ["shown_anew"]


def shown_anew(kept: "LaunchDay", rocket: "DayRocket", project: "Project", verdict: "Verdict") -> "RocketShown | None":
    """Return how a rocket would be shown if the day was prepared anew by a verdict of now; None while it can't be.

    What was lifted is taken as lifted. Nothing is decided by it: the day bars as it was prepared.
    """
    from bottlewright.logbook.day import decide
    from bottlewright.logbook.day_plan import plan_json, rocket_of
    from bottlewright.logbook.day_screen import screen_of

    day = kept.day
    if day is None or not rocket.file:  # of a file that nobody named no verdict speaks
        return None
    fresh = replace(rocket_of(project.design, verdict, rocket.pad), file=rocket.file, rests_on=rocket.rests_on)
    plan = plan_json(replace(day.plan, rockets={**day.plan.rockets, rocket.name: fresh}))
    at = kept.now().isoformat(timespec="milliseconds")
    after, refusal = decide(day, {"what": "prepared", "at": at, "plan": plan})
    if refusal is not None:
        return None
    after = replace(after, overrides=day.overrides, roles=day.roles)
    return screen_of(after, "", LAPTOP, kept.at(), rocket.name, every=True).rocket
