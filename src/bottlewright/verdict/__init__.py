"""The verdict: what every command, sheet and page says about danger, made in one place.

The data's path: `prove`, `fly`, the site, the stored landings and the workshop each give findings; `judge_alone`
gathers them for one design; `judge` makes the frozen `Verdict` of them: its level, the highest reading of the gauge,
how far people stand, the wind, the next proof test, the load, what is open, what has to be there before anyone pumps,
and what nobody has checked. `verdict_lines` says it in words. Nothing above this package works out such a number
again.
"""

from bottlewright.verdict.judgement import judge, judge_alone
from bottlewright.verdict.sheets import act_on
from bottlewright.verdict.verdict import Load, PeopleDistances, Verdict
from bottlewright.verdict.words import open_words, verdict_lines

__all__ = ["Load", "PeopleDistances", "Verdict", "act_on", "judge", "judge_alone", "open_words", "verdict_lines"]
