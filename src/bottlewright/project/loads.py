"""What water and pressure bring: the present load in a small sample of flights, and a map of all, growing finer."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.project.project import Project
    from bottlewright.tune.mapping import ResponseMap
    from bottlewright.tune.pressure_limit import Ceiling
    from bottlewright.tune.trials import Workbench

__all__ = ["LoadChart", "LoadMap", "LoadWords", "load_maps", "load_words", "loadless"]


class LoadWords(NamedTuple):
    """One load in the builder's units.

    Parameters
    ----------
    water, pressure, reached, middle, hang, margin
        The load, what the wanted share of flights passes (empty where that was not counted), the middle flight's
        height and time in the air, and the least steadiness that the wanted share keeps.
    beyond, holding
        Limits that it breaks; what holds it back.
    flown
        How many flights stand behind it.
    """

    water: str
    pressure: str
    reached: str
    middle: str
    hang: str
    margin: str
    beyond: tuple[str, ...]
    holding: tuple[str, ...]
    flown: int


class LoadChart(NamedTuple):
    """The map as SVG, and where a load lies on it.

    Parameters
    ----------
    svg
        Drawn for a page.
    box
        Left, upper, right and lower edge of the map, in units of the drawing.
    water, pressure
        Least and most along the map, mL and the builder's unit of pressure.
    unit, pascals
        Of the pressure, and how many Pa it has.
    """

    svg: str
    box: tuple[float, float, float, float]
    water: tuple[float, float]
    pressure: tuple[float, float]
    unit: str
    pascals: float

    def at(self, water: float, pressure: float) -> tuple[float, float]:
        """Return the place of a load (mL and the builder's unit), held at the edge where it lies beyond."""
        left, top, right, bottom = self.box
        across, up = (min(max((value - low) / (high - low), 0.0), 1.0)
                      for value, (low, high) in ((water, self.water), (pressure, self.pressure)))  # fmt: skip
        return left + across * (right - left), bottom - up * (bottom - top)


@dataclass(frozen=True, eq=False)
class LoadMap:
    """The height over water and pressure, with the limits.

    Parameters
    ----------
    response
        Arrays over water (m³) and gauge pressure (Pa).
    steps, most_steps
        Points along each side, and how many there will be.
    ceiling
        Highest pressure allowed, Pa gauge.
    title
        What the lines say.
    habit
        Units of the builder.
    """

    response: "ResponseMap"
    steps: int
    most_steps: int
    ceiling: float
    title: str
    habit: "UnitHabit"

    @property
    def whole(self) -> bool:
        """Whether it is as fine as it will be."""
        return self.steps == self.most_steps

    def chart(self, best: tuple[float, float] | None, narrow: bool) -> LoadChart:
        """Return the map drawn for a page, with the best load (m³ of water, Pa on the gauge) where there is one."""
        from bottlewright.quantities import UNITS, Dimension
        from bottlewright.report.style import FULL_WIDTH, NARROW
        from bottlewright.tune.pictures import response_chart

        panel = response_chart(self.response, None, best, self.title, self.habit, self.ceiling,
                               width=NARROW if narrow else FULL_WIDTH)  # fmt: skip
        unit = "psi" if self.habit.psi else "bar"
        pascals = UNITS[Dimension.PRESSURE][unit]
        return LoadChart(
            panel.sheet.svg("Map of height over water and pressure", "",
                            f"loads{'-narrow' * narrow}", alone=False, share=None),
            (panel.box.left, panel.box.top, panel.box.right, panel.box.bottom),
            (float(panel.x.low), float(panel.x.high)),
            (float(panel.y.low) * 1e5 / pascals, float(panel.y.high) * 1e5 / pascals), unit, pascals,
        )  # fmt: skip


def load_words(project: "Project") -> LoadWords:
    """Return what the present load brings; see `Project.load`."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.quantities import show
    from bottlewright.tune.load_map import load_trial

    trial, habit = load_trial(*_bench(project), project.design), unit_habit(project.design)
    return LoadWords(
        show(trial.water, "mL"), habit.pressure(trial.pressure), habit.distance(trial.reached),
        habit.distance(trial.height.middle), show(trial.hang.middle, "s"), f"{trial.margin:.2f} calibres",
        trial.beyond, trial.holding, trial.flown,
    )  # fmt: skip


def load_maps(project: "Project", progress: Progress | None, stop: Stop | None) -> Iterator[LoadMap]:
    """Fly the map; see `Project.load_maps`."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.tune.load_map import GRAINS, load_maps
    from bottlewright.tune.summary_text import share_words

    bench, ceiling = _bench(project)
    share = share_words(bench.aim.reach)
    title = f"Height that {share} {'passes' if share.startswith('the ') else 'pass'}"
    with watching(progress, stop) as watch:
        bench.fly = watch.fly
        for steps, response in zip(GRAINS, load_maps(bench), strict=True):
            watch.say("the map of water and pressure", (steps / GRAINS[-1]) ** 2)
            yield LoadMap(response, steps, GRAINS[-1], ceiling.pressure, title, unit_habit(project.design))


def loadless(project: "Project") -> str:
    """Return a name for all of a project but its load; see `Project.loadless`."""
    from bottlewright.tune.load_map import loadless_digest

    return loadless_digest(project.design)


def _bench(project: "Project") -> "tuple[Workbench, Ceiling]":
    from bottlewright.field.exposure import room_inside
    from bottlewright.tune.load_map import load_bench
    from bottlewright.tune.pressure_limit import ceiling_of, own_ceiling

    ceiling = own_ceiling(project.design, ceiling_of(project.design))
    return load_bench(project.design, ceiling, room_inside(project.site, project.design.scatter.leaving)), ceiling
