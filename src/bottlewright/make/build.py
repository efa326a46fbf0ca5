"""Everything that the workshop needs from one design: patterns, lists, schedule, sheets, solids, the printed pack."""

import datetime as dt
import hashlib
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

from bottlewright.design import Design
from bottlewright.design.workshop import OPENING
from bottlewright.findings import Finding, by_urgency
from bottlewright.make.drawing import Pattern
from bottlewright.make.findings import about_glues, about_letting_out, about_patterns, about_stand, about_workshop
from bottlewright.make.pack.content import Sheets, pack_data, patterns_data
from bottlewright.make.pack.typeset import typeset
from bottlewright.make.parts import PartsList, parts_csv, parts_list
from bottlewright.make.patterns.collection import all_patterns
from bottlewright.make.patterns.dxf import pattern_dxf
from bottlewright.make.patterns.nesting import PAPERS
from bottlewright.make.patterns.svg import pattern_svg
from bottlewright.make.plan.calendar import plan_ics
from bottlewright.make.plan.glues import usual_temperature
from bottlewright.make.plan.schedule import Opening, Plan, Slot, Task, lay_out
from bottlewright.make.plan.steps import (
    PEOPLE,
    Step,
    build_steps,
    for_each_rocket,
    limits_of,
    tasks_of,
    tools_and_supplies,
)
from bottlewright.make.sheets.launch_day import NO_STEPS, DaySteps
from bottlewright.make.sheets.matrix import Matrix, usual_matrix
from bottlewright.make.sheets.risks import about_matrix, about_supervision
from bottlewright.make.solids import Solid, printed_parts, three_mf
from bottlewright.make.specification import Specification, specify
from bottlewright.make.template_values import template_values, words_of
from bottlewright.report.first_page import FirstPage

__all__ = ["Given", "Made", "Workshop", "build", "finish", "workshop_of"]


@dataclass(frozen=True, slots=True)
class Given:
    """What comes with the design; everything may be left out.

    Parameters
    ----------
    source, overrides
        The design file as it is on disk and what the command line changed in it, for the hash on every page.
    findings
        Of the other packages; those of this one may be among them.
    first
        What is read first: the one owner of pressure, load, distances, wind limit and test of every sheet.
    proof_test
        The sheet of the next proof test as data; None where nobody tests this vessel again, or nobody proved it.
    numbers
        Further numbers for the cover, name and text.
    words
        Texts that replace those made from the design alone, such as ``proof_growth``.
    drills
        Drills for the stand's holes by what passes them (coupling, hose, cord, stake), m.
    prices
        From the builder's price file.
    matrix
        The school's own risk matrix.
    notes
        Findings about these inputs themselves: a price file that can't be read, and the like.
    paper
        Of the pack: a4 or letter.
    day
        The steps of a launch, in the words of the day's table.
    """

    source: bytes = b""
    overrides: tuple[str, ...] = ()
    findings: Sequence[Finding] = ()
    first: FirstPage | None = None
    proof_test: Mapping[str, Any] | None = None
    numbers: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    drills: Mapping[str, float] = field(default_factory=dict)
    prices: Mapping[str, float] = field(default_factory=dict)
    matrix: Matrix | None = None
    notes: Sequence[Finding] = ()
    paper: str = "a4"
    day: DaySteps = NO_STEPS


@dataclass(frozen=True, slots=True)
class Made:
    """Files by name, all findings (those given and those of this package), and what programs want to know.

    Parameters
    ----------
    pack
        What the printed pack was set from, to look at its sheets one by one.
    """

    files: Mapping[str, bytes]
    findings: tuple[Finding, ...]
    results: Mapping[str, Any]
    pack: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Workshop:
    """What can be made of a design before anybody has judged it, and what was found on the way."""

    spec: Specification
    listed: PartsList
    plan: Plan | None
    patterns: Sequence[Pattern]
    solids: Sequence[Solid]
    findings: tuple[Finding, ...]


def workshop_of(design: Design, given: Given, now: dt.datetime) -> Workshop:
    """Draw the parts of a completed design and lay out the work: all that needs none of the numbers people act on.

    Parameters
    ----------
    now
        The first day of a build that names none.
    """
    spec = specify(design, given.drills)
    steps = build_steps(spec, template_values(spec))
    room = design.workshop.temperature
    tasks, cold = tasks_of(steps, room.value if room else usual_temperature())
    listed, about_parts = parts_list(spec, *tools_and_supplies(steps, design.workshop), given.prices)
    plan = planned(design, steps, tasks, now)
    patterns = all_patterns(spec)
    solids, about_solids = printed_parts(spec, next((p for p in patterns if p.name == "fin-jig"), None))
    matrix = given.matrix or usual_matrix()
    findings = [
        *given.notes,
        *about_matrix(spec.features, matrix),
        *about_supervision(design),
        *about_workshop(design, plan),
        *about_glues(design),
        *about_stand(spec),
        *about_letting_out(spec),
        *about_patterns(patterns, spec),
        *cold,
        *about_parts,
        *about_solids,
    ]
    return Workshop(spec, listed, plan, patterns, solids, tuple(findings))


def planned(design: Design, steps: Sequence[Step], tasks: Sequence[Task], now: dt.datetime) -> Plan | None:
    """Lay the work on all rockets into the hours of the workshop; None when they never suffice.

    Parameters
    ----------
    now
        A build that names no day begins at the next full hour.
    """
    shop = design.workshop
    limits, _ = limits_of(steps, shop.adults, design.stock.have)
    every = for_each_rocket(steps, tasks, shop.rockets or 1)
    return lay_out(every, begins(design, now), openings_of(design), shop.people or PEOPLE, shop.closed, limits)


def begins(design: Design, now: dt.datetime) -> dt.datetime:
    """Return when the work may begin: as the design says where that is still to come, else at the next full hour."""
    shop = design.workshop
    hour = dt.time.fromisoformat(shop.begins) if shop.begins else None
    full = now.replace(minute=0, second=0, microsecond=0)
    following = full if full == now else full + dt.timedelta(hours=1)
    if shop.start is not None:
        return max(dt.datetime.combine(shop.start, hour or dt.time(0)), following)
    if hour is None:
        return following
    today = dt.datetime.combine(now.date(), hour)
    return today if today >= now else today + dt.timedelta(days=1)


def build(design: Design, given: Given, now: dt.datetime) -> Made:
    """Make everything for a completed design.

    Parameters
    ----------
    now
        The moment for the calendar file, and the first day of a build that names none.
    """
    return finish(workshop_of(design, given, now), given, now)


def finish(
    workshop: Workshop, given: Given, now: dt.datetime, say: Callable[[str, float], None] = lambda *_: None
) -> Made:
    """Print the sheets of a workshop with the numbers that the verdict gives, and write the files.

    Parameters
    ----------
    given
        With what is read first, and with all findings.
    say
        Takes what is being done and how far it is, 0 to 1; it may raise to stop.
    """
    spec, listed, plan = workshop.spec, workshop.listed, workshop.plan
    patterns, name = workshop.patterns, workshop.spec.design.name
    words = template_values(spec, {**given.words, **(words_of(given.first.act) if given.first else {})})
    findings = tuple(by_urgency(dict.fromkeys([*given.findings, *workshop.findings])))
    sheets = Sheets(spec, given.numbers, findings, _hash(given), PAPERS[given.paper], given.first, given.proof_test,
                    given.day)  # fmt: skip
    matrix = given.matrix or usual_matrix()
    steps = build_steps(spec, words)
    data = pack_data(sheets, words, _in_time(steps, plan) if plan else steps, listed, plan, patterns, matrix)
    say("printing the pack", 0.0)
    files: dict[str, bytes] = {}
    with ThreadPoolExecutor(1) as pool:  # as long as all the rest, on a core of its own
        pack = pool.submit(typeset, data)
        for size, paper in PAPERS.items():
            say("printing the patterns", 0.2)
            files[f"patterns-{size}.pdf"] = typeset(patterns_data(sheets, patterns, paper))
        for pattern in patterns:
            say("writing the patterns", 0.4)
            files[f"svg/{pattern.name}.svg"] = pattern_svg(pattern).encode()
            files[f"dxf/{pattern.name}.dxf"] = pattern_dxf(pattern).encode()
        files["parts.csv"] = parts_csv(listed).encode("utf-8-sig")  # spreadsheets need the mark to read ± and Ø
        if plan is not None:
            files["build.ics"] = plan_ics(name, plan, now)
        for solid in workshop.solids:
            files[f"print/{solid.name}.3mf"] = three_mf(solid)
        say("printing the pack", 0.6)
        files = {f"pack-{given.paper}.pdf": pack.result()} | files
    return Made(files, findings, _results(listed, plan, patterns, data), data)


def _hash(given: Given) -> str:
    """Return what tells this design from any other: the digest of the file and of what the command line changed."""
    digest = hashlib.sha256(given.source + "".join(f"\n{change}" for change in given.overrides).encode())
    return digest.hexdigest()[:12] + (" (changed by --set)" if given.overrides else "")


_USUAL = tuple((day, dt.time(10), dt.time(16)) for day in range(7))
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def openings_of(design: Design) -> Sequence[Opening]:
    """Return when the workshop is open each week; every day from 10 to 16 where the design does not say."""
    found: list[Opening] = []
    for text in design.workshop.hours:
        match = OPENING.fullmatch(text)
        assert match is not None, "the design file is checked when it is read"
        last = dt.time(int(match[4]) % 24, int(match[5]))
        found.append((_DAYS.index(match[1]), dt.time(int(match[2]), int(match[3])), last))
    return found or _USUAL


def _in_time(steps: Sequence[Step], plan: Plan) -> list[Step]:
    """Return the steps in the order of the schedule: a step that waits for glue has others before it."""
    place: dict[str, int] = {}
    for number, slot in enumerate(plan.slots):
        place.setdefault(slot.task.step or slot.task.code, number)
    return sorted(steps, key=lambda step: place[step.code])


def _results(
    listed: PartsList, plan: Plan | None, patterns: Sequence[Pattern], data: Mapping[str, Any]
) -> dict[str, Any]:
    return {
        "parts": len(listed.parts),
        "parts_mass_kg": listed.mass,
        "parts_mass_spread_kg": listed.spread,
        "dry_mass_kg": listed.scale.value if listed.scale else None,
        "cost": listed.total if listed.price else None,
        "currency": listed.currency,
        "unpriced_parts": listed.unpriced,
        "patterns": [pattern.name for pattern in patterns],
        "pattern_sheets": len(data["sheets"]),
        "earliest_launch_day": plan.launch.isoformat() if plan else None,
        "finished": plan.finished.isoformat() if plan else None,
        "schedule": [_slot(slot) for slot in plan.slots] if plan else [],
    }


def _slot(slot: Slot) -> dict[str, Any]:
    return {
        "task": slot.task.code,
        "title": slot.task.title,
        "work_s": slot.task.work,
        "wait_s": slot.task.wait,
        "after": list(slot.task.after),
        "people": slot.people,
        "slack_s": round(slot.slack, 3),
        "rocket": slot.task.rocket or None,
        "held_by": slot.held_by or None,
        "spells": [[begin.isoformat(), end.isoformat()] for begin, end in slot.spells],
        "ready": slot.ready.isoformat(),
    }
