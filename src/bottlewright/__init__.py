"""Bottlewright: from a sketch to a recovered water rocket.

    import bottlewright as bw

    rocket = bw.read("rocket.toml")
    rocket.verdict()
    lower = rocket.changed({"charge.pressure": "3 bar"})
    lower.fly().summary["apogee_m"]

`read`, `parse` and `begin` give a `Project`; its methods give results. SI units everywhere inside (m, kg, s, Pa
absolute, K, rad); units in text and in key names at the edge only. Nothing is printed, and nothing is written before
`save` is called.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bottlewright.errors import BottlewrightError, InputError, StoppedError
    from bottlewright.project.begin import begin
    from bottlewright.project.compare import compare
    from bottlewright.project.project import Project, parse, read
    from bottlewright.project.watch import flying_on, flying_on_cards

__version__ = "0.1.0"

__all__ = [
    "BottlewrightError", "InputError", "Project", "StoppedError", "begin", "compare", "flying_on", "flying_on_cards",
    "parse", "read",
]  # fmt: skip

_HOMES = {
    "BottlewrightError": "errors", "InputError": "errors", "StoppedError": "errors", "Project": "project.project",
    "parse": "project.project", "read": "project.project", "begin": "project.begin", "compare": "project.compare",
    "flying_on": "project.watch",
    "flying_on_cards": "project.watch",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    """Import a name of the surface when it is asked for, so that a command's help comes at once."""
    if name not in _HOMES:
        raise AttributeError(f"module 'bottlewright' has no attribute {name!r}")
    return getattr(importlib.import_module(f"bottlewright.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
