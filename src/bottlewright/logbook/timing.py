"""What stopwatches and a film say of a flight, each with its ±."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bottlewright.errors import InputError

__all__ = ["GRAVITY", "HAND", "Timed", "apart_words", "coast", "fall_height", "film_interval", "hang_height",
           "mean_time", "odd_one", "too_far_apart"]  # fmt: skip

GRAVITY = 9.80665
"""m/s², standard gravity."""

HAND = 0.1
"""s: a stopwatch by hand, one standard deviation of start and stop together: our judgement."""


APART, APART_SHARE = 1.0, 0.1
"""s, and a share of the shortest: watches that differ by more than both together did not time the same flight, or one
was read wrongly. That is ten times what a hand is off, and leaves room for who sees it land late; our judgement."""
APART_SHORT, APART_LEAST = 0.5, 4.0 * HAND
"""Of a time under two seconds half of it counts in place of the second, and never less than four hands (s); our
judgement."""
ODD = 0.5
"""Of that room: where all watches but one agree to within it, the one that lies further off is the wrong one."""


@dataclass(frozen=True, slots=True)
class Timed:
    """A time of several stopwatches: mean, its standard deviation, that of one watch, and how many."""

    seconds: float
    u_seconds: float
    spread: float
    count: int


def mean_time(seconds: Sequence[float], hand: float = HAND) -> Timed:
    """Return the mean of several stopwatches with its ± (JCGM 100:2008, 4.2, and a common error of the hands).

    Two or more watches show their spread, and their mean is never called surer than one hand over the root of their
    number: three people who all press late agree well.

    Raises
    ------
    InputError
        Without a time, or with one that is none.
    """
    if not seconds or any(not math.isfinite(one) or one < 0.0 for one in seconds):
        raise InputError("write the time of each stopwatch, in seconds")
    count = len(seconds)
    mean = math.fsum(seconds) / count
    spread = math.sqrt(math.fsum((one - mean) ** 2 for one in seconds) / (count - 1)) if count > 1 else hand
    return Timed(mean, max(spread, hand) / math.sqrt(count), spread, count)


def _room(shortest: float) -> float:
    """Return by how much watches of one time may differ, s."""
    return max(min(APART, APART_SHORT * shortest), APART_LEAST) + APART_SHARE * shortest


def odd_one(seconds: Sequence[float]) -> float | None:
    """Return the one time of several that lies far from all the others, which agree; None where there is none."""
    if len(seconds) < 3:
        return None
    first, *_, last = ordered = sorted(seconds)
    low, high = ordered[1] - first, last - ordered[-2]
    odd, gap, others = (first, low, ordered[1:]) if low > high else (last, high, ordered[:-1])
    room = ODD * _room(others[0])
    return odd if gap > room and others[-1] - others[0] <= room else None


def too_far_apart(seconds: Sequence[float]) -> bool:
    """Say whether stopwatches differ by so much that their mean says nothing of the flight."""
    return len(seconds) > 1 and (max(seconds) - min(seconds) > _room(min(seconds)) or odd_one(seconds) is not None)


def apart_words(seconds: Sequence[float], of: str = "") -> str:
    """Say which stopwatches can't both be right, or which one lies far from the others; empty where none does.

    Parameters
    ----------
    of
        What they timed, such as "to the ground".
    """
    if not too_far_apart(seconds):
        return ""
    odd, of = odd_one(seconds), f" {of}" if of else ""
    if odd is None:
        return f"{min(seconds):g} s and {max(seconds):g} s{of} can’t both be right"
    others = sorted(seconds)
    others.remove(odd)
    ends = " and ".join(dict.fromkeys(f"{one:g} s" for one in (others[0], others[-1])))
    return f"{odd:g} s{of} can’t be right beside {ends}, which agree"


def fall_height(seconds: float) -> float:
    """Return how far something falls from rest in a time without any air, m: more than it does in air."""
    return 0.5 * GRAVITY * seconds**2


def hang_height(seconds: float) -> float:
    """Return g T²/8 for a time T in the air, m: up and down alike, without air; it never holds under a canopy."""
    return GRAVITY * seconds**2 / 8.0


def coast(speed: float, terminal: float) -> tuple[float, float, float, float]:
    """Return height, time up, time down and speed at the ground of a rocket that coasts straight up with square drag.

    Parameters
    ----------
    speed, terminal
        At the start, and the speed at which drag equals weight, m/s.
    """
    ratio = speed / terminal
    height = 0.5 * terminal**2 / GRAVITY * math.log1p(ratio**2)
    up = terminal / GRAVITY * math.atan(ratio)
    ground = terminal * ratio / math.sqrt(1.0 + ratio**2)
    down = terminal / GRAVITY * math.atanh(ground / terminal)
    return height, up, down, ground


def film_interval(frames_per_second: float) -> float:
    """Return the standard deviation of an interval between two frames of a film, s.

    Each of the two events lies anywhere within its frame: two rectangular distributions, 1/(f√6).
    """
    return 1.0 / (frames_per_second * math.sqrt(6.0))
