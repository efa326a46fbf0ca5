"""Fill in what the builder left out, each value with its ± and what it stands on.

What the builder gives always wins. What is left comes from a table row, from the geometry and a material, or from a
stated default; `bottlewright.design.paths.stood_on` lists which is which.
"""

import math
from itertools import pairwise
from typing import Any, TypeVar

from bottlewright.design import tables
from bottlewright.design.descents import descent_lacking, without_cloth
from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.design.fields import UNREAD, UNREAD_WORD, Section
from bottlewright.design.launcher import Launcher
from bottlewright.design.mechanism_completion import mechanism_lacking, with_mechanism
from bottlewright.design.rocket import Fins, Nose, Nozzle, Recovery, Sleeve, Vessel
from bottlewright.design.shape import (
    bottle_lengths,
    nose_surface,
    nose_volume,
    profile_lengths,
    profile_volume,
    stations,
)
from bottlewright.design.spreads import with_spreads
from bottlewright.design.taught import with_learned
from bottlewright.quantities import Basis, Dimension, Quantity, value_of

__all__ = ["complete", "filled", "lacking"]

D = Dimension
S = TypeVar("S", bound=Section)


def complete(design: Design) -> Design:
    """Return the design with everything filled in that a flight needs.

    Raises
    ------
    DesignError
        If something has no default: which bottle, which pressure, the size of a parachute.
    """
    problems = lacking(design)
    if problems:
        raise DesignError(problems)
    return with_learned(filled(design))


def filled(design: Design) -> Design:
    """Return the design with everything filled in that can be; what rests on something `UNREAD` is not a number."""
    design = with_spreads(design)
    vessel = _vessel(design.vessel)
    nozzle = _nozzle(design.nozzle, vessel)
    nose = _nose(design.nose, vessel)
    weather = _weather(design)
    design = design.model_copy(update={"vessel": vessel, "nozzle": nozzle, "nose": nose, "weather": weather})
    sleeve = _sleeve(design.sleeve, design) if design.sleeve else None
    fins = _fins(design.fins, design) if design.fins else None
    charge = design.charge.model_copy(
        update={
            "water": design.charge.water or _water(vessel, design.charge.water_share),
            "temperature": design.charge.temperature or _as("same as the air", weather.temperature),
        }
    )
    return design.model_copy(
        update={
            "sleeve": sleeve,
            "fins": fins,
            "recovery": with_mechanism(_recovery(design.recovery, value_of(nose.length)), design),
            "launcher": _launcher(design.launcher, nozzle, vessel),
            "charge": charge,
            "site": _defaults(design.site, "site", latitude=D.ANGLE, height=D.LENGTH),
            "stand": _defaults(design.stand, "stand", tilt=D.ANGLE, opening_time=D.TIME) if design.stand else None,
            "model": _defaults(
                design.model, "model", breakthrough=D.NUMBER, slip=D.NUMBER, spray_coefficient=D.NUMBER,
                heat_transfer=D.HEAT_TRANSFER, charging_kept=D.NUMBER, drag_factor=D.NUMBER, tail_efficiency=D.NUMBER,
                roughness=D.LENGTH, tolerance=D.NUMBER, time_limit=D.TIME,
            ),
        }
    )


def lacking(design: Design) -> list[Problem]:
    """List what has no default and is missing or in no table."""
    problems = []
    vessel, recovery = design.vessel, design.recovery
    if vessel.bottle is not None:
        problems += _unknown("vessel.bottle", tables.bottle, vessel.bottle)
    elif vessel.volume is None and vessel.profile is None:
        right = f'name a row, such as bottle = "carbonated-1500" ({", ".join(tables.bottles())}), or give its volume'
        problems.append(Problem("vessel.bottle", "is missing: the tool has to know which bottle it is", right))
    if design.charge.pressure is None:
        problems.append(Problem("charge.pressure", "is missing: nobody but you can choose the pressure",
                                'such as pressure = "4 bar", above the air outside'))
    for path, part in (("nose", design.nose), ("fins", design.fins), ("sleeve", design.sleeve), ("recovery", recovery)):
        if part is not None and part.material is not None:
            problems += _unknown(f"{path}.material", tables.material, part.material)
    for i, item in enumerate(design.mass):
        if item.material is not None:
            problems += _unknown(f"mass.{i}.material", tables.material, item.material)
    if recovery.kind == "parachute" and recovery.diameter is None:
        problems.append(Problem("recovery.diameter", "is missing: a parachute needs its diameter",
                                'such as diameter = "450 mm", flat to flat'))
    if recovery.kind == "streamer":
        problems += [
            Problem(f"recovery.{key}", f"is missing: a streamer needs its {key}", f'such as {key} = "{such}"')
            for key, such in (("length", "1.5 m"), ("width", "100 mm"))
            if getattr(recovery, key) is None
        ]
    if recovery.kind != "none" and recovery.release == "delay" and recovery.delay is None:
        problems.append(Problem("recovery.delay", 'is missing: release = "delay" needs the time from launch to release',
                                'such as delay = "3.5 s"'))
    problems += mechanism_lacking(design) + descent_lacking(design)
    tube = design.launcher
    if tube.tube_length and tube.tube_length.value > 0.0 and tube.tube_diameter is None:
        problems.append(Problem("launcher.tube_diameter", "is missing: a launch tube needs its outer diameter",
                                'such as tube_diameter = "20.5 mm"'))
    return problems


def _unknown(path: str, table: Any, name: str) -> list[Problem]:
    try:
        table(name)
    except KeyError as error:
        return [Problem(path, f"is not in the table: {error.args[0]}")]
    return []


def _filled(section: S, **values: Any) -> S:
    """Return the section with the values put where it has None."""
    return section.model_copy(update={k: v for k, v in values.items() if getattr(section, k) is None})


def _defaults(section: S, table: str, **keys: Dimension) -> S:
    return _filled(section, **{key: tables.default(f"{table}.{key}", dimension) for key, dimension in keys.items()})


def _as(why: str, quantity: Quantity | None) -> Quantity | None:
    """Take a value over from elsewhere in the design: what was measured there is assumed here."""
    return quantity and Quantity(quantity.value, quantity.spread, Basis.ASSUMED, why)


def _times(factor: Quantity, of: Quantity | None, source: str = "") -> Quantity:
    """Return factor × value, relative spreads added in squares."""
    value = factor.value * value_of(of)
    spread = math.hypot(factor.spread * value_of(of), factor.value * (of.spread if of else 0.0))
    return Quantity(value, spread, Basis.ASSUMED, source or factor.source)


def _vessel(vessel: Vessel) -> Vessel:
    profile = [(z.value, r.value) for z, r in vessel.profile or []]
    volume = vessel.volume
    if profile:
        enclosed = profile_volume(profile) / vessel.count
        volume = volume if volume and math.isnan(enclosed) else _from_profile(enclosed)
    values = _generic(vessel, volume)
    if profile:
        widest = math.nan if math.isnan(sum(r for _, r in profile)) else max(r for _, r in profile)
        wall = vessel.wall or values["wall"]
        neck, shoulder, _, base = profile_lengths(profile)
        values |= {
            "diameter": _from_profile(2.0 * (widest + wall.value), 2.0 * wall.spread),
            "neck_bore": _from_profile(2.0 * profile[0][1]),
            "neck_length": _from_profile(neck),
            "shoulder_length": _from_profile(shoulder),
            "base_length": _from_profile(base),
        }
    values["modulus"] = tables.material("pet")["modulus"]
    values["poisson"] = tables.default("vessel.poisson", D.NUMBER)
    row = tables.bottles().get(vessel.bottle or "")
    filled = _filled(vessel, **values, kind=row.words["kind"] if row else "unknown")
    return filled.model_copy(update={"volume": volume}) if profile else filled


def _generic(vessel: Vessel, volume: Quantity | None) -> dict[str, Quantity]:
    """Return the values of the table row of a vessel, or those of the row of its kind next in size, scaled.

    Where it can't be told which row that is, only what all rows share is known.
    """
    rows = tables.bottles()
    if vessel.bottle in rows:
        return dict(rows[vessel.bottle].values)
    kind = "carbonated" if vessel.kind in (None, "hot-drink", "unknown") else vessel.kind
    alike = [row for row in rows.values() if row.words["kind"] == kind]
    if vessel.bottle is None and alike and volume is not None and volume.value > 0.0:
        row = min(alike, key=lambda row: abs(math.log(row["volume"].value / volume.value)))
        return _scaled(row, volume.value)
    one, *others = rows.values()
    shared = {column for column in one.values if {row[column].value for row in others} == {one[column].value}}
    return {column: quantity if column in shared else UNREAD for column, quantity in one.values.items()}


def _from_profile(value: float, spread: float = 0.0) -> Quantity:
    return Quantity(value, spread, Basis.MEASURED, "vessel.profile of the design file")


def _scaled(row: tables.Row, volume: float) -> dict[str, Quantity]:
    """Scale a row to another volume: lengths with the cube root, mass with the surface; the neck stays."""
    ratio = (volume / row["volume"].value) ** (1.0 / 3.0)
    power = {"diameter": 1, "shoulder_length": 1, "base_length": 1, "empty_mass": 2, "volume": 3}
    source = f"scaled to this volume from {row.source}"
    return {
        column: Quantity(q.value * ratio ** power.get(column, 0), 1.5 * q.spread * ratio ** power.get(column, 0),
                         Basis.ASSUMED, source)
        for column, q in row.values.items()
    }


_AS_WIDE = 1e-4
"""How much narrower than the neck a named bore may be and still be the bare neck, m."""


def _is_bare(nozzle: Nozzle, vessel: Vessel) -> bool:
    """Say whether the water leaves through the neck itself, named or not."""
    return nozzle.bore is None or nozzle.bore.value > value_of(vessel.neck_bore) - _AS_WIDE


def _nozzle(nozzle: Nozzle, vessel: Vessel) -> Nozzle:
    bare = _is_bare(nozzle, vessel)
    shape = nozzle.shape or ("neck" if bare else "rounded")
    row = tables.nozzle(shape)
    bore = nozzle.bore or _as("the bare neck", vessel.neck_bore)
    # The neck's own length is part of the vessel's shape already, so a bare neck adds none.
    none = Quantity(0.0, 0.0, Basis.ASSUMED, "the bare neck: no part of its own")
    return _filled(
        nozzle,
        bore=bore,
        shape=shape,
        length=none if bare else _times(row["length_in_bores"], bore),
        contraction=row["contraction"],
        velocity_coefficient=(_shoulder(vessel) if shape == "neck" else None) or row["velocity_coefficient"],
        gas_coefficient=row["gas_coefficient"],
        mass=none if bare else tables.default("nozzle.mass", D.MASS),
    )


def _shoulder(vessel: Vessel) -> Quantity | None:
    """Return the velocity coefficient of a neck behind a measured shoulder, by the half-angle where they meet."""
    profile = [(z.value, r.value) for z, r in vessel.profile or []]
    throat = value_of(vessel.neck_bore) / 2.0
    lift = [z for z, r in profile if r > 1.05 * throat]
    twice = [(z, r) for z, r in profile if r >= 2.0 * throat]
    if not lift or not twice or math.isnan(sum(z + r for z, r in profile)):
        return None
    foot = max((z for z, r in profile if z < lift[0]), default=profile[0][0])
    angle = math.atan2(twice[0][1] - throat, max(twice[0][0] - foot, 1e-6))
    return tables.shoulder(angle)


def _launcher(launcher: Launcher, nozzle: Nozzle, vessel: Vessel) -> Launcher:
    """Fill in the launcher: what seals, how far the rocket slides on it, and what feeds the bottle meanwhile."""
    launcher = _defaults(launcher, "launcher", guide_length=D.LENGTH, tilt=D.ANGLE, leans_towards=D.ANGLE,
                         tube_diameter=D.LENGTH, tube_length=D.LENGTH, flow_coefficient=D.NUMBER)
    tube = value_of(launcher.tube_length) > 0.0
    seal = launcher.seal or ("spigot" if tube or _is_bare(nozzle, vessel) else "socket")
    wall, around = tables.default("rule.tube_wall", D.LENGTH), launcher.tube_diameter
    none = Quantity(0.0, 0.0, Basis.ASSUMED, "no launch tube unless you give one")
    if tube:
        diameter, stroke = _as("the launch tube's", around), _as("the launch tube's length", launcher.tube_length)
        inner = max(value_of(around) - 2.0 * wall.value, 0.0)
        none = Quantity(inner, 2.0 * wall.spread, Basis.ASSUMED, wall.source)
    elif seal == "socket":
        diameter = tables.default("rule.socket_diameter", D.LENGTH)
        stroke = tables.default("rule.socket_stroke", D.LENGTH)
    else:
        diameter, stroke = _as("seals in the opening", nozzle.bore), tables.default("rule.spigot_stroke", D.LENGTH)
    launcher = _filled(launcher, seal=seal, seal_diameter=diameter, stroke=stroke, tube_bore=none)
    return _filled(launcher, **_hose(launcher))


def _hose(launcher: Launcher) -> dict[str, Any]:
    """Return the hose's volume, its narrowest passage and whether it feeds the bottle at all."""
    hose, ways = launcher.hose, [tables.default("rule.coupling_bore", D.LENGTH)]
    if launcher.coupling and launcher.coupling.bore:
        ways = [launcher.coupling.bore]
    if launcher.valve:
        ways.append(launcher.valve.bore or tables.default("rule.valve_bore", D.LENGTH))
    volume = Quantity(0.0, 0.0, Basis.ASSUMED, "no hose whose length and bore are known")
    if hose and hose.length and hose.bore:
        ways.append(hose.bore)
        room = 0.25 * math.pi * hose.bore.value**2 * hose.length.value
        volume = Quantity(room, 0.1 * room, Basis.ASSUMED, "bore and length of launcher.hose; the ± of 10 % is ours")
    narrowest = min(ways, key=lambda way: way.value)
    known = narrowest.basis is Basis.MEASURED and narrowest.spread > 0.0
    return {
        "hose_volume": volume,
        "restriction": Quantity(narrowest.value, narrowest.spread if known else 0.3 * narrowest.value, Basis.ASSUMED,
                                "the narrowest of hose, coupling and valve; the ± of 30 % is ours"),
        "supply": "hose" if value_of(launcher.hose_volume or volume) > 0.0 else "none",
    }  # fmt: skip


_OWN_BASE = "the base of the bottle itself"


def _nose(nose: Nose | None, vessel: Vessel) -> Nose:
    *_, base = bottle_lengths(vessel)  # as it is drawn: where it is short, not the whole of vessel.base_length
    own_base = Quantity(base, vessel.base_length.spread if vessel.base_length else 0.0, Basis.ASSUMED, _OWN_BASE)
    nothing = Quantity(0.0, 0.0, Basis.ASSUMED, _OWN_BASE)
    if nose is None or nose.shape == "bottle":
        nose = nose or Nose(shape="bottle")
        return _filled(nose, length=own_base, diameter=_as("the bottle's", vessel.diameter), mass=nothing)
    nose = _filled(nose, diameter=_as("the bottle's", vessel.diameter), material="expanded-polystyrene")
    half = Quantity(0.5, 0.0, Basis.ASSUMED, "half the diameter")
    lengths = {"hemisphere": _times(half, nose.diameter), "flat": own_base, UNREAD_WORD: UNREAD}
    usual = _times(tables.default("rule.nose_length_in_diameters", D.NUMBER), nose.diameter)
    nose = _filled(nose, length=lengths.get(nose.shape, usual))
    return _filled(nose, mass=_nose_mass(nose, vessel, base))


def _nose_mass(nose: Nose, vessel: Vessel, base: float) -> Quantity:
    row = tables.material(nose.material or "")
    if nose.wall is not None:
        return _times(row["density"], _exact(nose_surface(nose) * nose.wall.value), f"wall of {row.source}")
    inner = 0.5 * value_of(vessel.diameter)
    seat = 2.0 / 3.0 * math.pi * inner**2 * min(base, value_of(nose.length))
    solid = max(nose_volume(nose) - seat, 0.0)
    return _times(row["density"], _exact(solid), f"solid, hollowed for the bottle's base, of {row.source}")


def _exact(value: float) -> Quantity:
    return Quantity(value)


def _sheet_mass(material: str, area: float, thickness: Quantity) -> Quantity:
    row = tables.material(material)
    per_area = _times(row["density"], thickness)
    return _times(per_area, _exact(area), f"{area * 1e4:.0f} cm2 of {row.source}")


def _usual_thickness(material: str) -> Quantity:
    row = tables.material(material)
    return Quantity(row["thickness"].value, 0.05 * row["thickness"].value, Basis.TABLE, row.source)


def _fins(fins: Fins, design: Design) -> Fins:
    diameter = design.vessel.diameter
    material = fins.material or "balsa"
    thickness = fins.thickness or _usual_thickness(material)
    fins = _filled(fins, material=material, thickness=thickness, cant=tables.default("fins.cant", D.ANGLE))
    if fins.outline:
        points = [(x.value, y.value) for x, y in fins.outline]
        root, span = _outline_size(points)
        drawn = "from fins.outline"
        fins = _filled(fins, root=Quantity(root, source=drawn), span=Quantity(span, source=drawn))
        area = _polygon_area(points)
    else:
        fins = _filled(fins, root=_times(tables.default("rule.fin_root_in_diameters", D.NUMBER), diameter),
                       span=_times(tables.default("rule.fin_span_in_diameters", D.NUMBER), diameter))
        fins = _filled(fins, tip=_times(tables.default("rule.fin_tip_in_roots", D.NUMBER), fins.root))
        slant = max(value_of(fins.root) - value_of(fins.tip), 0.0)
        fins = _filled(fins, sweep=Quantity(slant, 0.0, Basis.ASSUMED, "trailing edge straight across"))
        area = 0.5 * (value_of(fins.root) + value_of(fins.tip)) * value_of(fins.span)
    place = max(stations(design).cylinder_end - value_of(fins.root), 0.0)
    return _filled(
        fins,
        position=Quantity(place, 0.002, Basis.ASSUMED, "rear of the root at the lower end of the cylinder"),
        mass=_sheet_mass(material, fins.count * area, thickness),
    )


def _outline_size(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Return root and span (m) of an outline given as (aft, out), m."""
    if math.isnan(sum(x + y for x, y in points)):
        return math.nan, math.nan
    foot = min(y for _, y in points) + 1e-4
    return max(x for x, y in points if y <= foot), max(y for _, y in points)


def _polygon_area(points: list[tuple[float, float]]) -> float:
    edges = pairwise([*points, points[0]])
    return 0.5 * abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in edges))


def _sleeve(sleeve: Sleeve, design: Design) -> Sleeve:
    material = sleeve.material or "card"
    thickness = sleeve.thickness or _usual_thickness(material)
    outside = value_of(design.vessel.diameter) + 2.0 * thickness.value
    outer = Quantity(outside, 0.0, Basis.ASSUMED, "wrapped on the bottle")
    sleeve = _filled(sleeve, material=material, thickness=thickness, diameter=outer)
    around = math.pi * (value_of(sleeve.diameter) - thickness.value) * sleeve.length.value
    front = Quantity(stations(design).nose_end, 0.0, Basis.ASSUMED, "front edge at the nose's seat")
    return _filled(sleeve, position=front, mass=_sheet_mass(material, around, thickness))


_FLAT_AREA = {  # of area over diameter squared; regular polygons flat to flat (exact), the cross with arms a third wide
    "hexagon": math.sqrt(3.0) / 2.0, "octagon": 2.0 * (math.sqrt(2.0) - 1.0), "round": math.pi / 4.0, "square": 1.0,
    "cross": 5.0 / 9.0, "hemisphere": math.pi / 2.0,
}


def _recovery(recovery: Recovery, nose_length: float) -> Recovery:
    if recovery.kind == "none":
        return recovery
    if recovery.kind not in ("parachute", "streamer"):
        return without_cloth(recovery, nose_length)
    parachute = recovery.kind == "parachute"
    row = tables.canopy(recovery.canopy if parachute else "streamer")
    recovery = _filled(
        recovery,
        drag_coefficient=row["drag_coefficient"],
        filling=row["filling"],
        lines=row.words["lines"],
        material="nylon-canopy" if parachute else "crepe-paper",
        delay=tables.default("recovery.delay", D.TIME),
        spill_hole=tables.default("recovery.spill_hole", D.LENGTH),
        position=Quantity(0.7 * nose_length, 0.1 * nose_length, Basis.ASSUMED, "packed in the rear half of the nose"),
    )
    if parachute:
        lines = _times(tables.default("rule.line_length_in_diameters", D.NUMBER), recovery.diameter)
        recovery = _filled(recovery, line_length=lines)
        area = _FLAT_AREA[recovery.canopy] * value_of(recovery.diameter) ** 2
    else:
        area = value_of(recovery.length) * value_of(recovery.width)
    cloth = tables.material(recovery.material or "")
    per_area = cloth.values.get("areal_mass") or _times(cloth["density"], cloth["thickness"])
    rigged = _times(tables.default("rule.canopy_rigging", D.NUMBER), _times(per_area, _exact(area)))
    source = f"{area * 1e4:.0f} cm2, hem and lines besides, of {cloth.source}"
    return _filled(recovery, mass=Quantity(rigged.value, rigged.spread, Basis.ASSUMED, source))


def _weather(design: Design) -> Any:
    weather = _defaults(design.weather, "weather", temperature=D.TEMPERATURE, humidity=D.NUMBER, wind_speed=D.SPEED,
                        wind_from=D.ANGLE, wind_height=D.LENGTH)
    sea = tables.default("weather.pressure", D.PRESSURE)
    height = design.site.height
    # ISO 2533: geopotential lapse of 6.5 K/km, exponent g/(R·lapse) = 5.25588.
    thinner = (1.0 - 0.0065 * value_of(height) / 288.15) ** 5.25588
    slope = sea.value * thinner / 8400.0 * (height or tables.default("site.height", D.LENGTH)).spread
    there = Quantity(sea.value * thinner, math.hypot(sea.spread, slope), sea.basis, sea.source)
    ground = tables.terrain(weather.terrain)
    return _filled(weather, pressure=there, exponent=ground["exponent"], roughness_length=ground["roughness_length"])


def _water(vessel: Vessel, written: Quantity | None) -> Quantity:
    share = written or tables.default("rule.water_fraction", D.NUMBER)
    capacity = value_of(vessel.volume) * vessel.count
    source = f"{written.text} of the vessel, {written.source}" if written else share.source
    return Quantity(share.value * capacity, share.spread * capacity, share.basis, source)
