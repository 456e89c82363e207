"""EN 1990, annex A2: combinations."""

import pytest

from bedstone.errors import BedstoneError
from bedstone.standards.combination import Combination
from bedstone.standards.eurocode import FAMILY
from bedstone.standards.values import Values

ROAD = (
    "permanent",
    "surfacing",
    "settlement",
    "shrinkage",
    "jacking",
    "thermal",
    "wind",
    "wind with traffic",
    "friction",
    "seismic",
    "traffic:gr1a",
    "traffic:gr1a reduced",
    "traffic:gr1a frequent",
    "traffic:gr1b",
    "traffic:gr2",
    "traffic:gr4",
)
RAIL = (
    "permanent",
    "thermal",
    "wind",
    "wind with traffic",
    "traffic:gr11",
    "traffic:gr15",
    "traffic:gr16",
    "traffic:gr21",
    "seismic",
)


def by_name(found: tuple[Combination, ...]) -> dict[str, Combination]:
    names = {combination.name: combination for combination in found}
    assert len(names) == len(found), "names are unique"
    return names


def adverse(combination: Combination) -> dict[str, float]:
    return {term.action: term.adverse for term in combination.terms}


def test_ultimate_road_combination(values: Values) -> None:
    found = by_name(FAMILY.combinations(values, ROAD))
    windy = found["ULS 6.10 gr1a + 0.6 wind"]
    # Road traffic 1.35 and settlement 1.20: published UK sheet; the others from memory.
    assert adverse(windy) == pytest.approx(
        {
            "permanent": 1.35,
            "surfacing": 1.35,
            "settlement": 1.2,
            "shrinkage": 1.0,
            "jacking": 1.0,
            "traffic:gr1a": 1.35,
            "wind with traffic": 1.5 * 0.6,
            "friction": 1.35,
        }
    )
    relieving = {term.action: term.relieving for term in windy.terms if term.relieving}
    assert relieving == {"permanent": 1.0, "surfacing": 1.0, "jacking": 1.0}
    assert windy.leading == "traffic:gr1a"
    assert windy.limit_state == "ULS persistent"
    assert adverse(found["ULS 6.10 gr2 + 0.6 thermal"])["thermal"] == pytest.approx(0.9)


def test_equilibrium_is_a_limit_state_of_its_own(values: Values) -> None:
    # EN 1990, 6.4.1(1) from memory: EQU decides about loss of equilibrium, not about strength.
    for present in (ROAD, RAIL):
        found = FAMILY.combinations(values, present)
        strength = [c for c in found if c.limit_state == "ULS persistent"]
        equilibrium = [c for c in found if c.limit_state == "ULS equilibrium"]
        assert all("Table A2.4(B)" in c.clause for c in strength)
        assert all("Table A2.4(A)" in c.clause for c in equilibrium)
        assert [c.leading for c in strength] == [c.leading for c in equilibrium]


def test_equilibrium_has_the_factors_of_set_a(values: Values) -> None:
    # Table A2.4(A), 1.05 and 0.95, from memory.
    found = by_name(FAMILY.combinations(values, ROAD))["ULS equilibrium gr1a + 0.6 wind"]
    first = found.terms[0]
    assert (first.action, first.adverse, first.relieving) == ("permanent", 1.05, 0.95)


def test_every_variable_action_leads_somewhere(values: Values) -> None:
    for present in (ROAD, RAIL):
        found = FAMILY.combinations(values, present)
        leading = {c.leading for c in found if c.limit_state == "ULS persistent"}
        groups = {
            a
            for a in present
            if a.startswith("traffic:") and not a.endswith(("reduced", "frequent"))
        }
        assert leading == groups | {"thermal", "wind"}


def test_wind_and_temperature_are_not_combined_on_roads(values: Values) -> None:
    for combination in FAMILY.combinations(values, ROAD):
        actions = set(adverse(combination))
        assert not {"wind", "wind with traffic"} & actions or "thermal" not in actions
        if "wind with traffic" in actions:
            assert not {"traffic:gr1b", "traffic:gr2"} & actions
        if "wind" in actions:
            assert not any(action.startswith("traffic:") for action in actions)


def test_leading_temperature_takes_the_reduced_lm1(values: Values) -> None:
    found = by_name(FAMILY.combinations(values, ROAD))["ULS 6.10 thermal + gr1a reduced"]
    assert adverse(found)["traffic:gr1a reduced"] == 1.35
    assert adverse(found)["thermal"] == 1.5


def test_service_combinations(values: Values) -> None:
    found = by_name(FAMILY.combinations(values, ROAD))
    assert adverse(found["SLS characteristic gr1a + 0.6 thermal"])["thermal"] == 0.6
    frequent = adverse(found["SLS frequent gr1a frequent + 0.5 thermal"])
    assert (frequent["traffic:gr1a frequent"], frequent["thermal"]) == (1.0, 0.5)
    assert adverse(found["SLS frequent 0.2 wind"])["wind"] == 0.2
    quasi = adverse(found["SLS quasi-permanent 0.5 thermal"])
    assert quasi["thermal"] == 0.5
    assert not any(action.startswith("traffic") for action in quasi)
    permanent = adverse(found["Permanent"])
    assert set(permanent) == {"permanent", "surfacing", "settlement", "shrinkage", "jacking"}
    assert set(permanent.values()) == {1.0}
    assert {c.limit_state for c in found.values()} == {
        "permanent",
        "SLS characteristic",
        "SLS frequent",
        "SLS quasi-permanent",
        "ULS persistent",
        "ULS equilibrium",
        "ULS accidental",
        "ULS seismic",
    }


def test_rail_factors(values: Values) -> None:
    found = by_name(FAMILY.combinations(values, RAIL))
    # 1.45, SW/2 1.20, psi 0.80 and wind 0.75: Tables A2.3 and A2.4(B), from memory.
    main = adverse(found["ULS 6.10 gr11 + 0.75 wind + 0.6 thermal"])
    assert main["traffic:gr11"] == 1.45
    assert main["wind with traffic"] == pytest.approx(1.5 * 0.75)
    special = adverse(found["ULS 6.10 gr16 + 0.75 wind + 0.6 thermal"])
    assert special["traffic:gr16"] == 1.2
    accompanying = adverse(found["ULS 6.10 thermal + 0.8 gr21 + 0.75 wind"])
    assert accompanying["traffic:gr21"] == pytest.approx(1.45 * 0.8)
    assert "SLS frequent 0.7 gr21 + 0.5 thermal" in found  # two tracks
    assert "SLS frequent 0.8 gr11 + 0.5 thermal" in found
    assert "SLS frequent gr16 + 0.5 thermal" in found
    assert not any(name.startswith("ULS 6.10 thermal + 0 ") for name in found)


def test_earthquake(values: Values) -> None:
    found = by_name(FAMILY.combinations(values, ROAD))
    quiet = adverse(found["ULS 6.12 seismic + 0.5 thermal"])
    assert (quiet["seismic"], quiet["permanent"]) == (1.0, 1.0)
    assert "ULS 6.12 seismic + 0.2 gr1a + 0.5 thermal" not in found
    severe = FAMILY.with_choices({"seismic.traffic": "severe"})
    assert "ULS 6.12 seismic + 0.2 gr1a + 0.5 thermal" in by_name(severe.combinations(values, ROAD))
    assert "ULS 6.12 seismic + 0.3 gr11 + 0.5 thermal" in by_name(severe.combinations(values, RAIL))


def test_annex_a_movements_have_their_own_factor(values: Values) -> None:
    family = FAMILY.with_choices({"thermal.movements": "en1993-2"})
    found = by_name(family.combinations(values, ROAD))["ULS 6.10 thermal"]
    assert adverse(found)["thermal"] == 1.5
    assert found.movement_terms is not None
    movement = {term.action: term.adverse for term in found.movement_terms}
    assert movement["thermal"] == 1.35  # gamma_F of EN 1993-2 annex A, recalled with doubt
    assert movement["permanent"] == 1.35


def test_absent_actions_and_duplicates_are_dropped(values: Values) -> None:
    for present in (("permanent",), ("permanent", "thermal"), ("permanent", "traffic:gr1a"), ()):
        found = FAMILY.combinations(values, present)
        assert {t.action for c in found for t in c.terms} == set(present)
        keys = [(c.limit_state, c.terms) for c in found]
        assert len(set(keys)) == len(keys)
    assert FAMILY.combinations(values, ()) == ()


def test_no_variable_action_relieves(values: Values) -> None:
    lasting = {"permanent", "surfacing", "jacking"}
    for present in (ROAD, RAIL):
        for combination in FAMILY.combinations(values, present):
            for term in combination.terms:
                assert term.adverse > 0.0
                assert (term.relieving > 0.0) == (term.action in lasting)


def test_unknown_actions_are_refused(values: Values) -> None:
    with pytest.raises(BedstoneError, match="traffic:HL-93"):
        FAMILY.combinations(values, ("permanent", "traffic:HL-93"))


def test_the_engineers_own_factor_counts(values: Values) -> None:
    from dataclasses import replace

    own = replace(values.entry("combinations.recommended.gamma.thermal"), value=1.4)
    chosen = Values("eurocode", {own.name: own})
    found = by_name(FAMILY.combinations(chosen, ROAD))
    assert adverse(found["ULS 6.10 thermal"])["thermal"] == 1.4


@pytest.mark.parametrize(
    ("name", "expected"),
    # Tables A2.1, A2.3, A2.4(A) and UK Table NA.A2.4(B), written down a second time from memory.
    [
        ("recommended.gamma.surfacing_equ", (1.05, 0.95)),
        ("uk.gamma.surfacing", (1.20, 0.95)),
        ("recommended.psi.gr1b", (0.0, 0.75, 0.0)),
        ("recommended.psi.gr4", (0.0, 0.75, 0.0)),
        ("recommended.psi.rail_one_track", (0.8, 0.8, 0.0)),
        ("recommended.psi.rail_two_tracks", (0.8, 0.7, 0.0)),
        ("recommended.psi.rail_sw2", (0.0, 1.0, 0.0)),
        ("recommended.psi.wind_road", (0.6, 0.2, 0.0)),
        ("recommended.psi.wind_rail", (0.75, 0.5, 0.0)),
        ("uk.psi.wind_road", (0.5, 0.2, 0.0)),
    ],
)
def test_recalled_factors(values: Values, name: str, expected: tuple[float, ...]) -> None:
    assert values.row(f"combinations.{name}") == expected


def test_permanent_actions_alone_have_their_limit_states(values: Values) -> None:
    found = by_name(FAMILY.combinations(values, ("permanent", "friction")))
    pair = values.row("combinations.recommended.gamma.permanent")
    (term,) = (t for t in found["ULS 6.10 permanent actions"].terms if t.action == "permanent")
    assert (term.adverse, term.relieving) == pair
    assert adverse(found["ULS 6.10 permanent actions"])["friction"] > 1.0
    assert adverse(found["SLS characteristic permanent actions"]) == {
        "permanent": 1.0, "friction": 1.0,
    }  # fmt: skip
    assert found["ULS equilibrium permanent actions"].limit_state == "ULS equilibrium"
