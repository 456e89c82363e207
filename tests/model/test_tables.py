"""Frames given in tables: handbook beams, statics, and what tables may not say."""

import math
from pathlib import Path

import numpy as np
import pytest
from girder_cases import plain, stand

import bedstone.bridge
from bedstone.bridge.reader import read_bridge
from bedstone.bridge.schema import Bridge
from bedstone.bridge.tables import read_tables
from bedstone.errors import InputError, UnstableError
from bedstone.mechanics.condense import condense
from bedstone.model.build import build
from bedstone.model.stages import line_load
from bedstone.model.tables import build_frame

BROKEN = Path(__file__).parents[1] / "broken"
TEMPLATES = Path(bedstone.bridge.__file__).parent / "templates"
E, SECOND, AREA = 210e9, 0.02, 0.05
PIECES, SPAN = 6, 30.0


def two_lines(pieces=PIECES, y=(-2.0, 2.0), z=-1.0, **extra):
    """Two beams of 30 m joined by cross beams; `extra` replaces whole files."""
    x = np.linspace(0.0, SPAN, pieces + 1)
    nodes = ["node,x [m],y [m],z [m]"]
    members = ["member,i,j,section,release_i,release_j"]
    lines = ["line,member"]
    for side, offset in zip("RL", y, strict=True):
        nodes += [f"{side}{k},{position},{offset},{z}" for k, position in enumerate(x)]
        members += [f"{side}b{k},{side}{k},{side}{k + 1},main,," for k in range(pieces)]
        lines += [f"{side},{side}b{k}" for k in range(pieces)]
    members += [f"c{k},R{k},L{k},cross,," for k in range(pieces + 1)]
    files = {
        "nodes": nodes,
        "members": members,
        "sections": [
            "section,E [GPa],G [GPa],A [m2],Iy [m4],Iz [m4],J [m4],density [kN/m3],alpha [1/K]",
            f"main,210,81,{AREA},{SECOND},0.002,1e-4,80,",
            "cross,210,81,0.01,0.001,0.0001,1e-5,,",
        ],
        "seats": [
            "seat,support,node,contact [m]",
            "A-2,A,L0,0.5",
            "A-1,A,R0,0.5",
            f"B-1,B,R{pieces},0.5",
            f"B-2,B,L{pieces},0.5",
        ],
        "deck_lines": lines,
    }
    return {name: "\n".join(extra.get(name, rows)) for name, rows in files.items()}


def frame_bridge(folder, files, supports=(("A", 100.0), ("B", 130.0)), **rest):
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text)
    data = {
        "bridge": {"name": "frame"},
        "support": [{"mark": mark, "chainage": f"{at} m"} for mark, at in supports],
        "superstructure": {"kind": "frame", "deck_type": rest.pop("deck_type", "steel")}
        | {name: f"{name}.csv" for name in files},
        "arrangement": {},
        **rest,
    }
    bridge = Bridge.model_validate(data)
    return bridge, read_tables(bridge, folder)


def faults_of(bridge, tables):
    with pytest.raises(InputError) as caught:
        build_frame(bridge, tables)
    return caught.value.faults


def test_two_beams_bend_as_beams(tmp_path):
    # standard beam formulas: 5 w L^4 / 384 E I at mid-span, w L^3 / 24 E I at the ends
    bridge, tables = frame_bridge(tmp_path, two_lines())
    structure = build(bridge, tables)
    state, w = structure.states["short"], 20e3
    vector = sum(line_load(state, state.deck, w, y)[0] for y in (-2.0, 2.0))
    condensed, supported = stand(structure, "short", plain(structure))
    effects = supported.effects(condensed.load(vector))
    slope = w * SPAN**3 / (24 * E * SECOND)
    assert -effects.force[:, 2, 0] == pytest.approx([w * SPAN / 2] * 4)
    assert effects.movement[:, 4, 0] == pytest.approx([slope, slope, -slope, -slope], rel=1e-6)
    # the contact stands 0.5 m below the axis: both ends' turns move the free end
    assert effects.movement[-2:, 0, 0] == pytest.approx([slope] * 2, rel=1e-6)
    moved = condensed.displacements(vector, effects.seat_force, effects.motion).reshape(-1, 6)
    sag = 5 * w * SPAN**4 / (384 * E * SECOND)
    assert -moved[PIECES // 2, 2] == pytest.approx(sag, rel=1e-6)


def test_seats_are_ordered_and_placed(tmp_path):
    structure = build(*frame_bridge(tmp_path, two_lines()))
    assert [seat.mark for seat in structure.seats] == ["A-1", "A-2", "B-1", "B-2"]
    assert [seat.line for seat in structure.seats] == [1, 2, 1, 2]
    assert structure.seats[3].point == pytest.approx((30.0, 2.0, -1.5))
    assert structure.seats[3].chainage == pytest.approx(130.0)
    assert structure.depth == pytest.approx(1.5)
    assert structure.unit_length == pytest.approx(30.0)
    assert structure.continuous
    assert structure.deck_width == pytest.approx(4.0)


def test_load_between_the_lines_lies_on_simple_beams(tmp_path):
    # lever rule: 1 N at 3/4 of the width of 4 m
    structure = build(*frame_bridge(tmp_path, two_lines()))
    state = structure.states["steel"]
    load = state.deck.point_loads(state.frame, np.array([110.0]), np.array([1.0])).toarray()[:, 0]
    down = -load.reshape(-1, 6)[:, 2]
    left = state.frame.nodes[:, 1] > 0.0
    assert down[left].sum() == pytest.approx(0.75)
    assert down[~left].sum() == pytest.approx(0.25)
    assert load.reshape(-1, 6)[:, 3] == pytest.approx(0.0, abs=1e-12)


def test_members_given_backwards_carry_the_same(tmp_path):
    files = two_lines()
    forward = build(*frame_bridge(tmp_path, files))
    files["members"] = files["members"].replace("Rb2,R2,R3,main,,", "Rb2,R3,R2,main,my,")
    other = build(*frame_bridge(tmp_path, files))
    released = forward.states["steel"].frame.releases.copy()
    released[2, 10] = True  # my, END_FORCES at the end that now stands at the higher chainage
    state = other.states["steel"]
    assert np.array_equal(state.frame.releases, released)
    assert np.array_equal(state.frame.ends, forward.states["steel"].frame.ends)


def test_weight_and_the_usual_stages(tmp_path):
    structure = build(*frame_bridge(tmp_path, two_lines()))
    (load,) = structure.loads
    assert load.total == pytest.approx(2 * SPAN * AREA * 80e3)  # the cross beams have no density
    assert -load.vector.reshape(-1, 6)[:, 2].sum() == pytest.approx(load.total)
    concrete = build(*frame_bridge(tmp_path, two_lines(), deck_type="concrete"))
    assert [load.state for load in concrete.loads] == ["long"]
    assert np.all(concrete.states["long"].shrinkage[:, 0] == -1.0)


def test_section_may_have_its_own_expansion(tmp_path):
    # alpha dT L; the coefficient of the section stands before that of the family
    files = two_lines()
    files["sections"] = files["sections"].replace("1e-4,80,", "1e-4,80,2e-5")
    structure = build(*frame_bridge(tmp_path, files))
    condensed, supported = stand(structure, "short", plain(structure))
    warm = structure.states["short"].uniform_temperature(12e-6, 10e-6) * 10.0
    effects = supported.effects(condensed.load(warm))
    assert effects.movement[-2:, 0, 0] == pytest.approx([2e-5 * 10 * SPAN] * 2, rel=1e-9)
    # the cross beams keep the family's
    assert effects.movement[1, 1, 0] == pytest.approx(12e-6 * 10 * 4.0, rel=1e-3)


def test_temperature_difference_bends_between_surface_and_bearing(tmp_path):
    # standard: theta = alpha dT L / (2 h), h from the road surface (z = 0) to the contact
    structure = build(*frame_bridge(tmp_path, two_lines()))
    condensed, supported = stand(structure, "short", plain(structure))
    vector = structure.states["short"].temperature_difference(12e-6, 12e-6) * 10.0
    effects = supported.effects(condensed.load(vector))
    theta = 12e-6 * 10 * SPAN / (2 * 1.5)
    assert effects.movement[:2, 4, 0] == pytest.approx([-theta] * 2, rel=1e-6)


def test_curved_line_keeps_its_distance(tmp_path):
    # circle geometry: radius 200 m to the left, lines 2 m to each side
    radius = 200.0
    files = two_lines()
    rows = ["node,x [m],y [m],z [m]"]
    for side, offset in (("R", -2.0), ("L", 2.0)):
        for k in range(PIECES + 1):
            turn = k * SPAN / PIECES / radius
            reach = radius - offset
            x, y = reach * math.sin(turn), radius - reach * math.cos(turn)
            rows.append(f"{side}{k},{x:.6f},{y:.6f},-1")
    files["nodes"] = "\n".join(rows)
    arc = {"alignment": {"radius": f"{radius} m", "turn": "left"}}
    structure = build(*frame_bridge(tmp_path, files, **arc))
    deck = structure.states["steel"].deck
    assert [line.offset for line in deck.lines] == pytest.approx([-2.0, 2.0], abs=1e-5)
    assert deck.lines[0].end[-1] == pytest.approx(130.0, abs=1e-5)
    assert structure.seats[-1].angle == pytest.approx(SPAN / radius, rel=1e-6)
    # the same tables on a straight line are out by more than a millimetre
    faults = faults_of(*frame_bridge(tmp_path, files))
    assert faults[0].file == "deck_lines.csv"
    assert faults[0].where == "line R, member Rb0"


def test_joint_between_simple_spans_may_leave_a_gap(tmp_path):
    files = two_lines()
    gone = ("Rb2,R2,R3,main,,", "Lb2,L2,L3,main,,")
    files["members"] = "\n".join(r for r in files["members"].split("\n") if r not in gone)
    files["deck_lines"] = "\n".join(
        r for r in files["deck_lines"].split("\n") if r not in ("R,Rb2", "L,Lb2")
    )
    files["seats"] += "\nP-1b,P,R2,0.5\nP-2b,P,L2,0.5\nP-1a,P,R3,0.5\nP-2a,P,L3,0.5"
    supports = (("A", 100.0), ("P", 112.5), ("B", 130.0))
    structure = build(*frame_bridge(tmp_path, files, supports))
    state = structure.states["steel"]
    assert len(set(condense(state.frame, state.seats).part)) == 2
    assert not structure.continuous
    assert structure.unit_length == pytest.approx(15.0)
    assert [line.start[2] - line.end[1] for line in state.deck.lines] == pytest.approx([5.0] * 2)


# ------------------------------------------------------------------ faults
@pytest.mark.parametrize(
    ("file", "old", "new", "found_in", "where", "found"),
    [
        ("nodes", "R3,15.0,-2.0", "R3,15.0,-2.002", "deck_lines", "line R, member Rb2", "2.002"),
        (
            "deck_lines",
            "R,Rb1\nR,Rb2",
            "R,Rb2\nR,Rb1",
            "deck_lines",
            "line R, member Rb1",
            "begins",
        ),
        ("deck_lines", "R,Rb5", "R,c5", "deck_lines", "line R, member c5", "2.000"),
        ("members", "c3,R3,L3,cross,,", "c3,R3,L3,cross,my mx,mx", "members", "member c3", "mx"),
    ],
)
def test_each_fault_names_its_table_and_row(tmp_path, file, old, new, found_in, where, found):
    files = two_lines()
    assert old in files[file]
    files[file] = files[file].replace(old, new)
    faults = faults_of(*frame_bridge(tmp_path, files))
    assert faults[0].file == f"{found_in}.csv"
    assert faults[0].where == where
    assert found in faults[0].found


def test_member_across_is_no_deck_line(tmp_path):
    files = two_lines()
    files["deck_lines"] = "line,member\nX,c3"
    faults = faults_of(*frame_bridge(tmp_path, files))
    assert faults[0].where == "line X, member c3"


def test_two_lines_at_one_distance_are_refused(tmp_path):
    files = two_lines()
    files["deck_lines"] = files["deck_lines"].replace("R,Rb5", "Q,Rb5")
    (fault,) = faults_of(*frame_bridge(tmp_path, files))
    assert fault.where == "line Q"
    assert "line R" in fault.found


def test_up_along_the_member_is_refused(tmp_path):
    files = two_lines()
    rows = [row + (",up_x,up_y,up_z" if k == 0 else ",,,")
            for k, row in enumerate(files["members"].split("\n"))]  # fmt: skip
    rows[3] = rows[3].removesuffix(",,,") + ",1,0,0"
    files["members"] = "\n".join(rows)
    (fault,) = faults_of(*frame_bridge(tmp_path, files))
    assert (fault.file, fault.where, fault.found) == ("members.csv", "member Rb2", "1, 0, 0")


def test_upright_members_need_no_direction(tmp_path):
    files = two_lines()
    files["nodes"] += "\nT,0,-2,0"
    files["members"] += "\npost,R0,T,cross,,"
    state = build(*frame_bridge(tmp_path, files)).states["steel"]
    assert state.frame.axes[-1, 0] == pytest.approx([0.0, 0.0, 1.0])


def test_levels_are_needed_for_a_temperature_difference(tmp_path):
    files = two_lines(z=0.0)
    files["seats"] = files["seats"].replace(",0.5", ",0")
    temperature = {"air_min": "-10 degC", "air_max": "30 degC"}
    rest = {"actions": {"temperature": temperature}}
    (fault,) = faults_of(*frame_bridge(tmp_path, files, **rest))
    assert (fault.file, fault.where) == ("nodes.csv", "column z")
    assert build(*frame_bridge(tmp_path, files)).seats


def test_shrinkage_of_a_composite_frame_is_refused(tmp_path):
    rest = {"actions": {"shrinkage": {"strain": 0.0002}}, "deck_type": "composite"}
    (fault,) = faults_of(*frame_bridge(tmp_path, two_lines(), **rest))
    assert fault.where == "actions.shrinkage"


def test_all_faults_come_at_once(tmp_path):
    files = two_lines()
    files["nodes"] = files["nodes"].replace("R3,15.0,-2.0", "R3,15.0,-2.002")
    files["members"] = files["members"].replace("c3,R3,L3,cross,,", "c3,R3,L3,cross,fx,fx")
    faults = faults_of(*frame_bridge(tmp_path, files))
    assert {fault.file for fault in faults} == {"deck_lines.csv", "members.csv"}


def test_slab_load_needs_a_slab(tmp_path):
    stage = [{"name": "s", "carries": "long", "loads": [{"kind": "slab"}]}]
    (fault,) = faults_of(*frame_bridge(tmp_path, two_lines(), stage=stage))
    assert "slab" in fault.found


def test_no_deck_lines_no_deck(tmp_path):
    files = two_lines()
    del files["deck_lines"]
    structure = build(*frame_bridge(tmp_path, files))
    assert structure.states["short"].deck is None
    assert structure.deck_width == pytest.approx(4.0)


def test_disconnected_frame_is_named():
    path = BROKEN / "disconnected.toml"
    bridge = read_bridge(path)
    structure = build(bridge, read_tables(bridge, path.parent))
    state = structure.states["steel"]
    assert len(set(condense(state.frame, state.seats).part)) == 2


def test_part_without_seat_and_mechanism_are_named(tmp_path):
    files = two_lines()
    files["nodes"] += "\nlone1,0,0,-3\nlone2,5,0,-3"
    files["members"] += "\nlone,lone1,lone2,cross,,"
    state = build(*frame_bridge(tmp_path, files)).states["steel"]
    with pytest.raises(UnstableError, match="connected to no seat"):
        condense(state.frame, state.seats)
    files = two_lines()
    files["nodes"] += "\ntip,15,-2,3\nend,16,-2,3"
    files["members"] += "\nflag,R3,tip,cross,,\narm,tip,end,cross,my,"
    state = build(*frame_bridge(tmp_path, files)).states["steel"]
    with pytest.raises(UnstableError, match="mechanism"):
        condense(state.frame, state.seats)


@pytest.mark.parametrize("kind", ["frame", "truss"])
def test_templates_become_structures_that_condense(kind):
    path = TEMPLATES / f"{kind}.toml"
    bridge = read_bridge(path)
    structure = build(bridge, read_tables(bridge, path.parent))
    for state in structure.states.values():
        assert max(condense(state.frame, state.seats).residuals.__dict__.values()) < 1e-9
    for load in structure.loads:
        assert -load.vector.reshape(-1, 6)[:, 2].sum() == pytest.approx(load.total, rel=1e-9)
