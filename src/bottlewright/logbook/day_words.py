"""The day's table in words: each state, the steps from it, who does and confirms what, what stands against them.

For whoever has no connection, and for paper: nothing here knows where a rocket stands.
"""

from typing import NamedTuple

from bottlewright.logbook.day_table import STOP, DayTable, Step, day_table

__all__ = ["StateWords", "StepWords", "stop_in_words", "table_in_words", "waits_in_words"]


class StepWords(NamedTuple):
    """A step: its event, where it leads, who does what, what is confirmed by whom, and what stands against it.

    Parameters
    ----------
    just_before
        How fresh the confirmations have to be; empty where they count since the state began.
    """

    event: str
    to: str
    who: str
    does: str
    confirms: tuple[tuple[str, str], ...]
    just_before: str
    against: tuple[str, ...]


class StateWords(NamedTuple):
    """A state, what it means, and the steps from it."""

    name: str
    says: str
    near: bool
    steps: tuple[StepWords, ...]


def table_in_words() -> tuple[StateWords, ...]:
    """Return every state in the order of the table; `near` says whether anybody may go near the rocket in it."""
    table = day_table()
    return tuple(
        StateWords(name, state.says, state.pressure == "none",
                   tuple(_step(table, step) for (start, _), step in table.steps.items() if start == name))
        for name, state in table.states.items())  # fmt: skip


def _step(table: DayTable, step: Step) -> StepWords:
    who = "anybody" if step.by == "any" else table.roles[step.by].says
    points = [table.confirms[one] for one in step.confirm]
    confirms = [(table.roles[one.by].says, f"{one.says}{f' (Of a rocket that is {one.only}.)' if one.only else ''}")
                for one in points]  # fmt: skip
    just_before = table.limits["confirm_within"].says if step.again else ""
    return StepWords(step.event, step.to, who, table.acts[step.event].does, tuple(confirms), just_before,
                     tuple(table.gates[one].says for one in step.gates))  # fmt: skip


def waits_in_words() -> tuple[tuple[str, str], ...]:
    """Return every time of the table in words, with who says so."""
    return tuple((one.says, one.source) for one in day_table().limits.values())


def stop_in_words() -> str:
    """Return what a stop does, by the states in which it leads somewhere."""
    table = day_table()
    names = ", ".join(name for name in table.states if name in table.to_stop)
    return (f"Anybody calls {STOP}, at any time, without a question. From {names} the rocket goes to “{STOP}”. "
            "Elsewhere it stays where it is, and nothing goes on while the stop stands. In the air it means: heads up, "
            "the field stays closed.")
