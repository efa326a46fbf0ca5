"""The page of all keys: generated from the models, and every example on it is one."""

from pathlib import Path

import pytest

from bottlewright.design import complete, parse_design
from bottlewright.design.document import Design
from bottlewright.design.reference import keys, sample, with_reference
from bottlewright.design.schema import shipped_schema

PAGE = Path(__file__).parents[2] / "docs" / "design-file.md"
KEYS = keys()


def test_the_page_is_the_models_page():
    # When this fails: python -m bottlewright.design.reference docs/design-file.md
    text = PAGE.read_text(encoding="utf-8")
    assert with_reference(text) == text


def test_every_key_of_the_format_is_on_the_page():
    definitions = shipped_schema()["$defs"]
    properties = [shipped_schema()["properties"], *(d.get("properties", {}) for d in definitions.values())]
    tables = {name for found in properties for name, field in found.items() if "$ref" in str(field)}
    names = {name for found in properties for name in found} - tables
    assert names <= {key.name for key in KEYS}
    assert len(KEYS) > 200


@pytest.mark.parametrize("key", KEYS, ids=lambda key: f"{key.table}.{key.name}")
def test_every_key_says_what_it_is_and_what_it_may_be(key):
    assert key.meaning
    assert key.may_be
    assert key.left_out
    assert "bottlewright" not in key.may_be, "a type's own name"


def test_every_example_is_accepted_at_its_key():
    design = Design.model_validate(sample() | {"charge": {k: v for k, v in sample()["charge"].items() if k != "water"}})
    assert design.vessel.bottle == "carbonated-1500"
    assert Design.model_validate({"charge": {"water": sample()["charge"]["water"]}}).charge.water_share is not None


@pytest.mark.parametrize(
    ("text", "path", "word"),
    [
        ("[nose]", "nose.material", "expanded-polystyrene"), ("[fins]", "fins.material", "balsa"),
        ('[sleeve]\nlength = "90 mm"', "sleeve.material", "card"),
        ('[nozzle]\nbore = "9 mm"', "nozzle.shape", "rounded"), ("", "nozzle.shape", "neck"),
        ('[recovery]\nkind = "parachute"\ndiameter = "40 cm"', "recovery.material", "nylon-canopy"),
        ('[recovery]\nkind = "streamer"\nlength = "1 m"\nwidth = "9 cm"', "recovery.material", "crepe-paper"),
    ],
)
def test_the_words_that_the_page_says_are_filled_in_are(text, path, word):
    design = complete(parse_design(f'[vessel]\nbottle = "still-1500"\n[charge]\npressure = "3 bar"\n{text}\n'))
    table, _, name = path.partition(".")
    assert getattr(getattr(design, table), name) == word
    [key] = [key for key in KEYS if (key.table, key.name) == (table, name)]
    assert f'"{word}"' in key.left_out
