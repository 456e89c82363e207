"""The JSON schema is judged by jsonschema, an independent reader of the draft 2020-12 standard."""

import tomllib

import jsonschema
import pytest

from bedstone.bridge.export import SHIPPED, json_schema, schema_text
from bedstone.bridge.templates import KINDS, template

VALIDATOR = jsonschema.Draft202012Validator(json_schema())


def test_the_shipped_copy_is_true() -> None:
    told = "run python -m bedstone.bridge.export"
    assert SHIPPED.read_text(encoding="utf-8") == schema_text(), told


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())


@pytest.mark.parametrize("kind", KINDS)
def test_templates_fit_it(kind: str) -> None:
    VALIDATOR.validate(tomllib.loads(template(kind)))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('chainage = "32 m"', "chainage = 32"),
        ('chainage = "32 m"', 'chainge = "32 m"'),
        ('kind = "girders"', 'kind = "girder"'),
        ("count = 3", "count = 0"),
    ],
)
def test_faults_do_not(old: str, new: str) -> None:
    text = template("girders")
    assert old in text
    assert not VALIDATOR.is_valid(tomllib.loads(text.replace(old, new, 1)))


def test_defaults_stand_as_in_a_file() -> None:
    materials = json_schema()["$defs"]["Materials"]["properties"]
    assert materials["steel_E"]["default"] == "210 GPa"
    assert materials["concrete_density"]["default"] == "25 kN/m3"
    assert json_schema()["$defs"]["Support"]["properties"]["skew"]["default"] == "0 deg"
    faults = json_schema()["$defs"]["Faults"]["properties"]
    assert faults["skew"]["default"] == "2 deg"
    assert faults["drop"]["default"] == "0.01 m"
