"""The Runge–Kutta pairs against the order conditions of rooted trees (Hairer, Nørsett and Wanner, §II.2).

Of the additive pair every branch of a tree may be taken by either table: Kennedy and Carpenter, Appl. Numer. Math. 44,
139 (2003), §2.1.
"""

import math
from functools import cache

import numpy as np
import pytest

from bottlewright.flight import runge_kutta, state
from bottlewright.flight.runge_kutta import LAST, dense, next_step

# The tables as the compiled code has them, with the end of the step as the last stage.
WEIGHTS, ERROR = runge_kutta._WEIGHTS, runge_kutta._ERROR
PAIRS = {"precise": 0, "enduring": 1, "settling": 2}
PHASES = {"precise": state.GAS, "enduring": state.CANOPY, "settling": state.WATER}
AHEAD = runge_kutta._AHEAD


def implicit_table():
    """The settling pair's table for the jet's speed: its stages count their own rate, and the last is the end."""
    table = np.zeros((LAST + 1, LAST + 1))
    table[:, :LAST] = runge_kutta._IMPLICIT
    table[range(1, LAST), range(1, LAST)] = AHEAD
    table[LAST] = table[LAST - 1]
    return table


def tables_of(pair):
    return [WEIGHTS[pair], implicit_table()] if pair == PAIRS["settling"] else [WEIGHTS[pair]]


@cache
def trees(order):
    """Rooted trees with that many nodes, each a sorted tuple of the branches on its root."""
    return sorted(set(forests(order - 1)))


@cache
def forests(nodes):
    if nodes == 0:
        return [()]
    return [
        tuple(sorted((branch, *rest)))
        for size in range(1, nodes + 1) for branch in trees(size) for rest in forests(nodes - size)
    ]  # fmt: skip


def size(tree):
    return 1 + sum(map(size, tree))


def density(tree):
    return size(tree) * math.prod(map(density, tree))


def stages_of(tree, tables):
    """Elementary weights of a tree at every stage, one for each way to take its branches by the tables."""
    ways = [np.ones(LAST + 1)]
    for branch in tree:
        ways = [way * (table @ inner) for way in ways for table in tables for inner in stages_of(branch, tables)]
    return ways


def worst(tables, weights, order, part=1.0):
    """Greatest departure from the conditions up to an order, at a part of the step."""
    return max(
        abs(weights @ stages - part**n / density(tree))
        for n in range(1, order + 1) for tree in trees(n) for stages in stages_of(tree, tables)
    )  # fmt: skip


def dense_weights(name, part):
    """Weights of the stages in the dense output, read off unit stages of a step of 1."""
    weights = np.empty(LAST + 1)
    for j in range(LAST + 1):
        k = np.zeros((LAST + 1, 1))
        k[j, 0] = 1.0
        out = np.empty(1)
        dense(PHASES[name], part, 1.0, np.zeros(1), np.array([WEIGHTS[PAIRS[name], LAST, j]]), 1, k, out)
        weights[j] = out[0]
    return weights


def test_there_are_as_many_trees_as_the_textbook_says():
    assert [len(trees(n)) for n in range(1, 7)] == [1, 1, 2, 4, 9, 20]


@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS)
def test_the_step_is_of_fifth_order_and_its_companion_of_fourth(pair):
    tables, ends = tables_of(pair), WEIGHTS[pair, LAST]
    assert worst(tables, ends, 5) < 2e-15
    assert worst(tables, ends, 6) > 1e-4
    assert worst(tables, ends - ERROR[pair], 4) < 2e-15
    assert worst(tables, ends - ERROR[pair], 5) > 1e-4


@pytest.mark.parametrize("name", PAIRS)
@pytest.mark.parametrize("part", [0.0, 0.2, 0.5, 0.77, 1.0])
def test_the_dense_output_is_of_fourth_order_everywhere(name, part):
    assert worst(tables_of(PAIRS[name]), dense_weights(name, part), 4, part) < 2e-14


def growth(pair, z):
    """Factor by which a step multiplies y of y' = λ y, with z = h λ."""
    inner = WEIGHTS[pair, :LAST, :LAST]
    return 1.0 + z * WEIGHTS[pair, LAST, :LAST] @ np.linalg.solve(np.eye(LAST) - z * inner, np.ones(LAST))


def longest_stable(pair):
    steps = np.arange(0.0, 12.0, 1e-3)
    return steps[next(i for i, step in enumerate(steps) if abs(growth(pair, -step)) > 1.0 + 1e-9)]


def test_the_precise_pair_is_stable_as_far_as_its_makers_say():
    """Dormand and Prince (1980): 3.3 on the negative real axis."""
    assert longest_stable(PAIRS["precise"]) == pytest.approx(3.307, abs=2e-3)


def test_the_enduring_pair_is_stable_two_and_a_half_times_as_far():
    assert longest_stable(PAIRS["enduring"]) == pytest.approx(8.482, abs=2e-3)
    inside = [abs(growth(PAIRS["enduring"], -step)) for step in np.arange(2.0, 7.2, 0.01)]
    assert max(inside) < 0.85


def test_a_jet_settles_within_a_step_however_long_the_step_is():
    """The implicit stages alone: A-stable, and L-stable, so that what settles quicker than the step leaves nothing."""
    inner, ends = implicit_table()[:LAST, :LAST], WEIGHTS[PAIRS["settling"], LAST, :LAST]
    for z in [*-np.geomspace(1e-3, 1e6, 60), *(1j * np.geomspace(1e-3, 1e6, 60))]:
        assert abs(1.0 + z * ends @ np.linalg.solve(np.eye(LAST) - z * inner, np.ones(LAST))) <= 1.0 + 1e-12
    far = -1e9
    assert abs(1.0 + far * ends @ np.linalg.solve(np.eye(LAST) - far * inner, np.ones(LAST))) < 1e-6


def test_a_failed_step_is_cut_and_a_good_one_grows():
    assert next_step(1.0, math.inf, 1.0) == 0.1
    assert next_step(1.0, 30.0, 1.0) < 0.6
    assert 1.0 < next_step(1.0, 1e-3, 1.0) <= 8.0
