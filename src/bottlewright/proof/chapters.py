"""Prove's part of the study."""

from bottlewright.design.document import Design
from bottlewright.design.unit_text import at_most, percent
from bottlewright.findings import Stage
from bottlewright.proof.pictures import pressure_picture
from bottlewright.proof.prove import ProofReport
from bottlewright.proof.sheet import proof_sheet
from bottlewright.proof.summary_text import advice, conflict_lines, rule_rows
from bottlewright.report.act_on import ActOn
from bottlewright.report.html import Chapter, Number, Section, fold, headline, pair, place, prose, state_of, table

__all__ = ["prove_chapter"]

_PLACES = "Where everyone stands"
"""The heading under which the verdict's distances stand; the rules that they come from follow as a table."""


def _sides(act: ActOn) -> str:
    """Return on which side of the launcher pumper and operator have their places, if anybody worked it out."""
    named = [f"{who} {where} of the launcher" for who, where in (
        ("whoever pumps", act.pumper_place), ("whoever pulls the cord", act.operator_place)) if where]
    return f"Their places: {', '.join(named)}. " if named else ""


def prove_chapter(design: Design, report: ProofReport, act: ActOn) -> Chapter:
    """Return Prove's chapter of a completed design: pressure, distances, rules, launcher, pumping, test sheet."""
    rated, habit = report.rated, report.habit
    numbers = headline([
        Number("highest reading of the gauge", act.allowed, f"you plan {act.pressure}"),
        Number("proof test, full of water", act.proof or "none", act.hold or act.retired),
        Number("stand back at a launch", act.pumper, "whoever pumps; whoever pulls the cord " + act.operator),
        Number("stored energy", f"{report.launch_energy.isentropic_J:.0f} J", "at launch, let go at once (isentropic)"),
    ])
    first, *others = (f"<h3>{heading}</h3>{prose(*said)}" for heading, said in advice(report) if heading != _PLACES)
    places = (f"At a launch whoever pumps stands {act.pumper} away, whoever pulls the cord {act.operator}, spectators "
              f"{act.spectators}. {_sides(act)}{act.distances_because}. {act.planned}.")
    words = f"<h3>{_PLACES}</h3>{prose(places)}" + "".join(others)
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
        numbers + pair(place("pressures"), first) + words + rules
        + fold("Where the rules differ, the strictest governs", prose(*conflict_lines(report)))
        + (fold("Parts under pressure", parts) if report.launcher.parts else "")
        + fold("How the burst pressure is worked out", factors)
    )
    title = "Nobody pumps this bottle again" if act.retired else f"On the gauge {act.allowed}; you plan {act.pressure}"
    return Chapter(
        Section(Stage.PROVE, title, state_of(report.findings, Stage.PROVE), html,
                [pressure_picture(design, rated)]),
        report.findings,
        {key: value for key, value in report.as_json().items() if key not in ("findings", "name")},
        {"proof-test.html": proof_sheet(design, report, act)},
    )
