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
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.fly import Flight
from bottlewright.flight.payload import carried
from bottlewright.flight.payload_words import mount_words
from bottlewright.flight.results import findings_of
from bottlewright.make.build import Given
from bottlewright.make.letting_out.flown import flown_words
from bottlewright.make.patterns.nesting import usual_paper
from bottlewright.make.sheets.matrix import LARGEST_MATRIX, read_matrix, usual_matrix
from bottlewright.make.sheets.risks import about_matrix, about_supervision
from bottlewright.make.specification import specify

__all__ = ["Proved", "collect_inputs", "prices_beside", "risk_findings"]

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
    prices = _read(file.parent, design.prices.file, "prices.file", LARGEST, read_prices, notes)
    matrix = _read(file.parent, design.workshop.matrix, "workshop.matrix", LARGEST_MATRIX, read_matrix, notes)
    findings = [*proved.findings, *findings_of(design, flight)]
    habit = unit_habit(design)
    return Given(
        source=file.read_bytes(),
        overrides=tuple(overrides),
        findings=findings,
        numbers=_flight_numbers(flight, habit),
        words={**_proof_words(proved, habit), **flown_words(design, flight, habit),
               **_payload_words(design, flight, habit)},
        drills=drills,
        prices=prices or {},
        matrix=matrix,
        notes=notes,
        paper=paper or usual_paper(habit.inches),
    )


def prices_beside(design: Design, folder: Path) -> dict[str, float]:
    """Return the prices of the builder's own file beside the design; none where it can't be read, as Make says."""
    return _read(folder, design.prices.file, "prices.file", LARGEST, read_prices, []) or {}


def risk_findings(design: Design, folder: Path) -> list[Finding]:
    """Return what the risk sheet itself finds in a completed design: what its own matrix forbids, what nobody has said.

    Parameters
    ----------
    folder
        Where the design file lies, and the matrix beside it.
    """
    notes: list[Finding] = []
    matrix = _read(folder, design.workshop.matrix, "workshop.matrix", LARGEST_MATRIX, read_matrix, notes)
    features = specify(design, {}).features
    return [*notes, *about_matrix(features, matrix or usual_matrix()), *about_supervision(design)]


def _read(
    folder: Path, name: str | None, key: str, most: int, reader: Callable[[str, Callable[[str], None]], T],
    notes: list[Finding],
) -> T | None:  # fmt: skip
    """Read a file named in the design; what is wrong with it becomes a finding, and the work goes on."""
    if not name:
        return None
    try:
        text, said = read_text_file(folder / name, most)
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


def _flight_numbers(flight: Flight, habit: UnitHabit) -> dict[str, str]:
    named: dict[str, tuple[str, Callable[[float], str]]] = {
        "apogee": ("apogee_m", lambda metres: habit.distance(metres, 2)),
        "greatest speed": ("max_speed_m_s", lambda speed: habit.speed(speed, 2)),
        "time in the air": ("flight_time_s", lambda seconds: f"{seconds:.0f} s"),
        "landing speed": ("landing_speed_m_s", lambda speed: habit.speed(speed, 2)),
    }
    values = flight.summary
    return {name: text(values[key]) for name, (key, text) in named.items() if math.isfinite(values[key])}


def _payload_words(design: Design, flight: Flight, habit: UnitHabit) -> dict[str, str]:
    """Return between which pulls the mounts of what flies along have to let go; nothing where nothing is mounted."""
    said = [f"{one.part.name}: {mount_words(one, habit)}" for one in carried(design, flight) if one.on_mount]
    return {"payload_check": ". ".join(said)} if said else {}


def _proof_words(proved: Proved, habit: UnitHabit) -> dict[str, str]:
    """Return how much of a bottle's growth in its test may stay; a failed one has no test to come."""
    if proved.rated.failed:
        return {}
    return {"proof_growth": habit.length(math.pi * proved.plan.permanent_growth_limit_m, 2)}
