"""A function that only compiled code calls becomes machine code where it is called, once, and its numbers stay."""

import math

import pytest
from numba.core.errors import TypingError
from numba.core.types.functions import BaseFunction

from bottlewright.physics import code_cache, entry_jit, jit


@pytest.fixture(autouse=True)
def kept(tmp_path, monkeypatch):
    monkeypatch.setattr(code_cache, "CODE_CACHE", tmp_path)
    return tmp_path


@jit
def square(x):
    return x * x


@jit
def length(x, y):
    return math.sqrt(square(x) + square(y))


def longer(x):
    return length(x, 3.0) + square(2.0) + square(x)


def test_an_entry_point_is_linked_with_all_that_it_calls_however_deep():
    assert entry_jit(longer)(4.0) == math.sqrt(16.0 + 9.0) + 4.0 + 16.0


def test_only_the_entry_point_is_kept_between_runs(kept):
    entry_jit(longer)(4.0)
    assert [path.name.partition("-")[0] for path in kept.rglob("*.nbi")] == ["test_linking.longer"]


def test_a_number_written_in_the_code_is_compiled_like_any_other():
    entry_jit(longer)(4.0)
    assert len(square.signatures) == 1


def test_python_may_call_an_inner_function_all_the_same():
    assert length(3.0, 4.0) == 5.0


def test_what_operations_give_is_remembered_only_while_compiling():
    search = BaseFunction.get_call_type
    entry_jit(longer)(4.0)
    assert BaseFunction.get_call_type is search


def test_a_function_inside_a_function_is_refused():
    def doubled(x):
        def twice(y):
            return y + y

        return twice(x)

    with pytest.raises(TypingError):
        entry_jit(doubled)(1.0)
