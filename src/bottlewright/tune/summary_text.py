"""Say in plain words what to load and why, so that a teacher can repeat it to a class."""

import math
from collections.abc import Iterator

from bottlewright.design.document import Design
from bottlewright.design.formatting import format_value
from bottlewright.design.paths import value_at
from bottlewright.design.unit_text import at_most, in_own_units, percent
from bottlewright.findings import Finding, Level, Stage
from bottlewright.physics.air import G0
from bottlewright.quantities import Basis, show
from bottlewright.tune.advice import Advice
from bottlewright.tune.reach import OutOfReach
from bottlewright.tune.variables import Variable

__all__ = ["explanation", "findings_of", "load_words", "no_load_cures", "order", "recommended_value", "share_words"]

_LESS = {
    "water": "the water is gone before the air has spent its push, and the rest of the air blows off at little thrust",
    "pressure": "the air pushes the water out more slowly",
    "bore": "the push is weaker and lasts longer, so more of it goes into holding the rocket up",
    "ballast": "the air stops a rocket that is too light sooner",
    "fin span": "smaller fins keep the nose in front less firmly",
}
_MORE = {
    "water": "there is more weight to lift, and less room for the air that has to throw it",
    "pressure": "the faster it goes, the more the air holds it back",
    "bore": "the push is stronger but over sooner, and the air holds the faster rocket back more",
    "ballast": "there is more to lift than what it carries further makes up for",
    "fin span": "larger fins weigh more and the air holds them back more",
}


def share_words(reach: float) -> str:
    """Return a share of flights in words."""
    named = {0.5: "the middle flight", 0.75: "three flights in four", 0.8: "eight flights in ten",
             0.9: "nine flights in ten", 0.95: "nineteen flights in twenty"}  # fmt: skip
    return named.get(round(reach, 4), f"{percent(reach)} of flights")


def load_words(advice: Advice, present: bool = False) -> str:
    """Return the recommended or present values in a row."""
    point = advice.present if present else advice.point
    texts = [variable.text(value) if present else recommended_value(advice, variable, value)
             for variable, value in zip(advice.variables, point, strict=True)]
    *most, last = [f"{text} of {variable.name}" for text, variable in zip(texts, advice.variables, strict=True)]
    return f"{', '.join(most)} and {last}" if most else last


def recommended_value(advice: Advice, variable: Variable, value: float) -> str:
    """Write a value to load; a pressure is never rounded up past the highest allowed."""
    return at_most(advice.habit, value) if variable.name == "pressure" else variable.text(value)


def explanation(advice: Advice, design: Design) -> list[str]:
    """Return the answer in short paragraphs: what to do, what it brings, what holds it back, what to measure."""
    return [
        " ".join([*_first(advice), _do(advice), _brings(advice), _felt(advice)]),
        *_holds(advice),
        *filter(None, [" ".join(_why(advice))]),
        _next(advice, design),
    ]


def no_load_cures(advice: Advice) -> str:
    """Return what no load cures, in words; empty where there is nothing of the kind."""
    return f"No load cures {' and '.join(f'the {name}' for name in advice.unmet)}" if advice.unmet else ""


def _first(advice: Advice) -> Iterator[str]:
    test = advice.ceiling.first_test
    passed = "" if test is None else f"passed a water test at {advice.habit.pressure(test)}"
    if advice.ceiling.rating <= 0.0:
        yield "This bottle is finished, so load nothing into it. What follows is for a fresh one in its place" + (
            f", once that has {passed}." if passed else ".")
    elif passed:
        yield f"Load nothing yet: this bottle has not {passed}. What follows is for after that test."
    if advice.unmet:
        yield (f"{no_load_cures(advice)}. Put that right first, or allow `tune` to change more. Until then what "
               "follows "
               "is for comparing only, not for flying.")
        for beyond in advice.out_of_reach:
            yield (f"Out of reach: the {beyond.held.name} ({beyond.held.says}). The nearest load, {beyond.at}, comes "
                   f"to {beyond.nearest}. {_reaching(beyond)}.")


def _do(advice: Advice) -> str:
    if _same(advice):
        return f"{_then(advice, 'leave')} the load as it is: {load_words(advice)}."
    return f"{order(advice)}, instead of {load_words(advice, present=True)}."


def order(advice: Advice) -> str:
    """Return the load as an order; before the bottle's own water test that comes first."""
    verb = "load" if {variable.name for variable in advice.variables} <= {"water", "pressure"} else "take"
    return f"{_then(advice, verb)} {load_words(advice)}"


def more_pressure(advice: Advice) -> str:
    """Say that a recommended load has more pressure than the present one; empty where it has not."""
    for variable, before, value in zip(advice.variables, advice.present, advice.point, strict=True):
        if variable.name == "pressure" and value > before * (1.0 + 1e-6):
            return (f"It raises the pressure: {variable.text(before)} → {recommended_value(advice, variable, value)}; "
                    f"never over {at_most(advice.habit, advice.ceiling.rating)}")
    return ""


def _then(advice: Advice, verb: str) -> str:
    return verb.capitalize() if advice.ceiling.first_test is None else f"After its water test {verb}"


def _same(advice: Advice) -> bool:
    spans = [variable.high - variable.low for variable in advice.variables]
    return all(abs(a - b) < 0.01 * span for a, b, span in zip(advice.point, advice.present, spans, strict=True))


def _brings(advice: Advice) -> str:
    aim, habit = advice.aim, advice.habit
    high, was = advice.height, advice.present_height
    if aim.name == "least pressure":
        return (
            f"{share_words(aim.reach).capitalize()} then pass {habit.distance(aim.wanted)} on "
            f"{habit.pressure(-advice.worth * 1e5)}. The present load takes "
            f"{habit.pressure(-advice.present_worth * 1e5)}, and its middle flight reaches "
            f"{habit.distance(was.middle)}."
        )
    if aim.name == "nearest height":
        return (
            f"{share_words(aim.reach).capitalize()} then come within {habit.distance(-advice.worth, 2)} of "
            f"{habit.distance(aim.wanted)}; with the present load they come within "
            f"{habit.distance(-advice.present_worth, 2)}."
        )
    if aim.name == "hang time":
        now, before, verb = advice.hang, advice.present_hang, "stay up"
    else:
        now, before, verb = high, was, "pass"
    gain, low, top = advice.gain
    ends = sorted((abs(low), abs(top)))
    sure = top - low < 0.1 or low * top < 0.0
    between = "" if sure else f" (the mean is between {_amount(advice, ends[0])} and {_amount(advice, ends[1])})"
    digits = 2 if sure else 3
    return (
        f"{share_words(aim.reach).capitalize()} then {verb} {_amount(advice, advice.worth)}, and the middle one comes "
        f"to {_amount(advice, now.middle)}. With the present load it is {_amount(advice, advice.present_worth)} and "
        f"{_amount(advice, before.middle)}. Flight for flight, in the same wind and with the same luck, you "
        f"{'gain' if gain >= 0.0 else 'lose'} {_amount(advice, abs(gain), digits)}{between}{_outside(advice, gain)}."
    )


def _felt(advice: Advice) -> str:
    """Say what the payload goes through in nine flights of ten."""
    return f"A payload then feels up to {advice.felt.high / G0:.0f} times gravity in nine flights in ten."


def _amount(advice: Advice, value: float, digits: int = 3) -> str:
    """Write a height, or a time in the air where that is aimed at."""
    return show(value, "s", digits) if advice.aim.name == "hang time" else advice.habit.distance(value, digits)


def _outside(advice: Advice, gain: float) -> str:
    """Say which limits the present load passes; a loss is the price of keeping to them."""
    broken = [f"the {name}" for name, slack in advice.present_slacks.items() if slack < 0.0]
    broken += ["the pressure" for _ in _over(advice)]
    if not broken:
        return ""
    limits = f"the limit{'s' if len(broken) > 1 else ''} of {' and '.join(broken)}"
    if gain < 0.0:
        them = "them" if len(broken) > 1 else "it"
        return f". That is the price of keeping to {limits}: the present load does not keep to {them}"
    return f". But the present load does not keep to {limits}"


def _holds(advice: Advice) -> Iterator[str]:
    for name, slack in advice.slacks.items():
        if slack < 0.0:
            yield f"In many flights it still misses the {name} by {percent(-slack)}, so stay further inside."
    if advice.aim.name == "least pressure":
        wanted = advice.habit.distance(advice.aim.wanted)
        yield f"The wanted height keeps the pressure up: on less, fewer flights pass {wanted}."
    if advice.holding:
        yield "What holds it back:"
        yield from (f"– {words}" for words in advice.holding)
    elif advice.aim.name != "least pressure":
        yield "No limit holds it back, and no other load that was tried does better."


def _why(advice: Advice) -> Iterator[str]:
    for variable in advice.variables:
        pair = advice.steps[variable.name]
        for (step, past), words, reasons in zip(pair, ("less", "more"), (_LESS, _MORE), strict=True):
            if abs(step) < 0.05 or not math.isfinite(step):
                continue
            head, amount = f"A fifth {words} {variable.name}", _amount(advice, abs(step), 2)
            if advice.aim.name == "nearest height":
                yield f"{head} brings the flights {amount} {'further from it' if step < 0.0 else 'nearer to it'}."
            elif step < 0.0:
                yield f"{head} costs {amount}, for {reasons[variable.name]}."
            elif advice.aim.name == "least pressure":
                yield f"{head} brings {amount} more."
            elif past:
                yield f"{head} would bring {amount}, but passes {' and '.join(past)}."
            else:
                yield f"{head} would bring {amount}, so try another tune.seed."


def _next(advice: Advice, design: Design) -> str:
    leading = advice.sources.sources[:2]
    spread = advice.hang if advice.aim.name == "hang time" else advice.height
    span = f"Eight flights in ten lie between {_amount(advice, spread.low)} and {_amount(advice, spread.high)}."
    if not leading:
        return f"{span} The design gives no ± at all, so nobody can say what makes the spread. Write them in."
    parts = [
        f"{source.path}, taken as {_value(advice, design, source.path)}, makes about "
        f"{percent(source.total)} of "
        f"that spread (between {percent(source.low)} and {percent(source.high)})"
        for source in leading
    ]
    first = leading[0].path
    what = "the time in the air" if advice.aim.name == "hang time" else "the height"
    return f"{span} {' and '.join(parts)}. To know {what} better, start with {first}: {_measure(design, first)}."


def _value(advice: Advice, design: Design, path: str) -> str:
    value = value_at(design, path)
    text = format_value(design, path, value, habit=advice.habit)
    return in_own_units(advice.habit, text) if getattr(value, "text", "") else text


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
            hazard="This bottle is finished, so load nothing into it.",
            found="what Prove says of this vessel: no pressure is allowed in it",
            limit=at_most(advice.habit, 0.0),
            source="see the findings of Prove",
            remedy="Retire it; what is recommended here is for the fresh bottle that takes its place",
        )  # fmt: skip


def _over(advice: Advice) -> Iterator[Finding]:
    for variable, value in zip(advice.variables, advice.present, strict=True):
        ceiling = advice.ceiling
        if variable.name != "pressure" or value <= ceiling.pressure * 1.001 or ceiling.rating <= 0.0:
            continue
        over = value > max(ceiling.rating, ceiling.in_the_end) * (1.0 + 1e-9)
        yield Finding(
            Level.STOP if over else Level.LOOK, Stage.TUNE, "present-pressure-over-limit",
            hazard="A bottle above its rating can burst." if over
            else "The design asks for more pressure than Tune may propose.",
            found=f"the design asks for {advice.habit.pressure(value)} on the gauge",
            limit=f"{at_most(advice.habit, ceiling.pressure)} on the gauge",
            source=ceiling.basis,
            remedy=f"Plan no more than {at_most(advice.habit, ceiling.pressure)}",
        )  # fmt: skip


def _unmet(advice: Advice) -> Iterator[Finding]:
    for beyond in advice.out_of_reach:
        held = beyond.held
        yield Finding(
            Level.LOOK, Stage.TUNE, "no-load-cures-it",
            hazard=f"The {held.name} stays outside its limit whatever you load.",
            found=f"no trial within the bounds of {', '.join(v.name for v in advice.variables)} keeps to it; the "
                  f"nearest, {beyond.at}, comes to {beyond.nearest}",
            limit=held.says,
            source=held.source,
            remedy=_reaching(beyond),
        )  # fmt: skip


def _reaching(beyond: OutOfReach) -> str:
    if beyond.cure:
        return f"{beyond.cure} would reach it: a rocket with these values was flown and keeps to all limits"
    return "Change the rocket or the site: nothing that `tune` can change reaches it, so larger fins, further back, " \
           "more weight ahead, another bottle or another parachute"


def _only_to_compare(advice: Advice) -> str:
    return ", for comparing only: it does not keep to every limit" if advice.unmet else ""


def _broken(advice: Advice) -> Iterator[Finding]:
    says = {held.name: held for held in advice.held}
    for name, slack in advice.present_slacks.items():
        if slack < 0.0 and name in says:
            yield Finding(
                Level.LOOK, Stage.TUNE, "present-load-outside-limit",
                hazard=f"The present load does not keep to the limit of the {name}.",
                found="more flights leave it than you accept" if "field" in name
                else f"one flight in ten misses the limit by {percent(-slack)} or more",
                limit=says[name].says,
                source=says[name].source,
                remedy=f"{order(advice)}{_only_to_compare(advice)}"
                       + (f". {raises}" if (raises := more_pressure(advice)) else ""),
            )  # fmt: skip
