"""A word to the user before a wait that only the first run has."""

from bottlewright.cli.printing import say

__all__ = ["notice_compiling"]


def notice_compiling() -> None:
    """Say that the physics is about to be compiled, when it has not been on this machine."""
    from bottlewright.physics import CODE_CACHE

    if not any(CODE_CACHE.glob("**/*.nbi")):
        say("First run on this machine: compiling the physics, up to a minute, once.")
