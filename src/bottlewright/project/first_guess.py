"""Values that the program chose for a first rocket: "a first guess", until somebody changes them.

They stand in the design file like anybody's, so that the builder finds and changes them there. A comment at its end
remembers what was chosen: a value that is still the same is nobody's measurement.
"""

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bottlewright.project.project import Project

__all__ = ["FIRST_GUESS", "guessed", "with_guesses"]

FIRST_GUESS = "a first guess, until you measure it or choose"

_HEAD = "# First guesses of the program: until somebody changes one of these, nobody has measured or chosen it."
_LINE = re.compile(r"^# guess: ([\w.]+) = (.+)$", re.MULTILINE)
_ANSWERED = {"bore": "nozzle.bore", "parachute": "recovery.diameter", "water": "charge.water", "age": "vessel.age",
             "pressure": "charge.pressure", "cycles": "vessel.cycles"}  # fmt: skip
"""Keys that an answer of the first visit fills."""


def with_guesses(project: "Project", answered: "dict[str, str]") -> str:
    """Return the text of a first rocket with what was chosen for it remembered at its end.

    Parameters
    ----------
    answered
        What somebody said, by the names of the questions.
    """
    from bottlewright.project.fields import GROUPS, fields_of

    said = {_ANSWERED[name] for name, text in answered.items() if text and name in _ANSWERED}
    masses = [(f"mass.{n}.{name}", "") for n in range(len(project.design.mass)) for name in ("mass", "position")]
    keys = [pair for _, pairs in GROUPS for pair in pairs] + masses
    chosen = [(one.key, one.text) for one in fields_of(project, keys) if one.yours and one.key not in said]
    return "\n".join([project.text.rstrip(), "", _HEAD, *(f"# guess: {key} = {text}" for key, text in chosen), ""])


def guessed(project: "Project") -> dict[str, str]:
    """Return what was chosen for a first rocket, by key."""
    return dict(_LINE.findall(project.text)) if _HEAD in project.text else {}
