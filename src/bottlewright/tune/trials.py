"""Fly trials of a load with common random numbers, and hold each against the limits that always apply."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import METRIC, UnitHabit, unit_habit
from bottlewright.design.unit_text import percent
from bottlewright.design.wishes import Wish
from bottlewright.flight.findings import limit
from bottlewright.quantities import show
from bottlewright.tune.aims import Aim, low_end
from bottlewright.tune.search import Trials, merit
from bottlewright.tune.variables import Variable

__all__ = [
    "FlyBatch", "Held", "Room", "Workbench", "acceleration", "guide_speed", "inside_the_field", "limits_of",
    "stability", "wished",
]  # fmt: skip

Floats = NDArray[np.float64]
FlyBatch = Callable[[Any], Any]
"""Fly a batch of flights and return their summaries."""

FIRST = 5
"""Of a trial's many flights one in so many may settle that it is beyond a limit."""

Room = tuple[Callable[[Floats], Floats], float]
"""How far landings (m east and north) lie inside the field, m, and the accepted chance of leaving it."""


class Held(NamedTuple):
    """A limit that holds on every trial.

    Parameters
    ----------
    name, says, source
        For words.
    slack
        From summaries of shape (trials, flights): how far inside the limit, as a share of it.
    reach
        Share of flights that keep to it where it is kept.
    at
        Writes the value that belongs to a slack.
    """

    name: str
    says: str
    source: str
    slack: Callable[[Any], Floats]
    reach: float
    at: Callable[[float], str] = lambda slack: f"{percent(abs(slack))} {'inside' if slack >= 0.0 else 'beyond'} it"

    @property
    def broken(self) -> str:
        """What a load breaks that does not keep to it, in words."""
        return f"the {self.name}, {self.says} ({self.source})"


class Workbench:
    """Trials of one design: the same sampled flights under every trial, so that trials differ by their load alone.

    Parameters
    ----------
    batch
        Sampled parameters of the design, one row per flight.
    variables
        What a trial sets, in this order.
    aim
        What makes a trial good.
    held
        The limits.
    fly
        Flies a batch.
    """

    def __init__(
        self, batch: Any, variables: Sequence[Variable], aim: Aim, held: Sequence[Held], fly: FlyBatch
    ) -> None:
        self.batch, self.variables, self.aim, self.held, self.fly = batch, list(variables), aim, list(held), fly
        self.flown = 0

    def stacked(self, points: Floats, which: Any = slice(None)) -> Any:
        """Return a batch of shape (trials, flights), of all flights or some."""
        stacked = np.tile(self.batch[which], (len(points), 1))
        for column, variable in enumerate(self.variables):
            variable.change(stacked, points[:, column, None])
        _keep_possible(stacked)
        return stacked

    def flights(self, points: Floats, which: Any = slice(None)) -> Any:
        """Return summaries of shape (trials, flights), of all flights or some."""
        stacked = self.stacked(points, which)
        self.flown += stacked.size
        return self.fly(stacked.ravel()).reshape(stacked.shape)

    def pressures(self, points: Floats) -> Floats:
        """Return the middle gauge pressure of each trial, Pa."""
        for column, variable in enumerate(self.variables):
            if variable.name == "pressure":
                return points[:, column]
        return np.full(len(points), float(np.mean(self.batch["pressure_gauge"])))

    def judge(self, points: Floats, flights: Any) -> Trials:
        """Return worth and slacks of trials that are flown."""
        slacks = [held.slack(flights) for held in self.held]
        short = self.aim.shortfall(flights)
        slacks += [short] if short is not None else []
        shape = np.stack(slacks, axis=1) if slacks else np.ones((len(points), 1))
        return Trials(self.aim.worth(flights, self.pressures(points)), shape)

    def evaluate(self, points: Floats) -> Trials:
        """Fly trials and judge them."""
        return self.judge(points, self.flights(points))

    def worst_first(self, flights: Any) -> NDArray[np.int64]:
        """Return the order of one trial's flights, of shape (1, flights), from the one nearest to trouble on."""
        alone = flights.reshape(-1, 1)
        slacks = [held.slack(alone) for held in self.held]
        return np.argsort(np.min([*slacks, np.full(len(alone), np.inf)], axis=0), kind="stable")

    def weighed(self, points: Floats, top: Floats, best: float) -> Floats:
        """Fly trials beside one that flies well and return their merits; `best`, its own, of those that don't beat it.

        The flights that do worst under it fly first. What more of them stay under than the aim grants, or a limit, the
        others can't make good, and they are not flown.
        """
        if best < 0.0 or self.aim.name == "least pressure":
            return merit(self.evaluate(points))
        well, count = self.flights(top[None]), len(self.batch)
        worst = [np.argsort(self._worths(well.ravel()), kind="stable"), self.worst_first(well)]
        few = np.unique(np.concatenate([order[: count // FIRST] for order in worst]))
        flown = self.flights(points, few)
        under = merit(Trials(self._worths(flown.ravel()), np.ones((flown.size, 1)))).reshape(flown.shape) <= best
        settled = np.count_nonzero(under, axis=1) > (1.0 - self.aim.reach) * (count - 1)
        for held in self.held:
            beyond = (held.slack(flown.reshape(-1, 1)) < 0.0).reshape(flown.shape)
            settled |= np.count_nonzero(beyond, axis=1) > (1.0 - held.reach) * (count - 1) + 1.0
        merits = np.full(len(points), best)
        if not settled.all():
            merits[~settled] = merit(self.evaluate(points[~settled]))
        return merits

    def _worths(self, flights: Any) -> Floats:
        """Return the worth of each flight as if it were a trial of its own."""
        return self.aim.worth(flights.reshape(-1, 1), np.zeros(len(flights)))

    def kept(self, point: Floats, order: NDArray[np.int64]) -> Any | None:
        """Fly one trial and return its flights, of shape (1, flights); None where it is beyond a limit.

        The flights go in an order in which the first tend to be the worst. Once more of them are beyond a limit than it
        grants to all, the others can't change that and are not flown. So first fly as many as that takes, and a few.
        """
        granted = [(1.0 - held.reach) * (len(order) - 1) + 1.0 for held in self.held]
        enough = sorted({min(int(1.1 * most) + 2, len(order) // FIRST) for most in granted})
        parts = np.split(order, [*enough, len(order) // FIRST])
        flown: list[Any] = []
        for part in parts:
            flown.append(self.flights(point[None], part))
            alone = np.concatenate(flown, axis=1).reshape(-1, 1)
            beyond = (np.count_nonzero(held.slack(alone) < 0.0) for held in self.held)
            if any(count > most for count, most in zip(beyond, granted, strict=True)):
                return None
        flights = np.empty((1, len(order)), flown[0].dtype)
        flights[:, order] = np.concatenate(flown, axis=1)
        return flights if (self.judge(point[None], flights).slacks >= 0.0).all() else None


def _keep_possible(batch: Any) -> None:
    np.clip(batch["water"], 0.0, 0.98 * batch["vessel_volume"], out=batch["water"])
    np.minimum(batch["bore"], batch["neck_bore"], out=batch["bore"])
    np.maximum(batch["pressure_gauge"], 1e3, out=batch["pressure_gauge"])


def stability(reach: float) -> Held:
    """Hold the least static margin of the flight against its limit."""
    row = limit("margin_least")

    def slack(flights: Any) -> Floats:
        return low_end(flights["static_margin_min_calibres"], reach) / row.value - 1.0

    return Held("static margin", row.says, row.source, slack, reach)


def guide_speed(wind: float, reach: float, habit: UnitHabit = METRIC) -> Held:
    """Hold the speed off the guide against the wind (m/s)."""
    row = limit("wind_ratio")
    needed = row.value * wind

    def slack(flights: Any) -> Floats:
        return low_end(flights["guide_exit_speed_m_s"], reach) / max(needed, 1e-9) - 1.0

    return Held("speed off the guide", f"{row.says}; here that is {habit.speed(needed, 2)}", row.source, slack,
                reach)


def wished(wish: Wish, reach: float, habit: UnitHabit = METRIC) -> Held:
    """Hold the flights against a limit of the builder's own: the wanted share of them has to keep to it."""
    name, write = _WISHED[wish.figure]
    sign = 1.0 if wish.bound == "least" else -1.0

    def slack(flights: Any) -> Floats:
        return sign * (low_end(sign * flights[wish.figure], reach) * sign / wish.value - 1.0)

    def at(slack: float) -> str:
        return write(habit, wish.value * (1.0 + sign * slack))

    return Held(name, wish.text, "tune.want, yours", slack, reach, at)


_WISHED: dict[str, tuple[str, Callable[[UnitHabit, float], str]]] = {
    "apogee_m": ("height", lambda habit, value: habit.distance(value)),
    "flight_time_s": ("time in the air", lambda _, value: show(value, "s")),
    "landing_speed_m_s": ("speed at touch down", lambda habit, value: habit.speed(value)),
    "max_acceleration_m_s2": ("push on the payload", lambda _, value: f"{value / 9.80665:.0f} times gravity"),
}
"""Name of each figure that can be wished for, and how its value is written."""


def acceleration(most_g: float, reach: float) -> Held:
    """Hold the payload's greatest acceleration against what it stands, over standard gravity."""

    def slack(flights: Any) -> Floats:
        return 1.0 + low_end(-flights["max_acceleration_m_s2"], reach) / (most_g * 9.80665)

    return Held("acceleration", f"at most {most_g:g} g", "tune.most_g, yours", slack, reach)


def inside_the_field(room: Callable[[Floats], Floats], allowed: float) -> Held:
    """Hold the landings against the field: all but the accepted share have to lie inside. Slack counts in 50 m of room.

    Parameters
    ----------
    room
        Distance (m) of landings, rows of metres east and north, from what they must not reach, negative outside.
    allowed
        Accepted chance of leaving.
    """

    def slack(flights: Any) -> Floats:
        landings = np.stack([flights["landing_east_m"], flights["landing_north_m"]], axis=-1)
        flat = np.nan_to_num(landings.reshape(-1, 2), nan=0.0)
        kept = room(flat).reshape(landings.shape[:-1])
        return np.asarray(np.quantile(kept, allowed, axis=-1), float) / 50.0

    return Held("landing inside the field", f"at most {percent(allowed)} of flights leave it",
                "our judgement, or yours", slack, 1.0 - allowed)


def limits_of(design: Design, aim: Aim, room: Room | None) -> list[Held]:
    """Return all that holds on every load of a design: what always does, its field, and what its builder adds."""
    reach = max(aim.reach, 0.9)
    wind = design.weather.wind_speed.value if design.weather.wind_speed else 0.0
    held = [stability(reach), guide_speed(wind, reach, unit_habit(design))]
    if room is not None:
        held.append(inside_the_field(*room))
    if design.tune.most_g is not None:
        held.append(acceleration(design.tune.most_g.value, reach))
    figures = ("apogee_m", "flight_time_s", "landing_speed_m_s", "max_acceleration_m_s2")
    limits = (wish for wish in design.tune.want if wish.bound in ("least", "most") and wish.figure in figures)
    return held + [wished(wish, aim.reach, unit_habit(design)) for wish in limits]
