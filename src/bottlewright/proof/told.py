"""What an answer that nobody measured changes: the numbers without it, and with it, in the builder's units.

An age, a count of launches, "everyone wears eye protection" are words. Each lifts a pressure or draws people nearer, so
whoever gives one is told which number it moves, from what to what, and that the number then rests on a word.
"""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.findings import Finding, Level, Stage
from bottlewright.proof.allowed import Allowed, allowed_pressure
from bottlewright.proof.bursts import burst_table
from bottlewright.proof.condition import ended
from bottlewright.proof.distances import governing_distance
from bottlewright.proof.rating import rated_pressure
from bottlewright.proof.testplan import ProofPlan, proof_plan

__all__ = ["Told", "told", "told_findings"]

EYES = "launcher.crew.eye_protection"


class Told(NamedTuple):
    """One answer: its key, the numbers that it moves (what, without it, with it), and what it rests on."""

    key: str
    moves: tuple[tuple[str, str, str], ...]
    rests_on: str

    @property
    def words(self) -> str:
        """Say what it changes, in a sentence."""
        moved = "; ".join(f"{what} {before} → {after}" for what, before, after in self.moves)
        return f"Without this answer → with it: {moved}. It rests on {self.rests_on}" if moved else ""


def told(design: Design, allowed: Allowed, plan: ProofPlan) -> tuple[Told, ...]:
    """Return the answers of a completed design that move a pressure or a distance.

    Parameters
    ----------
    allowed, plan
        Of the design, with all its answers.
    """
    vessel, found, habit = design.vessel, list[Told](), unit_habit(design)
    if ended(design) is None:
        law = burst_table()["law"]
        wrong = f"one such word in {round(1.0 / law['age_word_wrong'])} counts as wrong"
        rests = {"age": f"somebody's word, and {wrong}", "cycles": "somebody's count"}
        for name, source in rests.items():
            if getattr(vessel, name) is not None:
                without = design.model_copy(update={"vessel": vessel.model_copy(update={name: None})})
                found.append(Told(f"vessel.{name}", _pressures(without, _numbers(allowed, plan, habit), habit), source))
    found.append(Told(EYES, tuple(_nearer(design)), "somebody's word: look at every face before you pump"))
    return tuple(one for one in found if one.moves)


def _pressures(without: Design, after: Mapping[str, str], habit: UnitHabit) -> tuple[tuple[str, str, str], ...]:
    allowed = allowed_pressure(without, rated_pressure(without, look_ahead=False))
    before = _numbers(allowed, None if allowed.after_test else proof_plan(without, allowed=allowed), habit)
    names = dict.fromkeys([*before, *after])
    moved = [(name, before.get(name, "none"), after.get(name, "none")) for name in names]
    return tuple(one for one in moved if one[1] != one[2])


def _numbers(allowed: Allowed, plan: ProofPlan | None, habit: UnitHabit) -> dict[str, str]:
    if after := allowed.after_test:
        return {"first water test": habit.pressure(after.test_gauge_Pa),
                "allowed after it": at_most(habit, after.allowed_gauge_Pa)}  # fmt: skip
    now = {"allowed on the gauge": at_most(habit, allowed.gauge_Pa or 0.0)}
    return now | ({"next water test": habit.pressure(plan.proof_gauge_Pa)} if plan else {})


def _nearer(design: Design) -> Iterator[tuple[str, str, str]]:
    crew: Any = design.launcher.crew
    if crew is None or not crew.eye_protection:
        return
    habit = unit_habit(design)
    bare = design.model_copy(update={"launcher": design.launcher.model_copy(update={
        "crew": crew.model_copy(update={"eye_protection": None})})})  # fmt: skip
    without, worn = governing_distance(bare), governing_distance(design)
    for what, role in (("the rule at a launch asks at least, for the cord puller,", "operator"),
                       ("for the pumper", "pumper")):  # fmt: skip
        before, after = getattr(without, role).asks_m, getattr(worn, role).asks_m
        if before != after:
            yield what, habit.stand_back(before), habit.stand_back(after)


def told_findings(answers: tuple[Told, ...]) -> Iterator[Finding]:
    """Say of each such answer what it changes, so that nobody gives it lightly."""
    for one in answers:
        hazard, limit, source, remedy = _FINDINGS[one.key]
        yield Finding(Level.NOTE, Stage.PROVE, f"{one.key.rpartition('.')[2].replace('_', '-')}-by-word", hazard,
                      one.words, limit, source, remedy)  # fmt: skip


_FINDINGS = {
    "vessel.age": (
        "nobody can see how old a bottle is, and a younger one is tested and pumped harder",
        "a word may be wrong, so a bottle without a test is tested in steps",
        "our judgement: one word in ten",
        "write an age only where a receipt or a printed date shows it; if in doubt leave it out (vessel.age)"),
    "vessel.cycles": (
        "nobody can see how often a bottle was pumped up, and one with fewer times is pumped harder",
        "a bottle that nobody counted is taken at the end of its life", "our judgement",
        "count every launch and every test on the bottle itself, with a pen (vessel.cycles)"),
    EYES: (
        "eye protection lets people stand nearer by rule; it stops splinters, and no rocket",
        "the distance of the plan, where that is more; what Field says of the landings counts too",
        "Water Rocket Safety Code", "keep the distance of the plan, and see that everyone near wears it"),
}  # fmt: skip
