"""A flap that the air holds shut: its opening airspeed from its sizes, or its area from the airspeed that is wanted.

On its hinge the air's C_n q A l stands against the band's F_b l_b, so it opens below q = F_b l_b/(C_n A l).
docs/physics/recovery.md §3.
"""

import math

from bottlewright.design import tables
from bottlewright.design.errors import Problem
from bottlewright.design.mechanism import Mechanism
from bottlewright.quantities import Basis, Dimension, Quantity, value_of

__all__ = ["FLAP_SIZES", "flap_airspeed", "flap_lacking", "with_flap"]

D = Dimension
FLAP_SIZES = {
    "flap_area": D.AREA, "flap_arm": D.LENGTH, "flap_band": D.FORCE, "flap_band_arm": D.LENGTH,
}  # fmt: skip
"""The sizes that the opening airspeed follows from, all of them or none."""


def with_flap(mechanism: Mechanism, density: float) -> Mechanism:
    """Return a mechanism whose flap has all its sizes, and the airspeed that it opens at.

    The builder's airspeed counts where there is one. Without it, it follows from the sizes where they are given;
    otherwise it is the default, and the area that it wants is worked out.

    Parameters
    ----------
    density
        Of the air at the launcher, kg/m³.
    """
    if mechanism.way != "air flap":
        return mechanism
    sized = all(getattr(mechanism, name) is not None for name in FLAP_SIZES)
    names = ("flap_arm", "flap_band", "flap_band_arm", "flap_normal")
    dimensions = {**FLAP_SIZES, "flap_normal": D.NUMBER}
    update = {name: tables.default(f"recovery.mechanism.{name}", dimensions[name])
              for name in names if getattr(mechanism, name) is None}  # fmt: skip
    mechanism = mechanism.model_copy(update=update)
    if mechanism.airspeed is None:
        own = flap_airspeed(mechanism, density) if sized else None
        mechanism = mechanism.model_copy(
            update={"airspeed": own or tables.default("recovery.mechanism.airspeed", D.SPEED)})  # fmt: skip
    if mechanism.flap_area is None:
        mechanism = mechanism.model_copy(update={"flap_area": _area(mechanism, density)})
    return mechanism


def flap_airspeed(mechanism: Mechanism, density: float) -> Quantity | None:
    """Return the airspeed, m/s, under which the sizes of a flap let it open: √(2 F_b l_b/(ρ C_n A l)); None if unsized.

    A product of powers: the relative ± add up as squares, and the root halves them.
    """
    sizes = [getattr(mechanism, name) for name in (*FLAP_SIZES, "flap_normal")]
    if any(size is None for size in sizes):
        return None
    area, arm, band, band_arm, normal = (value_of(size) for size in sizes)
    speed = math.sqrt(2.0 * band * band_arm / (density * normal * area * arm))
    share = 0.5 * math.hypot(*(size.spread / size.value for size in sizes))
    return Quantity(speed, share * speed, Basis.ASSUMED, "from the sizes of the flap and the pull of its band")


def _area(mechanism: Mechanism, density: float) -> Quantity:
    pressure = 0.5 * density * value_of(mechanism.airspeed) ** 2
    turning = value_of(mechanism.flap_band) * value_of(mechanism.flap_band_arm)
    area = turning / (value_of(mechanism.flap_normal) * pressure * value_of(mechanism.flap_arm))
    said = "what opens at that airspeed, with this band; the ± is that of cutting"
    return Quantity(area, 0.05 * area, Basis.ASSUMED, said)


def flap_lacking(mechanism: Mechanism, path: str) -> list[Problem]:
    """List the sizes of a flap that are missing beside others, where nobody gave its airspeed."""
    missing = [name for name in FLAP_SIZES if getattr(mechanism, name) is None]
    if mechanism.way != "air flap" or mechanism.airspeed is not None or len(missing) in (0, len(FLAP_SIZES)):
        return []
    such = {"flap_area": "5.3 cm²", "flap_arm": "40 mm", "flap_band": "0.1 N", "flap_band_arm": "10 mm"}
    return [Problem(f"{path}.{name}", "is missing: its airspeed follows from all four sizes of a flap, or from none",
                    f'such as {name} = "{such[name]}", or give airspeed') for name in missing]  # fmt: skip
