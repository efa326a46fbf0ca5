"""Where compiled code is kept between runs, and by whom.

What is kept is executed when it is read, so it has to lie in a folder that is the user's own and that nobody else may
write in. numba decides whether a kept function is still good from the file that holds it, and misses a change in a
function it calls in another file; so the folder is named after a digest of every source file of the compiled packages,
and a change anywhere starts a new one. A copy of the same version in another place
finds the same code. Code that was cut short, by a full disk or a power cut, is compiled anew.
"""

import atexit
import contextlib
import hashlib
import os
import pickle
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba
from numba.core.caching import CompileResultCacheImpl, FunctionCache, IndexDataCacheFile, UserProvidedCacheLocator
from platformdirs import user_cache_path

from bottlewright.system import is_own, own_name

__all__ = ["CODE_CACHE", "CODE_DIGEST", "CodeCache", "before_compiling"]

_KEPT = 4
"""Versions whose compiled code is kept beside this one's."""


_PACKAGE = Path(__file__).parent.parent
_COMPILED = ("physics", "flight")
"""Packages whose functions are compiled."""


def _code_digest() -> str:
    digest = hashlib.sha256(numba.__version__.encode())
    for name in _COMPILED:
        for source in sorted((_PACKAGE / name).glob("*.py")):
            digest.update(source.read_bytes())
    return digest.hexdigest()[:16]


def _code_cache(digest: str) -> Path:
    """Return the first folder that will do: the user's cache, one in the temporary folder, one for this run alone."""
    asked = os.environ.get("NUMBA_CACHE_DIR")
    usual = Path(asked) / "bottlewright" if asked else user_cache_path("bottlewright", appauthor=False)
    for home in (usual, Path(tempfile.gettempdir()) / f"bottlewright-{own_name()}"):
        if _is_private(home) and _is_private(home / f"compiled-{digest}"):
            return home / f"compiled-{digest}"
    passing = Path(tempfile.mkdtemp(prefix="bottlewright-"))
    atexit.register(shutil.rmtree, passing, ignore_errors=True)
    return passing


def _is_private(folder: Path) -> bool:
    """Make a folder where there is none; whether it is the user's own, and nobody else can write in it."""
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(FileExistsError):
            folder.mkdir(mode=0o700)
            _clear_out(folder)
        about = folder.lstat()
    except OSError:
        return False
    return is_own(about) and os.access(folder, os.W_OK | os.X_OK)


def _clear_out(folder: Path) -> None:
    """Drop the compiled code of versions long replaced, the oldest first."""
    others = [other for other in folder.parent.glob("compiled-*") if other != folder]
    for old in sorted(others, key=lambda other: other.stat().st_mtime, reverse=True)[_KEPT:]:
        shutil.rmtree(old, ignore_errors=True)


CODE_DIGEST = _code_digest()
"""Tells versions of the compiled packages apart."""

CODE_CACHE = _code_cache(CODE_DIGEST)
"""Folder that holds this version's compiled code; empty before the first run."""


_told: list[Callable[[], None]] = []


def before_compiling(tell: Callable[[], None]) -> None:
    """Have a function called once, when the first code that is not kept for this version is about to be compiled.

    Whether files lie there says little: those of another Python, another processor or an older copy of this very
    version are there and of no use.
    """
    _told[:] = [tell]


class _Locator(UserProvidedCacheLocator):
    def __init__(self, function: Callable[..., Any], file: str) -> None:
        self._py_file = file
        self._lineno = function.__code__.co_firstlineno
        self._digested = Path(file).parent.parent == _PACKAGE and Path(file).parent.name in _COMPILED
        place = Path(file).parent.name if self._digested else self.get_suitable_cache_subpath(file)
        self._cache_path = str(CODE_CACHE / place)

    def get_source_stamp(self) -> Any:
        """Return what tells versions of the file apart: for our own the folder's name does, wherever they lie."""
        return CODE_DIGEST if self._digested else super().get_source_stamp()

    @classmethod
    def from_function(cls, function: Callable[..., Any], file: str) -> "_Locator":
        return cls(function, file)


class _Results(CompileResultCacheImpl):
    _locator_classes = [_Locator]  # noqa: RUF012 - numba has it so


class _CheckedFile(IndexDataCacheFile):
    """Files with a digest at their end, after the pickle, where numba does not look."""

    def _dump(self, content: Any) -> bytes:
        data: bytes = super()._dump(content)
        return data + hashlib.sha256(data).digest()

    def _load_data(self, name: str) -> Any:
        kept = Path(self._data_path(name)).read_bytes()
        if hashlib.sha256(kept[:-32]).digest() != kept[-32:]:
            raise ValueError(f"{name} is damaged")
        return pickle.loads(kept)

    def flush(self) -> None:
        Path(self._index_path).unlink(missing_ok=True)


class CodeCache(FunctionCache):
    """numba's cache of one function: what can't be read is compiled anew, what can't be written is not kept."""

    _impl_class = _Results

    def __init__(self, function: Callable[..., Any]) -> None:
        super().__init__(function)
        place = self._impl.locator
        self._cache_file = _CheckedFile(place.get_cache_path(), self._impl.filename_base, place.get_source_stamp())

    @property
    def is_kept(self) -> bool:
        """Whether some code of the function lies on the disk."""
        return Path(self._cache_file._index_path).exists()

    def load_overload(self, signature: Any, target_context: Any) -> Any:
        """Return the kept code, None where there is none that is whole."""
        code = None
        try:
            code = super().load_overload(signature, target_context)
        except Exception:  # whatever unpickling half a file may raise
            with contextlib.suppress(OSError):
                self.flush()
        while code is None and _told:
            _told.pop()()
        return code

    def save_overload(self, signature: Any, code: Any) -> None:
        """Keep the code for the next run, where the disk lets it."""
        with contextlib.suppress(OSError):
            super().save_overload(signature, code)
