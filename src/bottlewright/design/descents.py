"""Ways to come down and their words: canopy, streamer, and the three without cloth, filled in where the file is silent.

A rotor spins, two parts on a cord and a rocket whose ballast has shifted tumble. docs/physics/recovery.md §5.
"""

from typing import TYPE_CHECKING, NamedTuple

from bottlewright.design import tables
from bottlewright.design.errors import Problem
from bottlewright.design.rocket import Recovery
from bottlewright.quantities import Basis, Dimension, Quantity

if TYPE_CHECKING:
    from bottlewright.design.document import Design

__all__ = ["Descent", "descent_lacking", "descent_of", "sentence", "while_driven", "without_cloth"]

D = Dimension


class Descent(NamedTuple):
    """How a way to come down is spoken of; each is part of a sentence.

    Parameters
    ----------
    comes
        What happens when it is let out: "the parachute comes out".
    stays, tears
        What happens when it is not, and when it does not hold.
    under
        How the rocket then comes down.
    moment
        The event in a list of them.
    holds
        What carries the load of it.
    done
        That it has happened: "its parachute is out".
    """

    comes: str
    stays: str
    tears: str
    under: str
    moment: str
    holds: str
    done: str


def _cloth(name: str) -> Descent:
    return Descent(f"the {name} comes out", f"the {name} stays in", f"the {name} tears", f"under the {name}",
                   f"{name} out", f"the lines of the {name}", f"its {name} is out")  # fmt: skip


_DESCENTS = {
    "parachute": _cloth("parachute"), "streamer": _cloth("streamer"),
    "rotor": Descent("the rotor opens", "the rotor stays folded", "the rotor breaks off", "under the rotor",
                     "rotor open", "the roots of the rotor's blades", "its rotor is open"),
    "two parts": Descent("the rocket comes apart", "the rocket stays in one piece", "the cord between its parts breaks",
                         "in two parts", "in two parts", "the cord between the parts", "it is in two parts"),
    "tumble": Descent("the ballast shifts", "the ballast stays ahead", "the ballast breaks loose", "tumbling",
                      "ballast shifted", "what stops the ballast", "its ballast has shifted"),
}  # fmt: skip


def descent_of(recovery: Recovery) -> Descent:
    """Return the words for what a design has to slow its fall; it must have something."""
    return _DESCENTS[recovery.kind]


def sentence(words: str) -> str:
    """Return words with a capital at their start."""
    return words[:1].upper() + words[1:]


def while_driven(recovery: Recovery) -> str:
    """Say what becomes of a rocket that is let out during the push."""
    off = "it tears off, and " if recovery.kind in ("parachute", "streamer") else ""
    return f"{sentence(descent_of(recovery).comes)} while the rocket is still driven: {off}the rocket turns anywhere"


def without_cloth(recovery: Recovery, nose_length: float) -> Recovery:
    """Fill in a rotor, two parts or a rocket that tumbles."""
    row = tables.canopy("rotor" if recovery.kind == "rotor" else "tumble")
    place = Quantity(0.7 * nose_length, 0.1 * nose_length, Basis.ASSUMED, "in the rear half of the nose")
    values: dict[str, object] = {
        "drag_coefficient": row["drag_coefficient"], "filling": row["filling"], "lines": row.words["lines"],
        "delay": tables.default("recovery.delay", D.TIME),
    }  # fmt: skip
    if recovery.kind == "rotor":
        values["position"] = place
    elif recovery.kind == "two parts":
        cord = {"cord_length": D.LENGTH, "cord_strength": D.FORCE, "cord_stiffness": D.STIFFNESS}
        values |= {name: tables.default(f"recovery.{name}", dimension) for name, dimension in cord.items()}
        values |= {"position": place, "mass": tables.default("rule.cord_mass", D.MASS)}
    else:
        values["shift"] = tables.default("recovery.shift", D.LENGTH)
    return recovery.model_copy(update={key: to for key, to in values.items() if getattr(recovery, key) is None})


def descent_lacking(design: "Design") -> list[Problem]:
    """List what a way down without cloth has no default for."""
    recovery = design.recovery
    if recovery.kind == "rotor":
        return [Problem(f"recovery.{key}", f"is missing: a rotor needs its {key}", f'such as {key} = "{such}"')
                for key, such in (("diameter", "600 mm"), ("mass", "25 g")) if getattr(recovery, key) is None]
    if recovery.kind not in ("two parts", "tumble"):
        return []
    problems = []
    if recovery.mechanism is None:
        what = "lets two parts go" if recovery.kind == "two parts" else "lets the ballast go"
        problems.append(Problem("recovery.mechanism", f"is missing: what {what}",
                                'add [recovery.mechanism] with way = "latch" and trip = "servo timer", or the like'))
    if recovery.kind == "two parts":
        if design.nose is None or design.nose.shape == "bottle":
            problems.append(Problem("recovery.kind", 'is "two parts", and this rocket has no nose to part from',
                                    "describe it in [nose], or choose another way down"))
        return problems
    names = [one.name for one in design.mass]
    right = f'such as ballast = "{names[0]}"' if names else "add the ballast as a [[mass]], and name it"
    if recovery.ballast is None:
        problems.append(Problem("recovery.ballast", "is missing: a rocket tumbles when ballast shifts aft", right))
    elif recovery.ballast not in names:
        said = f'is "{recovery.ballast}", and no [[mass]] has that name'
        problems.append(Problem("recovery.ballast", said, right))
    return problems
