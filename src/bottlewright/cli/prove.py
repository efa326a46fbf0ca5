"""`bottlewright prove`: what vessel and launcher can take, what that rests on, and where everyone stands."""

import shutil
import textwrap
from typing import TYPE_CHECKING

import typer

from bottlewright.cli.common import DesignFile, Json, Out, Sets, exit_code, load, tell_open, with_verdict
from bottlewright.cli.compile_notice import notice_compiling
from bottlewright.cli.judged import with_cures
from bottlewright.cli.printing import json_text, print_json, say, styled, tell_verdict
from bottlewright.cli.results_folder import results_folder
from bottlewright.findings import Stage
from bottlewright.proof.prove import CAUTIONS, ProofReport

if TYPE_CHECKING:
    from bottlewright.verdict import Verdict

__all__ = ["prove"]


def prove(file: DesignFile, sets: Sets = None, as_json: Json = False, out: Out = None) -> int:
    """Say how hard the bottle may be pumped, what else is weaker, how to show it, and where everyone stands."""
    from bottlewright.proof.prove import prove as prove_design
    from bottlewright.proof.sheet import proof_sheet
    from bottlewright.report.style import write_file

    design = load(file, sets, out)
    notice_compiling()
    from bottlewright.verdict import act_on, judge_alone

    report = prove_design(design)
    verdict, cures = with_cures(design, file.parent, judge_alone(design, file.parent, proof=report))
    document = with_verdict(report.as_json(), design, verdict, cures)
    if out is not None:
        with results_folder(out, "prove") as folder:
            write_file(folder / "proof-test.html", proof_sheet(design, report, act_on(verdict)))
            write_file(folder / "proof.json", json_text(document))
        say(f"{out / 'proof-test.html'}: the sheet to print and fill in at the test; {out / 'proof.json'}: all numbers")
    if as_json:
        print_json(document)
    else:
        _tell(report, verdict)
    return exit_code(verdict)


def _tell(report: ProofReport, verdict: "Verdict") -> None:
    import sys

    from bottlewright.proof.summary_text import advice, conflict_lines, rule_rows

    width = min(shutil.get_terminal_size().columns, 100)

    def write(text: str, first: str = "", rest: str = "") -> None:
        typer.echo(textwrap.fill(text, width, initial_indent=first, subsequent_indent=rest, break_long_words=False,
                                 break_on_hyphens=False))

    typer.echo(styled(report.name, sys.stdout, bold=True) + "\n")
    tell_verdict(verdict)
    tell_open(verdict, Stage.PROVE)
    for heading, sentences in advice(report):
        typer.echo(styled(heading, sys.stdout, bold=True))
        for sentence in sentences:
            write(sentence, "  ", "    ")
        typer.echo()
    typer.echo(styled("Published rules that apply", sys.stdout, bold=True))
    for says, planned, meets, source in rule_rows(report):
        has = f"; your plan has {planned}" if planned else ""
        write(f"{meets + ':' if len(meets) > 15 else meets:<16} {says}{has}. {source}", "  ", " " * 19)
    typer.echo(styled("\nWhere the rules differ, the strictest governs", sys.stdout, bold=True))
    for line in conflict_lines(report):
        write(line, "  ", "    ")
    typer.echo()
    for caution in CAUTIONS:
        write(caution)
