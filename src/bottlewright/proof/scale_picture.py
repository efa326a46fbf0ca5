"""One figure: the pressures that matter on one scale, lying for a wide page and standing for a telephone."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import UnitHabit
from bottlewright.design.unit_text import at_most
from bottlewright.figures.letters import width
from bottlewright.figures.sheet import MM, Sheet, Words
from bottlewright.figures.ticks import tick_words, ticks
from bottlewright.proof.evidence import OwnTest, own_evidence
from bottlewright.proof.prove import ProofReport
from bottlewright.proof.vessel_findings import one_in
from bottlewright.quantities import UNITS, Dimension
from bottlewright.report.style import NARROW, Picture

__all__ = ["scale_picture"]

_LETTER, _ROW, _BAND, _EDGE = 9.0, 13.5, 18.0, 16.0
"""Points: size of letters, from one row of them to the next, thickness of the scale, room at its sides."""
_WIDE = 270.0
"""Width of the lying drawing, mm: a page shows it about as wide, so that its letters are as large as the page's."""


class _Mark(NamedTuple):
    """A pressure, Pa gauge, and how it is drawn."""

    pressure: float
    words: str
    colour: str
    above: bool  # what may be done; below is what was found out
    heavy: bool = False
    dash: tuple[float, ...] = ()


class _Band(NamedTuple):
    """Where one in so many bursts, Pa gauge, in words too; and up to where the gauge may read."""

    low: float
    high: float
    words: str
    allowed: float


def scale_picture(design: Design, report: ProofReport) -> Picture:
    """Draw the pressures of a completed design's report on one scale."""
    marks, band, habit = sorted([*_marks(report), *_tests(design, report)]), _band(report), report.habit
    marked = "; ".join(mark.words for mark in marks)
    return Picture(
        "scale", f"Pressures on the gauge, on one scale. {_caption(report)}",
        f"Pressures on one scale: {marked}; {band.words}",
        lambda wide: _standing(marks, band, habit) if wide <= NARROW else _lying(marks, band, habit),
    )  # fmt: skip


def _caption(report: ProofReport) -> str:
    if report.allowed.retired:
        return "This bottle is finished: nobody pumps it again."
    if report.allowed.gauge_Pa is None:
        return "Nothing is allowed before the bottle's own water test."
    return "What is rated is the pressure in the bottle; what is allowed is the reading of the gauge."


def _marks(report: ProofReport) -> list[_Mark]:
    rated, allowed, habit = report.rated, report.allowed, report.habit
    plan = rated.planned_Pa
    over = plan > allowed.most_Pa * (1.0 + 1e-9)
    marks = [
        _Mark(plan, f"planned, {_short(habit, plan)}", "orange" if over else "ink", above=True, heavy=over),
        _Mark(rated.burst_median_Pa, f"half of such bottles burst by {_short(habit, rated.burst_median_Pa)}", "orange",
              above=False),
        _Mark(rated.rule_maximum_Pa, f"strictest maximum, as published, {_most(habit, rated.rule_maximum_Pa)}", "plum",
              above=True, dash=(4.0, 2.0)),
        _Mark(rated.rule_limit_Pa, f"strictest advice, as published, {_most(habit, rated.rule_limit_Pa)}", "soft",
              above=True, dash=(1.0, 1.4)),
    ]  # fmt: skip
    after = allowed.after_test
    if allowed.gauge_Pa is not None and not allowed.retired:
        marks.append(_Mark(allowed.gauge_Pa, f"allowed on the gauge, {_most(habit, allowed.gauge_Pa)}", "teal",
                           above=True, heavy=True))
        marks.append(_Mark(rated.gauge_Pa, f"the bottle is rated to {_most(habit, rated.gauge_Pa)}", "ink",
                           above=False))
    if after is not None:
        marks.append(_Mark(after.allowed_gauge_Pa, f"allowed after a test, {_most(habit, after.allowed_gauge_Pa)}",
                           "teal", above=True, dash=(3.0, 2.0)))
    if not allowed.retired:
        marks.append(_Mark(report.plan.proof_gauge_Pa, f"next water test, {_short(habit, report.plan.proof_gauge_Pa)}",
                           "blue", above=False, dash=(3.0, 2.0)))
    return marks


def _tests(design: Design, report: ProofReport) -> list[_Mark]:
    """Return each test, of those that say the same only one."""
    marks = []
    for one in own_evidence(design):
        pressure, held = one.result.pressure, one.result.passed
        words = f"failed at {_short(report.habit, pressure)}" if not held else (
            f"its own {one.test.medium} test, {_short(report.habit, pressure)}{_doubt(one)}")
        marks.append(_Mark(pressure, words, "blue" if held else "orange", above=False, heavy=not held))
    return list(dict.fromkeys(marks))


def _doubt(one: OwnTest) -> str:
    """Say of a passed test that counts for nothing why; of another nothing."""
    return "" if one.counts else ", doubtful" if one.doubts else ", raises nothing"


def _band(report: ProofReport) -> _Band:
    rated, habit = report.rated, report.habit
    low, high = rated.burst_limit_low_Pa, rated.burst_limit_high_Pa
    odds = one_in(rated.target_burst_chance).replace("1 in", "one in")
    words = f"between {_short(habit, low)} and {_short(habit, high)} {odds} bursts in a launch"
    return _Band(low, high, words, report.allowed.gauge_Pa or 0.0)


def _short(habit: UnitHabit, pascals: float) -> str:
    return habit.pressure(pascals).partition(" (")[0]


def _most(habit: UnitHabit, pascals: float) -> str:
    return at_most(habit, pascals).partition(" (")[0]


class _Scale(NamedTuple):
    """Ticks in the builder's unit, and its end, Pa."""

    unit: str
    places: list[float]
    end: float

    def pascals(self, place: float) -> float:
        return place * UNITS[Dimension.PRESSURE][self.unit]


def _scale(marks: Sequence[_Mark], band: _Band, habit: UnitHabit, most: int) -> _Scale:
    unit = habit.unit("bar")
    end = 1.06 * max(band.high, *(mark.pressure for mark in marks))
    return _Scale(unit, ticks(0.0, end / UNITS[Dimension.PRESSURE][unit], most), end)


# --- lying ------------------------------------------------------------------------------------------------------------


def _lying(marks: Sequence[_Mark], band: _Band, habit: UnitHabit) -> Sheet:
    """Draw the scale from left to right; what hangs further left hangs further out, so that no leader crosses words."""
    scale, whole = _scale(marks, band, habit, 16), _WIDE * MM
    room = min((whole - 2.0 * _EDGE - _wide(mark) - 8.0) * scale.end / max(mark.pressure, 1.0) for mark in marks)
    long = min(room, whole - 2.0 * _EDGE) / scale.end

    def at(pressure: float) -> float:
        return _EDGE + pressure * long

    sides = {above: _rows([mark for mark in marks if mark.above is above], at) for above in (True, False)}
    up, down = (_ROW * (1 + max([*rows.values(), -1])) for rows in (sides[True], sides[False]))
    sheet = Sheet(_WIDE, (up + down + _BAND + 52.0) / MM)
    top = up + 14.0
    bottom = top + _BAND
    sheet.shape(_box(_EDGE, top, at(band.allowed), bottom), "", "wash", part="allowed")
    sheet.shape(_box(_EDGE, top, at(scale.end), bottom), "ink", thick=0.8)
    sheet.shape(_box(at(band.low), top, at(band.high), bottom), "", "orange", hatch=0, part="one in so many bursts")
    for place, words in zip(scale.places, tick_words(scale.places), strict=True):
        x = at(scale.pascals(place))
        sheet.shape(f"M{x:g} {bottom}V{bottom - 5.0}", "soft", thick=0.8)
        sheet.write(Words(words, x, bottom - 6.5, 8.0, "soft", "middle", halo=True))
    for above, rows in sides.items():
        for mark, row in rows.items():
            x, out = at(mark.pressure), row * _ROW + _LETTER
            reach = top - 4.0 - out if above else bottom + 5.0 + out
            sheet.shape(f"M{x:.2f} {bottom if above else top:g}V{reach:g}", mark.colour, thick=_thick(mark),
                        dash=mark.dash, part=mark.words)
            foot = reach + _LETTER - 1.5 if above else reach
            sheet.write(Words(mark.words, x + 4.0, foot, _LETTER, mark.colour, bold=mark.heavy, halo=True))
    _explain(sheet, band, scale.unit, sheet.height - 9.0)
    return sheet


def _rows(marks: Sequence[_Mark], at: Callable[[float], float]) -> dict[_Mark, int]:
    """Return how far out each mark's words stand: behind those of all marks that its words reach over."""
    rows: dict[_Mark, int] = {}
    for mark in reversed(marks):
        x = at(mark.pressure)
        over = [row for other, row in rows.items() if at(other.pressure) < x + _wide(mark) + 8.0]
        rows[mark] = 1 + max(over, default=-1)
    return rows


def _wide(mark: _Mark) -> float:
    return width(mark.words, _LETTER, mark.heavy)


def _thick(mark: _Mark) -> float:
    return 2.4 if mark.heavy else 1.1


def _explain(sheet: Sheet, band: _Band, unit: str, foot: float) -> None:
    """Say under the drawing which unit it has and what is hatched."""
    sheet.write(Words(f"{unit} on the gauge", _EDGE, foot, 8.0, "soft"))
    x = _EDGE + width(f"{unit} on the gauge", 8.0) + 14.0
    sheet.shape(_box(x, foot - 7.5, x + 14.0, foot + 1.0), "ink", thick=0.6)
    sheet.shape(_box(x, foot - 7.5, x + 14.0, foot + 1.0), "", "orange", hatch=0)
    sheet.write(Words(band.words, x + 19.0, foot, 8.0, "soft"))


def _box(left: float, top: float, right: float, bottom: float) -> str:
    return f"M{left:.2f} {top:.2f}H{right:.2f}V{bottom:.2f}H{left:.2f}z"


# --- standing ---------------------------------------------------------------------------------------------------------


def _standing(marks: Sequence[_Mark], band: _Band, habit: UnitHabit) -> Sheet:
    """Draw the scale from the bottom up, all words to its right, moved apart where they would touch."""
    scale, left = _scale(marks, band, habit, 14), 26.0
    high = max(250.0, (len(marks) + 1) * (_ROW + 3.0))
    sheet = Sheet(NARROW, (high + 52.0) / MM)
    top, right = 14.0, left + _BAND

    def at(pressure: float) -> float:
        return top + high * (1.0 - pressure / scale.end)

    sheet.shape(_box(left, at(band.allowed), right, top + high), "", "wash", part="allowed")
    sheet.shape(_box(left, top, right, top + high), "ink", thick=0.8)
    sheet.shape(_box(left, at(band.high), right, at(band.low)), "", "orange", hatch=0, part="one in so many bursts")
    for place, words in zip(scale.places, tick_words(scale.places), strict=True):
        y = at(scale.pascals(place))
        sheet.shape(f"M{left} {y:g}H{left + 5.0}", "soft", thick=0.8)
        sheet.write(Words(words, left - 4.0, y + 3.0, 8.0, "soft", "end"))
    for mark, y in zip(marks, _apart([at(mark.pressure) for mark in marks], top, top + high), strict=True):
        here = at(mark.pressure)
        sheet.shape(f"M{left:g} {here:.2f}H{right:g}L{right + 12.0:g} {y:.2f}H{right + 18.0:g}", mark.colour,
                    thick=_thick(mark), dash=mark.dash, part=mark.words)
        sheet.write(Words(mark.words, right + 21.0, y + 3.0, _LETTER - 0.4, mark.colour, bold=mark.heavy))
    foot = sheet.height - 22.0
    first, _, rest = band.words.partition(" one in")
    _explain(sheet, band._replace(words=first), scale.unit, foot)
    under = _EDGE + width(f"{scale.unit} on the gauge", 8.0) + 33.0
    sheet.write(Words(f"one in{rest}", under, foot + 11.0, 8.0, "soft"))
    return sheet


def _apart(places: Sequence[float], top: float, bottom: float) -> list[float]:
    """Return places from the bottom up, none nearer to the one below than a row."""
    found: list[float] = []
    for number, place in enumerate(places):
        least = bottom if not found else found[-1] - _ROW
        room = top + _ROW * (len(places) - 1 - number)
        found.append(max(min(place, least), room))
    return found
