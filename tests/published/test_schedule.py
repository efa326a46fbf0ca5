"""The critical path against published networks."""

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bottlewright.make.plan.schedule import Task, critical_path


def network(arcs):
    """Turn arcs (from event, to event, duration) into tasks: each waits for all that end where it begins."""
    return [Task(f"{a}-{b}", "", d, after=tuple(f"{c}-{e}" for c, e, _ in arcs if e == a)) for a, b, d in arcs]


def test_taylors_network_takes_20_days_with_his_slack():
    # B. W. Taylor, Introduction to Management Science, ch. 8, problem 5.
    arcs = [(1, 2, 7), (1, 3, 10), (2, 4, 6), (3, 4, 5), (3, 5, 4), (4, 5, 3), (5, 6, 2)]
    timing = critical_path(network(arcs))
    assert max(t.finish for t in timing.values()) == 20
    assert [timing[f"{a}-{b}"].slack for a, b, _ in arcs] == [2, 0, 2, 0, 4, 0, 0]


def test_a_textbook_network_of_eight_activities():
    # Activity-on-node example met in many textbooks (A2 B3 C2 D4 E4 F3 G5 H2): 15 weeks, critical A C E G H.
    # Original not checked.
    after = {"A": "", "B": "", "C": "A", "D": "AB", "E": "C", "F": "C", "G": "DE", "H": "FG"}
    days = {"A": 2, "B": 3, "C": 2, "D": 4, "E": 4, "F": 3, "G": 5, "H": 2}
    timing = critical_path([Task(k, "", days[k], after=tuple(v)) for k, v in after.items()])
    assert max(t.finish for t in timing.values()) == 15
    assert {k for k, t in timing.items() if t.slack == 0} == set("ACEGH")
    assert [timing[k].slack for k in "BDF"] == [1, 1, 6]


@settings(max_examples=50)
@given(
    st.integers(2, 12).flatmap(
        lambda n: st.tuples(
            st.lists(st.integers(0, 20), min_size=n, max_size=n),
            st.sets(st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)).filter(lambda e: e[0] < e[1])),
        )
    )
)
def test_the_longest_way_through_any_network_is_the_one_that_networkx_finds(case):
    days, edges = case
    tasks = [Task(str(k), "", d, after=tuple(str(a) for a, b in edges if b == k)) for k, d in enumerate(days)]
    graph = nx.DiGraph()
    for k, d in enumerate(days):  # a task is an edge from its begin to its end
        graph.add_edge(f"{k}b", f"{k}e", weight=d)
    graph.add_weighted_edges_from((f"{a}e", f"{b}b", 0) for a, b in edges)
    longest = nx.dag_longest_path_length(graph)
    timing = critical_path(tasks)
    assert max(t.finish for t in timing.values()) == longest
    assert min(t.slack for t in timing.values()) == pytest.approx(0)
