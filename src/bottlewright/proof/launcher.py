"""The launcher of a design: its release, its stand, its parts."""

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.launcher_parts import Cord, Release
from bottlewright.design.once import once_per_design
from bottlewright.design.shape import stations
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import in_own_units
from bottlewright.proof import release as machine
from bottlewright.proof.defaults import Assumed, assumed_values, human_pull, launcher_table, taken
from bottlewright.proof.parts import Hole, HoseHeat, PartRating, hole_sizes, hose_heat, launcher_parts, weakest
from bottlewright.proof.stand_stability import Footing, Loads, footing, jet_push, stake_hold, stake_sideways, wind_push
from bottlewright.proof.vessel import need
from bottlewright.quantities import Basis, Dimension, Quantity, parse_quantity

__all__ = ["LauncherReport", "ReleaseReport", "launcher_report", "release_report"]


@dataclass(frozen=True, slots=True)
class ReleaseReport:
    """What holds the rocket down, what opens it, and who can. Forces in N at the planned pressure; None: not so."""

    kind: str
    described: bool
    seal_diameter_m: float
    seal_measured: bool
    neck_m: float
    neck_separation_N: float
    separation_N: float
    hand_limit_N: float
    hand_limit_source: str
    holding_N: float | None = None
    holding_factor: float | None = None
    opens_at_Pa: float | None = None  # a friction plug's own pressure, and with its grip on either side
    opens_low_Pa: float | None = None
    opens_high_Pa: float | None = None
    opening_N: float | None = None
    opening_low_N: float | None = None
    opening_high_N: float | None = None
    opening_unloaded_N: float | None = None
    tilt_drag: float | None = None
    turn_factor: float | None = None
    hand_pull_N: float | None = None
    hand_pull_high_N: float | None = None
    cord_strength_N: float | None = None


class _Mechanism(NamedTuple):
    """What opens a release: given values, or those of the table."""

    spring: Quantity
    friction: Quantity
    outward: float  # N at the planned pressure
    slope: float
    offset: float  # of the pull from the axis, m; 0 for a pin, which is drawn along itself
    guided_length: float
    turn_friction: Quantity
    turn: float
    leverage: float


def _mechanism(release: Release, cord: Cord, separation: float) -> _Mechanism:
    pin = release.kind == "pin"
    wedge = 0.0 if pin else taken(release.wedge, f"release.wedge.{release.kind}").value
    evenness = taken(cord.evenness, "cord.evenness").value
    radius = taken(release.pull_radius, "release.pull_radius").value
    return _Mechanism(
        spring=taken(release.spring, f"release.spring.{release.kind}"),
        friction=taken(release.friction, "release.friction"),
        outward=machine.outward_force(release.kind, separation, wedge),
        slope=release.slope.value if release.slope else 0.0,
        offset=0.0 if pin else machine.pull_offset(cord.count, evenness, radius),
        guided_length=taken(release.guided_length, "release.guided_length").value,
        turn_friction=taken(cord.turn_friction, "cord.turn_friction"),
        turn=cord.turn.value if cord.turn else 0.0,
        leverage=cord.leverage.value if cord.leverage else 1.0,
    )


def _side(quantity: Quantity, sign: float) -> float:
    """Return a value one standard deviation to its low (−1) or high (+1) side, or as it is (0); never negative."""
    return max(quantity.value + sign * quantity.spread, 0.0)


def _opening(m: _Mechanism, sign: float, pressed: float = 1.0) -> float:
    """Return the force that opens the release, with spring and friction on one side of their ±."""
    return machine.opening_force(_side(m.spring, sign), _side(m.friction, sign), pressed * m.outward, m.slope)


def _hand(m: _Mechanism, sign: float) -> float:
    """Return the pull on the cord that opens the release."""
    drag = machine.tilt_drag(_side(m.friction, sign), m.offset, m.guided_length)
    return max(_opening(m, sign), 0.0) * drag / m.leverage * machine.capstan(_side(m.turn_friction, sign), m.turn)


def release_report(design: Design) -> ReleaseReport:
    """Work out the release of a completed design at its planned pressure."""
    launcher = design.launcher
    release, cord = launcher.release or Release(), launcher.cord or Cord()
    seal, neck = need(launcher.seal_diameter), need(design.vessel.neck_bore)
    pull = machine.separation_force(need(design.charge.pressure), seal)
    limit = human_pull(launcher.crew.puller if launcher.crew else "adult")
    plain = ReleaseReport(
        kind=release.kind, described=launcher.release is not None, seal_diameter_m=seal,
        seal_measured=launcher.seal_diameter is not None and launcher.seal_diameter.basis is Basis.MEASURED,
        neck_m=neck, neck_separation_N=machine.separation_force(need(design.charge.pressure), neck), separation_N=pull,
        hand_limit_N=limit.value, hand_limit_source=limit.source,
    )
    if release.kind == "plug":
        if release.grip is None:
            return plain
        grip = release.grip.value
        low, high = (machine.grip_pressure(_side(release.grip, sign), seal) for sign in (-1.0, 1.0))
        return replace(plain, holding_N=grip, holding_factor=grip / pull if pull > 0.0 else None,
                       opens_at_Pa=machine.grip_pressure(grip, seal), opens_low_Pa=low, opens_high_Pa=high)
    m = _mechanism(release, cord, pull)
    count = release.count or taken(None, f"release.count.{release.kind}").value
    strength = taken(release.strength, f"release.strength.{release.kind}").value
    holding = count * strength * taken(None, "release.sharing").value
    return replace(
        plain, holding_N=holding, holding_factor=holding / pull if pull > 0.0 else None,
        opening_N=_opening(m, 0.0), opening_low_N=_opening(m, -1.0), opening_high_N=_opening(m, 1.0),
        opening_unloaded_N=_opening(m, 0.0, 0.0),
        tilt_drag=machine.tilt_drag(m.friction.value, m.offset, m.guided_length),
        turn_factor=machine.capstan(m.turn_friction.value, m.turn), hand_pull_N=_hand(m, 0.0),
        hand_pull_high_N=_hand(m, 1.0), cord_strength_N=taken(cord.strength, "cord.strength").value,
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


def _dial(design: Design) -> tuple[float | None, float | None]:
    """Return what the pressure gauge reads up to and how far it may be out, Pa; None where it is not described."""
    dial = design.launcher.gauge
    if dial is None or not dial.fitted or dial.range is None:
        return None, None
    return dial.range.value, dial.range.value * taken(dial.accuracy, "gauge.accuracy").value


@once_per_design
def launcher_report(design: Design) -> LauncherReport:
    """Work out the launcher of a completed design at its planned pressure."""
    launcher, gauge, habit = design.launcher, need(design.charge.pressure), unit_habit(design)
    released = release_report(design)
    parts = launcher_parts(design)
    if released.described and released.holding_N is not None and released.kind != "plug":
        holds = released.holding_N / machine.separation_force(1.0, released.seal_diameter_m)
        parts.append(PartRating("release", holds, f"it holds {habit.force(released.holding_N, 2)} on "
                                                  "the seal's area"))
    weak = weakest(parts)
    reads, error = _dial(design)
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
        assumed=tuple(replace(one, value=in_own_units(habit, one.value)) for one in assumed_values(launcher)),
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
    weights = stakes.weights.value if stakes and stakes.weights else 0.0
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
        return footing(loads, need(frame.mass) + weights, width, friction, count, hold, sideways)

    needed = released.hand_pull_high_N or 0.0
    return under(needed if math.isfinite(needed) else released.hand_limit_N), under(released.hand_limit_N)
