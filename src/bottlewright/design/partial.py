"""Make a design of what can be read of a wrong one, so that the rest of it is judged as well.

What can't be read becomes `UNREAD`; of a list only the entry that is wrong, of a table only the key.
"""

import math
from collections import Counter
from collections.abc import Iterator
from typing import Any

from pydantic import ValidationError

from bottlewright.design.document import Design
from bottlewright.design.fields import UNREAD, UNREAD_WORD
from bottlewright.design.validation_messages import MOST, Location, keys_of, located, meant, value_in

__all__ = ["partial_design"]

_ROUNDS = 30  # a table, the list in it and the value in that may each need all the stand-ins below


def partial_design(data: dict[str, Any], error: ValidationError) -> tuple[Design, set[str]] | None:
    """Return the design with `UNREAD` for what is wrong in it, and the paths of all that.

    Parameters
    ----------
    data
        The raw tables; what is wrong is replaced in them.
    error
        What pydantic found wrong.

    Returns
    -------
    tuple[Design, set[str]] | None
        None when nothing can be made of it, or so much is wrong that it is no design.
    """
    tries: Counter[Location] = Counter()
    if error.error_count() > MOST:
        return None
    for _ in range(_ROUNDS):
        for location, kind in _wrong(error, data).items():
            if kind == "extra_forbidden":
                tries.update(_replace_unknown(data, location))
            elif location:
                _replace(data, location, tries[location])
                tries[location] += 1
        try:
            design = Design.model_validate(data)
        except ValidationError as again:
            error = again
        else:
            paths = {".".join(map(str, location)) for location in tries}
            return _undecided(design, paths), paths
    return None


def _wrong(error: ValidationError, data: dict[str, Any]) -> dict[Location, str]:
    """Return the kind of error by where it lies; where half of a pair is missing, nobody knows which half."""
    wrong = {}
    for location, found in located(error, data):
        half = found["type"] == "missing" and isinstance(location[-1], int)
        wrong[location[:-1] if half else location] = found["type"]
    return wrong


def _replace(data: dict[str, Any], location: Location, tried: int) -> None:
    """Put the next stand-in into the place of a value, until one has the type that is wanted there; then drop it."""
    table = dict.fromkeys(keys_of(location), UNREAD)
    stand_ins = [UNREAD, UNREAD_WORD, table, [], [UNREAD] * 2, [[UNREAD] * 2 for _ in range(3)]]
    inner, name = value_in(data, location[:-1]), location[-1]
    if tried >= len(stand_ins):
        _drop(data, location)
    elif isinstance(inner, dict):
        inner[name] = stand_ins[tried]
    elif isinstance(inner, list) and isinstance(name, int):
        inner[name : name + 1] = [stand_ins[tried]]


def _drop(data: dict[str, Any], location: Location) -> None:
    """Take out a value, and all of the list with it where it is an entry of one: the others keep their numbers."""
    while location and not isinstance(value_in(data, location[:-1]), dict):
        location = location[:-1]
    if location:
        value_in(data, location[:-1]).pop(location[-1], None)


def _replace_unknown(data: dict[str, Any], location: Location) -> Iterator[Location]:
    """Take out an unknown key; what it may have been meant for, and is not given, could not be read then."""
    _drop(data, location)
    key, homes = meant(location)
    for home in homes or [location[:-1]]:
        table = value_in(data, home)
        if key and isinstance(table, dict) and key not in table:
            table[key] = UNREAD
            yield (*home, key)


def _undecided(design: Design, paths: set[str]) -> Design:
    """Put stand-ins also for those words and counts that lengths and volumes hang on."""
    vessel, nose = design.vessel, design.nose
    if "vessel.kind" in paths:
        vessel = vessel.model_copy(update={"kind": UNREAD_WORD})
    if "vessel.count" in paths:  # a profile goes round all bottles, however many there are
        update = {"volume": UNREAD, "count": 1} if vessel.profile else {"count": math.nan}
        vessel = vessel.model_copy(update=update)
    if nose and "nose.shape" in paths:
        nose = nose.model_copy(update={"shape": UNREAD_WORD})
    return design.model_copy(update={"vessel": vessel, "nose": nose})
