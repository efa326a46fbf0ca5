"""The one family of errors: what goes wrong in words for the builder, whoever calls."""

__all__ = ["BottlewrightError", "InputError", "StoppedError"]


class BottlewrightError(Exception):
    """Something can't be done as asked; the message says what, where, and what would be right."""


class InputError(BottlewrightError):
    """What was asked for can't be done as asked."""


class StoppedError(BottlewrightError):
    """The work was stopped as asked, before there was anything worth keeping."""
