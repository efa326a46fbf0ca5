"""Launch: what comes next, who does it, and what stands against it?"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from bottlewright.project.day_against_design import towards_flight
from bottlewright.project.day_document import entry_words
from bottlewright.project.launch_day import (
    LANDINGS,
    LAPTOP,
    LOCAL_VALUES,
    called_of,
    day_roles,
    gauge_words,
    stands_against,
)
from bottlewright.web.launching import barred_designs, landings_under_way, less_now, rocket_anew
from bottlewright.web.views.frame import Cell, StageLink

if TYPE_CHECKING:
    from bottlewright.project.launch_day import Block, Point, RocketShown, Screen, StepShown
    from bottlewright.web.office import Office

__all__ = ["LaunchPage", "Prepared", "launch_link", "launch_page", "moment"]

_EPOCH = datetime(2000, 1, 1)
_MOST_TOLD = 12


_FIRST = {"loaded": "Stand it down, then prepare the day anew", "seated": "Stand it down, then prepare the day anew",
          "field clear": "Call stop, then prepare the day anew"}  # fmt: skip
"""What comes before preparing the day anew, where a rocket is filled."""


class Prepared(NamedTuple):
    """A design of the folder, for a day: its file and name, bottle, allowed pressure, what would stand against it.

    Parameters
    ----------
    launches, pad, who, turn
        As it was planned; empty where it was not.
    landed, running
        Whether its landings were worked out; how far that is, in words, where it is under way.
    """

    file: str
    name: str
    vessel: str
    allowed: str
    against: Sequence[str]
    wrong: str
    launches: str
    pad: str
    who: str
    turn: str
    landed: bool = True
    running: str = ""


@dataclass(frozen=True)
class LaunchPage:
    """The page of the day.

    Parameters
    ----------
    screen
        What this device shows; None while no day is kept.
    laptop
        Whether it is the laptop, which speaks for every role.
    device
        Which one it is.
    called
        How a phone calls the role of whoever looks.
    head, lead
        The heading, and what it means.
    main, others
        The step that comes next; what else may happen from here.
    closed
        What closes the way that is usual from here for good, such as a leak; empty where nothing does.
    points
        What is confirmed in this state.
    cells
        What stands on top: findings, pressure, wind.
    designs, working
        To prepare a day with; whether some are still being worked out.
    roles, given
        The roles of a day, and who has each: name, whether an adult.
    local, adults
        Local values by short name, what each is called, and what was filled in; names of adults.
    told
        What was written down last: when, who, what.
    trouble, left_out
        Why the day can't be watched over; why the file of a launch lacks something.
    landings
        How or where a rocket may come down.
    changed
        What the designs now say against the day as it was prepared: a rocket's name, and what.
    shut
        Steps of the rocket that is shown that nobody takes for that, before the day is prepared anew.
    less
        What the design of the rocket now allows, Pa, where that is a little less than the day says; None else.
    open_findings
        How many findings are open now.
    settled
        What stands against the next step only as the day was prepared: the verdict of now has it no more.
    other_day
        Of which date the day is, where that is not today's.
    """

    screen: "Screen | None"
    laptop: bool
    device: str
    called: str
    head: str
    lead: str
    main: "StepShown | None"
    others: "Sequence[StepShown]"
    closed: "Sequence[Block]"
    points: "Sequence[Point]"
    cells: Sequence[Cell]
    designs: Sequence[Prepared]
    working: bool
    roles: Sequence[tuple[str, str, str, bool, str, bool]]
    local: Sequence[tuple[str, str, str]]
    adults: str
    told: Sequence[tuple[str, str, str]]
    trouble: str
    left_out: str = ""
    landings: Sequence[str] = LANDINGS
    changed: Sequence[tuple[str, str]] = ()
    shut: Collection[str] = ()
    less: float | None = None
    open_findings: int = 0
    settled: "Collection[Block]" = ()
    other_day: str = ""
    stage: str = "launch"


def launch_page(office: "Office", role: str, device: str) -> LaunchPage:
    """Return what a device of a role shows."""
    laptop = device == LAPTOP
    screen = office.launch.screen(role, device, every=laptop)
    rocket = screen.rocket if screen else None
    main, others, points, closed = _steps(rocket)
    less = _less(office, rocket) if rocket else None
    bars = barred_designs(office)
    barred = bars.get(rocket.plan.name, []) if rocket else []
    anew = None if barred or rocket is None else rocket_anew(office, rocket.plan.name)
    shut = {one.event for one in rocket.steps if towards_flight(one.event)} if rocket and barred else set()
    head, lead = _heading(screen, rocket, main, "" if laptop else role)
    if rocket and main and main.event in shut:
        head, lead, main, others = _instead(rocket, main)
    designs = _designs(office) if laptop else ()
    held = {one.role: one for one in screen.people} if screen else {}
    roles = [(name, one.says, one.does, one.adult, held[name].person if name in held else "",
              name in held and held[name].adult) for name, one in day_roles().items()]  # fmt: skip
    filled = dict(screen.local) if screen else {}
    return LaunchPage(
        screen=screen, laptop=laptop, device=device, called=called_of(role), head=head, lead=lead, main=main,
        others=others, closed=closed, points=points, cells=_cells(screen, rocket, less, barred, anew), designs=designs,
        working=any(not one.name and not one.wrong for one in designs), roles=roles,
        local=[(name, words, filled.get(words, "")) for name, words in LOCAL_VALUES.items()],
        adults=", ".join(screen.adults) if screen else "", told=_told(office), trouble=office.launch.trouble,
        left_out=office.launch.left_out,
        changed=[(name, "; ".join(texts)) for name, texts in bars.items()], shut=shut, less=less,
        open_findings=len((anew or rocket).findings) if rocket else 0, settled=_settled(main, anew),
        other_day=office.launch.other_day,
    )  # fmt: skip


_AS_PREPARED = frozenset({"vessel unknown", "vessel", "no water test", "published maximum", "finding", "look",
                          "no venting from a distance", "power line"})  # fmt: skip
"""Gates that speak of the rocket as the day was prepared."""


def _settled(main: "StepShown | None", anew: "RocketShown | None") -> "list[Block]":
    """Return what stands against a step only as the day was prepared."""
    same = next((one for one in anew.steps if main and one.event == main.event), None) if anew else None
    if main is None or same is None:
        return []
    now = {(one.gate, one.code) for one in same.against}
    return [one for one in main.against if one.gate in _AS_PREPARED and (one.gate, one.code) not in now]


def _less(office: "Office", rocket: "RocketShown") -> float | None:
    """Return the lesser limit that counts, Pa: with pressure on, the one to which an overshoot is held."""
    return less_now(office).get(rocket.plan.name) if rocket.pressure == "none" else rocket.now.less_Pa


def _steps(rocket: "RocketShown | None") -> "tuple[StepShown | None, list[StepShown], list[Point], list[Block]]":
    """Return the step that comes next, the others, every point that is confirmed for any of them, what closes a way."""
    if rocket is None or not rocket.steps:
        return None, [], [], []
    ways = [one for one in rocket.steps if one.by != "any"] or list(rocket.steps)
    usual = ways[0]
    closed = [block for block in usual.against if block.gate == "not retrieved" or block.code in ("retired", "spent")]
    main = next((one for one in ways if closed and one is not usual), usual)
    points = {point.point: point for step in reversed(rocket.steps) for point in step.points}
    return (main, [one for one in rocket.steps if one is not main], list(points.values()),
            [] if main is usual else closed)  # fmt: skip


def _instead(rocket: "RocketShown", main: "StepShown") -> "tuple[str, str, StepShown, list[StepShown]]":
    """Return heading, lead, the step that comes first, and the others, where a design bars what would come next."""
    head = ("Call stop, and let the pressure off" if rocket.pressure == "may be" else
            _FIRST.get(rocket.now.state, "Nobody goes on: prepare the day anew"))  # fmt: skip
    first = next((one for one in rocket.steps if one.event == "stand down"), main)
    return (head, f"{rocket.state_says[:1].upper()}{rocket.state_says[1:]}.", first,
            [one for one in rocket.steps if one is not first])  # fmt: skip


def _own(rocket: "RocketShown", main: "StepShown") -> str:
    """Return what is missing of whoever looks before the step that comes next; empty where nothing is."""
    if any(one.mine and one.confirmed_at is None for one in main.points):
        return "Look: is each of these so?"
    reads = any(block.gate.startswith("readings") or block.gate == "pressure left" for block in main.against)
    return "Read the gauge, write it down" if reads and any(one.mine for one in rocket.readings) else ""


def _heading(
    screen: "Screen | None", rocket: "RocketShown | None", main: "StepShown | None", role: str
) -> tuple[str, str]:
    if screen is None:
        return ("No day is prepared", "Say first which rockets fly, who does what, and what your field asks for. The "
                "day is prepared on the laptop.")
    if rocket is None or main is None:
        return "Nothing is left to launch", "All turns are done, or no rocket can launch any more."
    state = f"{rocket.state_says[:1].upper()}{rocket.state_says[1:]}."
    if rocket.now.state == "launched":
        return ("Heads up: it is in the air" if screen.stop else "Watch it until it lies still"), state
    own = _own(rocket, main) if role else ""
    if main.mine:
        return (own, f"{main.does}. {state}") if own else (main.does, state)
    who = f"{main.person}, {main.by_says}" if main.person else main.by_says
    return own or f"Wait for {who}", f"{state} {who[:1].upper()}{who[1:]}: {main.does[:1].lower()}{main.does[1:]}."


def _cells(
    screen: "Screen | None", rocket: "RocketShown | None", less: float | None, barred: Sequence[str],
    anew: "RocketShown | None" = None,
) -> list[Cell]:
    if screen is None or rocket is None:
        return []
    if barred:
        return [Cell("Prepare the day anew", "; ".join(barred), "stop"),
                Cell("No pressure until then", "what is allowed holds for what the day was prepared with"),
                Cell(_wind(screen, rocket)[0], "its limit holds for what the day was prepared with")]  # fmt: skip
    now = anew or rocket  # the findings of now, where a verdict of now is there
    plan, count = now.plan, len(now.findings)
    first = now.findings[0] if now.findings else ""
    worst = plan.words.get(first) or "; ".join(now.no_pressure) or first or "by what was checked so far"
    if rocket.lifted:
        worst = f"{worst}; {len(rocket.lifted)} lifted by an adult"
    level = "stop" if plan.stops or now.no_pressure else "look" if count else "none"
    if rocket.no_pressure and not now.no_pressure:
        allowed = Cell("No pressure until the day is prepared anew", f"it was prepared while {rocket.no_pressure[0]}")
    elif rocket.plan.allowed_Pa is None or rocket.no_pressure:
        allowed = Cell("No pressure is allowed", "; ".join(rocket.no_pressure) or rocket.plan.basis)
    else:
        most = gauge_words(less or rocket.plan.allowed_Pa, limit=True)
        allowed = Cell(f"Not over {most}", rocket.plan.basis)
    return [Cell(f"{count} open {'finding' if count == 1 else 'findings'}", worst, level), allowed,
            Cell(*_wind(screen, rocket), "stop" if rocket.wind_over else "")]  # fmt: skip


def _wind(screen: "Screen", rocket: "RocketShown") -> tuple[str, str]:
    most = f"its limit: {rocket.wind_limit}"
    if screen.wind is None:
        return "Nobody has read the wind", most
    wind = screen.wind
    old = "too old: read it again. " if wind.until < screen.at else ""
    if rocket.wind_over:
        old = f"{rocket.wind_over[:1].upper()}{rocket.wind_over[1:]}. {old[:1].upper()}{old[1:]}"
    return (f"Wind {wind.mean_m_s:.1f}, gusts {wind.gust_m_s:.1f} m/s",
            f"{old}Read {moment(wind.at)} {wind.where}; {most}")  # fmt: skip


def moment(seconds: float) -> str:
    """Return a time of the day as a clock shows it."""
    return (_EPOCH + timedelta(seconds=seconds)).strftime("%H:%M:%S")


def _designs(office: "Office") -> list[Prepared]:
    found = office.shelf.standings(office.designs(), office.warm.ready.is_set())
    day = office.launch.day
    turns = list(day.plan.turns) if day else []
    rows = []
    for one in found:
        if one.project is None or one.judged is None:
            rows.append(Prepared(one.file, "", "", "", (), one.wrong, "", "", "", ""))
            continue
        name, allowed = one.project.name, one.judged.verdict.allowed.gauge_Pa
        turn = next((number for number, turn in enumerate(turns) if turn.rocket == name), None)
        planned = turns[turn] if turn is not None else None
        rows.append(Prepared(
            one.file, name, one.project.design.vessel.id or "",
            "no pressure" if allowed is None else f"not over {gauge_words(allowed, limit=True)}",
            stands_against(one.project, one.judged.verdict), "", str(planned.launches) if planned else "",
            day.plan.rockets[name].pad if day and planned else "", planned.who if planned else "",
            str(turn + 1) if turn is not None else "", one.judged.verdict.wind_limits is not None,
            landings_under_way(office, one.project)))  # fmt: skip
    return rows


def _told(office: "Office") -> list[tuple[str, str, str]]:
    return [(str(one.get("at", ""))[11:19], f"{one.get('by', '')}", entry_words(one))
            for one in office.launch.told(_MOST_TOLD)]  # fmt: skip


def launch_link(office: "Office") -> StageLink:
    """Return the day as it stands in the strip of stages."""
    day = office.launch.day
    if day is None:
        return StageLink("launch", "—", "open", "no day yet")
    screen = office.launch.screen("", "")
    rocket = screen.rocket if screen else None
    if day.stop:
        return StageLink("launch", rocket.now.state if rocket else "—", "stop", "a stop stands")
    if rocket is None:
        return StageLink("launch", "all done", "open", "day is kept")
    if rocket.plan.name in barred_designs(office):
        return StageLink("launch", rocket.now.state, "stop", "prepare it anew")
    count = len((rocket_anew(office, rocket.plan.name) or rocket).findings)
    return StageLink("launch", rocket.now.state, "look" if count else "none", f"{count} open")
