"""The allowed pressure in words: verdict, sheets and the chapter of Prove say it as it is said here."""

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import at_most
from bottlewright.proof.allowed import Allowed

__all__ = ["after_test_briefly", "allowed_briefly", "allowed_words", "first_plan_words"]


def allowed_words(allowed: Allowed, habit: UnitHabit) -> str:
    """Say how high the gauge may read, what that rests on, and what a test would make of it."""
    if allowed.gauge_Pa is None:
        then, after = allowed.after_test, ""
        if then is not None:
            after = (f" After a passed water test at {habit.pressure(then.test_gauge_Pa)} it would be "
                     f"{at_most(habit, then.allowed_gauge_Pa)} at most.")
        return f"On the gauge: no pressure is allowed yet, because {allowed.because}.{after}"
    if allowed.retired:
        return f"On the gauge: nobody pumps this bottle again, because {allowed.because}."
    return f"On the gauge: {allowed_briefly(allowed, habit)}, because {allowed.because}."


def allowed_briefly(allowed: Allowed, habit: UnitHabit) -> str:
    """Return the highest reading of the gauge as a card has it: ``"not over 4.7 bar"``."""
    if allowed.gauge_Pa is None:
        return "none yet: it has no water test of its own"
    if allowed.retired:
        return "none: nobody pumps this bottle again"
    return f"not over {at_most(habit, allowed.gauge_Pa)}"


def after_test_briefly(allowed: Allowed, habit: UnitHabit) -> str:
    """Return what a passed test would allow; empty where nobody waits for one."""
    then = allowed.after_test
    return "" if then is None else (f"after a passed water test at {habit.pressure(then.test_gauge_Pa)}: not over "
                                    f"{at_most(habit, then.allowed_gauge_Pa)}")


def first_plan_words(allowed: Allowed, first: float, habit: UnitHabit) -> str:
    """Say the most to plan before its own test (`first_plan`), why, and what more would take.

    Empty where nobody waits for a first test.
    """
    then = allowed.after_test
    if then is None:
        return ""
    more = "" if then.in_the_end_gauge_Pa <= then.allowed_gauge_Pa else (
        f"; anything up to {at_most(habit, then.in_the_end_gauge_Pa)} takes further, harder water tests, each planned "
        "after the one before has held")  # fmt: skip
    return (f"plan no more than {at_most(habit, first)}: a passed water test at {habit.pressure(then.test_gauge_Pa)} "
            f"would allow {at_most(habit, then.allowed_gauge_Pa)}, and a pump may overshoot{more}")
