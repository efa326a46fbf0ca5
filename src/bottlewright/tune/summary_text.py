"""Say in plain words what to load and why, so that a teacher can repeat it to a class."""

import math
from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.formatting import format_value
from bottlewright.design.paths import value_at
from bottlewright.findings import Finding, Level, Stage
from bottlewright.quantities import Basis, show
from bottlewright.tune.advice import Advice

__all__ = ["explanation", "findings_of", "load_words", "no_load_cures", "share_words"]

_LESS = {
    "water": "the water is gone before the air has spent its push, and the rest of the air blows off at little thrust",
    "pressure": "the air pushes the water out more slowly",
    "bore": "the push is weaker and lasts longer, so more of it goes into holding the rocket up",
    "ballast": "a rocket that is too light is stopped by the air sooner",
    "fin span": "smaller fins drag less but hold the nose in front less firmly",
}
_MORE = {
    "water": "there is more weight to lift, and less room for the air that has to throw it",
    "pressure": "the air throws the water out faster",
    "bore": "the push is stronger but over sooner, and the faster rocket meets more drag",
    "ballast": "it carries its speed further once the push is over, but there is more to lift",
    "fin span": "larger fins drag and weigh more",
}


def share_words(reach: float) -> str:
    """Return a share of flights in words."""
    named = {0.5: "the middle flight", 0.75: "three flights in four", 0.8: "eight flights in ten",
             0.9: "nine flights in ten", 0.95: "nineteen flights in twenty"}  # fmt: skip
    return named.get(round(reach, 4), f"{reach * 100:.3g} % of flights")


def load_words(advice: Advice, present: bool = False) -> str:
    """Return the recommended or present values in a row."""
    point = advice.present if present else advice.point
    pairs = zip(advice.variables, point, strict=True)
    return ", ".join(f"{variable.shown(value)} of {variable.name}" for variable, value in pairs)


def explanation(advice: Advice, design: Design) -> list[str]:
    """Return the answer in short paragraphs: what to do, what it brings, what holds it back, what to measure."""
    return [
        " ".join([*_first(advice), _do(advice), _brings(advice)]),
        " ".join([*_holds(advice), *_why(advice)]),
        _next(advice, design),
    ]


def no_load_cures(advice: Advice) -> str:
    """Return what no load cures, in words; empty where there is nothing of the kind."""
    return f"No load cures {' and '.join(f'the {name}' for name in advice.unmet)}" if advice.unmet else ""


def _first(advice: Advice) -> Iterator[str]:
    if advice.ceiling.rating <= 0.0:
        yield "This bottle has failed a test: nothing is loaded into it. What follows is for a fresh one in its place."
    if advice.unmet:
        yield (f"{no_load_cures(advice)}: put that right first, or allow `tune` to change more. Until then what "
               "follows is for comparing only, not for flying.")


def _do(advice: Advice) -> str:
    if _same(advice):
        return f"Leave the load as it is: {load_words(advice)}."
    return f"{_verb(advice)} {load_words(advice)}, instead of {load_words(advice, present=True)}."


def _verb(advice: Advice) -> str:
    return "Load" if {variable.name for variable in advice.variables} <= {"water", "pressure"} else "Take"


def _same(advice: Advice) -> bool:
    spans = [variable.high - variable.low for variable in advice.variables]
    return all(abs(a - b) < 0.01 * span for a, b, span in zip(advice.point, advice.present, spans, strict=True))


def _brings(advice: Advice) -> str:
    aim = advice.aim
    high, was = advice.height, advice.present_height
    if aim.name == "least pressure":
        return (
            f"{share_words(aim.reach).capitalize()} then pass {show(aim.wanted, 'm')} on {-advice.worth:.2f} bar; the "
            f"present load takes {-advice.present_worth:.2f} bar and its middle flight goes {show(was.middle, 'm')}."
        )
    if aim.name == "nearest height":
        return (
            f"{share_words(aim.reach).capitalize()} then come within {show(-advice.worth, 'm', 2)} of "
            f"{show(aim.wanted, 'm')}; with the present load within {show(-advice.present_worth, 'm', 2)}."
        )
    if aim.name == "hang time":
        now, before, unit, verb = advice.hang, advice.present_hang, "s", "stay up"
    else:
        now, before, unit, verb = high, was, "m", "pass"
    gain, low, top = advice.gain
    between = f" (the mean is between {low:+.1f} and {top:+.1f} {unit})" if top - low >= 0.1 else ""
    return (
        f"{share_words(aim.reach).capitalize()} then {verb} {show(advice.worth, unit)}, and the middle one comes to "
        f"{show(now.middle, unit)}; with the present load it is {show(advice.present_worth, unit)} and "
        f"{show(before.middle, unit)}. Flight for flight, in the same wind and with the same luck, that is "
        f"{gain:+.1f} {unit}{between}{_outside(advice, gain)}."
    )


def _outside(advice: Advice, gain: float) -> str:
    """Say which limits the present load passes; a loss is the price of keeping to them."""
    broken = [f"the {name}" for name, slack in advice.present_slacks.items() if slack < 0.0]
    broken += ["the pressure" for _ in _over(advice)]
    if not broken:
        return ""
    limits = f"the limit{'s' if len(broken) > 1 else ''} of {' and '.join(broken)}"
    if gain < 0.0:
        return f": the price of keeping to {limits}, which the present load does not"
    return f". But the present load does not keep to {limits}"


def _holds(advice: Advice) -> Iterator[str]:
    for name, slack in advice.slacks.items():
        if slack < 0.0:
            yield f"By many flights it still misses the {name} by {-slack * 100:.0f} %: stay further inside."
    if advice.aim.name == "least pressure":
        yield f"The wanted height holds the pressure up: on less, fewer flights pass {show(advice.aim.wanted, 'm')}."
    if advice.holding:
        yield f"What holds it back: {'; '.join(advice.holding)}."
    elif advice.aim.name != "least pressure":
        yield "No limit holds it back: no other load that was tried does better."


def _why(advice: Advice) -> Iterator[str]:
    unit = "s" if advice.aim.name == "hang time" else "m"
    for variable in advice.variables:
        pair = advice.steps[variable.name]
        for (step, past), words, reasons in zip(pair, ("less", "more"), (_LESS, _MORE), strict=True):
            if abs(step) < 0.05 or not math.isfinite(step):
                continue
            if advice.aim.name == "nearest height":
                way = "further from it" if step < 0.0 else "nearer to it"
                yield f"A fifth {words} {variable.name} brings the flights {abs(step):.1f} m {way}."
            elif step < 0.0:
                yield f"A fifth {words} {variable.name} costs {-step:.1f} {unit}: {reasons[variable.name]}."
            elif advice.aim.name == "least pressure":
                yield f"A fifth {words} {variable.name} brings {step:.1f} {unit} more."
            elif past:
                yield f"A fifth {words} {variable.name} would bring {step:.1f} {unit}, but passes {' and '.join(past)}."
            else:
                yield f"A fifth {words} {variable.name} would bring {step:.1f} {unit}: try another tune.seed."


def _next(advice: Advice, design: Design) -> str:
    leading = advice.sources.sources[:2]
    spread = advice.hang if advice.aim.name == "hang time" else advice.height
    unit = "s" if advice.aim.name == "hang time" else "m"
    span = f"Eight flights in ten lie between {show(spread.low, unit)} and {show(spread.high, unit)}."
    if not leading:
        return f"{span} The design states no ± at all, so nobody can say what makes the spread: write them in."
    parts = [
        f"{source.path} ({format_value(design, source.path, value_at(design, source.path))}) makes about "
        f"{source.total * 100:.0f} % of that spread (between {source.low * 100:.0f} and {source.high * 100:.0f} %)"
        for source in leading
    ]
    first = leading[0].path
    what = "the time in the air" if unit == "s" else "the height"
    return f"{span} {' and '.join(parts)}. To know {what} better, start with {first}: {_measure(design, first)}."


def _measure(design: Design, path: str) -> str:
    if path.startswith("model."):
        return "an altimeter on a few flights narrows it down"
    measured = getattr(value_at(design, path), "basis", None) is Basis.MEASURED
    return "measure it again, more closely" if measured else "nobody has measured it yet"


def findings_of(advice: Advice) -> list[Finding]:
    """Return what Tune has to warn of."""
    return [*_failed(advice), *_over(advice), *_unmet(advice), *_broken(advice)]


def _failed(advice: Advice) -> Iterator[Finding]:
    if advice.ceiling.rating <= 0.0:
        yield Finding(
            Level.STOP, Stage.TUNE, "failed-vessel",
            hazard="This bottle has failed a test: nothing is loaded into it.",
            found="a failed test in vessel.proof, or a wall that has stretched for good",
            limit="0 bar",
            source="see the findings of Prove",
            remedy="Retire it; what is recommended here is for the fresh bottle that takes its place",
        )  # fmt: skip


def _over(advice: Advice) -> Iterator[Finding]:
    for variable, value in zip(advice.variables, advice.present, strict=True):
        ceiling = advice.ceiling
        if variable.name != "pressure" or value <= ceiling.pressure * 1.001 or ceiling.rating <= 0.0:
            continue
        over = value > ceiling.rating * 1.001
        yield Finding(
            Level.STOP if over else Level.LOOK, Stage.TUNE, "present-pressure-over-limit",
            hazard="A bottle above its rating can burst." if over
            else "The design asks for more pressure than Tune may propose.",
            found=f"the design asks for {show(value, 'bar')} gauge",
            limit=f"{show(ceiling.pressure, 'bar')} gauge",
            source=ceiling.basis,
            remedy=f"Load {show(ceiling.pressure, 'bar')} at most",
        )  # fmt: skip


def _unmet(advice: Advice) -> Iterator[Finding]:
    varied = {variable.name for variable in advice.variables}
    curing = {"ballast": '"ballast"', "fin span": '"fin span" (where there are fins)'}
    others = [format_value for name, format_value in curing.items() if name not in varied]
    for held in advice.unmet_limits:
        yield Finding(
            Level.LOOK, Stage.TUNE, "no-load-cures-it",
            hazard=f"The {held.name} stays outside its limit whatever is loaded.",
            found=f"no trial within the bounds of {', '.join(v.name for v in advice.variables)} keeps to it",
            limit=held.says,
            source=held.source,
            remedy="Change the rocket or the site: " + (f"let tune.vary have {' and '.join(others)} too" if others
                                                        else "larger fins, further back, more weight ahead"),
        )  # fmt: skip


def _broken(advice: Advice) -> Iterator[Finding]:
    says = {held.name: held for held in advice.held}
    for name, slack in advice.present_slacks.items():
        if slack < 0.0 and name in says:
            yield Finding(
                Level.LOOK, Stage.TUNE, "present-load-outside-limit",
                hazard=f"The present load does not keep to the limit of {name}.",
                found="more flights leave it than you accept" if "field" in name
                else f"one flight in ten misses the limit by {-slack * 100:.0f} % or more",
                limit=says[name].says,
                source=says[name].source,
                remedy=f"{_verb(advice)} {load_words(advice)}",
            )  # fmt: skip
