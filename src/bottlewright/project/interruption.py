"""What has to be put in order before the process ends at once, such as a results folder that is half in place."""

import contextlib
from collections.abc import Callable, Iterator

__all__ = ["acts", "at_stop"]

_acts: list[Callable[[], bool]] = []


@contextlib.contextmanager
def at_stop(act: Callable[[], bool]) -> Iterator[None]:
    """Do something before a stop inside; when it returns True the program goes on, for it will stop by itself."""
    _acts.append(act)
    try:
        yield
    finally:
        _acts.remove(act)


def acts() -> tuple[Callable[[], bool], ...]:
    """Return what has to be done now, the last begun first."""
    return tuple(reversed(_acts))
