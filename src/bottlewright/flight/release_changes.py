"""What to change so that a loose nose comes off in time more often: each change flown, none guessed."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError
from bottlewright.design.rewriting import rewritten
from bottlewright.flight.hold_window import HoldWindow, has_a_hold, hold_window
from bottlewright.flight.outcomes import FLOWN, Outcome, came_out
from bottlewright.quantities import value_of

__all__ = ["Tried", "tried_changes"]

_CLAY = 0.02
"""Ballast that is tried more or less in the nose, kg."""
Say = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class Tried:
    """A change, and what the flights say of it.

    Parameters
    ----------
    words
        What is changed.
    keys
        What the design file says then, by key.
    in_time
        How many of `flights` open in time, with the hold at its best for this change and the ± of now.
    best
        That hold, N.
    window
        The window of the hold with the change.
    """

    words: str
    keys: Mapping[str, str]
    in_time: int
    flights: int
    best: float
    window: HoldWindow


def tried_changes(design: Design, say: Say = lambda _words, _share: None) -> list[Tried]:
    """Fly changes that may widen the window of a loose nose, the best first; none where no nose is loose.

    Parameters
    ----------
    design
        Completed.
    say
        Told what is being flown and how far it is.
    """
    mechanism = design.recovery.mechanism
    if not has_a_hold(design) or mechanism is None or mechanism.trip != "none":
        return []
    changes = dict(_changes(design))
    found = []
    for number, (words, keys) in enumerate(changes.items()):
        say(f"trying {words}", number / len(changes))
        try:
            found.append(_tried(design, words, keys))
        except DesignError:  # it makes no rocket: nothing to be advised
            continue
    return sorted(found, key=lambda one: -one.in_time)


def _tried(design: Design, words: str, keys: Mapping[str, str]) -> Tried:
    """Fly a change with each hold, then with the best of them and the ± of the builder's own."""
    window = hold_window(rewritten(design, keys.items()))
    assert window is not None, "a nose that comes off"
    mechanism = design.recovery.mechanism
    assert mechanism is not None, "a nose that comes off"
    assert mechanism.hold is not None, "filled in"
    spread = mechanism.hold.spread / mechanism.hold.value * window.best if mechanism.hold.value > 0.0 else 0.0
    set_to = {**keys, "recovery.mechanism.hold": f"{window.best:.2g} N ± {spread:.2g} N"}
    counted = came_out(rewritten(design, set_to.items()))
    return Tried(words, set_to, counted[Outcome.IN_TIME], FLOWN, window.best, window)


def _changes(design: Design) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield what may help, in words, and what the file says then."""
    mechanism, key = design.recovery.mechanism, "recovery.mechanism"
    assert mechanism is not None, "a nose that comes off"
    yield "another hold, nothing else", {}
    if mechanism.cavity != "vented":
        yield "two vent holes of 3 mm just behind the nose", {
            f"{key}.cavity": "vented", f"{key}.vents": "2", f"{key}.vent_bore": "3 mm"}  # fmt: skip
    else:
        yield "suction holes in the fastest air, measured: −0.3 ± 0.05", {f"{key}.suction": "-0.3 ± 0.05"}
    shoulder = 500.0 * value_of(mechanism.shoulder)
    yield f"a shoulder half as long, {shoulder:.0f} mm", {f"{key}.shoulder": f"{shoulder:.3g} mm"}
    yield "a rubber or spring under the nose, 0.5 N over 20 mm, no latch", {
        f"{key}.way": "sprung nose", f"{key}.push": "0.5 N ± 0.05 N", f"{key}.push_end": "0.3 N ± 0.03 N",
        f"{key}.push_stroke": "20 mm"}  # fmt: skip
    yield from _ballast(design)


def _ballast(design: Design) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield more and less of the heaviest thing in the nose; what was weighed as a whole moves with it."""
    end = value_of(design.nose.length) if design.nose else 0.0
    inside = [(part.mass.value, number) for number, part in enumerate(design.mass) if part.position.value < end]
    mechanism = design.recovery.mechanism
    assert mechanism is not None, "a nose that comes off"
    if not inside:
        return
    mass, number = max(inside)
    part = design.mass[number]
    for more, says in ((_CLAY, "more"), (-_CLAY, "less")):
        if mass + more < 0.0:
            continue
        sure = mechanism.nose_mass.spread if mechanism.nose_mass else 0.0
        keys = {f"mass.{number}.mass": _grams(mass + more, part.mass.spread),
                "recovery.mechanism.nose_mass": _grams(value_of(mechanism.nose_mass) + more, sure)}  # fmt: skip
        whole, balance = design.measured.dry_mass, design.measured.balance_point
        if whole is not None:
            keys["measured.dry_mass"] = _grams(whole.value + more, whole.spread)
            if balance is not None:
                at = (whole.value * balance.value + more * part.position.value) / (whole.value + more)
                keys["measured.balance_point"] = f"{1e3 * at:.4g} mm ± {1e3 * balance.spread:.2g} mm"
        yield f"{1e3 * _CLAY:.0f} g {says} in the nose: {part.name}", keys


def _grams(value: float, spread: float) -> str:
    return f"{1e3 * value:.4g} g ± {1e3 * spread:.2g} g"
