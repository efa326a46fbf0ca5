"""What a change costs the workshop: money by the builder's prices, hours by the steps of the build."""

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.price_file import LARGEST, read_prices
from bottlewright.design.text_files import read_text_file
from bottlewright.make.parts import parts_list
from bottlewright.make.plan.steps import build_steps, tools_and_supplies
from bottlewright.make.specification import specify
from bottlewright.make.template_values import template_values

__all__ = ["Effort", "effort", "prices_of"]


def prices_of(design: Design, folder: Path) -> dict[str, float]:
    """Return the prices of the builder's own list beside the design file, none where it can't be read.

    What is wrong with a list is for `make` to say.
    """
    if not design.prices.file:
        return {}
    try:
        text, _ = read_text_file(folder / design.prices.file, LARGEST)
        return dict(read_prices(text, lambda _: None))
    except ValueError:
        return {}


class Effort(NamedTuple):
    """What a rocket still costs (None without any price), and how many hours of hands it takes."""

    cost: float | None
    hours: float


def effort(design: Design, prices: Mapping[str, float]) -> Effort:
    """Return what building a completed design takes."""
    spec = specify(design)
    steps = build_steps(spec, template_values(spec))
    listed, _ = parts_list(spec, *tools_and_supplies(steps, design.workshop), prices)
    return Effort(listed.total if listed.price else None, sum(step.work * step.people for step in steps) / 3600.0)
