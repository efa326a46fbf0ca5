"""The ground-test card: pull, door, timer, drop and hang, in that order, with lines to write in."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from bottlewright.data_file import data_file
from bottlewright.flight.layout import parts_alone
from bottlewright.make.letting_out.words import cautions
from bottlewright.make.specification import Specification, fits
from bottlewright.make.template_values import filled

__all__ = ["ground_tests"]


@cache
def _data() -> dict[str, Any]:
    return data_file("make", "ground_tests")


def ground_tests(spec: Specification, words: Mapping[str, str]) -> dict[str, Any] | None:
    """Return the card of a design whose way of letting out is described; None for every other one."""
    if "mechanism" not in spec.features:
        return None
    data, measured = _data(), spec.design.measured.dry_mass
    mass = measured.value if measured else parts_alone(spec.design)[0]
    words = {**words, "rocket_mass": spec.habit.mass(mass, 3)}

    def fill(text: str) -> str:
        return " ".join(filled(spec, text, words).split())

    return {
        "first": " ".join(says for says, when in data["first"] if fits(when, spec.features)),
        "cautions": cautions(spec.features),
        "tests": [
            {
                "title": fill(test["title"]), "do": fill(test["do"]), "passes": fill(test["passes"]),
                "lines": test["lines"], "unit": test.get("unit", ""), "after": test.get("after", ""),
                "counts": bool(test.get("counts")) and fits(test["counts"], spec.features),
            }
            for test in data["test"] if fits(test["when"], spec.features)
        ],
        "file": data["file"]["says"],
    }  # fmt: skip
