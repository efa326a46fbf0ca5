"""`bottlewright make`: a folder to take to the workshop, and one printed pack."""

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, TypeVar

import typer

from bottlewright.cli.common import (
    DesignFile,
    Json,
    Out,
    Sets,
    exit_code,
    load,
    print_json,
    results_folder,
    say,
    tell_findings,
)
from bottlewright.cli.waiting import say_if_first
from bottlewright.findings import Finding, Level, Stage

if TYPE_CHECKING:
    from bottlewright.design import Design
    from bottlewright.flight.fly import Flight
    from bottlewright.make.build import Given
    from bottlewright.proof.prove import ProofReport

__all__ = ["given_by_rooms", "make"]

T = TypeVar("T")


def make(
    file: DesignFile,
    sets: Sets = None,
    json: Json = False,
    out: Out = None,
    paper: Annotated[Literal["a4", "letter"], typer.Option(help="Paper of the pack; patterns come on both.")] = "a4",
) -> int:
    """Write patterns, lists, schedule, sheets and the printed pack (into NAME-make when --out is left out)."""
    from bottlewright.design import complete

    design = complete(load(file, sets))
    say_if_first()
    from bottlewright.make.build import build

    given = given_by_rooms(design, file, sets or (), paper)
    made = build(design, given, dt.datetime.now().replace(microsecond=0))
    name = "-".join("".join(c if c.isalnum() else " " for c in design.name.lower()).split()) or "rocket"
    folder = out or Path(f"{name}-make")
    with results_folder(folder, "make") as fresh:
        for place, content in made.files.items():
            path = fresh / place
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
    if json:
        findings = [finding.as_json() for finding in made.findings]
        print_json({"name": design.name, **made.results, "files": sorted(made.files), "findings": findings})
    else:
        launch = made.results["earliest_launch_day"]
        print(
            f"{design.name}: {made.results['pattern_sheets']} sheets of patterns, {made.results['parts']} parts, "
            f"earliest launch day {launch or 'unknown'}\n"
        )
        tell_findings(made.findings)
    say(f"{len(made.files)} files in {folder}; print {folder / f'pack-{paper}.pdf'} at 100 %")
    return exit_code(made.findings)


def given_by_rooms(design: "Design", file: Path, sets: Sequence[str], paper: str) -> "Given":
    """Gather what proof and flight say of a completed design, and the builder's price file and risk matrix."""
    from bottlewright.flight.fly import fly
    from bottlewright.flight.results import findings_of
    from bottlewright.make.build import Given
    from bottlewright.make.parts import read_prices
    from bottlewright.make.sheets import read_matrix
    from bottlewright.proof.parts import hole_sizes
    from bottlewright.proof.prove import prove

    report, flight = prove(design), fly(design)
    notes: list[Finding] = []
    prices = _read(file, design.prices.file, "prices.file", read_prices, notes)
    matrix = _read(file, design.workshop.matrix, "workshop.matrix", read_matrix, notes)
    return Given(
        source=file.read_bytes(),
        overrides=tuple(sets),
        findings=[*report.findings, *findings_of(design, flight)],
        numbers={**_proof_numbers(report), **_flight_numbers(flight)},
        words={
            "proof_pressure": f"{report.plan.proof_gauge_Pa / 1e5:.1f} bar",
            "proof_hold": f"for {report.plan.hold_s:.0f} s",
            **_distances(report),
        },
        drills={hole.name: hole.drill_m for hole in hole_sizes(design)},
        prices=prices or {},
        matrix=matrix,
        notes=notes,
        paper=paper,
    )


def _read(file: Path, name: str | None, key: str, reader: Callable[[str], T], notes: list[Finding]) -> T | None:
    """Read a file named in the design, beside it; what is wrong with it becomes a finding, and the work goes on."""
    if name is None:
        return None
    try:
        return reader((file.parent / name).read_text(encoding="utf-8-sig"))
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        notes.append(
            Finding(
                Level.LOOK,
                Stage.MAKE,
                "unread-file",
                "a file that the design names was not used",
                f"{key}: {name!r} {why}",
                "a file beside the design that can be read",
                "this program",
                f"Put it right, or take {key} out.",
            )
        )
        return None


def _proof_numbers(report: "ProofReport") -> dict[str, str]:
    return {
        "rated pressure (see findings)": f"{report.rated.gauge_Pa / 1e5:.2f} bar",
        "proof test, full of water": f"{report.plan.proof_gauge_Pa / 1e5:.1f} bar",
        "operator and pumper stand back": f"{report.distances.operator.asks_m:.1f} m",
        "spectators stand back": f"{report.distances.spectators.asks_m:.1f} m",
    }


def _flight_numbers(flight: "Flight") -> dict[str, str]:
    named = {
        "apogee": ("apogee_m", "m"),
        "greatest speed": ("max_speed_m_s", "m/s"),
        "time in the air": ("flight_time_s", "s"),
        "landing speed": ("landing_speed_m_s", "m/s"),
    }
    values: Mapping[str, float] = flight.summary
    return {name: f"{values[key]:.0f} {unit}" for name, (key, unit) in named.items() if math.isfinite(values[key])}


def _distances(report: "ProofReport") -> dict[str, str]:
    """Return where each stands: what the plan has, and no less than the strictest rule asks."""
    places = {role: getattr(report.distances, role) for role in ("operator", "pumper", "spectators")}
    return {
        role: f"{max(place.asks_m, place.planned_m or 0.0):.1f} m".replace(".0 m", " m")
        for role, place in places.items()
    }
