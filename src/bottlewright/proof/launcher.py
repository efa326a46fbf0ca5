"""The launcher of a design: its release, its stand, its parts, and what a drawing of it needs."""

import math
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.launch_gear import Cord, Release
from bottlewright.design.shape import stations
from bottlewright.proof import release as machine
from bottlewright.proof.defaults import human_pull, launcher_table, taken
from bottlewright.proof.footing import Footing, Loads, footing, jet_push, stake_hold, stake_sideways, wind_push
from bottlewright.proof.parts import Hole, HoseHeat, PartRating, hole_sizes, hose_heat, launcher_parts, weakest
from bottlewright.proof.vessel import need
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["Drawing", "LauncherReport", "ReleaseReport", "launcher_drawing_data", "launcher_report", "release_report"]


@dataclass(frozen=True, slots=True)
class ReleaseReport:
    """What holds the rocket down, what opens it, and who can. Forces in N, at the planned pressure."""

    kind: str
    seal_diameter_m: float
    separation_N: float
    holding_N: float | None
    holding_factor: float | None
    opens_at_Pa: float | None  # a friction plug's own pressure
    opening_N: float | None
    opening_low_N: float | None
    opening_high_N: float | None
    opening_unloaded_N: float | None
    tilt_drag: float | None
    turn_factor: float | None
    hand_pull_N: float | None
    hand_pull_high_N: float | None
    hand_limit_N: float
    hand_limit_source: str
    cord_strength_N: float | None
    described: bool
    assumed: tuple[str, ...]


def release_report(design: Design) -> ReleaseReport:
    """Work out the release of a completed design at its planned pressure."""
    launcher = design.launcher
    release, cord = launcher.release or Release(), launcher.cord or Cord()
    gauge, seal = need(design.charge.pressure), need(launcher.seal_diameter)
    pull = machine.separation_force(gauge, seal)
    limit = human_pull(launcher.crew.puller if launcher.crew else "adult")
    described = launcher.release is not None
    if release.kind == "plug":
        grip = release.grip.value if release.grip else None
        return ReleaseReport(
            "plug", seal, pull, grip, grip / pull if grip is not None and pull > 0.0 else None,
            machine.grip_pressure(grip, seal) if grip is not None else None,
            None, None, None, None, None, None, None, None, limit.value, limit.source, None, described, (),
        )
    names = [f"release.spring.{release.kind}", f"release.count.{release.kind}", f"release.strength.{release.kind}"]
    friction = taken(release.friction, "release.friction")
    spring = taken(release.spring, names[0])
    wedge = 0.0 if release.kind == "pin" else taken(release.wedge, f"release.wedge.{release.kind}").value
    slope = release.slope.value if release.slope else 0.0
    count = release.count or taken(None, names[1]).value
    strength = taken(release.strength, names[2])
    shared = taken(None, "release.sharing").value
    outward = machine.outward_force(release.kind, pull, wedge)

    def opening(sign: float, pressed: float = 1.0) -> float:
        mu, force = friction.value + sign * friction.spread, spring.value + sign * spring.spread
        return machine.opening_force(max(force, 0.0), max(mu, 0.0), pressed * outward, slope)

    def drag(sign: float) -> float:
        if release.kind == "pin":
            return 1.0
        offset = machine.pull_offset(cord.count, taken(cord.evenness, "cord.evenness").value,
                                     taken(release.pull_radius, "release.pull_radius").value)
        mu = max(friction.value + sign * friction.spread, 0.0)
        return machine.tilt_drag(mu, offset, taken(release.guided_length, "release.guided_length").value)

    turn_friction = taken(cord.turn_friction, "cord.turn_friction")
    turn = cord.turn.value if cord.turn else 0.0
    leverage = cord.leverage.value if cord.leverage else 1.0

    def hand(sign: float) -> float:
        round_bar = machine.capstan(turn_friction.value + sign * turn_friction.spread, turn)
        return max(opening(sign), 0.0) * drag(sign) / leverage * round_bar

    holding = count * strength.value * shared
    return ReleaseReport(
        kind=release.kind, seal_diameter_m=seal, separation_N=pull, holding_N=holding,
        holding_factor=holding / pull if pull > 0.0 else None, opens_at_Pa=None,
        opening_N=opening(0.0), opening_low_N=opening(-1.0), opening_high_N=opening(1.0),
        opening_unloaded_N=opening(0.0, 0.0), tilt_drag=drag(0.0),
        turn_factor=machine.capstan(turn_friction.value, turn), hand_pull_N=hand(0.0), hand_pull_high_N=hand(1.0),
        hand_limit_N=limit.value, hand_limit_source=limit.source,
        cord_strength_N=taken(cord.strength, "cord.strength").value, described=described,
        assumed=tuple(_assumed(release, cord)),
    )


def _assumed(release: Release, cord: Cord) -> list[str]:
    """List in words what was taken from the table for the release."""
    wanted = [
        ("friction", release.friction, "release.friction"),
        ("spring", release.spring, f"release.spring.{release.kind}"),
        ("strength of one holding part", release.strength, f"release.strength.{release.kind}"),
        ("friction round the turning bar", cord.turn_friction, "cord.turn_friction"),
    ]
    if release.kind != "pin":
        wanted += [
            ("angle of the holding face", release.wedge, f"release.wedge.{release.kind}"),
            ("guided length", release.guided_length, "release.guided_length"),
            ("radius of the pull", release.pull_radius, "release.pull_radius"),
        ]
    return [f"{what}: {taken(None, name).source}" for what, given, name in wanted if given is None]


@dataclass(frozen=True, slots=True)
class LauncherReport:
    """Everything that Prove has to say about a launcher."""

    release: ReleaseReport
    parts: tuple[PartRating, ...]
    weakest: PartRating | None
    part_factor: float | None
    hose_heat: HoseHeat | None
    gauge_reads_up_to_Pa: float | None
    gauge_error_Pa: float | None
    footing_needed: Footing | None
    footing_full_pull: Footing | None
    wind_m_s: float
    holes: tuple[Hole, ...]
    not_described: tuple[str, ...]


def launcher_report(design: Design) -> LauncherReport:
    """Work out the launcher of a completed design at its planned pressure."""
    launcher, gauge = design.launcher, need(design.charge.pressure)
    released = release_report(design)
    parts = launcher_parts(design)
    if released.described and released.holding_N is not None and released.kind != "plug":
        holds = released.holding_N / machine.separation_force(1.0, released.seal_diameter_m)
        parts.append(PartRating("release", holds, f"holds {released.holding_N:.0f} N on the seal's area"))
    weak = weakest(parts)
    dial = launcher.gauge
    reads = dial.range.value if dial and dial.range else None
    error = reads * taken(dial.accuracy, "gauge.accuracy").value if dial and reads is not None else None
    wind = max(need(design.weather.wind_speed), taken(None, "wind").value)
    stand = _stand(design, released, wind)
    tables = ("release", "cord", "hose", "valve", "clamp", "gauge", "frame", "pump", "crew")
    return LauncherReport(
        release=released, parts=tuple(parts), weakest=weak,
        part_factor=(weak.rating_Pa or 0.0) / gauge if weak is not None and gauge > 0.0 else None,
        hose_heat=hose_heat(launcher.hose, need(design.weather.temperature)) if launcher.hose else None,
        gauge_reads_up_to_Pa=reads, gauge_error_Pa=error,
        footing_needed=stand[0] if stand else None, footing_full_pull=stand[1] if stand else None,
        wind_m_s=wind, holes=tuple(hole_sizes(design)),
        not_described=tuple(name for name in tables if getattr(launcher, name) is None),
    )


def _stand(design: Design, released: ReleaseReport, wind: float) -> tuple[Footing, Footing] | None:
    """Return the stand's footing under the pull that is needed, and under all that the puller has."""
    launcher, frame, stakes = design.launcher, design.launcher.frame, design.launcher.stakes
    if frame is None or frame.mass is None:
        return None
    plate = taken(frame.height, "frame.height").value
    diameter, length = need(design.vessel.diameter), stations(design).exit
    cord_height = taken(launcher.cord.height if launcher.cord else None, "cord.height").value
    width = min(taken(frame.width, "frame.width").value, taken(frame.depth, "frame.depth").value)
    count, hold, sideways = 0, 0.0, 0.0
    if stakes is not None and stakes.count:
        ground = next(row for row in launcher_table()["ground"] if row["name"] == stakes.ground)
        size = (taken(stakes.length, "stakes.length").value, taken(stakes.diameter, "stakes.diameter").value,
                parse_quantity(ground["strength"], Dimension.PRESSURE).value)
        count, hold, sideways = stakes.count, stake_hold(*size), stake_sideways(*size)

    def under(pull: float) -> Footing:
        loads = Loads(
            pull, cord_height, wind_push(wind, length, diameter), plate + 0.5 * length,
            jet_push(need(design.charge.pressure), need(design.nozzle.bore), need(launcher.tilt)), plate,
        )
        friction = taken(None, "frame.friction").value
        return footing(loads, need(frame.mass), width, friction, count, hold, sideways)

    needed = released.hand_pull_high_N or 0.0
    return under(needed if math.isfinite(needed) else released.hand_limit_N), under(released.hand_limit_N)


@dataclass(frozen=True, slots=True)
class Drawing:
    """What a dimensioned drawing and cut list of the stand needs, m and rad; each value says if it was assumed."""

    kind: str
    release: str
    width_m: float
    depth_m: float
    height_m: float
    board_width_m: float
    board_thickness_m: float
    tube_diameter_m: float
    seal_diameter_m: float
    guide_length_m: float
    tilt_rad: float
    cords: int
    cord_length_m: float | None
    cord_height_m: float
    cord_turn_rad: float
    hose_length_m: float | None
    loop_height_m: float | None
    stakes: int
    stake_length_m: float
    holes: tuple[Hole, ...]
    assumed: tuple[str, ...]


def launcher_drawing_data(design: Design) -> Drawing:
    """Gather the launcher's dimensions of a completed design; what it does not give comes from the table."""
    launcher = design.launcher
    frame, cord, hose, stakes = launcher.frame, launcher.cord, launcher.hose, launcher.stakes
    sizes = {}
    assumed = []
    for key in ("width", "depth", "height", "board_width", "board_thickness", "tube_diameter"):
        given = getattr(frame, key) if frame else None
        sizes[f"{key}_m"] = taken(given, f"frame.{key}").value
        if given is None:
            assumed.append(f"frame.{key}")
    for name, given in (("cord.height", cord.height if cord else None),
                        ("stakes.length", stakes.length if stakes else None)):
        if given is None:
            assumed.append(name)
    return Drawing(
        kind=frame.kind if frame else "boards",
        release=launcher.release.kind if launcher.release else "collar",
        **sizes,
        seal_diameter_m=need(launcher.seal_diameter),
        guide_length_m=need(launcher.guide_length),
        tilt_rad=need(launcher.tilt),
        cords=cord.count if cord else 2,
        cord_length_m=cord.length.value if cord and cord.length else None,
        cord_height_m=taken(cord.height if cord else None, "cord.height").value,
        cord_turn_rad=cord.turn.value if cord and cord.turn else 0.0,
        hose_length_m=hose.length.value if hose and hose.length else None,
        loop_height_m=hose.loop_height.value if hose and hose.loop_height else None,
        stakes=stakes.count if stakes else 0,
        stake_length_m=taken(stakes.length if stakes else None, "stakes.length").value,
        holes=tuple(hole_sizes(design)),
        assumed=tuple(assumed),
    )
