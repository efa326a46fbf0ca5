"""Flights on a graphics card, as far as they can be held without one: the same draws, nothing a card can't take."""

import ast
import os
import subprocess
import sys
import threading
from contextlib import nullcontext
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from bottlewright.design import complete, read_design
from bottlewright.flight import gpu
from bottlewright.flight.batch import drawn_from, fire_batch, fly_batch, fly_many, sample_batch
from bottlewright.flight.drawing import WORDS, draw_plan
from bottlewright.flight.parameters import PARAMETERS
from bottlewright.flight.state import Endings
from bottlewright.flight.summary import SUMMARY

ROOT = Path(__file__).parents[2]
NAMES = sorted(path.parent.name for path in (ROOT / "examples").glob("*/rocket.toml"))


def example(name):
    return complete(read_design(ROOT / "examples" / name / "rocket.toml"))


def drawn_apart(design, count, seed, first):
    """Draw plans one at a time by what a card runs, compiled for the processor."""
    drawn = drawn_from(design, {}, vary=True)
    plans = np.zeros(count, PARAMETERS)
    words = plans.view(np.float64).reshape(count, WORDS)
    words[:] = drawn.design
    plans["seed"], plans["index"] = seed, np.arange(first, first + count)
    for i in range(count):
        draw_plan(words[i], plans[i], seed, first + i, drawn.moves, drawn.follows)
    return words


@pytest.mark.parametrize("name", NAMES)
def test_a_card_draws_the_flights_that_the_processor_draws_to_the_last_bit_but_one(name):
    design = example(name)
    here = sample_batch(design, 7, 40, seed=3).view(np.float64).reshape(40, WORDS)
    np.testing.assert_array_max_ulp(drawn_apart(design, 40, 3, 7), here, maxulp=2)


class Desk(gpu._Hold):
    """Stands for a card: the processor flies, so that chunks, order and stop can be looked at."""

    made, size = 0, 16

    def __init__(self, number):
        Desk.made += 1
        self.card, self.number, self.threads = nullcontext(), number, set()

    def bring(self, plans):
        self.plans = plans.copy()

    def lay(self, drawn, values):
        return drawn, values

    def draw(self, laid, seed, first, last):
        drawn, values = laid
        words = np.tile(drawn.design, (last - first, 1))
        words[:, drawn.places] = values[:, first:last].T
        self.plans = words.reshape(-1).view(PARAMETERS)
        self.plans["seed"], self.plans["index"] = seed, np.arange(first, last)

    def fly(self, notes, held):
        self.threads.add(threading.get_ident())
        notes[:] = fire_batch(self.plans) if held else fly_batch(self.plans, threads=1)


@pytest.fixture
def cards(monkeypatch):
    monkeypatch.setattr(gpu, "_Hold", Desk)
    return gpu.Cards("two cards", 2)


def test_chunks_of_several_cards_come_back_in_the_order_of_the_batch(cards):
    batch = sample_batch(example("curlew"), 0, 75, seed=2)
    assert cards(batch).tobytes() == fly_batch(batch).tobytes()
    assert cards(batch[:0]).dtype == SUMMARY
    assert cards(batch[:1]).tobytes() == fly_batch(batch[:1]).tobytes()


def test_what_is_fired_on_a_stand_stays_on_it(cards):
    batch = sample_batch(example("curlew"), 0, 20, seed=2)
    fired = cards.fire(batch)
    assert fired.tobytes() == fire_batch(batch).tobytes()
    assert (fired["ending"] == Endings.fired).all()


def test_the_room_on_a_card_is_set_aside_once(cards):
    before = Desk.made
    for _ in range(3):
        cards(sample_batch(example("curlew"), 0, 40, seed=2))
    assert Desk.made == before + 2 * gpu._HELD


def test_given_values_go_to_the_flight_that_they_were_given_for(cards):
    water = np.linspace(0.2e-3, 0.6e-3, 50)
    there = cards.fly_many(example("curlew"), 50, seed=2, values={"charge.water": water}, vary=False)
    here = fly_many(example("curlew"), 50, seed=2, values={"charge.water": water}, vary=False)
    assert there.tobytes() == here.tobytes()


@pytest.mark.usefixtures("cards")
def test_a_stop_keeps_the_flights_that_are_done():
    told = []

    def stop(count):
        told.append(count)
        if sum(told) >= 16:
            raise KeyboardInterrupt

    asked = gpu.Cards("two cards", 2, stop)
    with pytest.raises(KeyboardInterrupt) as stopped:
        asked(sample_batch(example("curlew"), 0, 400, seed=2))
    kept, = stopped.value.args
    assert 16 <= len(kept) < 400
    assert np.isfinite(kept["flight_time_s"]).all()


def test_without_a_card_the_builder_is_told_what_is_missing_and_what_to_do():
    with pytest.raises(gpu.CardError, match="leave out --engine gpu, and the processor flies"), gpu.on_cards():
        pass


@pytest.mark.skipif(find_spec("numba_cuda") is None, reason="needs numba-cuda, which make test installs")
def test_a_card_that_runs_out_of_memory_is_named_in_words_with_what_to_do(monkeypatch):
    from numba.cuda.cudadrv.driver import CudaAPIError

    card = SimpleNamespace(name=b"a card", SINGLE_TO_DOUBLE_PRECISION_PERF_RATIO=2)
    stands_in = {"numba.cuda": SimpleNamespace(is_available=lambda: True, gpus=[card])}
    monkeypatch.setattr(gpu, "import_module", lambda name: stands_in.get(name) or import_module(name))

    def fly_too_many():
        with gpu.on_cards():
            raise CudaAPIError(2, "out of memory")

    with pytest.raises(gpu.CardError, match=r"could not go on \(.*out of memory.*; a card\): leave out --engine gpu"):
        fly_too_many()


def compiled_functions():
    """Yield every function of the compiled packages that a flight may reach, with its source."""
    for package in ("physics", "flight"):
        for path in sorted((ROOT / "src" / "bottlewright" / package).glob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            for node in ast.walk(tree):
                if isinstance(node, ast.FunctionDef) and any(
                    isinstance(mark, ast.Name) and mark.id in ("jit", "inline_jit") for mark in node.decorator_list
                ):
                    yield f"{path.name}:{node.name}", node


TAKEN = {"cbrt", "float64", "uint64", "int64"}
"""What compiled functions may use of numpy: none of it asks for memory."""


def test_no_function_that_a_card_runs_asks_for_memory():
    functions = dict(compiled_functions())
    assert len(functions) > 150
    wrong = [f"{name} uses np.{node.attr}" for name, function in functions.items() for part in function.body
             for node in ast.walk(part)
             if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "np"
             and node.attr not in TAKEN]  # fmt: skip
    assert wrong == []


@pytest.mark.skipif(find_spec("numba_cuda") is None, reason="needs numba-cuda, which make test installs")
def test_what_a_card_runs_is_compiled_for_one_without_one():
    script = Path(__file__).with_name("ptx.py")
    path = os.pathsep.join([str(ROOT / "src"), *filter(None, [os.environ.get("PYTHONPATH")])])
    done = subprocess.run([sys.executable, "-W", "ignore", str(script)], check=False, capture_output=True, text=True,
                          env=os.environ | {"PYTHONPATH": path})  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    flies, lines, draws = (line.split() for line in done.stdout.splitlines())
    assert [(each[0], each[2]) for each in (flies, lines, draws)] == [
        ("fly_plans", "1"), ("line_up", "1"), ("draw_plans", "1")]  # fmt: skip
    assert int(flies[3]) > 1000, "sums and products of double numbers"
    assert int(flies[4]) > 3, "flights abreast wait for each other"
