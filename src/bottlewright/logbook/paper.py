"""The day's steps as paper needs them: in the words of the day's table, with gaps for a rocket's own numbers."""

from collections.abc import Collection, Iterator, Mapping
from types import MappingProxyType

from bottlewright.logbook.day_table import Step, day_table
from bottlewright.make.need.asked import sentence
from bottlewright.make.sheets.launch_day import DayLine, DaySteps

__all__ = ["AFTER_A_STOP", "LAUNCH", "OTHERWISE", "day_steps", "done_in", "said_before", "source_words"]

LAUNCH = (
    ("waiting", "inspect"), ("inspected", "load"), ("loaded", "seat"), ("seated", "clear"), ("field clear", "pump"),
    ("pressurising", "hold"), ("holding", "tight"), ("ready", "launch"), ("launched", "down"), ("down", "open"),
    ("field open", "back"),
)  # fmt: skip
"""A launch from beginning to end, when nothing comes between."""

AFTER_A_STOP = (("stop", "vent"), ("venting", "zero"), ("misfire wait", "approach"), ("approach allowed", "inspect"))
"""What follows a stop, a misfire or a leak, and nothing else does."""

OTHERWISE = (
    ("seated", "stand down"), ("misfire wait", "pressure again"), ("approach allowed", "retire"), ("down", "give up"),
    ("field open", "give up"), ("field open", "retire"),
)  # fmt: skip
"""What may happen instead: with these and the two above, paper has every step that the table knows."""


def said_before(
    step: Step, has: Collection[str] = (), points: Mapping[str, str] = MappingProxyType({})
) -> list[tuple[str, str]]:
    """Return who says what before a step, the person in charge last: a role with all that it confirms.

    Parameters
    ----------
    has
        Of the rocket, such as "armed": what is asked of such a rocket only.
    points
        The rocket's own words of a point, by its name.
    """
    table = day_table()
    said: dict[str, list[str]] = {}
    for point in sorted(table.asked_of(step, has), key="charge".__eq__):
        said.setdefault(table.confirms[point].by, []).append(table.confirms[point].of(points))
    return [(role, " ".join(words)) for role, words in said.items()]


def done_in(step: Step) -> str:
    """Return what is done in a step; how a rocket is let go is the design's own, and stands alone."""
    does = day_table().acts[step.event].does
    end = "" if does.endswith("?") else "."
    return step.detail if step.event == "launch" else f"{does}{end} {step.detail}".strip()


def day_steps() -> DaySteps:
    """Return roles, the lines of a launch, and what follows a misfire or a leak."""
    table = day_table()
    limits = table.limits
    after = [done_in(table.steps[one]) for one in AFTER_A_STOP]
    return DaySteps(
        roles=tuple((sentence(role.says), role.duty) for role in table.roles.values()),
        launch=tuple(_lines()),
        misfire=(done_in(table.steps["ready", "misfire"]), f"{sentence(limits['misfire_wait'].says)}.", *after[:2],
                 f"{sentence(limits['zero_wait'].says)}.", *after[2:]),
        leak=(done_in(table.steps["holding", "leak"]),
              f"{after[0]} {sentence(limits['zero_wait'].says)}."),
        sources=source_words("misfire_wait", "zero_wait"),
    )  # fmt: skip


def _lines() -> Iterator[DayLine]:
    """Yield who does what, and whether nobody goes on before the person in charge has said so."""
    table = day_table()
    for one in LAUNCH:
        step = table.steps[one]
        before = dict(said_before(step))
        hold = before.pop("charge", None) is not None
        own = before.pop(step.by, "")
        for point in (table.confirms[name] for name in step.confirm if table.confirms[name].only):
            yield sentence(table.roles[point.by].says), point.own or point.says, True, [point.only]
        if before:
            limit = " The limit: {wind_hand}." if "wind" in step.confirm and not step.again else ""
            who = " and ".join(table.roles[role].says for role in before)
            yield sentence(who), f"{' '.join(before.values())}{limit}", False
        within = f"{sentence(table.limits['confirm_within'].says)}." if step.again else ""
        yield sentence(table.roles[step.by].says), " ".join(filter(None, (within, done_in(step), own))), hold


def source_words(*names: str) -> str:
    """Return who says the times of the day, in sentences."""
    return " ".join(f"{sentence(one.says)}: {one.source}." for one in (day_table().limits[name] for name in names))
