"""What the outside checks share: noting figures for docs/validation.md, and random bridges.

The bridges (seeded) serve the comparisons with other frame engines.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest

from bedstone.mechanics.condense import SeatPoints, condense
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings, Supported, free_motions


@dataclass
class RandomBridge:
    """A superstructure on bearings that share one direction in plan; arrays as in bedstone.

    `load` (freedoms,) node loads, `strain` (m,) and `curvature` (m,) free strains of the members,
    `settlement` (ns, 6) of the ground in bearing axes, `stiffness` (ns, 6) of springs, inf = held,
    0 = free; all bearings have the axes `turn` (3, 3).
    """

    frame: object
    seats: SeatPoints
    turn: np.ndarray
    stiffness: np.ndarray
    load: np.ndarray
    strain: np.ndarray
    curvature: np.ndarray
    settlement: np.ndarray

    def solve(self):
        """Bedstone's forces on the bearings (ns, 6), bearing axes, and displacements (n, 6)."""
        count = len(self.seats.node)
        condensed = condense(self.frame, self.seats)
        with np.errstate(divide="ignore"):
            compliance = np.where(self.stiffness > 0.0, 1.0 / self.stiffness, 0.0)
        bearings = Bearings(np.tile(self.turn, (count, 1, 1)), self.stiffness > 0.0, compliance)
        supported = Supported(condensed, bearings, np.zeros((6 * count, 6 * count)))
        vector = self.load + self.frame.strain_load(self.strain, self.curvature)
        down = self.settlement.reshape(count, 2, 3) @ self.turn
        case = condensed.load(vector) + condensed.settlement(down.reshape(-1, 1))
        effects = supported.effects(case)
        moved = condensed.displacements(vector, effects.seat_force, effects.motion)
        return effects.force[:, :, 0], moved[:, 0].reshape(-1, 6)


def section(rng, scale=1.0):
    """A girder section with its proportions varied; shear areas only where asked by the caller."""
    vary = np.exp(rng.normal(0.0, 0.3, 4)) * scale
    return {"E": 210e9, "G": 81e9, "A": 0.08 * vary[0], "Iy": 0.04 * vary[1],
            "Iz": 0.006 * vary[2], "J": 0.003 * vary[3]}  # fmt: skip


def grillage(rng, shear):
    lines, stations = int(rng.integers(2, 5)), int(rng.integers(6, 10))
    build = FrameBuilder()
    skew = rng.uniform(-0.5, 0.5)
    xs = np.cumsum(rng.uniform(3.0, 6.0, stations))
    ys = np.cumsum(rng.uniform(2.0, 3.5, lines))
    node = np.array([[build.node(x + skew * y, y, 0.01 * x) for y in ys] for x in xs])
    for i in range(stations):
        for j in range(lines):
            extra = {"Az": 0.02, "Ay": 0.05} if shear else {}
            if i + 1 < stations:
                build.member(node[i, j], node[i + 1, j], **section(rng), **extra)
            if j + 1 < lines:
                build.member(node[i, j], node[i, j + 1], **section(rng, 0.1), **extra)
    spans = sorted({0, stations // 2, stations - 1})
    return build.frame(), node[spans].ravel()


def truss(rng, shear):
    """Two main trusses with rigid joints, floor beams, one diagonal across each bay."""
    bays = int(rng.integers(5, 8))
    build = FrameBuilder()
    panel, height, width = rng.uniform(5, 7), rng.uniform(6, 8), rng.uniform(5, 7)
    bar = {"E": 205e9, "G": 79e9, "A": 0.02, "Iy": 1.2e-4, "Iz": 2.1e-4, "J": 2e-6}
    low = np.array([[build.node(panel * i, s * width, 0) for s in (0, 1)] for i in range(bays + 1)])
    top = np.array(
        [[build.node(panel * (i + 0.5), s * width, height) for s in (0, 1)] for i in range(bays)]
    )
    for side in (0, 1):
        for i in range(bays):
            build.member(low[i, side], low[i + 1, side], **bar)
            build.member(low[i, side], top[i, side], **bar, release_i="my")
            build.member(top[i, side], low[i + 1, side], **bar, release_j="my mz")
            if i + 1 < bays:
                build.member(top[i, side], top[i + 1, side], **bar)
    for i in range(bays + 1):
        build.member(low[i, 0], low[i, 1], **section(rng, 0.1))
        if i < bays:
            build.member(low[i, 0], low[i + 1, 1], **bar)
            build.member(top[i, 0], top[i, 1], **bar)
    return build.frame(), low[[0, bays]].ravel()


def curved(rng, shear):
    """A spine on an arc with outriggers at the supports."""
    build = FrameBuilder()
    radius, opening = rng.uniform(60, 150), rng.uniform(0.4, 1.0)
    angles = np.linspace(0, opening, int(rng.integers(9, 14)))
    spine = [build.node(radius * np.sin(a), radius * (1 - np.cos(a)), 0.0) for a in angles]
    extra = {"Az": 0.03, "Ay": 0.06} if shear else {}
    for i, j in pairwise(spine):
        build.member(i, j, **section(rng), **extra)
    seats = []
    for index in (0, len(spine) // 2, len(spine) - 1):
        a = angles[index]
        for side in (-2.5, 2.5):
            r = radius - side
            end = build.node(r * np.sin(a), radius - r * np.cos(a), 0.0)
            build.member(spine[index], end, **section(rng, 3.0), **extra)
            seats.append(end)
    return build.frame(), np.array(seats)


SHAPES = {"grillage": grillage, "truss": truss, "curved": curved}


def random_bridge(shape, seed, *, shear, arms, turned, offsets=False):
    """A stable random bridge: `shear` deformation, eccentric bearings, bearings turned in plan."""
    rng = np.random.default_rng([seed, *shape.encode()])
    frame, nodes = SHAPES[shape](rng, shear)
    count, members = len(nodes), len(frame.ends)
    arm = np.zeros((count, 3))
    if arms:
        arm = rng.normal(0.0, 0.3, (count, 3)) - [0.0, 0.0, 1.2]
    if offsets:
        shifts = rng.normal(0.0, 0.1, (2, members, 3))
        frame = replace(frame, offset_i=shifts[0], offset_j=shifts[1])
    angle = rng.uniform(-0.6, 0.6) if turned else 0.0
    turn = np.array(
        [[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1.0]]
    )
    seats = SeatPoints(np.asarray(nodes, dtype=np.intp), arm)
    condensed = condense(frame, seats)
    for _ in range(100):
        stiffness = np.zeros((count, 6))
        stiffness[:, 2] = np.where(rng.random(count) < 0.3, 4e8, np.inf)
        for seat in range(count):
            stiffness[seat, :2] = rng.choice([0.0, 0.0, np.inf, 2e7], 2)
        stiffness[rng.integers(count), 4] = 3e8
        bearings = Bearings(np.tile(turn, (count, 1, 1)), stiffness > 0, np.zeros((count, 6)))
        if not free_motions(condensed, bearings):
            break
    load = np.zeros((len(frame.nodes), 6))
    load[:, 2] = -rng.uniform(1e4, 1e5, len(load))
    load[::3] += rng.normal(0.0, 3e4, load[::3].shape)
    return RandomBridge(
        frame=frame, seats=seats, turn=turn, stiffness=stiffness, load=load.ravel(),
        strain=12e-6 * 30.0 * rng.random(members), curvature=1e-5 * rng.normal(size=members),
        settlement=np.where(stiffness > 0, rng.normal(0.0, [5e-3] * 3 + [1e-4] * 3, (count, 6)), 0),
    )  # fmt: skip


@pytest.fixture
def make_bridge():
    """The maker of random bridges: make_bridge(shape, seed, shear=, arms=, turned=)."""
    return random_bridge


# ------------------------------------------------------------------ notes for the validation page
@pytest.fixture
def note(request):
    """Keeps a row for the page: note(row, source=, known=); record.py collects them.

    `known`, how the reference figure is known, is one of the words of record.KNOWN.
    """

    def keep(row, source, known):
        source = source or request.module.SOURCE
        known = known or request.module.KNOWN
        row = {"source": source, "known": known, "file": request.path.name, **row}
        request.node.user_properties.append(("published", row))

    return keep


@pytest.fixture
def published(note):
    """published(what, figure, ours, unit, **within): hold `ours` to a published figure, note both.

    `figure` and `ours` are numbers or rows of as many numbers, both in `unit`; `within` goes to
    pytest.approx (abs=0 asks for equality). `source` and `known` are those of the module (SOURCE,
    KNOWN) unless given.
    """

    def check(what, figure, ours, unit="", *, source=None, known=None, **within):
        assert ours == pytest.approx(figure, **within), what
        plain = {"figure": np.ravel(figure).tolist(), "ours": np.ravel(ours).tolist()}
        note({"what": what, "unit": unit, **plain}, source, known)

    return check


@pytest.fixture
def agreement(note):
    """agreement(what, found, expected, within, scale): hold many values to those of a program.

    The largest difference, as a share of `scale` (the largest expected value unless given), is at
    most `within`. The page has one row for each `what`: cases and the worst of them.
    """

    def check(what, found, expected, within, scale=None, *, source=None, known=None):
        scale = np.abs(expected).max() if scale is None else scale
        error = float(np.abs(found - expected).max() / scale)
        assert error <= within, what
        note({"what": what, "error": error}, source, known)

    return check
