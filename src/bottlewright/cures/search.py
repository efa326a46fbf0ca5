"""Turn knobs, from the mildest setting on, until a trial works: an ordered search, fewest keys first.

Along one knob a coarse look finds the first setting that works, and halving closes in on the mildest. Of several knobs
all but the last are turned in a few coarse steps. No gradient is used and nothing is drawn at random: the same design
has the same cures.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby, product

from bottlewright.cures.knobs import Knob
from bottlewright.design.rewriting import Changes

__all__ = ["by_keys", "joined", "mildest"]

_LOOKS = 6
"""Coarse looks along the knob that is turned finely."""
_COARSE = 3
"""Settings of each other knob."""

Works = Callable[[Changes], bool]


def by_keys(combos: Sequence[tuple[Knob, ...]]) -> Iterator[list[tuple[Knob, ...]]]:
    """Yield knobs that are turned together, those with the fewest keys first, equal numbers as one list."""

    def keys(knobs: tuple[Knob, ...]) -> int:
        return sum(knob.keys for knob in knobs)

    for _, alike in groupby(sorted(combos, key=keys), keys):
        yield list(alike)


def mildest(knobs: Sequence[Knob], works: Works) -> Iterator[Changes]:
    """Yield changes that work: for each coarse setting of the other knobs the mildest of the last one."""
    *others, last = knobs
    if not _promising(knobs, works):
        return
    for chosen in product(*(_spread(knob, _COARSE) for knob in others)):
        fixed = joined(*chosen)

        def tried(index: int, fixed: Changes = fixed) -> bool:
            return works(joined(fixed, last.settings[index]))

        found = _first(len(last.settings), tried)
        if found is not None:
            yield joined(fixed, last.settings[found])


def joined(*parts: Changes) -> Changes:
    """Return changes put together; a later one of the same key wins."""
    return tuple({key: text for part in parts for key, text in part}.items())


def _promising(knobs: Sequence[Knob], works: Works) -> bool:
    """Say whether one knob is to be turned, or whether several work at their strongest, or nearly so."""
    if len(knobs) == 1:
        return True
    return any(
        works(joined(*(knob.settings[round(part * (len(knob.settings) - 1))] for knob in knobs)))
        for part in (1.0, 0.7, 0.4)
    )


def _spread(knob: Knob, count: int) -> list[Changes]:
    """Return a few settings of a knob, spread over its range, the strongest among them."""
    last = len(knob.settings) - 1
    places = dict.fromkeys(round(last * (step + 1) / count) for step in range(count))
    return [knob.settings[place] for place in places]


def _first(count: int, tried: Callable[[int], bool]) -> int | None:
    """Return the first index that works, by a coarse look and by halving; None where no look finds one."""
    places = list(dict.fromkeys(round((count - 1) * step / (_LOOKS - 1)) for step in range(_LOOKS)))
    low = -1
    for place in places:
        if tried(place):
            high = place
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (low, middle) if tried(middle) else (middle, high)
            return high
        low = place
    return None
