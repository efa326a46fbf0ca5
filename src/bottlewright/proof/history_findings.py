"""What the bottle's own file asks of the builder: whose it is, what it says, where the design says something else."""

from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.vessel_history import VesselHistory
from bottlewright.findings import Finding, Level
from bottlewright.proof.evidence import own_evidence
from bottlewright.proof.expiry import AGAIN, inspection_due
from bottlewright.proof.vessel import INSPECT_CYCLES, RETIRE_SOURCE, cycles_counted
from bottlewright.proof.vessel_findings import finding

__all__ = ["history_findings"]

_OURS = "our judgement"


def _waiting(history: VesselHistory | None) -> str:
    """Say which passed tests count for nothing meanwhile: evidence does not go without a word."""
    if history is None or not history.waiting:
        return ""
    counts = "counts" if len(history.waiting) == 1 else "count"
    return f"; {' and '.join(history.waiting)} in the design {counts} for nothing until then"


def history_findings(design: Design, failed: bool, habit: UnitHabit) -> Iterator[Finding]:
    """Look at what is known of the bottle that the design names, and at tests that no longer carry a launch."""
    vessel, history = design.vessel, design.written.history
    if vessel.retired:
        yield finding(
            Level.STOP, "retired-vessel", "this bottle was retired", f"retired: {vessel.retired}",
            "a retired bottle is not pumped again", _OURS,
            "cut it up so that nobody uses it, and start with a fresh one",
        )
    if vessel.id and (history is None or history.unknown):
        why = history.unknown if history else "nobody looked into the logbook beside the design"
        yield finding(
            Level.STOP, "vessel-unknown", "nobody knows what this bottle has been through",
            f"vessel.id is {vessel.id}: {why}{_waiting(history)}", "the bottle's own file, with its tests", _OURS,
            f"look at what is written on the bottle; a button on Prove begins its file with count and tests, or "
            f"`bottlewright log bottle {vessel.id}` without them" if history is None or history.begins else
            "look at what is written on the bottle, and put its file right",
        )
    elif history:
        if history.too_much:
            yield finding(
                Level.STOP, "held-too-much",
                "this bottle held more than it may, so its gauge or what was read is wrong",
                history.too_much, "no more than is allowed, also where the gauge says so", _OURS,
                "hold the gauge against another one, and test the bottle again, filled with water to the brim; a "
                "reading that was wrong is taken back on the page Measure",
            )
        yield finding(Level.NOTE, "vessel-file", "age, count and tests of a bottle are those of its own file",
                      history.says, "each time under pressure is written down, vented ones too", _OURS,
                      "bring the file up to date after each launch (`bottlewright log`)")
        for one in history.only_in_the_design:
            yield finding(
                Level.LOOK, "test-not-in-its-file", "a test that stands only in the design counts for nothing",
                f"{one.design}; {history.file} has {one.file}", "the bottle's own file has each of its tests", _OURS,
                f"if it was bottle {history.id}, write it there (on the page Prove, or `{one.enter}`); else take it "
                "out of the design",
            )
        for one in history.differs:
            if one.enter:
                continue
            yield finding(
                Level.LOOK, "vessel-file-differs", "design and logbook tell two stories of one bottle",
                f"{one.key}: {f'{one.design} here, ' if one.design else ''}{one.file} in {history.file}; "
                f"what counts: {one.counts}", "one story", _OURS,
                "find out which is right, put the other right, and leave the key out of the design",
            )
    if failed:
        return
    if inspection_due(vessel):
        yield finding(
            Level.HOLD, "inspection-due", "a bottle wears out unseen",
            f"{cycles_counted(vessel)} times under pressure, and no look over the whole bottle since",
            f"at {INSPECT_CYCLES} times an adult looks over all of it: neck, wall, base, every scratch", RETIRE_SOURCE,
            f"an adult looks over the bottle and writes it down (`bottlewright log inspection {vessel.id}`), or a "
            "fresh bottle",
        )
    for own in own_evidence(design):
        if own.expired:
            pressure = habit.pressure(own.test.pressure.value)
            yield finding(
                Level.LOOK, "test-expired", "a test shows what the bottle was like on that day",
                f"passed at {pressure}{f' on {own.test.date}' if own.test.date else ''}; since then {own.expired}: no "
                "launch rests on it any more", AGAIN, _OURS,
                "test the bottle again, filled with water to the brim",
            )
