"""What a flight needs is compiled by two processes at once, or by one where there is no other."""

import subprocess
from pathlib import Path

import pytest

from bottlewright.design import complete, read_design
from bottlewright.flight import ahead
from bottlewright.flight.integrate import integrate_flight
from bottlewright.flight.outputs import fill_outputs
from bottlewright.flight.parameters import parameters_of
from bottlewright.flight.vehicle import prepare


class Other:
    """Another process that compiles."""

    def __init__(self, ends):
        self.ends, self.waited, self.killed = ends, False, False

    def wait(self):
        self.waited = True

    def poll(self):
        return 0 if self.ends and self.waited else None

    def kill(self):
        self.killed = True


@pytest.fixture
def compiled(monkeypatch):
    done = []
    monkeypatch.setattr(ahead, "_compile", lambda function, *_: done.append(function))
    monkeypatch.setattr(ahead, "_two_at_once", lambda: True)
    return done


def test_this_process_compiles_the_flight_while_another_compiles_what_makes_the_rocket_ready(compiled, monkeypatch):
    other = Other(ends=True)
    monkeypatch.setattr(subprocess, "Popen", lambda *_, **__: other)
    ahead._compile_both()
    assert compiled == [integrate_flight]
    assert (other.waited, other.killed) == (True, False)


def test_where_no_other_process_can_be_had_this_one_goes_on(compiled, monkeypatch):
    def refuse(*_, **__):
        raise OSError("no more processes")

    monkeypatch.setattr(subprocess, "Popen", refuse)
    ahead._compile_both()
    assert compiled == [integrate_flight]


def test_a_stop_ends_the_other_process_as_well(monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    other = Other(ends=False)
    monkeypatch.setattr(ahead, "_compile", stopped)
    monkeypatch.setattr(ahead, "_two_at_once", lambda: True)
    monkeypatch.setattr(subprocess, "Popen", lambda *_, **__: other)
    with pytest.raises(KeyboardInterrupt):
        ahead._compile_both()
    assert other.killed


def test_the_other_process_compiles_for_the_types_that_a_flight_has():
    from bottlewright.flight.fly import fly_parameters

    curlew = complete(read_design(Path(__file__).parents[2] / "examples" / "curlew" / "rocket.toml"))
    fly_parameters(parameters_of(curlew, 1)[0], series=True)
    ahead.compile_readying()
    ahead.compile_flight()
    assert [len(function.signatures) for function in (prepare, integrate_flight, fill_outputs)] == [1, 1, 1]


def test_once_all_is_compiled_nothing_is_looked_for(monkeypatch):
    ahead.compile_ahead()
    monkeypatch.setattr(ahead, "_is_kept", lambda _: pytest.fail("looked again"))
    ahead.compile_ahead()
