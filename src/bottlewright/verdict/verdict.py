"""The verdict as a frozen record: the one owner of every number that people act on."""

from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from bottlewright.design.unit_habit import UnitHabit
from bottlewright.field.numbers import LimitAt, Sector
from bottlewright.field.wind_heights import HAND_HEIGHT, Growth
from bottlewright.field.wind_held import WindHeld
from bottlewright.findings import Finding, Level, Stage
from bottlewright.proof.allowed import Allowed

__all__ = ["Load", "PeopleDistances", "Verdict", "VerdictLevel"]

VerdictLevel = Literal["stop", "look", "none"]


@dataclass(frozen=True, slots=True)
class PeopleDistances:
    """How far people stand from the rocket, m; None where nobody has worked it out, and why.

    Parameters
    ----------
    pumper_m, operator_m
        The larger of the published rule and what the landings ask; None where no place will do, too.
    spectators
        By 30° of bearing from the launcher; None without landings.
    pumper_bearing_deg, operator_bearing_deg, spectators_bearing_deg
        Where each stands, from the launcher, clockwise from north.
    pumper_settled, operator_settled
        Whether the flights show that the distance will do; if not, it is further than that.
    rule_pumper_m, rule_operator_m, rule_spectators_m
        What the published rules ask at the least; never enough by itself where rockets come down.
    because
        What the distances rest on, or why there are none.
    planned_pumper_m, planned_operator_m, planned_spectators_m
        Where the plan has them; None where it does not say.
    """

    pumper_m: float | None
    operator_m: float | None
    spectators: tuple[Sector, ...] | None
    rule_pumper_m: float
    rule_operator_m: float
    rule_spectators_m: float
    because: str
    pumper_bearing_deg: float | None = None
    operator_bearing_deg: float | None = None
    spectators_bearing_deg: float | None = None
    pumper_settled: bool = True
    operator_settled: bool = True
    planned_pumper_m: float | None = None
    planned_operator_m: float | None = None
    planned_spectators_m: float | None = None

    def asked(self, role: str) -> float | None:
        """Return how far off a role stands at the least, by landings where they were worked out, m; None: no place.

        Where so few rockets come down on the spectators' own side that no distance is settled there, the distance for
        any side counts.
        """
        if self.spectators is None:
            rule: float = getattr(self, f"rule_{role}_m")
            return rule
        if role != "spectators":
            away: float | None = getattr(self, f"{role}_m")
            return away
        own = self.own_sides
        sides = own if own and all(one.settled for one in own) else self.spectators
        return max(one.distance_m for one in sides)

    @property
    def own_sides(self) -> list[Sector]:
        """Return the sides on which spectators stand; none where the plan does not say or nothing is worked out."""
        turn = self.spectators_bearing_deg
        return [one for one in self.spectators or () if turn is not None
                and (turn - one.from_deg) % 360.0 <= (one.to_deg - one.from_deg) % 360.0]

    @property
    def nearest_side(self) -> Sector | None:
        """Return the side on which spectators may stand nearest; None where no flight settles a side."""
        return min((one for one in self.spectators or () if one.settled), key=lambda one: one.distance_m, default=None)

    def planned(self, role: str) -> float | None:
        """Return where the plan has a role, m; None where it does not say."""
        away: float | None = getattr(self, f"planned_{role}_m")
        return away

    def keeps(self, role: str) -> bool:
        """Say whether the plan has a role as far off as is asked at the least."""
        asked, planned = self.asked(role), self.planned(role)
        return asked is not None and planned is not None and planned >= asked - 1e-9

    def as_json(self) -> dict[str, Any]:
        """Return the distances that count, metres; the bare rule stands in `because` only."""
        sectors = None if self.spectators is None else [sector._asdict() for sector in self.spectators]
        return {
            "pumper_m": self.pumper_m, "operator_m": self.operator_m, "spectators": sectors, "because": self.because,
            "pumper_bearing_deg": self.pumper_bearing_deg, "operator_bearing_deg": self.operator_bearing_deg,
            "spectators_bearing_deg": self.spectators_bearing_deg,
            "pumper_settled": self.pumper_settled, "operator_settled": self.operator_settled,
            "planned_pumper_m": self.planned_pumper_m, "planned_operator_m": self.planned_operator_m,
            "planned_spectators_m": self.planned_spectators_m,
        }


@dataclass(frozen=True, slots=True)
class Load:
    """Water (m³) and gauge pressure (Pa) that everything else in the verdict was worked out for."""

    water_m3: float
    gauge_Pa: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the program says about danger; no field of it is reassurance.

    Parameters
    ----------
    name, digest
        The rocket, and the digest of the completed design that this was worked out for.
    allowed
        Highest reading of the gauge, and why.
    distances, wind_limits
        From the rules and the stored landings; None what those don't say.
    proof_gauge_Pa
        Of the next water-filled proof test; None for a vessel that must not be tested again.
    planned
        The design's own load, which everything here was worked out for.
    findings
        Of all packages, sorted by urgency.
    unchecked
        What nobody has checked, a sentence each.
    habit
        Units of the builder.
    coming
        Where the design file's own wind comes from, and by how much it swings, degrees; None where the file gives none,
        or that of a day that has passed.
    growth
        How the wind grows with height over its ground: a limit is carried down to the hand by it.
    """

    name: str
    digest: str
    allowed: Allowed
    distances: PeopleDistances
    wind_limits: tuple[LimitAt, ...] | None
    proof_gauge_Pa: float | None
    planned: Load
    findings: tuple[Finding, ...]
    unchecked: tuple[str, ...]
    habit: UnitHabit
    coming: tuple[float, float] | None = None
    growth: Growth = field(default_factory=Growth)

    @property
    def held(self) -> WindHeld | None:
        """The limits that a wind is held to; None where no landings gave any."""
        return WindHeld(self.wind_limits, self.growth, self.coming) if self.wind_limits else None

    @property
    def wind_today(self) -> LimitAt | None:
        """The limit for the direction of the design file's own wind; None where nobody knows it."""
        return self.held.today if self.held else None

    def _told(self, limit: LimitAt) -> dict[str, float]:
        assert self.held is not None
        return {**limit._asdict(), "in_hand_m_s": self.held.at(limit), "hand_height_m": HAND_HEIGHT}

    @property
    def level(self) -> VerdictLevel:
        """The most urgent of what is open: stop, look, or none where nothing was found so far."""
        return "stop" if self.at(Level.STOP) else "look" if self.at(Level.LOOK) else "none"

    @property
    def load(self) -> Load | None:
        """The load to fill; None under a stop."""
        return None if self.level == "stop" else self.planned

    def at(self, level: Level, stage: Stage | None = None) -> list[Finding]:
        """Return the open findings of a level, of one stage or of all."""
        return [one for one in self.findings if one.level is level and stage in (None, one.stage)]

    def as_json(self) -> dict[str, Any]:
        """Return the verdict as one document; SI, the unit in each key."""
        allowed = self.allowed
        return {
            "level": self.level,
            "design_digest": self.digest,
            "allowed_gauge_Pa": allowed.gauge_Pa,
            "allowed_because": allowed.because,
            "after_test": None if allowed.after_test is None else asdict(allowed.after_test),
            "distances": self.distances.as_json(),
            "wind_limits": None if self.wind_limits is None else [*map(self._told, self.wind_limits)],
            "wind_limit_today": None if self.wind_today is None else self._told(self.wind_today),
            "proof_gauge_Pa": self.proof_gauge_Pa,
            "load": None if self.load is None else asdict(self.load),
            "open": {
                "stop": [one.as_json() for one in self.at(Level.STOP)],
                "look": [one.as_json() for one in self.at(Level.LOOK)],
            },
            "before_pumping": [one.as_json() for one in self.at(Level.HOLD)],
            "unchecked": list(self.unchecked),
        }
