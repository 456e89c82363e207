"""Where a schedule has to refuse, to tell, or to keep apart: each case once failed in silence."""

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bedstone.articulation.arrangement import arrange, stand
from bedstone.articulation.prepared import prepare
from bedstone.bridge.reader import parse_bridge, read_bridge
from bedstone.bridge.schema import UserTrain
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.errors import InputError
from bedstone.schedule.context import context_of
from bedstone.schedule.earthquake import masses, seismic_action
from bedstone.schedule.facts import bridge_facts, user_group
from bedstone.schedule.make import _plan_redundancy, make_schedule
from bedstone.standards.site import SeismicCase, TrackFacts

ROOT = Path(__file__).parents[2]
TEMPLATES = ROOT / "src/bedstone/bridge/templates"


@pytest.fixture(scope="module")
def frame():
    """The frame of the template: prepared, arranged and standing on its bearings."""
    bridge = read_bridge(TEMPLATES / "frame.toml")
    tables = read_tables(bridge, TEMPLATES)
    prepared = prepare(bridge, tables)
    functions = arrangement_functions(bridge, tables)
    arranged = arrange(prepared.structure, list(bridge.support), functions)
    condensed = prepared.condensed[prepared.final]
    standing = stand(prepared.structure, list(bridge.support), condensed, arranged)
    return prepared, arranged, standing


def test_connection_forces_of_a_rule_tell_no_movement(frame):
    prepared, _, standing = frame
    shaken = masses(prepared, ())
    case = SeismicCase(0.25, 0.25, 0.0, 0.0, 0.0, (1.0, 0.3, 0.0))
    moves = standing.effects.layout.movements
    whole = seismic_action(shaken, standing, case).table
    forces = seismic_action(shaken, standing, replace(case, forces_only=True)).table
    assert np.abs(whole[:, moves]).max() > 0.0
    assert np.all(forces[:, moves] == 0.0)
    assert np.array_equal(forces[:, ~moves], whole[:, ~moves])


def test_a_spring_is_no_hold_beyond_what_is_needed(frame):
    prepared, arranged, _ = frame
    held = arranged.bearings.held.copy()
    held[:, :2] = True
    rigid = replace(arranged, bearings=replace(arranged.bearings, held=held))
    soft = replace(rigid.bearings, compliance=np.where(held, 1e-6, 0.0))
    assert _plan_redundancy(prepared, rigid) >= 2 * len(held) - 3
    assert _plan_redundancy(prepared, replace(rigid, bearings=soft)) == 0


@pytest.mark.parametrize(
    ("train", "field", "allowed"),
    [
        ('width = "19 m"', "width", "room on the carriageway"),
        ('like = "grX"', "like", "gr1a"),
    ],
)
def test_a_train_without_place_or_group_is_a_fault(train, field, allowed):
    text = (TEMPLATES / "girders.toml").read_text(encoding="utf-8")
    text += (
        "\n[[actions.traffic.trains]]\n"
        f'name = "heavy haulage"\naxles = [{{ load = "300 kN" }}]\n{train}\n'
    )
    with pytest.raises(InputError) as caught:
        make_schedule(parse_bridge(text), TEMPLATES, "eurocode")
    (fault,) = caught.value.faults
    assert fault.where == f"actions.traffic.trains[1].{field}"
    assert allowed in fault.allowed


def test_on_a_railway_an_own_train_stands_on_the_tracks():
    bridge = read_bridge(ROOT / "examples/railway.toml")
    facts = bridge_facts(bridge, prepare(bridge).structure, "eurocode")
    facts = replace(facts, tracks=(TrackFacts(-2.0, 30.0), TrackFacts(2.0, 30.0)))
    train = UserTrain.model_validate({"name": "crane", "axles": [{"load": "300 kN"}], "lanes": 2})
    (model,) = user_group(train, facts).models
    places = [[lane.offsets for lane in placement.lanes] for placement in model.placements]
    assert places == [[(-2.0,)], [(2.0,)], [(-2.0,), (2.0,)]]


def test_a_train_over_both_spans_brakes_by_its_whole_length():
    """EN 1991-2, 6.5.3: 20 kN/m over 60 m is 1200 kN, more than 1000 kN of traction at most."""
    bridge = read_bridge(ROOT / "examples/railway.toml")
    whole = context_of(prepare(bridge), "eurocode").whole
    (along,) = [force.along for force, _ in whole["gr11"].horizontals if force.along]
    assert along == pytest.approx(1200e3)


def test_a_traffic_group_that_nobody_combines_is_a_fault(tmp_path):
    for name in ("reactions.toml", "reactions_effects.csv", "reactions_seats.csv"):
        shutil.copy(TEMPLATES / name, tmp_path / name)
    table = tmp_path / "reactions_effects.csv"
    table.write_text(table.read_text("utf-8").replace("traffic:gr2,", "traffic:gr1z,"), "utf-8")
    with pytest.raises(InputError, match="traffic:gr1z") as caught:
        make_schedule(read_bridge(tmp_path / "reactions.toml"), tmp_path)
    assert "traffic:gr1a" in caught.value.faults[0].allowed


def test_three_points_that_lift_do_not_stand_unless_held_down():
    """One bearing at one end, two at the other: statics alone decides, no gap can relieve them."""
    file = Path(__file__).parent / "three_points.toml"
    found = make_schedule(read_bridge(file), file.parent, "eurocode")
    assert found.uplift
    assert all(np.isinf(item.gap) for item in found.uplift)
    assert all(abs(line.value) < 1.0 for line in found.seat_lines if line.effect[0] in "vr")
