"""Which knobs help against which finding, and which findings only another bottle helps against."""

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

__all__ = ["ANOTHER_BOTTLE", "FEW_FLIGHTS", "PLACES", "Cause", "cause_of"]

Combos = Sequence[tuple[str, ...]]


class Cause(NamedTuple):
    """How a kind of finding is cured.

    Parameters
    ----------
    codes
        Findings that a cure of one of them has to remove together.
    combos
        Knobs that are turned together, the last one finely.
    result
        Which number a cure ends with, in words: "margin", "landing", "guide" or none.
    """

    codes: frozenset[str]
    combos: Combos
    result: str = ""


_TOGETHER = ("span", "sweep", "position", "guide", "water", "clay")
_STEADY: Combos = [
    *((name,) for name in ("clay", "span", "position", "sweep", "root", "tip", "count", "guide", "water")),
    *combinations(_TOGETHER, 2),
    ("span", "position", "clay"), ("span", "guide", "clay"), ("span", "sweep", "clay"), ("guide", "water", "clay"),
    ("span", "sweep", "guide"), ("sweep", "water", "guide"), ("span", "water", "guide"), ("span", "position", "sweep"),
    ("skirt", "clay"), ("skirt", "guide", "clay"), ("skirt", "guide", "water", "clay"),
]  # fmt: skip
_SOFTER: Combos = [
    ("pressure",), ("water", "pressure"), ("clay", "pressure"), ("span", "pressure"), ("guide", "pressure"),
    ("guide", "clay", "pressure"), ("guide", "water", "pressure"),
]  # fmt: skip
_LIFTS: Combos = [("water",), ("more pressure",), ("less clay",), ("water", "more pressure")]

_CAUSES: tuple[Cause, ...] = (
    Cause(frozenset({"unstable", "margin-small", "turns-over"}), _STEADY, "margin"),
    Cause(frozenset({"margin-large"}), [("shorter span",), ("less clay",), ("guide",), ("shorter span", "guide")],
          "margin"),
    Cause(frozenset({"slow-off-guide"}), [("guide",), ("water",), ("more pressure",), ("guide", "water"),
                                          ("guide", "more pressure")], "guide"),
    Cause(frozenset({"never-left"}), _LIFTS, "guide"),
    Cause(frozenset({"stuck-on-seal"}), _LIFTS, "guide"),
    Cause(frozenset({"lands-under-pressure"}), [("tilt",), *_LIFTS], "landing"),
    Cause(frozenset({"tube-under-water"}), [("water",)], "guide"),
    Cause(frozenset({"heavy-rocket"}), [("less clay",)]),
    Cause(frozenset({"opens-too-late"}), [("shorter delay",), ("at apogee",), ("smaller parachute",), ("water",)],
          "landing"),
    Cause(frozenset({"opens-in-push"}), [("longer delay",), ("at apogee",)], "landing"),
    Cause(frozenset({"ballistic", "ballistic-with-people"}), [("parachute",), ("parachute", "clay")], "landing"),
    Cause(frozenset({"landing-energy"}), [("parachute",), ("parachute", "clay")], "landing"),
    Cause(frozenset({"tilt-beyond-rule"}), [("tilt",)]),
    Cause(frozenset({"tilt-level"}), [("tilt",)]),
    Cause(frozenset({"too-near-operator"}), [("operator",)]),
    Cause(frozenset({"too-near-pumper"}), [("pumper",)]),
    Cause(frozenset({"too-near-spectators"}), [("spectators",)]),
    Cause(frozenset({"crew-in-landing-zone"}), [("operator",), ("pumper",), ("crew",)]),
    Cause(frozenset({"spectators-in-landing-zone"}), [("spectators",)]),
    Cause(frozenset({"chance-too-high"}), [("pressure",), ("tilt",)]),
    Cause(frozenset({"wind-no-crew"}), [("operator",), ("pumper",), ("crew",)]),
    Cause(frozenset({"wind-no-spectators"}), [("spectators",)]),
    Cause(frozenset({"power-line-in-reach"}), [("launch point",), ("pressure",)]),
    Cause(frozenset({"stand-tips", "stand-slides"}), [("stakes",), ("weights",)]),
    Cause(frozenset({"pull-too-hard"}), [("turn",), *_SOFTER]),
    Cause(frozenset({"too-windy", "wind-no"}), [("calmer wind",)]),
    Cause(frozenset({"freezing"}), [("warmer water",), ("no frost",)]),
    Cause(frozenset({"too-warm"}), [("cooler water",)]),
    *(Cause(frozenset({code}), _SOFTER) for code in (
        "rating-within-error", "weakest-part", "gauge-range", "release-breaks", "pump-cannot-reach",
        "plug-lets-go-early", "handle-heavy", "splice-shear", "wall-stress",
    )),
)  # fmt: skip

_PRESSURE = ("over-", "under-rated-")
"""How codes begin that say: too much pressure for the bottle, for a rule, for the place, or for a part."""


def cause_of(code: str) -> Cause | None:
    """Return how a finding is cured; None where nothing that may be turned helps."""
    found = next((cause for cause in _CAUSES if code in cause.codes), None)
    if found is None and code.startswith(_PRESSURE):
        return Cause(frozenset({code}), _SOFTER)
    return found


PLACES = frozenset({
    "too-near-operator", "too-near-pumper", "too-near-spectators", "crew-in-landing-zone",
    "spectators-in-landing-zone",
})  # fmt: skip
"""Findings that people stand in the wrong place."""

FEW_FLIGHTS = frozenset({"crew-place-not-settled", "spectators-distance"})
"""Looks that the few flights of a trial leave open, whatever the rocket: none counts as new."""

ANOTHER_BOTTLE = frozenset({
    "retire", "stored-hot", "stored-in-sun", "surface-work", "failed-proof-test", "grown-for-good", "old-bottle",
    "not-pet", "improbable-pass", "retired-vessel",
})  # fmt: skip
"""Findings on what a bottle is and has been through: no key may be turned, and only another bottle helps."""
