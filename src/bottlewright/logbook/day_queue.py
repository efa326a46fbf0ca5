"""Whose turn it is: one launch of each rocket after the other, round by round, until all are done."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from bottlewright.logbook.day_plan import Turn
from bottlewright.logbook.day_state import Day, RocketNow
from bottlewright.logbook.day_table import STOP, day_table

__all__ = ["FLOWN", "InQueue", "current", "number_of", "queue"]

LATER = "later"
_BETWEEN = ("waiting", "field open")
"""States in which another rocket may go first."""
FLOWN = ("launched", "down", "field open")
"""States of a launch that left and is not over."""


_PRESSING = {STOP: 0, "venting": 2, "misfire wait": 3}


class InQueue(NamedTuple):
    """A launch under way or still to come: of which rocket, which of how many, whose, and where the rocket stands.

    `state` is `LATER` where the rocket has another launch before this one.
    """

    rocket: str
    number: int
    of: int
    who: str
    state: str
    vessel: str


def _turns(day: Day) -> tuple[Turn, ...]:
    return day.plan.turns or tuple(Turn(name, 1) for name in day.plan.rockets)


def number_of(now: RocketNow) -> int:
    """Return which launch of the day, from 1, a rocket is on: the one that flies until it is back, else the next.

    A misfire is no launch: the next try has its number.
    """
    return now.launched + (now.state not in FLOWN)


def queue(day: Day, by_hand: Mapping[str, int] | None = None) -> tuple[InQueue, ...]:
    """Return the launches under way or still to come, round by round; none of a rocket that launches no more.

    Parameters
    ----------
    by_hand
        Launches of a rocket that were begun by hand on this day: they have the numbers before.
    """
    table, left = day_table(), list[InQueue]()
    for index, turn in enumerate(turns := _turns(day)):
        now = day.rockets.get(turn.rocket)
        if now is None or table.states[now.state].last:
            continue
        earlier = sum(one.launches for one in turns[:index] if one.rocket == turn.rocket)
        done = max(number_of(now) - 1 - earlier, 0)
        of = sum(one.launches for one in turns if one.rocket == turn.rocket)
        vessel = day.plan.rockets[turn.rocket].vessel
        left += [InQueue(turn.rocket, earlier + number, of, turn.who,
                         now.state if earlier + number == number_of(now) else LATER, vessel)
                 for number in range(done + 1, turn.launches + 1)]  # fmt: skip
    order = {turn.rocket: place for place, turn in reversed(list(enumerate(turns)))}
    before, in_order = by_hand or {}, sorted(left, key=lambda one: (one.number, order[one.rocket]))
    return tuple(one._replace(number=one.number + before.get(one.rocket, 0), of=one.of + before.get(one.rocket, 0))
                 for one in in_order)  # fmt: skip


def current(day: Day, chosen: str = "") -> str | None:
    """Return the rocket that people look at now: one that is under way, else the next in the queue.

    Parameters
    ----------
    chosen
        The one that somebody chose: it is looked at unless another may be under pressure or flies.
    """
    states = day_table().states
    if chosen in day.rockets and (states[day.rockets[chosen].state].pressure != "none" or all(
            states[now.state].pressure == "none" for now in day.rockets.values())):  # fmt: skip
        return chosen
    return next(_under_way(day), None) or next((one.rocket for one in queue(day)), None)


def _under_way(day: Day) -> Iterator[str]:
    """Yield rockets that are between waiting and field open, what may be under pressure first.

    Of several the one comes first whose pressure nobody lets off yet, and last what waits at zero.
    """
    table, rockets = day_table(), sorted(day.rockets.items(), key=lambda one: _PRESSING.get(one[1].state, 1))
    for kind in ("may be", "flying", "none"):
        for name, now in rockets:
            state = table.states[now.state]
            if state.pressure == kind and now.state not in _BETWEEN and not state.last:
                yield name
    yield from (name for name, now in day.rockets.items() if now.state == "field open")  # it is fetched first
