"""What a design foretells, kept in the file of a launch before it: for a rocket of the day when it is loaded."""

import math
import secrets
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bottlewright.errors import InputError

if TYPE_CHECKING:
    from bottlewright.project.flights import FlightsResult
    from bottlewright.project.project import Project
    from bottlewright.proof.allowed import Allowed
    from bottlewright.verdict import Verdict

__all__ = ["allowed_text", "as_flown", "begin_late", "foretell", "foretell_by_hand", "it_left", "it_stayed",
           "prediction_of"]  # fmt: skip

FLIGHTS = 200
"""Flights that a prediction is made of; they take half a second."""


def foretell(
    beside: Path, project: "Project", given: Mapping[str, object], at: str, entry: str = "",
    many: "FlightsResult | None" = None, verdict: "Verdict | None" = None,
) -> str:  # fmt: skip
    """Begin the file of a launch that has not been yet, with what the design foretells; return its name.

    Parameters
    ----------
    beside
        The folder in which the designs lie.
    given
        Keys of the launch's file, such as ``team``, ``crew``, ``target`` and ``pressurised``.
    at
        Now, on the field's watches.
    entry
        A name of the caller's own, such as that of the entry that loaded the rocket: the same one twice begins one
        launch.
    many, verdict
        What was worked out for this very design already: else 200 flights are flown now.

    Returns
    -------
    str
        Day and number, such as "2027-03-20-03".
    """
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import checked, launch_name, write_launch

    if many is not None and many.project.digest != project.digest:
        raise InputError("these flights are of another design")
    tables: dict[str, Any] = {
        "entry": entry or secrets.token_hex(6), "day": at[:10], "rocket": project.name,
        "vessel": project.design.vessel.id, "digest": project.digest, "design": as_flown(project),
        "prediction": prediction_of(project, at, many, verdict), **given,
    }  # fmt: skip
    wanted = {key: value for key, value in tables.items() if value is not None}
    checked({**wanted, "number": 1})
    return launch_name(write_launch(beside / FOLDER, wanted))


def foretell_by_hand(
    beside: Path, project: "Project", given: Mapping[str, object], at: str, entry: str = "",
    many: "FlightsResult | None" = None, verdict: "Verdict | None" = None,
) -> str:  # fmt: skip
    """Begin the file of a launch that somebody begins by hand; see `foretell`.

    Raises
    ------
    InputError
        Also where the day that is kept has a launch of this rocket or its bottle in hand.
    """
    from bottlewright.logbook.by_hand import check_by_hand
    from bottlewright.logbook.files import FOLDER

    check_by_hand(beside / FOLDER, project.name, project.design.vessel.id, at)
    return foretell(beside, project, given, at, entry, many, verdict)


def begin_late(beside: Path, project: "Project", given: Mapping[str, object], at: str, entry: str) -> str:
    """Begin the file of a launch that has been already: nothing is foretold any more; return its name."""
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import launch_name, write_launch

    tables = {"entry": entry, "day": at[:10], "rocket": project.name, "vessel": project.design.vessel.id,
              "digest": project.digest, "design": as_flown(project), **given}  # fmt: skip
    return launch_name(write_launch(beside / FOLDER, {key: one for key, one in tables.items() if one is not None}))


def it_left(beside: Path, launch: str, at: str, by: str = "", **more: object) -> None:
    """Write into a launch's file when it left, and what else is known now, such as ``pressurised`` and ``crew``."""
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import add_to_launch

    crew = more.pop("crew", None)
    roles = {f"crew.{role}": who for role, who in crew.items()} if isinstance(crew, dict) else {}
    values = {"at": at, **more, **roles}
    add_to_launch(beside / FOLDER, launch, {}, values, at, by or None)


def it_stayed(beside: Path, launch: str, at: str, why: str, by: str = "") -> None:
    """Write into a launch's file that the rocket did not leave: it counts in no contest, and nothing is measured."""
    from bottlewright.logbook.files import FOLDER
    from bottlewright.logbook.launches import STAYED, add_to_launch

    add_to_launch(beside / FOLDER, launch, {}, {"seen": f"{STAYED}{why}", "counts": False, "at": None}, at,
                  by or None)  # fmt: skip


def as_flown(project: "Project") -> str:
    """Return the design file with what was changed for this launch, as it was read."""
    changed = "".join(f"# changed for this launch: {one}\n" for one in project.overrides)
    return f"{changed}{project.text}"


def prediction_of(
    project: "Project", made: str, many: "FlightsResult | None" = None, verdict: "Verdict | None" = None
) -> dict[str, str]:  # fmt: skip
    """Return what the design foretells: the middle of many flights, their spread, and one in ten on either side."""
    import numpy as np

    columns = (many or project.fly_many(FLIGHTS)).columns()
    verdict = verdict or project.verdict()
    east, north = columns["landing_east_m"], columns["landing_north_m"]
    told: dict[str, str] = {}
    for key, column in (("height", columns["apogee_m"]), ("time_up", columns["apogee_time_s"]),
                        ("time", columns["flight_time_s"]), ("away", np.hypot(east, north))):  # fmt: skip
        unit, (low, high) = "s" if key.startswith("time") else "m", np.nanquantile(column, (0.1, 0.9))
        told[key] = _with_spread(column, unit)
        told |= {f"{key}_low": f"{low:.2f} {unit}", f"{key}_high": f"{high:.2f} {unit}"}
    toward = math.atan2(np.nanmedian(east), np.nanmedian(north))
    told["bearing"] = f"{round(math.degrees(toward)) % 360} deg"
    if (allowed := allowed_text(verdict.allowed)) is not None:
        told["allowed"] = allowed
    told |= _rested_on(project)
    return {"made": made, **{key: text for key, text in told.items() if "nan" not in text},
            "allowed_because": verdict.allowed.because}  # fmt: skip


def allowed_text(allowed: "Allowed") -> str | None:
    """Return the highest reading of the gauge that is allowed as a launch's file keeps it; None: no pressure."""
    return None if allowed.gauge_Pa is None else f"{math.floor(allowed.gauge_Pa / 1e3) / 100.0:.2f} bar"


def _rested_on(project: "Project") -> dict[str, str]:
    """Return what the flights were flown with that may be otherwise on the day: load and wind, each with its ±."""
    from bottlewright.logbook.measured import said

    charge, weather = project.design.charge, project.design.weather
    known = {"water": (charge.water, 1e6, "mL"), "pressure": (charge.pressure, 1e-5, "bar"),
             "wind": (weather.wind_speed, 1.0, "m/s"), "wind_height": (weather.wind_height, 1.0, "m"),
             "wind_exponent": (weather.exponent if weather.profile == "power" else None, 1.0, "")}  # fmt: skip
    return {key: said(one.value * size, one.spread * size, unit)
            for key, (one, size, unit) in known.items() if one is not None}  # fmt: skip


def _with_spread(column: Any, unit: str) -> str:
    import numpy as np

    return f"{np.nanmedian(column):.2f} {unit} ± {np.nanstd(column):.2f} {unit}"
