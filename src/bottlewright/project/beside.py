"""What lies beside a design and counts for it: the file of its bottle, and what its flights taught."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bottlewright.design.document import Design
    from bottlewright.design.learned import Learned
    from bottlewright.design.vessel_history import VesselHistory

__all__ = ["history_beside", "learned_beside", "newer_beside"]


def history_beside(folder: Path, tables: Mapping[str, Any]) -> "VesselHistory | None":
    """Look a design's bottle up in the logbook beside it; nothing of that is loaded before a design names one."""
    from bottlewright.logbook.history import looked_up

    return looked_up(tables, folder)


def learned_beside(folder: Path, tables: Mapping[str, Any]) -> "Learned":
    """Look up what the flights of a design taught; nothing of that is loaded before a design asks for it."""
    from bottlewright.learn.learned_file import looked_up

    return looked_up(tables, folder)


def newer_beside(folder: Path, design: "Design") -> tuple[str, ...]:
    """Return the launches that were measured after those that a design's learned values rest on; none without any."""
    if design.written.learned is None:
        return ()
    from bottlewright.learn.newer import newer_flights

    return newer_flights(folder, design.name, design.written.learned.launches)
