"""Verdicts on what lets the canopy out: can it work, when does it, what does it load, what springs at whom."""

import math
from collections.abc import Iterator

from bottlewright.design.air_flap import FLAP_SIZES, flap_airspeed
from bottlewright.design.descents import descent_of, sentence, while_driven
from bottlewright.design.document import Design
from bottlewright.design.mechanism import TIMERS, Mechanism
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.canopy_links import weakest
from bottlewright.flight.descent_findings import FURTHER_AFT
from bottlewright.flight.findings import limit
from bottlewright.flight.fly import Flight
from bottlewright.flight.outcomes import (
    FLOWN,
    Outcome,
    by_mechanism,
    came_out,
    middle_hold_window,
    time_window,
)
from bottlewright.quantities import Basis, value_of

__all__ = ["release_findings"]

_OURS = "our judgement"
_DERIVED = "mechanics, docs/physics/recovery.md"
_SURER = "A spring or rubber behind a latch, or a side door, opens whatever the hold is."
_TRY = "Fly tries other holds, holes, ballast and ways on this rocket, and says how many flights then open in time."


def _wider(mechanism: Mechanism) -> str:
    """Return what makes a nose that is held by its seat alone come off in time more often."""
    if mechanism.way != "loose nose":
        return f"{_SURER} {_TRY}"
    holes = "" if mechanism.cavity == "vented" else ", or put vent holes just behind it, which hold it while it is fast"
    return f"{_SURER} To keep the loose nose, change its hold{holes}. {_TRY}"


def release_findings(design: Design, flight: Flight) -> Iterator[Finding]:
    """Judge the mechanism of one flight; where none is described, say that nobody can."""
    mechanism, habit = design.recovery.mechanism, unit_habit(design)
    if design.recovery.kind == "none" or design.recovery.release == "never":
        return
    if mechanism is None:
        yield _not_described(design)
        return
    if not by_mechanism(design):
        yield _left_out(design)
        return
    yield from _can_not_work(mechanism)
    yield from _flap_disagrees(mechanism, float(flight.vehicle["air"][1]), habit)
    yield from _in_push(mechanism, flight, design)
    yield from _on_the_launcher(mechanism, float(flight.vehicle["gravity"]), habit)
    yield from _never(design, mechanism, flight)
    yield from _window(design, mechanism, habit)
    yield from _often_wrong(design, mechanism)
    yield from _timer_band(design, mechanism)
    yield from _too_fast(design, flight, habit)
    yield from _tears(design, flight, habit)
    yield from _springs(mechanism)


def _not_described(design: Design) -> Finding:
    """Say that the flight opens by assumption alone: a heavy fall must not hide behind a parachute on paper."""
    comes = descent_of(design.recovery).comes
    moment = "at the top of every flight" if design.recovery.release == "apogee" else "on time in every flight"
    return Finding(
        Level.UNCHECKED, Stage.FLY, "release-not-described", f"Nobody has said what makes sure that {comes}",
        f"every flight here takes it that {comes} {moment}; a real one may stay in, and the rocket then "
        "falls at full speed", "what lets it out is described, and its odds are counted", _OURS,
        'Choose a way: the page Sketch puts it into the design (the command `release` says what to write under '
        '[recovery.mechanism]). Try it on the ground. Until then keep everybody out of where it can fall unslowed.',
    )  # fmt: skip


def _left_out(design: Design) -> Finding:
    return Finding(
        Level.LOOK, Stage.FLY, "mechanism-not-flown", "A mechanism is described, and this flight is let out without it",
        f'recovery.release = "{design.recovery.release}"', "the flight has what the rocket has", _OURS,
        'Write recovery.release = "by its mechanism", or take that line out.',
    )  # fmt: skip


def _can_not_work(mechanism: Mechanism) -> Iterator[Finding]:
    if mechanism.trip == "tilt ball":
        yield Finding(
            Level.STOP, Stage.FLY, "switch-can-not-work",
            "The canopy comes out as the push ends, at the greatest speed",
            "a ball, a pendulum or mercury feels no gravity in free flight: it feels the air's drag, and falls forward "
            "as the push ends", "a switch that feels the top of the flight", _DERIVED,
            "Take a timer, a barometer or a gyro. A ball or latch that falls forward can start a timer: "
            'starts = "end of push".',
        )  # fmt: skip
    elif mechanism.trip == "free fall":
        yield Finding(
            Level.LOOK, Stage.FLY, "switch-feels-speed", "A free-fall switch feels low speed, not the top",
            f"under {value_of(mechanism.felt):.2g} g it trips on the way up, and not at all where the rocket stays "
            "fast over the top", "a switch that feels the top of the flight", _DERIVED,
            "Take a timer, a barometer or a gyro, or fly it many times here and look at the odds in Field.",
        )  # fmt: skip


def _flap_disagrees(mechanism: Mechanism, density: float, habit: UnitHabit) -> Iterator[Finding]:
    """Look at a flap that by its sizes opens at another airspeed than the builder gives."""
    given, own = mechanism.airspeed, flap_airspeed(mechanism, density)
    sizes = [getattr(mechanism, name) for name in FLAP_SIZES]
    if mechanism.way != "air flap" or given is None or own is None:
        return
    if any(one.basis is not Basis.MEASURED for one in (given, *sizes)):
        return
    if abs(own.value - given.value) > 2.0 * math.hypot(own.spread, given.spread):
        yield Finding(
            Level.LOOK, Stage.FLY, "flap-sizes-disagree", "The flap opens at another airspeed than this flight has it",
            f"airspeed {habit.speed(given.value, 2)}; by area, band and arms {habit.speed(own.value, 2)}, give or take "
            f"{habit.speed(own.spread, 1)}", "the two agree within twice their ±", _DERIVED,
            "Take recovery.mechanism.airspeed out, and it follows from the sizes; or weigh the band's pull again.",
        )  # fmt: skip


def _in_push(mechanism: Mechanism, flight: Flight, design: Design) -> Iterator[Finding]:
    """Stop a timer that ends in the push; look at one that easily may."""
    end = flight.summary["gas_out_time_s"]
    if mechanism.trip not in TIMERS or mechanism.time is None or mechanism.starts != "launch" or math.isnan(end):
        return
    due = mechanism.time.value + value_of(mechanism.start)
    spread = math.hypot(mechanism.time.spread, mechanism.start.spread if mechanism.start else 0.0)
    if due - 2.0 * spread < end:
        yield Finding(
            Level.STOP if due < end else Level.LOOK, Stage.FLY, "opens-in-push",
            while_driven(design.recovery),
            f"the timer ends {due:.2f} s after launch, give or take {spread:.2g} s; the last air leaves after "
            f"{end:.2f} s", "out after the last air has left", _OURS,
            f"Set the timer to {flight.summary['apogee_time_s']:.1f} s or a little more, and time ten runs of it.",
        )  # fmt: skip


def _on_the_launcher(mechanism: Mechanism, gravity: float, habit: UnitHabit) -> Iterator[Finding]:
    """Stop a spring without a latch that lifts its nose off before the launch."""
    push, hold = value_of(mechanism.push), value_of(mechanism.hold)
    held = hold + value_of(mechanism.nose_mass) * gravity
    if mechanism.way == "sprung nose" and mechanism.trip == "none" and push > held:
        yield Finding(
            Level.STOP, Stage.FLY, "opens-on-launcher", "The spring pushes the nose off before the launch",
            f"it pushes with {habit.force(push, 2)}; hold and weight of the nose are {habit.force(held, 2)}",
            "nothing pushes harder than what holds", _DERIVED,
            "Put a latch over the nose, and name what frees it in recovery.mechanism.trip; or take a weaker spring.",
        )  # fmt: skip


_NEVER = {
    "none": "the pull at the nose never reaches its hold",
    "low airspeed": "the airspeed never falls that low",
    "free fall": "it never feels so little force: it stays fast over the top",
    "gyro": "the rocket never turns that far", "barometer": "it never reads that drop before the ground comes",
    "wind-up timer": "the ground comes before the timer ends", "servo timer": "the ground comes before the timer ends",
}  # fmt: skip
_ARMING = math.sqrt(2.0)
"""Airspeed that arms a flap or switch, over the one that it opens at: twice the dynamic pressure (our judgement)."""
_SOONER = {
    "low airspeed": "Take a smaller flap, a stronger band or another switch, or a timer.",
    "free fall": "Take a timer, a barometer or a gyro.", "gyro": "Set a smaller angle.",
    "barometer": "Set a smaller drop or a shorter lock.", "wind-up timer": "Set a shorter time.",
    "servo timer": "Set a shorter time.",
}  # fmt: skip


def _latched(mechanism: Mechanism, habit: UnitHabit) -> str:
    """Say what a latch that starts a timer asks of the push; nothing where none does."""
    if mechanism.trip not in TIMERS or mechanism.starts != "end of push":
        return ""
    return (f"; or the latch that starts it stays shut: it asks for more than {value_of(mechanism.latch_level):.2g} g, "
            f"for {value_of(mechanism.latch_time):.2g} s and until it has moved "
            f"{habit.length(value_of(mechanism.latch_travel))}")  # fmt: skip


def _never(design: Design, mechanism: Mechanism, flight: Flight) -> Iterator[Finding]:
    """Stop a mechanism that nothing trips in this flight, and say why."""
    trip = "low airspeed" if mechanism.way == "air flap" else mechanism.trip
    if not flight.complete or math.isfinite(flight.summary["trip_time_s"]) or trip not in _NEVER:
        return
    why, sooner = _NEVER[trip] + _latched(mechanism, unit_habit(design)), _SOONER.get(trip) or _wider(mechanism)
    if trip == "low airspeed" and flight.summary["max_speed_m_s"] < _ARMING * value_of(mechanism.airspeed):
        why = f"the rocket never flies {_ARMING:.1f} times as fast as it opens at, which arms it"
        sooner = "Take a larger flap or a weaker band, so that it opens at a lower airspeed, or a timer."
    yield Finding(
        Level.STOP, Stage.FLY, "never-lets-go", f"Nothing trips the release, so {descent_of(design.recovery).stays}",
        why, "tripped well before the ground", _DERIVED, sooner,
    )  # fmt: skip


def _window(design: Design, mechanism: Mechanism, habit: UnitHabit) -> Iterator[Finding]:
    """Hold a loose nose, or a sprung one without a latch, against the holds with which it comes off in time."""
    hold = mechanism.hold
    if mechanism.trip != "none" or mechanism.way == "air flap" or hold is None:
        return
    window = middle_hold_window(design)
    if window is None:
        yield Finding(
            Level.STOP, Stage.FLY, "hold-has-no-window", "No hold that a hand can set lets the canopy out in time",
            f"held loosely it comes off too early, held firmly it stays on; yours is "
            f"{habit.force(hold.value, 2)}{'' if hold.basis is Basis.MEASURED else ', which nobody has measured'}",
            "some hold with which it opens near the top", _DERIVED, _wider(mechanism),
        )  # fmt: skip
        return
    low, high = window
    factor = 1.0 + hold.spread / hold.value if hold.value > 0.0 else 1.0
    said = f"{habit.force(hold.value, 2)}, and easily {factor:.1f} times more or less"
    inside = low <= hold.value <= high
    if inside and low <= hold.value / factor and hold.value * factor <= high:
        return
    what = (
        "The nose comes off too early" if hold.value < low else
        "The nose stays on until it is too late, or for good" if hold.value > high else
        "The nose may come off too early, or stay on"
    )  # fmt: skip
    most = f"to {habit.force(high, 2)}" if math.isfinite(high) else "upwards"
    yield Finding(
        Level.LOOK if inside else Level.STOP, Stage.FLY, "hold-outside-window", what, said,
        f"a hold from {habit.force(low, 2)} {most}, by this flight: enough as the push ends, and little enough as the "
        "rocket turns over", _DERIVED, _wider(mechanism),
    )  # fmt: skip


_FEELS = ("none", "low airspeed", "free fall")
"""Trips that wait for what a flight may never bring, or bring too soon: they are flown many times."""


def _often_wrong(design: Design, mechanism: Mechanism) -> Iterator[Finding]:
    """Fly what depends on how the rocket turns over with every ± drawn; a timer's or a sensor's odds are left to Field.

    The middle flight may open in time where a third of the flights don't.
    """
    if mechanism.trip not in _FEELS and design.recovery.kind != "tumble":
        return
    counted, held = came_out(design), limit("release_wrong")
    wrong = FLOWN - counted[Outcome.IN_TIME]
    if wrong <= held.value * FLOWN:
        return
    never = "nose first all the way" if design.recovery.kind == "tumble" else "never"
    words = {Outcome.NEVER: never, Outcome.EARLY: "early", Outcome.LATE: "too low", Outcome.TORN: "torn"}
    seen = [f"{word} in {count}" for outcome, word in words.items() if (count := counted[outcome])]
    yield Finding(
        Level.STOP if wrong > FLOWN / 2 else Level.LOOK, Stage.FLY, "release-often-wrong",
        _often(design),
        f"{', '.join(seen)} of {FLOWN} flights with every ± drawn", held.says, held.source,
        FURTHER_AFT if design.recovery.kind == "tumble" else
        _wider(mechanism) if mechanism.way == "loose nose" else
        "A timer, a barometer or a gyro opens whatever the speed is.",
    )  # fmt: skip


def _often(design: Design) -> str:
    kind = design.recovery.kind
    return (
        f"The {kind} often does not come out when it should" if kind in ("parachute", "streamer") else
        "The rocket often stays nose first, or comes down fast" if kind == "tumble" else
        f"Often it goes wrong that {descent_of(design.recovery).comes}"
    )  # fmt: skip


def _timer_band(design: Design, mechanism: Mechanism) -> Iterator[Finding]:
    """Look at a timer that twice its ± takes out of the times with which the middle flight opens in time."""
    if mechanism.trip not in TIMERS or mechanism.time is None:
        return
    window = time_window(design)
    time, spread = mechanism.time.value, 2.0 * mechanism.time.spread
    if window is None or window[0] <= time - spread <= time + spread <= window[1]:
        return
    low, high = window
    yield Finding(
        Level.LOOK, Stage.FLY, "timer-near-its-edge", "The timer may let the canopy out too early or too low",
        f"set to {time:.2f} s, and easily {spread:.2g} s off either way",
        f"between {low:.1f} s and {high:.1f} s, by this flight: not in fast air on the way up, and high enough to fill",
        _DERIVED,
        f"Set it to {0.5 * (low + min(high, 3.0 * low)):.1f} s, and time ten runs of it with the band on.",
    )  # fmt: skip


def _too_fast(design: Design, flight: Flight, habit: UnitHabit) -> Iterator[Finding]:
    climb, air = flight.summary["canopy_out_climb_m_s"], flight.summary["canopy_out_air_speed_m_s"]
    held = limit("opening_climb")
    if climb > held.value:
        yield Finding(
            Level.STOP, Stage.FLY, "opens-too-fast",
            f"{sentence(descent_of(design.recovery).comes)} on the way up, in fast air",
            f"climbing at {habit.speed(climb, 2)}, {habit.speed(air, 2)} through the air", held.says, held.source,
            _LATER.get(design.recovery.mechanism.way if design.recovery.mechanism else "", _ANY_LATER),
        )  # fmt: skip


_ANY_LATER = "Let it trip later: a longer timer, a larger angle or drop, a lower airspeed."
_LATER = {
    "loose nose": f"Hold the nose more firmly, within its window, and vent the room under it. {_SURER} {_TRY}",
    "sprung nose": "Latch the spring until the top, hold the nose more firmly, or let the trip come later.",
    "air flap": "Take a larger flap or a weaker band, so that it opens at a lower airspeed.",
}


def _tears(design: Design, flight: Flight, habit: UnitHabit) -> Iterator[Finding]:
    load, link = flight.summary["opening_load_N"], weakest(design)
    if link is None or not load > link.holds.value - link.holds.spread:
        return
    recovery, holds = design.recovery, link.holds
    level = Level.STOP if load > holds.value else Level.LOOK
    speed = habit.speed(flight.summary["canopy_out_air_speed_m_s"], 2)
    held = f"{habit.force(holds.value, 2)}, give or take {habit.force(holds.spread, 2)}"
    if recovery.kind in ("rotor", "two parts"):
        descent = descent_of(recovery)
        yield Finding(
            level, Stage.FLY, "canopy-tears", f"{sentence(descent.tears)}, and nothing slows the rocket",
            f"a load of {habit.force(load, 2)}, let out at {speed}; {descent.holds} hold {held}",
            "a load that is held, knots counted in", "mechanics, docs/physics/recovery.md",
            "Take a stronger hinge or cord, a longer and softer cord, or let it out slower.",
        )  # fmt: skip
        return
    yield Finding(
        level, Stage.FLY, "canopy-tears",
        f"What holds the {recovery.kind} tears as it opens, and nothing slows the rocket",
        f"it opens with {habit.force(load, 2)} at {speed}; the weakest is {link.name}, which bears {held}",
        "a load that lines, tabs and riser hold in their knots, unevenly drawn and with the overshoot of the cloth",
        "Knacke, Parachute Recovery Systems Design Manual; original not checked",
        "Take stronger or more lines, another knot (an anchor bend keeps 0.70), or let it out slower.",
    )  # fmt: skip


def _springs(mechanism: Mechanism) -> Iterator[Finding]:
    push, end, stroke = (value_of(each) for each in (mechanism.push, mechanism.push_end, mechanism.push_stroke))
    energy, held = 0.5 * (push + end) * stroke, limit("energy_toy")
    if mechanism.way == "sprung nose" and energy > held.value:
        yield Finding(
            Level.LOOK, Stage.FLY, "spring-near-a-face", "The nose springs off at whoever bends over it",
            f"{energy:.2g} J in the spring or rubber", held.says, held.source,
            "No face over the nose, goggles on, and a flagged pin through the latch that is drawn last. Never leave "
            "rubber stretched.",
        )  # fmt: skip
