"""The rules of the day, one test each, and any day at all held to them."""

from dataclasses import replace

import pytest
from days import BAR, Field, plan, rocket
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from bottlewright.logbook.day import day_of, decide, due
from bottlewright.logbook.day_plan import CrewMember
from bottlewright.logbook.day_table import day_table


def why(refusal) -> str:
    assert refusal is not None
    return refusal.why


def gates(refusal) -> set[str]:
    assert refusal is not None
    return {one.gate for one in refusal.blocks}


# --- 1: no pressurising while a stop stands, and who may lift what ---------------------------------------------------


@pytest.mark.parametrize(("change", "gate"), [
    ({"stops": ("unstable",)}, "finding"), ({"holds": ("eye-protection-unsaid",)}, "finding"),
    ({"looks": ("old-bottle",)}, "look"), ({"tested": False}, "no water test"),
    ({"planned_Pa": 5.0 * BAR}, "published maximum"), ({"allowed_Pa": None}, "no water test"),
])
def test_a_rocket_with_an_open_stop_is_not_loaded(change, gate):
    field = Field(plan(rocket("Curlew", "B07", **change))).to("inspected")
    assert gate in gates(field.step("Curlew", "load"))


def test_what_nobody_can_vent_from_a_distance_is_not_put_onto_the_launcher():
    field = Field(plan(rocket("Curlew", "B07", remote_vent=False))).to("loaded")
    assert gates(field.step("Curlew", "seat")) == {"no venting from a distance"}


def test_a_power_line_in_reach_keeps_the_field_from_being_cleared():
    field = Field(plan(rocket("Curlew", "B07", power_line=True))).to("seated")
    field.confirm("field", "sky", "lines")
    assert gates(field.step("Curlew", "clear")) == {"power line"}


def test_a_bottle_that_is_retired_or_unknown_is_not_even_looked_over():
    for change, gate in (({"retired": "it leaked"}, "vessel"), ({"unknown": "no file"}, "vessel unknown"),
                         ({"vessel": ""}, "vessel unknown"), ({"cycles": 15}, "vessel")):
        field = Field(plan(replace(rocket("Curlew", "B07"), **change)))
        assert gate in gates(field.step("Curlew", "inspect"))


@pytest.mark.parametrize("change", [{"remote_vent": False}, {"tested": False}, {"retired": "it leaked"},
                                    {"planned_Pa": 5.0 * BAR}, {"power_line": True}, {"wind_limit_m_s": None},
                                    {"stops": ("unstable",)}])
@pytest.mark.parametrize("gate", sorted(day_table().gates))
def test_no_adult_lifts_what_nobody_may_lift(change, gate):
    field = Field(plan(rocket("Curlew", "B07", **change)))
    field.say("thunder")
    field.say("sky", aircraft=True, darkness=True, frost=True)
    field.say("inside", count=2)
    for code in ("unstable", "people", "thunder", "darkness", "aircraft", "frost", "no water test", "retired",
                 "no remote vent", "power line", "over allowed", "no limit", "wind old"):
        assert field.say("override", "charge", rocket="Curlew", gate=gate, code=code, adult="M. Roe", reason="I say so")
    assert field.day.overrides == {}


def test_what_may_be_lifted_is_lifted_by_an_adult_with_name_and_reason_only():
    field = Field(plan(rocket("Curlew", "B07", stops=("pump-cannot-reach",), looks=("old-bottle",)),
                       local={"number of the emergency call": ""})).to("inspected")
    assert gates(field.step("Curlew", "load")) == {"finding", "look", "local value"}
    lifts = [("finding", "pump-cannot-reach"), ("look", "old-bottle"), ("local value", "number of the emergency call")]
    for gate, code in lifts:
        for adult, reason in (("K", "I say so"), ("M. Roe", " "), ("", "I say so")):
            assert field.say("override", "charge", rocket="Curlew", gate=gate, code=code, adult=adult, reason=reason)
        assert field.say("override", "charge", rocket="Curlew", gate=gate, code=code, adult="M. Roe",
                         reason="we pump less") is None
    assert field.step("Curlew", "load") is None
    assert field.day.overrides["Curlew", "look", "old-bottle"] == ("M. Roe", "we pump less")


def test_a_stop_that_stands_holds_everything_until_the_person_in_charge_lifts_it():
    field = Field()
    field.say("stop", role="nobody", by="a visitor")
    assert "stop" in gates(field.step("Curlew", "inspect"))
    assert "only the person in charge" in why(field.say("lift stop", "pump"))
    assert field.say("lift stop", "charge") is None
    assert field.step("Curlew", "inspect") is None


def test_a_stop_stands_until_the_pressure_is_off():
    field = Field().to("stop")
    assert "until the pressure is off" in why(field.say("lift stop", "charge"))


# --- 2 to 6: pad and bottle -------------------------------------------------------------------------------------------


def test_one_rocket_on_a_launcher():
    field = Field().to("seated", "Curlew").to("loaded", "Wren").to("seated", "Dabchick")
    assert gates(field.step("Wren", "seat")) == {"pad"}


@pytest.mark.parametrize("ends", ["launched", "approach allowed"])
def test_every_time_under_pressure_is_a_cycle_with_its_peak_vented_or_not(ends):
    field = Field().to(ends)
    (cycle,) = field.day.cycles
    assert (cycle.vessel, cycle.ended) == ("B07", "launched" if ends == "launched" else "vented")
    assert cycle.peak_Pa == pytest.approx(4.5 * BAR)


def test_a_cycle_counts_from_the_moment_that_pumping_begins():
    field = Field().to("pressurising")
    again = day_of(field.plan, field.journal)  # the laptop crashed here
    assert [(one.vessel, one.ended) for one in again.cycles] == [("B07", "begun")]


def test_somebody_who_pumped_offline_has_made_a_cycle_and_no_step():
    field = Field().to("field clear")
    refusal = field.step("Curlew", "pump", offline=True)
    assert "not connected" in why(refusal)
    assert field.state() == "field clear"
    assert day_of(field.plan, field.journal).cycles_today("B07") == 1


def test_a_bottle_comes_to_its_tenth_and_fifteenth_time_during_the_day():
    field = Field(plan(rocket("Curlew", "B07", cycles=9, test_left=9)))
    field.to("field open")
    assert field.step("Curlew", "back") is None
    assert "an adult looks over" in why(field.step("Curlew", "inspect"))
    assert field.say("inspection", "charge", vessel="B07", adult="K", fit=True) is not None
    assert field.say("inspection", "charge", vessel="B07", adult="M. Roe", fit=True) is None
    assert field.step("Curlew", "inspect") is None
    last = Field(plan(rocket("Curlew", "B07", cycles=14, test_left=9))).to("field open")
    last.step("Curlew", "back")
    assert "15 are its life" in why(last.step("Curlew", "inspect"))


def test_a_hard_landing_ends_the_water_test():
    field = Field().to("launched")
    field.step("Curlew", "down", landing="hard")
    field.read("Curlew", "0 bar")
    field.confirm("charge")
    assert field.step("Curlew", "open") is None
    field.step("Curlew", "back")
    field.step("Curlew", "inspect")
    assert gates(field.step("Curlew", "load")) == {"no water test"}


def test_a_leak_retires_the_bottle_wherever_it_flies():
    both = plan(rocket("Curlew", "B07"), rocket("Wren", "B07", "B"))
    field = Field(both).to("holding")
    assert field.step("Curlew", "leak") is None
    assert field.state() == "stop"
    assert field.day.cycles[0].ended == "leak"
    assert gates(field.step("Wren", "inspect")) >= {"vessel", "stop"}


# --- 7, 8: what the gauge reads ---------------------------------------------------------------------------------------


def test_pumper_and_watch_each_read_the_gauge():
    field = Field().to("pressurising")
    field.say("reading", "pump", rocket="Curlew", pressure="4.5 bar")
    assert gates(field.step("Curlew", "hold")) == {"readings missing"}
    assert "only pumper and field watch" in why(field.say("reading", "record", rocket="Curlew", pressure="4.5 bar"))


@pytest.mark.parametrize(("watch", "differ"), [("4.5 bar", False), ("4.3 bar", False), ("4.29 bar", True),
                                               ("4.71 bar", True), ("65.3 psi", False)])
def test_two_readings_further_apart_than_the_gauges_error_hold_the_launch(watch, differ):
    field = Field().to("pressurising")
    field.read("Curlew", "4.5 bar", watch)
    refusal = field.step("Curlew", "hold")
    assert (refusal is not None) == differ
    if differ:
        assert gates(refusal) == {"readings differ"}


@pytest.mark.parametrize("nought", ["0", "0.0", "0,0", "0 bar", "0 psi"])
def test_a_gauge_that_shows_nothing_is_read_as_nought_without_a_unit(nought):
    field = Field().to("venting")
    assert field.say("reading", "pump", rocket="Curlew", pressure=nought) is None
    assert field.day.rockets["Curlew"].readings == {"pump": 0.0}
    assert field.step("Curlew", "zero") is None


def test_a_number_alone_on_the_gauge_or_of_the_wind_is_asked_back_with_what_to_type():
    field = Field().to("pressurising")
    refusal = field.say("reading", "pump", rocket="Curlew", pressure="2.5")
    assert why(refusal) == "what was typed needs its unit: type 2.5 bar, or 2.5 psi"
    assert field.day.rockets["Curlew"].readings == {}
    assert why(field.wind("3")) == "what was typed needs its unit: type 3 m/s, or 3 km/h"
    refusal = field.say("wind", mean="3 m/s", gust="4 m/s", height="2")
    assert why(refusal) == "what was typed needs its unit: type 2 m, or 2 ft"


def test_more_than_is_allowed_on_the_gauge_is_vented():
    field = Field().to("pressurising")
    field.say("reading", "watch", rocket="Curlew", pressure="4.81 bar")
    assert field.state() == "stop"
    assert field.day.cycles[0].peak_Pa == pytest.approx(4.81 * BAR)
    assert field.step("Curlew", "vent") is None  # at once: it is no misfire


# --- 9: hold points ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("point", ["charge", "field", "sky", "wind", "lines"])
def test_the_release_needs_every_point_confirmed_by_its_own_role(point):
    field = Field().to("ready")
    field.say("take", "pull", rocket="Curlew")
    field.confirm(*({"charge", "field", "sky", "wind", "lines"} - {point}))
    assert day_table().confirms[point].says in why(field.step("Curlew", "launch"))
    assert field.say("confirm", "pull", point=point) is not None
    field.confirm(point)
    assert field.step("Curlew", "launch") is None


def test_a_confirmation_counts_for_half_a_minute():
    for late in (30.0, 30.1):
        field = Field().to("ready")
        field.wind()
        field.say("take", "pull", rocket="Curlew")
        field.confirm("charge", "field", "sky", "wind", "lines")
        field.time += late
        assert (field.step("Curlew", "launch") is None) == (late <= 30.0)


def test_nothing_is_confirmed_beforehand():
    field = Field().to("holding")
    field.confirm("charge", "field", "sky", "wind", "lines")
    field.say("take", "pull", rocket="Curlew")
    field.read("Curlew", "4.5 bar")
    assert field.step("Curlew", "tight") is None
    assert "not confirmed" in why(field.step("Curlew", "launch"))


def test_the_person_in_charge_is_an_adult_without_another_role():
    child, twice = CrewMember("K2", False), CrewMember("L. Ash", True)
    for people in ({"charge": child}, {"charge": twice}, {"pump": twice}):
        field = Field(plan()).to("seated")
        field.day = replace(field.day, roles={**field.day.roles, **people})
        field.confirm("field", "sky", "lines")
        assert gates(field.step("Curlew", "clear")) == {"roles"}


def test_each_step_is_done_by_its_own_role():
    field = Field().to("field clear")
    field.wind()
    field.confirm("charge", "wind")
    assert "only the pumper" in why(field.step("Curlew", "pump", "pull"))
    assert "only the pumper" in why(field.step("Curlew", "pump", by="somebody else"))


# --- 11 to 13: what blocks, and what leads to a stop with pressure on ------------------------------------------------


BLOCKS = {
    "people": lambda field: field.say("inside", count=1),
    "wind": lambda field: field.wind("4.1 m/s", "4.1 m/s"),
    "thunder": lambda field: field.say("thunder"),
    "aircraft": lambda field: field.say("sky", aircraft=True),
    "darkness": lambda field: field.say("sky", darkness=True),
    "frost": lambda field: field.say("sky", frost=True),
    "link": lambda field: field.say("link", role_of="watch", lost=True),
}


@pytest.mark.parametrize("gate", sorted(BLOCKS))
def test_what_blocks_before_pumping(gate):
    field = Field().to("field clear")
    field.wind()
    BLOCKS[gate](field)
    field.confirm("charge", "wind")
    assert gates(field.step("Curlew", "pump")) == {gate}


@pytest.mark.parametrize("gate", sorted(BLOCKS))
@pytest.mark.parametrize("state", ["pressurising", "holding", "ready"])
def test_what_arises_with_pressure_on_leads_to_a_stop(gate, state):
    field = Field().to(state)
    assert due(field.day, field.day.at) == []
    BLOCKS[gate](field)
    at = field.day.at
    (one,) = due(field.day, at)
    assert one.rocket == "Curlew"
    assert field.say("stop", why=one.why) is None
    assert field.state() == "stop"


def test_nothing_is_due_while_nothing_stands_against_it():
    field = Field().to("ready")
    assert due(field.day, field.day.at) == []


def test_gusts_over_the_limit_block_as_the_wind_does():
    field = Field().to("field clear")
    field.wind("3 m/s", "4.1 m/s")
    field.confirm("charge", "wind")
    assert gates(field.step("Curlew", "pump")) == {"wind"}


def test_a_wind_reading_counts_for_five_minutes():
    for later, blocked in ((299.0, False), (302.0, True)):
        trial = Field().to("field clear")
        trial.wind()
        trial.time += later
        trial.confirm("charge", "wind")
        assert (trial.step("Curlew", "pump") is not None) == blocked


def test_thirty_minutes_after_the_last_thunder():
    for later, blocked in ((1799.0, True), (1801.0, False)):
        field = Field().to("field clear")
        field.say("thunder")
        field.time += later
        field.wind()
        field.confirm("charge", "wind")
        assert (field.step("Curlew", "pump") is not None) == blocked


def test_who_came_in_is_out_when_the_field_watch_says_so():
    field = Field()
    assert field.say("inside", "pump", count=2) is None  # anybody sees somebody
    assert "only the field watch" in why(field.say("inside", "pump", count=0))
    assert field.say("inside", "watch", count=0) is None


def test_a_bottle_is_not_left_under_pressure():
    field = Field().to("ready")
    field.wind()
    assert due(field.day, field.day.at) == []
    for _ in range(3):
        field.time += 200.0
        field.wind()
    (one,) = due(field.day, field.day.at)
    assert "ten minutes" in one.why


def test_a_stop_under_pressure_is_vented_within_a_minute():
    field = Field().to("stop")
    assert due(field.day, field.day.at + 59.0) == []
    assert "let off now" in due(field.day, field.day.at + 62.0)[0].why


# --- 14, 15, 16, 17 ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("before", ["ready", "launched"])
def test_after_a_misfire_nobody_does_anything_for_a_minute(before):
    field = Field().to(before)
    assert field.step("Curlew", "misfire") is None
    field.time += 58.0
    assert gates(field.step("Curlew", "vent")) == {"misfire wait"}
    field.time += 3.0
    assert field.step("Curlew", "vent") is None


def test_two_minutes_at_zero_and_a_second_sign_before_anybody_goes_near():
    field = Field().to("misfire wait")
    field.confirm("charge")
    assert gates(field.step("Curlew", "approach")) == {"zero wait", "second sign"}
    field.time += 121.0
    field.confirm("charge")
    assert gates(field.step("Curlew", "approach")) == {"second sign"}
    assert field.say("second sign", "watch", rocket="Curlew", sign=" ") is not None
    assert field.say("second sign", "watch", rocket="Curlew", sign="the water has run out") is None
    assert field.step("Curlew", "approach") is None


def test_pressure_that_comes_back_begins_the_wait_anew():
    field = Field().to("misfire wait")
    field.time += 100.0
    field.say("reading", "pump", rocket="Curlew", pressure="0.3 bar")
    assert field.state() == "venting"
    assert gates(field.step("Curlew", "zero")) == {"pressure left"}
    field.read("Curlew", "0 bar")
    assert field.step("Curlew", "zero") is None
    field.time += 100.0
    field.say("second sign", "watch", rocket="Curlew", sign="the water has run out")
    field.confirm("charge")
    assert gates(field.step("Curlew", "approach")) == {"zero wait"}


def test_the_field_opens_at_zero_with_the_rocket_down_by_the_word_of_the_person_in_charge():
    field = Field().to("launched")
    assert field.day.field_closed
    assert field.step("Curlew", "open", "charge") is not None  # not down yet
    field.step("Curlew", "down")
    field.confirm("charge")
    assert gates(field.step("Curlew", "open")) == {"pressure left"}
    field.read("Curlew", "0 bar")
    assert "only the person in charge" in why(field.step("Curlew", "open", "watch"))
    assert field.step("Curlew", "open") is None
    assert not field.day.field_closed


def test_in_the_air_stop_leaves_the_field_closed():
    field = Field().to("launched")
    field.say("stop")
    assert field.state() == "launched"
    assert field.day.field_closed


@pytest.mark.parametrize("place", ["tree", "roof", "water", "road", "power line"])
def test_a_rocket_in_a_tree_is_given_up(place):
    field = Field().to("launched")
    field.step("Curlew", "down", landing=place)
    field.read("Curlew", "0 bar")
    field.confirm("charge")
    assert gates(field.step("Curlew", "open")) == {"not retrieved"}
    assert field.step("Curlew", "give up") is None
    assert field.state() == "not retrieved"
    assert not field.day.field_closed
    assert field.say("step", "pump", rocket="Curlew", event="inspect") is not None


def test_a_near_miss_freezes_the_queue_until_it_is_signed():
    field = Field()
    field.say("near miss", note="it came down beside a child")
    assert gates(field.step("Curlew", "inspect")) == {"near miss"}
    assert "only the person in charge" in why(field.say("near miss signed", "watch"))
    assert field.say("near miss signed", "charge") is None
    assert field.step("Curlew", "inspect") is None


# --- 18: devices ------------------------------------------------------------------------------------------------------


def test_two_devices_never_hold_one_launch():
    field = Field().to("ready")
    assert field.say("take", "pull", rocket="Curlew", device="one") is None
    assert "another device" in why(field.say("take", "pull", rocket="Curlew", device="two"))
    field.wind()
    field.confirm("charge", "field", "sky", "wind", "lines")
    assert "another device" in why(field.step("Curlew", "launch", device="two"))
    assert field.step("Curlew", "launch", device="one") is None


def test_what_a_device_says_that_was_cut_off_never_leads_on():
    field = Field().to("ready")
    field.say("take", "pull", rocket="Curlew")
    for what, more in (("confirm", {"point": "charge"}), ("inside", {"count": 0}), ("take", {"rocket": "Curlew"})):
        assert field.say(what, "charge", offline=True, **more) is not None
    assert field.say("stop", offline=True) is None
    assert field.state() == "stop"


def test_an_entry_that_makes_no_sense_is_refused_in_words():
    field = Field()
    for entry in ({}, {"what": "step"}, {"what": "dance", "at": field.at()}, {"what": "step", "at": "noon"},
                  {"what": "wind", "at": field.at(), "mean": "strong", "entry": "x"},
                  {"what": "step", "at": field.at(), "rocket": "Nobody", "event": "pump"}):
        after, refusal = decide(field.day, entry)
        assert refusal is not None
        assert after.rockets == field.day.rockets


def test_after_a_crash_the_journal_makes_the_same_day():
    field = Field().to("field open")
    field.step("Curlew", "back")
    field.to("ready", "Wren")
    again = day_of(field.plan, field.journal)
    assert again.rockets == field.day.rockets
    assert again.cycles == field.day.cycles
    assert again.refused == ()


@given(st.data())
@settings(max_examples=30)
def test_journals_joined_in_any_order_make_the_same_day(data):
    field = Field().to("launched")
    field.say("thunder")
    field.to("down")
    shuffled = data.draw(st.permutations([*field.journal, *field.journal[::3]]))
    assert day_of(field.plan, shuffled) == day_of(field.plan, field.journal)


# --- any day at all ---------------------------------------------------------------------------------------------------

EVENTS = sorted(day_table().events - {"stop"})
NAMES = ("Curlew", "Wren", "Dabchick")


class Watched(Field):
    """A field on which every step that was taken is held to what has to be so."""

    def step(self, name, event, role=None, **more):
        was = self.day
        refusal = super().step(name, event, role, **more)
        if refusal is not None:
            assert self.day.rockets[name] == was.rockets[name]
            return refusal
        step = day_table().steps[was.rockets[name].state, event]
        assert self.day.rockets[name].state == step.to
        if event == "pump":
            self._held_to(was)
            assert len(self.day.cycles) == len(was.cycles) + 1
        if event == "launch":
            self._held_to(was)
            assert all(self.day.at - when <= 30.0 for when, _ in (was.confirms[one] for one in step.confirm))
        return None

    def _held_to(self, was):
        assert was.inside == 0
        assert not was.stop
        assert not was.near_miss
        assert was.wind is not None
        assert self.day.at - was.wind.at <= 300.0
        assert max(was.wind.mean_m_s, was.wind.gust_m_s) <= 4.0
        assert not was.sky
        assert was.thunder is None or self.day.at - was.thunder >= 1800.0


class AnyDay(RuleBasedStateMachine):
    """Presses anything in any order on any device, and now and then does what leads on."""

    def __init__(self) -> None:
        super().__init__()
        self.field = Watched()

    @rule(name=st.sampled_from(NAMES), event=st.sampled_from(EVENTS), role=st.sampled_from(sorted(day_table().roles)))
    def press(self, name, event, role):
        self.field.step(name, event, role)

    @rule(name=st.sampled_from(NAMES), reads=st.booleans(),
          state=st.sampled_from(["seated", "field clear", "ready", "launched", "waiting"]))
    def lead(self, name, state, reads):
        self.field.reads_the_wind = reads
        for _ in range(8):
            if self.field.state(name) in ("retired", "not retrieved", state):
                return
            if self.field.onwards(state, name) is not None:
                return

    @rule(seconds=st.sampled_from([1.0, 61.0, 121.0, 400.0, 1900.0]))
    def wait(self, seconds):
        self.field.time += seconds
        for one in due(self.field.day, self.field.day.at):
            assert self.field.state(one.rocket) in ("pressurising", "holding", "ready", "stop")

    @rule(mean=st.sampled_from(["1 m/s", "4.5 m/s"]))
    def wind(self, mean):
        self.field.wind(mean, mean)

    @rule(what=st.sampled_from(["thunder", "stop", "near miss"]))
    def cry(self, what):
        self.field.say(what, role="nobody")

    @rule(count=st.integers(0, 2), dark=st.booleans())
    def see(self, count, dark):
        self.field.say("inside", "watch", count=count)
        self.field.say("sky", "watch", darkness=dark, aircraft=False)

    @rule(name=st.sampled_from(NAMES), pressure=st.sampled_from(["0 bar", "3 bar", "4.5 bar", "5 bar"]))
    def read(self, name, pressure):
        self.field.read(name, pressure)

    @rule(what=st.sampled_from(["lift stop", "near miss signed"]))
    def sign(self, what):
        self.field.say(what, "charge")

    @precondition(lambda self: any(now.state == "misfire wait" for now in self.field.day.rockets.values()))
    @rule()
    def look(self):
        for name in NAMES:
            self.field.say("second sign", "watch", rocket=name, sign="the water has run out")
        self.field.confirm("charge")

    @invariant()
    def one_on_a_launcher(self):
        pressed = [self.field.plan.rockets[name].pad for name, now in self.field.day.rockets.items()
                   if day_table().states[now.state].pressure == "may be"]
        assert len(pressed) == len(set(pressed))

    @invariant()
    def the_field_is_closed_while_there_may_be_pressure(self):
        if any(day_table().states[now.state].pressure != "none" for now in self.field.day.rockets.values()):
            assert self.field.day.field_closed

    @invariant()
    def every_time_under_pressure_is_counted(self):
        journal, begun = self.field.journal, {one.entry for one in self.field.day.cycles}
        pumped = {one["entry"] for one in journal if one["what"] == "step" and one["event"] == "pump"}
        found = {one["entry"] for one in journal if one["what"] == "reading"}  # pressure where there should be none
        assert len(begun) == len(self.field.day.cycles)
        assert pumped <= begun <= pumped | found

    @invariant()
    def the_journal_makes_this_day(self):
        if len(self.field.journal) % 7 == 0:
            assert day_of(self.field.plan, self.field.journal).rockets == self.field.day.rockets


AnyDay.TestCase.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)
test_any_day = AnyDay.TestCase
