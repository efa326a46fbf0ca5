"""Make the verdict: gather what every package found of a design, and take each number from its owner."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from bottlewright.design.digest import design_digest
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.unit_habit import unit_habit
from bottlewright.field.findings import site_findings
from bottlewright.field.numbers import FieldNumbers, speed_given, stored, wind_given
from bottlewright.field.people import people_rule
from bottlewright.field.site import FieldSite, field_site
from bottlewright.field.wind_heights import growth_of
from bottlewright.field.wind_held import coming_of
from bottlewright.findings import Finding, Level, by_urgency
from bottlewright.flight.fly import Flight, fly
from bottlewright.flight.results import findings_of
from bottlewright.make.findings import about_glues
from bottlewright.make.inputs import risk_findings
from bottlewright.proof.judged_day import days_past
from bottlewright.proof.prove import ProofReport, prove
from bottlewright.proof.vessel import need
from bottlewright.verdict.verdict import Load, PeopleDistances, Verdict

__all__ = ["judge", "judge_alone", "wind_unknown"]

NOT_SEEN = (
    "the program has not seen the bottle, the launcher, the field or the sky: the responsible adult looks at each "
    "of them on the day, and local rules come first"
)
"""What no calculation can check, said with every verdict."""

NO_WIND = "the wind: none is given, so still air with the usual spread was assumed; measure it"
NO_DIRECTION = "the wind: the file says how strong it is and not where from, so west was assumed; look at it"

NO_LANDINGS = (
    "where the rocket comes down: nobody has worked out Field (the command `scatter`) for this very design and weather"
)


def judge_alone(
    design: Design,
    folder: Path = Path(),
    *,
    proof: ProofReport | None = None,
    flight: Flight | None = None,
    field: FieldNumbers | None = None,
    more: Iterable[Finding] = (),
    flies: bool = True,
) -> Verdict:
    """Judge one completed design by everything that can be known of it within a second.

    Parameters
    ----------
    folder
        Where the design file lies, and its map beside it.
    proof, flight
        Where they have been worked out already.
    field
        What the landings say; the stored numbers of this very design when left out.
    more
        What else was found, such as by Tune or Make.
    flies
        False for a bottle on a thrust stand, which is no rocket.
    """
    proof = proof or prove(design)
    findings = [*design.reading_notes, *proof.findings, *about_glues(design), *risk_findings(design, folder), *more]
    unchecked: list[str] = []
    if flies:
        findings += findings_of(design, flight or fly(design))
        site = _site(design, folder, unchecked)
        field = field or stored(design, folder)
        if site is not None:
            findings += site_findings(site, unit_habit(design))
    else:
        unchecked.append("whether it flies straight and where it comes down: this is a firing on a stand")
    return judge(design, findings, proof, field, unchecked)


def _site(design: Design, folder: Path, unchecked: list[str]) -> FieldSite | None:
    try:
        return field_site(design.site, folder)
    except DesignError as error:
        unchecked.append(f"the field: {error.problems[0]}")
        return None


def judge(
    design: Design,
    findings: Iterable[Finding],
    proof: ProofReport,
    field: FieldNumbers | None = None,
    unchecked: Iterable[str] = (),
) -> Verdict:
    """Make the verdict of a completed design from what the packages found.

    Parameters
    ----------
    findings
        Of all packages but `field`'s own, which `field` brings along.
    field
        What the landings of this very design say; None where they were not worked out.
    """
    retired = proof.allowed.retired
    ordered = _once(by_urgency(dict.fromkeys([*findings, *(field.findings if field else ())])), retired)
    unknown = [f"{one.hazard[:1].lower()}{one.hazard[1:]}: {one.found}"
               for one in ordered if one.level is Level.UNCHECKED]
    return Verdict(
        name=design.name,
        digest=design_digest(design),
        allowed=proof.allowed,
        distances=_distances(design, proof, field),
        wind_limits=field.wind_limits if field else None,
        proof_gauge_Pa=None if retired else proof.plan.proof_gauge_Pa,
        planned=Load(need(design.charge.water), need(design.charge.pressure)),
        findings=tuple(ordered),
        unchecked=(*unchecked, *unknown, *_not_known(design, field), NOT_SEEN),
        habit=unit_habit(design),
        coming=_coming(design),
        growth=growth_of(design.weather),
    )


def _not_known(design: Design, field: FieldNumbers | None) -> Iterator[str]:
    if not wind_given(design):
        yield _unsaid(design)
    if field is None:
        yield NO_LANDINGS
    elif days_past(design):
        yield _wind_gone(design)


def wind_unknown(design: Design) -> str:
    """Return why nobody knows today's wind, as it stands among what was not checked; empty where the file gives it."""
    return _unsaid(design) if not wind_given(design) else _wind_gone(design) if days_past(design) else ""


def _unsaid(design: Design) -> str:
    return NO_DIRECTION if speed_given(design) else NO_WIND


def _wind_gone(design: Design) -> str:
    return (f"the wind: {_gone_by(design)}; measure it, write it and the new charge.day, and work "
            "out Field (the command `scatter`) again")


def _gone_by(design: Design) -> str:
    """Say that landings were worked out for a day that is gone: they hold for its wind, and for no other day's."""
    return f"landings and wind limits were worked out for {design.charge.day}, and that day has passed"


def _coming(design: Design) -> tuple[float, float] | None:
    """Return where the file has the wind from, and its swing; None where it doesn't say, or its day has passed."""
    coming = design.weather.wind_from
    if not wind_given(design) or coming is None or days_past(design):
        return None
    return coming_of(coming.value, coming.spread)


def _once(findings: list[Finding], retired: bool) -> list[Finding]:
    """Leave out what Tune says again of a pressure or a bottle that Prove stops, so that every command counts alike."""
    over = any(one.code == "over-rated-pressure" and one.level is Level.STOP for one in findings)
    again = {code for code, said in (("present-pressure-over-limit", over), ("failed-vessel", retired)) if said}
    return [one for one in findings if one.code not in again]


def _distances(design: Design, proof: ProofReport, field: FieldNumbers | None) -> PeopleDistances:
    """Return the larger of rule and landings for each person; without landings only what the rule asks, in words."""
    pumper, operator = proof.distances.pumper.asks_m, proof.distances.operator.asks_m
    past = f"; {_gone_by(design)}" if days_past(design) else ""
    spectators = max(proof.distances.spectators.asks_m, people_rule().value or 0.0)
    planned = {f"planned_{role}_m": getattr(proof.distances, role).planned_m
               for role in ("pumper", "operator", "spectators")}  # fmt: skip
    if field is None:
        far, near = proof.habit.stand_back(spectators), proof.habit.stand_back(max(pumper, operator))
        because = (f"spectators at least {far}, whoever pumps or pulls the cord at least {near}, by rule; "
                   "landings not worked out")
        return PeopleDistances(None, None, None, pumper, operator, spectators, because, **planned)
    sectors = tuple(
        sector if sector.distance_m >= spectators else sector._replace(distance_m=spectators)
        for sector in field.spectators
    )
    return PeopleDistances(
        _larger(pumper, field.pumper_m), _larger(operator, field.operator_m), sectors, pumper, operator, spectators,
        field.because + past,
        pumper_bearing_deg=field.pumper_bearing_deg, operator_bearing_deg=field.operator_bearing_deg,
        spectators_bearing_deg=field.spectators_bearing_deg,
        pumper_settled=field.pumper_settled, operator_settled=field.operator_settled, **planned,
    )


def _larger(rule: float, landings: float | None) -> float | None:
    """Return the larger distance, m; None where no place will do."""
    return None if landings is None else max(rule, landings)
