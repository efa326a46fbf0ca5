"""The paper of a day: its sheet, the cards of its rockets, and the results of its contest, as PDF."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from bottlewright.errors import InputError
from bottlewright.project.contest import Contest, said_near, said_score

if TYPE_CHECKING:
    from bottlewright.logbook.contest import Results, Row
    from bottlewright.logbook.day_needs import DayNeeds
    from bottlewright.logbook.day_plan import DayPlan
    from bottlewright.logbook.scoring import Rule
    from bottlewright.project.day_needs import Judge

__all__ = ["day_pdf", "planned_launches", "results_pdf"]


def planned_launches(plan: "DayPlan") -> dict[str, int]:
    """Return how often each design file is launched by a day's plan; a rocket of no file is left out."""
    counts: dict[str, int] = {}
    for turn in plan.turns:
        rocket = plan.rockets.get(turn.rocket)
        if rocket is not None and rocket.file:
            counts[rocket.file] = counts.get(rocket.file, 0) + turn.launches
    return counts


def day_pdf(
    folder: Path, day: str, launches: Mapping[str, int], plan: "DayPlan | None" = None, paper: str | None = None,
    judge: "Judge | None" = None, by_hand: Mapping[str, int] | None = None,
) -> bytes:  # fmt: skip
    """Return the day's sheet and the cards of its rockets, the fallback for when no device works.

    Parameters
    ----------
    folder
        Of the designs.
    day
        Such as "2027-03-20".
    launches
        By the name of each design file.
    plan
        Of the day, with its people, launchers and local values; blanks where there is none. The card of a rocket whose
        design is another since then says first that the day is prepared anew.
    paper
        "a4" or "letter"; the usual one of the first design's units when left out.
    judge
        Gives design and verdict of a file.
    by_hand
        Launches of each rocket that were begun by hand on this day: they have the numbers before.

    Raises
    ------
    InputError
        When a design can't be read, or nothing is launched.
    """
    from bottlewright.logbook.cards import day_sheet, day_sheets, rocket_card
    from bottlewright.make.patterns.nesting import PAPERS, usual_paper
    from bottlewright.project.day_against_design import against_now
    from bottlewright.project.day_answers import judged_now
    from bottlewright.project.day_needs import day_needs

    judge = judge or (lambda file: judged_now(folder, file))
    needs: DayNeeds = day_needs(folder, launches, day, judge)
    cards, usual = [], ""
    for file, count in launches.items():
        if count > 0:
            project, verdict = judge(file)
            known = next((one for one in plan.rockets.values() if one.file == file), None) if plan else None
            pad, barred = (known.pad, against_now(known, judge)) if known else ("A", [])
            before = (by_hand or {}).get(project.design.name, 0)
            cards += list(rocket_card(project.design, verdict, pad, count, barred, before))
            usual = usual or usual_paper(verdict.habit.inches)
    if (paper or usual) not in PAPERS:
        raise InputError(f"the paper is {' or '.join(PAPERS)}, not {paper!r}")
    return day_sheets(day_sheet(day, needs, plan), cards, paper or usual)


def results_pdf(contest: Contest, results: "Results", paper: str = "a4") -> bytes:
    """Return the results of a contest as a sheet to print."""
    from bottlewright.logbook.cards import printed, results_sheet

    rows = [{
        "place": str(one.placed.place or "–"), "team": one.team, "members": ", ".join(one.members),
        "rocket": one.rocket, "why": one.placed.why, "near": said_near(one), "score": said_score(results.rule, one),
        "flights": [said_flight(results.rule, row) for row in one.flights],
    } for one in results.standings]  # fmt: skip
    notes = [f"Launches of no team: {', '.join(results.nobodys)}."] if results.nobodys else []
    if results.rule.apart and any(one.placed.near for one in results.standings):
        least = f"{results.rule.apart:g} times the ± of their difference"
        notes.append(f"Two scores that differ by less than {least} can't be told apart: a tie.")
    sheet = results_sheet(contest.day, results.rule.name, results.rule.says, results.rounds, rows, notes)
    return printed({"results": sheet}, paper, f"Results of {contest.day}")


def said_flight(rule: "Rule", row: "Row") -> str:
    """Return what one launch shows by a rule: what it measures, or why it does not count."""
    flown = row.flown
    if not flown.counts:
        return "does not count"
    pairs = {"height": (flown.height, "m"), "away": (flown.away, "m")}
    wanted = [pairs.get(rule.measure or "", (flown.time, "s"))] if rule.measure else [
        (flown.height, "m"), (flown.time, "s")]  # fmt: skip
    said = [f"{value[0]:.1f} {unit}" for value, unit in wanted if value is not None]
    egg = f", egg {flown.egg}" if rule.needs and flown.egg else ""
    return (", ".join(said) or "not measured") + egg
