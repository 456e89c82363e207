"""Source: PyNiteFEA (MIT), an independent open-source space-frame engine.

Random grillages, trusses with rigid joints and curved decks stand on random bearings; reactions
and displacements of the two programs agree to 1e-6 of the largest. PyNite has no thermal load: free
strains enter as pairs of end forces E A eps and E I kappa, computed here member by member.
"""

import numpy as np
import pytest
from Pynite import FEModel3D

SOURCE = "PyNiteFEA, an independent open-source space-frame engine"
KNOWN = "another program"
SHAPES = ["grillage", "truss", "curved"]
# PyNite draws sections with y up and calls the vertical Y: x, y, z here are X, -Z, Y there
TO_PYNITE = np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]])
DIRECTIONS = ("DX", "DY", "DZ", "RX", "RY", "RZ")


def end_forces(bridge):
    """Loads of the free strains at the members' ends, (freedoms,): E A eps and E I kappa."""
    frame = bridge.frame
    load = np.zeros((len(frame.nodes), 6))
    for m, (i, j) in enumerate(frame.ends):
        x = frame.nodes[j] - frame.nodes[i]
        x = x / np.linalg.norm(x)
        across = np.cross(frame.up[m], x)
        across /= np.linalg.norm(across)
        push = frame.E[m] * frame.A[m] * bridge.strain[m] * x
        bend = frame.E[m] * frame.Iy[m] * bridge.curvature[m] * across
        load[i] -= np.concatenate([push, bend])
        load[j] += np.concatenate([push, bend])
    return load.ravel()


def clear_of_released_ends(bridge):
    """Curvature only where no end is released: there the end forces above are complete."""
    bridge.curvature[bridge.frame.releases.any(axis=1)] = 0.0


def pynite_model(bridge):
    frame = bridge.frame
    model = FEModel3D()
    for n, point in enumerate(frame.nodes @ TO_PYNITE.T):
        model.add_node(f"N{n}", *map(float, point))
    for m, (i, j) in enumerate(frame.ends):
        model.add_material(f"M{m}", frame.E[m], frame.G[m], 0.3, 0.0)
        model.add_section(f"S{m}", frame.A[m], frame.Iz[m], frame.Iy[m], frame.J[m])
        model.add_member(f"E{m}", f"N{i}", f"N{j}", f"M{m}", f"S{m}")
        if frame.releases[m].any():
            near, far = frame.releases[m].reshape(2, 2, 3)
            order = [0, 2, 1]  # our local z is PyNite's y
            model.def_releases(
                f"E{m}", *map(bool, [*near[0][order], *near[1][order],
                                     *far[0][order], *far[1][order]])
            )  # fmt: skip
    load = (bridge.load + end_forces(bridge)).reshape(-1, 2, 3) @ TO_PYNITE.T
    for n, six in enumerate(load.reshape(-1, 6)):
        for direction, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), six, strict=True):
            model.add_node_load(f"N{n}", direction, float(value))
    return model


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", [1, 2])
def test_reactions_and_displacements(agreement, make_bridge, shape, seed):
    bridge = make_bridge(shape, seed, shear=False, arms=False, turned=False)
    clear_of_released_ends(bridge)
    sprung = np.isfinite(bridge.stiffness) & (bridge.stiffness > 0)
    bridge.settlement[sprung] = 0.0  # PyNite's springs stand on ground that does not move
    force, moved = bridge.solve()

    model = pynite_model(bridge)
    turn6 = np.kron(np.eye(2), TO_PYNITE)
    seat_nodes = [f"N{n}" for n in bridge.seats.node]
    for seat, name in enumerate(seat_nodes):
        # each direction of ours is one of PyNite's, perhaps reversed
        axis, sign = np.argmax(np.abs(turn6), axis=0), turn6.sum(axis=0)
        held = np.zeros(6, dtype=bool)
        for k, value in enumerate(bridge.stiffness[seat]):
            if np.isinf(value):
                held[axis[k]] = True
                model.def_node_disp(
                    name, DIRECTIONS[axis[k]], float(sign[k] * bridge.settlement[seat, k])
                )
            elif value > 0.0:
                model.def_support_spring(name, DIRECTIONS[axis[k]], float(value))
        model.def_support(name, *map(bool, held))
    model.analyze_linear(check_stability=False)

    theirs = np.array(
        [[getattr(model.nodes[f"N{n}"], d)["Combo 1"] for d in DIRECTIONS]
         for n in range(len(bridge.frame.nodes))]
    ).reshape(-1, 2, 3) @ TO_PYNITE  # fmt: skip
    theirs = theirs.reshape(-1, 6)
    of = "random grillages, trusses and curved decks: "
    agreement(of + "displacements", moved[:, :3], theirs[:, :3], 1e-6)
    agreement(of + "rotations", moved[:, 3:], theirs[:, 3:], 1e-6)

    names = ("RxnFX", "RxnFY", "RxnFZ", "RxnMX", "RxnMY", "RxnMZ")
    reaction = np.array(
        [[getattr(model.nodes[name], r)["Combo 1"] for r in names] for name in seat_nodes]
    )
    reaction = (reaction.reshape(-1, 2, 3) @ TO_PYNITE).reshape(-1, 6)
    rigid = np.isinf(bridge.stiffness)
    agreement(of + "reactions", force[rigid], -reaction[rigid], 1e-6)
    stretch = bridge.stiffness[sprung] * theirs[bridge.seats.node][sprung]
    largest = np.abs(force).max()
    agreement(of + "forces in springs", force[sprung], stretch, 1e-6, largest)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", [11, 12, 13])
def test_eccentric_skew_bearings_on_pynites_stiffness_matrix(agreement, make_bridge, shape, seed):
    # The matrix is PyNite's; contact points, skew axes, springs and settlements are put in by hand:
    # the seat node's freedoms are exchanged for those of the contact point, then eliminated.
    bridge = make_bridge(shape, seed, shear=False, arms=True, turned=True)
    clear_of_released_ends(bridge)
    force, moved = bridge.solve()

    model = pynite_model(bridge)
    model.def_support("N0", True, True, True, True, True, True)
    model.analyze_linear(check_stability=False)  # numbers the nodes; its result is not used
    spread = np.kron(np.eye(2 * len(bridge.frame.nodes)), TO_PYNITE)
    stiffness = spread.T @ np.asarray(model.Ke("Combo 1", False, False, False)) @ spread

    change = np.eye(len(stiffness))  # u_node = change @ u with contact points in bearing axes
    wanted = []
    for node, (x, y, z) in zip(bridge.seats.node, bridge.seats.arm, strict=True):
        cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])  # arm x
        block = np.eye(6)
        block[:3, 3:] = cross  # u_node = u_contact + arm x theta
        own = 6 * node + np.arange(6)
        change[np.ix_(own, own)] = block @ np.kron(np.eye(2), bridge.turn.T)
        wanted += list(own)
    wanted = np.array(wanted)
    stiffness = change.T @ stiffness @ change
    load = change.T @ (bridge.load + end_forces(bridge))
    spring = bridge.stiffness.ravel()
    ground = bridge.settlement.ravel()
    sprung, rigid = np.isfinite(spring) & (spring > 0), np.isinf(spring)
    free_structure, free_load = stiffness.copy(), load.copy()
    stiffness[wanted[sprung], wanted[sprung]] += spring[sprung]
    load[wanted[sprung]] += spring[sprung] * ground[sprung]
    held = wanted[rigid]
    rest = np.setdiff1d(np.arange(len(load)), held)
    u = np.zeros(len(load))
    u[held] = ground[rigid]
    u[rest] = np.linalg.solve(
        stiffness[np.ix_(rest, rest)], load[rest] - stiffness[np.ix_(rest, held)] @ u[held]
    )
    on_bearing = free_load - free_structure @ u

    theirs = (change @ u).reshape(-1, 6)
    of = "the same on eccentric skew bearings, by its stiffness matrix: "
    agreement(of + "displacements", moved[:, :3], theirs[:, :3], 1e-6)
    agreement(of + "rotations", moved[:, 3:], theirs[:, 3:], 1e-6)
    agreement(of + "reactions", force, on_bearing[wanted].reshape(-1, 6), 1e-6)
