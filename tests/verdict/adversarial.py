"""Designs with a trap in them, and designs with none: what level each has to get, written before the code that judges.

A level may be one of several: ``"none or look"``. `alone` is the level of the commands that know no landings (`fly`,
`prove`, `fire`, `tune`, `make`), `landings` that of those that do (`scatter`, `study`). `codes` are the findings that
have to be there, each with its other names after ``|``; `where` is the list of the verdict that they stand in.

Names of keys that other parts of the work choose stand once, in the first lines.
"""

from dataclasses import dataclass
from typing import Any

from base_designs import GONE, days_before

__all__ = ["BENIGN", "TABLE", "TRAPS", "Trap"]

# --- keys and codes whose names are chosen elsewhere -----------------------------------------------------------------

NO_GAUGE = {"launcher.gauge": {"fitted": False}}
LOCAL_CAP = "site.pressure_limit"
RULES = "site.rules"


def compressor(regulator: bool | None, relief_valve: bool | None) -> dict[str, Any]:
    """Return the changes that put a compressor in the pump's place; None leaves a thing unsaid."""
    return {
        "launcher.pump.kind": "compressor",
        "launcher.pump.regulator": regulator,
        "launcher.pump.relief_valve": relief_valve,
    }


OVER = "over-allowed-pressure|over-rated-pressure|over-rule-maximum"
NOT_PET = "not-a-bottle"
NO_TEST = "own-test-missing"
NEAR_LANDINGS = "crew-in-landing-zone|ballistic-with-people"


@dataclass(frozen=True)
class Trap:
    """One line of the table.

    Parameters
    ----------
    name
        What is wrong, in plain words.
    changes
        Keys of the base design with their new values; `GONE` takes a key out.
    alone, landings
        Levels that are right: one word, or several joined by "or".
    codes
        Findings that have to be among those of `where`, alternatives joined by "|".
    where
        The level at which the findings have to stand, or several joined by "or": "stop", "look", "hold", "unchecked";
        "any" for whichever.
    base
        The design that is changed.
    only_with_landings
        Whether the findings need landings to be known.
    """

    name: str
    changes: dict[str, Any]
    alone: str
    landings: str
    codes: tuple[str, ...] = ()
    where: str = "stop"
    base: str = "plain"
    only_with_landings: bool = False


def stop(name: str, changes: dict[str, Any], *codes: str, base: str = "plain") -> Trap:
    """Return a trap at which every command stops."""
    return Trap(name, changes, "stop", "stop", codes, base=base)


def look(name: str, changes: dict[str, Any], *codes: str, base: str = "plain") -> Trap:
    """Return a trap at which every command asks for a look, and none stops."""
    return Trap(name, changes, "look", "look", codes, "look", base)


def doubt(name: str, changes: dict[str, Any], *codes: str, base: str = "plain") -> Trap:
    """Return a trap that nobody may pass over: a look at the least, and a stop is as right."""
    return Trap(name, changes, "look or stop", "look or stop", codes, "look or stop", base)


def hold(name: str, changes: dict[str, Any], *codes: str, base: str = "plain") -> Trap:
    """Return a gap that has to be closed before anyone pumps, and is no stop: it is missing, not wrong."""
    return Trap(name, changes, "none or look", "none or look", codes, "hold", base)


def fine(name: str, changes: dict[str, Any], base: str = "plain") -> Trap:
    """Return a design with no trap in it: no command may stop."""
    return Trap(name, changes, "none or look", "none or look", base=base)


def a_test(pressure: str, days: int = 10, **more: Any) -> dict[str, Any]:
    """Return a water-filled test of so many days ago that the bottle passed."""
    return {"pressure": pressure, "hold": "60 s", "medium": "water", "passed": True, "date": days_before(days)} | more


def one_test(pressure: str, days: int = 10, **more: Any) -> dict[str, Any]:
    """Return the changes that leave a bottle with this one test."""
    return {"vessel.proof": [a_test(pressure, days, **more)]}


NO_TESTS: dict[str, Any] = {"vessel.proof": []}
TWELVE_YEARS = 12 * 365

TWO_BOTTLES = {
    "vessel.count": 2,
    "vessel.joint": "splice",
    "vessel.joint_overlap": "40 mm",
    "vessel.joint_adhesive": "polyurethane",
    "charge.water": "800 mL",
    "fins.position": "640 mm",
    "sleeve.position": "545 mm",
    "mass.0.mass": "120 g",
}
"""Two bottles in a glued splice, fins and their sleeve moved to the lower one."""

CREW_BESIDE_IT = {"launcher.crew.operator": "8 m", "launcher.crew.pumper": "6 m"}
BY_EYE = {
    "launcher.tilt": "0 deg ± 3 deg",
    "launcher.leans_towards": "60 deg ± 120 deg",
    "weather.wind_speed": "0.5 m/s ± 0.3 m/s",
    "weather.wind_from": "240 deg ± 120 deg",
}
"""Set upright by eye in light, turning air: it comes down about its launcher, on every side."""
BALLISTIC = {"recovery": {"kind": "none"}}


def keep_out(name: str, kind: str, *spots: tuple[int, int]) -> dict[str, Any]:
    """Return a keep-out of the site: a spot, or a line through several, metres east and north of the launch point."""
    placed = [[f"{east} m", f"{north} m"] for east, north in spots]
    return {"name": name, "kind": kind} | ({"spot": placed[0]} if len(placed) == 1 else {"line": placed})


# --- 1: pressure -----------------------------------------------------------------------------------------------------

PRESSURE = [
    stop("12 bar in a bottle that no guide would pump past 6.21", {"charge.pressure": "12 bar"}, OVER),
    stop("9 bar in the same bottle", {"charge.pressure": "9 bar"}, OVER),
    stop(
        "9 bar in a bottle that nobody tested, as scatter once called GO", {"charge.pressure": "9 bar"} | NO_TESTS, OVER
    ),
    stop("12 bar in a bottle that nobody tested", {"charge.pressure": "12 bar"} | NO_TESTS, OVER),
    stop("5.6 bar where the test of 7.5 bar shows 5", {"charge.pressure": "5.6 bar"}, OVER),
    stop(
        "at its rating by a gauge that may read low",
        {"charge.pressure": "5 bar", "launcher.gauge.accuracy": "4 %", "launcher.gauge.range": "10 bar"},
        OVER,
    ),
    stop(
        "tested at 10.5 bar, and pumped past every published maximum",
        {"charge.pressure": "6.5 bar", "launcher.gauge.range": "10 bar"} | one_test("10.5 bar"),
        OVER,
    ),
    stop(
        "a pressure that the gauge can't show",
        {"charge.pressure": "4.5 bar", "launcher.gauge.range": "4 bar"},
        "gauge-range",
    ),
    look(
        "close to the end of the gauge", {"charge.pressure": "3.3 bar", "launcher.gauge.range": "4 bar"}, "gauge-range"
    ),
    look(
        "above what guides advise, below what they forbid",
        {"charge.pressure": "4.4 bar", "launcher.gauge.range": "10 bar"},
        "over-advised-pressure",
    ),
    stop(
        "above the cap of the place where it flies",
        {"charge.pressure": "3.3 bar", LOCAL_CAP: "3 bar"},
        OVER + "|over-local-cap|over-local-limit",
    ),
    stop("100 psi in the two-litre bottle", {"charge.pressure": "100 psi"}, OVER, base="inches"),
    stop("Curlew at 6 bar", {"charge.pressure": "6 bar"}, OVER, base="curlew"),
    stop("Dabchick, never tested, at 5 bar", {"charge.pressure": "5 bar"}, OVER, base="dabchick"),
]

# --- 2: what the bottle has been through -----------------------------------------------------------------------------

EVIDENCE = [
    hold("no test of its own, at a pressure that a test would allow", NO_TESTS, NO_TEST),
    stop("no test, and a plan above what even a test would allow", {"charge.pressure": "4 bar"} | NO_TESTS, OVER),
    stop("left in a hot car after its test", {"vessel.storage": "hot car"}, "stored-hot"),
    stop("sanded so that the glue holds", {"vessel.surface": ["sanded"]}, "surface-work"),
    stop("cut with a knife at the label", {"vessel.surface": ["cut"]}, "surface-work"),
    stop("fins stuck on with the glue gun", {"vessel.surface": ["hot-glued"]}, "surface-work"),
    stop("superglue on the wall", {"vessel.surface": ["super-glued"]}, "surface-work"),
    stop("sprayed with paint", {"vessel.surface": ["spray-painted"]}, "surface-work"),
    stop("shrunk with a hot-air gun", {"vessel.surface": ["heated"]}, "surface-work"),
    stop(
        "kept in a hot car and sanded, and still 'rated to 5 bar' once",
        {
            "vessel.storage": "hot car",
            "vessel.surface": ["sanded"],
            "charge.pressure": "4.84 bar",
            "launcher.gauge.range": "10 bar",
        },
        "stored-hot",
        "surface-work",
    ),
    stop(
        "failed its test, and passed a later one",
        {"vessel.proof": [a_test("7.5 bar", 20, passed=False), a_test("7.5 bar")]},
        "failed-proof-test",
    ),
    stop(
        "failed its only test at a low pressure",
        one_test("4 bar", passed=False) | {"charge.pressure": "2 bar"},
        "failed-proof-test",
    ),
    stop(
        "2 mm wider after its test than before",
        one_test("7.5 bar", diameter_before="91 mm ± 0.1 mm", diameter_after="93 mm ± 0.1 mm"),
        "grown-for-good",
    ),
    stop(
        "a test of twelve years ago, on a bottle opened then",
        one_test("9.3 bar", TWELVE_YEARS - 60)
        | {"vessel.age": "12 years", "charge.pressure": "6.2 bar", "launcher.gauge.range": "10 bar"},
        OVER,
    ),
    stop(
        "the same old test, and only 5 bar",
        one_test("9.3 bar", TWELVE_YEARS - 60)
        | {"vessel.age": "12 years", "charge.pressure": "5 bar", "launcher.gauge.range": "10 bar"},
        OVER,
    ),
    doubt("twelve years old, tested last week", {"vessel.age": "12 years"}, "old-bottle"),
    doubt(
        "a test that is dated next month",
        one_test("7.5 bar", -30),
        "test-in-future",
    ),
    doubt(
        "a test from before the bottle was opened",
        one_test("7.5 bar", 200),
        "test-before-opened",
    ),
    doubt(
        "a pass that hardly any bottle of its age could give",
        one_test("10.5 bar") | {"vessel.age": "8 years"},
        "unlikely-pass",
    ),
    doubt(
        "a pass at 20 bar, above what any such bottle held",
        one_test("20 bar"),
        "above-any-bottle|unlikely-pass",
    ),
    look("tested with air inside", one_test("7.5 bar", medium="air"), "tested-on-air"),
    Trap(
        "held for three seconds",
        one_test("7.5 bar", hold="3 s"),
        "none or look",
        "none or look",
        ("short-hold",),
        "any",
    ),
    doubt("tested at less than the plan", one_test("3 bar"), "test-below-plan|proof-too-low"),
    look("nobody knows how old it is", {"vessel.age": GONE}, "age-unknown"),
    stop("launched twenty times", {"vessel.cycles": 20}, "retire"),
    look("launched twelve times", {"vessel.cycles": 12}, "retire"),
    doubt("kept on a sunny window sill", {"vessel.storage": "sun"}, "stored-in-sun|sun-aged"),
    stop(
        "a still-water bottle, untested, at 4.5 bar",
        {"vessel.bottle": "still-1500", "vessel.wall": GONE, "charge.pressure": "4.5 bar"} | NO_TESTS,
        OVER,
    ),
    stop(
        "a glass bottle",
        {
            "vessel.modulus": "70000 MPa",
            "vessel.wall": "4 mm",
            "vessel.empty_mass": "600 g",
            "vessel.bottle": GONE,
            "vessel.kind": "unknown",
        },
        NOT_PET,
    ),
    stop(
        "a metal canister",
        {"vessel.modulus": "200000 MPa", "vessel.wall": "1 mm", "vessel.empty_mass": "300 g"},
        NOT_PET,
    ),
    stop(
        "a printed vessel", {"vessel.modulus": "2300 MPa", "vessel.wall": "4 mm", "vessel.empty_mass": "250 g"}, NOT_PET
    ),
    stop("a glass bottle, and said so", {"vessel.material": "glass"}, NOT_PET),
    stop("a wall of 2 mm, that no drinks bottle has", {"vessel.wall": "2 mm"}, NOT_PET),
    stop("hot tap water", {"charge.temperature": "45 °C"}, "too-warm"),
    stop("water at the point of freezing", {"charge.temperature": "0 °C"}, "freezing"),
    stop(
        "two bottles pushed together, no joint",
        TWO_BOTTLES | {"vessel.joint": "none", "vessel.joint_overlap": GONE, "vessel.joint_adhesive": GONE},
        "no-joint",
    ),
    stop("a glued splice that nobody tested", TWO_BOTTLES | NO_TESTS, "joint-not-rated|joint-untested"),
    stop(
        "a splice of hot glue",
        TWO_BOTTLES | {"vessel.joint_adhesive": "hot-melt"},
        "hot-glue-on-the-vessel|splice-glue",
    ),
    stop(
        "a splice of superglue",
        TWO_BOTTLES | {"vessel.joint_adhesive": "superglue"},
        "superglue-splice|superglue-on-the-vessel|splice-glue|brittle-splice",
    ),
    stop(
        "a coupled pair that nobody tested",
        TWO_BOTTLES
        | {"vessel.joint": "coupling", "vessel.joint_overlap": GONE, "vessel.joint_adhesive": GONE}
        | NO_TESTS,
        "joint-not-rated|joint-untested",
    ),
    stop(
        "at what a test shows that may have been 0.8 bar lower",
        {"charge.pressure": "4.9 bar ± 0 bar", "launcher.gauge.range": "6 bar"} | one_test("7.5 bar ± 0.4 bar"),
        OVER,
    ),
    hold("nobody has counted its launches", {"vessel.cycles": GONE}, "cycles-unknown"),
    stop("a steel bolt as ballast", {"mass.0.name": "bolt in the tip", "mass.0.material": "steel"}, "metal-parts"),
    look("leaning by 28°, give or take 2°", {"launcher.tilt": "28 deg ± 2 deg"}, "tilt-beyond-rule"),
]

# --- 3: launcher, people, weather ------------------------------------------------------------------------------------

LAUNCHER = [
    stop(
        "fins of aluminium sheet",
        {"fins.material": "aluminium", "fins.thickness": "1 mm"},
        "metal-parts",
    ),
    stop(
        "a nose of aluminium",
        {"nose.material": "aluminium", "nose.wall": "0.5 mm"},
        "metal-parts",
    ),
    stop("pumped without a gauge", NO_GAUGE, "no-gauge"),
    hold("nothing said of a gauge", {"launcher.gauge": GONE}, "gauge-unsaid"),
    stop("nobody wears eye protection", {"launcher.crew.eye_protection": False}, "no-eye-protection"),
    hold(
        "nothing said of eye protection",
        {"launcher.crew.eye_protection": GONE},
        "eye-protection-unsaid",
    ),
    stop("a misfire can't be let off from a distance", {"launcher.crew.remote_vent": False}, "no-remote-vent"),
    hold(
        "nothing said of letting the pressure off",
        {"launcher.crew.remote_vent": GONE},
        "remote-vent-unsaid",
    ),
    stop("no stakes: a launcher that stands loose", {"launcher.stakes": {"count": 0}}, "no-pegging"),
    hold(
        "nobody said how many young people one adult looks after",
        {"workshop.children_per_adult": GONE},
        "supervision-unsaid",
    ),
    hold("nothing said of stakes", {"launcher.stakes": GONE}, "pegging-unsaid"),
    stop(
        "a compressor without a regulator",
        compressor(regulator=False, relief_valve=True),
        "no-regulator",
    ),
    stop(
        "a compressor without a relief valve",
        compressor(regulator=True, relief_valve=False),
        "no-relief-valve",
    ),
    hold(
        "a compressor, and nothing said of its regulator and relief valve",
        compressor(regulator=None, relief_valve=None),
        "regulator-unsaid",
        "relief-valve-unsaid",
    ),
    stop("a valve that bears less than the plan", {"launcher.valve.rating": "3 bar"}, "under-rated-valve"),
    stop("a pump that bears less than the plan", {"launcher.pump.rating": "3 bar"}, "under-rated-pump"),
    look("a valve that bears twice the plan, not three times", {"launcher.valve.rating": "7 bar"}, "weakest-part"),
    stop("a hose at 60 °C in the sun", {"launcher.hose.temperature": "60 °C"}, "hose-too-hot"),
    doubt("a cord that breaks before the release opens", {"launcher.cord.strength": "5 N"}, "cord-breaks"),
    look("a cord weaker than a full pull", {"launcher.cord.strength": "100 N"}, "cord-breaks"),
    stop(
        "a release whose ties break at the pressure of the plan",
        {"launcher.release": {"kind": "ties", "count": 2, "strength": "10 N"}},
        "release-breaks",
    ),
    stop(
        "a release whose sloped faces push it open",
        {"launcher.release.slope": "45 deg", "launcher.release.spring": "1 N"},
        "self-release",
    ),
    stop(
        "a plug that nobody measured, pumped until it goes", {"launcher.release": {"kind": "plug"}}, "plug-not-measured"
    ),
    stop(
        "a stand that a full pull tips",
        {
            "launcher.frame.mass": "0.2 kg",
            "launcher.frame.width": "100 mm",
            "launcher.frame.depth": "100 mm",
            "launcher.frame.height": "600 mm",
            "launcher.cord.height": "600 mm",
            "launcher.stakes": {"count": 1, "length": "20 mm", "diameter": "3 mm", "ground": "sand"},
        },
        "stand-tips|stand-slides",
    ),
    stop("a wind of 9.5 m/s", {"weather.wind_speed": "9.5 m/s ± 1 m/s"}, "too-windy"),
    look("the launcher leans by 25°", {"launcher.tilt": "25 deg ± 1 deg"}, "tilt-beyond-rule"),
    stop("the launcher leans by 35°", {"launcher.tilt": "35 deg ± 1 deg"}, "tilt-beyond-rule"),
    stop("fired level across the field", {"launcher.tilt": "88 deg ± 1 deg"}, "tilt-level"),
    stop("spectators at 10 m", {"launcher.crew.spectators": "10 m"}, "too-near-spectators"),
    stop("the pumper two steps away", {"launcher.crew.pumper": "2 m"}, "too-near-pumper"),
    stop("a cord of 2 m, whatever the plan says of the operator", {"launcher.cord.length": "2 m"}, "too-near-operator"),
    stop(
        "75 psi with a hose and a cord of 20 ft",
        {
            "charge.pressure": "73 psi",
            "vessel.proof.0.pressure": "125 psi",
            "launcher.cord.length": "20 ft",
            "launcher.hose.length": "20 ft",
            "launcher.crew.operator": "20 ft",
            "launcher.crew.pumper": "20 ft",
        },
        "too-near-operator|too-near-pumper|short-hose|short-cord",
        base="inches",
    ),
    stop(
        "a hand pump is the rule of the contest, and a compressor feeds it",
        {RULES: ["distance contest"]} | compressor(regulator=True, relief_valve=True),
        "named-rule-broken",
    ),
]

# --- 4: flight -------------------------------------------------------------------------------------------------------

FLIGHT = [
    stop(
        "no weight in the tip and small fins: it turns over",
        {"mass": [], "fins.span": "60 mm", "fins.position": "330 mm", "sleeve": GONE},
        "unstable",
    ),
    look("too little weight in the tip", {"mass.0.mass": "35 g ± 0.5 g"}, "margin-small"),
    stop(
        "the parachute opens during the push",
        {"recovery.release": "delay", "recovery.delay": "0.08 s ± 0.01 s"},
        "opens-in-push",
    ),
    stop(
        "the parachute opens when the rocket is on the ground",
        {"recovery.release": "delay", "recovery.delay": "12 s ± 0.1 s"},
        "opens-too-late",
    ),
    stop("the parachute opens just above the ground", {"recovery.delay": "3 s ± 0.02 s"}, "opens-too-late"),
    stop(
        "too little pressure to lift it off its seal",
        {"charge.pressure": "0.2 bar ± 0.01 bar", "launcher.gauge.range": "1 bar", "charge.water": "1400 mL"},
        "stuck-on-seal|never-left",
    ),
    stop(
        "more water than it can lift",
        {"charge.water": "1500 mL", "charge.pressure": "2 bar ± 0.02 bar"},
        "never-left|stuck-on-seal|lands-under-pressure",
    ),
    stop("a brick in the nose: it never leaves", {"mass.0.mass": "6 kg ± 0.1 kg"}, "never-left|stuck-on-seal"),
    stop(
        "a hole so small that it lands under pressure",
        {"nozzle.bore": "3 mm ± 0.05 mm", "charge.water": "900 mL"},
        "lands-under-pressure|never-left",
    ),
]

# --- 5: field --------------------------------------------------------------------------------------------------------

FIELD = [
    Trap(
        "crew at 6 and 8 m under a rocket that comes down about them",
        BALLISTIC | BY_EYE | CREW_BESIDE_IT,
        "none or look or stop",
        "stop",
        (NEAR_LANDINGS,),
        only_with_landings=True,
    ),
    Trap(
        "crew at 6 and 8 m under Dabchick, which has no parachute",
        CREW_BESIDE_IT
        | {"launcher.crew.spectators": "40 m", "launcher.crew.eye_protection": True, "launcher.crew.remote_vent": True},
        "none or look or stop",
        "stop",
        (NEAR_LANDINGS,),
        base="dabchick",
        only_with_landings=True,
    ),
    Trap(
        "a heavy rocket that nothing slows, people inside its reach",
        BALLISTIC
        | BY_EYE
        | {
            "mass.0.mass": "300 g ± 1 g",
            "launcher.tilt": "0 deg ± 6 deg",
            "charge.pressure": "4.4 bar ± 0.05 bar",
            "launcher.gauge.range": "10 bar",
            "launcher.crew.spectators": "16 m",
            "launcher.crew.operator": "8 m",
            "launcher.crew.pumper": "8 m",
        },
        "look or stop",
        "stop",
        ("ballistic-with-people|crew-in-landing-zone|spectators-in-landing-zone",),
        only_with_landings=True,
    ),
    Trap(
        "spectators at 25 m where landings reach 60 m",
        {
            "launcher.crew.spectators": "25 m",
            "launcher.crew.spectators_bearing": "60 deg",
            "charge.pressure": "3.4 bar ± 0.05 bar",
            "weather.wind_speed": "4 m/s ± 1 m/s",
        },
        "none or look or stop",
        "stop",
        ("too-near-spectators|spectators-in-landing-zone",),
        only_with_landings=True,
    ),
    stop(
        "the launch point 5 m from where people stand",
        {"site.keep_out": [keep_out("the families", "spectators", (8, 0))]},
        "launch-point-too-near",
    ),
    Trap(
        "a power line 30 m downwind",
        {"site.keep_out": [keep_out("the overhead line", "power line", (30, -200), (30, 200))]},
        "none or look or stop",
        "stop",
        ("power-line-in-reach|chance-too-high",),
        only_with_landings=True,
    ),
    Trap(
        "a power line upwind today, inside the reach of the rocket",
        {"site.keep_out": [keep_out("the overhead line", "power line", (-22, -200), (-22, 200))]},
        "none or look or stop",
        "stop",
        ("power-line-in-reach",),
        only_with_landings=True,
    ),
    Trap(
        "a field that nobody drew",
        {"site.rectangle": GONE, "site.launch_point": GONE},
        "none or look",
        "none or look",
        ("no-boundary",),
        "look or unchecked",
    ),
    Trap(
        "a school yard of 40 m by 20 m",
        {"site.rectangle": {"length": "40 m", "width": "20 m"}},
        "look or stop",
        "stop",
        ("chance-too-high|field-width-nasa-field-width",),
        only_with_landings=True,
    ),
    Trap(
        "a road across the landing zone",
        {"site.keep_out": [keep_out("the lane", "road", (20, -200), (20, 200))]},
        "none or look or stop",
        "stop",
        ("chance-too-high",),
        only_with_landings=True,
    ),
]

# --- 6: two at once --------------------------------------------------------------------------------------------------

TOGETHER = [
    stop(
        "hot car and 12 bar",
        {"vessel.storage": "hot car", "charge.pressure": "12 bar"},
        "stored-hot",
        "over-allowed-pressure|over-rated-pressure|over-rule-maximum|stored-hot",
    ),
    stop(
        "a failed bottle and nobody with eye protection",
        one_test("7.5 bar", passed=False) | {"launcher.crew.eye_protection": False},
        "failed-proof-test",
        "no-eye-protection",
    ),
    stop(
        "9 bar, leaning by 35°, in a wind of 9.5 m/s",
        {"charge.pressure": "9 bar", "launcher.tilt": "35 deg", "weather.wind_speed": "9.5 m/s"},
        OVER,
        "tilt-beyond-rule",
        "too-windy",
    ),
    stop(
        "untested, and spectators at 10 m: a hold point does not hide a stop",
        NO_TESTS | {"launcher.crew.spectators": "10 m"},
        "too-near-spectators",
    ),
    stop(
        "a passed test at 20 bar does not lift a hot-car bottle",
        one_test("20 bar") | {"vessel.storage": "hot car"},
        "stored-hot",
    ),
    stop(
        "an air test of a sanded bottle",
        one_test("7.5 bar", medium="air") | {"vessel.surface": ["sanded"]},
        "surface-work",
    ),
    stop("nothing said of any equipment, and 12 bar", {"launcher": GONE, "charge.pressure": "12 bar"}, OVER),
]

# --- 7: no trap ------------------------------------------------------------------------------------------------------

BENIGN = [
    fine("the plain rocket as it is", {}),
    fine("the plain rocket in inches", {}, base="inches"),
    fine("Curlew as it is", {}, base="curlew"),
    fine("Dabchick as it is: no test yet, nothing said of a launcher", {}, base="dabchick"),
    fine("2 bar in a tested bottle", {"charge.pressure": "2 bar ± 0.05 bar"}),
    fine("untested at 2 bar: a hold point, no stop", {"charge.pressure": "2 bar ± 0.05 bar"} | NO_TESTS),
    fine(
        "nothing said of any equipment: hold points, no stop",
        {f"launcher.{name}": GONE for name in ("gauge", "stakes", "crew")},
    ),
    fine("eight launches behind it", {"vessel.cycles": 8}),
    fine("half a year old, tested last week", {"vessel.age": "180 day"}),
    fine("a sleeve glued on with a cold glue, tested after it", {"vessel.surface": ["glued"]}),
    fine("leaning by 15°", {"launcher.tilt": "15 deg ± 1 deg"}),
    fine("a wind of 4 m/s on a large field", {"weather.wind_speed": "4 m/s ± 0.8 m/s"}),
    fine("water at 30 °C", {"charge.temperature": "30 °C"}),
    fine("a cap of the place above the plan", {LOCAL_CAP: "5 bar"}),
    fine("a compressor with regulator and relief valve", compressor(regulator=True, relief_valve=True)),
    fine("a metal screw in the launcher, none in the rocket", {"launcher.clamp.kind": "worm"}),
    fine("two bottles in a cold-glued splice that passed its test", TWO_BOTTLES),
    fine(
        "a power line 240 m away",
        {"site.keep_out": [keep_out("the overhead line", "power line", (240, -200), (240, 200))]},
    ),
    fine("a rule of a contest that the plan keeps", {RULES: ["distance contest"], "launcher.pump.kind": "hand"}),
    fine("stored in the cool, and said so", {"vessel.storage": "cool", "vessel.cycles": 0}),
]

TRAPS = [*PRESSURE, *EVIDENCE, *LAUNCHER, *FLIGHT, *FIELD, *TOGETHER]
TABLE = [*TRAPS, *BENIGN]
