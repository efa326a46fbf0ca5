"""The chain of evidence: each thing that limits the reading of the gauge, in words, and which one holds the number.

Every number is the report's or made by the same functions as the report's. The chain allows nothing by itself: its end
is what `allowed` says.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.unit_text import at_most, percent
from bottlewright.proof.allowed_words import after_test_briefly, allowed_briefly
from bottlewright.proof.condition import ended
from bottlewright.proof.evidence import ON_AIR, OwnTest, own_evidence
from bottlewright.proof.gauge_error import BY_EYE, reading_at_most
from bottlewright.proof.parts import PartRating
from bottlewright.proof.pressure_rules import proof_factor
from bottlewright.proof.prove import ProofReport
from bottlewright.proof.summary_text import capital
from bottlewright.proof.vessel_findings import one_in

__all__ = ["Link", "evidence_chain", "told_tests"]


@dataclass(frozen=True, slots=True)
class Link:
    """One link.

    Parameters
    ----------
    kind
        "strength", "chance", "test", "no test", "vessel", "rule", "gauge", "joint", "part", "local" or "allowed".
    what, because, source
        What limits the reading, in words what it says, and who says so.
    value, says
        Its number as it is read, and in small what kind of number that is; empty where there is none.
    reading_Pa
        The highest reading of the gauge that it alone leaves; None where it sets no limit of its own.
    holds
        Whether it sets what is allowed.
    more
        What it is made of, each with its own source.
    """

    kind: str
    what: str
    because: str
    source: str
    value: str = ""
    says: str = ""
    reading_Pa: float | None = None
    holds: bool = False
    more: tuple[str, ...] = ()


_HELD_BACK = {"burst chance": "chance", "proof test": "test", "published maximum": "rule", "published rule": "advice"}
_HELD_BY = {"vessel": "vessel", "no test": "no test", "gauge": "gauge", "published maximum": "rule",
            "launcher part": "part", "local limit": "local"}  # fmt: skip


def evidence_chain(design: Design, report: ProofReport) -> tuple[Link, ...]:
    """Return the links for a completed design: the bottle first, then what stands before it, then what is allowed."""
    held = report.allowed.held_by
    holder = _HELD_BACK[report.rated.held_back_by] if held == "rating" else _HELD_BY[held]
    if report.allowed.retired:
        return (_finished(design, report), *_tests(design, report, ""), _end(report))
    return (
        _strength(report), _chance(design, report, holder), *_tests(design, report, holder), *_joint(design),
        *_rules(design, report, holder), _gauge(design, report, holder), *_parts(report, holder),
        *_local(design, report, holder), _end(report),
    )  # fmt: skip


def _finished(design: Design, report: ProofReport) -> Link:
    end = ended(design)
    return Link("vessel", "The bottle is finished", f"Nobody pumps it again: {end.because if end else ''}.",
                "our judgement; of a failed test every pressure-vessel code says the same",
                at_most(report.habit, 0.0), "holds the number", 0.0, holds=True)  # fmt: skip


def _strength(report: ProofReport) -> Link:
    rated, habit = report.rated, report.habit
    alike = "that passed the same tests" if rated.own_evidence else "of this kind, age and use"
    more = tuple(f"{one.name}: × {one.value:.2f}{f', ± {percent(one.spread)}' if one.spread else ''}; {one.source}"
                 for one in rated.factors)  # fmt: skip
    return Link("strength", "Strength of such bottles",
                f"Half of the bottles {alike} burst by {habit.pressure(rated.burst_median_Pa)}. It is no limit by "
                "itself.", "published burst tests, brought to this bottle",
                habit.pressure(rated.burst_median_Pa), "half burst by here", more=more)  # fmt: skip


def _chance(design: Design, report: ProofReport, holder: str) -> Link:
    rated, habit = report.rated, report.habit
    low, high = habit.pressure(rated.burst_limit_low_Pa), habit.pressure(rated.burst_limit_high_Pa)
    return _limit(
        design, report, "chance", f"{one_in(rated.target_burst_chance)} bursts in one launch", rated.burst_limit_Pa,
        f"In the bottle: {at_most(habit, rated.burst_limit_Pa)}. If we knew how strong the kind is, it would lie "
        f"between {low} and {high}, nine times in ten.", f"published burst tests; {rated.target_source}",
        holder == "chance",
    )  # fmt: skip


def _limit(
    design: Design, report: ProofReport, kind: str, what: str, inside: float, because: str, source: str, holds: bool
) -> Link:
    """Return a limit of the pressure in the bottle, as the reading at which the true pressure is no more."""
    reading = reading_at_most(design, inside)
    return Link(kind, what, because, source, at_most(report.habit, reading),
                "holds the number" if holds else "on the gauge", reading, holds)  # fmt: skip


# --- its own tests ----------------------------------------------------------------------------------------------------


def _tests(design: Design, report: ProofReport, holder: str) -> Iterator[Link]:
    own, habit = own_evidence(design), report.habit
    best = max((one for one in own if _earns(one)), key=lambda one: one.result.proven(), default=None)
    factor = f"factor {proof_factor():g}: {report.plan.factor_source}"
    for one in own:
        if one is best and not report.rated.failed:
            inside = one.result.proven() / proof_factor()
            because = f"{_happened(report, one)}. {_worth(report, one)}"
            yield _limit(design, report, "test", "This bottle's own water test", inside, because, factor,
                         holder == "test")  # fmt: skip
        else:
            yield Link("test", "Another test of this bottle", f"{_happened(report, one)}. {_worth(report, one)}",
                       _own_file(design), "none", "earns no pressure")  # fmt: skip
    if holder == "no test":
        after = after_test_briefly(report.allowed, habit)
        yield Link("no test", "This bottle's own water test", f"It has none that counts. {capital(after)}.", factor,
                   "none yet", "holds the number", holds=True)  # fmt: skip


def _own_file(design: Design) -> str:
    """Return where the bottle's tests stand: in its own file, or in the design's."""
    return design.written.history.file if design.written.history else "the design file"


def _earns(one: OwnTest) -> bool:
    return one.counts and one.result.earns


def _happened(report: ProofReport, one: OwnTest) -> str:
    """Say what was done: ``"It held 7.5 bar for 60 s, filled with water, on 2027-03-31"``."""
    test = one.test
    did = "It held" if test.passed else "It failed at"
    day = f", on {test.date}" if test.date else ", nobody says when"
    pressure = report.habit.pressure(test.pressure.value)
    return f"{did} {pressure} for {test.hold.value:.0f} s, filled with {test.medium}{day}"


def _worth(report: ProofReport, one: OwnTest) -> str:
    """Say what a test counts for at this launch."""
    result, habit = one.result, report.habit
    if not result.passed:
        grown = "" if not one.test.passed else "It has stretched the wall for good, which is a failed test. "
        return f"{grown}A bottle that failed is not pumped again."
    if one.doubts:
        return "It counts for nothing until this is explained: " + "; ".join(
            f"{doubt.found}; asked: {doubt.limit}" for doubt in one.doubts) + "."  # fmt: skip
    if not result.on_water:
        return f"{capital(ON_AIR)}."
    if one.expired:
        return f"No launch rests on it any more: since then {one.expired}."
    if not result.earns:
        return "It was held too short for a launch to rest on it."
    left, earned = at_most(habit, result.proven()), at_most(habit, result.proven() / proof_factor())
    counts = "" if result.proven() >= 0.995 * result.pressure else f"{left} of it count at this launch. "
    return f"{counts}Divided by {proof_factor():g} that is {earned} in the bottle."


def told_tests(design: Design, report: ProofReport) -> tuple[tuple[str, str], ...]:
    """Return of each test in the file what was done and what it counts for."""
    return tuple((_happened(report, one), _worth(report, one)) for one in own_evidence(design))


# --- what else limits it ----------------------------------------------------------------------------------------------


def _joint(design: Design) -> Iterator[Link]:
    if design.vessel.count > 1:
        yield Link("joint", f"Joint of {design.vessel.count} bottles: {design.vessel.joint}",
                   "Nobody knows a joint's strength before a water test of the whole vessel, joined as it flies. "
                   "Each further bottle and joint is one more that can burst.", "our judgement",
                   "not known")  # fmt: skip


def _rules(design: Design, report: ProofReport, holder: str) -> Iterator[Link]:
    rated, habit = report.rated, report.habit
    if not rated.own_evidence:
        yield Link("advice", "Strictest published advice",
                   "It allows nothing: the bottle's own water test comes first.",
                   rated.rule_limit_source, at_most(habit, rated.rule_limit_Pa), "advice, no leave to pump",
                   holds=holder == "advice")  # fmt: skip
    published = at_most(habit, rated.rule_maximum_Pa)
    yield _limit(design, report, "rule", "Strictest published maximum, as read on this gauge", rated.rule_maximum_Pa,
                 f"No test lifts a bottle above it. As published: {published}.", rated.rule_maximum_source,
                 holder == "rule")  # fmt: skip


def _gauge(design: Design, report: ProofReport, holder: str) -> Link:
    rated, habit, error = report.rated, report.habit, report.launcher.gauge_error_Pa
    reads = reading_at_most(design, rated.gauge_Pa)
    off = habit.pressure(rated.gauge_Pa - reads, 2)
    if holder == "gauge":
        return Link("gauge", "The gauge", "It may read so low that nothing is left of the rating: it takes a finer "
                    "gauge to pump this bottle.", "the gauge's class and full scale", at_most(habit, 0.0),
                    "holds the number", 0.0, holds=True)  # fmt: skip
    if error is None:
        source = f"nobody describes the gauge: {percent(BY_EYE)} of the reading, our estimate"
    else:
        full = habit.pressure(report.launcher.gauge_reads_up_to_Pa or 0.0)
        source = f"its class times its full scale, {full}"
    return Link("gauge", "The gauge", "It may read that much low. It is taken off the limits of the bottle.",
                source, f"{off}", "may be off")  # fmt: skip


def _parts(report: ProofReport, holder: str) -> Iterator[Link]:
    launcher = report.launcher
    known = sorted((one for one in launcher.parts if one.rating_Pa is not None), key=lambda one: one.rating_Pa or 0.0)
    for one in known:
        yield _part(report, one, holder == "part" and one is launcher.weakest)
    for one in launcher.parts:
        if one.rating_Pa is None:
            yield Link("part", one.name.capitalize(), "Nobody has given its rating.", "not checked", "not known")
    for name in launcher.not_described:
        if name in _UNDER_PRESSURE:
            yield Link("part", name.capitalize(), "The design file does not describe it.", "not checked", "not known")


_UNDER_PRESSURE = ("release", "hose", "valve", "clamp", "pump")
"""Tables of a launcher's parts that bear the pressure or what comes of it."""


def _part(report: ProofReport, one: PartRating, holds: bool) -> Link:
    rating = one.rating_Pa or 0.0
    return Link("part", one.name.capitalize(), "It bears no more." if holds else "", one.basis,
                at_most(report.habit, rating), "holds the number" if holds else "on the gauge", rating,
                holds)  # fmt: skip


def _local(design: Design, report: ProofReport, holder: str) -> Iterator[Link]:
    local = design.site.pressure_limit
    if local is not None:
        yield Link("local", "Limit of the place", "The place allows no more.", "site.pressure_limit of the design file",
                   at_most(report.habit, local.value), "holds the number" if holder == "local" else "on the gauge",
                   local.value, holder == "local")  # fmt: skip


def _end(report: ProofReport) -> Link:
    allowed, habit = report.allowed, report.habit
    value = "none yet" if allowed.gauge_Pa is None else at_most(habit, allowed.gauge_Pa)
    return Link("allowed", "Allowed on the gauge", f"{capital(allowed_briefly(allowed, habit))}.", allowed.because,
                value, "on the gauge", allowed.gauge_Pa)  # fmt: skip
