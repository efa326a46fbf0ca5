"""The whole study of one design: it calls the packages in the order of the work, nothing else."""

import datetime as dt
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from bottlewright import __version__
from bottlewright.cures import Cure, cured, cures_of
from bottlewright.cures.judging import WholeJudge
from bottlewright.design.document import Design
from bottlewright.design.formatting import format_value
from bottlewright.design.paths import value_at
from bottlewright.design.unit_habit import unit_habit
from bottlewright.field.chapters import field_chapter
from bottlewright.field.exposure import room_inside
from bottlewright.field.landings import FlyBatch
from bottlewright.field.numbers import keep
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.chapters import fly_chapter, sketch_chapter
from bottlewright.flight.fly import fly
from bottlewright.flight.hold_window import hold_window
from bottlewright.flight.layout import layout_of
from bottlewright.flight.release_ways import compare_ways
from bottlewright.flight.results import findings_of
from bottlewright.learn.chapters import with_learned
from bottlewright.logbook.chapters import with_launches
from bottlewright.logbook.paper import day_steps
from bottlewright.make.build import Given, Workshop, finish, workshop_of
from bottlewright.make.chapters import make_chapter
from bottlewright.make.inputs import collect_inputs
from bottlewright.proof.chapters import prove_chapter
from bottlewright.proof.parts import hole_sizes
from bottlewright.proof.prove import prove
from bottlewright.proof.sheet import pack_page
from bottlewright.quantities import show
from bottlewright.report.first_page import FirstPage, first_page
from bottlewright.report.html import Chapter, Header, write_report
from bottlewright.report.json_text import json_text
from bottlewright.report.style import picture_files
from bottlewright.tune.advice import Advice, advise
from bottlewright.tune.chapters import tune_chapter
from bottlewright.tune.pressure_limit import ceiling_of
from bottlewright.tune.summary_text import findings_of as tune_findings
from bottlewright.verdict import Verdict, act_on, judge
from bottlewright.verdict.on_the_site import plan_of

__all__ = ["Study", "study", "study_files", "tuning"]


class Study(NamedTuple):
    """What the packages found, in the order of the work."""

    design: Design
    chapters: list[Chapter]
    verdict: Verdict
    cures: tuple[Cure, ...] = ()
    first: FirstPage | None = None
    paper: str = "a4"


def study(
    design: Design,
    file: Path,
    overrides: Sequence[str] = (),
    fly_batch: FlyBatch = fly_batch,
    say: Callable[[str, float], None] = lambda *_: None,
    paper: str | None = None,
) -> Study:
    """Study a completed design.

    Parameters
    ----------
    design
        Completed.
    file
        The design file; the map of its site, its price list and its risk matrix lie beside it.
    overrides
        What the command line changed in it.
    fly_batch
        Flies many plans.
    say
        Takes what is being done and how far it is, 0 to 1.
    paper
        "a4" or "letter"; the usual one of the builder's units when left out.
    """
    site = field_site(design.site, file.parent)
    now = dt.datetime.now()
    with ThreadPoolExecutor(1) as bench, tuning(design, file, fly_batch) as advised:
        proved, flight = prove(design), fly(design, series=True)

        def drawn_up() -> tuple[Given, Workshop]:
            advised.result()  # from then on Field alone leaves gaps on the cores
            drills = {hole.name: hole.drill_m for hole in hole_sizes(design)}
            given = collect_inputs(design, file, proved, flight, drills, overrides, paper)
            return given, workshop_of(design, given, now)

        drawing_up = bench.submit(drawn_up)
        landings = scatter(design, site, fly=fly_batch, say=say)
        numbers = keep(design, landings)
        say("waiting for the best load", 0.0)
        advice = advised.result()
        say("drawing up what the workshop needs", 0.0)
        given, workshop = drawing_up.result()
    found = [
        *design.reading_notes, *proved.findings, *tune_findings(advice), *findings_of(design, flight),
        *workshop.findings,
    ]  # fmt: skip
    verdict = judge(design, found, proved, numbers)
    whole = WholeJudge(file.parent, design, landings, fly_batch)
    cures = cures_of(design, file.parent, verdict, whole, say)
    verdict = cured(verdict, cures)
    act, sketch = act_on(verdict), sketch_chapter(design, layout_of(design), flight)
    plan = plan_of(design, site, verdict, landings.outlines)
    first = first_page(act, verdict.findings, sketch.section.pictures[0], plan)
    given = replace(given, findings=verdict.findings, first=first, proof_test=pack_page(proved, act), day=day_steps())
    with ThreadPoolExecutor(1) as pool:  # the typesetter takes the second core while the figures are laid out
        made = pool.submit(finish, workshop, given, now.replace(microsecond=0), say)
        window, ways = hold_window(design), compare_ways(design, say=say)
        chapters = [
            sketch,
            prove_chapter(design, proved, act),
            tune_chapter(design, advice),
            with_learned(with_launches(fly_chapter(design, flight, window, ways), design, file.parent), design),
            field_chapter(design, landings, act),
        ]
        chapters.append(make_chapter(made.result(), habit=unit_habit(design)))
    return Study(design, chapters, verdict, cures, first, given.paper)


@contextmanager
def tuning(design: Design, file: Path, fly_batch: FlyBatch) -> Iterator[Future[Advice]]:
    """Work out the best load beside what is done inside: each fills the gaps that the other leaves on the cores.

    It gets a field of its own to measure, since what speeds that up is not made for two at once.
    """
    left = threading.Event()

    def flown(batch: Any) -> Any:
        if left.is_set():
            raise KeyboardInterrupt
        return fly_batch(batch)

    room = room_inside(field_site(design.site, file.parent), design.scatter.leaving)
    with ThreadPoolExecutor(1) as pool:
        try:
            yield pool.submit(advise, design, ceiling_of(design), room, flown)
        finally:
            left.set()


def summary_of(result: Study) -> dict[str, Any]:
    """Return the numbers of all packages as one document: a table a stage, SI, the unit in each name."""
    return {
        "name": result.design.name,
        "bottlewright": __version__,
        "verdict": result.verdict.as_json(),
        "cures": [cure.as_json() for cure in result.cures],
        **{str(chapter.section.stage).lower(): dict(chapter.results) for chapter in result.chapters},
        "findings": [finding.as_json() for finding in result.verdict.findings],
    }


def page_of(result: Study, source: str) -> str:
    """Return the report; `source` is the name of the design file."""
    header = Header(result.design.name, _lead(result.design), f"Made by Bottlewright {__version__} from {source}.",
                    "letter" if result.paper == "letter" else "A4")  # fmt: skip
    sections = [chapter.section for chapter in result.chapters]
    return write_report(sections, result.verdict.findings, header, result.first)


def _lead(design: Design) -> str:
    def short(path: str, unit: str) -> str:
        value = value_at(design, path)
        return format_value(design, path, value, spread=False) if value.text else show(value.value, unit)

    volume, bore = short("vessel.volume", "mL"), short("nozzle.bore", "mm")
    habit = unit_habit(design)
    if habit.inches:
        bore = habit.length(value_at(design, "nozzle.bore").value)
    where = f", from {design.site.name}" if design.site.name else ""
    count = design.vessel.count
    bottles = f"A {volume} bottle" if count == 1 else f"{count} bottles of {volume}"
    return f"{bottles} on a {bore} nozzle{where}."


def study_files(result: Study, source: str, say: Callable[[str, float], None] = lambda *_: None) -> dict[str, bytes]:
    """Return report, figures, tables and findings by file name.

    Parameters
    ----------
    result
        Of `study`.
    source
        Name of the design file, for the report's last line.
    say
        Takes what is being done and how far it is, 0 to 1.
    """
    say("writing the report", 0.0)
    files: dict[str, str | bytes] = {"report.html": page_of(result, source)}
    for chapter in result.chapters:
        for picture in chapter.section.pictures:
            say("drawing the figures", 0.0)
            files |= {f"figures/{name}": content for name, content in picture_files(picture).items()}
        files |= chapter.files
    files["summary.json"] = json_text(summary_of(result))
    files["findings.json"] = json_text([finding.as_json() for finding in result.verdict.findings])
    return {name: content.encode() if isinstance(content, str) else content for name, content in files.items()}
