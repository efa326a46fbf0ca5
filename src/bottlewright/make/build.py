"""Everything that the workshop needs from one design: patterns, lists, schedule, sheets, solids, the printed pack."""

import datetime as dt
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bottlewright.design import Design
from bottlewright.design.workshop import OPENING
from bottlewright.findings import Finding, Level, Stage, by_urgency
from bottlewright.make.calendar import plan_ics
from bottlewright.make.drawing import Pattern
from bottlewright.make.dxf import pattern_dxf
from bottlewright.make.facts import counts, facts, features
from bottlewright.make.glues import usual_temperature
from bottlewright.make.nesting import PAPERS, pieces_of
from bottlewright.make.pack import Sheets, pack_data, patterns_data
from bottlewright.make.parts import PartsList, parts_csv, parts_list
from bottlewright.make.patterns import all_patterns
from bottlewright.make.schedule import Opening, Plan, lay_out
from bottlewright.make.sheets import Matrix, usual_matrix
from bottlewright.make.solids import printed_parts, three_mf
from bottlewright.make.stand import stand_sizes
from bottlewright.make.steps import build_steps, tasks_of, tools_and_supplies
from bottlewright.make.svg import pattern_svg
from bottlewright.make.typeset import typeset

__all__ = ["Given", "Made", "build"]


@dataclass(frozen=True, slots=True)
class Given:
    """What comes with the design; everything may be left out.

    Parameters
    ----------
    source, overrides
        The design file as it is on disk and what the command line changed in it, for the hash on every page.
    findings
        Of the other rooms.
    numbers
        Key numbers for the cover, name and text.
    words
        Texts that replace those made from the design alone, such as ``proof_pressure``.
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
    """

    source: bytes = b""
    overrides: tuple[str, ...] = ()
    findings: Sequence[Finding] = ()
    numbers: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    drills: Mapping[str, float] = field(default_factory=dict)
    prices: Mapping[str, float] = field(default_factory=dict)
    matrix: Matrix | None = None
    notes: Sequence[Finding] = ()
    paper: str = "a4"


@dataclass(frozen=True, slots=True)
class Made:
    """Files by name, all findings (those given and those of this room), and what programs want to know."""

    files: Mapping[str, bytes]
    findings: tuple[Finding, ...]
    results: Mapping[str, Any]


def build(design: Design, given: Given, now: dt.datetime) -> Made:
    """Make everything for a completed design.

    Parameters
    ----------
    now
        The moment for the calendar file, and the first day of a build that names none.
    """
    stand = stand_sizes(design, given.drills)
    there, words = features(design), facts(design, stand, given.words)
    steps = build_steps(there, words, counts(design))
    room = design.workshop.temperature
    tasks, cold = tasks_of(steps, room.value if room else usual_temperature())
    listed, about_parts = parts_list(design, stand, *tools_and_supplies(steps), given.prices)
    start = design.workshop.start or now.date()
    openings, people = _openings(design), design.workshop.people or _PEOPLE
    plan = lay_out(tasks, start, openings, people, design.workshop.closed)
    patterns = all_patterns(design, stand)
    solids, about_solids = printed_parts(design)
    own = [
        *given.notes,
        *_about_workshop(design, plan),
        *cold,
        *about_parts,
        *about_solids,
        *_about_sizes(patterns, design),
    ]
    findings = tuple(by_urgency([*given.findings, *own]))
    sheets = Sheets(design, given.numbers, findings, _hash(given), PAPERS[given.paper])
    data = pack_data(sheets, stand, words, steps, listed, plan, patterns, given.matrix or usual_matrix(), there)
    files: dict[str, bytes] = {f"pack-{given.paper}.pdf": typeset(data)}
    for name, paper in PAPERS.items():
        files[f"patterns-{name}.pdf"] = typeset(patterns_data(sheets, patterns, paper))
    for pattern in patterns:
        files[f"svg/{pattern.name}.svg"] = pattern_svg(pattern).encode()
        files[f"dxf/{pattern.name}.dxf"] = pattern_dxf(pattern).encode()
    files["parts.csv"] = parts_csv(listed).encode("utf-8-sig")  # spreadsheets need the mark to read ± and Ø
    if plan is not None:
        files["build.ics"] = plan_ics(design.name, plan, now)
    for solid in solids:
        files[f"print/{solid.name}.3mf"] = three_mf(solid)
    return Made(files, findings, _results(listed, plan, patterns, data))


def _hash(given: Given) -> str:
    """Return what tells this design from any other: the file's digest, and that the command line changed it."""
    digest = (
        hashlib.sha256("\n".join([hashlib.sha256(given.source).hexdigest(), *given.overrides]).encode())
        if given.overrides
        else hashlib.sha256(given.source)
    )
    return digest.hexdigest()[:12] + (" (changed by --set)" if given.overrides else "")


_PEOPLE = 2
_USUAL = tuple((day, dt.time(10), dt.time(16)) for day in range(7))
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def _openings(design: Design) -> Sequence[Opening]:
    found: list[Opening] = []
    for text in design.workshop.hours:
        match = OPENING.fullmatch(text)
        assert match is not None, "the design file is checked when it is read"
        last = dt.time(int(match[4]) % 24, int(match[5]))
        found.append((_DAYS.index(match[1]), dt.time(int(match[2]), int(match[3])), last))
    return found or _USUAL


def _about_workshop(design: Design, plan: Plan | None) -> list[Finding]:
    shop = design.workshop
    missing = [
        (not shop.hours, "workshop.hours", "every day from 10:00 to 16:00", 'hours = ["Sat 10:00-13:00"]'),
        (shop.start is None, "workshop.start", "today", "start = 2027-03-06"),
        (shop.people is None, "workshop.people", f"{_PEOPLE} people", "people = 4"),
        (
            shop.temperature is None,
            "workshop.temperature",
            f"{usual_temperature() - 273.15:g} °C",
            'temperature = "16 °C"',
        ),
    ]
    gaps = [(path, taken, such) for gap, path, taken, such in missing if gap]
    found = (
        [
            Finding(
                Level.NOTE,
                Stage.MAKE,
                "workshop-not-described",
                "the schedule may not fit your workshop",
                "not in the design: " + "; ".join(f"{path}, taken as {taken}" for path, taken, _ in gaps),
                "what holds in your workshop",
                "our choice",
                "Write under [workshop]: " + ", ".join(such for _, _, such in gaps),
            )
        ]
        if gaps
        else []
    )
    if plan is None:
        found.append(
            Finding(
                Level.LOOK,
                Stage.MAKE,
                "no-schedule",
                "there is no date to plan for",
                "the opening hours never suffice for the work",
                "an opening that the build fits into within five years",
                "this program",
                "Give more or longer openings in workshop.hours, and look at workshop.closed.",
            )
        )
    return found


def _about_sizes(patterns: Sequence[Pattern], design: Design) -> list[Finding]:
    found = []
    window = PAPERS["a4"].window
    tiles = {p.title: sum(piece.clipped for piece in pieces_of(p, window)) for p in patterns if p.printed}
    if any(tiles.values()):
        found.append(
            Finding(
                Level.NOTE,
                Stage.MAKE,
                "tiled-pattern",
                "a part in tiles is only as true as its joins",
                "larger than a sheet of A4: " + ", ".join(f"{title} ({n} tiles)" for title, n in tiles.items() if n),
                "one sheet",
                "this program",
                "Join the crosses on a flat table, then measure one dimension over the join before you cut.",
            )
        )
    if design.fins is None:
        found.append(
            Finding(
                Level.NOTE,
                Stage.MAKE,
                "no-fins",
                "a rocket without fins tumbles unless something else steadies it",
                "the design has no [fins]",
                "fins or another means to keep the nose forward",
                "our judgement",
                "If that is meant, fine: there are no fin patterns, no strip and no jig. Otherwise add [fins].",
            )
        )
    return found


def _results(
    listed: PartsList, plan: Plan | None, patterns: Sequence[Pattern], data: Mapping[str, Any]
) -> dict[str, Any]:
    return {
        "parts": len(listed.parts),
        "parts_mass_kg": listed.mass,
        "parts_mass_spread_kg": listed.spread,
        "cost": listed.total if listed.price else None,
        "currency": listed.currency,
        "unpriced_parts": listed.unpriced,
        "patterns": [pattern.name for pattern in patterns],
        "pattern_sheets": len(data["sheets"]),
        "earliest_launch_day": plan.launch.isoformat() if plan else None,
        "finished": plan.finished.isoformat() if plan else None,
        "schedule": []
        if plan is None
        else [
            {
                "task": slot.task.code,
                "title": slot.task.title,
                "work_s": slot.task.work,
                "wait_s": slot.task.wait,
                "after": list(slot.task.after),
                "people": slot.people,
                "slack_s": slot.slack,
                "spells": [[a.isoformat(), b.isoformat()] for a, b in slot.spells],
                "ready": slot.ready.isoformat(),
            }
            for slot in plan.slots
        ],
    }
