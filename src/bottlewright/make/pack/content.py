"""What the printed pack says, as data for the typesetter: every word and number, page by page."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from bottlewright import __version__
from bottlewright.design import stood_on
from bottlewright.design.formatting import format_value
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.findings import Finding, Level
from bottlewright.make.drawing import Pattern, Shape, bounds
from bottlewright.make.launcher.release_drawing import release_section
from bottlewright.make.launcher.stand_drawing import hose_line, stand_views
from bottlewright.make.letting_out.drawings import step_drawing
from bottlewright.make.pack.elevation import fitting_scale, side_view
from bottlewright.make.pack.packing import packing, sketch
from bottlewright.make.pack.words import words_data
from bottlewright.make.parts import PartsList, mass_unit, measured_words, totals
from bottlewright.make.patterns.canopy import line_table
from bottlewright.make.patterns.nesting import Paper
from bottlewright.make.patterns.paper import pattern_sheets, placed_items
from bottlewright.make.plan.by_step import by_step
from bottlewright.make.plan.chart import chart_items
from bottlewright.make.plan.glues import glue_named
from bottlewright.make.plan.schedule import Plan
from bottlewright.make.plan.steps import Step
from bottlewright.make.sheets.cards import built_card, flight_card, vessel_card
from bottlewright.make.sheets.ground_tests import ground_tests
from bottlewright.make.sheets.launch_day import NO_STEPS, DaySteps, briefing, launch_day, misfire
from bottlewright.make.sheets.matrix import Matrix
from bottlewright.make.sheets.risks import risks
from bottlewright.make.specification import Specification
from bottlewright.quantities import Basis
from bottlewright.report.first_page import FirstPage, rows_of
from bottlewright.report.gathered import Kind, kinds, split_wanted

__all__ = ["SCALE_WORDS", "Sheets", "pack_data", "patterns_data"]

SCALE_WORDS = (
    "True size, one to one: one {unit} on this paper is one {unit} on the part. "
    "Print at 100\u202f%, never “fit to page”."
)
_FIRST = "Local rules and the responsible adult in charge of the site come first."


@dataclass(frozen=True, slots=True)
class Sheets:
    """What every sheet shares."""

    spec: Specification
    numbers: Mapping[str, str]
    findings: Sequence[Finding]
    hash: str
    paper: Paper
    first: FirstPage | None = None
    proof_test: Mapping[str, Any] | None = None
    day: DaySteps = NO_STEPS


def _common(sheets: Sheets, kind: str, title: str, paper: Paper) -> dict[str, Any]:
    scale = SCALE_WORDS.format(unit="inch" if sheets.spec.habit.inches else "millimetre")
    return {
        "kind": kind, "title": title, "name": sheets.spec.design.name, "hash": sheets.hash, "version": __version__,
        "paper": {"width": paper.width, "height": paper.height}, "scale": scale,
        "stopped": any(one.level is Level.STOP for one in sheets.findings),
    }  # fmt: skip


def patterns_data(sheets: Sheets, patterns: Sequence[Pattern], paper: Paper) -> dict[str, Any]:
    """Return the pattern sheets alone, on one paper."""
    pages = pattern_sheets(patterns, paper, sheets.spec.habit.inches)
    return {**_common(sheets, "patterns", "patterns", paper), "sheets": pages}


def pack_data(
    sheets: Sheets, words: Mapping[str, str], steps: Sequence[Step], listed: PartsList,
    plan: Plan | None, patterns: Sequence[Pattern], matrix: Matrix,
) -> dict[str, Any]:  # fmt: skip
    """Return the whole pack."""
    spec, design = sheets.spec, sheets.spec.design
    kept, wanted = split_wanted(sheets.findings)
    width = sheets.paper.width - _MARGINS
    common = _common(sheets, "pack", "build and launch pack", sheets.paper)
    n, rocket = fitting_scale(side_view(spec), width, 50.0 if common["stopped"] else 62.0)
    return {
        **common,
        "first": _FIRST,
        "drawing": _drawing(rocket, width, _to_scale(n, spec)),
        "numbers": [[name, text] for name, text in _key_numbers(sheets, words, plan).items()],
        "cover": _cover(sheets),
        "findings": [_kind(kind) for kind in kinds(kept)],
        "wanted": [list(one) for one in wanted],
        "unchecked": list(sheets.first.act.unchecked) if sheets.first else [],
        "stops": [_finding(f) for f in sheets.findings if f.level is Level.STOP],
        "parts": _parts(listed, spec.habit),
        "schedule": _schedule(plan, width),
        "steps": [_step(step, spec) for step in steps],
        "stand": _stand(spec, width),
        "boring": [[spec.drill(step.diameter), step.text] for step in spec.boring],
        "lines": [list(row) for row in line_table(spec)],
        "cutting_only": [p.title for p in patterns if not p.printed],
        "sheets": pattern_sheets(patterns, sheets.paper, sheets.spec.habit.inches),
        "risks": [asdict(risk) for risk in risks(spec, words, matrix, sheets.findings)],
        "matrix": {
            "name": matrix.name,
            "source": matrix.source,
            "likely": matrix.likely,
            "bad": matrix.bad,
            "cells": matrix.cells,
            "means": list(matrix.means.items()),
        },
        "packing": packing(spec, words),
        "ground": ground_tests(spec, words),
        "day": launch_day(spec, words, sheets.day),
        "misfire": misfire(spec, words, sheets.day),
        "briefing": briefing(spec, words),
        "test": None if sheets.proof_test is None else dict(sheets.proof_test),
        "vessel": vessel_card(spec, sheets.first.act if sheets.first else None),
        "built": built_card(spec, words, sheets.first.act if sheets.first else None),
        "flight": flight_card(words),
        "assumed": [
            [path, format_value(design, path, q, habit=spec.habit), q.source]
            for path, q in stood_on(design)
            if q.basis is Basis.ASSUMED and path.split(".")[0] in _BUILT
        ],
        "words": words_data(),
    }


_MARGINS = 38.0
"""Left and right margin of a page together, mm, as in the template."""

_BUILT = {"vessel", "nozzle", "nose", "fins", "sleeve", "mass", "recovery", "launcher"}


def _finding(finding: Finding) -> dict[str, str]:
    return {key: str(value) for key, value in finding.as_json().items()}


def _kind(kind: Kind) -> dict[str, Any]:
    return {
        "level": str(kind.first.level), "stage": str(kind.first.stage), "heading": kind.heading,
        "heads": list(kind.heads), "rows": [list(row) for row in kind.rows],
        "shared": [list(pair) for pair in kind.shared],
    }  # fmt: skip


def _cover(sheets: Sheets) -> dict[str, Any] | None:
    """Return what is read first, as the report sets it; None where nobody has judged the design."""
    page = sheets.first
    if page is None:
        return None
    act = page.act
    return {
        **rows_of(page),
        "level": act.level,
        "says": act.says,
        "actions": [[one.do, one.why, str(one.level), one.stage] for one in page.actions],
        "proof": " ".join(filter(None, (act.proof, act.hold))),
        "sides": [list(row) for row in act.sides],
        "winds": [list(row) for row in act.winds],
        "flights": None if page.flights is None else {
            "says": page.flights.says, "rows": [list(row) for row in page.flights.rows]},
        "plan": None if page.plan is None else {"svg": page.plan.narrow, "says": page.plan.says},
    }


def _key_numbers(sheets: Sheets, words: Mapping[str, str], plan: Plan | None) -> dict[str, str]:
    """Return what the rocket is, beside the numbers that people act on, which `_cover` has."""
    numbers = {"bottle": f"{words['capacity']}, Ø {words['diameter']}", "nozzle bore": words["bore"]}
    if sheets.first is None:
        numbers |= {"water": words["water"], "pressure on the gauge": words["planned_pressure"]}
    if sheets.spec.design.measured.dry_mass:
        numbers["dry mass, weighed"] = words["dry_mass"]
    if plan:
        numbers["earliest launch day"] = f"{plan.launch:%d %B %Y}".lstrip("0")
    return {**numbers, **sheets.numbers}


def _drawing(drawn: Sequence[Shape], width: float, words: str) -> dict[str, Any]:
    """Return a drawing centred in a width, mm."""
    left, bottom, right, top = bounds(drawn)
    return {
        "items": placed_items(drawn, -left + 0.5 * (width - right + left), top),
        "height": top - bottom,
        "scale": words,
    }


def _to_scale(n: float, spec: Specification) -> str:
    return f"Scale 1 : {n:g}. Lengths in " + ("inches, mm in brackets." if spec.habit.inches else "mm.")


def _parts(listed: PartsList, habit: UnitHabit) -> dict[str, Any]:
    rows = []
    for part in listed.parts:
        estimate, weighed = measured_words(part, habit)
        cost = listed.cost(part)
        rows.append(
            [
                part.group,
                part.code,
                part.name,
                str(listed.pieces(part)),
                part.material,
                part.size,
                estimate,
                weighed,
                str(listed.have.get(part.code, "")) or "",
                "" if cost is None else f"{cost:.2f}",
            ]
        )
    closing = [list(line) for line in totals(listed, habit)]
    return {"rows": rows, "totals": closing, "currency": listed.currency, "mass_unit": mass_unit(habit),
            "rockets": listed.rockets}  # fmt: skip


def _duration(seconds: float) -> str:
    minutes = round(seconds / 60.0)
    if minutes < 90:
        return f"{minutes} min"
    hours = minutes / 60.0
    return f"{hours:.0f} h" if hours >= 10 or minutes % 60 == 0 else f"{hours:.1f} h"


def _moment(moment: dt.datetime) -> str:
    return f"{moment:%a %d %b %H:%M}"


def _schedule(plan: Plan | None, width: float) -> dict[str, Any] | None:
    if plan is None:
        return None
    items, height = chart_items(plan, width)
    rows = [
        [
            step.title,
            _duration(step.slots[0].task.work),
            _duration(step.slots[0].task.wait) if step.slots[0].task.wait else "",
            str(step.slots[0].people),
            "; ".join(_spell(min(begin for (begin, _), _ in spells), max(end for (_, end), _ in spells))
                      for spells in step.days().values()),
            "none" if step.critical else _duration(min(slot.slack for slot in step.slots)),
        ]
        for step in by_step(plan)
    ]  # fmt: skip
    return {
        "items": items,
        "height": height,
        "rows": rows,
        "launch": f"{plan.launch:%A %d %B %Y}",
        "finished": _moment(plan.finished),
        "rockets": plan.rockets,
    }


def _spell(begin: dt.datetime, end: dt.datetime) -> str:
    return f"{_moment(begin)}–{end:%H:%M}"


def _care(step: Step) -> str:
    """Return what its glue asks of whoever works with it."""
    if not step.glue:
        return ""
    glue = glue_named(step.glue)
    return glue.care if glue else "Read the data sheet of this glue before you open it."


def _step(step: Step, spec: Specification) -> dict[str, Any]:
    drawn = step_drawing(spec, step.drawing)
    return {
        "title": step.title,
        "do": step.do,
        "check": step.check,
        "adult": step.adult,
        "people": step.people,
        "work": _duration(step.work),
        "tools": ", ".join(step.tools),
        "uses": ", ".join(step.uses),
        "care": _care(step),
        "drawing": sketch(drawn.shapes) | {"names": drawn.names, "scale": drawn.scale} if drawn else None,
    }


def _stand(spec: Specification, width: float) -> dict[str, Any]:
    pieces = [[p.name, str(p.count), spec.sawn(p.length), p.section, p.where] for p in spec.pieces]
    bored = [[what, str(count), spec.drill(diameter), where] for what, count, diameter, where in spec.holes]
    n, views = stand_views(spec, width, 105.0)
    line = _drawing(hose_line(spec, width), width, "The line from pump to rocket; not to scale.")
    release = _drawing(release_section(spec), width, "The release in section, 1 : 2 where sizes are given.")
    return {
        "drawing": _drawing(views, width, _to_scale(n, spec)),
        "line": line,
        "release": release,
        "pieces": pieces,
        "holes": bored,
        "chosen": list(spec.stand.chosen),
    }
