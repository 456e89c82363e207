"""Bridges of our own invention on which the rules of the Eurocodes are tried."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from bedstone.standards.site import BridgeFacts, TrackFacts
from bedstone.standards.values import Values

_ROAD = BridgeFacts(
    use="road",
    deck_type="composite",
    superstructure="girders",
    spans=(30.0, 40.0, 30.0),
    unit_length=100.0,
    carriageway=(-5.5, 5.5),
    deck_width=13.0,
    deck_depth=2.6,
    air_min=-18.0,
    air_max=34.0,
)
_RAIL = BridgeFacts(
    use="rail",
    deck_type="steel",
    superstructure="girders",
    spans=(20.0,),
    unit_length=20.0,
    carriageway=None,
    deck_width=6.0,
    deck_depth=2.0,
    tracks=(TrackFacts(offset=0.0, speed=120 / 3.6),),
    air_min=-18.0,
    air_max=34.0,
)


@pytest.fixture
def values() -> Values:
    return Values("eurocode")


@pytest.fixture
def road() -> Callable[..., BridgeFacts]:
    def make(**changes: Any) -> BridgeFacts:
        return replace(_ROAD, **changes)

    return make


@pytest.fixture
def rail() -> Callable[..., BridgeFacts]:
    def make(**changes: Any) -> BridgeFacts:
        return replace(_RAIL, **changes)

    return make
