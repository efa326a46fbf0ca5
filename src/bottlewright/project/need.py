"""What a day with so many children needs, for one design, from five answers."""

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from bottlewright.errors import BottlewrightError, FieldsError, InputError
from bottlewright.project.result import Result

if TYPE_CHECKING:
    from bottlewright.make.need.asked import Asked, Count, Counted
    from bottlewright.make.need.figures import Away
    from bottlewright.project.project import Project
    from bottlewright.verdict import Verdict

__all__ = ["ANSWERS", "NeedResult", "asked_of", "need"]

ANSWERS: Mapping[str, str] = {"children": "24", "team": "2", "hours": "2 h", "field": "", "budget": ""}
"""What may be answered, and what is taken until somebody does."""

_MOST = 500
"""Children that a count is made for."""


@dataclass(frozen=True, eq=False, repr=False)
class NeedResult(Result):
    """What a day needs.

    Parameters
    ----------
    asked
        What somebody plans.
    """

    command: ClassVar[str] = "need"
    stages: ClassVar[tuple[str, ...]] = ("make",)
    asked: "Asked"

    def _judge(self) -> "Verdict":
        return self.project.verdict()

    @cached_property
    def counted(self) -> "Counted":
        """Rows, what does not fit, what was not counted."""
        return _counted(self.project, self.asked, _away(self))

    @property
    def build(self) -> dict[str, str]:
        """What `schedule` needs to build the rockets of that day: who builds, and how many rockets."""
        from bottlewright.make.need.asked import vessels_in_use

        return {"people": str(self.asked.children), "rockets": str(vessels_in_use(self.asked))}

    @cached_property
    def early(self) -> "Counted":
        """The same without what takes a flight: distances are being worked out."""
        return _counted(self.project, self.asked, None)

    @property
    def rows(self) -> "tuple[Count, ...]":
        """What is needed, a row each: how much, how it was worked out, and what that rests on."""
        return self.counted.rows

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        counted = self.counted
        return {"name": self.design.name, "asked": asdict(self.asked), "rows": [asdict(row) for row in counted.rows],
                "does_not_fit": list(counted.misfits), "not_counted": list(counted.not_counted)}  # fmt: skip

    def words(self) -> str:
        """See `Result.words`."""
        counted, lines = self.counted, []
        for group in dict.fromkeys(row.group for row in counted.rows):
            lines += ["", group, *(f"  {row.what}: {row.shown}. {row.how} ({row.rests_on})"
                                   for row in counted.rows if row.group == group)]  # fmt: skip
        ends = ("What does not fit", counted.misfits), ("Not counted", counted.not_counted)
        for heading, said in ends:
            lines += ["", heading, *(f"  {text}" for text in said)] if said else []
        return "\n".join(lines[1:]) + "\n"

    def columns(self) -> Mapping[str, Any]:
        """Return the rows: group, what, amount and ± in the unit beside them (SI, or money), how, what it rests on."""
        wanted = ("group", "code", "what", "amount", "spread", "unit", "how", "rests_on")
        return {name: [getattr(row, name) for row in self.rows] for name in wanted}


def _counted(project: "Project", asked: "Asked", away: "Away | None") -> "Counted":
    from bottlewright.make.inputs import prices_beside
    from bottlewright.make.need.count import count_needs
    from bottlewright.make.need.figures import figures_of

    prices = prices_beside(project.design, project.folder)
    return count_needs(asked, figures_of(project.design, project.proved, prices, away))


def _away(result: NeedResult) -> "Away":
    from bottlewright.make.need.figures import Away

    act, verdict = result.act, result.verdict
    distances = verdict.distances
    sides = [sector.distance_m for sector in distances.spectators or ()] or [distances.rule_spectators_m]
    landings = distances.spectators is not None
    pumper, operator = ((distances.pumper_m, distances.operator_m) if landings
                        else (distances.rule_pumper_m, distances.rule_operator_m))  # fmt: skip
    pumper, operator = (distances.planned(role) if distances.keeps(role) else least
                        for role, least in (("pumper", pumper), ("operator", operator)))  # fmt: skip
    said = {role: f"{verdict.habit.distance(distances.planned(role) or 0.0)} by your plan"
            for role in ("pumper", "operator") if distances.keeps(role)}  # fmt: skip
    height = verdict.habit.distance(result.project.fly().summary["apogee_m"], 2)
    return Away(said.get("pumper", act.pumper), said.get("operator", act.operator), act.spectators, pumper, operator,
                min(sides), max(sides), landings, height, act.says if verdict.level == "stop" else "")


# --- the answers ---------------------------------------------------------------------------------------------------


def need(project: "Project", answers: Mapping[str, object]) -> NeedResult:
    """Count what a day needs; see `Project.need`."""
    return NeedResult(project, asked=asked_of(answers))


def asked_of(answers: Mapping[str, object]) -> "Asked":
    """Return answers as numbers.

    Raises
    ------
    FieldsError
        With what is wrong with each.
    """
    from bottlewright.make.need.asked import Asked

    unknown = set(answers) - set(ANSWERS)
    if unknown:
        raise InputError(f"{', '.join(sorted(unknown))} is no answer; the answers are {', '.join(ANSWERS)}")
    given = {**ANSWERS, **{name: str(text).strip() for name, text in answers.items() if text is not None}}
    read: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for name, reader in _READERS.items():
        try:
            read.update(reader(given[name]))
        except BottlewrightError as error:
            wrong[name] = str(error)
    if wrong:
        raise FieldsError(wrong)
    return Asked(**read)


def _whole(name: str) -> Any:
    def read(text: str) -> dict[str, Any]:
        if not text.isdecimal() or not 1 <= int(text) <= _MOST:
            raise InputError(f"has to be a whole number from 1 to {_MOST}, not {text!r}")
        return {name: int(text)}

    return read


def _hours(text: str) -> dict[str, Any]:
    from bottlewright.quantities import Dimension, parse_quantity

    hours = parse_quantity(text, Dimension.TIME).value
    if not 0.0 < hours <= 24 * 3600.0:
        raise InputError(f"has to be more than nothing and at most 24 h, such as 2 h or 90 min, not {text!r}")
    return {"hours": hours}


def _budget(text: str) -> dict[str, Any]:
    if not text:
        return {}
    match = re.fullmatch(r"(\d{1,9}(?:[.,]\d{1,2})?)\s*([^\d\s][^\d]{0,20})?", text)
    if match is None:
        raise InputError(f"has to be a number, with its money if you like, such as 120 crowns, not {text!r}")
    return {"budget": float(match[1].replace(",", ".")), "currency": (match[2] or "").strip()}


def _field(text: str) -> dict[str, Any]:
    from bottlewright.quantities import Dimension, parse_quantity, spelled, written_unit

    if not text:
        return {}
    sides = [side.strip() for side in re.split(r"\s*(?:×|\bx\b|\bby\b|(?<=\d)x(?=\d)|\*)\s*", text.lower())]
    if len(sides) != 2 or not all(sides):
        raise InputError(f"has to be two lengths, such as 60 m x 40 m or 200 ft x 130 ft, not {text!r}")
    unit = written_unit(spelled(sides[1]))
    first = sides[0] if re.search(r"[a-z]", sides[0]) else f"{sides[0]} {unit}"
    shorter, longer = sorted(parse_quantity(side, Dimension.LENGTH).value for side in (first, sides[1]))
    if not 0.0 < shorter <= longer <= 1e4:
        raise InputError(f"has to be a field between nothing and 10 km, not {text!r}")
    return {"width": shorter, "length": longer, "feet": unit in ("ft", "yd", "in")}


_READERS: Mapping[str, Any] = {
    "children": _whole("children"), "team": _whole("team"), "hours": _hours, "field": _field, "budget": _budget,
}  # fmt: skip
