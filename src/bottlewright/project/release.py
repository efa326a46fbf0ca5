"""Letting the canopy out: how firmly a nose may sit, what would make it surer, and other ways for this rocket."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.project.result import Result
from bottlewright.project.watch import Progress, Stop, watching

if TYPE_CHECKING:
    from bottlewright.design.rewriting import Changes
    from bottlewright.flight.hold_window import HoldWindow
    from bottlewright.flight.release_changes import Tried
    from bottlewright.flight.release_ways import WayFlown
    from bottlewright.project.effects import Effect
    from bottlewright.project.letting_out import WayOffered
    from bottlewright.project.project import Project
    from bottlewright.report.style import Picture
    from bottlewright.verdict import Verdict

__all__ = ["ReleaseResult", "TriedRow", "WayRow", "release"]


@dataclass(frozen=True, slots=True)
class WayRow:
    """One way of letting the canopy out, in words.

    Parameters
    ----------
    says, own
        What lets it out, and whether it is the way of the design.
    odds
        How many flights in a hundred come to what: in time first.
    cost
        What its parts cost by the builder's prices.
    taken
        The way as somebody may take it.
    """

    says: str
    own: bool
    odds: str
    cost: str
    taken: "WayOffered"

    @property
    def mass(self) -> str:
        """What it adds to a rocket that has none."""
        return self.taken.mass

    @property
    def build(self) -> str:
        """Who can build it."""
        return self.taken.build


@dataclass(frozen=True, slots=True)
class TriedRow:
    """A change of a loose nose in words: what, the hold that is best with it, how many flights then open in time.

    Parameters
    ----------
    changes, effect, note
        What its button writes, what that changes, and what it leaves to do.
    """

    words: str
    hold: str
    count: str
    changes: "Changes"
    effect: "Effect"
    note: str = ""


@dataclass(frozen=True, eq=False, repr=False)
class ReleaseResult(Result):
    """What many flights say of letting the canopy out.

    Parameters
    ----------
    window
        Holds with which the nose comes off in time; None where no nose has to.
    tried, ways
        Changes of a loose nose, and other ways, each flown.
    """

    command: ClassVar[str] = "release"
    stages: ClassVar[tuple[str, ...]] = ("fly",)
    window: "HoldWindow | None"
    tried: "tuple[Tried, ...]"
    ways: "tuple[WayFlown, ...]"

    def _judge(self) -> "Verdict":
        from bottlewright.verdict import judge_alone

        return judge_alone(self.design, self.project.folder, proof=self.project.proved, flight=self.project.flown)

    @cached_property
    def counted(self) -> str:
        """How often it is let out in time, in words; empty where no mechanism is described."""
        return self.project.fly().let_out()

    @property
    def window_words(self) -> str:
        """How firmly the nose may sit, in words; empty where no nose has to come off."""
        from bottlewright.flight.hold_window import window_words

        return window_words(self.window, self.verdict.habit) if self.window else ""

    @cached_property
    def tried_rows(self) -> "tuple[TriedRow, ...]":
        """Each change, the hold that is best with it, and how many flights then open in time."""
        from bottlewright.flight.hold_window import hold_words
        from bottlewright.project.effects import effect_of

        return tuple(
            TriedRow(one.words, hold_words(one.best, self.verdict.habit), f"{one.in_time} of {one.flights}",
                     tuple(one.keys.items()), effect_of(self.project, one.keys.items()))
            for one in self.tried
        )  # fmt: skip

    @cached_property
    def way_rows(self) -> "tuple[WayRow, ...]":
        """The ways side by side, the surest first."""
        from bottlewright.flight.release_words import share_words
        from bottlewright.make.inputs import prices_beside
        from bottlewright.project.letting_out import offered

        prices, currency = prices_beside(self.design, self.project.folder), self.design.prices.currency
        return tuple(WayRow(one.words, one.own, share_words(one.share), _cost(one.parts, prices, currency),
                            offered(self.project, one.name)) for one in self.ways)  # fmt: skip

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        from bottlewright.flight.outcomes import FLOWN, by_mechanism, came_out

        window = self.window
        return {
            "name": self.design.name,
            "flights": FLOWN,
            "outcomes": {one.name.lower(): count for one, count in came_out(self.design).items()}
            if by_mechanism(self.design) else None,
            "hold_window": None if window is None else {
                "low_N": window.low, "high_N": window.high, "best_N": window.best, "best_share": window.best_share,
                "middle_flight_N": window.middle, "holds_N": window.holds, "share_in_time": window.shares},
            "tried": [{"words": one.words, "keys": dict(one.keys), "in_time": one.in_time, "flights": one.flights,
                       "best_N": one.best} for one in self.tried],
            "ways": [{"name": one.name, "words": one.words, "own": one.own, "flights": one.flights,
                      "mass_kg": one.mass.value, "mass_spread_kg": one.mass.spread, "parts": list(one.parts),
                      "keys": dict(one.keys),
                      **{outcome.name.lower(): share for outcome, share in one.share.items()}} for one in self.ways],
        }  # fmt: skip

    def words(self) -> str:
        """See `Result.words`."""
        lines = [self.design.name, "", *filter(None, (self.counted, self.window_words))]
        if self.tried:
            lines += ["", "Changes that were tried, each with the hold that is best for it and the ± of yours"]
            lines += [f"  {one.count:<12}{one.words}; hold {one.hold}" for one in self.tried_rows]
        if self.ways:
            lines += ["", "Ways side by side, in a hundred flights. A jam, a forgotten pin and a flat cell come on",
                      "top, as Field has them; masses and who can build it are our judgement."]  # fmt: skip
        for row in self.way_rows:
            own = ", yours" if row.own else ""
            lines += ["", f"  {row.says}{own}: {row.odds}", f"    adds {row.mass}; {row.cost}; {row.build}"]
        return "\n".join([*lines, ""])

    def _pictures(self) -> "list[Picture]":
        from bottlewright.flight.hold_course import hold_picture

        picture = hold_picture(self.design, self.project.flown, self.window)
        return [picture] if picture else []


def _cost(parts: tuple[str, ...], prices: Mapping[str, float], currency: str | None) -> str:
    """Return what parts cost by the builder's list, and which the list lacks."""
    if not parts:
        return "nothing to buy"
    lacking = [part.replace("-", " ") for part in parts if part not in prices]
    known = sum(prices[part] for part in parts if part in prices)
    if len(lacking) == len(parts):
        return f"not in your price list: {', '.join(lacking)}"
    rest = f", without {', '.join(lacking)}" if lacking else ""
    return f"{known:.2f} {currency or ''}".rstrip() + rest


def release(project: "Project", progress: Progress | None, stop: Stop | None) -> ReleaseResult:
    """Fly holds, changes and ways; see `Project.release`."""
    from bottlewright.flight.hold_window import hold_window
    from bottlewright.flight.release_changes import tried_changes
    from bottlewright.flight.release_ways import compare_ways

    with watching(progress, stop) as watch:
        watch.say("trying holds")
        window = hold_window(project.design)
        tried = tried_changes(project.design, watch.say)
        ways = compare_ways(project.design, say=watch.say)
        watch.say("done", 1.0)
    return ReleaseResult(project, window=window, tried=tuple(tried), ways=tuple(ways))
