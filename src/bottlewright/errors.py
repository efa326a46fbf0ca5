"""The one family of errors: what goes wrong in words for the builder, whoever calls."""

from collections.abc import Mapping

__all__ = ["BottlewrightError", "FieldsError", "InputError", "StoppedError"]


class BottlewrightError(Exception):
    """Something can't be done as asked; the message says what, where, and what would be right."""


class InputError(BottlewrightError):
    """What was asked for can't be done as asked."""


class FieldsError(InputError):
    """Answers of a form can't be taken.

    Parameters
    ----------
    fields
        What is wrong by the name of the field.
    """

    def __init__(self, fields: Mapping[str, str]) -> None:
        self.fields = dict(fields)
        super().__init__("\n".join(f"{name} {why}" for name, why in fields.items()))


class StoppedError(BottlewrightError):
    """The work was stopped as asked, before there was anything worth keeping."""
