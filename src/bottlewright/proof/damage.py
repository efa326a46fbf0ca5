"""What was damaged, part by part: what is retired, what is repaired or replaced before anyone pumps."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from bottlewright.design.document import Design
from bottlewright.design.rocket import Damage
from bottlewright.findings import Finding, Level
from bottlewright.proof.vessel_findings import finding

__all__ = ["PARTS", "After", "after_damage", "damage_findings"]


class After(NamedTuple):
    """What is done after damage to a part.

    Parameters
    ----------
    says
        What a person does.
    because
        What it could do to people.
    source
        Who says so.
    choices
        What may be written as done: "repaired", "replaced"; empty for what is retired for good.
    held
        Whether nobody pumps, mended or not, before a test that only a person can tell of: the entry is taken out then.
        A new nozzle is tested with the bottle, and that stands in the file (`expiry`).
    """

    says: str
    because: str
    source: str
    choices: tuple[str, ...]
    held: bool = False

    @property
    def by_word(self) -> bool:
        """Whether an entry is only taken back by somebody's word with a day: it ends the bottle or its tests."""
        return "repaired" not in self.choices


_PRACTICE = "common practice, no source"
_MEASURE = "then weigh, balance and swing the rocket again: what was measured before the damage is of another rocket"

PARTS: Mapping[str, After] = {
    "bottle": After("retire it: cut it up, and start with a fresh bottle and its own water test",
                    "a dent, a crease or a scratch starts a crack, and the bottle bursts at less than it held before",
                    _PRACTICE, ()),
    "nozzle": After("fit a new one, and test the bottle with it, filled with water: nobody glues what holds pressure",
                    "a cracked nozzle leaves the bottle like a shot", _PRACTICE, ("replaced",)),
    "nose": After(f"repair it where it keeps its shape and its soft tip, else make a new one; {_MEASURE}",
                  "a bent nose steers the rocket sideways, a hard or broken tip cuts", _PRACTICE,
                  ("repaired", "replaced")),
    "fins": After(f"glue what broke cleanly and look along it, else make a new set; {_MEASURE}",
                  "a loose or crooked fin turns the rocket over, and it flies at people", _PRACTICE,
                  ("repaired", "replaced")),
    "sleeve": After(f"make a new one where it is torn or creased, tape a small tear; {_MEASURE}",
                    "a loose sleeve lets the fins turn in flight", _PRACTICE, ("repaired", "replaced")),
    "recovery": After("sew or tape a tear, tie new lines, pack it and throw it ten times: it opens every time",
                      "what does not open comes down like a stone", _PRACTICE, ("repaired", "replaced")),
    "launcher": After("replace whatever holds pressure, mend the rest, and do the leak test again, full of water",
                      "a hose or a joint that lets go whips, and the stand that tips aims the rocket at people",
                      _PRACTICE, ("repaired", "replaced"), held=True),
    "other": After("mend it or leave it at home, and look at what it held",
                   "what comes loose in flight falls on somebody", _PRACTICE, ("repaired", "replaced")),
}  # fmt: skip
"""What is done after damage, by part."""


def after_damage(one: Damage) -> tuple[Level, After]:
    """Return how grave a damage is as it stands, and what is done about it."""
    after = PARTS[one.part]
    if not after.choices:
        return Level.STOP, after
    if one.done in after.choices:
        return (Level.HOLD if after.held else Level.LOOK), after
    return Level.HOLD, after


def damage_findings(design: Design) -> Iterator[Finding]:
    """Say of each damage what has to be done; a damaged bottle stops everything."""
    for number, one in enumerate(design.damage):
        level, after = after_damage(one)
        seen = f" on {one.day}" if one.day else ""
        if one.withdrawn:
            yield finding(Level.LOOK, f"withdrawn-{number}", after.because,
                          f"{one.part}: {one.what}{seen}; {one.withdrawn_by} took that back on {one.withdrawn_on}",
                          "what was once told of as damaged is looked at by two people", "our judgement",
                          "A second person looks over the part before anyone pumps. In doubt it is damaged: tell of it "
                          "again")
            continue
        state = {"nothing": "nothing has been done about it", "repaired": "it was repaired",
                 "replaced": "it was replaced"}[one.done]  # fmt: skip
        if level is Level.STOP:
            yield finding(level, f"damaged-{number}", after.because, f"the bottle: {one.what}{seen}",
                          "no damage to what holds pressure, and no repair of it", after.source, after.says)
        elif one.done not in after.choices:
            yield finding(level, f"damaged-{number}", after.because, f"{one.part}: {one.what}{seen}; {state}",
                          f"{' or '.join(after.choices)} before anyone pumps", after.source, after.says)
        else:
            yield finding(level, f"mended-{number}", after.because, f"{one.part}: {one.what}{seen}; {state}"
                          + ("; nobody has said that it was tried since" if after.held else ""),
                          "looked at, measured and tried after the repair", after.source,
                          f"{after.says}. When that is done, take this entry out")
