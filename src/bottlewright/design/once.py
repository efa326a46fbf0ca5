"""What is worked out from a design alone is worked out once for each: a design never changes."""

import weakref
from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from bottlewright.design.document import Design

__all__ = ["once_per_design"]

T = TypeVar("T")


def once_per_design(work: Callable[[Design], T]) -> Callable[[Design], T]:
    """Have a function of one design keep its answer for when it is asked again about the very same design.

    What it gives has to rest on the design alone: not on a file, nor on the day.
    """
    known: dict[int, tuple[weakref.ref[Any], T]] = {}

    @wraps(work)
    def answer(design: Design) -> T:
        key = id(design)
        found = known.get(key)
        if found is not None and found[0]() is design:
            return found[1]
        told = work(design)
        known[key] = (weakref.ref(design, lambda _: known.pop(key, None)), told)
        return told

    return answer
