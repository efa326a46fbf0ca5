"""Prove's part of the study."""

from bottlewright.design.document import Design
from bottlewright.design.unit_text import at_least, at_most, percent
from bottlewright.findings import Stage
from bottlewright.proof.pictures import pressure_picture
from bottlewright.proof.prove import ProofReport, prove
from bottlewright.proof.sheet import proof_sheet
from bottlewright.proof.summary_text import advice, conflict_lines, rule_rows
from bottlewright.report.html import Chapter, Number, Section, fold, headline, place, prose, state_of, table

__all__ = ["prove_chapter"]


def prove_chapter(design: Design, report: ProofReport | None = None) -> Chapter:
    """Return Prove's chapter of a completed design: rating, distances, rules, launcher, pumping, test sheet."""
    report = prove(design) if report is None else report
    rated, plan, habit = report.rated, report.plan, report.habit
    planned, rating = habit.pressure(rated.planned_Pa), at_most(habit, rated.gauge_Pa)
    on_water = (at_least(habit, plan.proof_gauge_Pa), f"filled with water, {plan.hold_s:.0f} s")
    numbers = headline([
        Number("rated pressure", rating, f"{rated.held_back_by}; you plan {planned}"),
        Number("proof test", *(("none", "it has failed one") if rated.failed else on_water)),
        Number("stand back", habit.stand_back(max(report.distances.operator.asks_m, report.distances.pumper.asks_m)),
               "whoever pulls the cord and whoever pumps"),
        Number("stored energy", f"{report.launch_energy.isentropic_J:.0f} J", "at launch, let go at once (isentropic)"),
    ])
    words = "".join(f"<h3>{heading}</h3>{prose(*sentences)}" for heading, sentences in advice(report))
    rules = "<h3>Published rules that apply</h3>" + table(("rule", "your plan", "", "source"), rule_rows(report))
    parts = table(
        ("part", "rating", "basis"),
        [(part.name, "not known" if part.rating_Pa is None else at_most(habit, part.rating_Pa), part.basis)
         for part in report.launcher.parts],
    )
    factors = table(
        ("what changes the strength", "times", "±", "source"),
        [(f.name, f"{f.value:.3f}", percent(f.spread), f.source) for f in rated.factors],
    )
    html = (
        numbers + place("pressures") + words + rules
        + fold("Where the rules differ, the strictest governs", prose(*conflict_lines(report)))
        + (fold("Parts under pressure", parts) if report.launcher.parts else "")
        + fold("How the burst pressure is worked out", factors)
    )
    title = (f"This bottle has failed a test: retire it; you plan {planned}" if rated.failed
             else f"Rated to {rating}; you plan {planned}")
    return Chapter(
        Section(Stage.PROVE, title, state_of(report.findings, Stage.PROVE), html,
                [pressure_picture(design, rated)]),
        report.findings,
        {key: value for key, value in report.as_json().items() if key not in ("findings", "name")},
        {"proof-test.html": proof_sheet(design, report)},
    )
