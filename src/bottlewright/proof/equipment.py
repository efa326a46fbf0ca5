"""Equipment that people need before anyone pumps, in three states: there, said to be missing, nothing said.

What is said to be missing is a stop; what nobody speaks of is a hold point, for the person in charge to see on the day.
Nothing here takes silence for a yes.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.launcher_parts import Crew, Pump, Stakes
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import in_own_units
from bottlewright.findings import Finding, Level, Stage

__all__ = ["compressed", "equipment", "equipment_findings"]


@dataclass(frozen=True, slots=True)
class _Item:
    """One piece: its code, the rule's subject, why it matters, what is found, who asks for it and how to cure it."""

    code: str
    subject: str
    hazard: str
    missing: str
    unsaid: str
    limit: str
    source: str
    fit: str
    key: str


_LEAST_WEIGHT = 5.0  # kg, of weights in the place of stakes; our judgement, the stand is reckoned besides
_CODE = "Water Rocket Safety Code; for small bottles at low pressure, of which it does not speak, our judgement"
_ITEMS = (
    _Item("gauge", "gauge", "without a gauge nobody knows the pressure, and so nobody knows when to stop",
          "the launcher has no pressure gauge", "the design says nothing of a pressure gauge",
          "a rocket is never charged without a reading of its pressure", "University of Nebraska, water rocket guide",
          "fit a gauge that whoever pumps can read", "launcher.gauge fitted = true once it is there"),
    _Item("eye-protection", "eye protection", "splinters and water hit eyes first",
          "nobody wears eye protection in this plan", "the design does not say whether people wear eye protection",
          "whoever pumps wears it, and so does everyone inside 10 m",
          "NASA Glenn Research Center and University of Nebraska guides", "get goggles for everyone near",
          "launcher.crew eye_protection = true once everyone near has goggles"),
    _Item("remote-vent", "remote vent", "after a misfire somebody has to walk up to a bottle under pressure",
          "nobody can let the pressure off from the operator's place",
          "the design does not say whether the pressure can be let off from the operator's place",
          "the pressure can be let off from the operator's place", _CODE,
          "fit a bleed valve at the pump's end of the hose",
          "launcher.crew remote_vent = true once it is there and tried"),
    _Item("pegging", "pegging", "a launcher that is not held down tips and points the rocket at people",
          "the launcher has no stakes, and no weights of 5 kg or more",
          "the design does not say what holds the launcher down",
          "the launcher is fixed to the ground before a launch",
          "NASA Glenn Research Center and University of Nebraska guides; the 5 kg are our judgement",
          "peg the launcher down, or lay weights on its feet where no stake goes in",
          "launcher.stakes count, or weights for hard ground"),
    _Item("regulator", "regulator", "a compressor pumps on by itself, past what the bottle bears",
          "the compressor has no regulator", "the design does not say whether the compressor has a regulator",
          "a regulator set to the highest pressure that you allow",
          "a teachers' handout on water rockets that names no author",
          "fit a regulator, or use a hand pump", "launcher.pump regulator = true once it is there and set"),
    _Item("relief-valve", "relief valve", "when the regulator sticks, only a relief valve stops the pressure",
          "the compressor has no relief valve", "the design does not say whether the compressor has a relief valve",
          "a relief valve behind the regulator, set no higher than the allowed pressure",
          "Australia's authority for health at work, information sheet on air receivers; the setting is our judgement",
          "fit a relief valve, or use a hand pump", "launcher.pump relief_valve = true once it is there and set"),
)


def compressed(design: Design) -> bool:
    """Say whether a compressor fills the rocket."""
    return design.launcher.pump is not None and design.launcher.pump.kind == "compressor"


def equipment(design: Design) -> dict[str, bool | None]:
    """Return what there is by the subject of its rule: True there, False said to be missing, None nothing said."""
    launcher = design.launcher
    crew = launcher.crew or Crew()
    state: dict[str, bool | None] = {
        "gauge": launcher.gauge.fitted if launcher.gauge else None,
        "eye protection": crew.eye_protection,
        "remote vent": crew.remote_vent,
        "pegging": _held_down(launcher.stakes or Stakes()),
    }
    pump = launcher.pump or Pump()
    fitted = {"regulator": pump.regulator, "relief valve": pump.relief_valve}
    if compressed(design):
        state |= fitted
    elif pump.kind is None:  # it may be a compressor, and one without them is a stop
        state |= {subject: False for subject, there in fitted.items() if there is False}
    return state


def _held_down(stakes: Stakes) -> bool | None:
    if stakes.count or (stakes.weights and stakes.weights.value >= _LEAST_WEIGHT):
        return True
    return None if stakes.count is None and stakes.weights is None else False


def equipment_findings(design: Design) -> Iterator[Finding]:
    """Stop for equipment that is said to be missing, hold for that of which nothing is said."""
    state, habit = equipment(design), unit_habit(design)
    yield from _kind_of_pump(design)
    for item in _ITEMS:
        there, limit = state.get(item.subject, True), in_own_units(habit, item.limit)
        if there is False:
            yield Finding(Level.STOP, Stage.PROVE, f"no-{item.code}", item.hazard, _missing(design, item), limit,
                          item.source, f"{item.fit} ({item.key})")
        elif there is None:
            comma = "," if "," in item.fit else ""
            yield Finding(Level.HOLD, Stage.PROVE, f"{item.code}-unsaid", item.hazard, item.unsaid, limit, item.source,
                          f"{item.fit}{comma} before anyone pumps, if nobody has yet ({item.key})")


def _missing(design: Design, item: _Item) -> str:
    """Say what is missing; of a pump whose kind nobody says, that it may be a compressor."""
    if item.subject in ("regulator", "relief valve") and not compressed(design):
        return f"launcher.pump has no {item.subject}, and nobody says whether it is a compressor"
    return item.missing


def _kind_of_pump(design: Design) -> Iterator[Finding]:
    """Hold where regulator or relief valve is spoken of and nobody says what pumps: only a compressor needs them."""
    pump = design.launcher.pump
    if pump and pump.kind is None and not (pump.regulator is None and pump.relief_valve is None):
        yield Finding(
            Level.HOLD, Stage.PROVE, "pump-kind-unsaid", "a compressor pumps on by itself, past what the bottle bears",
            "launcher.pump speaks of a regulator or a relief valve, and not of its kind", "the kind of the pump",
            "our judgement",
            'look which pump fills the rocket, and say so (launcher.pump kind = "hand", "foot" or "compressor")',
        )
