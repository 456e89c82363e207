"""The engineer's own values of a standard: taken by name, refused where they cannot be meant."""

import tomllib
from pathlib import Path

import pytest

from bedstone.bridge.schema import Bridge
from bedstone.errors import InputError
from bedstone.schedule.own_values import own_values

TEMPLATE = Path(__file__).parents[2] / "src/bedstone/bridge/templates/girders.toml"


def bridge(**values):
    data = tomllib.loads(TEMPLATE.read_text(encoding="utf-8"))
    data["values"] = {
        name: {"source": "our own reading", **given} for name, given in values.items()
    }
    return Bridge.model_validate(data)


def test_a_value_keeps_the_units_of_the_pack_or_brings_its_own():
    file = bridge(
        **{
            "eurocode.road.braking.maximum": {"value": 800},
            "eurocode.road.braking.minimum": {"value": 200e3, "unit": "N"},
            "irc.combinations.uls.permanent": {"value": [1.35, 1.0]},
        }
    )
    found = own_values(file, "eurocode")
    assert found["road.braking.maximum"].unit == "kN"
    assert (found["road.braking.minimum"].value, found["road.braking.minimum"].unit) == (200e3, "N")
    assert {value.basis for value in found.values()} == {"confirmed"}
    assert list(own_values(file, "irc")) == ["combinations.uls.permanent"]


@pytest.mark.parametrize(
    ("name", "given", "field", "allowed"),
    [
        ("eurocode.road.braking.maximun", {"value": 1}, "", "did you mean 'road.braking.maximum'"),
        ("en.road.braking.maximum", {"value": 1}, "", "names that begin with eurocode"),
        ("eurocode.road.braking.maximum", {"value": 3e5, "unit": "mm"}, ".unit", "'kN'"),
        ("eurocode.road.braking.maximum", {"value": 3e5, "unit": "stone"}, ".unit", "'kN'"),
        ("eurocode.road.braking.maximum", {"value": [1, 2]}, ".value", "one number"),
        (
            "eurocode.combinations.recommended.gamma.permanent",
            {"value": 1.35},
            ".value",
            "a list of 2 numbers",
        ),
        (
            "eurocode.combinations.recommended.gamma.thermal",
            {"value": -1.4},
            ".value",
            "no negative number",
        ),
    ],
)
def test_nonsense_is_refused_by_field(name, given, field, allowed):
    with pytest.raises(InputError) as caught:
        own_values(bridge(**{name: given}), "eurocode")
    (fault,) = caught.value.faults
    assert fault.where == f'values."{name}"{field}'
    assert allowed in fault.allowed
