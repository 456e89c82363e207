"""Bearings of the seats, and the same bearings back in the model.

Expected values: the law of a spring (force is stiffness times movement) and the shear stiffness
G A / T of a pad (EN 1337-3, 5.3.3.7; mechanics of shear), worked from the sizes of its parts.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.bearings.base import Behaviour, Design
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Bridge, Seat, Springs6
from bedstone.bridge.templates import template, template_files
from bedstone.errors import InputError
from bedstone.schedule import with_bearings
from bedstone.schedule.demand import demand_of
from bedstone.schedule.designs import design_seat, seats_of
from bedstone.schedule.make import make_schedule
from bedstone.schedule.result import Schedule
from bedstone.schedule.with_bearings import (
    MOST_ROUNDS,
    SETTLED,
    WithBearings,
    behaving,
    largest_change,
    make_with_bearings,
)

PADS = """[arrangement]
name = "pads at the abutments"
set_at = "slab cast"
supports = { A1 = "free", A2 = "free", P1 = ["guided across", "fixed", "guided across", "free"] }
kinds = { free = "laminated elastomeric", fixed = "pot", "guided across" = "pot on slide" }
[bearings.kinds]
P1-4 = "pot"
"""


def write(folder: Path, kind: str, arrangement: str) -> Path:
    text = template(kind)
    file = folder / "bridge.toml"
    file.write_text(text[: text.index("[arrangement]")] + arrangement, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("pads")


@pytest.fixture(scope="module")
def bridge(folder: Path) -> Bridge:
    return read_bridge(write(folder, "girders", PADS))


@pytest.fixture(scope="module")
def schedule(bridge: Bridge, folder: Path) -> Schedule:
    return make_schedule(bridge, folder)


@pytest.fixture(scope="module")
def both(bridge: Bridge, folder: Path) -> WithBearings:
    return make_with_bearings(bridge, folder)


def effect(both: WithBearings, seat: str, name: str) -> float:
    return both.schedule.permanent_seats[seat][SEAT_EFFECTS.index(name)]


# ------------------------------------------------------------------ which bearing a seat gets
def test_the_kind_is_asked_for_or_of_the_file_or_chosen(
    bridge: Bridge, folder: Path, schedule: Schedule
) -> None:
    seats = seats_of(bridge, folder)
    told = {mark: design_seat(schedule, bridge, seats, mark) for mark in ("A1-2", "P1-2", "P1-4")}
    assert {mark: found.choice.kind for mark, found in told.items()} == {
        "A1-2": "laminated elastomeric", "P1-2": "pot", "P1-4": "pot",
    }  # fmt: skip
    assert {found.origin for found in told.values()} == {"in the file"}
    asked = design_seat(schedule, bridge, seats, "P1-2", "spherical")
    assert (asked.origin, asked.choice.kind) == ("asked for", "spherical")
    free = replace(seats, kinds=dict.fromkeys(seats.kinds))
    chosen = design_seat(schedule, bridge, free, "P1-2")
    assert chosen.origin == "chosen"
    passing = [choice for choice in chosen.compared if choice.passes]
    assert chosen.choice == passing[0]
    masses = [choice.design.mass for choice in passing if choice.design]
    assert masses == sorted(masses)
    assert "movements.increase.rotation" in {value.name for value in asked.memory}


def test_a_given_bearing_is_assessed(folder: Path, bridge: Bridge, schedule: Schedule) -> None:
    pad = {
        "length": "300 mm", "width": "400 mm", "layers": 5, "layer": "8 mm", "plate": "3 mm",
        "cover": "2.5 mm",
    }  # fmt: skip
    given = [{"seat": "A1-2", "kind": "laminated elastomeric", "sizes": pad}]
    bearings = type(bridge.bearings).model_validate({"given": given})
    changed = bridge.model_copy(update={"bearings": bearings})
    seats = seats_of(changed, folder)
    found = design_seat(schedule, changed, seats, "A1-2")
    assert found.origin == "given"
    assert found.choice.design is not None
    sizes = found.choice.design.bearing
    assert isinstance(sizes, Elastomeric)
    assert (sizes.pad.length, sizes.pad.layers) == (0.3, 5)
    # another kind that is asked for is designed, not assessed
    assert design_seat(schedule, changed, seats, "A1-2", "pot").origin == "asked for"

    thin = [{**given[0], "sizes": {**pad, "layer": "-8 mm"}}]
    bearings = type(bridge.bearings).model_validate({"given": thin})
    changed = bridge.model_copy(update={"bearings": bearings})
    with pytest.raises(InputError, match=r"bearings\.given\[1\]\.sizes\.layer"):
        design_seat(schedule, changed, seats, "A1-2")


def test_faults_of_options_name_their_place(
    folder: Path, bridge: Bridge, schedule: Schedule
) -> None:
    bearings = bridge.bearings.model_copy(update={"options": {"elastomeric.shape": "oval"}})
    changed = bridge.model_copy(update={"bearings": bearings})
    seats = seats_of(changed, folder)
    with pytest.raises(InputError, match=r"bridge file: bearings\.options\.elastomeric\.shape"):
        design_seat(schedule, changed, seats, "A1-2")
    with pytest.raises(InputError, match="'A1-9'"):
        seats.known("A1-9")


# ------------------------------------------------------------------ back into the model
def test_it_settles_and_says_in_how_many_rounds(both: WithBearings) -> None:
    assert both.settled
    assert both.change < SETTLED
    assert 2 <= both.rounds <= MOST_ROUNDS
    told = [note for note in both.schedule.notes if note.startswith("bearings in the model")]
    assert len(told) == 1
    assert f"{both.rounds} rounds" in told[0]


def test_pads_push_by_their_own_stiffness(both: WithBearings) -> None:
    found = {item.seat: item.choice for item in both.designs}
    pads = [seat for seat in found if seat[:2] in ("A1", "A2") and found[seat].passes]
    assert pads
    for seat in pads:
        design = found[seat].design
        assert design is not None
        pad = design.bearing
        assert isinstance(pad, Elastomeric)
        # shear of the whole rubber, G = 0.9 MPa (EN 1337-3, nominal)
        rubber = pad.pad.layers * pad.pad.layer + 2.0 * pad.pad.cover
        stiffness = 0.9e6 * pad.pad.length * pad.pad.width / rubber
        moved = effect(both, seat, "vx")
        assert abs(moved) > 1e-5
        assert effect(both, seat, "Hx") == pytest.approx(stiffness * moved, rel=1e-6)
        assert effect(both, seat, "My") != 0.0  # it resists rotation too


def test_the_schedule_on_bearings_is_another_one(both: WithBearings, schedule: Schedule) -> None:
    # pads in the place of free bearings take part of the braking
    assert largest_change(schedule, both.schedule) > SETTLED
    assert largest_change(both.schedule, both.schedule) == 0.0
    kinds = {seat.mark: seat.kind for seat in both.schedule.seats}
    assert kinds["P1-4"] == "pot"
    slide = next(item.choice.design for item in both.designs if item.seat == "P1-1")
    assert slide is not None
    friction = {seat.mark: seat.friction for seat in both.schedule.seats}["P1-1"]
    assert friction is not None
    assert friction[0] == pytest.approx(slide.behaviour.friction[0])


def test_the_bearings_shown_carry_the_schedule_shown(both: WithBearings, bridge: Bridge) -> None:
    for item in both.designs:
        if item.choice.passes:
            last = demand_of(both.schedule, bridge, item.seat)
            for name in ("N", "Hx", "Hy"):
                designed = item.demand.largest(name)
                assert last.largest(name) <= designed + SETTLED * item.demand.largest("N")


def test_a_spring_is_not_a_hold(both: WithBearings, bridge: Bridge) -> None:
    assert demand_of(both.schedule, bridge, "A1-2").held == (False, False)
    assert demand_of(both.schedule, bridge, "P1-2").held == (True, True)


def test_reactions_have_no_model_to_go_back_to(tmp_path: Path) -> None:
    for name, text in template_files("reactions").items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "bridge.toml").write_text(template("reactions"), encoding="utf-8")
    with pytest.raises(InputError, match=r"superstructure\.kind: found reactions"):
        make_with_bearings(read_bridge(tmp_path / "bridge.toml"), tmp_path)


# ------------------------------------------------------------------ one seat
def design(kind: str, behaviour: Behaviour) -> Design:
    return Design(kind, None, (), (), behaviour, 0.1, (0.1, 0.1), 0.0, 0.0)  # type: ignore[arg-type]


def test_what_is_free_or_rigid_follows_the_function() -> None:
    seat = Seat(function="free", stiffness=Springs6.model_construct(krz=5.0), friction=0.3)
    found = behaving(seat, design("pot", Behaviour(friction=(0.05, 0.0), rotation_x=7.0)))
    assert found.function == "free"
    assert (found.kind, found.friction) == ("pot", 0.05)
    assert found.stiffness is not None
    assert (found.stiffness.kx, found.stiffness.krx, found.stiffness.krz) == (None, 7.0, 5.0)


def test_steel_on_steel_is_no_spring_against_rotation() -> None:
    stiff = Behaviour(stiffness_z=9.0, rotation_x=7.0, rotation_y=8.0)
    found = behaving(Seat(function="fixed"), design("line rocker", stiff)).stiffness
    assert found is not None
    assert (found.kz, found.krx, found.kry) == (9.0, None, None)


def test_noise_is_no_change(both: WithBearings) -> None:
    lines = list(both.schedule.seat_lines)
    small = next(i for i, line in enumerate(lines) if line.effect == "Hx" and line.value)
    lines[small] = replace(lines[small], value=lines[small].value + 1.0)  # 1 N
    changed = replace(both.schedule, seat_lines=tuple(lines))
    assert 0.0 < largest_change(both.schedule, changed) < SETTLED
    largest = max(range(len(lines)), key=lambda i: abs(lines[i].value))
    lines[largest] = replace(lines[largest], value=1.05 * lines[largest].value)
    changed = replace(both.schedule, seat_lines=tuple(lines))
    assert largest_change(both.schedule, changed) == pytest.approx(0.05 / 1.05)


@pytest.mark.slow
def test_two_sizes_that_alternate_are_stopped(
    bridge: Bridge, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bearings of the third round are designed for what the second one asked as well."""
    asked: list[bool] = []
    true = with_bearings.design_seat

    def note(*arguments: object, **named: object) -> object:
        asked.append(named["also"] is not None)
        return true(*arguments, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(with_bearings, "design_seat", note)
    monkeypatch.setattr(with_bearings, "largest_change", lambda *_: 1.0)
    found = make_with_bearings(bridge, folder)
    assert (found.rounds, found.settled) == (MOST_ROUNDS, False)
    seats = len(found.designs)
    assert asked == [False] * 2 * seats + [True] * 4 * seats
    assert any("NOT settled" in note for note in found.schedule.notes)
