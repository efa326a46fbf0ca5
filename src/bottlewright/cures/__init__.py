"""Cures: for each finding on stability or a limit, the smallest change that removes it, tried before it is said.

The data's path: `knobs` says what may be turned and how far; `causes` which knobs help against which finding; `search`
turns them, from the mildest setting on, one or a few at once; `find` flies what comes of it, has it judged again by
every package, and keeps what removes the finding and adds no stop. What was measured, tested or done is never turned.
"""

from bottlewright.cures.attached import cured, cures_of
from bottlewright.cures.cure import Cure
from bottlewright.cures.find import find_cures
from bottlewright.cures.judging import Judge, WholeJudge, level_of
from bottlewright.cures.workshop import prices_of

__all__ = ["Cure", "Judge", "WholeJudge", "cured", "cures_of", "find_cures", "level_of", "prices_of"]
