"""The Tune chapter of the report."""

from bottlewright.design.document import Design
from bottlewright.design.unit_text import at_most, percent
from bottlewright.findings import Stage
from bottlewright.quantities import show
from bottlewright.report.html import (
    Chapter,
    Number,
    Section,
    fold,
    headline,
    on_screen,
    pair,
    place,
    prose,
    state_of,
    table,
)
from bottlewright.report.style import Picture
from bottlewright.tune.advice import Advice
from bottlewright.tune.mapping import front
from bottlewright.tune.pictures import front_chart, response_chart, sources_chart
from bottlewright.tune.results import advice_document
from bottlewright.tune.summary_text import (
    explanation,
    findings_of,
    no_load_cures,
    order,
    recommended_value,
    share_words,
)

__all__ = ["load_of", "tune_chapter", "tune_pictures"]


NO_FRONT = (
    "There is no table here. A few flights looked, at every pressure of the map, for the water that goes highest. "
    "{why}, so we can name no best height at any pressure"
)
"""In the place of the table and its picture."""
NONE_INSIDE = "At no pressure did they find water that keeps to all limits"
NONE_KEPT = "Then we flew each of those loads many times. Each passed a limit in too many of its flights"


def tune_chapter(design: Design, advice: Advice) -> Chapter:
    """Return what to load and why: the answer in words, the map, the front, what to measure next."""
    findings = findings_of(advice)
    document = advice_document(design, advice)
    return Chapter(
        Section(
            Stage.TUNE, _title(advice), state_of(findings, Stage.TUNE), _html(design, advice),
            tune_pictures(design, advice),
        ),
        findings=findings,
        results={key: value for key, value in document.items() if key not in ("name", "findings")},
    )  # fmt: skip


def _title(advice: Advice) -> str:
    if advice.ceiling.rating <= 0.0:
        return "This bottle is finished: load nothing into it"
    test = advice.ceiling.first_test
    first = f"First a water test at {advice.habit.pressure(test)}. " if test is not None else ""
    return no_load_cures(advice) or f"{first}{order(advice)}"


def _html(design: Design, advice: Advice) -> str:
    share = share_words(advice.aim.reach)
    habit = advice.habit
    high, was_high = (habit.distance(spread.middle) for spread in (advice.height, advice.present_height))
    long, was_long = (show(spread.middle, "s") for spread in (advice.hang, advice.present_hang))
    numbers = [
        Number("height", high, f"middle flight; {was_high} with the present load"),
        Number("in the air", long, f"middle flight; {was_long} with the present load"),
    ]
    rows = [
        (each.name, each.text(before), recommended_value(advice, each, value), f"{each.text(each.low)} to "
                                                                               f"{each.text(each.high)}")
        for each, before, value in zip(advice.variables, advice.present, advice.point, strict=True)
    ]
    heads = ("Pressure", "Best water", f"Height, {share}")
    points = [(habit.pressure(p.pressure), show(p.water, "mL"), habit.distance(p.height)) for p in advice.front]
    return "".join(
        (
            headline(numbers),
            prose(*explanation(advice, design)),
            table(("", "Present", "Recommended", "Tried"), rows),
            pair(place("response"), place("sources")),
            fold("The best height at each pressure",
                 on_screen(place("front")) + table(heads, points) if points else prose(_no_front(advice))),
            fold("How this was worked out", prose(_method(advice))),
        )
    )


def _no_front(advice: Advice) -> str:
    """Say why no load of the map stands in the table."""
    return f"{NO_FRONT.format(why=NONE_KEPT if front(advice.map) else NONE_INSIDE)}."


def _method(advice: Advice) -> str:
    limits = "; ".join(f"{held.name} ({held.says})" for held in advice.held)
    return (
        f"We computed {advice.flown} flights. Every trial flew the same sample of flights, with a draw of every ± "
        "of the "
        "design for each of them, so two trials differ by their load alone. We chose a trial outside a limit only "
        "where "
        f"nothing lay inside. These are the limits: {limits}. The pressure may not pass "
        f"{at_most(advice.habit, advice.ceiling.pressure)} on the gauge, for {advice.ceiling.basis}. A draw past what "
        "can be counts as the nearest that can. Of a share that is 0 ± something, such as model.breakthrough (the air "
        "that slips out through the water), half the draws are 0. That is one reason why the middle flight is not the "
        "single flight of Fly."
    )


def tune_pictures(design: Design, advice: Advice) -> list[Picture]:
    """Return the map of water and pressure, the front, and the sources of the spread."""
    share = share_words(advice.aim.reach)
    present = load_of(design, advice, recommended=False)
    best = load_of(design, advice, recommended=True)
    title = f"Height that {share} {'passes' if share.startswith('the ') else 'pass'}"
    outside = bool(advice.unmet) or present[1] > 1.001 * advice.ceiling.pressure
    outside |= any(slack < 0.0 for slack in advice.present_slacks.values())
    height = advice.present_height.middle if advice.aim.reach == 0.5 else advice.present_height.low
    habit = advice.habit
    best_heights = "; ".join(f"{habit.distance(p.height)} at {habit.pressure(p.pressure)}" for p in advice.front)
    pictures = [
        Picture(
            "response", f"{title}, over water and pressure. The hatched ground lies beyond a limit.",
            f"Contour map of height. Present load {show(present[0], 'mL')} at {habit.pressure(present[1])}, "
            "recommended "
            f"{show(best[0], 'mL')} at {at_most(habit, best[1])}.",
            lambda width: response_chart(
                advice.map, present, best, title, habit, advice.ceiling.pressure, outside, width
            ).sheet,
        ),
        Picture(
            "front", "The best height at each pressure, with the water it takes, inside all limits.",
            best_heights or _no_front(advice),
            lambda width: front_chart(advice.front, (present[1], height), share, habit, outside, width),
        ),
    ]  # fmt: skip
    if advice.sources.sources:
        shares = "; ".join(
            f"{source.path} {percent(source.total)} ({percent(source.low)} to {percent(source.high)})"
            for source in advice.sources.sources
        )
        caption = (
            "How much of the spread each uncertain value makes (its total Sobol index: the share that would go if "
            "it were "
            f"known exactly). Measure the longest bar next. The thin line is the {percent(0.95)} interval; where lines "
            "overlap, nobody can say which bar is longer."
        )
        pictures.append(
            Picture("sources", caption, shares, lambda width: sources_chart(advice.sources, width))
        )
    return pictures


def load_of(design: Design, advice: Advice, recommended: bool) -> tuple[float, float]:
    """Return water and pressure of the present or the recommended load."""
    charge = design.charge
    water, pressure = (0.0 if value is None else value.value for value in (charge.water, charge.pressure))
    if not recommended:
        return water, pressure
    chosen = {variable.name: float(value) for variable, value in zip(advice.variables, advice.point, strict=True)}
    return chosen.get("water", water), chosen.get("pressure", pressure)
