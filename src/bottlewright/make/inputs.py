"""What comes with a design from elsewhere: proof, flight, and the builder's own files beside the design file."""

import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol, TypeVar

from bottlewright.design import Design
from bottlewright.design.price_file import LARGEST, read_prices
from bottlewright.design.reading_notes import file_note
from bottlewright.design.text_files import read_text_file
from bottlewright.design.unit_habit import UnitHabit, unit_habit
from bottlewright.design.unit_text import at_least, at_most
from bottlewright.findings import Finding, Level, Stage, stops
from bottlewright.flight.fly import Flight
from bottlewright.flight.results import findings_of
from bottlewright.make.build import Given
from bottlewright.make.patterns.nesting import usual_paper
from bottlewright.make.sheets.launch_day import LARGEST_MATRIX, read_matrix

__all__ = ["Proved", "collect_inputs"]

T = TypeVar("T")


class Proved(Protocol):
    """What is read of the proof of a design: a package beside this one, so known by its shape only."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was found."""

    @property
    def rated(self) -> Any:
        """With `gauge_Pa` and `failed`."""

    @property
    def plan(self) -> Any:
        """With `proof_gauge_Pa`, `hold_s` and `permanent_growth_limit_m`."""

    @property
    def distances(self) -> Any:
        """With `operator`, `pumper` and `spectators`, each with `asks_m` and `planned_m`."""


def collect_inputs(
    design: Design,
    file: Path,
    proved: Proved,
    flight: Flight,
    drills: Mapping[str, float],
    overrides: Sequence[str] = (),
    paper: str | None = None,
) -> Given:
    """Gather everything for `build`.

    Parameters
    ----------
    file
        The design file; price file and matrix lie beside it.
    drills
        Drills for the stand's holes by what passes them, m.
    overrides
        What the command line changed in the file.
    paper
        Of the pack; the usual one of the builder's units when left out.
    """
    notes: list[Finding] = []
    prices = _read(file, design.prices.file, "prices.file", LARGEST, read_prices, notes)
    matrix = _read(file, design.workshop.matrix, "workshop.matrix", LARGEST_MATRIX, read_matrix, notes)
    findings = [*proved.findings, *findings_of(design, flight)]
    habit = unit_habit(design)
    return Given(
        source=file.read_bytes(),
        overrides=tuple(overrides),
        findings=findings,
        numbers={**_proof_numbers(proved, habit), **_flight_numbers(flight, habit)},
        words={**_proof_words(design, proved, habit), **_pressure_words(design, findings, habit)},
        drills=drills,
        prices=prices or {},
        matrix=matrix,
        notes=notes,
        paper=paper or usual_paper(habit.inches),
    )


def _read(
    file: Path, name: str | None, key: str, most: int, reader: Callable[[str, Callable[[str], None]], T],
    notes: list[Finding],
) -> T | None:  # fmt: skip
    """Read a file named in the design; what is wrong with it becomes a finding, and the work goes on."""
    if not name:
        return None
    try:
        text, said = read_text_file(file.parent / name, most)
        told = list(said)
        read = reader(text, told.append)
        if told:
            notes.append(file_note(f"{key}, {name!r}", told, Stage.MAKE))
        return read
    except ValueError as error:
        notes.append(
            Finding(
                Level.LOOK,
                Stage.MAKE,
                "unread-file",
                "a file that the design names was not used",
                f"{key}: {name!r} {error}",
                "a file beside the design that can be read",
                "this program",
                f"Put it right, or take {key} out.",
            )
        )
        return None


def _proof_numbers(proved: Proved, habit: UnitHabit) -> dict[str, str]:
    places = _places(proved, habit)
    return {
        "rated pressure (see findings)": at_most(habit, proved.rated.gauge_Pa),
        "proof test, full of water": "none, for this bottle has failed one"
        if proved.rated.failed
        else at_least(habit, proved.plan.proof_gauge_Pa),
        "operator, pumper stand back": f"{places['operator']}, {places['pumper']}",
        "spectators stand back at least": places["spectators"],
    }


def _asks(proved: Proved, role: str) -> float:
    return float(getattr(proved.distances, role).asks_m)


def _flight_numbers(flight: Flight, habit: UnitHabit) -> dict[str, str]:
    named: dict[str, tuple[str, Callable[[float], str]]] = {
        "apogee": ("apogee_m", lambda metres: habit.distance(metres, 2)),
        "greatest speed": ("max_speed_m_s", lambda speed: habit.speed(speed, 2)),
        "time in the air": ("flight_time_s", lambda seconds: f"{seconds:.0f} s"),
        "landing speed": ("landing_speed_m_s", lambda speed: habit.speed(speed, 2)),
    }
    values = flight.summary
    return {name: text(values[key]) for name, (key, text) in named.items() if math.isfinite(values[key])}


def _places(proved: Proved, habit: UnitHabit) -> dict[str, str]:
    """Return where each stands: the plan's distance, no less than the rules ask."""
    return {
        role: habit.stand_back(max(_asks(proved, role), getattr(proved.distances, role).planned_m or 0.0))
        for role in ("operator", "pumper", "spectators")
    }


def _proof_words(design: Design, proved: Proved, habit: UnitHabit) -> dict[str, str]:
    """Return proof pressure and hold, what may stay of the growth, how hard the leak test, and the distances."""
    words, planned, rated = _places(proved, habit), design.charge.pressure, proved.rated.gauge_Pa
    if proved.rated.failed:  # the fresh bottle's own test has its own numbers
        return {**words, "leak_pressure": "what the fresh bottle will be rated to"}
    if planned is None or planned.value > rated:
        words["leak_pressure"] = f"{at_most(habit, rated)}, which is what the bottle is rated to so far"
    plan = proved.plan
    return {
        **words,
        "proof_pressure": at_least(habit, plan.proof_gauge_Pa),
        "proof_hold": f"for {plan.hold_s:.0f} s",
        "proof_growth": habit.length(math.pi * plan.permanent_growth_limit_m, 2),
    }


def _pressure_words(design: Design, findings: Sequence[Finding], habit: UnitHabit) -> dict[str, str]:
    """Return the launch pressure with its condition, as long as something says stop."""
    pressure = design.charge.pressure
    if pressure is None or not stops(findings):
        return {}
    return {"pressure": f"{habit.pressure(pressure.value)} (not before every STOP on the cover is settled)"}
