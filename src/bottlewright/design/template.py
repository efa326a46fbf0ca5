"""A commented design file from a few answers, to go on from: what is not known stands there behind a #.

Sizes that keep the nose in front stand open, worked out for the chosen bottle and nose. Those behind a # are the chosen
bottle's, so that each line shows about what will be measured. All values are in the units that the builder answers in.
"""

import json
import math
import re
from dataclasses import dataclass

from bottlewright.design.document import Design
from bottlewright.design.first_rocket import first_rocket, most_water
from bottlewright.design.paths import value_at
from bottlewright.design.steadying import dry_balance
from bottlewright.design.unit_habit import INCH_POUND, METRIC, UnitHabit, told_habit, unit_habit
from bottlewright.quantities import Dimension, parse_quantity, show, written_unit

__all__ = ["UNITS_BY_NAME", "Answers", "new_design"]

UNITS_BY_NAME = {"mm": METRIC, "inches": INCH_POUND}
"""What a builder calls the units that the file is to be written in."""


@dataclass(frozen=True, slots=True)
class Answers:
    """What `begin` asks; texts as they will stand in the file, empty where there is none.

    Parameters
    ----------
    parachute
        Its diameter, `NO_PARACHUTE`, or nothing for the size that lands it gently.
    round
        The way once round the bottle.
    age
        Time since the bottle was opened.
    cycles
        How often the bottle was under pressure so far.
    units
        A name of `UNITS_BY_NAME`, or nothing where the other answers tell.
    """

    name: str
    bottle: str
    pressure: str
    water: str = ""
    bore: str = ""
    nose: str = "ogive"
    fins: int = 3
    parachute: str = ""
    round: str = ""
    age: str = ""
    cycles: str = ""
    units: str = ""

    @property
    def habit(self) -> UnitHabit | None:
        """Which units the builder answers in; None where nothing tells."""
        return told_habit(self.pressure, (self.round, self.bore, self.parachute), UNITS_BY_NAME.get(self.units))


def new_design(answers: Answers) -> str:
    """Return the text of a design file; it is for the caller to check it with `parse_design`.

    Raises
    ------
    DesignError
        If no rocket can be made of the answers.
    """
    habit = answers.habit or METRIC
    sizes = first_rocket(_chosen(answers, habit), answers.fins, answers.parachute, habit)
    blocks = [
        _head(answers, habit), _vessel(answers, sizes), _nozzle(answers.bore, habit), _nose(answers.nose, sizes),
        _fins(sizes), _recovery(sizes), _weighed(sizes), _charge(answers, sizes),
        _launcher(sizes), *(_samples(text, habit) for text in (_SITE, _WEATHER)), _tune(sizes),
        _samples(_WORKSHOP, habit),
    ]  # fmt: skip
    return "\n".join(blocks)


_SAMPLES = {
    "152 g ± 2 g": "5.4 oz ± 0.1 oz", "9 mm ± 0.1 mm": "0.35 in ± 0.004 in", "0.4 mm": "0.016 in",
    "9 g ± 1 g": "0.3 oz ± 0.03 oz", "60 mm": "2 3/8 in", "15 °C ± 3 °C": "60 °F ± 5 °F",
    "13 mm": "1/2 in", "14 mm": "9/16 in", "14 N ± 2 N": "3.1 lbf ± 0.4 lbf", "15 m": "50 ft", "8 mm": "5/16 in",
    "20 bar": "300 psi", "10 bar": "150 psi", "30 mm": "1 3/16 in", "450 mm": "18 in", "4 kg": "9 lb",
    "85 m": "280 ft", "100 m": "330 ft", "60 m": "200 ft", "-50 m": "-165 ft", "50 m": "165 ft", "35 m": "115 ft",
    "15 °C": "60 °F", "3 m/s ± 1 m/s": "7 mph ± 2 mph", "2 m": "6.5 ft", "4 m/s": "9 mph", "7 m/s": "16 mph",
    "18 °C": "65 °F",
}  # fmt: skip
"""Values that only show what a line looks like, and about the same in round inch-pound numbers."""


def _samples(text: str, habit: UnitHabit) -> str:
    """Return a text with the samples in quotes in the builder's own units, its comments in their column."""

    def own(sample: re.Match[str]) -> str:
        metric = written_unit(sample[1])
        return f'"{_SAMPLES[sample[1]]}"' if habit.unit(metric) != metric else sample[0]

    changed = re.sub(r'"([^"\n]+)"', own, text)
    return re.sub(r"^(.*\S) {2,}# ", lambda line: f"{line[1]:<35} # ", changed, flags=re.MULTILINE)


def _chosen(answers: Answers, habit: UnitHabit) -> str:
    """Return the tables that the sizes of all others follow from."""
    nozzle = _nozzle(answers.bore, habit)
    water = f"water = {_text(answers.water)}\n" if answers.water else ""
    return f"""\
[vessel]
bottle = {_text(answers.bottle)}
{_diameter(answers.round, habit)}
{nozzle}[nose]
shape = {_text(answers.nose or "bottle")}
[charge]
pressure = {_text(answers.pressure)}
{water}"""


def _diameter(way_round: str, habit: UnitHabit) -> str:
    """Return the line of the diameter for a way round; a strip of paper and a ruler are good for 1.5 mm."""
    if not way_round:
        return ""
    around = parse_quantity(way_round, Dimension.LENGTH)
    across, spread = around.value / math.pi, (around.spread or 1.5e-3) / math.pi
    return f"diameter = {_text(show(across, habit.unit('mm'), 3, spread))}"


def _text(value: str) -> str:
    """Quote a text for TOML: JSON's escapes are TOML's."""
    return json.dumps(value, ensure_ascii=False)


def _line(key: str, value: str, comment: str = "", off: bool = False) -> str:
    line = f"{'# ' if off else ''}{key} = {_text(value)}"
    return f"{line:<35} # {comment}" if comment else line


def _on(sizes: Design, path: str, comment: str = "") -> str:
    """Return a line with the value that was worked out for this rocket, in the fractions of the builder's rule."""
    worked_out = dict(change.split("=", 1) for change in sizes.written.overrides)
    return _line(path.rpartition(".")[2], worked_out[path], comment)


def _off(sizes: Design, path: str, unit: str, comment: str = "", digits: int = 3, spread: float | None = None) -> str:
    """Return a line behind a #, with the value that the chosen bottle's rocket has there; `unit` is the metric one."""
    quantity = value_at(sizes, path)
    text = show(quantity.value, unit_habit(sizes).unit(unit), digits, quantity.spread if spread is None else spread)
    return _line(path.rpartition(".")[2], text, comment, off=True)


def _head(answers: Answers, habit: UnitHabit) -> str:
    return _samples(_HEAD, habit) + f"\nschema = 1\nname = {_text(answers.name)}\n"


_HEAD = """\
# A water rocket for bottlewright. Every value has its unit; after ± comes how far it may be off (one standard
# deviation), such as "152 g ± 2 g". A value without ± takes the usual ± of its key; "± 0" means exact.
# A line that starts with # is a comment: take the # away to use it. What stands behind a # is about the size to
# expect with this bottle, not what you measured. What you leave out is filled in from tables, and the results say
# what they rest on. What you measure wins.
"""


def _vessel(answers: Answers, sizes: Design) -> str:
    measured = _diameter(answers.round, unit_habit(sizes))
    diameter = f"{measured:<35} # the way round, divided by 3.1416" if measured else _off(
        sizes, "vessel.diameter", "mm", "the way round it, divided by 3.1416")
    times = f"cycles = {answers.cycles}" if answers.cycles else "# cycles = 0"
    return "\n".join([
        "[vessel]",
        _line("bottle", answers.bottle, "a generic bottle; weigh and measure your own:"),
        _off(sizes, "vessel.volume", "mL", "brim-full: weigh it empty and full of water", 4),
        diameter,
        _off(sizes, "vessel.empty_mass", "g", "without cap and label"),
        _off(sizes, "vessel.neck_bore", "mm", "across the hole of the neck", 4),
        f"{times:<35} # how often it was under pressure so far",
        _line("age", answers.age or "20 days", "since it was opened", off=not answers.age),
        _line("storage", "cool", "or sun, hot car", off=True),
        "",
        "# A pressure test of this very bottle, full of water, as it happened: one block for each. Only what you did.",
        "# [[vessel.proof]]",
        _line("pressure", answers.pressure, "on the gauge", off=True),
        _line("hold", "60 s", off=True),
        f"{'# passed = true':<35} # no leak, no creak, no lasting growth",
        "",
    ])  # fmt: skip


def _nozzle(bore: str, habit: UnitHabit) -> str:
    if bore:
        shape = _line("shape", "rounded", "or square-edged, tube, cone, re-entrant")
        return f"[nozzle]\nbore = {_text(bore)}\n{shape}\n"
    return _samples("""\
[nozzle]                            # the bare neck
# bore = "9 mm ± 0.1 mm"            # for a nozzle in the neck
""", habit)


def _nose(shape: str, sizes: Design) -> str:
    length = _off(sizes, "nose.length", "mm", "from the tip to its seat; all that is placed from the tip moves with it",
                  spread=1e-3)
    if shape in ("bottle", ""):
        return f"# [nose]{'':<27} # left out: the bottle's own base leads\n# shape = \"ogive\"\n{length}\n"
    return "\n".join([
        "[nose]",
        _line("shape", shape, "ogive, cone, paraboloid, ellipsoid, hemisphere, flat, bottle"),
        length,
        _line("material", "expanded-polystyrene",
              _samples('solid; give wall = "0.4 mm" for a hollow one of card', unit_habit(sizes))),
        _off(sizes, "nose.mass", "g", "when you have weighed it", spread=1e-3),
        "",
    ])  # fmt: skip


def _fins(sizes: Design) -> str:
    assert sizes.fins is not None, "a first rocket has fins"
    return "\n".join([
        f"{'[fins]':<35} # these sizes keep its nose in front; `bottlewright fly` says how surely",
        f"count = {sizes.fins.count}",
        _line("material", "balsa", "or plywood, card, corrugated-plastic ..."),
        _on(sizes, "fins.thickness", "heavier fins need more clay in the tip"),
        _on(sizes, "fins.root", "along the body"),
        _on(sizes, "fins.tip", "length of the outer edge"),
        _on(sizes, "fins.span", "outwards from the body"),
        _on(sizes, "fins.sweep", "how far the tip's front lies behind the root's"),
        _on(sizes, "fins.position", "front of the root from the nose tip"),
        "",
        f"{'[sleeve]':<35} # card skirt that carries the fins, so that no glue touches the bottle",
        _line("material", "card"),
        _on(sizes, "sleeve.thickness"),
        _on(sizes, "sleeve.length", "from the straight part of the bottle to its neck"),
        _on(sizes, "sleeve.position", "front edge from the nose tip"),
        "",
    ])  # fmt: skip


def _recovery(sizes: Design) -> str:
    if sizes.recovery.kind == "none":
        across = show(5.0 * value_at(sizes, "vessel.diameter").value, unit_habit(sizes).unit("mm"), 2)
        none = _line("kind", "none", 'or "parachute", "streamer"; without one it comes down hard')
        return f"[recovery]\n{none}\n{_line('diameter', across, 'of a parachute, flat to flat', off=True)}\n"
    return "\n".join([
        "[recovery]",
        'kind = "parachute"',
        _line("canopy", "hexagon", "or octagon, round, square, cross, hemisphere"),
        _on(sizes, "recovery.diameter", "flat to flat"),
        _line("release", "apogee", '"apogee" takes it to be so; or "by its mechanism", "delay", "never"'),
        "",
        "# What lets the parachute out. Without it every flight opens at the top, as no real one does by itself.",
        "# `bottlewright release` flies the ways side by side; docs/make.md has how each is built.",
        "# [recovery.mechanism]",
        '# way = "air flap"                  # or side door, sprung nose, loose nose: each asks for keys of its own',
        "",
    ])  # fmt: skip


def _weighed(sizes: Design) -> str:
    (mass, balance), habit = dry_balance(sizes), unit_habit(sizes)
    clay = [] if not sizes.mass else [
        "[[mass]]",
        _line("name", sizes.mass[0].name),
        _on(sizes, "mass.0.mass", "this weight and the fins keep the nose in front: weigh it"),
        _on(sizes, "mass.0.position", "from the nose tip to its middle"),
        _line("material", "modelling-clay"),
        "",
    ]  # fmt: skip
    return "\n".join([
        "# Ballast, tape, altimeter, egg: one block for each. Position from the nose tip.",
        *clay,
        "# [[mass]]",
        _line("name", "altimeter", off=True),
        _samples('# mass = "9 g ± 1 g"\n# position = "60 mm"', habit),
        "",
        f"{'[measured]':<35} # the scale and a string beat every estimate",
        _line("dry_mass", show(mass + 0.02, habit.unit("g"), 3, 1e-3), "ready to fly, without water", off=True),
        _line("balance_point", show(balance, habit.unit("mm"), 3, 3e-3), "from the nose tip, without water", off=True),
        "",
    ])  # fmt: skip


def _charge(answers: Answers, sizes: Design) -> str:
    water = answers.water or f"{1e6 * most_water(sizes):.0f} mL"
    why = "" if answers.water else "so little that it is out by the end of the guide, or a third"
    return "\n".join([
        "[charge]",
        _line("water", water, why),
        _line("pressure", answers.pressure, "on the gauge; `prove` says what the bottle is rated to, by which test"),
        _samples('# temperature = "15 °C ± 3 °C"      # of the water', unit_habit(sizes)),
        "",
    ])  # fmt: skip


def _launcher(sizes: Design) -> str:
    guide = _on(sizes, "launcher.guide_length", "a straight rod that leads the rocket, which has two rings for it")
    tilt = _on(sizes, "launcher.tilt", "from the vertical, away from everybody: straight up comes straight down")
    operator = _on(sizes, "launcher.crew.operator", "who pulls the cord, which has to be that long")
    pumper = _on(sizes, "launcher.crew.pumper", "who pumps; the hose has to be that long")
    gear, people = (_samples(text, unit_habit(sizes)) for text in (_LAUNCHER, _PEOPLE))
    gear = re.sub(r'(# length = )"[^"]+"', rf'\1"{operator.split(chr(34))[1]}"', gear)  # of cord and hose: to the crew
    return f"[launcher]\n{guide}\n{tilt}\n{gear}\n{_CREW}{operator}\n{pumper}\n{people}"


_LAUNCHER = """\
# leans_towards = "NE"              # which way it leans; or degrees clockwise from north
# seal = "socket"                   # takes the nozzle in; or spigot, which reaches into the neck
# seal_diameter = "13 mm"           # of the sealing ring: what the pressure pushes on
# stroke = "14 mm"                  # way that the rocket slides until the ring lets go

# What holds the rocket down and lets it go. Without it `prove` can't say how hard the cord has to be pulled.
# [launcher.release]
# kind = "collar"                   # hose connector; or ties, pin, plug
# spring = "14 N ± 2 N"             # kitchen scale, no pressure on

# [launcher.cord]
# length = "15 m"                   # from the stand to the hand

# [launcher.hose]
# length = "15 m"                   # from the pump to the launcher
# bore = "8 mm"                     # inside
# rating = "20 bar"                 # printed on it

# [launcher.gauge]
# range = "10 bar"                  # full scale

# [launcher.pump]
# bore = "30 mm"                    # of the barrel
# stroke = "450 mm"

# [launcher.frame]
# kind = "boards"
# mass = "4 kg"
# width = "450 mm"
# depth = "450 mm"
"""

_CREW = """\
# Who stands where, from the rocket. `prove` says what the published rules ask, `scatter` what the landings do.
[launcher.crew]
"""

_PEOPLE = """\
# spectators = "100 m"              # the nearest of them
# eye_protection = true             # everyone inside the distances for it wears it
# puller = "adult"                  # or child
# remote_vent = true                # the pressure can be let off from the operator's place
"""

_SITE = """\
[site]
# name = "our field"
# latitude = "52 deg"
# height = "85 m"                   # above the sea
# map = "field.geojson"             # drawn with any map tool; or, instead of it, a plain rectangle:

# [site.rectangle]
# length = "100 m"
# width = "60 m"
# bearing = "N"                     # of the long side

# [[site.keep_out]]
# name = "the road"
# kind = "road"                     # or spectators, building, power line, trees, water, animals, other
# line = [["-50 m", "35 m"], ["50 m", "35 m"]]   # east and north of the field's middle
"""

_WEATHER = """\
[weather]
# temperature = "15 °C"
# pressure = "1013 hPa"             # at the site, not reduced to sea level
# wind_speed = "3 m/s ± 1 m/s"
# wind_from = "west"                # where it comes from; or degrees clockwise from north
# wind_height = "2 m"               # where you measured it
# terrain = "grass"                 # upwind; or water, crops, hedges, parkland, suburb

# The forecast hour by hour: one block for each.
# [[weather.hours]]
# at = "14:00"
# wind_speed = "4 m/s"
# wind_from = "west"
# gust = "7 m/s"                    # the strongest, not the addition
"""


def _tune(sizes: Design) -> str:
    holds = value_at(sizes, "vessel.volume").value
    water = f'# water = ["{show(0.15 * holds, "mL", 2)}", "{show(0.6 * holds, "mL", 2)}"]'
    most = show(value_at(sizes, "charge.pressure").value, unit_habit(sizes).unit("bar"), 2)
    return f"""\
[tune]
# aim = "height"                    # or hang time, least pressure, nearest height
# vary = ["water", "pressure"]      # and bore, ballast, fin span
{_line("most_pressure", most, "never above this on the gauge, whatever the bottle is rated to", off=True)}
{water:<35} # lowest and highest
"""


_WORKSHOP = """\
[workshop]
# start = "2027-03-06"              # first day of the build
# hours = ["Sat 10:00-13:00"]       # weekly openings
# closed = ["2027-03-27"]           # days on which it stays shut all the same
# people = 2                        # who build at the same time
# rockets = 1                       # built at the same time by this plan
# temperature = "18 °C"             # while glue cures
"""
