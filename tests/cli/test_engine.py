"""Who flies many flights: the processor, a cluster, or graphics cards."""

import pytest
from commands import CURLEW, run


@pytest.mark.parametrize("command", ["scatter", "tune"])
def test_without_a_card_a_command_says_what_is_missing_and_what_to_leave_out(command):
    result = run(command, CURLEW, "--engine", "gpu")
    assert result.returncode == 2
    assert "leave out --engine gpu, and the processor flies" in " ".join(result.stderr.split())
    assert "Traceback" not in result.stderr


def test_a_cluster_and_the_cards_of_this_machine_are_not_asked_for_at_once():
    result = run("tune", CURLEW, "--engine", "gpu", "--cluster", "tcp://127.0.0.1:9")
    assert result.returncode == 2
    assert "leave one of them out" in " ".join(result.stderr.split())
