"""A day's sums before it begins: launches, bottles that come to their end, and the chances of all launches together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bottlewright.logbook.day_plan import DayRocket
from bottlewright.proof.rating import SMALLEST_CHANCE
from bottlewright.proof.vessel import MOST_CYCLES

__all__ = ["DaySums", "Share", "day_sums", "times_left"]


@dataclass(frozen=True, slots=True)
class Share:
    """One rocket's part in the day: how many launches, and the chances of one, None where nobody worked them out.

    Parameters
    ----------
    burst
        That the bottle bursts in one launch.
    strike
        That one flight comes down on somebody.
    """

    launches: int
    burst: float | None = None
    strike: float | None = None


@dataclass(frozen=True, slots=True)
class DaySums:
    """The sums; a chance is None where a rocket's is not known, for then nobody knows the sum.

    Parameters
    ----------
    burst, strike
        Chance that any launch of the day ends so: no more than the sum of all.
    burst_basis, strike_basis
        What each rests on, in words.
    spent
        Bottles whose life does not last for the launches planned, each with how many are left; None: nobody knows.
    """

    launches: int
    burst: float | None
    burst_basis: str
    strike: float | None
    strike_basis: str
    spent: Mapping[str, int | None]


def day_sums(rockets: Mapping[str, DayRocket], shares: Mapping[str, Share]) -> DaySums:
    """Return the sums of a day for its rockets, by name."""
    planned: dict[str, int] = {}
    for name, share in shares.items():
        vessel = rockets[name].vessel
        planned[vessel] = planned.get(vessel, 0) + share.launches
    left = {one.vessel: None if one.cycles is None else max(MOST_CYCLES - one.cycles, 0) for one in rockets.values()}
    burst = _summed([(share.launches, None if share.burst is None else max(share.burst, SMALLEST_CHANCE))
                     for share in shares.values()])  # fmt: skip
    strike = _summed([(share.launches, share.strike) for share in shares.values()])
    return DaySums(
        sum(planned.values()), burst, _basis(burst, "published burst tests and each bottle's own tests"),
        strike, _basis(strike, "the landings of each rocket, each with the people who stand there"),
        {vessel: left[vessel] for vessel, count in planned.items() if count > (left[vessel] or 0)},
    )  # fmt: skip


def times_left(left: int | None) -> str:
    """Return in words how often a bottle may still be put under pressure; None where nobody knows."""
    return "nobody knows how many times are left" if left is None else (
        f"{left} time{' is' if left == 1 else 's are'} left")  # fmt: skip


def _summed(chances: Sequence[tuple[int, float | None]]) -> float | None:
    """Return the sum: whatever the launches have in common, the chance of any is no more than that."""
    total = 0.0
    for count, chance in chances:
        if count and chance is None:
            return None
        total += count * (chance or 0.0)
    return min(total, 1.0)


def _basis(chance: float | None, what: str) -> str:
    if chance is None:
        return "not known: of a rocket it was not worked out"
    return f"the sum over all launches; by {what}"
