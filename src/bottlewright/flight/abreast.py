"""Flights abreast: what flights that are worked out side by side on a graphics card do together.

A card works out 32 flights in step, and what one of them does alone costs all of them the time. So they wait for each
other where their ways part and meet again. On the processor one flight goes by itself, and nothing here takes time;
`bottlewright.flight.gpu_kernel` says what a card does in place of it.
"""

from bottlewright.physics import jit

__all__ = ["ALL", "still_together", "wait_for", "wait_for_all"]

ALL = 0xFFFFFFFF
"""All flights that go in step, a bit each."""


@jit
def still_together(crew: int, flies: bool) -> int:  # noqa: ARG001  # a card asks who they are
    """Return which flights of a crew go on, a bit each; 0 for one that does not, 1 for one that goes by itself."""
    return 1 if flies else 0


@jit
def wait_for(crew: int) -> None:
    """Wait until all flights of a crew are here."""


@jit
def wait_for_all() -> None:
    """Wait until all flights of a block are here: what is worked out next is then fetched once for all of them."""
