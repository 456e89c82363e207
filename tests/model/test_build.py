"""The way in: what has no model is refused in words."""

import pytest
from girder_cases import girder_data

from bedstone.bridge.schema import Bridge
from bedstone.errors import BedstoneError
from bedstone.model.build import build


@pytest.mark.parametrize(
    ("superstructure", "message"),
    [
        ({"kind": "reactions", "effects": "e.csv", "seats": "s.csv"}, "reactions have no model"),
        (
            {"kind": "frame", "nodes": "n.csv", "members": "m.csv", "sections": "x.csv",
             "seats": "s.csv"},
            "read them first",
        ),
    ],
)  # fmt: skip
def test_no_model_without_data(superstructure, message):
    data = {**girder_data(), "superstructure": superstructure}
    with pytest.raises(BedstoneError, match=message):
        build(Bridge.model_validate(data))
