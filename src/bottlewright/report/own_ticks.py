"""Axes that read in another unit than they are drawn in."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axis import Axis

__all__ = ["own_ticks"]


def own_ticks(axis: "Axis", factor: float, most: int = 8) -> None:
    """Put ticks at round numbers of a unit that is `factor` of the unit the axis is drawn in, after its limits are set.

    Parameters
    ----------
    axis
        Such as ``axes.xaxis``.
    factor
        0.0689 for psi on an axis that is drawn in bar.
    most
        How many steps at most.
    """
    from matplotlib.ticker import MaxNLocator

    low, high = sorted(axis.get_view_interval())
    ticks = [tick for tick in MaxNLocator(most, steps=[1, 2, 2.5, 5, 10]).tick_values(low / factor, high / factor)
             if low <= tick * factor <= high]
    axis.set_ticks([tick * factor for tick in ticks], [f"{tick:g}" for tick in ticks])
