"""What people do rather than write is tried all the same, and a cure by pressure is the highest that holds."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from ill import EXAMPLES, curlew

from bottlewright.cures import WholeJudge, cured, find_cures, level_of
from bottlewright.design.rewriting import rewritten
from bottlewright.field.findings import reach_findings
from bottlewright.field.scatter import scatter
from bottlewright.field.site import field_site
from bottlewright.field.wind_limit import DIRECTIONS, WindLimit, call_hours
from bottlewright.findings import Finding, Level, Stage
from bottlewright.flight.summary import SUMMARY
from bottlewright.verdict import judge_alone

OPEN = (Level.STOP, Level.LOOK)


def open_codes(findings):
    return {one.code for one in findings if one.level in OPEN}


def cure_of(code, *sets, judge=level_of):
    design = curlew(*sets)
    before = judge(design)
    assert code in open_codes(before), "the design has what it is made for"
    found = [one for one in find_cures(design, before, judge) if one.code == code]
    for cure in found:
        after = judge(rewritten(design, cure.changes or cure.tried))
        assert code not in open_codes(after)
        assert {one.code for one in after if one.level is Level.STOP} <= {one.code for one in before
                                                                         if one.level is Level.STOP}
    return found[0] if found else None


@pytest.mark.parametrize(("code", "sets", "words"), [
    ("too-windy", ["weather.wind_speed=10 m/s ± 0.7 m/s"],
     "wait for another hour or day, with a mean wind and gusts of no more than 8.9 m/s"),
    # Two ± above freezing.
    ("freezing", ["weather.temperature=-3 °C"], "wait for another day, with air of 5 °C or more"),
    ("freezing", ["weather.temperature=-3 °C", "charge.temperature=0 °C"], "water of 7 °C"),
    ("stand-slides", ["launcher.stakes.count=2", "launcher.stakes.length=80 mm"], "4 stakes of the same kind"),
    ("stand-slides", ["launcher.stakes.count=0", "launcher.stakes.weights=20 kg", "launcher.stakes.ground=hard"],
     "weights of 49 kg on its feet"),
    ("pull-too-hard", ["launcher.cord.turn=720 deg"], "the cord led round "),
], ids=["wind", "frost", "frost and cold water", "stakes", "weights", "the turn of the cord"])  # fmt: skip
def test_what_has_to_be_done_is_said_with_the_number_that_was_tried_and_no_key_is_offered(code, sets, words):
    cure = cure_of(code, *sets)
    assert words in cure.words
    assert cure.changes == ()
    assert cure.tried
    assert cure.as_json()["tried"] == dict(cure.tried)


@pytest.mark.parametrize(("code", "key"), [("freezing", "-1 °C"), ("too-warm", "50 °C")])
def test_water_that_is_too_cold_or_too_warm_is_filled_in_at_another_temperature(code, key):
    cure = cure_of(code, f"charge.temperature={key}")
    assert [name for name, _ in cure.changes] == ["charge.temperature"]
    assert cure.words.startswith("water of ")


def test_nobody_is_given_stakes_of_which_they_have_not_spoken():
    design = curlew("launcher.stakes.count=", "launcher.stakes.length=", "launcher.stakes.diameter=",
                    "launcher.frame.mass=1 kg")
    tried = [cure.tried for cure in find_cures(design, level_of(design))]
    assert not [one for one in tried if "launcher.stakes" in str(one)]


def reaching(metres):
    """Return a judge whose rocket reaches so far on every side."""
    return lambda design: [*level_of(design), *reach_findings(field_site(design.site, EXAMPLES), metres, True)]


BESIDE_A_LINE = (
    "site.map=", 'site.rectangle={length="400 m", width="300 m"}',
    'site.keep_out=[{name="a", kind="power line", line=[["-300 m", "-140 m"], ["300 m", "-140 m"]], width="10 m"}]',
)  # fmt: skip


def test_a_power_line_in_reach_sends_the_launcher_to_another_point_of_the_field():
    """The line lies 135 m south of the middle; 160 m of reach ask for 30 m more in steps of 10 m."""
    cure = cure_of("power-line-in-reach", *BESIDE_A_LINE, judge=reaching(160.0))
    assert dict(cure.tried) == {"site.launch_point": '["0 m", "30 m"]'}
    assert "the launcher at 0 m, 30 m in the drawing of the field" in cure.words


def test_a_line_from_which_the_field_has_no_room_gets_no_launch_point():
    cure = cure_of("power-line-in-reach", *BESIDE_A_LINE, judge=reaching(400.0))
    assert cure is None


def test_a_cure_that_is_done_and_not_written_says_what_it_was_tried_with():
    design = curlew("weather.wind_speed=10 m/s ± 0.7 m/s")
    verdict = judge_alone(design, EXAMPLES / "curlew")
    said = cured(verdict, find_cures(design, verdict.findings))
    (remedy,) = [one.remedy for one in said.findings if one.code == "too-windy"]
    assert "write it into the file once it is so: --set 'weather.wind_speed=8.9 m/s ± 0.7 m/s'" in remedy


def test_a_wind_over_the_limit_of_the_field_is_held_to_the_limits_that_were_found():
    """The limits hold for the rocket and the field: a weaker wind is judged by them, not by having none."""
    def still(batch):
        return np.zeros(len(batch), SUMMARY)  # each comes down on the pad: the limits are all that speaks

    design = curlew("weather.wind_speed=7 m/s ± 0.5 m/s", "weather.hours=[]")
    found = scatter(design, field_site(design.site, EXAMPLES / "curlew"), 200, fly=still, winds=False)
    limits = [WindLimit(way, 4.8, reached=True) for way in DIRECTIONS]
    calls = call_hours(design, limits, [found.ground], found.habit)
    judge = WholeJudge(EXAMPLES / "curlew", design, replace(found, limits=limits, calls=calls, hours=[found.ground]),
                       still)
    assert "wind-no" in open_codes(judge(design))
    for wind, stopped in (("6.8 m/s", True), ("1 m/s", False)):
        calmer = rewritten(design, [("weather.wind_speed", f"{wind} ± 0.5 m/s")])
        assert ("wind-no" in open_codes(judge(calmer))) is stopped


LEAVES = Finding(Level.STOP, Stage.FIELD, "chance-too-high", "It leaves the field", "9 %", "2 %", "counted", "Wait")


@dataclass
class Counted(WholeJudge):
    """By few flights it leaves the field above one pressure (bar), and by more of them above another."""

    few: float = 3.0
    more: float = 3.0
    looked: int = 0

    def __call__(self, design, _=400):
        return [*level_of(design), *([LEAVES] if design.charge.pressure.value > 1e5 * self.few + 1.0 else [])]

    def closely(self, design):
        self.looked += 1
        return [*level_of(design), *([LEAVES] if design.charge.pressure.value > 1e5 * self.more + 1.0 else [])]


@pytest.mark.parametrize(("few", "more"), [(2.6, 3.1), (3.2, 3.2), (3.3, 3.0)])
def test_a_pressure_cure_is_the_highest_that_more_flights_bear_out(few, more):
    judge = Counted(EXAMPLES, few=few, more=more)
    cure = next(one for one in find_cures(curlew(), [LEAVES], judge) if one.code == "chance-too-high")
    assert dict(cure.changes) == {"charge.pressure": f"{more} bar"}
    assert judge.looked <= 5


def test_a_pressure_that_more_flights_do_not_bear_out_is_no_cure():
    judge = Counted(EXAMPLES, few=3.3, more=0.1)
    assert "charge.pressure" not in {key for one in find_cures(curlew(), [LEAVES], judge) for key, _ in one.changes
                                     if one.code == "chance-too-high"}
