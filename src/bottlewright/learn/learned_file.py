"""What was learned of a rocket as a file of the logbook: `logbook/learned/curlew.json`.

It can be made anew from the launches at any time; whoever throws it away loses nothing.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from bottlewright.design.learned import Learned
from bottlewright.design.taught import flown_as
from bottlewright.design.writing import write_over
from bottlewright.learn.fit import Fit
from bottlewright.learn.newer import newer_flights
from bottlewright.logbook.files import FOLDER
from bottlewright.system import file_name_of

__all__ = ["DRAWS", "file_of", "learned_of", "looked_up", "write_learned"]

DRAWS = 400
"""Draws that are kept: the tails of a spread need no more than that."""
_DIGITS = 3
_SCHEMA = 1
_MOST = 5_000_000
_KNOWN: dict[Path, tuple[tuple[int, int], Learned]] = {}
"""Files that were read already, by what they were when they were: each change of a design asks."""


def file_of(beside: Path, rocket: str) -> Path:
    """Return where what was learned of a rocket stands, or would."""
    plain = "".join(letter if letter.isalnum() else "-" for letter in rocket.lower()).strip("-")
    return beside / FOLDER / "learned" / file_name_of(f"{plain or 'rocket'}.json")


def learned_of(fit: Fit, file: str = "") -> Learned:
    """Return what a fit taught, as a design takes it on."""
    paths = tuple(one.path for one in fit.rocket)
    count = min(DRAWS, len(fit.scores))
    scores = np.round(fit.scores[:: max(len(fit.scores) // count, 1)][:count], _DIGITS)
    shares = tuple(one.share for one in fit.rocket)
    launches = tuple(one.name for one in fit.launches)
    flown = flown_as(fit.launches[-1].design, paths)
    return Learned(file, launches, paths, shares, scores, flown, _digest(paths, shares, scores, flown))


def write_learned(beside: Path, rocket: str, learned: Learned, told: Mapping[str, Any]) -> Path:
    """Write what was learned beside the launches; `told` is what a reader wants to know of it."""
    path = file_of(beside, rocket)
    path.parent.mkdir(parents=True, exist_ok=True)
    tables = {"schema": _SCHEMA, "rocket": rocket, **told, "launches": learned.launches, "values": learned.paths,
              "shares": learned.shares, "flown": learned.flown, "scores": learned.scores.tolist()}  # fmt: skip
    write_over(path, json.dumps(tables, indent=1, ensure_ascii=False))
    return path


def looked_up(tables: Mapping[str, Any], beside: Path) -> Learned:
    """Return what was learned of the rocket that a design's raw tables name."""
    name = tables.get("name")
    path = file_of(beside, name if isinstance(name, str) else "Unnamed")
    shown = f"{FOLDER}/learned/{path.name}"
    try:
        state = path.stat()
        mark = (state.st_mtime_ns, state.st_size)
        if path not in _KNOWN or _KNOWN[path][0] != mark:
            _KNOWN[path] = mark, _read(path, shown)
    except FileNotFoundError:
        return Learned(shown, unread=f"nothing was learned yet: {shown} is not there")
    except (OSError, ValueError, KeyError, TypeError) as error:
        return Learned(shown, unread=f"{shown} can't be read ({error}): learn it anew")
    known, rocket = _KNOWN[path][1], name if isinstance(name, str) else "Unnamed"
    return replace(known, newer=newer_flights(beside, rocket, known.launches))


def _read(path: Path, shown: str) -> Learned:
    if path.stat().st_size > _MOST:
        raise ValueError("it is too large")
    told = json.loads(path.read_text(encoding="utf-8"))
    if told["schema"] != _SCHEMA:
        raise ValueError(f"it is of version {told['schema']}")
    paths, shares = tuple(map(str, told["values"])), tuple(map(float, told["shares"]))
    scores = np.array(told["scores"], float)
    if scores.shape != (len(scores), len(paths)) or len(shares) != len(paths) or not len(scores):
        raise ValueError("its draws do not belong to its values")
    if not np.isfinite(scores).all() or not all(0.0 <= one <= 1.0 for one in shares):
        raise ValueError("it holds what is no number")
    flown = {str(key): value if isinstance(value, str) else float(value) for key, value in told["flown"].items()}
    launches = tuple(map(str, told["launches"]))
    digest = _digest(paths, shares, scores, flown)
    return Learned(shown, launches, paths, shares, scores, flown, digest, made=str(told.get("made", "")))


def _digest(paths: tuple[str, ...], shares: tuple[float, ...], scores: Any, flown: Mapping[str, float | str]) -> str:
    found = hashlib.sha256(json.dumps([paths, shares, sorted(flown.items())]).encode())
    found.update(np.ascontiguousarray(scores, float).tobytes())
    return found.hexdigest()[:16]
