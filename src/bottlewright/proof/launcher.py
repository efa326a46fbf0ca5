"""The launcher of a design: its release, its stand, its parts."""

import math
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.launch_gear import Cord, Release
from bottlewright.design.shape import stations
from bottlewright.proof import release as machine
from bottlewright.proof.defaults import Assumed, assumed_values, human_pull, launcher_table, taken
from bottlewright.proof.footing import Footing, Loads, footing, jet_push, stake_hold, stake_sideways, wind_push
from bottlewright.proof.parts import Hole, HoseHeat, PartRating, hole_sizes, hose_heat, launcher_parts, weakest
from bottlewright.proof.vessel import need
from bottlewright.quantities import Dimension, parse_quantity

__all__ = ["LauncherReport", "ReleaseReport", "launcher_report", "release_report"]


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
            None, None, None, None, None, None, None, None, limit.value, limit.source, None, described,
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
    )


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
    assumed: tuple[Assumed, ...]
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
        wind_m_s=wind, holes=tuple(hole_sizes(design)), assumed=tuple(assumed_values(launcher)),
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
