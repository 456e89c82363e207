"""Source: PyNiteFEA (MIT), an independent open-source space-frame engine.

A grillage of two spans and three girders on springs that only push, one bearing of the middle line
lifted. In PyNite the jack is a support with an enforced displacement, at the bearing or at the end
of a stiff arm beside it, and the bearings are springs of one direction, whose state PyNite finds by
its own iteration. Bedstone follows the lift from the bridge at rest and opens bearings by
complementarity.
"""

import numpy as np
import pytest
from Pynite import FEModel3D

from bedstone.bridge.schema import JackPlace
from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings, Supported
from bedstone.site.replacement.lifting import Jacked
from bedstone.site.replacement.plan import JackPoint

SOURCE = "PyNiteFEA, an independent open-source space-frame engine"
KNOWN = "another program"
SPAN, SPACING, PANELS, LINES = 18.0, 2.5, 4, 3
GIRDER = {"E": 210e9, "G": 81e9, "A": 0.06, "Iy": 0.03, "Iz": 0.006, "J": 0.002}
CROSS = {"E": 34e9, "G": 14e9, "A": 0.3, "Iy": 0.004, "Iz": 0.05, "J": 0.006}
STIFF = 1.5e9  # of each bearing, N/m
ARM = {"E": 210e9, "G": 81e9, "A": 10.0, "Iy": 10.0, "Iz": 10.0, "J": 10.0}


def grillage():
    """Frame, nodes (stations, lines), seat nodes and loads (freedoms,), N; skewed: no symmetry."""
    build = FrameBuilder()
    xs = np.linspace(0.0, 2 * SPAN, 2 * PANELS + 1)
    nodes = np.array([[build.node(x + 0.3 * k, SPACING * k, 0.0) for k in range(LINES)]
                      for x in xs])  # fmt: skip
    for i in range(len(xs)):
        for k in range(LINES):
            if k + 1 < LINES:
                build.member(nodes[i, k], nodes[i, k + 1], **CROSS)
            if i + 1 < len(xs):
                build.member(nodes[i, k], nodes[i + 1, k], **GIRDER)
    frame = build.frame()
    load = np.zeros((len(frame.nodes), 6))
    load[:, 2] = -6e4
    load[nodes[2, 0], 2] -= 2e5
    return frame, nodes[[0, PANELS, 2 * PANELS]].ravel(), load.ravel()


def bearings(count):
    """All push through springs; held in plan at the middle line as the plane model needs."""
    held = np.zeros((count, 6), dtype=bool)
    compliance = np.zeros((count, 6))
    held[:, 2] = True
    compliance[:, 2] = 1.0 / STIFF
    held[4, :2] = True
    held[1, 1] = True
    return Bearings(np.tile(np.eye(3), (count, 1, 1)), held, compliance)


def theirs(frame, seats, load, *, lifted=None, rise=0.0, arm=None, at_rest=None):
    """Compressions of the bearings and force of the jack by PyNite."""
    model = FEModel3D()
    for n, (x, y, z) in enumerate(frame.nodes):
        model.add_node(f"N{n}", float(x), float(z), float(-y))
    for m, (i, j) in enumerate(frame.ends):
        model.add_material(f"M{m}", frame.E[m], frame.G[m], 0.3, 0.0)
        model.add_section(f"S{m}", frame.A[m], frame.Iz[m], frame.Iy[m], frame.J[m])
        model.add_member(f"E{m}", f"N{i}", f"N{j}", f"M{m}", f"S{m}")
    for n, value in enumerate(load.reshape(-1, 6)[:, 2]):
        model.add_node_load(f"N{n}", "FY", float(value))
    jack = None
    for row, n in enumerate(seats):
        model.def_support(f"N{n}", row == 4, False, row in (1, 4))
        model.def_support_spring(f"N{n}", "DY", STIFF, "-")
        if row == lifted:
            jack = f"N{n}"
    if lifted is not None and arm is not None:
        x, y, z = frame.nodes[seats[lifted]] + arm
        model.add_node("J", float(x), float(z), float(-y))
        model.add_material("MJ", ARM["E"], ARM["G"], 0.3, 0.0)
        model.add_section("SJ", ARM["A"], ARM["Iy"], ARM["Iz"], ARM["J"])
        model.add_member("EJ", jack, "J", "MJ", "SJ")
        jack = "J"
    if jack is not None:
        node = model.nodes[jack]
        model.def_support(jack, node.support_DX, True, node.support_DZ)
        model.def_node_disp(jack, "DY", rise + (0.0 if at_rest is None else at_rest[jack]))
    model.analyze(check_stability=False, max_iter=60)
    down = {name: node.DY["Combo 1"] for name, node in model.nodes.items()}
    pushes = [max(-STIFF * down[f"N{n}"], 0.0) for n in seats]
    return np.array(pushes), 0.0 if jack is None else model.nodes[jack].RxnFY["Combo 1"], down


def ours(frame, seats, load, row, arm):
    """The bridge at rest with one jack beside a seat."""
    condensed = condense(frame, SeatPoints(seats, np.zeros((len(seats), 3))))
    ground = np.zeros((6 * len(seats), 6 * len(seats)))
    own = bearings(len(seats))
    found = Supported(condensed, own, ground).effects(condensed.load(load))
    place = JackPlace(along=f"{arm[0]} m", across=f"{arm[1]} m")
    jack = JackPoint("jack", row, place, np.array(arm), None)
    dead = -found.force[:, 2, 0]
    return Jacked(condensed, ground, own, (jack,), dead, np.ones(len(seats), dtype=np.intp))


@pytest.mark.parametrize(("row", "rise"), [(4, 0.0005), (4, 0.004), (3, 0.02), (0, 0.015)])
def test_a_bearing_lifted_by_itself(row, rise, agreement):
    frame, seats, load = grillage()
    rest, _, down = theirs(frame, seats, load)
    jacked = ours(frame, seats, load, row, (0.0, 0.0, 0.0))
    agreement("grillage at rest: bearings", jacked.dead, rest, 1e-6, rest.max())
    # below its unloaded level the bearing still pushes beside the jack
    way = jacked.lift([0], rise)
    push, force, _ = theirs(frame, seats, load, lifted=row, rise=rise, at_rest=down)
    # PyNite's enforced node holds all that stands there, the spring of the bearing too
    agreement(
        "a bearing lifted: jack and bearing below it",
        way.forces(rise)[0] + way.compressions(rise)[row],
        force + 0.0,
        1e-6,
        rest.max(),
    )
    others = np.arange(len(seats)) != row
    agreement("a bearing lifted: the others", way.compressions(rise)[others], push[others], 1e-6,
              rest.max())  # fmt: skip


def test_some_bearings_open_in_it():
    """The cases above are not all in contact, or they would guard nothing."""
    frame, seats, load = grillage()
    way = ours(frame, seats, load, 3, (0.0, 0.0, 0.0)).lift([0], 0.02)
    assert (way.compressions(0.02) == 0.0).sum() > 1


def test_a_jack_beside_its_bearing(agreement):
    frame, seats, load = grillage()
    row, rise, arm = 4, 0.006, (0.4, -0.3, 0.0)
    rest, _, _ = theirs(frame, seats, load)
    jacked = ours(frame, seats, load, row, arm)
    # where the arm's end stands at rest: with an arm on which nothing acts
    level = at_rest_of_arm(frame, seats, load, row, np.array(arm))
    way = jacked.lift([0], rise)
    push, force, _ = theirs(frame, seats, load, lifted=row, rise=rise, arm=np.array(arm),
                            at_rest={"J": level})  # fmt: skip
    agreement("a jack on an arm: its force", way.forces(rise)[0], force, 1e-4, rest.max())
    agreement("a jack on an arm: bearings", way.compressions(rise), push, 1e-4, rest.max())


def at_rest_of_arm(frame, seats, load, row, arm):
    """Level of the end of an unloaded arm by PyNite's displacements of the seat."""
    model_push, _, down = theirs(frame, seats, load)
    assert model_push.min() > 0.0
    condensed = condense(frame, SeatPoints(seats, np.zeros((len(seats), 3))))
    ground = np.zeros((6 * len(seats), 6 * len(seats)))
    found = Supported(condensed, bearings(len(seats)), ground).effects(condensed.load(load))
    turn = found.movement[row, 3:, 0]
    return down[f"N{seats[row]}"] + turn[0] * arm[1] - turn[1] * arm[0]
