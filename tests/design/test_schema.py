import tomllib
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given

from bottlewright.design import read_design
from bottlewright.design.schema import design_schema, shipped_schema
from strategies import design_tables

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/*.toml"))
VALIDATOR = jsonschema.Draft202012Validator(shipped_schema())


def test_the_shipped_schema_is_the_models_schema():
    # When this fails: python -m bottlewright.design.schema
    assert shipped_schema() == design_schema()


def test_the_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(shipped_schema())


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_the_examples_are_read_and_fit_the_schema(path):
    assert read_design(path).charge.pressure.value > 0.0
    VALIDATOR.validate(tomllib.loads(path.read_text(encoding="utf-8")))


@given(design_tables())
def test_generated_designs_fit_the_schema(tables):
    VALIDATOR.validate(tables)


@pytest.mark.parametrize("tables", [{"nozzle": {"boer": "9 mm"}}, {"nozzle": {"bore": 9}}, {"model": {"gas": "wet"}},
                                    {"fins": {"count": 0}}, {"mass": {"name": "a"}}])
def test_an_editor_sees_what_is_wrong(tables):
    assert not VALIDATOR.is_valid(tables)


def test_fields_are_described_by_their_comments():
    volume = shipped_schema()["$defs"]["Vessel"]["properties"]["volume"]
    assert volume["description"].startswith("Brim-full, of one bottle. A volume from 10 mL to 60 L")
