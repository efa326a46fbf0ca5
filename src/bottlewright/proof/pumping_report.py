"""Pumping a design: strokes, time, force, work, warmth, and what flows back into the hose."""

import math
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.launcher_parts import Hose, Pump
from bottlewright.design.shape import bottle_lengths
from bottlewright.proof import pump as filling
from bottlewright.proof.defaults import human_pull, taken
from bottlewright.proof.vessel import need

__all__ = ["PumpingReport", "pumping_report", "water_height"]

_INSIDE_TRANSFER = 20.0  # W/(m² K), air stirred by bubbles; texts give 5 to 25 for natural convection: our judgement
_LEAK_TIME = 60.0  # s
_LEAK_DROP = 0.1e5  # Pa in that time, allowed: our judgement, twice what a small gauge shows


@dataclass(frozen=True, slots=True)
class PumpingReport:
    """What pumping to the planned pressure takes. Pressures gauge, unless named otherwise."""

    described: bool
    compressor: bool  # goes on by itself: no strokes, no handle, and all the warmth of filling fast
    gas_volume_m3: float
    hose_volume_m3: float
    strokes: float
    time_s: float
    reachable_Pa: float
    handle_force_N: float
    handle_limit_N: float
    handle_limit_source: str
    work_isothermal_J: float
    work_adiabatic_J: float
    temperature_after_K: float
    warmed_by_K: float
    temperature_no_loss_K: float
    pressure_after_cooling_Pa: float
    cooling_time_s: float
    leak_allowed_Pa: float
    leak_test_time_s: float
    leak_m3_s: float
    water_height_m: float
    backflow_head_m: float
    backflow_shut_m3: float
    backflow_open_m3: float
    check_valve: bool
    loop_height_m: float


def water_height(design: Design) -> float:
    """Return the height of the water's surface above the nozzle of a completed design on the launcher, m.

    Neck and half-cosine shoulder counted as their mean cross-sections; good to a few millimetres.
    """
    vessel = design.vessel
    neck, shoulder, cylinder, base = bottle_lengths(vessel)
    throat, inner = 0.5 * need(vessel.neck_bore), 0.5 * need(vessel.diameter) - need(vessel.wall)
    step = inner - throat
    left, height = need(design.charge.water), 0.0
    for length, mean_square in (
        (neck, throat**2),
        (shoulder, throat**2 + throat * step + 0.375 * step**2),
        (cylinder, inner**2),
        (base, inner**2 * 2.0 / 3.0),
    ):
        holds = math.pi * mean_square * length
        if left <= holds:
            return height + (left / holds * length if holds > 0.0 else 0.0)
        left, height = left - holds, height + length
    return height


def pumping_report(design: Design) -> PumpingReport:
    """Work out the pumping of a completed design to its planned pressure, from ambient."""
    launcher = design.launcher
    pump, hose = launcher.pump or Pump(), launcher.hose or Hose()
    ambient, gauge = need(design.weather.pressure), need(design.charge.pressure)
    pressure, warm_air = ambient + gauge, need(design.weather.temperature)
    gas = max(need(design.vessel.volume) * design.vessel.count - need(design.charge.water), 0.0)
    hose_bore = taken(hose.bore, "hose.bore").value
    in_hose = 0.25 * math.pi * hose_bore**2 * (hose.length.value if hose.length else 0.0)
    bore, stroke = taken(pump.bore, "pump.bore").value, taken(pump.stroke, "pump.stroke").value
    swept, clearance = 0.25 * math.pi * bore**2 * stroke, taken(pump.clearance, "pump.clearance").value
    clearance = clearance if clearance > 1e-6 * swept else 0.0  # under a millionth it is none
    compressor = pump.kind == "compressor"
    count = 0.0 if compressor else filling.strokes(pressure, gas + in_hose, swept, clearance, ambient)
    seconds = count / taken(pump.cadence, "pump.cadence").value
    inner = need(design.vessel.diameter)
    area = 4.0 * gas / inner + 0.5 * math.pi * inner**2
    constant = filling.gas_time_constant(pressure, gas, warm_air, area, _INSIDE_TRANSFER) if gas > 0.0 else 1.0
    enters_wet = need(design.charge.water) > 0.0
    no_loss = (filling.bubbled_temperature if enters_wet else filling.squeezed_temperature)(pressure, ambient, warm_air)
    left = filling.warmth_left(seconds, constant) if math.isfinite(seconds) else 0.0
    after = warm_air + (no_loss - warm_air) * left
    child = launcher.crew is not None and launcher.crew.puller == "child"
    limit = human_pull("child's pump handle" if child else "pump handle")
    height = water_height(design)
    loop = hose.loop_height.value if hose.loop_height else 0.0
    head = 0.0 if hose.check_valve else max(height - loop, 0.0)
    return PumpingReport(
        described=launcher.pump is not None,
        compressor=compressor,
        gas_volume_m3=gas,
        hose_volume_m3=in_hose,
        strokes=count,
        time_s=seconds,
        reachable_Pa=math.inf if compressor else filling.reachable_pressure(swept, clearance, ambient) - ambient,
        handle_force_N=0.0 if compressor else filling.handle_force(gauge, bore),
        handle_limit_N=limit.value,
        handle_limit_source=limit.source,
        work_isothermal_J=filling.isothermal_work(pressure, gas + in_hose, ambient),
        work_adiabatic_J=filling.adiabatic_work(pressure, gas + in_hose, ambient),
        temperature_after_K=after,
        warmed_by_K=after - warm_air,
        temperature_no_loss_K=no_loss,
        pressure_after_cooling_Pa=filling.cooled_pressure(pressure, after, warm_air) - ambient,
        cooling_time_s=3.0 * constant,
        leak_allowed_Pa=_LEAK_DROP,
        leak_test_time_s=_LEAK_TIME,
        leak_m3_s=filling.leak_rate(_LEAK_DROP, gas + in_hose, _LEAK_TIME, ambient),
        water_height_m=height,
        backflow_head_m=head,
        backflow_shut_m3=filling.backflow_volume(head, in_hose, ambient, False),
        backflow_open_m3=filling.backflow_volume(head, in_hose, ambient, True),
        check_valve=hose.check_valve,
        loop_height_m=loop,
    )
