"""The risk sheet: what can go wrong, placed in a matrix, and what the findings of the verdict leave of it.

The sheet says nothing of its own about a hazard that a finding speaks of: an open stop is "do not go on" here as on the
cover, and a cell of the school's matrix that forbids going on is a stop of the verdict.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from typing import Any

from bottlewright.data_file import data_file
from bottlewright.design import Design
from bottlewright.findings import Finding, Level, Stage
from bottlewright.make.sheets.matrix import Matrix
from bottlewright.make.specification import Specification, fits
from bottlewright.make.template_values import filled

__all__ = ["DO_NOT_GO_ON", "Risk", "about_matrix", "about_supervision", "risks"]

DO_NOT_GO_ON = "Do not go on"
"""What the sheet says of a hazard with an open stop; nothing else on it begins so."""


@dataclass(frozen=True, slots=True)
class Risk:
    """One line of the risk sheet, in words.

    Parameters
    ----------
    code
        Short stable name.
    likely, bad, level
        Words of the matrix: how likely, how bad, and the cell.
    stands
        What the findings say of it today.
    stopped
        Whether a finding stops it.
    limit, source, evidence
        Where it stops, who set that, and how the people on the field tell.
    done, remains
        The measures, and what is left although they are kept.
    """

    code: str
    hazard: str
    who: str
    likely: str
    bad: str
    level: str
    stands: str
    stopped: bool
    limit: str
    source: str
    evidence: str
    done: str
    remains: str


@cache
def _table() -> tuple[dict[str, Any], ...]:
    return tuple(data_file("make", "risks")["risk"])


def risks(
    spec: Specification, words: Mapping[str, str], matrix: Matrix, findings: Sequence[Finding] = ()
) -> list[Risk]:
    """Return the risks of a design's features, placed in a matrix; what a finding stops stands first.

    Parameters
    ----------
    findings
        All that the verdict has, those of `about_matrix` among them. Each stop is told in one line: that of its hazard,
        or one of its own.
    """
    rows = [row for row in _table() if fits(row.get("when", []), spec.features)]
    theirs: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.level in _TOLD:
            theirs.setdefault(_hazard_of(finding, rows), []).append(finding)
    placed = [_placed(spec, words, matrix, row, theirs.get(row["code"], [])) for row in rows]
    others = [_other(matrix, finding) for finding in theirs.get(_OTHER, []) if finding.level is Level.STOP]
    return sorted([*placed, *others], key=lambda risk: not risk.stopped)


_TOLD = {
    Level.STOP: DO_NOT_GO_ON,
    Level.HOLD: "Not before pumping",
    Level.LOOK: "Look first",
    Level.UNCHECKED: "Nobody has checked",
}
"""What the sheet says of a finding's hazard, the most urgent first."""

_OTHER = "other"


def _hazard_of(finding: Finding, rows: Sequence[Mapping[str, Any]]) -> str:
    """Return the code of the first hazard that a finding speaks of."""
    for row in rows:
        if any(fnmatchcase(finding.code, each) for each in (f"{_MATRIX}-{row['code']}", *row["findings"])):
            return str(row["code"])
    return _OTHER


def _placed(
    spec: Specification, words: Mapping[str, str], matrix: Matrix, row: Mapping[str, Any], findings: Sequence[Finding]
) -> Risk:
    level = matrix.at(row["likelihood"], row["severity"])
    own = {key: filled(spec, row[key], words) for key in ("limit", "source", "evidence", "done", "remains")}
    return Risk(
        row["code"], row["hazard"], row["who"], matrix.likelihood[row["likelihood"]], matrix.severity[row["severity"]],
        level, _stands(findings, row), any(one.level is Level.STOP for one in findings), **own,
    )  # fmt: skip


def _stands(findings: Sequence[Finding], row: Mapping[str, Any]) -> str:
    """Say what the most urgent of the findings leave of a hazard; with none, never more than that there is none.

    Of a hazard that no code of the program speaks of, it says that nobody has checked it.
    """
    for urgency, said in _TOLD.items():
        found = list(dict.fromkeys(one.found for one in findings if one.level is urgency))
        if found:
            rest = f"; and {len(found) - _MOST} more" if len(found) > _MOST else ""
            return f"{said}: {'; '.join(found[:_MOST])}{rest}"
    if row.get("on_the_day", False):
        return "For you to check on the day"
    return "No finding so far" if row["findings"] else "Not checked"


_MOST = 2
"""Findings that one line of the sheet spells out; the cover has them all."""


def _other(matrix: Matrix, finding: Finding) -> Risk:
    """Return the line of a stop that is of no hazard in the table: it is told all the same, at its worst."""
    worst = matrix.bad[-1]
    return Risk(
        _OTHER, finding.hazard, "everyone", "not placed", worst, "not placed", f"{DO_NOT_GO_ON}: {finding.found}", True,
        finding.limit, finding.source, finding.found, finding.remedy, "What the cover says of it.",
    )  # fmt: skip


# --- what this sheet itself finds ------------------------------------------------------------------------------------

_MATRIX = "matrix-forbids"


def about_matrix(features: frozenset[str], matrix: Matrix) -> Iterator[Finding]:
    """Stop at each hazard of a design's features whose cell, in this matrix, forbids going on."""
    for row in _table():
        level = matrix.at(row["likelihood"], row["severity"])
        if level in matrix.stop and fits(row.get("when", []), features):
            likely, bad = matrix.likelihood[row["likelihood"]], matrix.severity[row["severity"]]
            yield Finding(
                Level.STOP, Stage.MAKE, f"{_MATRIX}-{row['code']}", row["hazard"],
                f"{likely}, {bad}: {level} by {matrix.name}", f"{level}: {matrix.means[level]}", matrix.source,
                "Do more about it than the risk sheet says, and have whoever owns the matrix place it anew",
            )  # fmt: skip


def about_supervision(design: Design) -> Iterator[Finding]:
    """Ask for the number of young people that one adult may look after: a local value, which nobody else can know."""
    if design.workshop.children_per_adult is None:
        yield Finding(
            Level.HOLD, Stage.MAKE, "supervision-unsaid", "Too few adults see too many young people",
            "nobody has said how many young people one adult looks after", "the rule of your school, club or country",
            "local rule; there is none that holds everywhere",
            "Ask how many young people one adult may look after, and have enough adults (workshop.children_per_adult, "
            "0 where no child takes part)",
        )  # fmt: skip
