"""Each kind of return apart: the rare ones are flown in numbers of their own and count by their odds.

In 4000 flights a lost fin together with a canopy that stays in shows up twice, and then nobody knows where such a
flight ends. So every combination of what can go wrong is a stratum: the flights of the sample that had it, and enough
further ones that are made to have it.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.field_tables import MOST_FLIGHTS
from bottlewright.field.landings import Mode, failure_odds, fated_flights, mode_name, points
from bottlewright.field.release_odds import came_to
from bottlewright.field.tail import Floats, Stratum
from bottlewright.field.trials import FlownSample, Trials
from bottlewright.flight.state import Endings

__all__ = ["fly_strata"]

FLIGHTS = {Mode.AS_PLANNED: 0.0, Mode.NOT_OPENING: 0.2, Mode.EARLY_OPENING: 0.12}
"""Further flights of each kind with all fins, as a share of the sample's."""
FIN_LOST = 0.12
BOTH = 0.06
FEWEST = 100
_NONE = Stratum(1.0, np.zeros((1, 2)), "it stays on the launcher")
"""Where no flight leaves the launcher; so few flights settle nothing."""


class _Fate(NamedTuple):
    """What a flight comes to, whether it loses a fin besides, the odds of both, and how many further ones are flown."""

    mode: Mode
    fin_lost: bool
    odds: float
    share: float


def _fates(design: Design) -> Iterator[_Fate]:
    odds = {name: quantity.value for name, quantity in failure_odds(design).items()}
    stays = odds.get("not_opening", 0.0)
    early = min(odds.get("early_opening", 0.0), 1.0 - stays)
    fin = odds.get("fin_lost", 0.0)
    of_mode = {Mode.AS_PLANNED: 1.0 - stays - early, Mode.NOT_OPENING: stays, Mode.EARLY_OPENING: early}
    for mode, chance in of_mode.items():
        for lost, share in ((False, 1.0 - fin), (True, fin)):
            if chance * share > 0.0:
                usual = FIN_LOST if mode is Mode.AS_PLANNED else BOTH
                yield _Fate(mode, lost, chance * share, usual if lost else FLIGHTS[mode])


def fly_strata(
    trials: Trials, sample: FlownSample, wanted: int, further: bool = True
) -> tuple[list[Stratum], int]:
    """Return where each kind of return comes down, and how many flights have no end, so that nobody knows.

    Flights that stay on the launcher hit nobody and are left out.

    Parameters
    ----------
    sample
        As flown.
    wanted
        Flights of the sample; the further ones are a share of it.
    further
        Whether further ones are flown; not when the user has stopped the flights.
    """
    parts: dict[tuple[Mode, bool], list[Stratum]] = {}
    lost = len(sample.stuck) - len(sample.landings)
    for place, fate in enumerate(_fates(trials.design)):
        had = _had(sample, fate)
        rows, ends = sample.landings[had], sample.came_to[had]
        more = int(wanted * fate.share)
        if len(rows) + more < FEWEST:
            more = FEWEST - len(rows)
        if more > 0 and further:
            first = MOST_FLIGHTS * (1 + place)  # flights that no sample has
            fated = fated_flights(
                trials.design, first, more, trials.seed, trials.apogee_time, fate.mode, fin_lost=fate.fin_lost)
            flown = trials.fly(fated)
            stuck = np.isin(flown["ending"], (Endings.never_left, Endings.stuck))
            ended = points(flown)[~stuck]
            kept = np.isfinite(ended).all(axis=1)
            rows, lost = np.concatenate([rows, ended[kept]]), lost + int(np.count_nonzero(~kept))
            given = np.full(more, fate.mode)
            ends = np.concatenate([ends, came_to(trials.design, fated, flown, given)[~stuck][kept]])
        for end, stratum in _by_end(fate, rows, ends):
            parts.setdefault((end, fate.fin_lost), []).append(stratum)
    return [_merged(trials.design, key, those) for key, those in parts.items()] or [_NONE], lost


_KIN = {Mode.TORN: Mode.NOT_OPENING, Mode.LATE_OPENING: Mode.NOT_OPENING}
"""What a kind of return that is too rare for a stratum of its own is counted with: nothing slows it much either."""


def _by_end(fate: _Fate, rows: Floats, ends: NDArray[np.int64]) -> Iterator[tuple[Mode, Stratum]]:
    """Part what came to the same by itself: what a mechanism lets out early, late or never lands elsewhere."""
    ends = np.where(ends == Mode.FIN_LOST, fate.mode, ends)
    for end in np.unique(ends):
        those, mode = ends == end, Mode(int(end))
        kin = _KIN.get(mode, mode) if np.count_nonzero(those) < FEWEST else mode
        yield kin, Stratum(fate.odds * float(np.mean(those)), rows[those])


def _merged(design: Design, key: tuple[Mode, bool], parts: list[Stratum]) -> Stratum:
    """Return one stratum of those that come down alike: few of them by themselves, more that were made to."""
    mode, fin_lost = key
    name = mode_name(mode, design) + (", a fin lost" if fin_lost else "")
    return Stratum(sum(one.odds for one in parts), np.concatenate([one.landings for one in parts]), name)


def _had(sample: FlownSample, fate: _Fate) -> NDArray[np.bool_]:
    modes = np.where(sample.modes == Mode.FIN_LOST, Mode.AS_PLANNED, sample.modes)
    return np.asarray((modes == fate.mode) & (sample.fin_lost == fate.fin_lost))
