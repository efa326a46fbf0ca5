"""A commented design file from a few answers, to go on from."""

import json
from dataclasses import dataclass

__all__ = ["Answers", "new_design"]


@dataclass(frozen=True, slots=True)
class Answers:
    """What `begin` asks; texts as they will stand in the file, empty where there is none."""

    name: str
    bottle: str
    pressure: str
    water: str = ""
    bore: str = ""
    nose: str = "ogive"
    fins: int = 3
    parachute: str = ""


def new_design(answers: Answers) -> str:
    """Return the text of a design file; it is for the caller to check it with `parse_design`."""
    blocks = [
        f"""\
# A water rocket for bottlewright. Every value has its unit; after ± comes how far it may be off (one standard
# deviation), such as "152 g ± 2 g". A line that starts with # is a comment: take the # away to use it.
# What you leave out is filled in from tables, and the results say what they rest on. What you measure wins.

schema = 1
name = {_text(answers.name)}

[vessel]
{_line("bottle", answers.bottle, "a generic bottle; weigh and measure your own:")}
# volume = "1555 mL ± 3 mL"         # brim-full: weigh it empty and full of water
# diameter = "91 mm ± 0.5 mm"       # a tape round it, divided by 3.1416
# empty_mass = "40 g ± 1 g"         # without cap and label
# neck_bore = "21.74 mm ± 0.1 mm"
# cycles = 0                        # how often it was under pressure so far
""",
        _nozzle(answers.bore),
        _nose(answers.nose),
        _fins(answers.fins),
        _recovery(answers.parachute),
        """\
# Ballast, tape, altimeter, egg: one block for each. Position from the nose tip.
# [[mass]]
# name = "clay in the nose"
# mass = "20 g ± 1 g"
# position = "40 mm"

[measured]                          # the scale and a string beat every estimate
# dry_mass = "160 g ± 1 g"          # ready to fly, without water
# balance_point = "230 mm ± 3 mm"   # from the nose tip, without water
""",
        f"""\
[charge]
{_water(answers.water)}
{_line("pressure", answers.pressure, "on the gauge; find out what your bottle is rated to, and by which test")}
""",
        """\
[launcher]
# guide_length = "600 mm"           # how far the rod or rail leads the rocket
# tilt = "5 deg"                    # from the vertical
# leans_towards = "0 deg"           # which way it leans, clockwise from north

[weather]
# temperature = "15 °C"
# wind_speed = "3 m/s ± 1 m/s"
# wind_from = "270 deg"             # where it comes from, clockwise from north
# wind_height = "2 m"               # where you measured it
""",
    ]
    return "\n".join(blocks)


def _text(value: str) -> str:
    """Quote a text for TOML: JSON's escapes are TOML's, and the one control character JSON leaves is dropped."""
    return json.dumps(value.replace("\x7f", ""), ensure_ascii=False)


def _line(key: str, value: str, comment: str) -> str:
    return f"{f'{key} = {_text(value)}':<35} # {comment}"


def _nozzle(bore: str) -> str:
    if bore:
        shape = _line("shape", "rounded", "or square-edged, tube, cone, re-entrant")
        return f"[nozzle]\nbore = {_text(bore)}\n{shape}\n"
    return """\
[nozzle]                            # the bare neck
# bore = "9 mm ± 0.1 mm"            # for a nozzle in the neck
"""


def _nose(shape: str) -> str:
    if shape == "bottle":
        return """\
# [nose]                            # left out: the bottle's own base leads
# shape = "ogive"
"""
    return f"""\
[nose]
{_line("shape", shape, "ogive, cone, paraboloid, ellipsoid, hemisphere, flat, bottle")}
# length = "140 mm"
material = "expanded-polystyrene"   # solid; give wall = "0.4 mm" for a hollow one of card
# mass = "12 g ± 1 g"               # when you have weighed it
"""


def _fins(count: int) -> str:
    sizes = """\
# root = "90 mm"                    # along the body
# tip = "55 mm"
# span = "70 mm"                    # outwards
# sweep = "35 mm"                   # how far the tip's front lies behind the root's
# position = "230 mm"               # front of the root from the nose tip
"""
    if count <= 0:
        return f"""\
# [fins]                            # left out: it will tumble unless something else steadies it
# count = 3
{sizes}"""
    return f"""\
[fins]
count = {count}
material = "balsa"                  # or plywood, card, corrugated-plastic ...
{sizes}"""


def _recovery(parachute: str) -> str:
    if not parachute:
        return """\
[recovery]
kind = "none"                       # or "parachute", "streamer"; without one it comes down hard
# diameter = "450 mm"
"""
    return f"""\
[recovery]
kind = "parachute"
canopy = "hexagon"                  # or octagon, round, square, cross, hemisphere
{_line("diameter", parachute, "flat to flat")}
release = "apogee"                  # or "delay", "never"
"""


def _water(water: str) -> str:
    return f"water = {_text(water)}" if water else f"# {_line('water', '500 mL', 'left out: a third of the vessel')}"
