"""Who flies many flights: the processor, a cluster, or graphics cards."""

from pathlib import Path

import pytest
from commands import ran

CURLEW = Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"


@pytest.mark.parametrize("command", ["scatter", "tune"])
def test_without_a_card_a_command_says_what_is_missing_and_what_to_leave_out(command):
    result = ran(command, CURLEW, "--engine", "gpu")
    assert result.code == 2
    assert "leave out --engine gpu, and the processor flies" in " ".join(result.err.split())
    assert "Traceback" not in result.err


def test_a_cluster_and_the_cards_of_this_machine_are_not_asked_for_at_once():
    result = ran("tune", CURLEW, "--engine", "gpu", "--cluster", "tcp://127.0.0.1:9")
    assert result.code == 2
    assert "leave one of them out" in " ".join(result.err.split())
