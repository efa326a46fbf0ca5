"""What a fit means, in plain words: each value before and after, and what these measurements can't tell apart."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.paths import value_at
from bottlewright.design.unit_habit import METRIC, UnitHabit
from bottlewright.design.unit_text import percent
from bottlewright.learn.fit import Fit
from bottlewright.learn.unknowns import GAUGE, NAMED, Unknown
from bottlewright.quantities import Basis

__all__ = ["CALLED", "INSIDE", "THOUGHT", "Known", "Together", "blind_words", "known", "listed", "together"]

Floats = NDArray[np.float64]

CALLED = {
    "height": "height", "time up": "time to the highest point", "time": "time in the air",
    "away": "distance of the landing", "bearing": "bearing of the landing", "speed": "greatest speed",
    "canopy": "time until the canopy is out", "water out": "time until the water is out",
    "sinking": "speed under the canopy", "true pressure": "pressure at the release",
    "impulse": "impulse on the thrust stand",
}  # fmt: skip
"""What a measurement is called in words."""

INSIDE = 0.9
"""Chance that a value lies within the ends that are said of it."""

THOUGHT = {Basis.TABLE: "the table thought", Basis.ASSUMED: "was assumed", Basis.MEASURED: "the design file says",
            Basis.LEARNED: "was learned before"}  # fmt: skip
"""Who thought so before, by the basis of a value."""
_LITTLE = 0.9
"""Share of its ± from which on nothing much was learned of a value: our judgement."""
_STRAINED = 2.0
"""Of its ± before: a value further off was hardly thought possible, so look for another cause first. Our judgement."""
_ALIKE, _OPEN = 0.98, 0.6
"""Values that move the readings in such proportion (cosine) can't be told apart while each keeps so much of its ±. Our
judgement."""


@dataclass(frozen=True, slots=True)
class Known:
    """One value before and after the flights, SI.

    Parameters
    ----------
    path, called
        Of the design, and in words.
    before, spread
        As the design had it. Of the gauge: nothing, and how far off it may show.
    after, low, high
        Its middle now, and the ends that it lies within nine times in ten. Of the gauge: more than it said.
    left
        Share of its ± that is left.
    off
        By how many of its ± it moved.
    thought
        Who thought so before.
    """

    path: str
    called: str
    before: float
    spread: float
    after: float
    low: float
    high: float
    left: float
    off: float
    thought: str

    @property
    def little(self) -> bool:
        """Whether nothing much was learned of it."""
        return self.left > _LITTLE

    @property
    def strained(self) -> bool:
        """Whether it came to lie where it was hardly thought possible."""
        return abs(self.off) > _STRAINED

    def sentence(self, habit: UnitHabit = METRIC) -> str:
        """Return what was learned of it."""
        named = f"{self.called[:1].upper()}{self.called[1:]}"
        if self.little:
            return f"{named}: these flights say next to nothing of it, so it stays as {self.thought}."
        same = self._size(self.after, habit) == self._size(self.before, habit)  # nothing, as it is written
        moved = f"as {self.thought}" if same else f"{self._moved(self.after, habit)} than {self.thought}"
        words = (f"{named}: {moved}; nine times in ten "
                 f"{self._between(habit)}. Its ± is {percent(self.left)} of what it was.")  # fmt: skip
        if self.strained:
            words += (" That is hardly possible by what was known before: look for another cause, such as a wrong "
                      "unit, before you believe it.")  # fmt: skip
        return words

    def _between(self, habit: UnitHabit) -> str:
        ends = self.low, self.high
        sides = [one >= self.before for one in ends]
        if sides[0] == sides[1]:
            less, more = sorted(ends, key=lambda one: abs(one - self.before))
            return f"{self._size(less, habit)} to {self._moved(more, habit)}"
        return f"between {self._moved(self.low, habit)} and {self._moved(self.high, habit)}"

    def _moved(self, value: float, habit: UnitHabit) -> str:
        lower, higher = {"recovery.delay": ("shorter", "longer"),
                         "measured.balance_point": ("further forward", "further back")}.get(
                             self.path, ("less", "more"))  # fmt: skip
        return f"{self._size(value, habit)} {higher if value >= self.before else lower}"

    def _size(self, value: float, habit: UnitHabit) -> str:
        gap = abs(value - self.before)
        if self.path == GAUGE:
            return habit.pressure(gap, 2)
        if self.path == "recovery.delay":
            return f"{gap:.2f} s"
        if self.path == "measured.balance_point":
            return habit.length(gap, 2)
        return f"{100.0 * gap / abs(self.before):.0f} %" if self.before else f"{gap:.3g}"

    def as_json(self) -> dict[str, object]:
        """Return it as plain values, SI; a factor has no unit."""
        return {"key": self.path, "before": self.before, "before_u": self.spread, "after": self.after,
                "low": self.low, "high": self.high, "share_of_spread_left": self.left,
                "moved_by_spreads": self.off}  # fmt: skip


def known(fit: Fit) -> list[Known]:
    """Return what is known of each value that was asked for by name, the one with the most learned first."""
    found = [_known(fit, number, one) for number, one in enumerate(fit.asked) if one.named]
    return sorted(found, key=lambda one: one.left)


def _known(fit: Fit, number: int, one: Unknown) -> Known:
    old = value_at(fit.launches[-1].design, one.path)
    start, step = (0.0, one.share * old.spread) if one.path == GAUGE else (old.value, old.spread)
    tail = 0.5 * (1.0 - INSIDE)
    mean, left = float(fit.posterior.mean[number]), float(fit.posterior.spread[number])
    low, high = (start + step * fit.posterior.quantile(number, share) for share in (tail, 1.0 - tail))
    thought = "the gauge said" if one.path == GAUGE else THOUGHT[old.basis]
    return Known(one.path, NAMED[one.path], start, step, start + step * mean, low, high, left, mean, thought)


def blind_words(fit: Fit) -> str:
    """Return which values these measurements say nothing of; empty where there is none."""
    names = [NAMED[one.path] for one in fit.blind]
    return f"Nothing that was measured says anything of {listed(names)}: still as the design has it." if names else ""


# --- what can't be told apart -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Together:
    """Values that these readings can't tell apart: in words, and what would part them."""

    paths: tuple[str, ...]
    words: str
    helps: str

    @property
    def sentence(self) -> str:
        """All of it."""
        return f"{self.words}: {self.helps}."


def together(fit: Fit) -> list[Together]:
    """Return the groups of values that move all readings alike, so that only their sum was learned."""
    spread = fit.posterior.spread
    open_ = [n for n, one in enumerate(fit.asked) if one.named and spread[n] > _OPEN and fit.moves[:, n].any()]
    groups: list[list[int]] = []
    for number in open_:
        home = next((group for group in groups if _cosine(fit.moves[:, number], fit.moves[:, group[0]]) > _ALIKE), None)
        if home is None:
            groups.append([number])
        else:
            home.append(number)
    kinds = list(dict.fromkeys(one.what for one in fit.readings))
    return [_together([fit.asked[n].path for n in group], kinds) for group in groups if len(group) > 1]


def _cosine(one: Floats, other: Floats) -> float:
    return abs(float(one @ other)) / float(np.linalg.norm(one) * np.linalg.norm(other))


_SURER = {
    GAUGE: "measure the pressure better (hold the gauge against a second one)",
    "nozzle.velocity_coefficient": "fire it once on a thrust stand",
    "measured.balance_point": "balance it on an edge once more",
}  # fmt: skip
_UP = ({"height": "the height", "time up": "the time to the highest point"},
       ("model.drag_factor", "nozzle.velocity_coefficient", "measured.balance_point", GAUGE))  # fmt: skip
_DOWN = ({"time": "the time in the air", "canopy": "on a film when the canopy is out"},
         ("recovery.drag_coefficient", "recovery.delay"))  # fmt: skip
"""What else could be measured, and which values that would part."""


def _together(paths: Sequence[str], kinds: Sequence[str]) -> Together:
    names = listed([NAMED[path] for path in paths])
    what = f"One {CALLED[kinds[0]]}" if len(kinds) == 1 else f"The {listed([CALLED[one] for one in kinds])}"
    helps = [_SURER[path] for path in paths if path in _SURER]
    missing = [words for add, parts in (_UP, _DOWN) if len(set(parts) & set(paths)) > 1
               for kind, words in add.items() if kind not in kinds]  # fmt: skip
    helps += [f"measure {listed(missing, 'or')} too"] if missing else []
    verb = "can't" if len(kinds) == 1 else "together can't"
    return Together(tuple(paths), f"{what} {verb} tell {names} apart; only what they do together was learned",
                    listed(helps, "or") if helps else "only another kind of measurement could")  # fmt: skip


def listed(names: Sequence[str], word: str = "and") -> str:
    """Return names as a sentence lists them."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {word} {names[-1]}"
