"""Build steps of this design in order, each with its check, and the tasks of the schedule made from the same rows."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from bottlewright.data_file import Row, data_file
from bottlewright.design.workshop import Workshop
from bottlewright.findings import Finding, Level, Stage
from bottlewright.make.parts import code_of
from bottlewright.make.plan.glues import cure, glue_named, structural_wait
from bottlewright.make.plan.schedule import Task, in_order
from bottlewright.make.specification import Specification, fits
from bottlewright.make.template_values import filled
from bottlewright.quantities import Dimension, parse_quantity

__all__ = [
    "ADULT", "LAUNCHER", "PEOPLE", "Step", "build_steps", "for_each_rocket", "limits_of", "tasks_of",
    "tools_and_supplies",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the build; `glue` is a row of the glue table, `cure` how far it has to go: hold, full or pressure.

    Parameters
    ----------
    once
        "all" where it is done once for all rockets, "first" where it waits only for the first of them; else empty.
    launcher
        Whether it needs the launcher, of which there is one.
    drawing
        Name of its drawing; empty without one.
    """

    code: str
    title: str
    do: str
    check: str
    work: float
    people: int
    adult: bool
    glue: str
    cure: str
    after: tuple[str, ...]
    tools: tuple[str, ...]
    uses: tuple[str, ...]
    once: str = ""
    launcher: bool = False
    drawing: str = ""


@cache
def _table() -> dict[str, Any]:
    return data_file("make", "steps")


def _rows() -> list[Row]:
    rows: list[Row] = _table()["step"]
    return rows


def build_steps(spec: Specification, words: Mapping[str, str]) -> list[Step]:
    """Return the steps for a design's features in an order that can be worked through from top to bottom.

    A step that waits for one which this design does not have waits for what that one would have waited for.
    """
    rows = [row for row in _rows() if fits(row.get("when", []), spec.features)]
    codes = {row["code"] for row in rows}
    everything = {row["code"]: tuple(row.get("after", [])) for row in _rows()}

    def found(before: str) -> set[str]:
        return {before} if before in codes else {code for b in everything[before] for code in found(b)}

    steps = {}
    for row in rows:
        after = sorted({code for b in row.get("after", []) for code in found(b)})
        work = row.read("work", parse_quantity, Dimension.TIME).value * spec.counts.get(row.get("each", ""), 1)

        def fill(text: str) -> str:
            return filled(spec, text, words)

        steps[row["code"]] = Step(
            row["code"],
            fill(row["title"]),
            fill(row["do"]),
            fill(row["check"]),
            work,
            row.get("people", 1),
            row.get("adult", False),
            fill(row.get("glue", "")),
            row.get("cure", ""),
            tuple(after),
            tuple(row.get("tools", [])),
            tuple(fill(name) for name in row.get("uses", [])),
            row.get("once", ""),
            row.get("launcher", False),
            row.get("drawing", ""),
        )
    place = {code: k for k, code in enumerate(steps)}  # the order of the table wherever nothing speaks against it
    return [steps[code] for code in in_order({code: step.after for code, step in steps.items()}, place.__getitem__)]


def tasks_of(steps: Sequence[Step], temperature: float) -> tuple[list[Task], list[Finding]]:
    """Return the tasks with the time that their glue takes at a temperature (K), and what its table can't say."""
    tasks, findings = [], {}
    for step in steps:
        wait, problem = _wait(step, temperature)
        wait = 300.0 * math.ceil(wait / 300.0 - 1e-6)  # nobody times glue to the second
        tasks.append(Task(step.code, step.title, step.work, wait, step.after, step.people, _needs(step)))
        if problem:
            findings[step.glue] = problem
    return tasks, list(findings.values())


PEOPLE = 2
"""Builders at once when the design says nothing: our choice."""

ADULT, LAUNCHER = "an adult", "the launcher"
"""What there is too little of, beside hands and tools."""


def _needs(step: Step) -> dict[str, int]:
    """Return what a step needs beside hands, and how many: what is worn, one for each."""
    needs = {tool: step.people if tool in _table()["worn"] else 1 for tool in step.tools}
    return needs | ({ADULT: 1} if step.adult else {}) | ({LAUNCHER: 1} if step.launcher else {})


def for_each_rocket(steps: Sequence[Step], tasks: Sequence[Task], rockets: int) -> list[Task]:
    """Return the tasks for several rockets: each has its own, but for what is done once for all."""
    if rockets == 1:
        return list(tasks)
    once = {step.code: step.once for step in steps}

    def copies(code: str, numbers: Iterable[int]) -> list[str]:
        return [code] if once[code] else [f"{code}-{number}" for number in numbers]

    found = []
    for task in tasks:
        every = range(1, 2) if once[task.code] == "first" else range(1, rockets + 1)
        for number in [0] if once[task.code] else range(1, rockets + 1):
            after = [code for before in task.after for code in copies(before, every if number == 0 else [number])]
            found.append(replace(task, code=copies(task.code, [number])[0], after=tuple(after), rocket=number,
                                 step=task.code))  # fmt: skip
    return found


def limits_of(steps: Sequence[Step], adults: int | None, have: Mapping[str, int]) -> tuple[dict[str, int], list[str]]:
    """Return how many there are of what the steps share, and the tools that nobody counted and that are taken as one.

    Parameters
    ----------
    adults
        None where nobody said: then one is always there.
    have
        How many are there of each part, by its code.
    """
    limits, taken = {LAUNCHER: 1}, []
    for tool in dict.fromkeys(tool for step in steps for tool in step.tools):
        code = code_of(tool)
        if code in have:
            limits[tool] = max(have[code], 1)
        elif tool in _table()["single"]:
            limits[tool] = 1
            taken.append(tool)
    return limits | ({ADULT: adults} if adults else {}), taken


def _wait(step: Step, temperature: float) -> tuple[float, Finding | None]:
    glue = glue_named(step.glue) if step.glue else None
    least = structural_wait() if step.cure == "pressure" else 0.0
    if glue is None:
        return least, None
    time = cure(glue, temperature)
    if time.full is None or time.hold is None:
        lowest = cure(glue, glue.at[0][0])
        assert lowest.full is not None
        assert lowest.hold is not None
        finding = Finding(
            Level.LOOK,
            Stage.MAKE,
            "too-cold-to-glue",
            "glue that is too cold may never cure, and the joint then fails under load",
            f"{temperature - 273.15:.0f} °C in the workshop, step “{step.title}”",
            f"{glue.at[0][0] - 273.15:g} °C for {glue.title}",
            glue.source,
            "Warm the parts and the room, or choose another glue. The schedule counts with the coldest "
            f"temperature that the data sheet knows, {glue.at[0][0] - 273.15:g} °C.",
        )
        return max(lowest.hold if step.cure == "hold" else lowest.full, least), finding
    return max(time.hold if step.cure == "hold" else time.full, least), None


def tools_and_supplies(steps: Sequence[Step], shop: Workshop) -> tuple[dict[str, int], list[str]]:
    """Return what the steps need at hand, how many of each, and what they use up; in the order of first use.

    What is worn is needed by each person at work: rockets are built beside each other, as far as there are hands.
    """
    hands, rockets = shop.people or PEOPLE, shop.rockets or 1
    tools: dict[str, int] = {}
    for step in steps:
        at_work = step.people if step.once else max(step.people, min(hands, step.people * rockets))
        for tool, count in ((tool, at_work if tool in _table()["worn"] else 1) for tool in step.tools):
            tools[tool] = max(tools.get(tool, 1), count)
    supplies = dict.fromkeys(use for step in steps for use in step.uses)
    return tools, list(supplies)
