"""The quick envelopes against the schedule, which places traffic anew."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from bedstone.articulation.arrangement import stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Jacking, Seat
from bedstone.comparison.faults_list import faults_of
from bedstone.comparison.screen import Screen
from bedstone.errors import UnstableError
from bedstone.schedule.make import schedule_of

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def screens():
    made = {}

    def get(name, family):
        if (name, family) not in made:
            with threadpool_limits(1, user_api="blas"):
                prepared = prepare(read_bridge(ROOT / f"examples/{name}.toml"))
                made[name, family] = prepared, Screen(prepared, family)
        return made[name, family]

    return get


def errors(prepared, look, family):
    """Differences to every governing line without open contact, by the largest of its unit."""
    schedule = schedule_of(prepared, family)
    lines = [line for line in (*schedule.seat_lines, *schedule.support_lines) if not line.contact]
    index = [look.layout.index(line.place, line.effect) for line in lines]
    units = [look.layout.units[i] for i in index]
    top = {unit: max(abs(x.value) for x, u in zip(lines, units, strict=True) if u == unit)
           for unit in set(units)}  # fmt: skip
    return [
        (
            look.value[
                look.limit_states.index(line.limit_state), 0 if line.sense == "max" else 1, i
            ]
            - line.value
        )
        * (1.0 if line.sense == "max" else -1.0)
        / top[unit]
        for line, i, unit in zip(lines, index, units, strict=True)
    ]


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("truss", "eurocode"),
        ("truss", "aashto"),
        ("truss", "irc"),
        ("railway", "eurocode"),
        ("curved", "aashto"),
        ("girders", "irc"),
    ],
)
def test_own_arrangement_is_that_of_the_schedule(screens, name, family):
    prepared, screen = screens(name, family)
    found = errors(prepared, screen.look(), family)
    # a load worst for one effect may be worse for another than what the search found for that one
    assert min(found) > -1e-3
    assert max(found) < 1e-3


def changed(bridge, **seats):
    own = {mark.replace("_", "-"): Seat(function=word) for mark, word in seats.items()}
    arrangement = bridge.arrangement
    return bridge.model_copy(
        update={
            "arrangement": arrangement.model_copy(update={"seats": {**arrangement.seats, **own}})
        }
    )


def test_another_arrangement_is_not_above_the_schedule_and_near_it(screens):
    prepared, screen = screens("curved", "eurocode")
    other = changed(prepared.bridge, P1_1="free", P1_2="free", A1_1="fixed")
    found = errors(replace(prepared, bridge=other), screen.look(other), "eurocode")
    assert max(found) < 1e-3
    assert min(found) > -0.05


def test_a_seat_too_low_is_a_case_of_its_own(screens):
    prepared, screen = screens("truss", "eurocode")
    actions = prepared.bridge.actions.model_copy(
        update={"jacking": [Jacking.model_validate({"seat": "A1-1", "lift": "-10 mm"})]}
    )
    fault = prepared.bridge.model_copy(update={"actions": actions})
    found = errors(replace(prepared, bridge=fault), screen.look(fault), "eurocode")
    assert max(map(abs, found)) < 1e-3


@pytest.mark.parametrize("name", ["truss", "girders"])
def test_what_is_carried_over_from_the_own_bearings_is_what_it_would_be_anew(screens, name):
    """Levels and friction leave the bearings as they are; wind at another temperature too."""
    prepared, screen = screens(name, "eurocode")
    kinds = {"seat too low", "more friction", "wrong setting"}
    picked = {fault.kind: fault for fault in faults_of(screen) if fault.kind in kinds}
    assert set(picked) == kinds
    for fault in picked.values():
        quick = screen.look(fault.bridge)
        anew = Screen(replace(prepared, bridge=fault.bridge), "eurocode")
        assert quick.limit_states == anew.limit_states
        slow = anew.look()
        scale = np.abs(slow.value).max(axis=(0, 1))
        close = np.abs(quick.value - slow.value) <= 1e-9 * scale + 1e-9 * scale.max()
        assert close.all(), fault.name
        assert not np.allclose(quick.value, screen.look().value, rtol=1e-6, atol=0.0), fault.name
        index = 12 * np.arange(len(screen.layout.seats))
        assert quick.permanent[index] == pytest.approx(slow.permanent[index], rel=1e-9)


def test_wind_of_another_pressure_is_not_taken_for_that_of_the_file(screens):
    """Twice the pressure, twice the force (statics), also beside loads that are kept."""
    prepared, screen = screens("truss", "eurocode")
    bridge = prepared.bridge
    loads = [
        screen.loads(
            bridge.model_copy(
                update={
                    "actions": bridge.actions.model_copy(
                        update={
                            "wind": bridge.actions.wind.model_copy(
                                update={"pressure": pressure, "speed": None}
                            )
                        }
                    )
                }
            )
        )
        for pressure in (500.0, 1000.0, 500.0)
    ]
    forces = [
        load.stacked[part.state][:, part.columns]
        for load in loads
        for part in load.variable["wind"][0]
    ]
    assert np.abs(forces[0]).max() > 0.0
    assert forces[1] == pytest.approx(2.0 * forces[0], abs=1e-9 * np.abs(forces[0]).max())
    assert np.array_equal(forces[2], forces[0])


def test_a_look_keeps_what_it_stands_on_though_others_came_after(screens):
    """The final state of each with the first stiffness below, as it is made anew."""
    prepared, screen = screens("truss", "eurocode")
    bridge = prepared.bridge
    other = changed(bridge, A2_1="free", A2_2="guided along")
    looks = [(item, screen.look(item)) for item in (bridge, other, bridge)]
    for item, look in looks:  # the last one, and earlier ones
        assert look.bounds == ("lower", "upper")
        found = screen.standing(look, item).effects.matrix
        first, last = (
            stand(
                prepared.structure, list(item.support), prepared.condensed[prepared.final],
                look.arranged, bound,
            ).effects.matrix
            for bound in look.bounds
        )  # fmt: skip
        assert found == pytest.approx(first, rel=1e-9, abs=1e-12 * np.abs(first).max())
        assert np.abs(first - last).max() > 1e-6 * np.abs(first).max()


def test_overturning_counts_about_the_foot_that_the_file_gives(screens):
    """Force along a support times 5 m more of lever (statics), whatever was looked at before."""
    prepared, screen = screens("truss", "eurocode")
    deeper = [
        s.model_copy(update={"base_level": s.base_level + 5.0}) for s in prepared.bridge.support
    ]
    other = prepared.bridge.model_copy(update={"support": deeper})
    before, after = screen.look(), screen.look(other)
    across, along = (before.layout.index("A1", effect) for effect in ("Fx", "My"))
    for table in ("permanent", "unit_heat"):
        own, new = getattr(before, table), getattr(after, table)
        assert new[along] - own[along] == pytest.approx(5.0 * own[across], rel=1e-6, abs=1e-3)
    own, new = before.actions["wind"], after.actions["wind"]
    assert new[0, along] - own[0, along] == pytest.approx(5.0 * own[0, across], rel=1e-6)
    assert own[0, across] > 0.0


def test_a_softer_pier_moves_force_away_from_it(screens):
    prepared, screen = screens("girders", "irc")
    p1 = next(s for s in prepared.bridge.support if s.mark == "P1")
    soft = p1.model_copy(
        update={"bounds": p1.bounds.model_copy(update={"lower": 0.3, "upper": 0.8})}
    )
    supports = [soft if s is p1 else s for s in prepared.bridge.support]
    fault = prepared.bridge.model_copy(update={"support": supports})
    before, after = screen.look(), screen.look(fault)
    assert after.extreme("P1-3", "vx", "abs") == 0.0  # held all the same
    assert after.periods[0] > before.periods[0]


def test_looking_twice_gives_the_same(screens):
    _, screen = screens("truss", "irc")
    one, two = screen.look(), screen.look()
    assert np.array_equal(one.value, two.value)
    assert one.residual < 1e-9


def test_what_is_unstable_is_told_in_words(screens):
    prepared, screen = screens("truss", "eurocode")
    loose = changed(prepared.bridge, A1_1="guided along", A1_2="guided along",
                    A2_1="guided along", A2_2="guided along")  # fmt: skip
    with pytest.raises(UnstableError, match="slides freely along the bridge"):
        screen.look(loose)


def test_governing_names_what_it_comes_from(screens):
    _, screen = screens("truss", "eurocode")
    look = screen.look()
    value, state, combination, bound = look.governing("A1", "V")
    assert value == look.extreme("A1", "V")
    assert state.startswith("ULS")
    assert combination
    assert bound in ("lower", "upper")
