"""What the printed words say of this design: its features by name, and its numbers as text with their units."""

import math
from collections.abc import Mapping, Sequence

from bottlewright.design import Design
from bottlewright.make.glues import glue_named, glues
from bottlewright.make.measures import fin_corners, mm
from bottlewright.make.nose_patterns import GORES
from bottlewright.make.stand import StandSizes, boring_steps, holes
from bottlewright.quantities import Quantity, show

__all__ = ["counts", "facts", "features", "fits", "neat"]


def neat(value: float, unit: str, digits: int = 3) -> str:
    """Write an SI value in a unit without trailing zeros, such as ``"4.5 bar"``."""
    number, _, rest = show(value, unit, digits).partition(" ")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {rest}".strip()


def features(design: Design) -> frozenset[str]:
    """Return the features that steps, risks and checklist lines ask for."""
    nose, nozzle, recovery, launcher = design.nose, design.nozzle, design.recovery, design.launcher
    bore, neck = mm(nozzle.bore), mm(design.vessel.neck_bore)
    own_nose = nose is not None and nose.shape != "bottle"
    release = launcher.release.kind if launcher.release else "collar"
    found = {
        "fins": design.fins is not None,
        "sleeve": design.sleeve is not None,
        "splice": design.vessel.count > 1 and design.vessel.joint != "coupling",
        "joined": design.vessel.count > 1,
        "nozzle": 0.0 < bore < neck - 0.01,
        "nose_sheet": own_nose and nose is not None and nose.wall is not None,
        "nose_solid": own_nose and nose is not None and nose.wall is None and nose.shape != "flat",
        "foam": own_nose and nose is not None and "polystyrene" in (nose.material or ""),
        "parachute": recovery.kind == "parachute",
        "streamer": recovery.kind == "streamer",
        "no_recovery": recovery.kind == "none",
        "stakes": bool(launcher.stakes and launcher.stakes.count),
        "remote_vent": bool(launcher.crew and launcher.crew.remote_vent),
        "proved": any(test.passed and test.medium == "water" for test in design.vessel.proof),
        "ballast": bool(design.mass),
        "launch_tube": mm(launcher.tube_length) > 0.0,
        "guide": mm(launcher.guide_length) > 0.0 and mm(launcher.tube_length) <= 0.0,
        release: True,
    }
    return frozenset(name for name, there in found.items() if there)


def fits(when: Sequence[str], there: frozenset[str]) -> bool:
    """Say whether all wanted features are there and all unwanted ("!name") are not."""
    return all((name[1:] not in there) if name.startswith("!") else (name in there) for name in when)


def counts(design: Design) -> dict[str, int]:
    """Return the numbers that working time is multiplied by."""
    return {"fin_count": design.fins.count if design.fins else 0, "gores": GORES, "bottles": design.vessel.count}


def facts(design: Design, stand: StandSizes, numbers: Mapping[str, str] | None = None) -> dict[str, str]:
    """Return every number that the words may name; those in `numbers` (from flight and proof) win."""
    return {
        **_vessel(design),
        **_airframe(design),
        **_recovery(design),
        **_launcher(design, stand),
        **_charge(design),
        **(numbers or {}),
    }


def _length(quantity: Quantity | None) -> str:
    return f"{mm(quantity):.0f} mm" if quantity is not None else "—"


def _glues(design: Design) -> dict[str, str]:
    """Return title and row of the glues for light parts, for what touches the bottle, for a joint between bottles.

    A glue that the table does not know keeps the builder's name; light parts then wait as wood glue does.
    """
    light, joint = design.workshop.glue, design.vessel.joint_adhesive
    row = glue_named(light or "wood-glue")
    joint_row = glue_named(joint or "polyurethane")
    body = glues()["double-sided-tape"]
    return {
        "glue": row.title if row else str(light),
        "glue_name": row.name if row else "wood-glue",
        "body_glue": body.title,
        "body_glue_name": body.name,
        "joint_glue": joint_row.title if joint_row else str(joint),
        "joint_glue_name": joint_row.name if joint_row else str(joint),
    }


def _vessel(design: Design) -> dict[str, str]:
    vessel, nozzle = design.vessel, design.nozzle
    count = vessel.count
    steps = boring_steps(design)
    volume = vessel.volume.value if vessel.volume else 0.0
    return {
        "name": design.name,
        "bottle_count": {1: "one", 2: "two", 3: "three"}.get(count, str(count)),
        "bottle_kind": f"{'bottle' if count == 1 else 'bottles'} of {neat(volume, 'mL', 4)} ({vessel.kind} drink)",
        "bottle_name": vessel.bottle or f"{neat(volume, 'L')} bottle",
        "diameter": f"{mm(vessel.diameter):.1f} mm",
        "volume": neat(volume, "mL", 4),
        "capacity": neat(volume * count, "mL", 4),
        "overlap": _length(vessel.joint_overlap),
        "bore": f"{mm(nozzle.bore):.1f} mm",
        "boring": ", ".join(f"{s.diameter:g} mm" for s in steps[:-1]) if steps else "—",
        "bore_finish": (steps[-1].text[0].upper() + steps[-1].text[1:]) if steps else "—",
        **_glues(design),
    }


def _airframe(design: Design) -> dict[str, str]:
    fins, nose, sleeve = design.fins, design.nose, design.sleeve
    corners = fin_corners(design)
    material = (fins.material or "").replace("-", " ") if fins else "—"
    return {
        "fin_count": str(fins.count) if fins else "0",
        "fin_angle": f"{360.0 / fins.count:g}° apart" if fins else "—",
        "fin_material": material,
        "fin_thickness": f"{mm(fins.thickness):g} mm" if fins else "—",
        "fin_edge": fins.edge if fins else "—",
        "root": _length(fins.root) if fins else "—",
        "fin_span": f"{max(y for _, y in corners):.0f} mm" if corners else "—",
        "fin_position": _length(fins.position) if fins else "—",
        "nose_material": (nose.material or "").replace("-", " ") if nose else "—",
        "nose_length": _length(nose.length) if nose else "—",
        "nose_diameter": _length(nose.diameter) if nose else "—",
        "sleeve_length": _length(sleeve.length) if sleeve else "—",
        "assemble_words": "".join(
            f"Fix {part.name} ({neat(part.mass.value, 'g')}) {mm(part.position):.0f} mm behind the nose tip. "
            for part in design.mass
        ),
    }


def _recovery(design: Design) -> dict[str, str]:
    part = design.recovery
    free = mm(part.line_length)
    return {
        "canopy": part.canopy,
        "canopy_diameter": _length(part.diameter),
        "lines": str(part.lines or "—"),
        "line_length": f"{free:.0f} mm",
        "line_cut": f"{free + 80.0:.0f} mm",
        "streamer": f"{mm(part.length):.0f} × {mm(part.width):.0f} mm",
    }


def _launcher(design: Design, stand: StandSizes) -> dict[str, str]:
    gear = design.launcher
    hose, cord, stakes, crew = gear.hose, gear.cord, gear.stakes, gear.crew

    def rated(part: object, kind: str) -> str:
        rating = getattr(part, "rating", None)
        return (
            f"{kind}, rated {neat(rating.value, 'bar')}" if rating else f"{kind}, rating not given: find it on the part"
        )

    distance = {
        name: neat(q.value, "m") if q else ""
        for name, q in (
            ("operator", crew.operator if crew else None),
            ("pumper", crew.pumper if crew else None),
            ("spectators", crew.spectators if crew else None),
        )
    }
    open_line = "______ m"
    return {
        "holes": "; ".join(
            f"{count} of {diameter:.1f} mm for {what}, {where}" for what, count, diameter, where in holes(design, stand)
        ),
        "bar_height": f"{stand.bar_height:.0f} mm",
        "guide_length": _length(gear.guide_length),
        "tube": f"{mm(gear.tube_length):.0f} mm long, Ø {mm(gear.tube_diameter):g} mm",
        "loop": f"{stand.loop:.0f} mm",
        "hose": f"{neat(hose.length.value, 'm')} of {rated(hose, 'hose')}"
        if hose and hose.length
        else rated(hose, "hose"),
        "clamp": rated(gear.clamp, f"{gear.clamp.kind} clamp" if gear.clamp else "clamp"),
        "valve": rated(gear.valve, f"{gear.valve.kind} valve" if gear.valve else "valve"),
        "cords": "one cord" if cord and cord.count == 1 else "two cords",
        "cord_length": neat(cord.length.value, "m") if cord and cord.length else "as far as the operator stands",
        "stakes_words": f" and drive {stakes.count} stakes {mm(stakes.length):.0f} mm into the ground"
        if stakes and stakes.count and stakes.length
        else f" and drive {stakes.count} stakes"
        if stakes and stakes.count
        else " and weigh it down: the design has no stakes",
        "operator": distance["operator"] or open_line,
        "pumper": distance["pumper"] or open_line,
        "spectators": distance["spectators"] or open_line,
        "tilt": f"{math.degrees(gear.tilt.value):.0f}°" if gear.tilt else "0°",
        "vent": "the bleed valve at the operator's place"
        if crew and crew.remote_vent
        else "a bleed valve that can be opened from the operator's place (the design has none: add one first)",
    }


def _charge(design: Design) -> dict[str, str]:
    charge, measured = design.charge, design.measured
    water = charge.water.value if charge.water else 0.0
    return {
        "water": f"{1e6 * water:.0f} mL",
        "planned_pressure": neat(charge.pressure.value, "bar") if charge.pressure else "—",
        "pressure": neat(charge.pressure.value, "bar") if charge.pressure else "—",
        "proof_pressure": "the proof pressure (______ bar, from the study)",
        "proof_hold": "for 1 min",
        "dry_mass": neat(measured.dry_mass.value, "g") if measured.dry_mass else "as the design estimates",
        "balance": f"{mm(measured.balance_point):.0f} mm behind the nose tip"
        if measured.balance_point
        else "as the study gives it",
        "wind_limit": "the day's wind limit (______ m/s)",
        "site": design.site.name or "the field",
    }
