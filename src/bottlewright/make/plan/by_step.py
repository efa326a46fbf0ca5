"""A plan read step by step: the same step of several rockets belongs together, on paper, in a calendar, in a list."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from bottlewright.make.plan.schedule import HANDS, Plan, Session, Slot

__all__ = ["StepRow", "by_step", "numbers_of", "waits_for"]


class StepRow(NamedTuple):
    """A step with its slots, one for each rocket, or one for all.

    Parameters
    ----------
    code, title
        Of the step.
    slots
        In the order of their beginning.
    """

    code: str
    title: str
    slots: Sequence[Slot]

    @property
    def critical(self) -> bool:
        """Whether a delay of it moves the launch."""
        return any(slot.slack < 60.0 for slot in self.slots)

    def days(self) -> dict[dt.date, list[tuple[Session, Slot]]]:
        """Return the working spells by day."""
        found: dict[dt.date, list[tuple[Session, Slot]]] = {}
        for slot in self.slots:
            for spell in slot.spells:
                found.setdefault(spell[0].date(), []).append((spell, slot))
        return found


def by_step(plan: Plan) -> list[StepRow]:
    """Return the steps of a plan in the order of their beginning."""
    found: dict[str, list[Slot]] = {}
    for slot in plan.slots:
        found.setdefault(slot.task.step or slot.task.code, []).append(slot)
    return [StepRow(code, slots[0].task.title, slots) for code, slots in found.items()]


def numbers_of(slots: Sequence[Slot]) -> str:
    """Return for which rockets slots are, in words; empty where they are for all, or there is one."""
    numbers = sorted({slot.task.rocket for slot in slots} - {0})
    if not numbers:
        return ""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return f"rocket{'s' if len(numbers) > 1 else ''} {', '.join(words)}"


def waits_for(plan: Plan, slot: Slot) -> str:
    """Say what a task waited for last; empty where it waited for nothing."""
    known: Mapping[str, Slot] = {one.task.code: one for one in plan.slots}
    begin = slot.spells[0][0] if slot.spells else slot.ready
    before = known.get(slot.held_by)
    if before is None:
        return "free hands" if slot.held_by == HANDS else slot.held_by
    if before.ready < begin:
        return "the workshop to open"
    title = f"“{before.task.title}”"
    return f"the glue of {title}" if before.task.wait else title
