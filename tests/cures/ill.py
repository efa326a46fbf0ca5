"""Designs with something wrong, for which a cure is known: the five that this work began with, and others."""

import re
from pathlib import Path

from bottlewright.design import Design, complete, parse_design

__all__ = ["DABCHICK", "EXAMPLES", "FIVE", "curlew", "read"]

EXAMPLES = Path(__file__).parents[2] / "examples"
CURLEW = (EXAMPLES / "curlew" / "rocket.toml").read_text(encoding="utf-8")
DABCHICK = (EXAMPLES / "dabchick" / "rocket.toml").read_text(encoding="utf-8")
UNTESTED = re.sub(r"\[\[vessel\.proof\]\].*?\n\n", "", CURLEW, count=1, flags=re.S)

TURNS_OVER = """\
[vessel]
bottle = "{bottle}"
[nose]
shape = "{nose}"
[fins]
count = 3
material = "balsa"
[charge]
pressure = "2 bar"
"""
"""A rocket as `begin` once wrote it: with fins whose sizes nobody worked out."""


def curlew(*sets: str) -> Design:
    return read(CURLEW, *sets)


def read(text: str, *sets: str) -> Design:
    return complete(parse_design(text, sets))


FIVE = {
    "12 bar in an untested bottle": (DABCHICK, ("charge.pressure=12 bar",)),
    "9 bar in an untested bottle": (UNTESTED, ("charge.pressure=9 bar",)),
    "kept in a hot car, and sanded": (
        CURLEW, ("vessel.storage=hot car", 'vessel.surface=["sanded"]', "charge.pressure=4.84 bar")),
    "12 years old, with a test of 2014": (
        CURLEW, ("vessel.age=12 years", "vessel.proof.0.date=2014-05-09", "vessel.proof.0.pressure=9.3 bar",
                 "charge.pressure=6.21 bar")),
    "the crew two steps away": (DABCHICK, ("launcher.crew.operator=2 m", "launcher.crew.pumper=2 m")),
    "turns over, half a litre": (TURNS_OVER.format(bottle="carbonated-500", nose="ogive"), ()),
    "turns over, a litre and a half": (TURNS_OVER.format(bottle="carbonated-1500", nose="cone"), ()),
    "turns over, three litres": (TURNS_OVER.format(bottle="carbonated-3000", nose="bottle"), ()),
}  # fmt: skip
