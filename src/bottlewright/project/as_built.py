"""As built: what scale, string and swing say of the whole rocket, beside what its parts add up to."""

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.names import MIDDLE_MARGIN
from bottlewright.project.editing import Values
from bottlewright.project.fields import said_at

if TYPE_CHECKING:
    from bottlewright.project.project import Project

__all__ = ["CARD", "Built", "Measured", "built_of", "filed_card", "forgotten", "remembered", "with_memory"]

_MEMORY = {
    "measured.dry_mass": "parts_mass", "measured.balance_point": "parts_balance", "measured.swing": "parts_radius",
}  # fmt: skip
"""What is remembered of the parts beside each measurement."""
_FAR = 1.5
"""How many times a swing may differ from the parts before we ask whether it was timed right (our judgement)."""


class Measured(NamedTuple):
    """One thing that can be measured of the whole.

    Parameters
    ----------
    key, what
        Where it stands in the file, and what it is.
    by_parts, measured
        In words; `measured` is empty where nobody measured.
    """

    key: str
    what: str
    by_parts: str
    measured: str


class Built(NamedTuple):
    """What was measured of the whole.

    Parameters
    ----------
    rows
        Weight, balance, swing.
    counts
        Whether anything was measured: it beats the parts.
    remembers
        Whether the file says which parts it was measured with, for all that was measured.
    effect
        What the measurements change, in words; empty where there are none, or no flight yet.
    doubt
        What looks wrong with a swing.
    """

    rows: list[Measured]
    counts: bool
    remembers: bool
    effect: str
    doubt: str


def built_of(project: "Project", margin: float | None = None) -> Built:
    """Return what was measured of the whole, and what it changes.

    Parameters
    ----------
    margin
        Least static margin of its flight; None while nobody has flown it.
    """
    from bottlewright.design.formatting import format_value
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.flight.layout import parts_alone

    design, habit = project.design, unit_habit(project.design)
    said, (mass, centre, moment) = design.measured, parts_alone(design)
    swung = _swung(project)
    rows = [
        Measured("measured.dry_mass", "weighs, ready to fly, without water", habit.mass(mass, 4),
                 format_value(design, "measured.dry_mass", said.dry_mass) if said.dry_mass else ""),
        Measured("measured.balance_point", "balances, from the nose tip", habit.length(centre),
                 format_value(design, "measured.balance_point", said.balance_point) if said.balance_point else ""),
        Measured("measured.swing", "is hard to turn over: moment of inertia", _turning(moment, 0.0, mass, habit.length),
                 _turning(*swung, habit.length) if swung else ""),
    ]  # fmt: skip
    had = [key for key in _MEMORY if getattr(said, key.partition(".")[2]) is not None]
    return Built(
        rows, bool(had), all(getattr(said, _MEMORY[key]) is not None for key in had),
        _effect(project, margin) if had and margin is not None else "", _doubt(swung[0] / moment) if swung else "",
    )  # fmt: skip


def _swung(project: "Project") -> "tuple[float, float, float] | None":
    """Return moment, its ± and the mass that swung, SI; the ± by the law of propagation, first order."""
    from bottlewright.flight.layout import vehicle_of

    swing = project.design.measured.swing
    if swing is None:
        return None
    vehicle = vehicle_of(project.design)
    weighed = project.design.measured.dry_mass
    mass = float(vehicle["dry_mass"])
    share = math.hypot(
        2.0 * swing.period.spread / swing.period.value, 2.0 * swing.apart.spread / swing.apart.value,
        swing.strings.spread / swing.strings.value, weighed.spread / weighed.value if weighed else 0.0,
    )  # fmt: skip
    moment = float(vehicle["dry_transverse"])
    return moment, moment * share, mass


def _turning(moment: float, spread: float, mass: float, length: Callable[[float], str]) -> str:
    more = f" ± {1e3 * spread:.1g}" if spread else ""
    radius = length(math.sqrt(moment / mass))
    return f"{1e3 * moment:.3g}{more} g m², as if all of it sat {radius} from the balance point"


def _doubt(times: float) -> str:
    if 1.0 / _FAR < times < _FAR:
        return ""
    return (f"The swing says {times:.2g} times what the parts say. Was it one whole swing, there and back? Were the "
            "strings upright, equal and as far before the balance point as behind it?")  # fmt: skip


def _effect(project: "Project", margin: float) -> str:
    """Say what the measurements change in the flight."""
    alone = project.changed(dict.fromkeys(_MEMORY)).fly().summary["static_margin_min_calibres"]
    return (f"With what was measured the {MIDDLE_MARGIN}, is {margin:.2f} calibres; by the parts alone it would be "
            f"{alone:.2f}.")  # fmt: skip


# --- which parts it was measured with ------------------------------------------------------------------------------


_PARTS = (
    "nozzle.", "nose.", "fins.", "sleeve.", "mass.", "recovery.", "vessel.bottle", "vessel.volume", "vessel.diameter",
    "vessel.wall", "vessel.empty_mass", "vessel.neck", "vessel.shoulder", "vessel.base", "vessel.profile",
    "vessel.count",
)  # fmt: skip
"""Beginnings of the keys that say what the rocket is made of."""


def with_memory(project: "Project", values: Values) -> Values:
    """Return a change with what the parts add up to before it, beside each measurement that it makes or leaves behind.

    A measurement in a file is one of the rocket that the file describes, until a change here makes it another rocket.
    """
    parts = any(one.startswith(_PARTS) for one in values)
    memory: dict[str, str | None] = {}
    for key, name in _MEMORY.items():
        beside = f"measured.{name}"
        known = said_at(project, beside) is not None
        changed = [one for one in values if one == key or one.startswith(f"{key}.")]
        if any(values[one] is not None and _another(project, one, values[one]) for one in changed):
            memory[beside] = _said(project, name)
        elif key in changed and values[key] is None and known:
            memory[beside] = None
        elif parts and not changed and not known and said_at(project, key) is not None:
            memory[beside] = _said(project, name)
    return {**values, **{key: text for key, text in memory.items() if key not in values}}


def remembered(project: "Project") -> Values:
    """Return the change that says: all this was measured on the rocket as it is here."""
    said = project.design.measured
    return {f"measured.{name}": _said(project, name) for key, name in _MEMORY.items()
            if getattr(said, key.partition(".")[2]) is not None}  # fmt: skip


def forgotten(project: "Project") -> Mapping[str, None]:
    """Return the change that takes out all that was measured of the whole."""
    keys = (*_MEMORY, *(f"measured.{name}" for name in _MEMORY.values()), "measured.by", "measured.day")
    return dict.fromkeys(key for key in keys if said_at(project, key) is not None)


def _another(project: "Project", key: str, text: object) -> bool:
    """Say whether a number is another than before: a new ± is no new measurement."""
    from bottlewright.quantities import Quantity

    was = said_at(project, key)
    if not isinstance(was, Quantity) or not was.text:
        return True
    return str(text).partition("±")[0].strip() != was.text.partition("±")[0].strip()


def _said(project: "Project", name: str) -> str:
    from bottlewright.flight.measured_before import parts_now

    now = parts_now(project.design)[name]
    return f"{1e3 * now:.1f} {'g' if name == 'parts_mass' else 'mm'}"


# --- a card that was filled in ---------------------------------------------------------------------------------------


CARD: Mapping[str, tuple[str, str]] = {
    "measured.dry_mass": ("It weighs, ready to fly, without water", "such as 168 g ± 1 g"),
    "measured.balance_point": ("It balances, from the nose tip", "such as 265 mm"),
    "swings": ("Ten swings there and back took", "such as 24.2 s; then both lengths too"),
    "measured.swing.strings": ("Each string is long", "such as 1 m"),
    "measured.swing.apart": ("The strings are apart", "such as 300 mm"),
    "nozzle.bore": ("Bore of the nozzle", "such as 9 mm ± 0.05 mm"),
    "fins.span": ("Span of the fins, from the body", "the mean of all, such as 139 mm ± 1 mm"),
    "measured.by": ("Measured by", "initials or a number, if you like"),
    "measured.day": ("On", "if you like, such as 2027-03-20"),
}
"""What the card of one rocket asks for: key, label, and how it is written."""


def filed_card(project: "Project", given: Mapping[str, str]) -> Values:
    """Return the change that files what was measured on the rocket as it was built; what is empty stays as it was.

    Raises
    ------
    FieldsError
        With what is wrong, by the name of the entry.
    """
    from bottlewright.errors import BottlewrightError, FieldsError, InputError
    from bottlewright.project.editing import edited

    texts = {key: " ".join(given.get(key, "").split()) for key in CARD}
    values = {key: text for key, text in texts.items() if text and key != "swings"}
    wrong: dict[str, str] = {}
    swing = ("measured.swing.strings", "measured.swing.apart")
    if any(texts[key] for key in ("swings", *swing)):
        wrong |= {key: "all three belong together: ten swings, the strings, and how far apart they are"
                  for key in ("swings", *swing) if not texts[key]}  # fmt: skip
        try:
            values |= {"measured.swing.period": _tenth(texts["swings"])} if texts["swings"] else {}
        except BottlewrightError as error:
            wrong["swings"] = str(error)
    alone = {key: text for key, text in values.items() if not key.startswith("measured.swing")}
    for key, text in alone.items():
        wrong |= _refused(project, {key: text}, key)
    if not wrong and "measured.swing.period" in values:
        wrong |= _refused(project, {key: values[key] for key in ("measured.swing.period", *swing)}, "swings")
    if wrong:
        raise FieldsError(wrong)
    if not any(key not in ("measured.by", "measured.day") for key in values):
        raise InputError("nothing was measured yet: write at least one number of the card")
    parts = {key: text for key, text in values.items() if key.startswith(_PARTS)}
    said = {key: text for key, text in values.items() if key not in parts}
    return {**parts, **with_memory(edited(project, parts) if parts else project, said)}


def _refused(project: "Project", values: Values, name: str) -> dict[str, str]:
    """Return what is wrong with an entry, by its name; nothing where a design takes it."""
    from bottlewright.design import DesignError
    from bottlewright.project.editing import edited

    try:
        edited(project, values)
    except DesignError as error:
        return {name: "; ".join(filter(None, (part for one in error.problems for part in (one.why, one.right))))}
    return {}


def _tenth(text: str) -> str:
    """Return a tenth of a time, with a tenth of its ±."""
    from bottlewright.quantities import Dimension, parse_quantity

    ten = parse_quantity(text, Dimension.TIME)
    return f"{ten.value / 10.0:.4g} s" + (f" ± {ten.spread / 10.0:.2g} s" if ten.spread else "")
