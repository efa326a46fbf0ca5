"""A stopwatch by hand: pressed late at both ends, and at a highest point that is no event.

People press some 0.2 s after what they see (common practice, no source); what start and stop share cancels in the
difference. The rest is `logbook.timing.HAND`, the owner of that number. A rocket at its highest point stays within
0.3 m of it for half a second, and nobody sees it come down before: that comes on top for a time up. Heavy tails
(`learn.fit.TAILS`) take the one who pressed the wrong button.
"""

import math

from bottlewright.logbook.timing import GRAVITY

__all__ = ["SEEN", "unseen_top"]

SEEN = 0.3
"""m by which the rocket must have come down before anybody sees that it does: our judgement."""


def unseen_top() -> float:
    """Return the ± of when a highest point was, as somebody sees it from the ground, s.

    Anywhere in the time that the rocket takes for the first 0.3 m of its fall: rectangular, JCGM 100:2008, 4.3.7. It is
    the same for all who watch, so that more stopwatches don't lessen it.
    """
    return math.sqrt(2.0 * SEEN / GRAVITY) / math.sqrt(12.0)
