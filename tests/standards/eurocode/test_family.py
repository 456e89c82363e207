"""The family as a whole: every bridge it is for, its choices, its data, its record."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.eurocode import FAMILY
from bedstone.standards.family import Family
from bedstone.standards.site import TrackFacts
from bedstone.standards.values import Values

FULL = {
    "wind.speed": 27.0,
    "seismic.ground_acceleration": 1.5,
    "seismic.soil": "B",
}


def test_it_is_a_family() -> None:
    family: Family = FAMILY  # mypy reads this line; the names below hold at run time
    assert family.name == "eurocode"


@pytest.mark.parametrize("radius", [None, 400.0, -400.0])
@pytest.mark.parametrize("kind", ["road girders", "road truss", "rail", "rail two tracks"])
def test_the_whole_family_runs(values, road, rail, kind: str, radius: float | None) -> None:
    facts = {
        "road girders": lambda: road(radius=radius, choices=FULL),
        "road truss": lambda: road(
            radius=radius,
            choices=FULL,
            superstructure="truss",
            deck_type="steel",
            spans=(80.0,),
            unit_length=80.0,
            carriageway=(-2.7, 2.7),
        ),
        "rail": lambda: rail(radius=radius, choices=FULL),
        "rail two tracks": lambda: rail(
            radius=radius,
            choices=FULL,
            spans=(25.0, 30.0),
            unit_length=55.0,
            tracks=(TrackFacts(2.0, 44.4), TrackFacts(-2.0, 44.4, 1.33, 0.03)),
            models=("LM71", "SW/0", "SW/2", "unloaded train"),
        ),
    }[kind]()
    groups = FAMILY.traffic(values, facts)
    present = {
        "permanent",
        "thermal",
        "wind",
        "wind with traffic",
        "seismic",
        "friction",
        *(f"traffic:{group.name}" for group in groups),
    }
    combinations = FAMILY.combinations(values, present)
    spoken = {term.action for combination in combinations for term in combination.terms}
    assert spoken == present  # every group of traffic appears in some combination
    assert FAMILY.thermal(values, facts).expansion > 0.0
    assert FAMILY.wind(values, facts).across > 0.0
    case = FAMILY.seismic(values, facts, 0.3, 0.8)
    assert case is not None
    assert case.coefficient_along > 0.0
    lines = FAMILY.lines(values, facts)
    assert len(set(lines)) == len(lines)
    assert any("entrifugal" in line.title for line in lines) == (radius is not None)
    for line in lines:
        assert line.standard
        assert line.clause
        assert line.result.symbol


def test_choices_change_the_family() -> None:
    chosen = FAMILY.with_choices({"national": "uk"})
    assert (chosen.national, FAMILY.national) == ("uk", "recommended")
    with pytest.raises(InputError, match="national"):
        FAMILY.with_choices({"national": "atlantis"})


def test_uk_combinations(values: Values) -> None:
    present = ("permanent", "wind", "thermal")
    found = FAMILY.with_choices({"national": "uk"}).combinations(values, present)
    by_name = {combination.name: combination for combination in found}
    permanent, wind = by_name["ULS 6.10 wind"].terms
    assert (permanent.adverse, permanent.relieving, wind.adverse) == (1.35, 0.95, 1.7)
