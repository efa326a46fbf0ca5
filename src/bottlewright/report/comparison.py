"""Figures of the comparison with the world outside: a measured record under a computed one, and many checks at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bottlewright.report.style import DASHES, LIGHT, MM, SERIES, paper_style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["Check", "deviation_chart", "overlay_chart"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Check:
    """One value of ours beside one from outside, and how far apart they may be."""

    name: str
    ours: float
    theirs: float
    tolerance: float

    @property
    def deviation(self) -> float:
        """Ours less theirs, in parts of the tolerance."""
        return (self.ours - self.theirs) / self.tolerance

    @property
    def holds(self) -> bool:
        """Whether ours lies within the tolerance."""
        return abs(self.deviation) <= 1.0


def deviation_chart(checks: Sequence[Check]) -> "Figure":
    """Draw each check as a dot: how far ours lies from theirs, in parts of the tolerance; misses are crosses.

    A miss that would leave the picture stands at its edge, its size in words.
    """
    from matplotlib.figure import Figure

    edge = 2.2
    with paper_style():
        figure = Figure(figsize=(165 * MM, (18 + 5.2 * len(checks)) * MM), layout="constrained")
        axes = figure.add_subplot()
        axes.axvspan(-1.0, 1.0, color=LIGHT["wash"], lw=0, zorder=0)
        axes.axvline(0.0, color=LIGHT["ink"], lw=0.8)
        for row, check in enumerate(checks):
            at = float(np.clip(check.deviation, -edge, edge))
            colour, shape = (LIGHT["teal"], "o") if check.holds else (LIGHT["orange"], "X")
            axes.plot([0.0, at], [row, row], color=colour, lw=1.0)
            axes.plot(at, row, shape, color=colour, ms=5.5)
            if not check.holds:
                axes.annotate(
                    f"miss: {check.deviation:+.1f}",
                    (at, row),
                    xytext=(-7 if at > 0 else 7, 3),
                    textcoords="offset points",
                    ha="right" if at > 0 else "left",
                    fontsize=7,
                    color=LIGHT["orange"],
                )
        axes.set_yticks(range(len(checks)), [check.name for check in checks])
        axes.set_ylim(len(checks) - 0.5, -0.5)
        axes.set_xlim(-edge - 0.2, edge + 0.2)
        axes.grid(visible=False, axis="y")
        axes.set_xlabel("ours less theirs, in tolerances; shaded: within")
    return figure


def overlay_chart(
    measured: tuple[Floats, Floats], computed: Mapping[str, tuple[Floats, Floats]], title: str, x_label: str
) -> "Figure":
    """Draw a measured record in grey and computed ones over it, each with a pattern of its own.

    Parameters
    ----------
    measured
        Abscissa and ordinate of the record.
    computed
        The same by name of the model.
    title, x_label
        What is drawn, with its unit; what it is drawn against, with its unit.
    """
    from matplotlib.figure import Figure

    with paper_style():
        figure = Figure(figsize=(165 * MM, 82 * MM), layout="constrained")
        axes = figure.add_subplot()
        axes.plot(*measured, color=LIGHT["soft"], lw=2.6, alpha=0.55, label="measured")
        for number, (name, (x, y)) in enumerate(computed.items()):
            axes.plot(x, y, color=LIGHT[SERIES[number]], ls=DASHES[number], label=name)
        axes.set_title(title)
        axes.set_xlabel(x_label)
        axes.margins(x=0.0)
        axes.legend(frameon=False, fontsize=8, handlelength=3.2)
    return figure
