"""What a book outside the design says of the bottle that the design names by its id.

Whoever reads a design hands in how to look it up; where nobody does, or nobody knows the bottle, its tests count for
nothing and that is said.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

__all__ = ["Differs", "Lookup", "VesselHistory", "named_vessel", "nobody_knows", "said_of_test", "with_history"]


class Differs(NamedTuple):
    """The design says one thing of the bottle and its file another; and which of the two counts.

    `enter` is the command that writes what stands only in the design into the bottle's file; empty where none does.
    """

    key: str
    design: str
    file: str
    counts: str
    enter: str = ""


@dataclass(frozen=True, slots=True)
class VesselHistory:
    """What is known of one bottle.

    Parameters
    ----------
    id, file
        What is written on it, and the name of its file, from the folder of the design.
    values
        Keys of the table `vessel` and what counts at each; None takes a key out.
    says
        The file in one line.
    differs
        Where the design's own keys say something else.
    unknown
        Why nobody knows the bottle, reading on after "because"; empty where its file is there.
    waiting
        Passed tests of the design that count for nothing as long as nobody knows the bottle, in words.
    begins
        Whether its file can be begun: it is not there, and nothing else stands in its place.
    too_much
        That it held more than was allowed at a launch since its last passed test, in words; empty where it did not.
    """

    id: str
    file: str = ""
    values: Mapping[str, Any] = field(default_factory=dict)
    says: str = ""
    differs: tuple[Differs, ...] = ()
    unknown: str = ""
    waiting: tuple[str, ...] = ()
    begins: bool = False
    too_much: str = ""

    @property
    def only_in_the_design(self) -> tuple[Differs, ...]:
        """Passed tests that the bottle's file does not have: they count for nothing until it has."""
        return tuple(one for one in self.differs if one.enter)


Lookup = Callable[[Mapping[str, Any]], VesselHistory | None]
"""Takes the raw tables of a design; None where they name no bottle."""


def named_vessel(tables: Mapping[str, Any], lookup: Lookup | None) -> VesselHistory | None:
    """Return what is known of the bottle that a design names; None where it names none."""
    vessel = tables.get("vessel")
    if not isinstance(vessel, Mapping) or not isinstance(vessel.get("id"), str):
        return None
    if lookup is None:
        return nobody_knows(vessel, "nobody looked into the logbook beside the design")
    return lookup(tables)


def nobody_knows(vessel: Mapping[str, Any], because: str, file: str = "", begins: bool = False) -> VesselHistory:
    """Return what counts of a bottle that nobody knows: nothing that speaks for it, and what speaks against it."""
    written = vessel.get("proof")
    tests = [one for one in written if isinstance(one, Mapping)] if isinstance(written, list) else []
    return VesselHistory(vessel["id"], file, {"proof": [one for one in tests if one.get("passed") is False]},
                         unknown=because, begins=begins,
                         waiting=tuple(said_of_test(one) for one in tests if one.get("passed") is not False))


def said_of_test(test: Mapping[str, Any]) -> str:
    """Return a test of a design in a few words."""
    return f"a test at {test.get('pressure')} on {test.get('date', 'no day')}"


def with_history(tables: Mapping[str, Any], history: VesselHistory | None) -> dict[str, Any]:
    """Return the raw tables of a design with what its bottle's file says in their place; the given ones stay."""
    if history is None:
        return dict(tables)
    vessel = {key: value for key, value in tables["vessel"].items() if key not in history.values}
    said = {key: value for key, value in history.values.items() if value is not None}
    return {**tables, "vessel": {**vessel, **said}}
