"""Arrangements that stand, against the stability check that every analysis makes, and their twins,
against reactions solved for an arrangement and for its image."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bedstone.actions.cases import permanent_cases
from bedstone.articulation.arrangement import Arranged, arrange, stand
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge import arrangement_functions, parse_bridge, read_bridge
from bedstone.bridge.schema import Bridge, Rules, Seat
from bedstone.comparison.choices import FUNCTIONS, HOLDS_ALONG, choices
from bedstone.comparison.generate import Arrangements, generate
from bedstone.comparison.twins import symmetries
from bedstone.errors import InputError
from bedstone.mechanics.condense import SeatLoad
from bedstone.mechanics.support import free_motions
from bedstone.model.structure import StateName

EXAMPLES = Path(__file__).parents[2] / "examples"
RAILWAY = read_bridge(EXAMPLES / "railway.toml")
CURVED = read_bridge(EXAMPLES / "curved.toml")
GIRDERS = read_bridge(EXAMPLES / "girders.toml")


def ruled(bridge: Bridge, **rules: Any) -> Bridge:
    changed = Rules.model_validate(rules)
    return bridge.model_copy(
        update={"compare": bridge.compare.model_copy(update={"rules": changed})}
    )


@pytest.fixture(scope="module")
def railway() -> Prepared:
    return prepare(RAILWAY)


@pytest.fixture(scope="module")
def curved() -> Prepared:
    return prepare(CURVED)


def with_rules(prepared: Prepared, **rules: Any) -> Prepared:
    return Prepared(
        ruled(prepared.bridge, **rules), prepared.tables, prepared.structure, prepared.condensed
    )


def arranged(prepared: Prepared, seats: dict[str, Seat], point: str | None) -> Arranged:
    return arrange(prepared.structure, prepared.bridge.support, seats, point)


def codes_by_place(prepared: Prepared) -> np.ndarray:
    """All arrangements of the rules, seats in the order of the structure."""
    offered = choices(prepared.bridge)
    order = {seat.mark: place for place, seat in enumerate(offered.seats)}
    return offered.codes()[:, [order[seat.mark] for seat in prepared.structure.seats]]


# ------------------------------------------------------------------ stability
@pytest.mark.parametrize("name", ["railway", "curved"])
def test_those_kept_stand_and_those_dropped_do_not(
    name: str, request: pytest.FixtureRequest
) -> None:
    base: Prepared = request.getfixturevalue(name)
    prepared = with_rules(
        base, supports_along=[0, 2], across=[0, 1], along=[1, 2], only_across=[1, 2]
    )
    found = generate(prepared, fold=False)
    kept = {row.tobytes() for row in found.codes}
    everything = codes_by_place(prepared)
    assert found.total == len(everything)
    assert found.total == len(found) + sum(drop.count for drop in found.dropped)
    assert 0 < len(found) < found.total
    condensed = prepared.condensed[prepared.final]
    random = np.random.default_rng(4)
    words = {drop.motion for drop in found.dropped}
    for row in random.choice(len(everything), size=250, replace=False):
        codes = everything[row]
        one = Arrangements(
            found.marks, codes[None], FUNCTIONS, np.ones(1, dtype=np.intp), 1, (), (),
            found.supports, found.passed_on, prepared,
        )  # fmt: skip
        motions = free_motions(
            condensed, arranged(prepared, one.functions(0), one.point(0)).bearings
        )
        assert (codes.tobytes() in kept) == (not motions)
        if motions:
            assert "; ".join(motions) in words


def test_the_free_motion_is_named_with_an_example(railway: Prepared) -> None:
    found = generate(with_rules(railway, supports_along=[0, 0]))
    assert len(found) == 0
    # nothing holds along, so both spans slide along, and nothing else does
    assert len(found.dropped) == 1
    assert found.dropped[0].count == found.total == 2**4
    assert found.dropped[0].motion.count("slides freely along the bridge (x)") == 2
    assert found.dropped[0].example.startswith("guided along ")


# ------------------------------------------------------------------ what an arrangement is
def test_functions_names_and_points(railway: Prepared) -> None:
    found = generate(railway, fold=False)
    names = [found.name(index) for index in range(len(found))]
    assert len(set(names)) == len(found) == 576
    own = arrangement_functions(RAILWAY)
    place = found.find(own)
    assert place is not None
    functions = found.functions(place)
    assert {mark: seat.function for mark, seat in functions.items()} == {
        mark: seat.function for mark, seat in own.items()
    }
    assert functions == own  # the file's own bearings, with all they say
    assert found.name(place) == (
        "fixed A1-1, P1-1a; guided across A1-2, P1-2a; guided along P1-1b, A2-1"
    )
    assert found.point(place) is None


def test_where_none_is_fixed_guides_point_to_the_support_that_holds(curved: Prepared) -> None:
    found = generate(curved, fold=False)
    loose = [i for i in range(len(found)) if not (found.codes[i] == FUNCTIONS.index("fixed")).any()]
    assert loose
    for index in loose[:20]:
        point = found.point(index)
        along = {
            seat.partition("-")[0]
            for seat, bearing in found.functions(index).items()
            if bearing.function == "guided across"
        }
        assert {point} == along


def test_the_files_arrangement_is_found_or_its_twin(curved: Prepared) -> None:
    found = generate(curved)
    assert found.find(arrangement_functions(CURVED)) is not None


def test_the_order_is_the_same_every_time(railway: Prepared) -> None:
    one, two = generate(railway), generate(railway)
    assert np.array_equal(one.codes, two.codes)
    assert np.array_equal(one.weight, two.weight)


def test_a_million_in_one_go() -> None:
    prepared = prepare(ruled(GIRDERS, across=[0, 2], along=[1, 2], largest=3_000_000))
    found = generate(prepared)
    # 4 supports; runs of one or two of five: 9; none, one or two of five across: 16 at each
    assert found.total == 4 * 9 * 16**4
    assert found.codes.dtype == np.uint8
    assert len(found) + sum(drop.count for drop in found.dropped) == found.total


def test_too_many_are_refused(railway: Prepared) -> None:
    with pytest.raises(InputError) as caught:
        generate(with_rules(railway, largest=575), seconds=1.0)
    (fault,) = caught.value.faults
    assert fault.found == "576 arrangements, about 9.6 minutes"


# ------------------------------------------------------------------ twins
def reactions(prepared: Prepared, arranged_seats: Arranged) -> np.ndarray:
    """(ns, 3, k) forces on the superstructure, global axes: permanent by state, and warmth."""
    final = prepared.final
    state = prepared.structure.states[final]
    warm = prepared.condensed[final].load(state.uniform_temperature(1.2e-5, 1e-5) * 30.0)
    loads: dict[StateName, SeatLoad] = {}
    for case in permanent_cases(prepared.structure, prepared.condensed):
        loads[case.state] = loads[case.state] + case.load if case.state in loads else case.load
    forces = []
    for name, load in [*loads.items(), (final, warm)]:
        standing = stand(
            prepared.structure,
            prepared.bridge.support,
            prepared.condensed[name],
            arranged_seats,
        ).supported
        forces.append(standing.effects(load).seat_force.reshape(-1, 6)[:, :3])
    return np.stack(forces, axis=-1)


@pytest.mark.parametrize("name", ["railway", "curved"])
def test_twins_share_their_forces_at_seats_that_trade_places(
    name: str, request: pytest.FixtureRequest
) -> None:
    prepared: Prepared = request.getfixturevalue(name)
    prepared = with_rules(prepared, supports_along=[1, 2], across=[1, 1], along=[1, 2])
    every = generate(prepared, fold=False)
    folded = generate(prepared)
    assert folded.weight.sum() == len(every)
    place = {row.tobytes(): index for index, row in enumerate(every.codes)}
    checked = 0
    random = np.random.default_rng(2)
    for index in random.choice(np.flatnonzero(folded.weight > 1), size=30, replace=False):
        mine = place[folded.codes[index].tobytes()]
        own = reactions(prepared, arranged(prepared, every.functions(mine), every.point(mine)))
        for way in folded.ways:
            if not way.holds:
                continue
            image = np.zeros_like(folded.codes[index])
            image[way.seats] = folded.codes[index]
            other = place[image.tobytes()]
            assert other >= mine  # the first of the twins is kept
            there = reactions(
                prepared, arranged(prepared, every.functions(other), every.point(other))
            )
            expected = np.zeros_like(own)
            expected[way.seats] = np.einsum("ab,sbk->sak", way.turn, own)
            assert np.abs(there - expected).max() < 1e-6 * np.abs(own).max()
            checked += 1
    assert checked >= 30


def test_a_rule_for_one_end_keeps_its_arrangements(railway: Prepared) -> None:
    """What has no image among the arrangements stands for itself and its mirror across."""
    found = generate(with_rules(railway, only_along=["A1", "P1"]))
    # the first span on two supports, 24 ways; the second is held at P1 alone, 12 ways
    assert found.total == found.weight.sum() == 24 * 12
    first = [mark.startswith("A1") for mark in found.marks]
    at_first = HOLDS_ALONG[found.codes[:, first]].any(axis=1)
    # held along at A1 the image is held at A2, which is not among them
    assert found.weight[at_first].max() == 2
    assert found.weight[~at_first].max() == 4


def test_a_place_asked_for_does_not_trade_places(railway: Prepared) -> None:
    by_name = {way.name: way for way in symmetries(railway, ["A1"])}
    assert by_name["mirrored across"].holds
    assert "A1 is asked for" in by_name["mirrored along"].reason
    assert "A1 is asked for" in by_name["turned by 180 deg"].reason
    seat = {way.name: way.holds for way in symmetries(railway, ["A1-1"])}
    assert seat == {
        "mirrored across": False, "mirrored along": False, "turned by 180 deg": False,
    }  # fmt: skip
    assert generate(railway, places=["A1"]).weight.max() == 2


def test_a_bearing_that_differs_is_no_twin(railway: Prepared) -> None:
    text = (EXAMPLES / "railway.toml").read_text(encoding="utf-8")
    friction = text.replace(
        '[arrangement.seats.A2-2]\nfunction = "free"',
        '[arrangement.seats.A2-2]\nfunction = "free"\nfriction = 0.08',
    )
    found = generate(prepare(parse_bridge(friction)))
    free = FUNCTIONS.index("free")
    at = found.marks.index("A2-2")
    plain = generate(railway)
    # where A2-2 is free its friction tells it apart from every image
    assert set(found.weight[found.codes[:, at] == free].tolist()) == {1}
    assert len(found) > len(plain)
    assert found.weight.sum() == plain.weight.sum()


CHANGES = [
    ('tracks = [{ offset = "0 m"', 'tracks = [{ offset = "0.2 m"', "mirrored across", "tracks"),
    ('mark = "A1"\nchainage = "0 m"\nbase_level = "7.0 m"',
     'mark = "A1"\nchainage = "0 m"\nbase_level = "7.5 m"', "mirrored along", "bases of A"),
    ('mark = "A1"\nchainage = "0 m"\nbase_level = "7.0 m"\nbelow = { kind = "rigid" }',
     ('mark = "A1"\nchainage = "0 m"\nbase_level = "7.0 m"\n'
     'below = { kind = "springs", springs = { kx = "500 MN/m" } }'),
     "mirrored along", "give way (given stiffness)"),
    ('line_value = "6.0 kN/m"\ny = "-2.4 m"', 'line_value = "7.0 kN/m"\ny = "-2.4 m"',
     "mirrored across", "permanent loads of stage finished"),
    ('support = "P1"\nvalue = "8 mm"', 'support = "A1"\nvalue = "8 mm"', "mirrored along",
     "settlements"),
    ('overhang_left = "1.15 m"', 'overhang_left = "1.25 m"', "mirrored across", "deck"),
    ('[actions.wind]', '[[actions.jacking]]\nseat = "A1-1"\nlift = "2 mm"\n\n[actions.wind]',
     "mirrored across", "jacking"),
    ('speed = "120 km/h", alpha = 1.0 }]', 'speed = "120 km/h", alpha = 1.0 }]\nend = "50 m"',
     "mirrored along", "loaded length"),
    ('[actions.wind]',
     '[[actions.lengthening]]\nmembers = "girder_1"\nstrain = 1e-4\n\n[actions.wind]',
     "mirrored across", "shrinkage and lengthening"),
    ('mark = "A2"\nchainage = "60 m"', 'mark = "A2"\nchainage = "59 m"', "mirrored along", "seats"),
    ('[compare]\n', '[bearings.kinds]\nA1-1 = "spherical"\n\n[compare]\n', "mirrored across",
     "kinds of bearing at"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "way", "reason"), CHANGES)
def test_what_differs_from_its_image_is_found(old: str, new: str, way: str, reason: str) -> None:
    """Each thing that makes a force, changed on one side alone, ends the symmetry and is named."""
    text = (EXAMPLES / "railway.toml").read_text(encoding="utf-8")
    assert old in text
    prepared = prepare(parse_bridge(text.replace(old, new, 1)))
    found = {one.name: one for one in symmetries(prepared)}
    assert not found[way].holds
    assert reason in found[way].reason


def test_a_stiffer_girder_on_one_side_is_found() -> None:
    text = (EXAMPLES / "railway.toml").read_text(encoding="utf-8")
    start = text.index("[superstructure.sections.girder]")
    girder = text[start : text.index("[superstructure.sections.brace]")]
    heavy = girder.replace("sections.girder", "sections.heavy").replace("18 mm", "30 mm")
    text = text.replace("[superstructure.slab]", heavy + "[superstructure.slab]")
    text = text.replace(
        'end = "60 m"\nsection = "girder"',
        'end = "30 m"\nsection = "girder"\n\n[[superstructure.segments]]\n'
        'start = "30 m"\nend = "60 m"\nsection = "heavy"',
    )
    found = {one.name: one for one in symmetries(prepare(parse_bridge(text)))}
    assert found["mirrored across"].holds
    assert "flexibility" in found["mirrored along"].reason


def test_the_symmetries_of_the_examples(railway: Prepared, curved: Prepared) -> None:
    assert [way.holds for way in symmetries(railway)] == [True, True, True]
    assert [way.holds for way in symmetries(curved)] == [False, True, False]
    skew = symmetries(prepare(GIRDERS))
    assert [way.reason for way in skew[:2]] == ["the seats do not stand on their images"] * 2
    assert "bases of P" in skew[2].reason  # piers of unlike height
