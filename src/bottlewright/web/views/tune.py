"""Tune: what do we load?"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.errors import BottlewrightError
from bottlewright.project.fields import fields_of, in_words, label_of
from bottlewright.project.words import NINE_MARGIN
from bottlewright.web.views.frame import findings_of
from bottlewright.web.views.page import Figure, Page, Running, Width, figures_of, groups_of, hand_moves, running

if TYPE_CHECKING:
    from bottlewright.project.fields import Field
    from bottlewright.project.loads import LoadChart, LoadMap, LoadWords
    from bottlewright.project.project import Project
    from bottlewright.web.desk import Desk

__all__ = ["Choice", "Loads", "Slider", "TunePage", "tune"]

QUESTION = "What do we load?"

LOAD = (("charge.water", "water"), ("charge.pressure", "pressure on the gauge"))

AIMS = (
    ("height", "As high as it goes"), ("hang time", "As long in the air as it can"),
    ("nearest height", "Nearest to a height"), ("least pressure", "A height with as little pressure as will do"),
)  # fmt: skip
SHARES = (("50 %", "the middle flight"), ("75 %", "three flights in four"), ("90 %", "nine flights in ten"),
          ("95 %", "nineteen flights in twenty"))  # fmt: skip


class Choice(NamedTuple):
    """An answer that can be pressed."""

    value: str
    label: str
    chosen: bool


class Back(NamedTuple):
    """Limits that a load breaks, what it is close to, and how many flights stand behind it."""

    name: str
    beyond: Sequence[str]
    holding: Sequence[str]
    flown: str


class Slider(NamedTuple):
    """A value of the load between the ends of the map; `spread` is its ± where the file has one."""

    key: str
    label: str
    value: float
    low: float
    high: float
    step: float
    unit: str
    spread: str


class Loads(NamedTuple):
    """The map of loads, and the present one on it.

    Parameters
    ----------
    drawing
        The chart for each width that the window has, as open SVG: the load is drawn into it.
    words, share
        How far the map is, in words and per cent; empty when it is whole.
    """

    drawing: "Sequence[tuple[str, LoadChart, tuple[float, float]]]"
    sliders: Sequence[Slider]
    words: str
    share: int


@dataclass(frozen=True, kw_only=True)
class TunePage(Page):
    """The page of the load.

    Parameters
    ----------
    aims, shares, wanted
        What may be aimed at; for how many flights; the wanted height, for an aim that has one.
    wishes
        Sentences of the file that go before all these.
    loads
        The map; None while there is none.
    compared
        What the present and the best load bring: name, now, best.
    back
        What holds each of both back, or what it breaks.
    load
        Keys and values that the search recommends, where they may be loaded.
    raises
        That the recommended load has more pressure, from what to what.
    allowed
        The highest pressure allowed, by the verdict.
    not_yet
        Why nobody can say what the load brings.
    """

    aims: Sequence[Choice] = ()
    shares: Sequence[Choice] = ()
    wanted: "Sequence[Field]" = ()
    wishes: Sequence[str] = ()
    loads: Loads | None = None
    compared: Sequence[tuple[str, str, str]] = ()
    back: Sequence[Back] = ()
    load: Sequence[tuple[str, str]] = ()
    raises: str = ""
    allowed: str = ""
    not_yet: str = ""


def tune(desk: "Desk", width: Width) -> TunePage:
    """Return the page of the load now, the map of all, and the best one that was found."""
    project = desk.project
    found = desk.work.result("tune", project)
    now = desk.load if not isinstance(desk.load, BottlewrightError) else None
    best = found.best_load() if found else None
    if found and now and found.digest == project.digest:  # as many flights as behind the words: one number of one thing
        now = found.present_load(now)
    below = ("front", "sources") if found and found.advice.front else ("sources",)
    answer, lead, rest = _said(project, found, now)
    if found and any(one.level == "hold" for one in desk.proved.findings):
        answer = f"{answer}, but not before all that comes before pumping is done"
    shares, light = _shares(project), hand_moves(desk, width)
    return TunePage(
        stage="tune", question=QUESTION, answer=answer, lead=lead, aims=_aims(project), shares=shares,
        wanted=_wanted(project), wishes=[one.text for one in project.design.tune.want],
        loads=_loads(desk, found, width), figures=_figures(project, found, width, below) if found else (),
        compared=_compared(next((one.label for one in shares if one.chosen), "the wanted share"), now, best),
        back=_back(now, best), findings=findings_of(desk.cured, "tune"),
        groups=() if light else groups_of(project, [("The load now", LOAD)]), light=light,
        sections=[("", [in_words(text)]) for text in rest], running=_search(desk, found),
        load=tuple(found.recommended().items()) if found and _may_be_loaded(project, found) else (),
        raises=found.more_pressure() if found else "", allowed=desk.frame.verdict[1].bold.removesuffix(" on the gauge"),
        not_yet=str(desk.load) if isinstance(desk.load, BottlewrightError) else "",
    )  # fmt: skip


_ROOM = 26
"""Letters that stand beside a bar."""


def _figures(project: "Project", found: Any, width: Width, below: Sequence[str]) -> list[Figure]:
    """Return what stands below, each value and each part under its own name."""
    parts = {f"mass.{number}.name": one.name for number, one in enumerate(project.design.mass)}
    return [_named(one, parts) for one in figures_of(found, width, *below)]


def _named(figure: Figure, parts: Mapping[str, str]) -> Figure:
    """Return a figure in which a value has the name of its field, and a part its own, not its key."""
    def name(hit: re.Match[str]) -> str:
        label = label_of(hit[1], parts)
        return f">{label if len(label) < _ROOM else label.rpartition(': ')[2]}<"

    wide, narrow = (re.sub(r">([a-z]+(?:\.[a-z_0-9]+)+)<", name, svg) for svg in (figure.wide, figure.narrow))
    return figure._replace(wide=wide, narrow=narrow)


def _said(project: "Project", found: Any, now: "LoadWords | None") -> tuple[str, str, list[str]]:
    """Return heading, lead and further paragraphs; what holds the load back stands beside the map."""
    if found:
        _, first, *rest = found.paragraphs()
        if found.digest != project.digest:
            first = "It was found when the load was another. The rest of the rocket is the same, so it still holds."
        return found.order(), first, [text for text in rest if not text.startswith(("What holds", "–"))]
    if now is None:
        return "Say what it should do", "", []
    return (f"{now.water} and {now.pressure} now", "Drag the ring on the map, or let the best load be looked for: "
            "many loads, each in many flights, within what is allowed.", [])  # fmt: skip


def _aims(project: "Project") -> list[Choice]:
    return [Choice(value, label, value == project.design.tune.aim) for value, label in AIMS]


def _shares(project: "Project") -> list[Choice]:
    reach = project.design.tune.reach
    now = 90.0 if reach is None else 100.0 * reach.value
    return [Choice(value, label, abs(float(value[:-2]) - now) < 0.05) for value, label in SHARES]


def _wanted(project: "Project") -> "list[Field]":
    needs = project.design.tune.aim in ("nearest height", "least pressure")
    return fields_of(project, [("tune.height", "the wanted height")]) if needs else []


def _search(desk: "Desk", found: Any) -> Running:
    return running(desk, "tune", "Look for the best load once more" if found else "Look for the best load")


def _compared(share: str, now: "LoadWords | None", best: "LoadWords | None") -> list[tuple[str, str, str]]:
    surely = share if share == SHARES[-1][1] else "nine flights in ten"  # less is asked of no limit
    names = ("water", "on the gauge", f"{share} pass" if " in " in share else f"{share} passes", "the middle flight",
             "in the air", NINE_MARGIN.replace("nine flights in ten", surely))  # fmt: skip
    if now is None and best is None:
        return []
    columns = [one[:6] if one else ("",) * 6 for one in (now, best)]
    return [row for row in zip(names, *columns, strict=True) if row[1] or row[2]]


def _back(now: "LoadWords | None", best: "LoadWords | None") -> list[Back]:
    """Return what holds each load back; both at once where it is the same."""
    if now and best and (now.beyond, now.holding) == (best.beyond, best.holding):
        return [Back("both loads", now.beyond, now.holding, f"{now.flown} and {best.flown}")]
    return [Back(name, one.beyond, one.holding, str(one.flown)) for name, one in (("now", now), ("best", best)) if one]


def _may_be_loaded(project: "Project", found: Any) -> bool:
    """Say whether a load may be offered: under a stop, or before the bottle's own water test, none is."""
    verdict = project.changed(found.recommended()).prove().verdict
    return verdict.level != "stop" and verdict.allowed.gauge_Pa is not None


# --- the map -------------------------------------------------------------------------------------------------------


def _loads(desk: "Desk", found: Any, width: Width) -> Loads | None:
    kept: LoadMap | None = desk.work.result("map", desk.project)
    if kept is None:
        return None
    best = found.best_point() if found else None
    charts = [(name, _chart(kept, best, name == "narrow")) for name in ("wide", "narrow") if width in (name, "both")]
    sliders = _sliders(desk.project, charts[0][1])
    drawing = [(name, chart, chart.at(sliders[0].value, sliders[1].value)) for name, chart in charts]
    share = round(100 * kept.steps**2 / kept.most_steps**2)
    return Loads(drawing, sliders, "" if kept.whole else "the map is growing finer", share)


@lru_cache(maxsize=8)
def _chart(kept: "LoadMap", best: tuple[float, float] | None, narrow: bool) -> "LoadChart":
    chart = kept.chart(best, narrow)
    return chart._replace(svg=chart.svg.rstrip().removesuffix("</svg>"))


def _sliders(project: "Project", chart: "LoadChart") -> list[Slider]:
    """Return water and pressure, each with the ± that the file gives it."""
    charge = project.design.charge
    water, pressure = charge.water, charge.pressure
    assert water, "a completed design has a load"
    assert pressure, "a completed design has a load"
    step = 1.0 if chart.unit == "psi" else 0.05
    spread = {one.key: one.spread for one in fields_of(project, LOAD)}
    return [
        Slider("charge.water", "water", round(water.value * 1e6, 1), *_outwards(chart.water, 5.0), 5.0, "mL",
               spread["charge.water"] if "±" in water.text else ""),
        Slider("charge.pressure", "pressure on the gauge", round(pressure.value / chart.pascals, 3),
               *_outwards(chart.pressure, step), step, chart.unit,
               spread["charge.pressure"] if "±" in pressure.text else ""),
    ]  # fmt: skip


def _outwards(ends: tuple[float, float], step: float) -> tuple[float, float]:
    """Return the ends of the map as a slider has them: whole steps."""
    low, high = ends
    return round(step * -(-low // step), 3), round(step * (high // step), 3)
