"""`bottlewright make`: a folder to take to the workshop, and one printed pack."""

import datetime as dt
from dataclasses import replace
from typing import Annotated, Literal

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, with_verdict
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.judged import with_cures
from bottlewright.cli.printing import say
from bottlewright.cli.results_folder import check_place, place_for, results_folder
from bottlewright.findings import Stage

__all__ = ["Paper", "make"]

PAPER = typer.Option(show_default=False, help="Paper of the pack (letter for a builder who writes inches, else A4).")
Paper = Annotated[Literal["a4", "letter"] | None, PAPER]


def make(file: DesignFile, sets: Sets = None, json: Json = False, out: Out = None, paper: Paper = None) -> int:
    """Write patterns, lists, schedule, sheets and the printed pack (into NAME-make when --out is left out)."""
    design = load(file, sets, out)
    folder = out or place_for(design.name, "make")
    check_place(folder)
    notice_compiling()
    from bottlewright.flight.fly import fly
    from bottlewright.make.build import finish, workshop_of
    from bottlewright.make.inputs import collect_inputs
    from bottlewright.proof.parts import hole_sizes
    from bottlewright.proof.prove import prove
    from bottlewright.report.first_page import first_page
    from bottlewright.report.style import write_file
    from bottlewright.verdict import act_on, judge_alone

    drills = {hole.name: hole.drill_m for hole in hole_sizes(design)}
    proof, flight, now = prove(design), fly(design), dt.datetime.now().replace(microsecond=0)
    given = collect_inputs(design, file, proof, flight, drills, sets or (), paper)
    workshop = workshop_of(design, given, now)
    found = judge_alone(design, file.parent, proof=proof, flight=flight, more=workshop.findings)
    verdict, cures = with_cures(design, file.parent, found)
    first = first_page(act_on(verdict), verdict.findings)
    made = finish(workshop, replace(given, findings=verdict.findings, first=first), now)
    with results_folder(folder, "make") as fresh:
        for place, content in made.files.items():
            write_file(fresh / place, content)
    findings = [finding.as_json() for finding in made.findings]
    document = {"name": design.name, **made.results, "files": sorted(made.files), "findings": findings}
    document = with_verdict(document, design, verdict, cures)
    launch = made.results["earliest_launch_day"] or "unknown"
    sheets, parts = made.results["pattern_sheets"], made.results["parts"]
    words = f"{design.name}: {sheets} sheets of patterns, {parts} parts, earliest launch day {launch}\n"
    code = answer(json, document, words, verdict, Stage.MAKE)
    say(f"{len(made.files)} files in {folder}; print {folder / f'pack-{given.paper}.pdf'} at 100\u202f%")
    return code
