"""One bridge of our own invention that the tests of the families change as they need."""

from dataclasses import replace

import pytest

from bedstone.standards.site import BridgeFacts

_ROAD = BridgeFacts(
    use="road",
    deck_type="composite",
    superstructure="girders",
    spans=(30.0, 40.0, 30.0),
    unit_length=100.0,
    carriageway=(-5.5, 5.5),
    deck_width=12.0,
    deck_depth=2.0,
    air_min=-10.0,
    air_max=40.0,
)


@pytest.fixture(scope="session")
def bridge():
    """A function: facts of a three-span road bridge, 11 m between kerbs, with changes."""

    def change(**changes):
        return replace(_ROAD, **changes)

    return change
