"""What to load and what to change, and why."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.loads import LoadWords
from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.field.landings import FlyBatch
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.tune.advice import Advice, Spread
    from bottlewright.verdict import Verdict

__all__ = ["TuneResult", "tune"]


@dataclass(frozen=True, eq=False, repr=False)
class TuneResult(Result):
    """What Tune recommends.

    Parameters
    ----------
    advice
        In full.
    """

    command: ClassVar[str] = "tune"
    stages: ClassVar[tuple[str, ...]] = ("tune",)
    advice: "Advice"

    def _judge(self) -> "Verdict":
        from bottlewright.tune.summary_text import findings_of
        from bottlewright.verdict import judge_alone

        return judge_alone(self.design, self.project.folder, proof=self.project.proved,
                           more=findings_of(self.advice))

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        from bottlewright.tune.results import advice_document

        return advice_document(self.design, self.advice) | {"engine": self.engine}

    def recommended(self) -> dict[str, str]:
        """Return the recommended values by key of the design file, as text with units; `Project.changed` takes them."""
        pairs = zip(self.advice.variables, self.advice.point, strict=True)
        return {one.path: one.text(float(value)).partition(" (")[0] for one, value in pairs}

    def best_load(self) -> LoadWords:
        """Return what the recommended load brings."""
        from bottlewright.quantities import show
        from bottlewright.tune.chapters import load_of
        from bottlewright.tune.summary_text import recommended_value

        advice, habit = self.advice, self.advice.habit
        water, pressure = load_of(self.design, advice, recommended=True)
        said = {one.name: recommended_value(advice, one, float(value))
                for one, value in zip(advice.variables, advice.point, strict=True)}  # fmt: skip
        figures = self._brings(advice.worth, advice.height, advice.hang, advice.slacks)
        return LoadWords(said.get("water", show(water, "mL")), said.get("pressure", habit.pressure(pressure)), *figures,
                         tuple(advice.unmet), advice.holding, self._sure)  # fmt: skip

    def present_load(self, now: LoadWords) -> LoadWords:
        """Return what the present load brings by the many flights that stand behind the words beside it, not by few.

        Parameters
        ----------
        now
            The same load by few flights, as long as nobody looked for a better one.
        """
        advice = self.advice
        figures = self._brings(advice.present_worth, advice.present_height, advice.present_hang, advice.present_slacks)
        known = advice.present_slacks
        beyond = (*(one for one in now.beyond if not any(one.startswith(f"the {name},") for name in known)),
                  *(held.broken for held in advice.held if known.get(held.name, 0.0) < 0.0))
        reached, middle, hang, margin = figures
        return now._replace(reached=reached or now.reached, middle=middle, hang=hang, margin=margin or now.margin,
                            beyond=beyond, holding=() if beyond else now.holding, flown=self._sure)

    @property
    def _sure(self) -> int:
        """How many flights stand behind what is recommended."""
        from bottlewright.tune.advice import SURE

        return SURE * self.design.tune.flights

    def _brings(
        self, worth: float, height: "Spread", hang: "Spread", slacks: Mapping[str, float]
    ) -> tuple[str, str, str, str]:
        """Return what a load brings: what the wanted share passes, middle height and time, and steadiness."""
        from bottlewright.flight.findings import limit
        from bottlewright.quantities import show

        advice, habit = self.advice, self.advice.habit
        known = {0.5: height.middle, 0.9: height.low}
        reached = worth if advice.aim.name == "height" else known.get(round(advice.aim.reach, 4))
        slack = slacks.get("static margin")
        return ("" if reached is None else habit.distance(reached), habit.distance(height.middle),
                show(hang.middle, "s"),
                "" if slack is None else f"{(1.0 + slack) * limit('margin_least').value:.2f} calibres")

    def order(self) -> str:
        """Return the recommended load as an order; before the bottle's own water test that comes first."""
        from bottlewright.tune.summary_text import order

        return order(self.advice)

    def more_pressure(self) -> str:
        """Return that the recommended load has more pressure than the present one, and which; empty where not."""
        from bottlewright.tune.summary_text import more_pressure

        return more_pressure(self.advice) if self.advice.ceiling.rating > 0.0 else ""

    def best_point(self) -> tuple[float, float]:
        """Return the recommended load: water, m³, and gauge pressure, Pa."""
        from bottlewright.tune.chapters import load_of

        return load_of(self.design, self.advice, recommended=True)

    def paragraphs(self) -> list[str]:
        """Return what to load and why, a text for each paragraph."""
        from bottlewright.tune.results import advice_words

        return list(advice_words(self.design, self.advice))

    def words(self) -> str:
        """See `Result.words`."""
        return "\n\n".join(self.paragraphs()) + "\n" + self.flown_by()

    def columns(self) -> Mapping[str, Any]:
        """Return what is changed: path, lowest and highest value, present and recommended value, SI."""
        rows = self._numbers["variables"]
        return {name: [row[name] for row in rows] for name in rows[0]}

    def _pictures(self) -> "list[Picture]":
        from bottlewright.tune.chapters import tune_pictures

        return list(tune_pictures(self.design, self.advice))


def tune(project: "Project", progress: Progress | None, stop: Stop | None, fly_many: "FlyBatch | None") -> TuneResult:
    """Work out what to load; see `Project.tune`."""
    from bottlewright.field.exposure import room_inside
    from bottlewright.tune.advice import advise
    from bottlewright.tune.pressure_limit import ceiling_of

    design = project.design
    with watching(progress, stop, fly_many) as watch:
        room = room_inside(project.site, design.scatter.leaving)
        advice = watch.run(lambda: advise(design, ceiling_of(design), room, fly=watch.fly, say=watch.say))
    return TuneResult(project, advice=advice, engine=watch.engine)
