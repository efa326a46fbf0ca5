"""A worksheet on one variable, with the tool's numbers and blanks, and its key: as data for the typesetter."""

from collections.abc import Sequence
from typing import Any

from bottlewright import __version__
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.figures.colours import LIGHT
from bottlewright.learn.one_variable import Foretold, OneVariable, Point
from bottlewright.learn.one_variable_picture import NAMED, axis_of, one_variable_picture
from bottlewright.make.pack.typeset import typeset
from bottlewright.make.patterns.nesting import PAPERS
from bottlewright.names import several
from bottlewright.report.style import FULL_WIDTH

__all__ = ["LESSON_FIRST", "Question", "lesson_pdf", "lies_words", "not_flown_words", "questions", "value_words"]

LESSON_FIRST = ("Local rules and the adult in charge come first. Nobody comes near a bottle under pressure, for any "
                "reason.")  # fmt: skip

_BEFORE = ("Before the day: each of these loads is a launch of its own. Where everyone stands was worked out for the "
           "load of the design file: work out the landings of each, and look at the bottle's count.")  # fmt: skip
Question = tuple[str, str]
"""What is asked, and the answer."""

_WHY = {
    "water": ("Why does it go less high with very little water, and with very much?",
              "With little water there is little to push off from, and it is gone at once. With much water the rocket "
              "is heavy, and less air is left to push: there is a best amount in between."),
    "pressure": ("Why does it go higher with more pressure, and why does nobody simply pump more?",
                 "More pressure pushes the water out faster. A bottle can burst: what its water test allows is the "
                 "most, whatever height anybody would like."),
}  # fmt: skip


def value_words(found: OneVariable, value: float, habit: UnitHabit) -> str:
    """Return a value of the variable in the builder's unit."""
    unit, size = axis_of(found.what, habit)
    shown = f"{value / size:.0f}" if unit != "bar" else f"{value / size:.2f}"
    return f"{shown} {unit}"


def not_flown_words(found: OneVariable, habit: UnitHabit) -> list[str]:
    """Return the values that are shown and that nobody flies, in sentences, those of one reason in one."""
    said: dict[str, list[str]] = {}
    for one in found.foretold:
        if one.barred:
            said.setdefault(one.barred, []).append(value_words(found, one.value, habit))
    return [f"Not to be flown: {', '.join(values)}. {why}." for why, values in said.items()]


def little_to_spare(found: OneVariable, habit: UnitHabit) -> list[str]:
    """Return at which values to fly some drawn flights have less static margin than is asked, in one sentence."""
    tight = [one for one in found.flown if one.swinging]
    if not tight:
        return []
    each = "; ".join(f"{one.swinging} of {one.flights} at {value_words(found, one.value, habit)}, the least "
                     f"{one.margin:.2f} calibres" for one in tight)  # fmt: skip
    return [f"Little to spare: the middle flight keeps its nose in front as is asked, and some of the flights drawn do "
            f"not: {each}. An adult looks at that before anybody flies it."]  # fmt: skip


def _height(metres: float, habit: UnitHabit) -> str:
    return f"{metres / 0.3048:.0f} ft" if habit.inches else f"{metres:.1f} m"


def _band(one: Foretold, habit: UnitHabit) -> str:
    return f"{_height(one.low, habit).split(' ')[0]} to {_height(one.high, habit)}"


def questions(found: OneVariable, held: str, habit: UnitHabit) -> list[Question]:
    """Return what is asked, with the answers by what is known now."""
    best, name = found.best, NAMED[found.what]
    wide = max(found.flown, key=lambda one: one.high - one.low)
    why, because = _WHY[found.what]
    return [
        ("What do you change from launch to launch, and what stays the same?",
         f"Only the {name}. These stay the same: {held}, the rocket, its nozzle, its fins and its mass, and who "
         "measures how."),
        ("At which of the values to fly does the program foretell the greatest height, and how great is it in the "
         "middle?",
         f"At {value_words(found, best.value, habit)}: {_height(best.middle, habit)}."),
        ("How wide is the band there, from its lower to its upper end? How many flights in ten lie outside it?",
         f"{_height(best.high - best.low, habit)} wide; two in ten lie outside, one above and one below. The widest "
         f"band is {_height(wide.high - wide.low, habit)}, at {value_words(found, wide.value, habit)}."),
        ("Work out the mean of your heights at each value, and draw it. How many of your launches lie in the band?",
         _hits(found)),
        ("If more than two in ten lie outside, what would you look at first?",
         "How the height was measured, then the pressure on the gauge, then the water. If all of them lie on one "
         "side, the rocket has other drag than the program thinks: the page Learn works that out."),
        (why, because),
    ]  # fmt: skip


def _hits(found: OneVariable) -> str:
    counted = [one for one in found.counted if found.inside(one) is not None]
    if not counted:
        return "Nothing was measured yet when this key was printed: of ten honest launches about eight lie in it."
    hits = sum(bool(found.inside(one)) for one in counted)
    lie = "lies" if hits == 1 else "lie"
    return (f"So far {hits} of {several(len(counted), 'launch')} that differed in nothing else {lie} in it, ± taken "
            "in; of ten honest ones it would be about eight.")  # fmt: skip


def lesson_pdf(
    found: OneVariable, rocket: str, held: str, allowed: str, key: bool, habit: UnitHabit, paper: str = "a4",
    not_flown: Sequence[str] = (), taught_by: str = "", first_step: str = "",
) -> bytes:  # fmt: skip
    """Return the worksheet, or its key, as PDF.

    Parameters
    ----------
    held
        What stays the same beside the rocket, such as "4.5 bar on the gauge".
    allowed
        What the verdict says of the pressure, in one sentence.
    not_flown
        What nobody flies, in sentences.
    taught_by
        That launches over the band taught it already, in words; empty where none did.
    first_step
        What comes before any launch, in sentences; empty where nothing does.
    """
    size = PAPERS[paper]
    picture = one_variable_picture(found, habit, blank=not key)
    name = NAMED[found.what]
    data: dict[str, Any] = {
        "title": f"{rocket}: {name} against height{', the key' if key else ''}", "version": __version__,
        "paper": {"width": size.width, "height": size.height}, "key": key, "first": LESSON_FIRST, "allowed": allowed,
        "rocket": rocket, "variable": name, "held": held, "caption": picture.caption, "says": picture.alt,
        "svg": picture.draw(FULL_WIDTH).svg(prefix="lesson").replace(LIGHT["sheet"], "#ffffff"),
        "rows": [[value_words(found, one.value, habit), _band(one, habit)] for one in found.flown],
        "not_flown": list(not_flown),
        "questions": [list(one) for one in questions(found, held, habit)],
        "before": _BEFORE, "taught_by": taught_by, "first_step": first_step,
        "points": [_told(found, one, habit) for one in found.points] if key else [],
    }  # fmt: skip
    return typeset(data, "lesson.typ")


def _told(found: OneVariable, one: Point, habit: UnitHabit) -> list[str]:
    return [one.launch, one.team or "–", value_words(found, one.value, habit),
            f"{_height(one.height, habit)} ± {_height(one.spread, habit)}", lies_words(found, one)]  # fmt: skip


def lies_words(found: OneVariable, one: Point) -> str:
    """Return where a launch lies, or why it does not count."""
    if one.apart:
        return f"does not count: {one.apart}"
    return {True: "inside", False: "outside", None: "not foretold"}[found.inside(one)]
