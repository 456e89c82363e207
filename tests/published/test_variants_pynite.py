"""Source: PyNiteFEA (MIT), an independent open-source space-frame engine.

Every arrangement of a small bridge that stands, of those a rule allows: two spans of two girders,
six bearings, each free, guided along, guided across or fixed in the plan. Bedstone eliminates what
the arrangements share and takes them all at once; PyNite gets a whole model for each of them, in
which nothing is shared. Largest and smallest reactions over the load cases agree to 1e-6 of the
largest.
"""

from itertools import product

import numpy as np
from Pynite import FEModel3D

from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings
from bedstone.mechanics.variants import Candidates, EffectRows, Shared

SOURCE = "PyNiteFEA, an independent open-source space-frame engine"
KNOWN = "another program"
SPAN, WIDTH, PANELS = 24.0, 5.0, 4
GIRDER = {"E": 210e9, "G": 81e9, "A": 0.06, "Iy": 0.04, "Iz": 0.006, "J": 0.002}
CROSS = {"E": 34e9, "G": 14e9, "A": 0.3, "Iy": 0.002, "Iz": 0.05, "J": 0.004}
# the plan directions held by free, guided along, guided across and fixed
HOLDS = ((), (1,), (0,), (0, 1))
# springs between seat and ground that all arrangements share: the vertical of the middle pier
PIER = 8e8


def bridge():
    """The frame and its nodes (9, 2), the second girder 0.3 m ahead: no symmetry."""
    build = FrameBuilder()
    xs = np.linspace(0.0, 2 * SPAN, 2 * PANELS + 1)
    nodes = np.array([[build.node(x, 0.0, 0.0), build.node(x + 0.3, WIDTH, 0.0)] for x in xs])
    for i in range(len(xs)):
        build.member(nodes[i, 0], nodes[i, 1], **CROSS)
        if i + 1 < len(xs):
            for j in (0, 1):
                build.member(nodes[i, j], nodes[i + 1, j], **GIRDER)
    return build.frame(), nodes


def cases(frame, nodes):
    """Vertical, braking and wind forces at nodes, (freedoms, 4), N."""
    load = np.zeros((4, len(frame.nodes), 6))
    load[0, :, 2] = -5e4
    load[1, nodes[2, 0], 2] = -6e5
    load[1, nodes[6, 1], 2] = -3e5
    load[2, nodes[1, 1], 0] = 4e5
    load[2, :, 2] = -2e4
    load[3, :, 1] = 3e4
    load[3, nodes[5, 0], 5] = 1e5
    return load.reshape(4, -1).T


def allowed():
    """Arrangements of the rule: at most one fixed and one guided across, two guided along.

    Those guided along stand on different supports, all on the first girder or all on the second,
    and so do the other two. (n, 6) of HOLDS.
    """
    result = []
    for choice in product(range(4), repeat=6):
        lines = [choice[:2], choice[2:4], choice[4:]]
        apart = all(line.count(1) < 2 and sum(what >= 2 for what in line) < 2 for line in lines)
        sides = all(len({seat % 2 for seat, what in enumerate(choice) if what in same}) < 2
                    for same in ((1,), (2, 3)))  # fmt: skip
        if apart and sides and choice.count(3) < 2 and choice.count(2) < 2 and choice.count(1) < 3:
            result.append(choice)
    return result


def smallest(stiffness, seats, choice):
    """Smallest eigenvalue of the whole stiffness over the largest, PyNite's freedoms."""
    springs = np.zeros(len(stiffness))
    held = []
    for seat, what in enumerate(choice):
        first = 6 * seats[seat]
        held += [first + {0: 0, 1: 2}[way] for way in HOLDS[what]]
        if seat in (2, 3):
            springs[first + 1] = PIER
        else:
            held.append(first + 1)
    rest = np.setdiff1d(np.arange(len(stiffness)), held)
    values = np.linalg.eigvalsh((stiffness + np.diag(springs))[np.ix_(rest, rest)])
    return values[0] / values[-1]


def pynite(frame, seats, loads):
    """A model without supports, and with its load cases as combinations; its vertical is Y."""
    model = FEModel3D()
    for n, (x, y, z) in enumerate(frame.nodes):
        model.add_node(f"N{n}", float(x), float(z), float(-y))
    for m, (i, j) in enumerate(frame.ends):
        model.add_material(f"M{m}", frame.E[m], frame.G[m], 0.3, 0.0)
        model.add_section(f"S{m}", frame.A[m], frame.Iz[m], frame.Iy[m], frame.J[m])
        model.add_member(f"E{m}", f"N{i}", f"N{j}", f"M{m}", f"S{m}")
    for seat in (2, 3):
        model.def_support_spring(f"N{seats[seat]}", "DY", PIER)
    for case, column in enumerate(loads.T.reshape(loads.shape[1], -1, 6)):
        for n, (fx, fy, fz, mx, my, mz) in enumerate(column):
            six = (fx, fz, -fy, mx, mz, -my)
            for way, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), six, strict=True):
                if value:
                    model.add_node_load(f"N{n}", way, float(value), case=f"C{case}")
        model.add_load_combo(f"C{case}", {f"C{case}": 1.0})
    return model


def reactions(model, seats, choice, count):
    """(3, 6, k) forces of the superstructure on the bearings along x, y, z by PyNite."""
    for seat, what in enumerate(choice):
        x, y = 0 in HOLDS[what], 1 in HOLDS[what]
        model.def_support(f"N{seats[seat]}", x, seat not in (2, 3), y)
    model.analyze_linear(check_stability=False)
    force = np.zeros((3, len(seats), count))
    for seat, n in enumerate(seats):
        node = model.nodes[f"N{n}"]
        for case in range(count):
            name = f"C{case}"
            vertical = node.RxnFY[name]
            if seat in (2, 3):
                vertical = -PIER * node.DY[name]
            force[:, seat, case] = -node.RxnFX[name], node.RxnFZ[name], -vertical
    return force


def test_every_arrangement_of_a_small_bridge(agreement):
    frame, nodes = bridge()
    seats = nodes[[0, PANELS, 2 * PANELS]].ravel()
    loads = cases(frame, nodes)
    condensed = condense(frame, SeatPoints(seats, np.zeros((6, 3))))
    held = np.zeros((6, 6), dtype=bool)
    held[:, 2] = True
    spring = np.zeros((6, 6))
    spring[2:4, 2] = 1.0 / PIER
    base = Bearings(np.tile(np.eye(3), (6, 1, 1)), held, spring)
    ways = Candidates(np.repeat(np.arange(6), 2), np.tile([0.0, np.pi / 2], 6), np.zeros(12))
    # rows: the forces along x, y, z of seat 0, 1, ...
    rows = np.eye(36)[(6 * np.arange(6)[None, :] + np.arange(3)[:, None]).ravel()]
    wanted = EffectRows(rows, np.zeros_like(rows))
    shared = Shared(condensed, np.zeros((36, 36)), base, ways, wanted)

    every = allowed()
    subsets = np.full((len(every), 12), -1)
    for row, choice in enumerate(every):
        own = [2 * seat + way for seat, what in enumerate(choice) for way in HOLDS[what]]
        subsets[row, : len(own)] = own
    stands = shared.stands(subsets)
    model = pynite(frame, seats, loads)
    model.def_support("N0", True, True, True, True, True, True)
    model.analyze_linear(check_stability=False)  # numbers the nodes; its result is not used
    model.def_support("N0", False, False, False, False, False, False)
    whole = np.asarray(model.Ke("C0", False, False, False))
    resisting = np.array([smallest(whole, seats, choice) for choice in every])
    assert list(resisting > 1e-9) == list(stands)
    standing = [choice for choice, ok in zip(every, stands, strict=True) if ok]
    assert len(standing) > 100
    found = shared.envelopes(
        shared.columns(condensed.load(loads)), subsets[stands], np.array([0, 4])
    )
    assert not found.held_twice.any()

    theirs = np.array([reactions(model, seats, choice, 4) for choice in standing])
    of = "every arrangement of two spans on six bearings: "
    size = np.abs(theirs).max()
    for name, ours, value in (
        ("largest", found.top, theirs.max(axis=3)),
        ("smallest", found.low, theirs.min(axis=3)),
    ):
        ours = ours[:, 0].reshape(-1, 3, 6)
        for way, what in enumerate(("along", "across", "vertical")):
            agreement(of + f"{name} reactions {what}", ours[:, way], value[:, way], 1e-6, size)
