"""A flight with its raw states, three inside every step and one at its end, and what the ledgers need of them."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bottlewright.flight.advance import ROW, SUB_ROWS
from bottlewright.flight.charge import gas_now, push
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.state import STATE
from bottlewright.flight.summary import SUMMARY
from bottlewright.flight.vehicle import VEHICLE, WORK, prepare


class Recorded(NamedTuple):
    """Vehicle after the flight, its summary, and the rows: time, phase, guided, state."""

    vehicle: Any
    note: Any
    time: NDArray[np.float64]
    phase: NDArray[np.int64]
    guided: NDArray[np.bool_]
    state: NDArray[np.float64]


def record(parameters: Any, held: bool = False) -> Recorded:
    """Fly one plan and keep every row; nothing but the refusal is returned for one that makes no rocket."""
    vehicle, work, note = np.zeros(1, VEHICLE), np.zeros(1, WORK), np.zeros(1, SUMMARY)
    for name in SUMMARY.names or ():
        note[name] = np.nan if SUMMARY[name] == np.float64 else 0
    assert prepare(parameters, held, vehicle[0])
    rows = np.empty((300_000, ROW))
    count = integrate_flight(vehicle[0], note[0], work[0], rows)
    assert count <= len(rows)
    rows = rows[:count]
    return Recorded(vehicle[0], note[0], rows[:, 0], rows[:, 1].astype(int), rows[:, 2] != 0.0, rows[:, 3:])


def steps(flight: Recorded, phase: int) -> NDArray[np.int64]:
    """Row numbers (n, 4) of the steps within a phase: start, two between, end.

    The row before a phase's first step still belongs to the phase before; there the row of a third of the step stands
    in its place.
    """
    starts = np.arange(0, len(flight.time) - SUB_ROWS, SUB_ROWS)
    rows = starts[:, None] + np.arange(SUB_ROWS + 1)
    rows = rows[(flight.phase[rows[:, 1:]] == phase).all(axis=1)]
    before = flight.phase[rows[:, 0]] != phase
    rows[before, 0] = rows[before, 1]
    return rows


def summed(flight: Recorded, rows: NDArray[np.int64], values: NDArray[np.float64]) -> float:
    """Integral of values given at the rows (n, 4): Simpson's three-eighths rule, or 3/4, 1/4 without the start."""
    open_start = rows[:, 0] == rows[:, 1]
    h = flight.time[rows[:, 3]] - flight.time[rows[:, 1] - 1]
    weights = np.where(open_start[:, None], [0.0, 0.75, 0.0, 0.25], [0.125, 0.375, 0.375, 0.125])
    return float((h[:, None] * weights * values).sum())


def charge(flight: Recorded, row: int) -> tuple[float, float, float, float]:
    """Pressure, temperature, gas mass and water volume at a row."""
    return gas_now(flight.phase[row], flight.state[row], flight.vehicle)


def pushed(flight: Recorded, row: int, other: float) -> tuple[float, ...]:
    """Axial specific force, thrust, mass, centre, moment, outflow, height drawn from, at a row."""
    phase, time, state = flight.phase[row], flight.time[row], flight.state[row]
    return push(phase, time, state, flight.vehicle, other, np.nan, 0.0, np.empty(STATE))
