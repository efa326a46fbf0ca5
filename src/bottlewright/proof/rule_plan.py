"""What the published rules are held against, gathered from a completed design."""

import math

from bottlewright.design.document import Design
from bottlewright.design.rocket import Fins, Nose
from bottlewright.design.shape import stations
from bottlewright.design.tables import materials
from bottlewright.flight.findings import limit
from bottlewright.proof.equipment import compressed, equipment
from bottlewright.proof.parts import launcher_parts
from bottlewright.proof.rules import Plan
from bottlewright.proof.vessel import cycles_counted, need
from bottlewright.quantities import Basis

__all__ = ["dry_mass", "metal_parts", "reach", "rule_plan", "unsaid_masses"]

_PLASTIC = 10e9
"""Modulus above which a wall is no plastic's, Pa: glass and metals begin at 40 GPa (original not checked)."""


def rule_plan(design: Design, gauge: float | None = None, part_factor: float | None = None) -> Plan:
    """Gather from a completed design what the rules are held against.

    The operator can be no farther off than the cord is long, the pumper no farther than the hose.

    Parameters
    ----------
    gauge
        Pressure to ask for, Pa; the planned one when left out.
    part_factor
        Rating of the weakest launcher part over the planned pressure; None where no rating is known.
    """
    launcher, crew, vessel, ground = design.launcher, design.launcher.crew, design.vessel, design.site.rectangle
    pressure = need(design.charge.pressure) if gauge is None else gauge
    sides = sorted((ground.length.value, ground.width.value)) if ground else [None, None]
    return Plan(
        pressure=pressure,
        volume=need(vessel.volume) * vessel.count,
        eye_protection=crew.eye_protection if crew else None,
        operator=reach(design, "operator")[0],
        pumper=reach(design, "pumper")[0],
        spectators=crew.spectators.value if crew and crew.spectators else None,
        tilt=launcher.tilt.value if launcher.tilt else None,
        wind=need(design.weather.wind_speed),
        cycles=None if vessel.cycles is None else cycles_counted(vessel),
        part_factor=part_factor,
        dry_mass=dry_mass(design),
        nose_radius=_nose_radius(design.nose) if design.nose else None,
        mouth_clearance=_mouth_clearance(design),
        field_width=sides[0],
        field_length=sides[1],
        compressor=compressed(design),
        said=equipment(design) | _built(design, pressure),
        rules=tuple(design.site.rules),
    )


def reach(design: Design, role: str) -> tuple[float | None, str]:
    """Return where a role stands, cut to the length of the cord or hose, and which of them cut it."""
    crew = design.launcher.crew
    said = getattr(crew, role) if crew else None
    line = {"operator": ("cord", design.launcher.cord), "pumper": ("hose", design.launcher.hose)}.get(role)
    length = line[1].length.value if line and line[1] and line[1].length else None
    if said is None:
        return length, ""
    if length is not None and line is not None and length < said.value - 1e-9:
        return length, line[0]
    return said.value, ""


def _built(design: Design, pressure: float) -> dict[str, bool | None]:
    """Answer the rules that speak of how rocket and launcher are made."""
    vessel, pump = design.vessel, design.launcher.pump
    measured = vessel.modulus is not None and vessel.modulus.basis is Basis.MEASURED
    ratings = [part.rating_Pa for part in launcher_parts(design)]
    rated = None if None in ratings or not ratings else True
    under = any(rating is not None and rating < pressure * (1.0 - 1e-9) for rating in ratings)
    return {
        "metal": False if metal_parts(design) else None if unsaid_masses(design) else True,
        "plastic": need(vessel.modulus) < _PLASTIC if measured or vessel.bottle else None,
        "sun": None if vessel.storage is None else vessel.storage != "sun",
        "surface work": not {"hot-glued", "sanded", "cut", "heated"} & set(vessel.surface),
        "chemicals": not {"super-glued", "spray-painted"} & set(vessel.surface),
        "fittings": False if under else rated,
        "hand pump": None if pump is None or pump.kind is None else pump.kind != "compressor",
        "level": math.degrees(need(design.launcher.tilt)) <= limit("tilt_level").value + 1e-9,
    }


def metal_parts(design: Design) -> list[str]:
    """Return which of nose, fins, sleeve and masses are of a metal of the material table, with the metal.

    The rules know no size: a small bolt is metal on the rocket, as a metal nose is.
    """
    named = [("nose", design.nose), ("fins", design.fins), ("sleeve", design.sleeve),
             *((item.name, item) for item in design.mass)]  # fmt: skip
    return [
        f"{name} of {section.material}" for name, section in named
        if section is not None and section.material in materials()
        and materials()[section.material].words.get("metal", False)
    ]


def unsaid_masses(design: Design) -> list[str]:
    """Return the names of the masses of which nobody says what they are made of."""
    return [item.name for item in design.mass if item.material is None and item.mass.value > 0.0]


def dry_mass(design: Design) -> float:
    """Return the mass of a completed design without water, kg: what the scale said, or the sum of the parts."""
    if design.measured.dry_mass:
        return design.measured.dry_mass.value
    parts = (design.nozzle, design.nose, design.fins, design.sleeve, design.recovery, *design.mass)
    masses = [part.mass.value for part in parts if part is not None and part.mass is not None]
    return design.vessel.count * need(design.vessel.empty_mass) + sum(masses)


def _nose_radius(nose: Nose) -> float:
    """Return the radius of the nose's tip, m; 0 for a pointed one, the nose's own for a flat front."""
    radius, length = 0.5 * need(nose.diameter), need(nose.length)
    if nose.shape in ("cone", "ogive") or length <= 0.0:
        return 0.0
    if nose.shape == "flat":
        return radius
    return radius**2 / length / (2.0 if nose.shape == "paraboloid" else 1.0)


def _mouth_clearance(design: Design) -> float:
    """Return how far the hindmost rigid part ends in front of the bottle's mouth, m; 0 where it ends behind it."""
    ends = [stations(design).cylinder_end]
    if design.fins:
        ends.append(need(design.fins.position) + _behind(design.fins))
    if design.sleeve:
        ends.append(need(design.sleeve.position) + design.sleeve.length.value)
    return max(stations(design).exit - max(ends), 0.0)


def _behind(fins: Fins) -> float:
    """Return how far the fins reach behind the front of their root, m."""
    if fins.outline:
        return max(aft.value for aft, _ in fins.outline)
    return max(need(fins.root), need(fins.sweep) + need(fins.tip))
