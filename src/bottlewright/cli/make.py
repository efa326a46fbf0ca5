"""`bottlewright make`: a folder to take to the workshop, and one printed pack."""

import datetime as dt
from typing import Annotated, Literal

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, answer, load, with_notes
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.printing import say
from bottlewright.cli.results_folder import check_place, place_for, results_folder

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
    from bottlewright.make.build import build
    from bottlewright.make.inputs import collect_inputs
    from bottlewright.proof.parts import hole_sizes
    from bottlewright.proof.prove import prove
    from bottlewright.report.style import write_file

    drills = {hole.name: hole.drill_m for hole in hole_sizes(design)}
    given = collect_inputs(design, file, prove(design), fly(design), drills, sets or (), paper)
    made = build(design, given, dt.datetime.now().replace(microsecond=0))
    with results_folder(folder, "make") as fresh:
        for place, content in made.files.items():
            write_file(fresh / place, content)
    findings = [finding.as_json() for finding in made.findings]
    document = {"name": design.name, **made.results, "files": sorted(made.files), "findings": findings}
    document = with_notes(document, design)
    launch = made.results["earliest_launch_day"] or "unknown"
    sheets, parts = made.results["pattern_sheets"], made.results["parts"]
    words = f"{design.name}: {sheets} sheets of patterns, {parts} parts, earliest launch day {launch}\n"
    code = answer(json, document, words, made.findings)
    say(f"{len(made.files)} files in {folder}; print {folder / f'pack-{given.paper}.pdf'} at 100\u202f%")
    return code
