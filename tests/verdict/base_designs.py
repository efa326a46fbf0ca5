"""The designs that a verdict is asked about: two plain good rockets written here, and the two examples.

Everything that a careful builder knows is written into them, so that whatever a verdict says of a changed one comes
from the change. The day of the launch stands in them, so that a test of last week stays a test of last week.
"""

import copy
import datetime as dt
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit

from bottlewright.design import Design, complete, parse_design

__all__ = ["EXAMPLES", "FOLDERS", "GONE", "LAUNCH_DAY", "changed_text", "days_before", "design_of", "raw_tables"]

GONE = None
"""Stands for a key that the builder did not write: what is unsaid."""

EXAMPLES = Path(__file__).parents[2] / "examples"


LAUNCH_DAY = dt.date(2027, 4, 10)


def days_before(days: int) -> str:
    """Return a day so many days before the launch, as the design file has it; after it for a negative number."""
    return (LAUNCH_DAY - dt.timedelta(days=days)).isoformat()


_LITRE_AND_A_HALF = f"""
schema = 1
name = "Plain rocket"
[vessel]
bottle = "carbonated-1500"
volume = "1555 mL ± 4 mL"
diameter = "91 mm ± 0.3 mm"
wall = "0.3 mm ± 0.02 mm"
empty_mass = "40 g ± 0.5 g"
cycles = 2
age = "30 day"
storage = "cool"
[[vessel.proof]]
pressure = "7.5 bar"
hold = "60 s"
medium = "water"
passed = true
date = "{days_before(10)}"
diameter_before = "91 mm ± 0.1 mm"
diameter_after = "91.1 mm ± 0.1 mm"
[nozzle]
bore = "9 mm ± 0.05 mm"
length = "6 mm ± 0.2 mm"
shape = "rounded"
mass = "9.4 g ± 0.2 g"
[nose]
shape = "ogive"
length = "240 mm ± 1 mm"
material = "expanded-polystyrene"
mass = "15 g ± 0.5 g"
[fins]
count = 3
root = "140 mm"
tip = "90 mm"
span = "150 mm"
sweep = "170 mm"
position = "395 mm"
thickness = "2 mm"
edge = "round"
material = "balsa"
[sleeve]
length = "240 mm"
thickness = "0.25 mm"
material = "card"
position = "298 mm"
[[mass]]
name = "clay in the tip"
material = "modelling-clay"
mass = "60 g ± 0.5 g"
position = "40 mm"
[recovery]
kind = "parachute"
canopy = "hexagon"
diameter = "520 mm"
material = "polyethylene-film"
lines = 6
line_length = "550 mm"
mass = "12 g"
position = "150 mm"
release = "apogee"
delay = "0.3 s ± 0.2 s"
[charge]
water = "400 mL"
pressure = "3.3 bar ± 0.05 bar"
temperature = "15 °C"
day = "{LAUNCH_DAY}"
[launcher]
guide_length = "1.5 m"
tilt = "5 deg ± 1 deg"
leans_towards = "60 deg"
seal_diameter = "13 mm"
[launcher.release]
kind = "collar"
spring = "14 N"
guided_length = "16 mm"
pull_radius = "19 mm"
[launcher.cord]
length = "30 m"
count = 2
diameter = "3 mm"
strength = "600 N"
turn = "90 deg"
height = "80 mm"
[launcher.hose]
length = "30 m"
bore = "6 mm"
outer = "12 mm"
rating = "20 bar"
loop_height = "600 mm"
check_valve = true
[launcher.valve]
kind = "clamp-in"
rating = "14 bar"
[launcher.clamp]
kind = "worm"
rating = "16 bar"
[launcher.coupling]
rating = "16 bar"
diameter = "24 mm"
[launcher.gauge]
range = "6 bar"
accuracy = "1 %"
[launcher.frame]
kind = "boards"
mass = "6 kg"
width = "600 mm"
depth = "600 mm"
height = "120 mm"
board_width = "90 mm"
board_thickness = "20 mm"
[launcher.stakes]
count = 4
length = "250 mm"
diameter = "6 mm"
ground = "firm soil"
[launcher.pump]
bore = "30 mm"
stroke = "450 mm"
clearance = "12 mL"
rating = "11 bar"
cadence = "25 1/min"
[launcher.crew]
operator = "30 m"
pumper = "30 m"
spectators = "160 m"
eye_protection = true
puller = "adult"
remote_vent = true
[site]
name = "Larkrise Common"
latitude = "52 deg"
height = "85 m"
rectangle = {{ length = "500 m", width = "500 m" }}
launch_point = ["0 m", "0 m"]
[weather]
temperature = "15 °C"
pressure = "1010 hPa"
humidity = "65 %"
wind_speed = "1.5 m/s ± 0.4 m/s"
wind_from = "240 deg"
wind_height = "2 m"
terrain = "grass"
[workshop]
children_per_adult = 8
"""

_TWO_LITRES = f"""
schema = 1
name = "Plain rocket in inches"
[vessel]
bottle = "carbonated-2000"
volume = "2070 mL ± 5 mL"
diameter = "4.25 in ± 0.01 in"
empty_mass = "1.66 oz ± 0.02 oz"
cycles = 1
age = "20 day"
storage = "cool"
[[vessel.proof]]
pressure = "110 psi"
hold = "60 s"
medium = "water"
passed = true
date = "{days_before(10)}"
[nozzle]
bore = "0.35 in"
length = "0.25 in"
shape = "rounded"
[nose]
shape = "ogive"
length = "10 in"
material = "expanded-polystyrene"
[fins]
count = 4
root = "5.5 in"
tip = "4 in"
span = "5 in"
sweep = "6 in"
position = "17 in"
thickness = "0.1 in"
material = "balsa"
[sleeve]
length = "9 in"
thickness = "0.012 in"
material = "card"
position = "14 in"
[[mass]]
name = "clay in the tip"
material = "modelling-clay"
mass = "3 oz"
position = "1.5 in"
[recovery]
kind = "parachute"
diameter = "22 in"
lines = 6
mass = "0.5 oz"
position = "6 in"
release = "apogee"
delay = "0.3 s"
[charge]
water = "600 mL"
pressure = "45 psi ± 0.5 psi"
temperature = "60 °F"
day = "{LAUNCH_DAY}"
[launcher]
guide_length = "5 ft"
tilt = "4 deg ± 1 deg"
leans_towards = "60 deg"
seal_diameter = "0.5 in"
[launcher.release]
kind = "collar"
spring = "3 lbf"
guided_length = "0.7 in"
pull_radius = "0.75 in"
[launcher.cord]
length = "100 ft"
count = 2
strength = "130 lbf"
turn = "90 deg"
height = "3 in"
[launcher.hose]
length = "100 ft"
bore = "0.25 in"
rating = "300 psi"
loop_height = "24 in"
check_valve = true
[launcher.valve]
kind = "clamp-in"
rating = "200 psi"
[launcher.clamp]
kind = "worm"
rating = "230 psi"
[launcher.coupling]
rating = "230 psi"
[launcher.gauge]
range = "100 psi"
accuracy = "1 %"
[launcher.frame]
kind = "boards"
mass = "13 lb"
width = "24 in"
depth = "24 in"
height = "5 in"
[launcher.stakes]
count = 4
length = "10 in"
diameter = "0.25 in"
[launcher.pump]
bore = "1.2 in"
stroke = "18 in"
clearance = "12 mL"
rating = "160 psi"
[launcher.crew]
operator = "100 ft"
pumper = "100 ft"
spectators = "500 ft"
eye_protection = true
remote_vent = true
[site]
name = "Larkrise Common"
rectangle = {{ length = "1600 ft", width = "1600 ft" }}
launch_point = ["0 m", "0 m"]
[weather]
temperature = "60 °F"
wind_speed = "3 mph ± 1 mph"
wind_from = "240 deg"
wind_height = "6 ft"
[workshop]
children_per_adult = 8
"""

_TEXTS = {
    "plain": _LITRE_AND_A_HALF,
    "inches": _TWO_LITRES,
    "curlew": (EXAMPLES / "curlew" / "rocket.toml").read_text(encoding="utf-8"),
    "dabchick": (EXAMPLES / "dabchick" / "rocket.toml").read_text(encoding="utf-8"),
}

FOLDERS = {"curlew": EXAMPLES / "curlew", "dabchick": EXAMPLES / "dabchick"}
"""Where the files lie that an example names."""


def raw_tables(base: str, changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return a base design as plain tables, with keys put in (`launcher.crew.pumper`), or taken out (`GONE`)."""
    tables = copy.deepcopy(tomllib.loads(_TEXTS[base]))
    for path, value in changes.items():
        *way, last = path.split(".")
        node: Any = tables
        for name in way:
            node = node[int(name)] if isinstance(node, list) else node.setdefault(name, {})
        if value is GONE:
            node.pop(last, None)
        elif isinstance(node, list):
            node[int(last)] = value
        else:
            node[last] = value
    return tables


def changed_text(base: str, changes: Mapping[str, Any]) -> str:
    """Return a base design with changes as the text of a design file."""
    return tomlkit.dumps(raw_tables(base, changes))


def design_of(base: str, changes: Mapping[str, Any]) -> Design:
    """Return a base design with changes, completed."""
    return complete(parse_design(changed_text(base, changes)))
