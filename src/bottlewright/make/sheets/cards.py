"""The cards that go along: what is known of the vessel, and what is planned and written down per flight."""

from collections.abc import Mapping
from typing import Any

from bottlewright.flight.layout import parts_alone
from bottlewright.make.dimensions import mm
from bottlewright.make.specification import Specification
from bottlewright.quantities import neat
from bottlewright.report.act_on import ActOn

__all__ = ["built_card", "flight_card", "vessel_card"]


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


def built_card(spec: Specification, words: Mapping[str, str], act: ActOn | None = None) -> dict[str, Any]:
    """Return what is to be measured on each rocket, beside what was planned, and what that is for."""
    design = spec.design
    mass, balance, _ = parts_alone(design)
    rows = [
        ["mass, ready to fly, without water", spec.habit.mass(mass, 3)],
        ["balance point, from the nose tip", spec.to_mm(1e3 * balance)],
        ["ten swings, there and back: time", ""],
        ["each string, long; the strings, apart", ""],
        ["bore of the nozzle", spec.length(mm(design.nozzle.bore))],
    ]
    if design.fins and design.fins.span:
        rows.append(["span of each fin, from the body", spec.to_mm(mm(design.fins.span))])
    rows += [
        ["water test held, on the gauge", act.proof or "none" if act is not None else words.get("proof_pressure", "")],
        ["held for; leak, creak or growth that stayed?", act.hold if act is not None else ""],
        ["times under pressure so far, tests counted", ""],
    ]
    notes = [
        "Weigh and balance it with everything in it.",
        "Swing: hang it level from two equal strings, one as far before the balance point as the other behind it; turn "
        "it a little and time ten swings there and back.",
        "A water test counts for this bottle alone: a new bottle starts again without one.",
    ]
    return {"rows": rows, "notes": notes, "count": design.workshop.rockets or 1}
