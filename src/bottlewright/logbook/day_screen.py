"""What a device shows of a day: which rocket, where it stands, what comes next and what stands against it.

Plain values for one role and one device, so that pages, paper and phones say the same. Nothing here is decided: that
is done by `bottlewright.logbook.day` when the entry comes. Times are seconds as `seconds_of` gives them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bottlewright.design.unit_habit import INCH_POUND, METRIC
from bottlewright.design.unit_text import at_most
from bottlewright.logbook.day import prepared
from bottlewright.logbook.day_plan import DayPlan, DayRocket
from bottlewright.logbook.day_queue import InQueue, current, number_of, queue
from bottlewright.logbook.day_state import Block, Day, RocketNow
from bottlewright.logbook.day_stop import due, stopped_under_pressure
from bottlewright.logbook.day_sums import DaySums, Share, day_sums
from bottlewright.logbook.day_table import STOP, Step, day_table, without_gaps
from bottlewright.logbook.day_wind import over_words, read_words, wind_limit_words
from bottlewright.logbook.gates import WHILE_UNDER_PRESSURE, at_gate, blocks

__all__ = ["Point", "Reading", "RocketShown", "Screen", "Somebody", "StepShown", "Wait", "WindShown", "gauge_words",
           "screen_of", "sums_of"]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Point:
    """A point that is confirmed: by whom, in which words, and until when it counts; None where it is not confirmed.

    Parameters
    ----------
    by, by_says, person
        The role, in words, and who has it; empty where nobody has.
    mine
        Whether whoever looks says it.
    confirmed_at, until
        When it was confirmed, and until when that counts; None for as long as the rocket stays in its state.
    denied
        What was read that says otherwise: nobody confirms it then; empty where nothing does.
    """

    point: str
    says: str
    by: str
    by_says: str
    person: str
    mine: bool
    confirmed_at: float | None
    until: float | None
    denied: str = ""


@dataclass(frozen=True, slots=True)
class StepShown:
    """A step from where the rocket stands.

    Parameters
    ----------
    event, does, detail, done
        Its name; what is to be done; what else the paper says of it, but for a rocket's own numbers; what whoever did
        it says.
    to, to_says
        Where it leads.
    by, by_says, person, mine
        The role, in words, who has it, and whether whoever looks does it.
    against, points
        What stands against it, and what has to be confirmed for it.
    held
        Why this device can't release; empty where it can, or where it is no release.
    """

    event: str
    does: str
    detail: str
    done: str
    to: str
    to_says: str
    by: str
    by_says: str
    person: str
    mine: bool
    against: tuple[Block, ...]
    points: tuple[Point, ...]
    held: str = ""

    @property
    def open(self) -> bool:
        """Whether nothing stands against it, as far as is known now."""
        return not self.against and not self.held and all(one.confirmed_at is not None for one in self.points)


@dataclass(frozen=True, slots=True)
class Reading:
    """What a role read on the gauge, Pa; None where it entered nothing yet."""

    role: str
    says: str
    person: str
    mine: bool
    gauge_Pa: float | None


@dataclass(frozen=True, slots=True)
class Wait:
    """A time that runs: what for, since when and until when."""

    says: str
    since: float
    until: float


@dataclass(frozen=True, slots=True)
class WindShown:
    """The last reading, how high the meter was and where the wind came from, in words, and until when it counts."""

    at: float
    mean_m_s: float
    gust_m_s: float
    where: str
    until: float


@dataclass(frozen=True, slots=True)
class RocketShown:
    """A rocket where it stands.

    Parameters
    ----------
    plan, now
        As the day was prepared, and where it stands.
    state_says, pressure
        Its state in words; "none", "may be" or "flying".
    steps
        From there; the one that leads on first, then those of whoever looks.
    readings
        Of the gauge, where one may be entered.
    waits
        What runs: time under pressure, waits.
    cycles
        Times that its bottle was under pressure, today's among them; None where nobody knows.
    findings
        How many open findings there are, and their codes.
    no_pressure
        What stands against any pressure for its bottle now, in words: retired, at its end, without a test that counts.
    lifted
        What an adult lifted: the gate, the code, who and why.
    lift
        What an adult may still lift.
    urgent
        What has to be done at once; empty where nothing.
    holder
        The device that holds its release.
    wind_limit
        The limit of the wind at the height of the last reading, in the hand where there is none; in words.
    wind_over
        Over which limit the last reading is, in words; empty where it is over none.
    launch
        The launch that it is on, which keeps its number until the rocket is back; None where it launches no more.
    """

    plan: DayRocket
    now: RocketNow
    state_says: str
    pressure: str
    steps: tuple[StepShown, ...]
    readings: tuple[Reading, ...]
    waits: tuple[Wait, ...]
    cycles: int | None
    findings: tuple[str, ...]
    no_pressure: tuple[str, ...]
    lifted: tuple[tuple[str, str, str, str], ...]
    lift: tuple[Block, ...]
    urgent: str
    holder: str
    wind_limit: str
    wind_over: str
    launch: InQueue | None

    @property
    def apart(self) -> bool:
        """Whether people stand at their distances now: from when they are sent there until the field opens."""
        return self.now.state in ("seated", "field clear", "down") or self.pressure != "none"


@dataclass(frozen=True, slots=True)
class Somebody:
    """Who has a role: its name, what it is called, what it does; the person, and whether their device is lost."""

    role: str
    says: str
    does: str
    person: str
    adult: bool
    lost: bool


@dataclass(frozen=True, slots=True)
class Screen:
    """A day as one device shows it.

    Parameters
    ----------
    at
        When this was so.
    role, role_says, person
        Whoever looks; empty for one who looks on.
    rocket
        The one whose turn it is; None when nothing is left to do.
    stop, near_miss, inside, sky, thunder_until, lost
        What stands against everything: a stop, a near miss that is not signed, people inside a line, what is in the
        sky, until when the thunder counts, roles whose device is not connected.
    stopped
        Rockets whose pressure has to come off before the stop may be over.
    wind
        The last reading.
    against_all
        What of it leads to a stop under pressure, in words.
    closed
        Whether nobody walks onto the field.
    queue
        Whose turn it is, in order.
    sums
        The day's sums; None where no turns were planned.
    people, adults, local
        Who has which role; who is an adult; the local values.
    """

    at: float
    role: str
    role_says: str
    person: str
    rocket: RocketShown | None
    stop: str
    near_miss: str
    inside: int
    sky: tuple[str, ...]
    thunder_until: float | None
    lost: tuple[str, ...]
    stopped: tuple[str, ...]
    wind: WindShown | None
    against_all: tuple[str, ...]
    closed: bool
    queue: tuple[InQueue, ...]
    sums: DaySums | None
    people: tuple[Somebody, ...]
    adults: tuple[str, ...]
    local: tuple[tuple[str, str], ...]


def screen_of(
    day: Day, role: str, device: str, at: float, rocket: str = "", every: bool = False,
    by_hand: Mapping[str, int] | None = None,
) -> Screen:  # fmt: skip
    """Return what a device shows.

    Parameters
    ----------
    role
        Of the day's table; empty for whoever looks on.
    rocket
        The one that somebody chose; see `current`.
    every
        Whether whoever looks speaks for every role, as at a laptop that goes from hand to hand.
    by_hand
        Launches of each rocket that were begun by hand on this day, before the one that it is on.
    """
    table, person = day_table(), day.roles.get(role)
    name = current(day, rocket)
    lines = queue(day, by_hand)
    looks = _Looks(day, role, device, at, every, lines, by_hand or {})
    return Screen(
        at=at, role=role, role_says=table.roles[role].says if role in table.roles else "",
        person=person.name if person else "", rocket=_rocket(looks, name) if name else None, stop=day.stop,
        near_miss=day.near_miss, inside=day.inside, sky=tuple(sorted(day.sky)), thunder_until=_thunder(day, at),
        lost=tuple(sorted(day.lost)),
        stopped=tuple(stopped_under_pressure(day)), wind=_wind(day), against_all=_against_all(day, name, at),
        closed=day.field_closed, queue=lines, sums=sums_of(day), people=_people(day),
        adults=tuple(sorted(day.adults)), local=tuple(day.plan.local.items()),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Looks:
    """Who looks, when, and the launches still to come."""

    day: Day
    role: str
    device: str
    at: float
    every: bool
    lines: tuple[InQueue, ...]
    by_hand: Mapping[str, int]

    def mine(self, role: str) -> bool:
        return self.every or (role == self.role and bool(role)) or role == "any"

    def person(self, role: str) -> str:
        held = self.day.roles.get(role)
        return held.name if held else ""


def _says(role: str) -> str:
    table = day_table()
    return table.roles[role].says if role in table.roles else "anybody"


def _rocket(looks: _Looks, name: str) -> RocketShown:
    day, table = looks.day, day_table()
    plan, now = day.plan.rockets[name], day.rockets[name]
    steps = [_step(looks, step, plan) for (start, _), step in table.steps.items() if start == now.state]
    usual = next((one for one in steps if one.by != "any"), None)  # the table has the way of a launch first
    steps.sort(key=lambda one: (one is not usual, not one.mine, one.by == "any"))
    lifted = tuple((gate, code, *who) for (one, gate, code), who in day.overrides.items() if one == name)
    against = _against_pressure(day, plan, looks.at)
    known = [*plan.stops, *plan.holds, *plan.looks, *(one.code for one in against if one not in _at_first(plan))]
    gone = {code for _, code, _, _ in lifted}
    return RocketShown(
        plan=plan, now=now, state_says=table.states[now.state].says, pressure=table.states[now.state].pressure,
        steps=tuple(steps), readings=_readings(looks, now), waits=tuple(_waits(now)),
        cycles=None if plan.cycles is None else plan.cycles + day.cycles_today(plan.vessel),
        findings=tuple(code for code in dict.fromkeys(known) if code not in gone),
        no_pressure=tuple(one.says for one in against), lifted=lifted,
        lift=_liftable(day, plan, looks.at),
        urgent=next((one.why for one in due(day, looks.at) if one.rocket == name), ""), holder=now.holder,
        wind_limit=wind_limit_words(plan, day.wind.height_m) if day.wind else wind_limit_words(plan),
        wind_over=over_words(plan, day.wind),
        launch=next((one for one in looks.lines if one.rocket == name
                     and one.number == number_of(now) + looks.by_hand.get(name, 0)), None),
    )  # fmt: skip


_OF_THE_COUNT = ("spent", "inspection", "test over")
"""What a time under pressure brings about by being counted: while it lasts, that speaks of the next one."""


def _against_pressure(day: Day, plan: DayRocket, at: float) -> list[Block]:
    """Return what stands against any pressure in a rocket's bottle, as it is now."""
    found = [one for gate in ("vessel unknown", "vessel", "no water test", "published maximum")
             for one in at_gate(day, gate, plan, at)]
    if day_table().states[day.rockets[plan.name].state].pressure == "none":
        return found
    return [one for one in found if one.code not in _OF_THE_COUNT]


def _at_first(plan: DayRocket) -> list[Block]:
    """Return what stood against any pressure when the day was prepared: it is counted among the plan's findings."""
    return _against_pressure(prepared(DayPlan({plan.name: plan}, {})), plan, 0.0)


def _step(looks: _Looks, step: Step, plan: DayRocket) -> StepShown:
    table, day = day_table(), looks.day
    act, now = table.acts[step.event], day.rockets[plan.name]
    held = ""
    if step.event == "launch" and now.holder != looks.device:
        held = "another device holds the release" if now.holder else "no device holds the release"
    return StepShown(
        event=step.event, does=act.does, detail=_detail(step, plan), done=act.done,
        to=step.to, to_says=table.states[step.to].says, by=step.by,
        by_says=_says(step.by), person=looks.person(step.by), mine=looks.mine(step.by),
        against=tuple(blocks(day, step, plan, looks.at)),
        points=tuple(_point(looks, step, plan, point) for point in table.asked_of(step, plan.has)), held=held,
    )  # fmt: skip


def _detail(step: Step, plan: DayRocket) -> str:
    """Return what paper says of a step, with how much water the rocket takes; its other numbers stand elsewhere."""
    return without_gaps(step.detail.replace("{water}", plan.water) if plan.water else step.detail)


def _point(looks: _Looks, step: Step, plan: DayRocket, point: str) -> Point:
    confirm, now = day_table().confirms[point], looks.day.rockets[plan.name]
    when, count = looks.day.confirms.get(point, (0.0, -1))
    until = when + day_table().limits["confirm_within"].seconds if step.again else None
    denied = over_words(plan, looks.day.wind) if point == "wind" else ""
    counts = not denied and count > now.count and (until is None or when <= looks.at <= until)
    return Point(point, confirm.of(plan.points), confirm.by, _says(confirm.by), looks.person(confirm.by),
                 looks.mine(confirm.by), when if counts else None, until if counts else None, denied)  # fmt: skip


_READ_IN = ("field clear", "pressurising", "holding", "ready", STOP, "venting", "misfire wait",
            "approach allowed", "down")
"""States in which somebody reads the gauge."""


def _readings(looks: _Looks, now: RocketNow) -> tuple[Reading, ...]:
    if now.state not in _READ_IN:
        return ()
    return tuple(Reading(role, _says(role), looks.person(role), looks.mine(role), now.readings.get(role))
                 for role in ("pump", "watch"))  # fmt: skip


def _waits(now: RocketNow) -> Sequence[Wait]:
    limits, found = day_table().limits, []
    if now.pumped_at is not None:
        limit = limits["under_pressure"]
        found.append(Wait(limit.says, now.pumped_at, now.pumped_at + limit.seconds))
    name = {"venting": "", "misfire wait": "zero_wait"}.get(now.state, "")
    if now.state == STOP:
        name = "misfire_wait" if now.cause == "misfire" else "vent_within"
    if name:
        found.append(Wait(limits[name].says, now.since, now.since + limits[name].seconds))
    return found


def _liftable(day: Day, plan: DayRocket, at: float) -> tuple[Block, ...]:
    """Return what an adult may lift and has not, of all that stands against this rocket's own steps."""
    found = [one for gate in ("finding", "look", "local value") for one in at_gate(day, gate, plan, at) if one.lifts]
    return tuple(one for one in found if (plan.name, one.gate, one.code) not in day.overrides)


def _thunder(day: Day, at: float) -> float | None:
    until = None if day.thunder is None else day.thunder + day_table().limits["thunder_wait"].seconds
    return until if until is not None and until > at else None


def _wind(day: Day) -> WindShown | None:
    if day.wind is None:
        return None
    wind = day.wind
    return WindShown(wind.at, wind.mean_m_s, wind.gust_m_s, read_words(wind),
                     until=wind.at + day_table().limits["wind_fresh"].seconds)  # fmt: skip


def _against_all(day: Day, name: str | None, at: float) -> tuple[str, ...]:
    if not name:
        return ()
    plan = day.plan.rockets[name]
    return tuple(one.says for gate in WHILE_UNDER_PRESSURE for one in at_gate(day, gate, plan, at))


def _people(day: Day) -> tuple[Somebody, ...]:
    held = day.roles
    return tuple(Somebody(name, role.says, role.does, held[name].name if name in held else "",
                          name in held and held[name].adult, name in day.lost)
                 for name, role in day_table().roles.items())  # fmt: skip


def gauge_words(pascals: float, limit: bool = False) -> str:
    """Return a reading of the gauge in both units, Pa; a limit is rounded down: no digit lets anybody further."""
    say = at_most if limit else lambda habit, value: habit.pressure(value)
    return f"{say(METRIC, pascals)} ({say(INCH_POUND, pascals).partition(' (')[0]})"


def sums_of(day: Day) -> DaySums | None:
    """Return the sums of the day as it was prepared; None where no turns were planned."""
    shares: dict[str, Share] = {}
    for turn in day.plan.turns:
        before = shares.get(turn.rocket)
        shares[turn.rocket] = Share((before.launches if before else 0) + turn.launches, turn.burst, turn.strike)
    return day_sums(day.plan.rockets, shares) if shares else None
