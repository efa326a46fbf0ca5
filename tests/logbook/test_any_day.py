"""Any day at all is held to the rules."""

from days import Field
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from bottlewright.logbook.day import day_of
from bottlewright.logbook.day_stop import due
from bottlewright.logbook.day_table import day_table

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
