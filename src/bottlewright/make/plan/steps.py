"""Build steps of this design in order, each with its check, and the tasks of the schedule made from the same rows."""

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from bottlewright.findings import Finding, Level, Stage
from bottlewright.make.plan.glues import cure, glue_named, structural_wait
from bottlewright.make.plan.schedule import Task, in_order
from bottlewright.make.specification import Specification
from bottlewright.make.template_values import filled, fits
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["Step", "build_steps", "tasks_of", "tools_and_supplies"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the build; `glue` is a row of the glue table, `cure` how far it has to go: hold, full or pressure."""

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


@cache
def _rows() -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads(
        (files("bottlewright.make") / "data" / "steps.toml").read_text(encoding="utf-8")
    )["step"]
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
        work = parse_quantity(row["work"], Dimension.TIME).value * spec.counts.get(row.get("each", ""), 1)

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
        )
    place = {code: k for k, code in enumerate(steps)}  # the order of the table wherever nothing speaks against it
    return [steps[code] for code in in_order({code: step.after for code, step in steps.items()}, place.__getitem__)]


def tasks_of(steps: Sequence[Step], temperature: float) -> tuple[list[Task], list[Finding]]:
    """Return the tasks with the time that their glue takes at a temperature (K), and what its table can't say."""
    tasks, findings = [], {}
    for step in steps:
        wait, problem = _wait(step, temperature)
        wait = 300.0 * math.ceil(wait / 300.0 - 1e-6)  # nobody times glue to the second
        tasks.append(Task(step.code, step.title, step.work, wait, step.after, step.people))
        if problem:
            findings[step.glue] = problem
    return tasks, list(findings.values())


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


def tools_and_supplies(steps: Sequence[Step]) -> tuple[list[str], list[str]]:
    """Return what the steps need to have at hand and what they use up, each once, in the order of first use."""
    tools = dict.fromkeys(tool for step in steps for tool in step.tools)
    supplies = dict.fromkeys(use for step in steps for use in step.uses)
    return list(tools), list(supplies)
