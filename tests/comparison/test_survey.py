"""Envelopes in bulk against those of one arrangement at a time."""

from pathlib import Path

import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables
from bedstone.comparison.choices import FUNCTIONS, choices
from bedstone.comparison.inherited import inherited
from bedstone.comparison.screen import Screen
from bedstone.comparison.survey import SEAT, Survey
from bedstone.errors import BedstoneError, UnstableError

ROOT = Path(__file__).parents[2]


def survey_of(name, family):
    bridge = read_bridge(ROOT / f"examples/{name}.toml")
    tables = read_tables(bridge, ROOT / "examples")
    prepared = prepare(bridge, tables)
    screen = Screen(prepared, family)
    codes = choices(bridge, tables).codes().astype(np.intp)
    passed_on = inherited(bridge, tables)
    bearings = [
        {int(c): passed_on.bearing(seat.mark, FUNCTIONS[c]) for c in np.unique(codes[:, k])}
        for k, seat in enumerate(prepared.structure.seats)
    ]
    return screen, Survey(screen, bearings), codes


def effects_of(screen, survey):
    """Places and effects in the order of `Rows`."""
    order = screen.layout
    return [(seat, effect) for effect in SEAT for seat in order.seats] + [
        order.name(order.index(order.supports[0], "V") + k) for k in range(6 * len(order.supports))
    ]


@pytest.mark.parametrize(
    ("name", "family"),
    [("truss", "eurocode"), ("curved", "irc"), ("railway", "eurocode"), ("girders", "aashto")],
)
def test_bulk_is_as_one_by_one(name, family):
    with threadpool_limits(1, user_api="blas"):
        screen, survey, codes = survey_of(name, family)
        bridge, structure = screen.prepared.bridge, screen.prepared.structure
        chosen = codes[np.random.default_rng(4).choice(len(codes), 8, replace=False)]
        rows = survey.some(chosen)
        effects = effects_of(screen, survey)
        index = [screen.layout.index(*pair) for pair in effects]
        assert [survey.column(*pair) for pair in effects] == list(range(len(effects)))
        units = np.array([screen.layout.units[i] for i in index])
        for row, own in enumerate(chosen):
            functions = {
                seat.mark: survey.bearings[k][int(own[k])] for k, seat in enumerate(structure.seats)
            }
            arranged = arrange(
                structure, list(bridge.support), functions, bridge.arrangement.fixed_point
            )
            try:
                look = screen.look(arranged=arranged)
            except UnstableError:
                assert not rows.stands[row]
                assert np.isnan(rows.top[row]).all()
                continue
            assert rows.stands[row]
            assert not rows.held_twice[row]
            top, low = look.value[:, 0].max(axis=0)[index], look.value[:, 1].min(axis=0)[index]
            for unit in set(units):
                same = units == unit
                size = max(np.abs(top[same]).max(), np.abs(low[same]).max())
                # periods are rounded to a thousandth
                assert np.abs(rows.top[row, same] - top[same]).max() < 1e-3 * size
                assert np.abs(rows.low[row, same] - low[same]).max() < 1e-3 * size


def test_forces_by_action_are_those_of_one_look():
    screen, survey, codes = survey_of("truss", "irc")
    structure = screen.prepared.structure
    rows = survey.some(codes[:1])
    functions = {
        seat.mark: survey.bearings[k][int(codes[0][k])] for k, seat in enumerate(structure.seats)
    }
    look = screen.look(
        arranged=arrange(structure, list(screen.prepared.bridge.support), functions, None)
    )
    for number, action in enumerate(survey.actions):
        for place, support in enumerate(structure.supports):
            for axis, effect in enumerate(("Fx", "Fy")):
                expected = np.abs(look.actions[action][:, screen.layout.index(support, effect)])
                assert rows.actions[0, number, place, axis] == pytest.approx(
                    expected.max(), rel=1e-3, abs=1.0
                )


def test_a_seat_that_differs_in_more_than_plan_is_refused():
    screen, survey, _ = survey_of("truss", "irc")
    bearings = [dict(own) for own in survey.bearings]
    code, seat = next(iter(bearings[0].items()))
    bearings[0][code] = seat.model_copy(update={"uplift": True})
    bearings[0][9] = seat
    with pytest.raises(BedstoneError, match="more than what they hold in plan"):
        Survey(screen, bearings)


def test_an_effect_that_is_not_followed_is_told():
    _, survey, _ = survey_of("truss", "irc")
    with pytest.raises(KeyError, match=r"A1-1\.rx"):
        survey.column("A1-1", "rx")
