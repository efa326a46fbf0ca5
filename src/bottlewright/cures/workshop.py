"""What a change costs the workshop: money by the builder's prices, hours by the steps of the build."""

from collections.abc import Mapping
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.make.parts import parts_list
from bottlewright.make.plan.steps import build_steps, tools_and_supplies
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values

__all__ = ["Effort", "effort"]


class Effort(NamedTuple):
    """What a rocket still costs (None without any price), and how many hours of hands it takes."""

    cost: float | None
    hours: float


def effort(design: Design, prices: Mapping[str, float]) -> Effort:
    """Return what building a completed design takes."""
    spec = specify(design)
    steps = build_steps(spec, template_values(spec))
    listed, _ = parts_list(spec, *tools_and_supplies(steps), prices)
    return Effort(listed.total if listed.price else None, sum(step.work * step.people for step in steps) / 3600.0)
