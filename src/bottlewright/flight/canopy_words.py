"""What is said of the canopy: does its pack fit, what gives first, how large for which descent, when a timer is set."""

import math

from bottlewright.design.descents import sentence
from bottlewright.design.document import Design
from bottlewright.design.mechanism import TIMERS
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import percent
from bottlewright.flight.canopy_help import Pack, canopy_sizes, pack_of
from bottlewright.flight.canopy_links import links_of, not_said
from bottlewright.flight.fly import Flight
from bottlewright.flight.outcomes import by_mechanism, releases, time_window
from bottlewright.physics.canopy_choice import drift
from bottlewright.physics.canopy_load import OVERSHOOT
from bottlewright.physics.release_switches import before_the_top
from bottlewright.quantities import Basis, value_of

__all__ = ["canopy_rows", "drift_words", "pack_words", "size_rows", "timer_words", "weakest_words"]


def canopy_rows(design: Design, flight: Flight, timer: bool = True) -> list[tuple[str, str]]:
    """Return what is said of a canopy, or of what else slows the fall, by what it is about; none without any.

    Parameters
    ----------
    flight
        The middle flight.
    timer
        Whether a timer is spoken of, for which many flights are flown.
    """
    pack = pack_of(design)
    rows = [("Does the pack fit?", sentence(pack_words(pack, unit_habit(design))) + ".")] if pack else []
    if (links_of(design) or not_said(design)) and math.isfinite(flight.summary["opening_load_N"]):
        rows.append(("What gives first?", sentence(weakest_words(design, flight)) + "."))
    if timer and (said := timer_words(design, flight)):
        rows.append(("When does the timer end?", sentence(said) + "."))
    return rows


def pack_words(pack: Pack, habit: UnitHabit) -> str:
    """Return whether a pack fits its place and comes out of it, with what that rests on."""
    rolled = (f"rolled by hand it fills about {_cm3(pack.packed)} ({_cm3(pack.least)} to {_cm3(pack.most)}), and needs "
              f"{_cm3(pack.needed)} to come out")  # fmt: skip
    if pack.room is None:
        tube = f"; in a tube as wide as the nose's seat that is {habit.length(pack.length, 2)} of its length"
        return f"not known: {pack.why}. {sentence(rolled)}{tube if math.isfinite(pack.length) else ''}"
    room = f"the nose has {_cm3(pack.room)} beside what else lies in it"
    if pack.fits:
        return f"there is room: {room}; {rolled}"
    if pack.packed <= pack.room:
        return f"it goes in, and may not come out: {room}; {rolled}. Take thinner cloth or a longer nose"
    return f"no: {room}; {rolled}. Take thinner cloth, a smaller canopy or a longer nose"


def _cm3(cubic_metres: float) -> str:
    return f"{1e6 * cubic_metres:.2g} cm³" if cubic_metres < 1e-4 else f"{round(1e6 * cubic_metres, -1):.0f} cm³"


def weakest_words(design: Design, flight: Flight) -> str:
    """Return what an opening canopy pulls with, what gives first, and of what nobody said how strong it is."""
    habit, load = unit_habit(design), flight.summary["opening_load_N"]
    cloth = design.recovery.kind in ("parachute", "streamer")
    more = f", and the cloth for a moment with {OVERSHOOT:g} times as much" if cloth else ""
    pulls, found, said = f"it opens with {habit.force(load, 2)}{more}", links_of(design), not_said(design)
    open_ = f". Not checked: {' and '.join(said)}, for nobody said how strong they are" if said else ""
    if not found:
        return f"not known: {pulls}{open_}"
    first = found[0]
    bears = f"{habit.force(first.holds.value, 2)}, give or take {habit.force(first.holds.spread, 2)}"
    return f"{first.name}: {pulls}; this link bears an opening of {bears}{open_}"


def timer_words(design: Design, flight: Flight) -> str:
    """Return the times that a timer may be set to, and how often the one that it has ends before the top."""
    mechanism = design.recovery.mechanism
    if not by_mechanism(design) or mechanism is None or mechanism.trip not in TIMERS or mechanism.time is None:
        return ""
    window, top = time_window(design), flight.summary["apogee_time_s"]
    if window is None or not math.isfinite(top):
        return "no time lets the middle flight's canopy out in time"
    due = mechanism.time.value + value_of(mechanism.start) + value_of(mechanism.act)
    spread = math.hypot(mechanism.time.spread, mechanism.start.spread if mechanism.start else 0.0)
    early = before_the_top(top, releases(design).top_spread, due, spread)
    often = percent(early) if early > 1e-3 else "next to none"
    return (f"{mechanism.time.value:.2f} s, give or take {mechanism.time.spread:.2g} s, opens before the top in "
            f"{often} of flights; the middle flight's canopy is out in time between {window[0]:.1f} s and "
            f"{window[1]:.1f} s, and its top is {top:.2f} s after launch")  # fmt: skip


def drift_words(design: Design, flight: Flight, edge: float | None) -> str:
    """Return how far the wind of the file carries the canopy from the top, against the edge of the field downwind.

    Parameters
    ----------
    edge
        From the launcher to the edge straight down the wind, m; None where nobody can say.
    """
    habit, sinking = unit_habit(design), flight.summary["sinking_speed_m_s"]
    if design.recovery.kind == "none" or not math.isfinite(sinking):
        return ""
    height = flight.summary["canopy_out_height_m"]
    if _no_wind(design):
        return (f"Opened at {habit.distance(height, 2)} and sinking at {habit.speed(sinking, 2)}, it goes where the "
                "wind carries it, and the file gives no wind: say how strong, and where from")  # fmt: skip
    far = drift(value_of(design.weather.wind_speed), value_of(design.weather.wind_height),
                value_of(design.weather.exponent), height, sinking)  # fmt: skip
    said = (f"Opened at {habit.distance(height, 2)} and sinking at {habit.speed(sinking, 2)}, it is carried "
            f"{habit.distance(far, 2)} by the file's wind alone")  # fmt: skip
    if edge is None:
        return f"{said}. How far the edge is on that side is not known: draw the field, and say where the wind is from"
    where = f"straight down the wind the edge of the field is {habit.distance(edge, 2)} from the launcher"
    beyond = ", so that it lands beyond" if far > edge else ""
    return f"{said}; {where}{beyond}. Lean and drift on the way up come on top; the landings have them"


def size_rows(design: Design, flight: Flight) -> list[tuple[str, str, str]]:
    """Return descents, the size of canopy for each, and how far the file's wind carries it from the top."""
    habit, calm = unit_habit(design), _no_wind(design)
    return [(habit.speed(one.speed, 2), habit.length(one.across, 3),
             "no wind is given" if calm else habit.distance(one.drift, 2))
            for one in canopy_sizes(design, flight)]  # fmt: skip


def _no_wind(design: Design) -> bool:
    """Say whether nobody gave a wind: nothing then says how far a canopy drifts, least of all that it does not."""
    wind = design.weather.wind_speed
    return wind is None or (wind.basis is Basis.ASSUMED and wind.value == 0.0)
