"""Compile each function once: one that only compiled code calls is made into machine code where it is called.

numba makes machine code of every function, and optimises it anew in each function that calls it, and in each that calls
those. Here the code of an inner function waits as it was first written, and all that an entry point calls, however
deep, is linked and optimised together, once. Neither changes the arithmetic.

What an operation on given types gives, numba finds out anew wherever it is written, and again as it writes the code: a
third of all compiling. Here it is found out once an entry point. And it looks through each function for what none of
ours has; that is left out.
"""

# mypy: disable-error-code="no-untyped-call"

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from numba.core import config
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler
from numba.core.compiler_machinery import PassManager
from numba.core.typed_passes import DumpParforDiagnostics, InlineOverloads
from numba.core.types.functions import BaseFunction
from numba.core.untyped_passes import (
    FindLiterallyCalls,
    InlineClosureLikes,
    InlineInlinables,
    LiteralPropagationSubPipelinePass,
    LiteralUnroll,
    MakeFunctionToJitFunction,
    RewriteDynamicRaises,
    WithLifting,
)

__all__ = ["EntryCompiler", "InnerCompiler"]


class _NoMachineCode:
    """Stands where numba would give machine code its environment."""

    @staticmethod
    def set_env(name: str, environment: Any) -> None:
        """Do nothing: there is none yet."""


class _Inner(JITCodeLibrary):
    """What a function is before it is linked into an entry point."""

    codegen = _NoMachineCode()

    def finalize(self) -> None:
        """Call it ready, as it is."""
        self._finalized = True

    def get_pointer_to_function(self, _: str) -> int:
        """Return 0: there is no machine code."""
        return 0


class _Entry(JITCodeLibrary):
    """An entry point with all that it calls."""

    def finalize(self) -> None:
        """Link everything, then optimise it and make machine code of it."""
        found: dict[Any, None] = {}
        waiting = list(self._linking_libraries)
        while waiting:
            library = waiting.pop(0)
            if library not in found:
                found[library] = None
                waiting += library._linking_libraries if isinstance(library, _Inner) else []
        self._linking_libraries = list(found)
        with _side_by_side():
            super().finalize()


@contextmanager
def _side_by_side() -> Iterator[None]:
    """Have the compiler work out like numbers several at a time where the code has them in a row, not in loops only."""
    settings = vars(config)
    before = settings["SLP_VECTORIZE"]
    settings["SLP_VECTORIZE"] = 1
    try:
        yield
    finally:
        settings["SLP_VECTORIZE"] = before


@contextmanager
def _typed_once() -> Iterator[None]:
    """Keep each answer of numba's search for what an operation gives, as long as numba's lock on compiling is held."""
    operations: Any = BaseFunction
    search, found = operations.get_call_type, {}

    def get_call_type(operation: Any, context: Any, types: Any, named: Any) -> Any:
        key = operation, tuple(types), tuple(named.items())
        if key not in found:
            found[key] = search(operation, context, types, named)
        return found[key]

    operations.get_call_type = get_call_type
    try:
        yield
    finally:
        operations.get_call_type = search


_FOR_OTHERS = (
    DumpParforDiagnostics, FindLiterallyCalls, InlineClosureLikes, InlineInlinables, InlineOverloads,
    LiteralPropagationSubPipelinePass, LiteralUnroll, MakeFunctionToJitFunction, RewriteDynamicRaises, WithLifting,
)  # fmt: skip
"""Passes for closures, loops over tuples, messages made up as they are raised and `with`, which are refused now."""


class _Compiler(Compiler):
    """numba's compiler, less the passes for what we never write."""

    def define_pipelines(self) -> list[PassManager]:
        """Return the passes that are left."""
        pipelines: list[PassManager] = super().define_pipelines()
        for each in pipelines:
            each.passes = [one for one in each.passes if one[0] not in _FOR_OTHERS]
            each.finalize()
        return pipelines


class InnerCompiler(_Compiler):
    """numba's compiler, for a function that compiled code calls."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        super().__init__(typing, target, library or _Inner(target.codegen(), "inner"), *rest)


class EntryCompiler(_Compiler):
    """numba's compiler, for a function that Python calls."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        if library is None:
            library = _Entry(target.codegen(), "entry")
            library.enable_object_caching()
        super().__init__(typing, target, library, *rest)

    def compile_extra(self, function: Any) -> Any:
        """Compile it with all that it calls."""
        with _typed_once():
            return super().compile_extra(function)
