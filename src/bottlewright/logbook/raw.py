"""Files of loggers, kept byte for byte under a name that begins with their digest, listed as `sha256sum` lists."""

import hashlib
import os
import tempfile
from pathlib import Path

from bottlewright.design.writing import sync_folder, write_over
from bottlewright.logbook.records import RawFile
from bottlewright.system import replace_file

__all__ = ["SUMS", "altered_files", "keep_raw", "raw_files", "stored_name"]

SUMS = "SHA256SUMS"


def keep_raw(folder: Path, name: str, content: bytes) -> RawFile:
    """Keep a file's bytes in a logbook; the same bytes under the same name are kept once.

    The caller holds the logbook (`files.writing`).
    """
    kept = RawFile(name=Path(name).name or "file", sha256=hashlib.sha256(content).hexdigest())
    place = folder / "raw" / stored_name(kept)
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        handle, fresh = tempfile.mkstemp(prefix=".raw-", dir=place.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        replace_file(fresh, place)
        sync_folder(place.parent)
    _list(place.parent)
    return kept


def stored_name(kept: RawFile) -> str:
    """Return the name under which a file is kept: as much of its digest as tells it from every other, and its own."""
    plain = "".join(letter if letter.isalnum() or letter in "._-" else "_" for letter in kept.name)
    return f"{kept.sha256[:12]}-{plain}"


def raw_files(folder: Path) -> list[Path]:
    """Return the kept files of a logbook."""
    return sorted(path for path in (folder / "raw").glob("[!.]*") if path.name != SUMS and path.is_file())


def _list(raw: Path) -> None:
    """Write the list of digests: what it says of a file that is there stays, so that a change of it is seen."""
    said = _sums(raw)
    for path in raw_files(raw.parent):
        said.setdefault(path.name, hashlib.sha256(path.read_bytes()).hexdigest())
    write_over(raw / SUMS, "".join(f"{digest}  {name}\n" for name, digest in sorted(said.items())))


def _sums(raw: Path) -> dict[str, str]:
    try:
        lines = (raw / SUMS).read_text(encoding="utf-8").splitlines()
    except FileNotFoundError:
        return {}
    return {name: digest for digest, _, name in (line.partition("  ") for line in lines) if name}


def altered_files(folder: Path) -> list[str]:
    """Return the names of kept files whose bytes are others than when they came, or that are gone."""
    raw, wrong = folder / "raw", []
    for name, digest in _sums(raw).items():
        path = raw / name
        if not path.is_file() or hashlib.sha256(path.read_bytes()).hexdigest() != digest:
            wrong.append(name)
    return sorted(wrong)
