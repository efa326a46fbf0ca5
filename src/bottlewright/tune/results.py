"""What Tune hands to programs and readers: one document in SI units, and words."""

import math
from typing import Any

from bottlewright.design.document import Design
from bottlewright.tune.advice import Advice, Spread
from bottlewright.tune.summary_text import explanation, findings_of

__all__ = ["advice_document", "advice_words"]


_WORTH_IN = {
    "height": "m that the wanted share of flights passes",
    "hang time": "s that the wanted share of flights passes",
    "least pressure": "bar gauge, negative",
    "nearest height": "m off the wanted height that the wanted share of flights keeps to, negative",
}


def advice_document(design: Design, advice: Advice) -> dict[str, Any]:
    """Return the advice as one document."""
    aim = advice.aim
    return {
        "name": design.name,
        "aim": aim.name,
        "wanted_height_m": aim.wanted if math.isfinite(aim.wanted) else None,
        "reach": aim.reach,
        "seed": design.tune.seed,
        "flights_flown": advice.flown,
        "most_pressure_Pa": advice.ceiling.pressure,
        "most_pressure_basis": advice.ceiling.basis,
        "variables": [
            {"name": variable.name, "path": variable.path, "low_SI": variable.low, "high_SI": variable.high,
             "present_SI": float(before), "recommended_SI": float(value)}
            for variable, before, value in zip(advice.variables, advice.present, advice.point, strict=True)
        ],
        "worth_in": _WORTH_IN[aim.name],
        "worth": advice.worth,
        "present_worth": advice.present_worth,
        "gain": dict(zip(("mean", "low", "high"), advice.gain, strict=True)),
        "apogee_m": _spread(advice.height),
        "present_apogee_m": _spread(advice.present_height),
        "flight_time_s": _spread(advice.hang),
        "present_flight_time_s": _spread(advice.present_hang),
        "inside_limits_by": advice.slacks,
        "present_inside_limits_by": advice.present_slacks,
        "held_back_by": advice.holding,
        "payload_feels_m_s2": _spread(advice.felt),
        "limits_no_load_meets": advice.unmet,
        "out_of_reach": [
            {"limit": one.held.says, "nearest": one.nearest, "at": one.at, "would_reach_it": one.cure or None}
            for one in advice.out_of_reach
        ],
        "a_fifth_less_and_more": {name: [step.change for step in pair] for name, pair in advice.steps.items()},
        "a_fifth_less_and_more_passes": {name: [step.past for step in pair] for name, pair in advice.steps.items()},
        "map": {
            "water_m3": advice.map.water, "pressure_Pa": advice.map.pressure, "worth": advice.map.worth,
            "height_m": advice.map.height, "inside_limits_by": advice.map.slacks,
        },
        "front": [
            {"pressure_Pa": point.pressure, "height_m": point.height, "water_m3": point.water} for point in advice.front
        ],
        "sources_of_spread": [
            {"path": source.path, "first": source.first, "total": source.total, "low": source.low, "high": source.high}
            for source in advice.sources.sources
        ],
        "other_sources": advice.sources.others,
        "explanation": explanation(advice, design),
        "findings": [finding.as_json() for finding in findings_of(advice)],
    }  # fmt: skip


def _spread(spread: Spread) -> dict[str, float]:
    return {"one_in_ten_under": spread.low, "middle": spread.middle, "one_in_ten_over": spread.high}


def advice_words(design: Design, advice: Advice) -> list[str]:
    """Return the answer as paragraphs for a terminal."""
    return [f"{design.name}: what to load", *explanation(advice, design)]
