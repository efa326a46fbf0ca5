"""The Tune chapter of the report."""

from bottlewright.design.document import Design
from bottlewright.findings import Stage
from bottlewright.quantities import show
from bottlewright.report.html import Chapter, Number, Section, fold, headline, place, prose, state_of, table
from bottlewright.report.style import Picture
from bottlewright.tune.advice import Advice
from bottlewright.tune.pictures import front_chart, response_chart, sources_chart
from bottlewright.tune.results import advice_document
from bottlewright.tune.summary_text import explanation, findings_of, load_words, no_load_cures, share_words

__all__ = ["tune_chapter", "tune_pictures"]


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
        return "This bottle has failed a test: load it with nothing"
    return no_load_cures(advice) or f"Load {load_words(advice)}"


def _html(design: Design, advice: Advice) -> str:
    share = share_words(advice.aim.reach)
    high, was_high = (show(spread.middle, "m") for spread in (advice.height, advice.present_height))
    long, was_long = (show(spread.middle, "s") for spread in (advice.hang, advice.present_hang))
    numbers = [
        Number("height", high, f"middle flight; {was_high} with the present load"),
        Number("in the air", long, f"middle flight; {was_long} with the present load"),
    ]
    rows = [
        (each.name, each.shown(before), each.shown(value), f"{each.shown(each.low)} to {each.shown(each.high)}")
        for each, before, value in zip(advice.variables, advice.present, advice.point, strict=True)
    ]
    heads = ("Pressure", "Best water", f"Height, {share}")
    points = [(show(p.pressure, "bar"), show(p.water, "mL"), show(p.height, "m")) for p in advice.front]
    return "".join(
        (
            headline(numbers),
            prose(*explanation(advice, design)),
            table(("", "Present", "Recommended", "Tried"), rows),
            place("response"),
            place("sources"),
            fold("The best height at each pressure", place("front") + table(heads, points)),
            fold("How this was worked out", prose(_method(advice))),
        )
    )


def _method(advice: Advice) -> str:
    limits = "; ".join(f"{held.name} ({held.says})" for held in advice.held)
    return (
        f"{advice.flown} flights were computed. Every trial flew the same sample of flights, every ± of the design "
        "drawn for each flight of it, so that two trials differ by their load alone. A trial outside a limit is "
        f"chosen only where nothing lies inside: {limits}. The pressure may not pass "
        f"{show(advice.ceiling.pressure, 'bar')} gauge: {advice.ceiling.basis}. A draw past what can be counts "
        "as the nearest that can: of a share that is 0 ± something, such as model.breakthrough, half the draws are 0. "
        "That is one reason why the middle flight is not the single flight of Fly."
    )


def tune_pictures(design: Design, advice: Advice) -> list[Picture]:
    """Return the map of water and pressure, the front, and the sources of the spread."""
    share = share_words(advice.aim.reach)
    present = _load(design, advice, recommended=False)
    best = _load(design, advice, recommended=True)
    title = f"Height that {share} {'passes' if share.startswith('the ') else 'pass'}"
    outside = bool(advice.unmet) or present[1] > 1.001 * advice.ceiling.pressure
    outside |= any(slack < 0.0 for slack in advice.present_slacks.values())
    height = advice.present_height.middle if advice.aim.reach == 0.5 else advice.present_height.low
    shown = "; ".join(f"{show(p.pressure, 'bar')}: {show(p.height, 'm')}" for p in advice.front)
    pictures = [
        Picture(
            "response", f"{title}, over water and pressure. The hatched ground lies beyond a limit.",
            f"Contour map of height. Present load {present[0] * 1e6:.0f} mL at {present[1] / 1e5:.2f} bar, recommended "
            f"{best[0] * 1e6:.0f} mL at {best[1] / 1e5:.2f} bar.",
            response_chart(advice.map, present, best, title, advice.ceiling.pressure, outside),
        ),
        Picture(
            "front", "The best height at each pressure, with the water it takes, inside all limits.",
            shown or "No load keeps to the limits.",
            front_chart(advice.front, (present[1], height), share, outside),
        ),
    ]  # fmt: skip
    if advice.sources.sources:
        shown = "; ".join(
            f"{source.path} {source.total * 100:.0f} % ({source.low * 100:.0f} to {source.high * 100:.0f} %)"
            for source in advice.sources.sources
        )
        caption = "Which uncertain value makes the spread (total Sobol index, thin line: 95 % interval): "
        caption += "measure the longest bar next; bars whose lines overlap are not told apart."
        pictures.append(Picture("sources", caption, shown, sources_chart(advice.sources)))
    return pictures


def _load(design: Design, advice: Advice, recommended: bool) -> tuple[float, float]:
    """Return water and pressure of the present or the recommended load."""
    charge = design.charge
    water, pressure = (0.0 if value is None else value.value for value in (charge.water, charge.pressure))
    if not recommended:
        return water, pressure
    chosen = {variable.name: float(value) for variable, value in zip(advice.variables, advice.point, strict=True)}
    return chosen.get("water", water), chosen.get("pressure", pressure)
