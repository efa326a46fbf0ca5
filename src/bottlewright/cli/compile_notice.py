"""A word to the user before a wait that only the first run has."""

from bottlewright.cli.printing import say

__all__ = ["notice_compiling"]


def notice_compiling() -> None:
    """See to it that the user is told, should this very version's physics have to be compiled on this machine."""
    from bottlewright.physics import before_compiling

    words = "First run of this version on this machine: compiling the physics, up to a minute, once."
    before_compiling(lambda: say(words))
