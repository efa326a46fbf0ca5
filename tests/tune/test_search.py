import numpy as np
import pytest

from bottlewright.tune.search import Trials, best_point, grid_points, merit


def hill(points):
    """A bent ridge with its top of 40 at (0.62, 0.3), no limits."""
    x, y = points[:, 0], points[:, 1]
    worth = 40.0 - 60.0 * (y - 0.3 - 0.5 * (x - 0.62)) ** 2 - 20.0 * (x - 0.62) ** 2
    return Trials(worth, np.ones((len(points), 1)))


def walled(points):
    """The same hill behind a slanting wall: x + y may not pass 0.7."""
    trials = hill(points)
    return Trials(trials.worth, (0.7 - points.sum(axis=1))[:, None])


def brute(evaluate, bounds, steps=801):
    points = grid_points(bounds, [steps] * len(bounds))
    trials = evaluate(points)
    return float(trials.worth[(trials.slacks >= 0.0).all(axis=1)].max())


@pytest.mark.parametrize("evaluate", [hill, walled])
def test_the_top_agrees_with_brute_force_on_a_fine_grid(evaluate):
    bounds = [(0.0, 1.0), (0.0, 1.0)]
    point = best_point(evaluate, bounds, np.array([0.1, 0.9]))
    trials = evaluate(point[None, :])
    assert (trials.slacks >= 0.0).all()
    assert trials.worth[0] == pytest.approx(brute(evaluate, bounds), abs=0.02)


def test_a_top_on_the_bound_is_found_on_the_bound():
    point = best_point(hill, [(0.0, 0.4), (0.0, 1.0)], np.array([0.1, 0.9]))
    assert point == pytest.approx([0.4, 0.19], abs=0.01)


def test_a_wall_just_inside_a_bound_is_walked_up_to():
    """The best place is on the wall, 1 % of the span from the corner of two bounds where the search begins."""

    def evaluate(points):
        return Trials(30.0 * points[:, 0] + 10.0 * points[:, 1], (0.01 - points[:, 0])[:, None])

    point = best_point(evaluate, [(0.0, 1.0), (0.0, 1.0)], np.array([0.5, 0.5]))
    assert point == pytest.approx([0.01, 1.0], abs=0.003)


def test_the_last_search_is_left_where_it_beats_nothing():
    flown = []

    def evaluate(points):
        flown.append(len(points))
        return hill(points)

    point = best_point(evaluate, [(0.0, 1.0), (0.0, 1.0)], np.array([0.1, 0.9]))
    generation = 8 * 2
    assert flown.count(generation) <= 2  # where the walk ends, and one more; it may go on for seven
    assert hill(point[None, :]).worth[0] == pytest.approx(40.0, abs=1e-3)


def test_five_variables_agree_with_the_known_top():
    middle = np.array([0.3, 0.7, 0.5, 0.2, 0.9])

    def evaluate(points):
        return Trials(30.0 - 40.0 * ((points - middle) ** 2).sum(axis=1), np.ones((len(points), 1)))

    point = best_point(evaluate, [(0.0, 1.0)] * 5, np.full(5, 0.5))
    assert evaluate(point[None, :]).worth[0] > 29.9


def test_nothing_inside_the_limits_gives_the_point_that_is_least_over():
    def evaluate(points):
        return Trials(points[:, 0], (-0.2 - np.abs(points[:, 0] - 0.4))[:, None])

    assert best_point(evaluate, [(0.0, 1.0)], np.array([0.9])) == pytest.approx([0.4], abs=0.01)


def test_any_trial_inside_the_limits_beats_any_outside():
    trials = Trials(np.array([-1e6, 1e6, 5.0, 4.0]), np.array([[0.1], [-0.001], [0.0], [-3.0]]))
    assert list(np.argsort(-merit(trials))) == [2, 0, 1, 3]


def test_the_same_seed_gives_the_same_answer():
    def evaluate(points):
        return Trials(np.sin(9.0 * points).sum(axis=1), np.ones((len(points), 1)))

    first, second = (best_point(evaluate, [(0.0, 1.0)] * 3, np.full(3, 0.5), seed=4) for _ in range(2))
    assert (first == second).all()
