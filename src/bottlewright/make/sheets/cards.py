"""The cards that go along: what is known of the vessel, and what is planned and written down per flight."""

from collections.abc import Mapping
from typing import Any

from bottlewright.make.dimensions import mm
from bottlewright.make.specification import Specification
from bottlewright.quantities import neat
from bottlewright.report.act_on import ActOn

__all__ = ["flight_card", "vessel_card"]


def vessel_card(spec: Specification, act: ActOn | None = None) -> dict[str, Any]:
    """Return what is known of the vessel, its proof tests, and empty lines for what comes."""
    vessel = spec.design.vessel
    known = [
        ["vessel", f"{vessel.bottle or 'bottle'}" + (f", {vessel.count} joined" if vessel.count > 1 else "")],
        ["kind of drink", str(vessel.kind)],
        ["diameter", spec.to_tenth(mm(vessel.diameter))],
        ["capacity", neat(vessel.volume.value * vessel.count, "mL", 4) if vessel.volume else "—"],
        ["empty mass", spec.habit.mass(vessel.empty_mass.value * vessel.count, 4) if vessel.empty_mass else "—"],
        ["age since opened", vessel.age.text if vessel.age else "______"],
        ["pressurisations so far", str(vessel.cycles) if vessel.cycles is not None else "______"],
        ["stored", vessel.storage or "______"],
        ["wall worked on", ", ".join(vessel.surface) or "no"],
    ]
    if act is not None:
        known.append(["highest reading of the gauge", act.allowed])
        known.append(["next proof test, full of water", act.proof or "none"])
    tests = [
        [
            test.date or "—",
            spec.habit.pressure(test.pressure.value),
            neat(test.hold.value, "s"),
            test.medium,
            "passed" if test.passed else "failed",
            _growth(spec, mm(test.diameter_before), mm(test.diameter_after))
            if test.diameter_before and test.diameter_after
            else "—",
        ]
        for test in vessel.proof
    ]
    return {"known": known, "tests": tests}


def _growth(spec: Specification, before: float, after: float) -> str:
    """Return the diameters before and after a test, mm; in inches with the third decimal, or 0.1 mm would be lost."""
    metric = f"{before:.1f} / {after:.1f} mm"
    return f"{before / 25.4:.3f} / {after / 25.4:.3f} in ({metric})" if spec.habit.inches else metric


def flight_card(words: Mapping[str, str]) -> dict[str, Any]:
    """Return what is planned for a flight and what is to be written down."""
    planned = [
        ["water", words["water"]],
        ["pressure", words["pressure"]],
        ["tilt", words["tilt"]],
        ["dry mass", words["dry_mass"]],
    ]
    written = [
        "date, time, number of the flight",
        "water (weighed)",
        "pressure at release (gauge)",
        "temperature of water, air",
        "wind: speed, gust, from",
        "tilt and heading",
        "launched by",
        "height (how measured)",
        "time up, time down",
        "recovery: opened, when",
        "where it landed: distance and direction",
        "damage to bottle, fins, nose",
        "what to change",
    ]
    return {"planned": planned, "written": written}
