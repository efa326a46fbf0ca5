"""What ends a pressure vessel for good, whatever else is known of it: no pressure is allowed in it any more."""

import math
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.unit_habit import unit_habit
from bottlewright.design.unit_text import in_own_units
from bottlewright.proof.bursts import burst_table, law
from bottlewright.proof.evidence import own_tests
from bottlewright.proof.expiry import spent
from bottlewright.proof.vessel import MOST_CYCLES, cycles_counted, need
from bottlewright.quantities import Dimension, show

__all__ = ["Ended", "ended", "no_bottle"]

_PET = {"pet", "rpet", "polyethylene terephthalate", "polyethylene-terephthalate"}


@dataclass(frozen=True, slots=True)
class Ended:
    """Why a vessel is finished: a short name, and in words that read on after "because"."""

    code: str  # "failed", "retired", "damaged", "no bottle", "hot", "worked on", "spent"
    because: str


def ended(design: Design) -> Ended | None:
    """Return why the vessel of a completed design is finished, or None while it is not."""
    vessel = design.vessel
    if any(not test.passed for test in own_tests(design)):
        return Ended("failed", "it has failed a test")
    if vessel.retired:
        return Ended("retired", f"it was retired: {vessel.retired}")
    hurt = [one.what for one in design.damage if one.part == "bottle" and not one.withdrawn]
    if hurt:
        return Ended("damaged", f"it was damaged: {'; '.join(dict.fromkeys(hurt))}")
    odd = no_bottle(design)
    if odd:
        return Ended("no bottle", f"it is no drinks bottle made of PET: {'; '.join(found for found, _ in odd)}")
    if vessel.storage == "hot car":
        return Ended("hot", "it was kept in a hot car, and heat takes strength away that no eye can see")
    hard = [work for work in dict.fromkeys(vessel.surface) if work != "glued"]
    if hard:
        return Ended("worked on", f"its wall was {' and '.join(hard)}")
    if spent(vessel):
        times = cycles_counted(vessel)
        return Ended("spent", f"it has been under pressure {times} times, and {MOST_CYCLES} are its life")
    return None


def no_bottle(design: Design) -> list[tuple[str, str]]:
    """Return what shows that a vessel is no drinks bottle made of PET, each with the limit it lies outside of."""
    vessel, table = design.vessel, burst_table()["wall"]
    found = []
    if vessel.material.strip().casefold() not in _PET:
        found.append((f"vessel.material is {vessel.material}", "PET; nothing here holds for another material"))
    stiff, wall, mass = need(vessel.modulus), need(vessel.wall), need(vessel.empty_mass)
    least, most = (law(key, Dimension.PRESSURE, "wall") for key in ("modulus_least", "modulus_most"))
    if not least <= stiff <= most:
        found.append((f"its wall has a modulus of {show(stiff, 'MPa')}",
                      f"{table['modulus_least']} to {table['modulus_most']}"))
    if not law("least", Dimension.LENGTH, "wall") <= wall <= law("most", Dimension.LENGTH, "wall"):
        habit = unit_habit(design)
        found.append((f"its wall is {habit.length(wall)} thick",
                      in_own_units(habit, f"{table['least']} to {table['most']}")))
    heaviest = 1e-3 * float(table["mass"]) * math.pow(need(vessel.volume) / 1e-3, 2.0 / 3.0)
    if mass > heaviest:
        found.append((f"it weighs {show(mass, 'g')} empty", f"{show(heaviest, 'g', 2)} at its size"))
    return found
