"""What the printed words say of this design: its features by name, and its numbers as text with their units."""

import math
import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files

from bottlewright.design import Design
from bottlewright.make.dimensions import body_of, fin_corners, mm
from bottlewright.make.launcher.stand import StandSizes, boring_steps, corded, holes
from bottlewright.make.patterns.canopy import KNOTS, line_points, streamer_folds
from bottlewright.make.patterns.fins import grain_words, on_sleeve
from bottlewright.make.patterns.nose import GORES
from bottlewright.make.plan.glues import glue_named, glues
from bottlewright.quantities import Quantity, show

__all__ = ["counts", "features", "fits", "neat", "template_values"]


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
        "fins_on_sleeve": on_sleeve(design),
        "sleeve": design.sleeve is not None,
        "splice": design.vessel.count > 1 and design.vessel.joint != "coupling",
        "joined": design.vessel.count > 1,
        "nozzle": 0.0 < bore < neck - 0.01,
        "nose_sheet": own_nose and nose is not None and nose.wall is not None,
        "nose_solid": own_nose and nose is not None and nose.wall is None and nose.shape != "flat",
        "foam": own_nose and nose is not None and "polystyrene" in (nose.material or ""),
        "parachute": recovery.kind == "parachute",
        "flat_canopy": recovery.kind == "parachute" and recovery.canopy != "hemisphere",
        "hemisphere": recovery.kind == "parachute" and recovery.canopy == "hemisphere",
        "recovery": recovery.kind != "none",
        "streamer": recovery.kind == "streamer",
        "no_recovery": recovery.kind == "none",
        "tube_stand": bool(launcher.frame and launcher.frame.kind == "tube"),
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
    return {
        "fin_count": design.fins.count if design.fins else 0,
        "gores": GORES,
        "gore_count": design.recovery.lines or 8,
        "bottles": design.vessel.count,
    }


def template_values(design: Design, stand: StandSizes, numbers: Mapping[str, str] | None = None) -> dict[str, str]:
    """Return every number that the words may name; those in `numbers` (from flight and proof) win."""
    words = {
        **_vessel(design),
        **_airframe(design),
        **_assembly(design),
        **_recovery(design),
        **_launcher(design, stand),
        **_charge(design),
        **(numbers or {}),
    }
    release = _releases()["cord" if corded(design) else "plug"]
    return {**words, **{name: text.format_map(words) for name, text in release.items()}}


@cache
def _releases() -> dict[str, dict[str, str]]:
    return tomllib.loads((files("bottlewright.make") / "data" / "releases.toml").read_text(encoding="utf-8"))


def _millimetres(length: float) -> str:
    """Write a length in mm to the tenth, without a trailing zero: half a millimetre is never rounded away."""
    return f"{round(length, 1):g} mm"


def _length(quantity: Quantity | None) -> str:
    return _millimetres(mm(quantity)) if quantity is not None else "—"


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
        "bottle_number": str(count),
        "neck": f"{mm(vessel.neck_bore):.1f} mm",
        "with_nozzle": " with the nozzle in its neck" if "nozzle" in features(design) else "",
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
    front = mm(fins.position) if fins else 0.0
    return {
        "fin_count": str(fins.count) if fins else "0",
        "fin_angle": f"{360.0 / fins.count:g}° apart" if fins else "—",
        "fin_material": material,
        "fin_thickness": f"{mm(fins.thickness):g} mm" if fins else "—",
        "fin_edge": fins.edge if fins else "—",
        "root": _length(fins.root) if fins else "—",
        "fin_span": _millimetres(max(y for _, y in corners)) if corners else "—",
        "fin_position": _length(fins.position) if fins else "—",
        "fin_grain": grain_words(design),
        "fin_from_mouth": _millimetres(body_of(design).exit - front) if fins else "—",
        "fin_on_sleeve": _millimetres(front - mm(sleeve.position)) if fins and sleeve else "—",
        "nose_material": (nose.material or "").replace("-", " ") if nose else "—",
        "nose_length": _length(nose.length) if nose else "—",
        "nose_diameter": _length(nose.diameter) if nose else "—",
        "sleeve_length": _length(sleeve.length) if sleeve else "—",
    }


def _assembly(design: Design) -> dict[str, str]:
    """Return how this rocket goes together: what is inside first, what has to come off in flight last and loose."""
    there, has_nose = features(design), design.nose is not None and design.nose.shape != "bottle"
    placed = "; ".join(f"{m.name}, {neat(m.mass.value, 'g')}, at {_length(m.position)}" for m in design.mass)
    nose = (
        "The nose goes on without tape or glue: it has to come off by itself, or when your release lets it go. "
        if "recovery" in there
        else "Tape the nose on all round. "
    )
    said = (
        ("Look through the parts list: every part of the rocket is there. ", True),
        (f"What goes where, measured from the nose tip: {placed}. ", bool(placed)),
        ("Slide the sleeve on and tape it. ", design.sleeve is not None),
        ("Tape the two rings for the guide in one line along the bottle, between two fins. ", "guide" in there),
        (nose, has_nose),
        ("Pack the recovery last, loosely, so that it falls out when the rocket is tipped.", "recovery" in there),
    )
    out = "the nose and the recovery come" if has_nose else "the recovery comes"
    return {
        "assemble_words": "".join(text for text, when in said if when).strip(),
        "recovery_check": f" Tipped over, {out} out without help, ten times out of ten." if "recovery" in there else "",
    }


def _recovery(design: Design) -> dict[str, str]:
    part = design.recovery
    free = mm(part.line_length)
    flat = part.canopy in ("hexagon", "octagon")
    return {
        "canopy": part.canopy,
        "canopy_diameter": _length(part.diameter),
        "canopy_way": "from flat edge to flat edge" if flat else "both ways through the middle",
        "half_round": _millimetres(0.5 * math.pi * mm(part.diameter)),
        "lines": str(part.lines or "—"),
        "line_points": line_points(design),
        "line_length": _millimetres(free),
        "line_cut": _millimetres(free + KNOTS),
        "streamer": f"{mm(part.length):.0f} × {mm(part.width):.0f} mm",
        "streamer_fold": f"{mm(part.length) / streamer_folds(mm(part.length)):.0f} mm",
    }


def _launcher(design: Design, stand: StandSizes) -> dict[str, str]:
    gear = design.launcher
    cord, crew = gear.cord, gear.crew
    tilt = math.degrees(gear.tilt.value) if gear.tilt else 0.0

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
            f"{count} of {diameter:.1f} mm for the {what}, {where}"
            for what, count, diameter, where in holes(design, stand)
        ),
        "bar_height": f"{stand.bar_height:.0f} mm",
        "guide_length": _length(gear.guide_length),
        "tube": f"{mm(gear.tube_length):.0f} mm long, Ø {mm(gear.tube_diameter):g} mm",
        "loop": f"{stand.loop:.0f} mm",
        "line_ratings": _ratings(design),
        "cord_lead": "one cord to the collar, lead it through its hole"
        if cord and cord.count == 1
        else "two cords to the collar, opposite each other, lead them through their holes, join them to one and lead "
        "it",
        "cord_way": f"out to the operator, {neat(cord.length.value, 'm')} long"
        if cord and cord.length
        else "out to where the operator stands",
        "anchor": _anchor(design),
        "bar_words": f"Put the turning bar through its two posts in front, its middle {stand.bar_height:.0f} mm above "
        "the ground. "
        if corded(design)
        else "",
        "pull_at": "on the turning bar" if corded(design) else "at the plate",
        "lean": f"leaning {tilt:.0f}° from the vertical, away from the spectators" if tilt >= 0.5 else "upright",
        "operator": distance["operator"] or open_line,
        "pumper": distance["pumper"] or open_line,
        "spectators": distance["spectators"] or open_line,
        "tilt": f"{tilt:.0f}°",
        "guide_free": ", free on its guide" if features(design) & {"guide", "launch_tube"} else "",
        "vent": "the bleed valve at the operator's place"
        if crew and crew.remote_vent
        else "a bleed valve that can be opened from the operator's place (the design has none: add one first)",
    }


def _ratings(design: Design) -> str:
    """Return what the design says each part of the line stands, and which part still has to be looked at."""
    gear = design.launcher
    line = {"hose": gear.hose, "clamp": gear.clamp, "valve": gear.valve, "connector": gear.coupling, "pump": gear.pump}
    known = {name: part.rating for name, part in line.items() if part is not None and part.rating is not None}
    shown = ", ".join(f"{name} {neat(rating.value, 'bar')}" for name, rating in known.items())
    open_ = ", ".join(name for name in line if name not in known)
    return " ".join(
        text
        for text in (
            f"Rated to: {shown}." if shown else "",
            f"Find the rating on the part, and write it into the design: {open_}." if open_ else "",
        )
        if text
    )


def _anchor(design: Design) -> str:
    stakes = design.launcher.stakes
    if not stakes or not stakes.count:
        return "weights on both feet (the design has no stakes)"
    deep = f", {_length(stakes.length)} long, driven in to the head" if stakes.length else ""
    return f"{stakes.count} stakes{deep}"


def _charge(design: Design) -> dict[str, str]:
    charge, measured = design.charge, design.measured
    water = charge.water.value if charge.water else 0.0
    return {
        "water": f"{1e6 * water:.0f} mL",
        "planned_pressure": neat(charge.pressure.value, "bar") if charge.pressure else "—",
        "pressure": neat(charge.pressure.value, "bar") if charge.pressure else "—",
        "leak_pressure": neat(charge.pressure.value, "bar") if charge.pressure else "—",
        "proof_pressure": "the proof pressure (______ bar, from the study)",
        "proof_hold": "for 1 min",
        "proof_growth": "the proof-test sheet allows",
        "dry_mass": neat(measured.dry_mass.value, "g") if measured.dry_mass else "as the design estimates",
        "balance": f"{mm(measured.balance_point):.0f} mm behind the nose tip"
        if measured.balance_point
        else "as the study gives it",
        "wind_limit": "the day's limit of ______ m/s",
        "site": design.site.name or "the field",
    }
