"""What flies along, as the page of the rocket tells of it: a camera or another thing entered, its values, its words."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from bottlewright.errors import FieldsError

if TYPE_CHECKING:
    from bottlewright.project.editing import Values
    from bottlewright.project.flight import FlightResult
    from bottlewright.project.project import Project

__all__ = ["PAYLOAD_LABELS", "along_of", "entered_payload", "payload_fields"]

PAYLOAD_LABELS = {
    "held": "held", "breaks_away": "pull that draws it off", "tethered": "tied with a cord",
    "waterproof": "closed against water", "cell": "its cell", "view": "angle of view, across", "looks": "looks",
    "exposure": "exposure of one picture", "pixels": "pixels across",
}  # fmt: skip
"""What a page calls the keys of `Mass.payload`."""

_ASKED = ("name", "mass", "position")


def along_of(flight: "FlightResult") -> list[tuple[str, str, str]]:
    """Return what flies along by one flight: what, its number, and more about it."""
    from bottlewright.flight.payload_words import payload_lines

    return payload_lines(flight.design, flight.flight)


def payload_fields(project: "Project") -> list[tuple[str, tuple[tuple[str, str], ...]]]:
    """Return a group of keys with labels for each thing that flies along."""
    return [(f"Flies along: {part.name}",
             tuple((f"mass.{number}.payload.{key}", label) for key, label in PAYLOAD_LABELS.items()))
            for number, part in enumerate(project.design.mass) if part.payload is not None]  # fmt: skip


def entered_payload(project: "Project", given: Mapping[str, str]) -> "Values":
    """Return the change that puts something on board: what, mass and place, and what is known of it.

    Raises
    ------
    FieldsError
        With what is wrong, by field.
    """
    from bottlewright.design import DesignError
    from bottlewright.project.editing import edited

    answers = {name: text for name in (*_ASKED, *PAYLOAD_LABELS) if (text := " ".join(given.get(name, "").split()))}
    missing = {name: f"say {what}" for name, what in zip(_ASKED, ("what it is", "what it weighs", "where it sits"),
                                                         strict=True) if name not in answers}  # fmt: skip
    if missing:
        raise FieldsError(missing)
    answers.setdefault("held", "on the side")
    at = f"mass.{len(project.design.mass)}."
    values: Values = {f"{at}{'' if name in _ASKED else 'payload.'}{name}": _typed(name, text)
                      for name, text in answers.items()}  # fmt: skip
    try:
        edited(project, values)
    except DesignError as error:
        raise FieldsError({one.path.removeprefix(at).removeprefix("payload."): "; ".join(filter(None, (
            one.why, one.right))) for one in error.problems}) from None  # fmt: skip
    return values


def _typed(name: str, text: str) -> str | int | bool:
    if name in ("tethered", "waterproof") and text in ("yes", "no"):
        return text == "yes"
    return int(text) if name == "pixels" and text.isascii() and text.isdecimal() and len(text) < 9 else text
