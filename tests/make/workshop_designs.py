"""Designs that these tests build."""

from bottlewright.design import Design, complete, parse_design

DABCHICK = """
schema = 1
name = "Dabchick"
[vessel]
bottle = "carbonated-1000"
[nozzle]
bore = "9 mm"
[nose]
shape = "cone"
length = "120 mm"
wall = "0.4 mm"
material = "card"
[fins]
count = 4
root = "80 mm"
tip = "40 mm"
span = "60 mm"
sweep = "40 mm"
[recovery]
kind = "parachute"
diameter = "300 mm"
spill_hole = "30 mm"
[charge]
pressure = "4 bar"
[launcher.coupling]
diameter = "13 mm"
[workshop]
start = 2027-03-06
hours = ["Sat 10:00-13:00", "Wed 16:00-18:00"]
people = 4
temperature = "18 °C"
[prices]
currency = "crowns"
[prices.each]
bottle = 1.5
cord = 4
[stock]
have = { bottle = 1, scissors = 1 }
"""


def design_of(text: str, *overrides: str) -> Design:
    return complete(parse_design(text, overrides))
