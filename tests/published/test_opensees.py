"""Source: OpenSees through OpenSeesPy, an independent finite-element engine; used if installed.

OpenSeesPy's licence keeps it out of the project's dependencies: install it by hand to run this
file. Timoshenko members, rigid offsets, eccentric bearings (its rigid link), bearings turned in
plan (the whole bridge is turned instead), springs, settlements, and free strains as end forces.
"""

import numpy as np
import pytest

try:  # it may be installed and still miss a system library
    import openseespy.opensees as ops
except Exception as error:  # noqa: BLE001
    pytest.skip(f"OpenSeesPy cannot be imported: {error}", allow_module_level=True)

pytestmark = pytest.mark.slow


def end_forces(bridge):
    """Loads of the free strains on the nodes: E A eps and E I kappa at ends that have offsets."""
    frame = bridge.frame
    load = np.zeros((len(frame.nodes), 6))
    for m, (i, j) in enumerate(frame.ends):
        first, last = frame.offset_i[m], frame.offset_j[m]
        x = frame.nodes[j] + last - frame.nodes[i] - first
        x = x / np.linalg.norm(x)
        across = np.cross(frame.up[m], x)
        across /= np.linalg.norm(across)
        push = frame.E[m] * frame.A[m] * bridge.strain[m] * x
        bend = frame.E[m] * frame.Iy[m] * bridge.curvature[m] * across
        load[i] -= np.concatenate([push, bend + np.cross(first, push)])
        load[j] += np.concatenate([push, bend + np.cross(last, push)])
    return load.ravel()


def solve(bridge, shear):
    """Forces on the bearings (ns, 6), bearing axes, and displacements (n, 6) from OpenSees."""
    frame, seats = bridge.frame, bridge.seats
    turn = bridge.turn
    count = len(frame.nodes)
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for n, point in enumerate(frame.nodes @ turn.T):
        ops.node(n + 1, *map(float, point))
    for m, (i, j) in enumerate(frame.ends):
        up, near, far = np.array([frame.up[m], frame.offset_i[m], frame.offset_j[m]]) @ turn.T
        offsets = ["-jntOffset", *map(float, near), *map(float, far)]
        ops.geomTransf("Linear", m + 1, *map(float, up), *offsets)
        values = [float(getattr(frame, k)[m]) for k in ("A", "E", "G", "J", "Iy", "Iz", "Ay", "Az")]
        area, e, g, j_, iy, iz, ay, az = values
        ends = (int(i) + 1, int(j) + 1)
        if shear:
            ops.element(
                "ElasticTimoshenkoBeam", m + 1, *ends, e, g, area, j_, iy, iz, ay, az, m + 1
            )
        else:
            code = lambda k: int(frame.releases[m, k]) + 2 * int(frame.releases[m, k + 6])  # noqa: E731, B023
            ops.element(
                "elasticBeamColumn", m + 1, *ends, area, e, g, j_, iy, iz, m + 1,
                "-releasez", code(5), "-releasey", code(4),
            )  # fmt: skip
    ops.timeSeries("Linear", 1)
    ops.pattern("Plain", 1, 1)
    load = ((bridge.load + end_forces(bridge)).reshape(-1, 3) @ turn.T).reshape(-1, 6)
    for n in range(count):
        ops.load(n + 1, *map(float, load[n]))
    tag = len(frame.ends)
    for seat, node in enumerate(seats.node):
        contact, ground = count + 2 * seat + 1, count + 2 * seat + 2
        place = [float(v) for v in turn @ (frame.nodes[node] + seats.arm[seat])]
        ops.node(contact, *place)
        if np.any(seats.arm[seat]):
            ops.rigidLink("beam", contact, int(node) + 1)
        else:
            ops.equalDOF(contact, int(node) + 1, 1, 2, 3, 4, 5, 6)
        k = bridge.stiffness[seat]
        sprung = np.flatnonzero(np.isfinite(k) & (k > 0))
        if len(sprung):
            ops.node(ground, *place)
            materials = []
            for direction in sprung:
                material = 10 * (seat + 1) + int(direction)
                ops.uniaxialMaterial("Elastic", material, float(k[direction]))
                materials.append(material)
            tag += 1
            ops.element(
                "zeroLength", tag, ground, contact, "-mat", *materials,
                "-dir", *[int(d) + 1 for d in sprung],
            )  # fmt: skip
            for d in range(6):
                ops.sp(ground, d + 1, float(bridge.settlement[seat, d] if d in sprung else 0.0))
        for d in np.flatnonzero(np.isinf(k)):
            ops.sp(contact, int(d) + 1, float(bridge.settlement[seat, d]))
    ops.constraints("Transformation")
    ops.numberer("RCM")
    ops.system("UmfPack")
    ops.integrator("LoadControl", 1.0)
    ops.algorithm("Linear")
    ops.analysis("Static")
    assert ops.analyze(1) == 0

    moved = np.array([ops.nodeDisp(n + 1) for n in range(count)])
    pull = np.zeros((count, 6))  # what the members ask of each node, offsets taken to the node
    for m, (i, j) in enumerate(frame.ends):
        six = np.array(ops.eleResponse(m + 1, "globalForce")).reshape(2, 6)
        pull[i] += six[0]
        pull[j] += six[1]
    on_structure = (pull - load)[seats.node]
    arm = seats.arm @ turn.T
    on_structure[:, 3:] -= np.cross(arm, on_structure[:, :3])
    return -on_structure, (moved.reshape(-1, 3) @ turn).reshape(-1, 6)


def close(found, expected):
    error = float(np.abs(found - expected).max() / np.abs(expected).max())
    assert error <= 1e-6


@pytest.mark.parametrize("seed", range(21, 25))
@pytest.mark.parametrize(
    ("shape", "shear"),
    [
        pytest.param("grillage", False, id="grillage-bending-offsets"),
        pytest.param("grillage", True, id="grillage-bending-shear"),
        pytest.param("curved", False, id="curved-bending-offsets"),
        pytest.param("curved", True, id="curved-bending-shear"),
        # its end releases are not in OpenSees's Timoshenko beam
        pytest.param("truss", False, id="truss-bending"),
    ],
)
def test_reactions_and_displacements(make_bridge, shape, seed, shear):
    # OpenSees's Timoshenko beam leaves out rigid offsets
    offsets = shape != "truss" and not shear
    bridge = make_bridge(shape, seed, shear=shear, arms=True, turned=True, offsets=offsets)
    # curvature only where no end is released: there the end forces above are complete
    bridge.curvature[bridge.frame.releases.any(axis=1)] = 0.0
    force, moved = bridge.solve()
    their_force, their_moved = solve(bridge, shear)
    close(moved[:, :3], their_moved[:, :3])
    close(moved[:, 3:], their_moved[:, 3:])
    held = bridge.stiffness > 0.0
    close(np.where(held, force, 0.0)[:, :3], their_force[:, :3])
    close(force[:, 3:], np.where(held, their_force, 0.0)[:, 3:])
