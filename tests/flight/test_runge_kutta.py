"""The two Runge–Kutta pairs against the order conditions of rooted trees (Hairer, Nørsett and Wanner, §II.2)."""

import math
from functools import cache

import numpy as np
import pytest

from bottlewright.flight import runge_kutta, state
from bottlewright.flight.runge_kutta import ENDURANCE, LAST, dense, next_step

# The tables as the compiled code has them, with the end of the step as the last stage.
WEIGHTS, ERROR = runge_kutta._WEIGHTS, runge_kutta._ERROR
PAIRS = {"precise": 0, "enduring": 1}
AIR, WATER = state.GAS, state.WATER


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


def stages_of(tree, table):
    """Elementary weights of a tree at every stage."""
    return math.prod((table @ stages_of(branch, table) for branch in tree), start=np.ones(len(table)))


def worst(table, weights, order, part=1.0):
    """Greatest departure from the conditions up to an order, at a part of the step."""
    return max(
        abs(weights @ stages_of(tree, table) - part**n / density(tree))
        for n in range(1, order + 1) for tree in trees(n)
    )  # fmt: skip


def dense_weights(phase, part):
    """Weights of the stages in the dense output, read off unit stages of a step of 1."""
    pair = PAIRS["enduring"] if phase == WATER else PAIRS["precise"]
    weights = np.empty(8)
    for j in range(8):
        k = np.zeros((8, 1))
        k[j, 0] = 1.0
        out = np.empty(1)
        dense(phase, part, 1.0, np.zeros(1), np.array([WEIGHTS[pair, LAST, j]]), 1, k, out)
        weights[j] = out[0]
    return weights


def test_there_are_as_many_trees_as_the_textbook_says():
    assert [len(trees(n)) for n in range(1, 7)] == [1, 1, 2, 4, 9, 20]


@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS)
def test_the_step_is_of_fifth_order_and_its_companion_of_fourth(pair):
    table, ends = WEIGHTS[pair], WEIGHTS[pair, LAST]
    assert worst(table, ends, 5) < 2e-15
    assert worst(table, ends, 6) > 1e-4
    assert worst(table, ends - ERROR[pair], 4) < 2e-15
    assert worst(table, ends - ERROR[pair], 5) > 1e-4


@pytest.mark.parametrize("phase", [AIR, WATER], ids=["precise", "enduring"])
@pytest.mark.parametrize("part", [0.0, 0.2, 0.5, 0.77, 1.0])
def test_the_dense_output_is_of_fourth_order_everywhere(phase, part):
    pair = PAIRS["enduring"] if phase == WATER else PAIRS["precise"]
    assert worst(WEIGHTS[pair], dense_weights(phase, part), 4, part) < 2e-14


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


def test_the_enduring_pair_is_stable_beyond_the_longest_step_it_is_given():
    assert longest_stable(PAIRS["enduring"]) == pytest.approx(8.482, abs=2e-3)
    assert ENDURANCE < 8.482
    inside = [abs(growth(PAIRS["enduring"], -step)) for step in np.arange(2.0, ENDURANCE, 0.01)]
    assert max(inside) < 0.85


def test_a_failed_step_is_cut_and_a_good_one_grows():
    assert next_step(1.0, math.inf, 1.0) == 0.1
    assert next_step(1.0, 30.0, 1.0) < 0.6
    assert 1.0 < next_step(1.0, 1e-3, 1.0) <= 8.0
