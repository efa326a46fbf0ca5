"""Numbers that people act on, invented, for tests of what prints them."""

from dataclasses import replace

from bottlewright.report.act_on import ActOn, Row

ACT = ActOn(
    level="look", says="Look at 2 things before you go on", water="365 mL", pressure="4.5 bar", pump_to="4.5 bar",
    leak="4.4 bar", allowed="not over 4.7 bar", because="it held 7.5 bar of water, less 0.3 bar for the gauge",
    after_test="", retired="", proof="6.75 bar", hold="for 60 s", pumper="13 m", operator="14 m", spectators="25 m",
    distances_because="Rule and landings, the larger", sides=(Row("N to E", "125 m"),), wind="2.8 m/s",
    wind_because="measured at 2 m", winds=(Row("from WSW", "2.9 m/s"),),
    unchecked=tuple(f"thing {number} of the field" for number in range(8)),
)  # fmt: skip

ACT_INCHES = replace(
    ACT, pressure="65.3 psi (4.5 bar)", pump_to="65.3 psi (4.5 bar)", leak="63.8 psi (4.4 bar)",
    allowed="not over 68.1 psi (4.7 bar)", because="it held 109 psi (7.5 bar) of water", proof="97.9 psi (6.75 bar)",
    pumper="43 ft (13 m)", operator="46 ft (14 m)", spectators="83 ft (25 m)",
    sides=(Row("N to E", "411 ft (125 m)"),), wind="6.3 mph (2.8 m/s)", wind_because="measured at 6.6 ft (2 m)",
    winds=(Row("from WSW", "6.5 mph (2.9 m/s)"),),
)  # fmt: skip
"""The same for a builder who writes psi, feet and miles."""
