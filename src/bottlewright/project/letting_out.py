"""How the canopy comes out, as pages tell of it: the ways to choose from, what each would change, and its values."""

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from bottlewright.design.rewriting import Changes
    from bottlewright.project.editing import Values
    from bottlewright.project.effects import Effect
    from bottlewright.project.project import Project

__all__ = [
    "MECHANISM_LABELS", "ComesOut", "WayOffered", "comes_out", "mechanism_fields", "offered", "without_old_tries",
]  # fmt: skip

_AT = "recovery.mechanism"
_NOSE = {"hold": "pull that just draws the nose off", "shoulder": "shoulder of the seat", "seat": "seat, across",
         "nose_mass": "nose weighs, with all in it", "nose_centre": "nose balances, from its tip",
         "cavity": "room under the nose", "vents": "holes into it", "vent_bore": "each hole, across"}  # fmt: skip
_PUSH = {"push": "push on the seated nose", "push_end": "push at the end of its way",
         "push_stroke": "way that it pushes"}  # fmt: skip
_TIMER = {"time": "timer runs", "start": "starts late by", "starts": "timer starts at"}
_LATCH = {"latch_level": "push in g that moves the latch", "latch_time": "for at least", "latch_travel": "it moves by"}
_TRIPS: dict[str, dict[str, str]] = {
    "wind-up timer": _TIMER, "servo timer": _TIMER,
    "barometer": {"drop": "drop below the top", "lag": "reading lags by", "locked": "locked after the push for"},
    "gyro": {"angle": "turned by"}, "low airspeed": {"airspeed": "opens below"}, "free fall": {"felt": "under, in g"},
}  # fmt: skip
_FLAP = {"airspeed": "flap opens below", "flap_area": "flap, area", "flap_arm": "its middle from the hinge",
         "flap_band": "band pulls with", "flap_band_arm": "band from the hinge"}  # fmt: skip
_ACT = {"act": "from the trip until it is open"}

MECHANISM_LABELS = {
    f"{_AT}.{key}": label
    for labels in (_NOSE, _PUSH, *_TRIPS.values(), _LATCH, _FLAP, _ACT) for key, label in labels.items()
}  # fmt: skip
"""What a page calls the keys of `Mechanism` that it has fields for."""


class WayOffered(NamedTuple):
    """A way of letting the canopy out that somebody may take.

    Parameters
    ----------
    name, says, own
        Its name, what lets it out, and whether it is that of the design.
    mass, build
        What it adds to a rocket that has none, and who can build it.
    changes, effect
        What its button writes, and what that changes; nothing for the design's own way.
    note
        What its button leaves for the builder to do; empty where nothing.
    """

    name: str
    says: str
    own: bool
    mass: str
    build: str
    changes: "Changes"
    effect: "Effect | None"
    note: str


class ComesOut(NamedTuple):
    """How the canopy comes out: what, whether that is described, and the ways to choose from."""

    what: str
    described: bool
    ways: tuple[WayOffered, ...]


def comes_out(project: "Project") -> ComesOut | None:
    """Return the ways that fit a rocket with a canopy or a streamer; None for others. Each is flown once."""
    from bottlewright.flight.release_choice import ways_for

    design = project.design
    names = ways_for(design)
    if not names:
        return None
    return ComesOut(design.recovery.kind, design.recovery.mechanism is not None,
                    tuple(offered(project, name) for name in names))  # fmt: skip


def offered(project: "Project", name: str) -> WayOffered:
    """Return one way as it may be taken."""
    from bottlewright.design.unit_habit import unit_habit
    from bottlewright.flight.release_choice import CARRIED, changes_to, is_own, rows_of
    from bottlewright.project.effects import effect_of
    from bottlewright.quantities import Dimension, parse_quantity

    design, row = project.design, rows_of()[name]
    habit, mass = unit_habit(design), parse_quantity(row["mass"], Dimension.MASS)
    changes = changes_to(design, name)
    carried = any(key.startswith("mass.") for key, _ in changes)
    return WayOffered(
        name, row["says"], is_own(design, name),
        f"{habit.mass(mass.value, 2)}, give or take {habit.mass(mass.spread, 1)}", row["build"], changes,
        effect_of(project, changes) if changes else None,
        "" if carried or not changes else
        "What the way before weighs stands among the parts under a name of yours, so no mass is added here: put "
        f"{habit.mass(mass.value, 2)} in its place, or name it “{CARRIED}” first.",
    )  # fmt: skip


def mechanism_fields(project: "Project") -> tuple[tuple[str, str], ...]:
    """Return keys with labels of all that the design's way has a value for, in the order that it is built."""
    from bottlewright.design.mechanism import NOSE_WAYS, TIMERS

    mechanism = project.design.recovery.mechanism
    if mechanism is None or project.design.recovery.kind == "none":
        return ()
    keys = dict(_NOSE) if mechanism.way in NOSE_WAYS else {}
    if mechanism.cavity != "vented":
        keys = {key: label for key, label in keys.items() if not key.startswith("vent")}
    keys |= _PUSH if mechanism.way == "sprung nose" else {}
    keys |= _FLAP if mechanism.way == "air flap" else _TRIPS.get(mechanism.trip, {})
    keys |= _LATCH if mechanism.trip in TIMERS and mechanism.starts == "end of push" else {}
    keys |= _ACT if mechanism.way != "loose nose" else {}
    return tuple((f"{_AT}.{key}", label) for key, label in keys.items())


def without_old_tries(project: "Project", values: "Values") -> "Values":
    """Return a change that takes the counted tries out where another thing then opens or lets go: they were of the old.

    Odds that somebody put a name to must not pass to a mechanism that nobody tried.
    """
    from bottlewright.design.rewriting import writes

    design = project.design
    mechanism = design.recovery.mechanism
    now = {} if mechanism is None else {f"{_AT}.way": mechanism.way, f"{_AT}.trip": mechanism.trip}
    if all(values.get(key, word) in (word, None if word == "none" else word) for key, word in now.items()):
        return values
    old = sorted(key for key in writes(design) if key.startswith(f"{_AT}.tests."))
    return {**values, **{key: None for key in old if key not in values}}
