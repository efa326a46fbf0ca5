"""One flight or one static firing of a design, with everything worth keeping of it."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bottlewright.design.document import Design
from bottlewright.design.errors import DesignError, Problem
from bottlewright.flight.advance import ROW
from bottlewright.flight.ahead import compile_ahead
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.outputs import COLUMNS, fill_outputs
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.state import Endings
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare, room_for_air

__all__ = ["ENDINGS", "Flight", "fire", "fly", "fly_parameters", "refuse_unflyable"]

ENDINGS = {
    Endings.landed: "landed",
    Endings.never_left: "never left the launcher: the thrust did not lift the rocket off its guide",
    Endings.cut_off: "cut off: not over at the time limit (model.time_limit)",
    Endings.fired: "fired on the stand",
    Endings.too_many_steps: "cut off: the computation took too many steps",
    Endings.not_finite: "cut off: the computation left the range of numbers",
    Endings.stuck: "does not leave its seal: the pressure pushes less than the rocket weighs",
    Endings.refused: "refused: the vessel, the charge or the masses make no rocket",
}
"""How a flight ended, in words."""

_STRAIGHT_PIPE = "cut off: the quasi-steady jet has no answer for a nozzle this wide under this little mass"
"""The share of the head that the jet's own push gives back reaches one (`physics.water_jet.steady_jet_free`)."""

_NO_ROOM = "leaves no room for air: with what stands in the neck (launch tube or plug) it fills the vessel"

_START_ROWS = 4096


@dataclass(frozen=True, slots=True)
class Flight:
    """One computed flight or firing.

    Attributes
    ----------
    summary
        Key figures by name, SI with the unit in the name; NaN where an event never came.
    ending
        How it ended, in words.
    complete
        Whether it ended by itself: landed, or fired to the end.
    series
        Columns of `bottlewright.flight.outputs.COLUMNS` against time, empty unless asked for.
    vehicle
        The prepared vehicle after the flight: one record of `bottlewright.flight.vehicle.VEHICLE`.
    """

    summary: dict[str, float]
    ending: str
    complete: bool
    series: dict[str, NDArray[np.float64]]
    vehicle: Any


def fly_parameters(parameters: Any, *, held: bool = False, series: bool = False) -> Flight:
    """Fly one record of parameters.

    Parameters
    ----------
    parameters
        One record of `bottlewright.flight.parameters.PARAMETERS`.
    held
        Fire on the stand instead of flying.
    series
        Keep the states along the way.
    """
    compile_ahead()
    vehicle, work, note = np.zeros(1, VEHICLE), np.zeros(1, WORK), np.zeros(1, SUMMARY)
    rows = np.empty((_START_ROWS if series else 0, ROW))
    wanted = _once(parameters, vehicle, note, work, rows, held)
    if wanted > rows.shape[0] and series:
        rows = np.empty((wanted, ROW))
        _once(parameters, vehicle, note, work, rows, held)
    table = np.full((wanted if series else 0, len(COLUMNS)), math.nan)
    if series:
        fill_outputs(rows, wanted, vehicle[0], work[0], table)
    record, ending = note[0], ENDINGS[int(note[0]["ending"])]
    if int(record["ending"]) == Endings.not_finite and vehicle[0]["steady_jet"]:
        ending = _STRAIGHT_PIPE
    return Flight(
        summary={name: float(record[name]) for name in SUMMARY.names or () if name not in ("ending", "steps")},
        ending=ending,
        complete=int(record["ending"]) in (Endings.landed, Endings.fired),
        series={name: table[:, i] for i, name in enumerate(COLUMNS)} if series else {},
        vehicle=vehicle[0],
    )


def _once(parameters: Any, vehicle: Any, note: Any, work: Any, rows: Any, held: bool) -> int:
    for name in SUMMARY.names or ():
        note[name] = math.nan if SUMMARY[name] == np.float64 else 0
    if not prepare(parameters, held, vehicle[0]):
        note["ending"] = Endings.refused
        return 0
    return int(integrate_flight(vehicle[0], note[0], work[0], rows))


def fly(design: Design, *, series: bool = False) -> Flight:
    """Fly a completed design from release to ground.

    Raises
    ------
    DesignError
        When the design makes no rocket, with the reason.
    """
    flight = fly_parameters(parameters_of(design)[0], series=series)
    refuse_unflyable(flight)
    return flight


def fire(design: Design, *, series: bool = True) -> Flight:
    """Fire a completed design on a thrust stand tilted by ``stand.tilt`` (0 is nozzle straight down).

    Raises
    ------
    DesignError
        When the design makes no rocket, with the reason.
    """
    flight = fly_parameters(parameters_of(design)[0], held=True, series=series)
    refuse_unflyable(flight)
    return flight


def refuse_unflyable(flight: Flight) -> None:
    """Raise a builder's error for a flight that could not be started, or has no answer."""
    if flight.ending == _STRAIGHT_PIPE:
        raise DesignError([Problem("model.jet", flight.ending, 'take "unsteady"')])
    vehicle = flight.vehicle
    if flight.ending == ENDINGS[Endings.refused] and vehicle["rest_volume"] > 0.0 and not room_for_air(vehicle) > 0.0:
        raise DesignError([Problem("charge.water", _NO_ROOM, "take less water, or a shorter tube or plug")])
    if flight.ending in (ENDINGS[Endings.refused], ENDINGS[Endings.not_finite]):
        raise DesignError([Problem("vessel", flight.ending, "check volume, diameter, neck_bore, water and masses")])
