"""Designs side by side: the same numbers of each, in one habit of units, and their drawings at one scale."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

from bottlewright.errors import InputError
from bottlewright.project.picture import Shown

if TYPE_CHECKING:
    from bottlewright.design.unit_habit import UnitHabit
    from bottlewright.project.project import Project
    from bottlewright.project.proof import ProofResult
    from bottlewright.report.drawing import RocketView

__all__ = ["MOST", "Comparison", "Row", "SideBySide", "compare", "flat_text", "length_of", "small_drawing", "view_of"]

MOST = 3
"""Designs that fit side by side."""


class Row(NamedTuple):
    """One number of each design.

    Parameters
    ----------
    what
        What it is.
    values
        In the order of the designs; "not known" where it is not.
    why
        What each rests on; empty where the number is the design's own.
    """

    what: str
    values: list[str]
    why: list[str]


class SideBySide:
    """What is compared, as one document."""

    def document(self) -> dict[str, Any]:
        """Return it as plain values."""
        raise NotImplementedError

    def json(self, ascii_only: bool = False) -> str:
        """Return the document as JSON text; what is not a finite number becomes null."""
        from bottlewright.report.json_text import json_text

        return json_text({"command": "compare", **self.document()}, ascii_only)


@dataclass(frozen=True)
class Comparison(SideBySide):
    """Two or three designs side by side.

    Parameters
    ----------
    projects
        The designs.
    judged
        What each may take, with its verdict.
    """

    projects: "Sequence[Project]"
    judged: "Sequence[ProofResult]"

    @property
    def names(self) -> list[str]:
        """What each is called; with its file where two have one name."""
        names = [one.name for one in self.projects]
        return [f"{one.name} ({one.file.name})" if names.count(one.name) > 1 else one.name for one in self.projects]

    @cached_property
    def rows(self) -> list[Row]:
        """The numbers, what people act on first."""
        return [*self._acted_on(), *self._numbers()]

    def _acted_on(self) -> list[Row]:
        acts = [one.act for one in self.judged]
        none = [""] * len(acts)
        return [
            Row("The verdict", [act.says for act in acts], none),
            Row("On the gauge", ["nobody pumps this bottle again" if act.retired
                                 else act.allowed or "no pressure is allowed yet" for act in acts],
                ["; ".join(filter(None, (act.because, act.after_test))) for act in acts]),
            Row("Spectators stand back", [act.spectators for act in acts], [act.distances_because for act in acts]),
        ]  # fmt: skip

    def _numbers(self) -> list[Row]:
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.flight.layout import vehicle_of

        habit = unit_habit(self.projects[0].design)
        flights = [one.fly().summary for one in self.projects]
        none = [""] * len(flights)
        found = [Row(what, [said(flight) for flight in flights], none) for what, said in _flown(habit).items()]
        lengths = [view_of(one) for one in self.projects]
        return [
            *found,
            Row("Water", [one.act.water for one in self.judged], none),
            Row("Planned on the gauge", [one.act.pressure for one in self.judged], none),
            Row("Weighs, without water", [habit.mass(float(vehicle_of(one.design)["dry_mass"]), 3)
                                          for one in self.projects],
                ["weighed" if one.design.measured.dry_mass else "by the parts" for one in self.projects]),
            Row("Long", [habit.length(length_of(view)) for view in lengths], none),
        ]  # fmt: skip

    @cached_property
    def picture(self) -> Shown:
        """All of them from the side at one scale."""
        from bottlewright.report.silhouettes import silhouettes
        from bottlewright.report.style import NARROW, Picture

        views = [view_of(one) for one in self.projects]
        longest = max(length_of(view) for view in views)
        rockets = list(zip(self.names, views, strict=True))
        return Shown(Picture(
            "side-by-side", "From the side, all at one scale.",
            f"{', '.join(self.names)} from the side, at one scale; their lengths stand in the table.",
            lambda width: silhouettes(rockets, width, longest if width <= NARROW else 1.7 * longest),
        ))  # fmt: skip

    @cached_property
    def heights(self) -> Shown:
        """How high each is at each moment of one flight."""
        from bottlewright.design.unit_habit import unit_habit
        from bottlewright.report.heights import heights_chart
        from bottlewright.report.style import Picture

        feet = unit_habit(self.projects[0].design).inches
        series = [one.fly().columns() for one in self.projects]
        flights = [(name, one["time_s"], one["height_m"]) for name, one in zip(self.names, series, strict=True)]
        return Shown(Picture(
            "heights", "Height against time, one flight of each in the weather of its own design.",
            f"Height against time of {', '.join(self.names)}; the greatest heights stand in the table.",
            lambda width: heights_chart(flights, feet, width),
        ))  # fmt: skip

    @cached_property
    def differences(self) -> list[tuple[str, list[str]]]:
        """What their files say otherwise: key, and what stands there in each; nothing where it is left out."""
        said = [flat_text(one.design.written.tables) for one in self.projects]
        keys = dict.fromkeys(key for one in said for key in one)
        return [(key, [one.get(key, "") for one in said]) for key in keys
                if key != "name" and len({one.get(key, "") for one in said}) > 1]  # fmt: skip

    def words(self) -> str:
        """Return it in lines: each number with that of every design, then what the files say otherwise."""
        lines = []
        for row in self.rows:
            lines.append(row.what)
            lines += [f"  {name}: {value}{f' ({why})' if why else ''}"
                      for name, value, why in zip(self.names, row.values, row.why, strict=True)]  # fmt: skip
        lines.append("What the files say otherwise" if self.differences else "The files differ in nothing but a name.")
        for key, values in self.differences:
            said = "; ".join(f"{name}: {value or 'not said'}" for name, value in zip(self.names, values, strict=True))
            lines.append(f"  {key}: {said}")
        return "\n".join(lines)

    def document(self) -> dict[str, Any]:
        """Return it as plain values: what people act on in words, key figures of one flight in SI."""
        return {
            "designs": [{"name": name, "file": one.file.name, "digest": one.digest, "level": judged.verdict.level,
                         "flight": dict(one.fly().summary)}
                        for name, one, judged in zip(self.names, self.projects, self.judged, strict=True)],
            "rows": [{"what": row.what, "values": row.values, "because": row.why} for row in self.rows],
            "differences": dict(self.differences),
        }  # fmt: skip


def compare(projects: "Sequence[Project]", judged: "Sequence[ProofResult] | None" = None) -> Comparison:
    """Put two or three designs side by side.

    Parameters
    ----------
    judged
        What each may take, by all that was worked out for it; by the design alone when left out.

    Raises
    ------
    InputError
        When they are fewer than two, or more than fit.
    """
    if not 2 <= len(projects) <= MOST:
        raise InputError(f"choose two or three designs to compare, not {len(projects)}")
    return Comparison(projects, judged or [one.prove() for one in projects])


def _flown(habit: "UnitHabit") -> "dict[str, Callable[[Mapping[str, float]], str]]":
    def told(key: str, words: Callable[[float], str]) -> Callable[[Mapping[str, float]], str]:
        return lambda flight: words(flight[key]) if math.isfinite(flight[key]) else "not known"

    def landing(flight: Mapping[str, float]) -> str:
        far = math.hypot(flight["landing_east_m"], flight["landing_north_m"])
        return habit.distance(far, 2) if math.isfinite(far) else "not known"

    return {
        "Goes up": told("apogee_m", habit.distance),
        "Least steady, calibres (body widths)": told("static_margin_min_calibres", lambda margin: f"{margin:.2f}"),
        "Fastest": told("max_speed_m_s", lambda speed: habit.speed(speed, 2)),
        "Comes down at": told("landing_speed_m_s", lambda speed: habit.speed(speed, 2)),
        "Comes down away from the launcher, one flight": landing,
    }


def flat_text(tables: object, key: str = "") -> dict[str, str]:
    """Return what a file says by key, in words."""
    if isinstance(tables, dict):
        return {path: text for name, value in tables.items()
                for path, text in flat_text(value, f"{key}.{name}".lstrip(".")).items()}  # fmt: skip
    if isinstance(tables, list) and tables and isinstance(tables[0], dict):
        return {path: text for number, value in enumerate(tables)
                for path, text in flat_text(value, f"{key}.{number}").items()}  # fmt: skip
    return {key: str(tables)}


def view_of(project: "Project") -> "RocketView":
    """Return what a rocket looks like from the side."""
    from bottlewright.flight.chapters import rocket_view
    from bottlewright.flight.layout import layout_of

    return rocket_view(project.design, layout_of(project.design))


def length_of(view: "RocketView") -> float:
    """Return how long a rocket is, fins and all, m."""
    fin = view.fin_outline
    return float(max(view.station.max(), fin[:, 0].max() if fin is not None and len(fin) else 0.0))


def small_drawing(view: "RocketView", name: str, key: str, width_mm: float, longest: float) -> str:
    """Return a small drawing for a list, as SVG with the page's colours; `longest` m fill the width."""
    from bottlewright.report.silhouettes import silhouettes

    sheet = silhouettes([("", view)], width_mm, longest, bar=False)
    return sheet.svg(f"{name} from the side, at the scale of the others", "", f"small-{key}", alone=False,
                     share=None)  # fmt: skip
