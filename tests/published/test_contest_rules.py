"""Contests as they are scored by rules in print: each row as the rule's own text works it out.

The rules were read in published contests of schools and clubs; the contests' names were not kept with the rows.
"""

import pytest

from bottlewright.logbook.placing import placed_teams
from bottlewright.logbook.scoring import Flown, rules

RULES = rules()


def times(*seconds: float, watches: int = 3) -> list[Flown]:
    return [Flown(time=(one, 0.0), watches=watches) for one in seconds]


def flown(height: float, **more) -> Flown:
    return Flown(height=(height, 0.0), **more)


def order(rule: str, **teams) -> list[tuple[str, int | None]]:
    return [(one.team, one.place) for one in placed_teams(RULES[rule], teams)]


@pytest.mark.parametrize(("seconds", "apart"), [((7.2, 8.1, 7.4), 0.2), ((9.0, 6.5, 8.8), 0.2), ((7.0, 5.8, 7.3), 0.3)])
def test_the_closest_pair_of_three_flights(seconds, apart):
    """As a published contest rule works it out (read): a flight under 6 s is invalid."""
    (team,) = placed_teams(RULES["repeatability"], {"A": times(*seconds)})
    assert team.score == pytest.approx(apart)


def test_the_mean_of_three_stopwatches_over_the_best_in_percent():
    """A published contest rule (read)."""
    found = placed_teams(RULES["time share"], {"A": times(8.0), "B": times(6.0), "C": times(20.0, watches=2)})
    assert [(one.team, one.score) for one in found] == [("A", 100.0), ("B", 75.0), ("C", None)]


def test_the_sum_of_two_flights():
    """A published contest rule (read): the best two of all."""
    found = placed_teams(RULES["longest"], {"A": times(5.0, 9.0, 7.0), "B": times(15.0)})
    assert [(one.team, one.place, one.score) for one in found] == [("A", 1, 16.0), ("B", None, None)]


def test_the_relative_error_from_a_height_said_before():
    """A published contest rule (read)."""
    near = [flown(48.0, target=50.0), flown(70.0, target=50.0)]
    found = placed_teams(RULES["nearest"], {"A": near, "B": [flown(33.0, target=30.0)]})
    assert [(one.team, pytest.approx(one.score)) for one in found] == [("A", 0.04), ("B", 0.1)]


def test_an_egg_that_breaks_is_out():
    """A published contest rule (read)."""
    teams = {"A": [flown(60.0, egg="broken")], "B": [flown(20.0, egg="whole")], "C": [flown(90.0)]}
    assert order("egg", **teams) == [("B", 1), ("A", None), ("C", None)]


def test_a_weighted_total_with_the_time_in_the_air_as_forty_five_percent():
    """A published contest's weight of the time (read); height has the rest."""
    teams = {"A": [flown(60.0, time=(5.0, 0.0)), flown(50.0, time=(5.0, 0.0))],
             "B": [flown(30.0, time=(10.0, 0.0)), flown(30.0, time=(10.0, 0.0))]}  # fmt: skip
    found = placed_teams(RULES["all round"], teams)
    assert {one.team: one.score for one in found} == pytest.approx({"A": 0.55 + 0.225, "B": 0.275 + 0.45})
