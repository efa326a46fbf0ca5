"""Mass, centre of mass and way along the aim of a rocket with what it holds."""

from bottlewright.flight.state import Record
from bottlewright.physics import FloatArray, inline_jit, jit

__all__ = ["balance", "travel"]


@inline_jit
def balance(
    vehicle: Record, water_mass: float, water_centre: float, water_moment: float, gas_mass: float
) -> tuple[float, float, float]:
    """Total mass, centre of mass (m from the nose tip) and transverse moment about it.

    Parameters
    ----------
    vehicle
        Prepared vehicle.
    water_mass, water_centre, water_moment
        kg; height of its centre above the exit plane, m; its transverse moment about the exit plane, kg m².
    gas_mass
        kg, taken at the centre of the vessel.
    """
    mass = vehicle.dry_mass + water_mass + gas_mass
    water_x = vehicle.length - water_centre
    centre = (
        vehicle.dry_mass * vehicle.dry_centre + water_mass * water_x + gas_mass * vehicle.vessel_centre
    ) / mass
    own = water_moment - water_mass * water_centre * water_centre
    moment = (
        vehicle.dry_transverse
        + vehicle.dry_mass * (vehicle.dry_centre - centre) ** 2
        + own
        + water_mass * (water_x - centre) ** 2
        + gas_mass * (vehicle.vessel_centre - centre) ** 2
    )
    return mass, centre, moment


@jit
def travel(y: FloatArray, vehicle: Record) -> float:
    """Way along the launch direction since the start, m."""
    return float(y[0] * vehicle.aim_e + y[1] * vehicle.aim_n + y[2] * vehicle.aim_u)
