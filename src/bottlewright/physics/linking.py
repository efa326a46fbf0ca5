"""Compile each function once: one that only compiled code calls is made into machine code where it is called.

numba makes machine code of every function, and optimises it anew in each function that calls it, and in each that calls
those. Here the code of an inner function waits as it was first written, and all that an entry point calls, however
deep, is linked and optimised together, once. Neither changes the arithmetic.
"""

# mypy: disable-error-code="no-untyped-call"

from typing import Any

from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler

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
        super().finalize()


class InnerCompiler(Compiler):
    """numba's compiler, for a function that compiled code calls."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        super().__init__(typing, target, library or _Inner(target.codegen(), "inner"), *rest)


class EntryCompiler(Compiler):
    """numba's compiler, for a function that Python calls."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        if library is None:
            library = _Entry(target.codegen(), "entry")
            library.enable_object_caching()
        super().__init__(typing, target, library, *rest)
