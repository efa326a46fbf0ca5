"""What the printed words say of this design: its numbers as text with their units, by name."""

import math
import re
from collections.abc import Mapping
from functools import cache

from bottlewright.data_file import data_file
from bottlewright.make.dimensions import fraction_text, mm
from bottlewright.make.letting_out.sizes import streamer_folds
from bottlewright.make.letting_out.words import letting_out_words, trip_texts
from bottlewright.make.patterns.canopy import KNOTS, line_points
from bottlewright.make.patterns.fins import grain_words
from bottlewright.make.plan.glues import glue_named, glues
from bottlewright.make.specification import Specification
from bottlewright.quantities import Quantity, neat, value_of
from bottlewright.report.act_on import ActOn

__all__ = ["filled", "template_values", "words_of"]


_FIXED = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) (mm|bar)\b")


def filled(spec: Specification, text: str, words: Mapping[str, str]) -> str:
    """Return a text of the data files, its gaps filled, its own lengths and pressures in the builder's units."""

    def own(match: re.Match[str]) -> str:
        value = float(match[1])
        return spec.habit.pressure(1e5 * value, 2) if match[2] == "bar" else _rule(spec, value)

    return _FIXED.sub(own, text).format_map(words)


def _rule(spec: Specification, value: float) -> str:
    """Return how far off something may be, mm, as a rule shows it: 32nds of an inch for one who reads those."""
    return fraction_text(spec.habit, value, of=32, form="g", down=True)


def template_values(spec: Specification, numbers: Mapping[str, str] | None = None) -> dict[str, str]:
    """Return every number that the words may name; those in `numbers` (from flight and proof) win."""
    words = {
        "sides_for_less": "", "pumper_side": "", "operator_side": "",
        "payload_check": "The study says where its mount has to let go",
        **_vessel(spec),
        **_airframe(spec),
        **_assembly(spec),
        **_recovery(spec),
        **letting_out_words(spec),
        **_launcher(spec),
        **_charge(spec),
        **(numbers or {}),
    }
    texts = {**_releases()["cord" if spec.stand.corded else "plug"], **trip_texts(spec.letting_out.mechanism)}
    return {**words, **{name: filled(spec, text, words) for name, text in texts.items()}}


_AT_MOST = "not over "


_FOR_LESS = "; the cover says which sides ask for less"


def words_of(act: ActOn) -> dict[str, str]:
    """Return the numbers that people act on under the names by which the sheets call them: every sheet has these."""
    wind = {"wind_limit": f"{act.wind}{act.wind_at and f'; {act.wind_at}'}", "wind_hand": f"{act.wind}; in the hand"}
    proof = {"proof_pressure": act.proof, "proof_hold": act.hold} if act.proof else {}
    return {
        "water": act.water,
        "pressure": act.pump_to,
        "planned_pressure": act.pressure,
        "leak_pressure": act.leak,
        "pumper": act.pumper,
        "operator": act.operator,
        "spectators": act.spectators,
        "sides_for_less": _FOR_LESS if len({row.says for row in act.sides}) > 1 else "",
        "pumper_side": act.pumper_place and f", {act.pumper_place} of the launcher",
        "operator_side": act.operator_place and f", {act.operator_place} of the launcher",
        **proof,
        **(wind if act.wind else {}),
        **({"allowed": act.allowed.removeprefix(_AT_MOST)} if act.allowed.startswith(_AT_MOST) else {}),
    }


@cache
def _releases() -> dict[str, dict[str, str]]:
    return data_file("make", "releases")


def _length(spec: Specification, quantity: Quantity | None) -> str:
    return spec.tenth(mm(quantity)) if quantity is not None else "—"


def _glues(spec: Specification) -> dict[str, str]:
    """Return title and row of the glues for light parts, for what touches the bottle, for a joint between bottles.

    A glue that the table does not know keeps the builder's name; light parts then wait as wood glue does.
    """
    design = spec.design
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


def _vessel(spec: Specification) -> dict[str, str]:
    design = spec.design
    vessel, nozzle = design.vessel, design.nozzle
    count = vessel.count
    steps = spec.boring
    volume = vessel.volume.value if vessel.volume else 0.0
    return {
        "name": design.name,
        "bottle_count": {1: "one", 2: "two", 3: "three"}.get(count, str(count)),
        "bottle_number": str(count),
        "neck": spec.to_tenth(mm(vessel.neck_bore)),
        "with_nozzle": " with the nozzle in its neck" if "nozzle" in spec.features else "",
        "bottle_kind": f"{'bottle' if count == 1 else 'bottles'} of {neat(volume, 'mL', 4)} ({vessel.kind} drink)",
        "bottle_name": vessel.bottle or f"{neat(volume, 'L')} bottle",
        "diameter": spec.to_tenth(mm(vessel.diameter)),
        "volume": neat(volume, "mL", 4),
        "capacity": neat(volume * count, "mL", 4),
        "overlap": _length(spec, vessel.joint_overlap),
        "bore": spec.to_tenth(mm(nozzle.bore)),
        "boring": ", ".join(spec.drill(s.diameter) for s in steps[:-1]) if steps else "—",
        "bore_finish": (steps[-1].text[0].upper() + steps[-1].text[1:]) if steps else "—",
        **_glues(spec),
    }


def _airframe(spec: Specification) -> dict[str, str]:
    design = spec.design
    fins, nose, sleeve = design.fins, design.nose, design.sleeve
    corners = spec.fin_corners
    material = (fins.material or "").replace("-", " ") if fins else "—"
    front = mm(fins.position) if fins else 0.0
    return {
        "fin_count": str(fins.count) if fins else "0",
        "fin_angle": f"{360.0 / fins.count:g}° apart" if fins else "—",
        "fin_material": material,
        "fin_thickness": spec.length(mm(fins.thickness)) if fins else "—",
        "fin_edge": fins.edge if fins else "—",
        "root": _length(spec, fins.root) if fins else "—",
        "fin_span": spec.tenth(max(y for _, y in corners)) if corners else "—",
        "fin_position": _length(spec, fins.position) if fins else "—",
        "fin_grain": grain_words(spec),
        "fin_from_mouth": spec.tenth(spec.body.exit - front) if fins else "—",
        "fin_on_sleeve": spec.tenth(front - mm(sleeve.position)) if fins and sleeve else "—",
        "nose_material": (nose.material or "").replace("-", " ") if nose else "—",
        "nose_length": spec.tenth(spec.letting_out.nose) if nose else "—",
        "nose_diameter": _length(spec, nose.diameter) if nose else "—",
        "sleeve_length": _length(spec, sleeve.length) if sleeve else "—",
    }


def _assembly(spec: Specification) -> dict[str, str]:
    """Return how this rocket goes together: what is inside first, what has to come off in flight last and loose."""
    design = spec.design
    there, has_nose = spec.features, design.nose is not None and design.nose.shape != "bottle"
    placed = "; ".join(
        f"{m.name}, {spec.habit.mass(m.mass.value)}, at {_length(spec, m.position)}" for m in design.mass
    )
    nose = (
        "Push the nose on by its skirt, without tape or glue. " if "nose_seat" in there else
        "Push the halves together by the skirt, without tape or glue. " if "two_halves" in there else
        "Tape bay and nose on all round: they stay on. " if "door" in there else
        "The nose goes on without tape or glue: it has to come off by itself, or when your release lets it go. "
        if "packed" in there else "Tape the nose on all round. "
    )  # fmt: skip
    said = (
        ("Look through the parts list: every part of the rocket is there. ", True),
        (f"What goes where, measured from the nose tip: {placed}. ", bool(placed)),
        ("Slide the sleeve on and tape it. ", design.sleeve is not None),
        ("Tape the two rings for the guide in one line along the bottle, between two fins. ", "guide" in there),
        (nose, has_nose),
        ("Pack the recovery last, loosely, so that it falls out when the rocket is tipped.", "packed" in there),
    )
    out = "the nose and the recovery come" if has_nose else "the recovery comes"
    return {
        "assemble_words": "".join(text for text, when in said if when).strip(),
        "recovery_check": _comes_out(there, out),
    }


def _comes_out(there: frozenset[str], out: str) -> str:
    """Return how somebody sees on the ground that it comes out; a loose nose that falls off shows nothing."""
    if "loose_nose" in there:
        return " Drawn straight by its tab, the nose slides at a pull within the window of the ground-test card."
    if "mechanism" in there:
        return " Let go by hand, it opens and does its work without help, ten times out of ten."
    if "packed" not in there:
        return ""
    return (f" Tipped over, {out} out without help, ten times out of ten; that alone does not show that it comes out "
            "at the top of a flight.")  # fmt: skip


def _recovery(spec: Specification) -> dict[str, str]:
    design = spec.design
    part = design.recovery
    free = mm(part.line_length)
    flat = part.canopy in ("hexagon", "octagon")
    return {
        "canopy": part.canopy,
        "canopy_diameter": _length(spec, part.diameter),
        "canopy_way": "from flat edge to flat edge" if flat else "both ways through the middle",
        "half_round": spec.tenth(0.5 * math.pi * mm(part.diameter)),
        "lines": str(part.lines or "—"),
        "line_points": line_points(spec),
        "line_length": spec.tenth(free),
        "line_cut": spec.tenth(free + KNOTS),
        "blade": spec.to_mm(0.5 * mm(part.diameter)), "hung_mass": spec.habit.mass(value_of(part.mass), 3),
        "ballast": part.ballast or "", "shift": _length(spec, part.shift) if part.shift else "",
        "streamer": spec.to_mm(mm(part.length), mm(part.width)),
        "streamer_fold": spec.to_mm(mm(part.length) / streamer_folds(mm(part.length))),
    }


def _launcher(spec: Specification) -> dict[str, str]:
    design, habit = spec.design, spec.habit
    gear, stand = design.launcher, spec.stand
    cord, crew = gear.cord, gear.crew
    tilt = math.degrees(gear.tilt.value) if gear.tilt else 0.0

    open_line = f"______ {'ft' if habit.inches else 'm'}"
    distance = {
        name: habit.stand_back(q.value) if q else open_line
        for name, q in (
            ("operator", crew.operator if crew else None),
            ("pumper", crew.pumper if crew else None),
            ("spectators", crew.spectators if crew else None),
        )
    }
    return {
        "holes": "; ".join(
            f"{count} of {spec.drill(diameter)} for the {what}, {where}"
            for what, count, diameter, where in spec.holes
        ),
        "bar_height": spec.sawn(stand.bar_height),
        "guide_length": _length(spec, gear.guide_length),
        "tube": f"{spec.to_mm(mm(gear.tube_length))} long, Ø {spec.length(mm(gear.tube_diameter))}",
        "loop": spec.sawn(stand.loop),
        "line_ratings": _ratings(spec),
        "cord_lead": "one cord to the collar, lead it through its hole"
        if cord and cord.count == 1
        else "two cords to the collar, opposite each other, lead them through their holes, join them to one and lead "
        "it",
        "cord_way": f"out to the operator, {habit.distance(cord.length.value)} long"
        if cord and cord.length
        else "out to where the operator stands",
        "anchor": _anchor(spec),
        "stand_mass": neat(gear.frame.mass.value, "kg") if gear.frame and gear.frame.mass else "weigh it",
        "bar_words": f"Put the turning bar through its two posts in front, its middle "
        f"{spec.sawn(stand.bar_height)} above the ground. "
        if spec.stand.corded
        else "",
        "pull_at": "on the turning bar" if spec.stand.corded else "at the plate",
        "lean": f"leaning {tilt:.0f}° from the vertical, away from the spectators" if tilt >= 0.5 else "upright",
        "operator": distance["operator"],
        "pumper": distance["pumper"],
        "spectators": distance["spectators"],
        "tilt": f"{tilt:.0f}°",
        "guide_free": ", free on its guide" if spec.features & {"guide", "launch_tube"} else "",
        "vent": "the bleed valve at the operator's place"
        if crew and crew.remote_vent
        else "a bleed valve that can be opened from the operator's place (the design has none: add one first)",
    }


def _supervision(children: int | None) -> str:
    if children == 0:
        return "No child takes part"
    number = "______" if children is None else str(children)
    return f"One adult for {number} young people at the most, by our own rule; two adults at the least"


def _ratings(spec: Specification) -> str:
    """Return what the design says each part of the line stands, and which part still has to be looked at."""
    design, habit = spec.design, spec.habit
    gear = design.launcher
    line = {"hose": gear.hose, "clamp": gear.clamp, "valve": gear.valve, "connector": gear.coupling, "pump": gear.pump}
    known = {name: part.rating for name, part in line.items() if part is not None and part.rating is not None}
    shown = ", ".join(f"{name} {habit.pressure(rating.value)}" for name, rating in known.items())
    open_ = ", ".join(name for name in line if name not in known)
    return " ".join(
        text
        for text in (
            f"Rated to: {shown}." if shown else "",
            f"Find the rating on the part, and write it into the design: {open_}." if open_ else "",
        )
        if text
    )


def _anchor(spec: Specification) -> str:
    design = spec.design
    stakes = design.launcher.stakes
    if stakes and not stakes.count and stakes.weights and stakes.weights.value > 0.0:
        return f"weights of {spec.habit.mass(stakes.weights.value)} on its feet"
    if not stakes or not stakes.count:
        return "weights on both feet (the design has no stakes)"
    deep = f", {_length(spec, stakes.length)} long, driven in to the head" if stakes.length else ""
    return f"{stakes.count} stakes{deep}"


def _sun_rise(spec: Specification) -> str:
    """Return how much ten degrees add to the planned pressure in a closed bottle: the absolute pressure goes with T."""
    charge, air = spec.design.charge, spec.design.weather.pressure
    if charge.pressure is None or charge.temperature is None or air is None:
        return "some"
    return spec.habit.pressure((charge.pressure.value + air.value) * 10.0 / charge.temperature.value, 2)


def _charge(spec: Specification) -> dict[str, str]:
    design = spec.design
    charge, measured = design.charge, design.measured
    habit = spec.habit
    pressure = habit.pressure(charge.pressure.value) if charge.pressure else "—"
    water = charge.water.value if charge.water else 0.0
    return {
        "water": f"{1e6 * water:.0f} mL",
        "planned_pressure": pressure,
        "pressure": pressure,
        "leak_pressure": pressure,
        "allowed": "the allowed pressure on the cover",
        "sun_rise": _sun_rise(spec),
        "proof_pressure": f"the proof pressure (______ {'psi' if habit.psi else 'bar'}, from the study)",
        "proof_hold": "for 1 min",
        "proof_growth": "the proof-test sheet allows",
        "dry_mass": habit.mass(measured.dry_mass.value) if measured.dry_mass else "as the design estimates",
        "balance": f"{spec.to_mm(mm(measured.balance_point))} behind the nose tip"
        if measured.balance_point
        else "as the study gives it",
        "wind_limit": (blank := f"the day's limit of ______ {'mph' if habit.miles else 'm/s'}"),
        "wind_hand": blank,
        "site": design.site.name or "the field",
        "supervision": _supervision(design.workshop.children_per_adult),
    }
