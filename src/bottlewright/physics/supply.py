"""Air that follows a rocket through its seal: a hose that empties into the bottle through its narrowest passage.

The hose is a rigid vessel without inflow and without heat from its wall. What leaves carries its enthalpy, so what
stays expands on its own isentrope: d(m c_v T) = c_p T dm gives T ∝ m^(γ−1) and p ∝ m^γ. The passage is a converging
opening (`bottlewright.physics.gas.nozzle_flow`), choked or not.
"""

import math

from bottlewright.physics import jit
from bottlewright.physics.gas import nozzle_flow
from bottlewright.physics.water import R_DRY

__all__ = ["HOSE", "INFINITE", "NONE", "hose_flow"]

NONE, HOSE, INFINITE = 0, 1, 2
"""What stands behind the seal: nothing, the air in the hose, or a line that holds the pressure whatever leaves it."""

_SMOOTH = 1e-9
"""Relative excess under which the flow is taken as in proportion to it: its root has no slope at nothing."""


@jit
def hose_flow(
    pressure: float, start_pressure: float, start_temperature: float, left: float, gamma: float, area: float
) -> tuple[float, float]:
    """Return the mass flow out of the hose, kg/s, and its temperature there, K.

    Parameters
    ----------
    pressure
        In the bottle, Pa absolute.
    start_pressure, start_temperature
        In the hose at the start, Pa absolute and K.
    left
        Mass in the hose over that at the start.
    gamma
        Exponent of the gas in the hose.
    area
        Effective area of the passage, coefficient × area, m².
    """
    gain = left ** (gamma - 1.0)
    temperature = start_temperature * gain
    excess = start_pressure * left * gain / pressure - 1.0
    if excess <= 0.0 or left <= 0.0:
        return 0.0, temperature
    flow, _ = nozzle_flow(excess / math.sqrt(excess + _SMOOTH), pressure, temperature, R_DRY, gamma, area)
    return flow, temperature
