"""The whole study of one design: it calls the packages in the order of the work, nothing else."""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from bottlewright import __version__
from bottlewright.design.document import Design
from bottlewright.design.formatting import format_value
from bottlewright.design.paths import value_at
from bottlewright.design.unit_habit import unit_habit
from bottlewright.field.chapters import field_chapter
from bottlewright.field.exposure import room_inside
from bottlewright.field.landings import FlyBatch
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.findings import Finding, by_urgency
from bottlewright.flight.batch import fly_batch
from bottlewright.flight.chapters import fly_chapter, sketch_chapter
from bottlewright.flight.fly import fly
from bottlewright.flight.layout import layout_of
from bottlewright.make.build import build
from bottlewright.make.chapters import make_chapter
from bottlewright.make.inputs import collect_inputs
from bottlewright.proof.chapters import prove_chapter
from bottlewright.proof.parts import hole_sizes
from bottlewright.proof.prove import prove
from bottlewright.quantities import show
from bottlewright.report.html import Chapter, Header, write_report
from bottlewright.report.style import save_picture, write_file
from bottlewright.tune.advice import advise
from bottlewright.tune.chapters import tune_chapter
from bottlewright.tune.pressure_limit import ceiling_of

__all__ = ["Study", "study", "write_study"]


class Study(NamedTuple):
    """What the packages found, in the order of the work."""

    design: Design
    chapters: list[Chapter]
    findings: list[Finding]
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
    proved = prove(design)
    flight = fly(design, series=True)
    room = room_inside(site, design.scatter.leaving)
    advice = advise(design, ceiling_of(design), room, fly_batch, lambda words: say(words, 0.0))
    chapters = [
        sketch_chapter(design, layout_of(design), flight),
        prove_chapter(design, proved),
        tune_chapter(design, advice),
        fly_chapter(design, flight),
        field_chapter(design, scatter(design, site, fly=fly_batch, say=say)),
    ]
    say("Drawing up what the workshop needs", 0.0)
    drills = {hole.name: hole.drill_m for hole in hole_sizes(design)}
    given = collect_inputs(design, file, proved, flight, drills, overrides, paper)
    known = [finding for chapter in chapters for finding in chapter.findings]
    made = build(design, replace(given, findings=known), dt.datetime.now().replace(microsecond=0))
    chapters.append(make_chapter(made, habit=unit_habit(design)))
    findings = by_urgency(finding for chapter in chapters for finding in chapter.findings)
    return Study(design, chapters, findings, given.paper)


def summary_of(result: Study) -> dict[str, Any]:
    """Return the numbers of all packages as one document: a table a stage, SI, the unit in each name."""
    return {
        "name": result.design.name,
        "bottlewright": __version__,
        **{str(chapter.section.stage).lower(): dict(chapter.results) for chapter in result.chapters},
        "findings": [finding.as_json() for finding in result.findings],
    }


def page_of(result: Study, source: str) -> str:
    """Return the report; `source` is the name of the design file."""
    header = Header(result.design.name, _lead(result.design), f"Made by Bottlewright {__version__} from {source}.",
                    "letter" if result.paper == "letter" else "A4")  # fmt: skip
    return write_report([chapter.section for chapter in result.chapters], result.findings, header)


def _lead(design: Design) -> str:
    def short(path: str, unit: str) -> str:
        value = value_at(design, path)
        return format_value(design, path, value, spread=False) if value.text else show(value.value, unit)

    habit = unit_habit(design)
    volume, water = short("vessel.volume", "mL"), short("charge.water", "mL")
    bore, pressure = short("nozzle.bore", "mm"), short("charge.pressure", "bar")
    if habit.inches:
        bore = habit.length(value_at(design, "nozzle.bore").value)
    if habit.psi:
        pressure = habit.pressure(value_at(design, "charge.pressure").value)
    where = f", from {design.site.name}" if design.site.name else ""
    count = design.vessel.count
    bottles = f"A {volume} bottle" if count == 1 else f"{count} bottles of {volume}"
    return f"{bottles} on a {bore} nozzle, with {water} of water at {pressure} on the gauge{where}."


def write_study(result: Study, folder: Path, source: str, json_text: Callable[[Any], str]) -> Iterable[Path]:
    """Write report, figures, tables and findings into a folder; return what was written.

    Parameters
    ----------
    result
        Of `study`.
    folder
        Where to; it need not exist.
    source
        Name of the design file, for the report's last line.
    json_text
        Function from a document to JSON text.
    """
    yield from _write(folder / "report.html", page_of(result, source))
    for chapter in result.chapters:
        for picture in chapter.section.pictures:
            yield from save_picture(picture, folder / "figures")
        for name, content in chapter.files.items():
            yield from _write(folder / name, content)
    yield from _write(folder / "summary.json", json_text(summary_of(result)))
    yield from _write(folder / "findings.json", json_text([finding.as_json() for finding in result.findings]))


def _write(path: Path, content: str | bytes) -> list[Path]:
    write_file(path, content)
    return [path]
