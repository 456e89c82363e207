"""Every effect at every seat for many arrangements of bearings and many positions of a load.

Three spans, five girders, about 2,000 freedoms, 20 bearings, 500 positions of a load, 100
arrangements; one BLAS thread. Bedstone gives all twelve effects at each of the 20 seats, its
residual checks on; the others only solve for the displacements. Time is per arrangement and
position. What is done once for the bridge (condensation of structure and loads) is a row of its own
and is also spread over the 50,000 pairs in the last bedstone row.
"""

from __future__ import annotations

import time

import numpy as np
import scipy.sparse.linalg
from threadpoolctl import threadpool_limits

from bedstone.mechanics.condense import condense
from bedstone.mechanics.frame import Floats, Frame, Ints
from bedstone.mechanics.support import Bearings, Supported

from .rows import Row, best_of, grillage, seats_below

LINES, STATIONS, SUPPORTS = 5, 67, (0, 22, 44, 66)
POSITIONS, ARRANGEMENTS = 500, 100
PAIR = "arrangement and position"


def arrangements(count: int) -> list[Bearings]:
    """Stable arrangements: every bearing carries N, one line is fixed, the others are guided."""
    result = []
    rng = np.random.default_rng(1)
    seats = LINES * len(SUPPORTS)
    axes = np.tile(np.eye(3), (seats, 1, 1))
    for _ in range(count):
        held = np.zeros((seats, 6), dtype=bool)
        held[:, 2] = True
        for line in range(len(SUPPORTS)):
            held[LINES * line + rng.integers(LINES), 1] = True
        held[LINES * rng.integers(len(SUPPORTS)) + rng.integers(LINES), :2] = True
        result.append(Bearings(axes, held, np.zeros((seats, 6))))
    return result


def run() -> list[Row]:
    frame, nodes = grillage(LINES, STATIONS, 99.0, 12.0)
    seat_nodes = nodes[list(SUPPORTS)].ravel()
    rng = np.random.default_rng(0)
    members = rng.integers(0, len(frame.ends), POSITIONS)
    fractions = rng.random(POSITIONS)
    loads = frame.point_loads(members, fractions, np.array([0.0, 0.0, -1e5]), np.zeros(3))
    every = arrangements(ARRANGEMENTS)
    pairs = ARRANGEMENTS * POSITIONS
    rows = []
    with threadpool_limits(1):
        seats = seats_below(seat_nodes)

        def prepare() -> tuple:
            condensed = condense(frame, seats)
            return condensed, condensed.load(loads)

        _ = frame.stiffness
        once = best_of(5, prepare)
        condensed, load = prepare()
        ground = np.zeros((6 * len(seat_nodes), 6 * len(seat_nodes)))

        def ours() -> None:
            for bearings in every:
                Supported(condensed, bearings, ground).effects(load)

        solving = best_of(12, ours)
        rows.append(Row("bedstone: all 240 effects, checked", solving / pairs, PAIR))
        rows.append(
            Row(
                "bedstone with the condensation spread over them",
                (solving + once) / pairs,
                PAIR,
                f"condensation of deck and loads: {once:.3f} s once",
            )
        )
        # the others need bearings at the nodes: the same bridge with arms of no length
        level = condense(frame, seats_below(seat_nodes, 0.0))
        check = Supported(level, every[0], ground)
        case = level.load(loads)
        effects = check.effects(case)
        expected = level.displacements(loads.toarray(), effects.seat_force, effects.motion)
        rows.append(_sparse(frame, seat_nodes, every[:3], loads.toarray(), expected))
        rows += _opensees(frame, seat_nodes, every[0], loads.toarray(), expected)
        rows += _pynite(frame, seat_nodes, every[0], loads.toarray()[:, :5])
    return rows


def _agrees(found: Floats, expected: Floats) -> str:
    error = float(np.abs(found - expected).max() / np.abs(expected).max())
    return f"displacements agree to {error:.0e}"


def _sparse(
    frame: Frame, nodes: Ints, some: list[Bearings], loads: Floats, expected: Floats
) -> Row:
    """A sparse factorisation for each arrangement, all positions as right-hand sides."""
    first = np.zeros_like(expected)

    def solve() -> None:
        for index, bearings in enumerate(some):
            held = (6 * nodes[:, None] + np.arange(6))[bearings.held]
            rest = np.setdiff1d(np.arange(frame.freedoms), held)
            solver = scipy.sparse.linalg.splu(
                frame.stiffness[rest][:, rest].tocsc(),
                permc_spec="MMD_AT_PLUS_A",
                diag_pivot_thresh=0.0,
                options={"SymmetricMode": True},
            )
            answer = solver.solve(loads[rest])
            if index == 0:
                first[rest] = answer

    seconds = best_of(2, solve) / len(some) / loads.shape[1]
    return Row("scipy: factorise each arrangement", seconds, PAIR, _agrees(first, expected))


def _opensees(
    frame: Frame, nodes: Ints, bearings: Bearings, loads: Floats, expected: Floats
) -> list[Row]:
    """OpenSees at its best: one factorisation kept for all positions of one arrangement."""
    what = "OpenSees: factor once, solve each position"
    try:  # not a dependency: its licence forbids; it may also miss a system library
        import openseespy.opensees as ops
    except Exception as error:  # noqa: BLE001
        return [Row(what, None, PAIR, f"not measured: {type(error).__name__}: {error}")]
    rows = []
    for system in ("BandSPD", "ProfileSPD", "UmfPack"):
        ops.wipe()
        ops.model("basic", "-ndm", 3, "-ndf", 6)
        for n, point in enumerate(frame.nodes):
            ops.node(n + 1, *map(float, point))
        ops.geomTransf("Linear", 1, 0.0, 0.0, 1.0)
        for m, (i, j) in enumerate(frame.ends):
            names = ("E", "G", "A", "J", "Iy", "Iz", "Ay", "Az")
            values = [min(float(getattr(frame, name)[m]), 1e12) for name in names]
            ops.element("ElasticTimoshenkoBeam", m + 1, int(i) + 1, int(j) + 1, *values, 1)
        for seat, node in enumerate(nodes):
            ops.fix(int(node) + 1, *[int(v) for v in bearings.held[seat]])
        ops.timeSeries("Constant", 1)
        ops.constraints("Plain")
        ops.numberer("RCM")
        ops.system(system)
        ops.integrator("LoadControl", 0.0)
        ops.algorithm("Linear", "-initial", "-factorOnce")
        ops.analysis("Static")
        columns = loads.reshape(len(frame.nodes), 6, -1)
        spent = 0.0
        found = []
        for position in range(loads.shape[1]):
            start = time.perf_counter()
            ops.pattern("Plain", position + 1, 1)
            for n in np.flatnonzero(np.any(columns[:, :, position], axis=1)):
                ops.load(int(n) + 1, *columns[n, :, position].tolist())
            fault = ops.analyze(1)
            ops.remove("loadPattern", position + 1)
            if position:  # the first one factorises
                spent += time.perf_counter() - start
            if fault:
                return [*rows, Row(f"{what} ({system})", None, PAIR, "did not solve")]
            if position in (0, 7, loads.shape[1] - 1):
                found.append(np.concatenate([ops.nodeDisp(n + 1) for n in range(len(frame.nodes))]))
        rows.append(
            Row(
                f"{what} ({system})",
                spent / (loads.shape[1] - 1),
                PAIR,
                _agrees(np.stack(found, axis=1), expected[:, [0, 7, loads.shape[1] - 1]]),
            )
        )
    ops.wipe()
    return rows


def _pynite(frame: Frame, nodes: Ints, bearings: Bearings, loads: Floats) -> list[Row]:
    """PyNite: one arrangement, a few positions as load combinations of one analysis."""
    what = "PyNite: one arrangement, five positions"
    try:
        from Pynite import FEModel3D
    except ImportError:
        return [Row(what, None, PAIR, "not installed")]
    model = FEModel3D()
    for n, (x, y, z) in enumerate(frame.nodes):  # its vertical is Y
        model.add_node(f"N{n}", float(x), float(z), float(-y))
    for m, (i, j) in enumerate(frame.ends):
        model.add_material(f"M{m}", frame.E[m], frame.G[m], 0.3, 0.0)
        model.add_section(f"S{m}", frame.A[m], frame.Iz[m], frame.Iy[m], frame.J[m])
        model.add_member(f"E{m}", f"N{i}", f"N{j}", f"M{m}", f"S{m}")
    for seat, node in enumerate(nodes):
        x, y, z, *_ = map(bool, bearings.held[seat])
        model.def_support(f"N{node}", x, z, y)
    columns = loads.reshape(len(frame.nodes), 6, -1)
    for position in range(loads.shape[1]):
        name = f"P{position}"
        for n in np.flatnonzero(np.any(columns[:, :, position], axis=1)):
            fx, fy, fz, mx, my, mz = columns[n, :, position].tolist()
            six = (fx, fz, -fy, mx, mz, -my)
            for direction, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), six, strict=True):
                model.add_node_load(f"N{n}", direction, value, case=name)
        model.add_load_combo(name, {name: 1.0})
    start = time.perf_counter()
    model.analyze_linear(check_stability=False)
    seconds = (time.perf_counter() - start) / loads.shape[1]
    return [Row(what, seconds, PAIR, "factorises once; no shear deformation")]
