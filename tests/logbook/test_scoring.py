"""Rules of contests as data: what a team gets, who is first, and what happens between equals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bottlewright.design.errors import DesignError
from bottlewright.logbook.placing import placed_teams
from bottlewright.logbook.records import FlightFile
from bottlewright.logbook.scoring import Flown, own_rules, rules, teams_of

RULES = rules()


def order(rule: str, **teams) -> list[tuple[str, int | None]]:
    return [(one.team, one.place) for one in placed_teams(RULES[rule], teams)]


def test_farthest_and_highest():
    teams = {"A": [Flown(height=(40.0, 0.0), away=(70.0, 0.0))], "B": [Flown(height=(50.0, 0.0), away=(60.0, 0.0))]}
    assert order("highest", **teams) == [("B", 1), ("A", 2)]
    assert order("farthest", **teams) == [("A", 1), ("B", 2)]


def test_between_equals_the_next_best_flight_decides_then_fewer_flights():
    a, b, c = ([Flown(height=(one, 0.0)) for one in heights]
               for heights in ((50.0, 40.0), (50.0, 45.0), (50.0, 40.0, 10.0)))  # fmt: skip
    assert order("highest", a=a, b=b, c=c) == [("b", 1), ("a", 2), ("c", 3)]


def test_who_is_equal_in_everything_shares_the_place_and_the_next_one_is_left_out():
    same = [Flown(height=(50.0, 0.0))]
    assert order("highest", b=same, a=same, c=[Flown(height=(9.0, 0.0))]) == [("a", 1), ("b", 1), ("c", 3)]


def test_a_flight_that_was_taken_out_does_not_count():
    out, low = [Flown(height=(50.0, 0.0), counts=False)], [Flown(height=(9.0, 0.0))]
    assert order("highest", a=out, b=low) == [("b", 1), ("a", None)]


heights = st.lists(st.floats(1.0, 200.0), min_size=0, max_size=4)


@given(st.dictionaries(st.sampled_from("abcde"), heights, min_size=1))
def test_places_do_not_depend_on_the_order_in_which_teams_are_named(teams):
    flown = {team: [Flown((one, 0.0), (one, 0.0), 3, (one, 0.0), "whole", target=50.0) for one in values]
             for team, values in teams.items()}  # fmt: skip
    for rule in RULES.values():
        once, again = placed_teams(rule, flown), placed_teams(rule, dict(reversed(list(flown.items()))))
        assert once == again
        places = [one.place for one in once if one.place is not None]
        assert places == sorted(places)
        assert places[:1] in ([], [1])


OWN = '''
schema = 1
[[rule]]
name = "our cup"
says = "mean height of three flights"
measure = "height"
of = "mean"
count = 3
[[rule]]
name = "both"
says = "half and half"
parts = [["our cup", 0.5], ["longest", 0.5]]
'''


def test_a_school_has_rules_of_its_own():
    own = own_rules(OWN)
    (team,) = placed_teams(own["our cup"], {"A": [Flown(height=(one, 0.0)) for one in (10.0, 40.0, 50.0, 60.0)]}, own)
    assert team.score == pytest.approx(50.0)
    assert placed_teams(own["both"], {"A": [Flown(height=(10.0, 0.0))] * 3}, own)[0].score == pytest.approx(0.5)
    assert placed_teams(own["our cup"], {"A": [Flown(height=(10.0, 0.0))]}, own)[0].score is None  # three are asked for


@pytest.mark.parametrize(("wrong", "line", "says"), [
    ('measure = "hight"', 6, "hight"), ("", 3, "neither what is measured"),
    ('parts = [["nothing", 1.0]]', 6, "no single rule"), ('parts = [["longest", 0.0]]', 6, "weight above 0"),
    ('measure = "time"\nat_least = "6 m"', 7, "6 m"), ('measure = "time"\ntarget = true', 7, "is a height"),
    ('measure = "time"\nparts = [["longest", 1.0]]', 6, "made of others"),
    ('measure = "time"\nof = "spread"\nties = ["next best"]', 8, "decides nothing"),
    ('measure = "time"\nof = "spread"\ncount = 1', 8, "compared"), ('measure = "time"\napart = -1.0', 7, "apart"),
    ('measure = "time"\n[[rule]]\nname = "x"\nsays = "z"\nmeasure = "away"', 8, "once more"),
])
def test_a_rule_that_makes_no_sense_is_refused_with_its_line(wrong, line, says):
    text = f'\nschema = 1\n[[rule]]\nname = "x"\nsays = "y"\n{wrong}\n'
    with pytest.raises(DesignError, match=says) as refused:
        own_rules(text)
    assert [one.line for one in refused.value.problems] == [line]


def test_every_rule_says_what_it_asks_for():
    assert {"nearest", "highest", "longest", "farthest", "repeatability", "egg"} <= RULES.keys()
    assert all(rule.says for rule in RULES.values())


def launch(number: int, team: str | None, **more) -> FlightFile:
    tables = {"entry": f"f{number}", "day": "2027-03-20", "number": number, "rocket": "Curlew", "team": team, **more}
    return FlightFile.model_validate({key: value for key, value in tables.items() if value is not None})


def test_teams_have_what_the_logbook_says_of_their_launches():
    heights = [{"what": "height", "value": value, "how": "angles"} for value in ("60 m ± 9 m", "48 m ± 2 m", "70 m")]
    timed = [{"what": "time", "value": "7.2 s ± 0.1 s", "how": "stopwatches", "count": 3}]
    teams = teams_of([launch(2, "7", counts=False), launch(1, "7", measured=[*heights, *timed], egg="whole",
                                                           target="50 m"), launch(3, None), launch(4, "K")])
    first, second = teams["7"]
    assert (first.height, first.time, first.watches, first.egg, first.target) == (
        (48.0, 2.0), (pytest.approx(7.2), pytest.approx(0.1)), 3, "whole", 50.0)
    assert (second.height, second.counts) == (None, False)
    assert list(teams) == ["7", "K"]
    assert [(one.team, one.place) for one in placed_teams(RULES["nearest"], teams)] == [("7", 1), ("K", None)]


def heights_of(*values: tuple[float, float]) -> list[Flown]:
    return [Flown(height=one) for one in values]


def placed(rule, **teams):
    return {one.team: one for one in placed_teams(rule, teams)}


def test_two_heights_within_their_spread_are_a_tie_and_it_is_said():
    """48 m ± 2 m and 50 m ± 2 m: twice the ± of the difference is 5.7 m."""
    found = placed(RULES["highest"], a=heights_of((50.0, 2.0)), b=heights_of((48.0, 2.0)), c=heights_of((40.0, 2.0)))
    assert {team: one.place for team, one in found.items()} == {"a": 1, "b": 1, "c": 3}
    assert (found["a"].near, found["a"].decided) == (("b",), "shared")
    assert found["c"].near == ()


def test_the_bare_figures_decide_where_the_rule_says_so():
    figures = RULES["highest"].model_copy(update={"apart": 0.0})
    found = placed(figures, a=heights_of((50.0, 2.0)), b=heights_of((48.0, 2.0)))
    assert {team: (one.place, one.near) for team, one in found.items()} == {"a": (1, ()), "b": (2, ())}


def test_what_decides_a_tie_within_the_spread_is_named():
    found = placed(RULES["highest"], a=heights_of((50.0, 2.0), (20.0, 2.0)), b=heights_of((48.0, 2.0), (45.0, 2.0)))
    assert {team: (one.place, one.decided) for team, one in found.items()} == {
        "b": (1, "next best"), "a": (2, "next best")}
    again = placed(RULES["highest"], a=heights_of((50.0, 2.0), (44.0, 2.0)), b=heights_of((48.0, 2.0), (45.0, 2.0)))
    assert {one.place for one in again.values()} == {1}  # the next best ones can't be told apart either


def test_teams_in_a_row_each_within_the_spread_of_the_next_still_have_an_order():
    found = placed(RULES["highest"], a=heights_of((50.0, 1.0)), b=heights_of((48.0, 1.0)), c=heights_of((46.0, 1.0)))
    assert {team: one.place for team, one in found.items()} == {"a": 1, "b": 1, "c": 3}
    assert found["c"].near == ("b",)
    assert found["c"].decided == "a third team"


@given(st.dictionaries(st.sampled_from("abcdef"), st.tuples(st.floats(1.0, 60.0), st.floats(0.0, 5.0)), min_size=2))
def test_who_is_clearly_before_another_has_the_better_place_and_equals_share_one(teams):
    found = placed(RULES["highest"], **{team: heights_of(one) for team, one in teams.items()})
    for one, (height, u) in teams.items():
        for other, (less, v) in teams.items():
            if height - less > 2.0 * (u**2 + v**2) ** 0.5 + 1e-6:
                assert found[one].place < found[other].place
                assert other not in found[one].near
    assert min(one.place for one in found.values()) == 1


def test_the_spread_goes_on_into_what_is_made_of_several_flights():
    sums = placed(RULES["longest"], a=[Flown(time=(7.0, 0.3)), Flown(time=(8.0, 0.4))])
    assert (sums["a"].score, sums["a"].spread) == (15.0, pytest.approx(0.5))
    near = placed(RULES["nearest"], a=[Flown(height=(48.0, 2.0), target=50.0)])
    assert (near["a"].score, near["a"].spread) == (pytest.approx(0.04), pytest.approx(0.04))


def test_a_height_that_the_contest_sets_is_one_for_all():
    own = own_rules('schema = 1\n[[rule]]\nname = "fifty"\nsays = "nearest to 50 m"\nmeasure = "height"\n'
                    'order = "least"\nheight = "50 m"\n')
    found = placed(own["fifty"], a=heights_of((45.0, 0.0)), b=[Flown(height=(52.0, 0.0), target=90.0)])
    assert {team: one.score for team, one in found.items()} == pytest.approx({"a": 0.1, "b": 0.04})


def test_first_last_and_lighter():
    text = 'schema = 1\n[[rule]]\nname = "x"\nsays = "y"\nmeasure = "height"\nof = "{of}"\nties = ["lighter"]\n'
    flown = [Flown(height=(30.0, 1.0), mass=(0.11, 0.001)), Flown(height=(20.0, 1.0))]
    other = [Flown(height=(30.0, 1.0), mass=(0.15, 0.001)), Flown(height=(40.0, 1.0))]
    first, last = (placed(own_rules(text.format(of=of))["x"], a=flown, b=other) for of in ("first", "last"))
    assert {team: (one.place, one.decided) for team, one in first.items()} == {"a": (1, "lighter"), "b": (2, "lighter")}
    assert {team: one.place for team, one in last.items()} == {"a": 2, "b": 1}
