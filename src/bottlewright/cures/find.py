"""Find a cure for each finding: try, fly, have it judged again by every package, and keep what adds no stop."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from bottlewright.cures.acts import acted
from bottlewright.cures.carrying import carried_over
from bottlewright.cures.causes import ANOTHER_BOTTLE, FEW_FLIGHTS, PLACES, Cause, cause_of
from bottlewright.cures.cure import Cure
from bottlewright.cures.judging import Judge, WholeJudge, level_of
from bottlewright.cures.knobs import Knob, knob
from bottlewright.cures.search import by_keys, joined, mildest
from bottlewright.cures.words import cure_words
from bottlewright.cures.workshop import effort
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.rewriting import Changes, rewritten, writes
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import at_most
from bottlewright.findings import Finding, Level, Stage, by_urgency
from bottlewright.flight.fly import Flight, fly, fly_parameters
from bottlewright.flight.results import findings_of
from bottlewright.proof.prove import prove

__all__ = ["find_cures"]

_OPEN = (Level.STOP, Level.LOOK)
_SURE = 1.1
"""Static margin that a cure has at the least, in body diameters: the limit is 1, and nobody cuts to the millimetre."""


def find_cures(
    design: Design, findings: Sequence[Finding], judge: Judge = level_of, prices: Mapping[str, float] | None = None,
    say: Callable[[str, float], None] = lambda *_: None,
) -> tuple[Cure, ...]:
    """Return a cure for each stop and look that one is known for and works.

    Parameters
    ----------
    design
        Completed, with the text that it was read from (`Design.written`); without that there are no cures.
    findings
        What was found in it.
    judge
        Finds all there is to find in a changed design: a `WholeJudge` where landings count. A finding that it does not
        know gets no cure, since it could not say that it is gone.
    prices
        From the builder's price file, by part.
    say
        Takes what is being done and how far it is, 0 to 1; it may raise to stop.
    """
    if not design.written.text:
        return ()
    judged = judge(design)
    bench = Bench(design, (*findings, *judged), judge, prices or {}, say)
    seen = {finding.code for finding in judged if finding.level in _OPEN}
    cures: list[Cure] = []
    for finding in by_urgency(findings):
        if finding.level in _OPEN and finding.code in seen - {cure.code for cure in cures}:
            cure = _again(cures, finding) or bench.cure(finding)
            cures += [cure] if cure else []
    return tuple(cures)


def _again(cures: Sequence[Cure], finding: Finding) -> Cure | None:
    """Return a cure that is known already and removes this finding as well."""
    cause = cause_of(finding.code)
    codes = cause.codes if cause else frozenset({finding.code})
    for cure in cures:
        if cause and (cure.changes or cure.tried) and not codes & {left.code for left in cure.findings_left}:
            return replace(cure, code=finding.code)
    return None


_MOST_BALLAST = 0.5
"""Mass that a cure with ballast adds at the most, as a share of the rocket's, where another cure works."""
_EFFORT = {Stage.FLY: 1, Stage.PROVE: 4}
"""What a trial takes that flight, or proof, judges, in units of about 8 ms on one core."""
_WHOLE = 50
"""What it takes to have a trial judged by every package, landings included."""
_CLOSE_LOOKS = 5
"""Trials with more flights that settle a pressure."""
_PATIENCE = 1200
"""What all trials of a design may take together: then the search ends with the cures that it has."""


@dataclass(slots=True)
class Bench:
    """Where changes of one design are tried, as long as there is patience left."""

    design: Design
    before: tuple[Finding, ...]
    judge: Judge
    prices: Mapping[str, float]
    say: Callable[[str, float], None] = lambda *_: None
    left: int = _PATIENCE
    written: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        self.written = writes(self.design)

    def tell(self) -> None:
        """Tell how much of the patience is used up."""
        self.say("trying what would put right what was found", 1.0 - max(self.left, 0) / _PATIENCE)

    def cure(self, finding: Finding) -> Cure | None:
        """Return the cure of a finding with the fewest keys, then the least money, mass and hours."""
        if finding.code in ANOTHER_BOTTLE:
            return self._another_bottle(finding)
        cause = cause_of(finding.code)
        if cause is None:
            return None
        turned = [[knob(name, self.design) for name in names] for names in cause.combos]
        combos = [tuple(one for one in knobs if one) for knobs in turned if all(knobs)]
        tries = Tries(self, cause, Stage.FLY if cause.result else finding.stage)
        heavy = None
        for alike in by_keys(combos):
            for no_new_look in (True, False):
                trials = [trial for knobs in alike if (trial := tries.lightest(knobs, no_new_look))]
                cures = [cure for trial in trials if (cure := self._settled(trial, cause, finding))]
                if light := [cure for cure in cures if not self._too_heavy(cure)]:
                    return min(light, key=self._order)
                heavy = heavy or min(cures, key=self._order, default=None)
        return heavy

    def _too_heavy(self, cure: Cure) -> bool:
        """Say whether a cure's ballast weighs more than half of the rocket: it is taken where nothing else works."""
        ballast = any(key.startswith("mass.") for key, _ in cure.changes)
        return ballast and cure.mass_kg > _MOST_BALLAST * float(fly(self.design).vehicle["dry_mass"])

    def _settled(self, trial: "Trial", cause: Cause, finding: Finding) -> Cure | None:
        """Have a trial judged by every package; a lower pressure against landings by more flights, and to the step.

        Few flights may put the pressure too low or too high. From the one that they say, a few more trials go down
        until one holds, and up to the highest that does.
        """
        found = self._judged(trial, cause, finding, self.judge)
        turned = knob("pressure", self.design)
        if (found is None or not isinstance(self.judge, WholeJudge) or finding.stage is not Stage.FIELD
                or turned is None or trial.changes not in turned.settings):  # fmt: skip
            return found
        milder, at, best = -1, turned.settings.index(trial.changes), None
        last = at
        for _ in range(_CLOSE_LOOKS):
            design = rewritten(self.design, turned.settings[at])
            there = trial._replace(changes=turned.settings[at], design=design, flight=fly(design))
            closer = self._judged(there, cause, finding, self.judge.closely)
            if closer is not None and self._new_looks(closer) <= self._new_looks(found):
                last, best = at, closer
            else:
                milder = at
            at = (milder + last) // 2 if best else min(milder + 2, len(turned.settings) - 1)
            if at == milder:
                break
        return best

    def _new_looks(self, cure: Cure) -> set[str]:
        """Return the codes that are open with a cure and were not before, but for those that few flights leave open."""
        return {one.code for one in cure.findings_left if self.adds([one], *_OPEN)}

    def _judged(self, trial: "Trial", cause: Cause, finding: Finding, judge: Judge) -> Cure | None:
        """Have a trial judged by every package; None where one of them stops it or keeps the finding.

        Where the only new stop is that people stand in the way of it, they stand further back with it.
        """
        self.tell()
        self.left -= _WHOLE
        findings = by_urgency(judge(trial.design))
        new = [one for one in findings if one.level is Level.STOP and self.adds([one], Level.STOP)]
        if new and all(one.code in PLACES for one in new):
            trial, findings = self._people_back(trial, findings, new)
        if is_open(findings, cause.codes) or self.adds(findings, Level.STOP):
            return None
        was, now = effort(self.design, self.prices), effort(trial.design, self.prices)
        acts = acted(trial.changes)
        return Cure(
            finding.code,
            cure_words(self.design, trial.design, trial.changes, cause.result, trial.flight.summary, trial.margin),
            () if acts else trial.changes,
            float(trial.flight.vehicle["dry_mass"]) - float(fly(self.design).vehicle["dry_mass"]),
            None if was.cost is None or now.cost is None else now.cost - was.cost,
            now.hours - was.hours,
            tuple(one for one in findings if one.level in _OPEN),
            trial.changes if acts else (),
        )

    def _people_back(
        self, trial: "Trial", findings: list[Finding], new: Sequence[Finding]
    ) -> tuple["Trial", list[Finding]]:
        """Return a trial with people further back, as its new stops ask, and what is found of it then."""
        for one in new:
            there = Bench(trial.design, tuple(findings), self.judge, self.prices, self.say, self.left)
            further = there.cure(one)
            self.left = there.left
            if further is not None:
                design = rewritten(trial.design, further.changes)
                trial = trial._replace(changes=joined(trial.changes, further.changes), design=design)
                findings = by_urgency(self.judge(design))
        return trial, findings

    def _order(self, cure: Cure) -> tuple[float, ...]:
        known = {finding.code for finding in self.before if finding.level in _OPEN}
        new = sum(finding.code not in known for finding in cure.findings_left)
        return new, cure.cost or 0.0, cure.mass_kg, cure.hours

    def adds(self, findings: Iterable[Finding], *levels: Level) -> bool:
        """Say whether a finding of these levels is there that was not open before, or was less urgent."""
        stops = {finding.code for finding in self.before if finding.level is Level.STOP}
        known = {Level.STOP: stops, Level.LOOK: stops | {one.code for one in self.before if one.level is Level.LOOK}}
        known[Level.LOOK] |= FEW_FLIGHTS
        return any(finding.level in levels and finding.code not in known[finding.level] for finding in findings)

    def misfits(self, changes: Changes) -> Changes:
        """Return what stands in the file and no longer fits the changed rocket, to be taken out."""
        keys = {key for key, _ in changes}
        gone = [
            measured
            for measured, parts in _RESTS_ON.items()
            if measured in self.written and any(key.startswith(part) for part in parts for key in keys)
        ]
        return tuple((key, "") for key in gone if key not in keys)

    def _another_bottle(self, finding: Finding) -> Cure:
        """Say that this bottle is finished, and by which test another one takes its place."""
        fresh = (("vessel.proof", ""), ("vessel.surface", ""), ("vessel.age", "1 day"), ("vessel.cycles", "0"),
                 ("vessel.storage", "cool"), ("vessel.id", ""), ("vessel.hard_landing", ""), ("vessel.inspected", ""),
                 ("vessel.retired", ""))  # fmt: skip
        habit = unit_habit(self.design)
        try:
            plan = prove(rewritten(self.design, fresh)).plan
        except DesignError:
            return Cure(finding.code, "another bottle of its kind, tested full of water before it is pumped")
        test, load = habit.pressure(plan.proof_gauge_Pa), at_most(habit, plan.launch_gauge_Pa)
        return Cure(finding.code, f"another bottle of its kind, tested full of water at {test} for a launch at {load}")


class Trial(NamedTuple):
    """A change that was flown; the margin is the least of all flights of it."""

    changes: Changes
    design: Design
    flight: Flight
    findings: tuple[Finding, ...]
    margin: float


class Tries:
    """Trials against one finding: each change is flown once, and judged by the package that the finding is of."""

    def __init__(self, bench: Bench, cause: Cause, stage: Stage) -> None:
        self.bench, self.cause, self.stage = bench, cause, stage
        self.known: dict[Changes, Trial | None] = {}

    def lightest(self, knobs: Sequence[Knob], no_new_look: bool) -> Trial | None:
        """Return the trial that works with the least mass, of the mildest ones that turning some knobs gives."""

        def works(changes: Changes) -> bool:
            trial = self._flown(changes)
            return trial is not None and self._works(trial, no_new_look)

        found = [trial for changes in mildest(knobs, works) if (trial := self._flown(changes))]
        return min(found, key=lambda trial: float(trial.flight.vehicle["dry_mass"]), default=None)

    def _works(self, trial: Trial, no_new_look: bool) -> bool:
        levels = _OPEN if no_new_look else (Level.STOP,)
        if is_open(trial.findings, self.cause.codes) or self.bench.adds(trial.findings, *levels):
            return False
        if any(key.startswith("recovery.") for key, _ in trial.changes) and stays_in(trial):
            return False
        return "unstable" not in self.cause.codes or trial.margin >= _SURE

    def _flown(self, changes: Changes) -> Trial | None:
        """Fly a change; None where it makes no design."""
        if changes not in self.known:
            self.bench.tell()
            self.bench.left -= _EFFORT.get(self.stage, _WHOLE)
            whole = (*changes, *self.bench.misfits(changes))
            self.known[changes] = self._try(whole) if self.bench.left > 0 else None
        return self.known[changes]

    def _try(self, changes: Changes) -> Trial | None:
        try:
            design = rewritten(self.bench.design, changes)
            flight = fly(design)
        except DesignError:
            return None
        flights = [flight]
        if any(key.startswith("measured.") for key, _ in changes):
            flights.append(fly_parameters(carried_over(self.bench.design, design)))
        findings = [one for flown in flights for one in findings_of(design, flown)]
        if self.stage is Stage.PROVE:
            findings += prove(design).findings
        elif self.stage is not Stage.FLY:
            findings += self.bench.judge(design)
        margin = min(flown.summary["static_margin_min_calibres"] for flown in flights)
        return Trial(changes, design, flight, tuple(findings), margin)


def is_open(findings: Iterable[Finding], codes: frozenset[str]) -> bool:
    """Say whether a finding of these codes is open."""
    return any(finding.code in codes and finding.level in _OPEN for finding in findings)


def stays_in(trial: Trial) -> bool:
    """Say whether the rocket has something to slow it that never comes out: a larger one would soften nothing."""
    return trial.design.recovery.kind != "none" and math.isnan(trial.flight.summary["canopy_out_time_s"])


_FINS = ("fins.root", "fins.tip", "fins.span", "fins.count", "fins.thickness", "fins.material")
_PARTS = ("sleeve.", "mass.", "recovery.kind", "recovery.diameter")
_RESTS_ON: dict[str, tuple[str, ...]] = {
    "measured.dry_mass": (*_FINS, *_PARTS),
    "measured.balance_point": ("fins.", *_PARTS),
    "measured.swing": ("fins.", *_PARTS),
    "fins.mass": _FINS,
    "sleeve.mass": ("sleeve.length", "sleeve.thickness", "sleeve.material"),
    "recovery.mass": ("recovery.kind", "recovery.diameter"),
}
"""Measurements, and the beginnings of the keys whose change makes them those of another rocket."""
