"""Source: OpenSees through OpenSeesPy, an independent finite-element engine; used if installed.

Bridges of a made-up stock as in test_stock_pynite.py, those whose members have no releases (its
Timoshenko beam has none): girders of every kind. Here shear deformation, rigid offsets, assembly,
constraints and the solution are OpenSees's own; bearings hold through springs of 10 GN/m in both,
since what holds rigidly at an angle cannot be told to it without a penalty.
"""

import numpy as np
import pytest

from bedstone.bridge.schema import Column

from .stock_bridges import WANTED, Stood, in_plan

try:  # it may be installed and still miss a system library
    import openseespy.opensees as ops
except Exception as error:  # noqa: BLE001
    pytest.skip(f"OpenSeesPy cannot be imported: {error}", allow_module_level=True)

pytestmark = pytest.mark.slow

HOLDS = 1e10
GIRDERS = [name for name in WANTED if "girders" in name]


class Model:
    """A state of a bridge of the stock in OpenSees: tags count from 1."""

    def __init__(self, stood, case):
        self.stood, self.case = stood, case
        self.frame, self.seats = stood.frame(case.state), stood.seats(case.state)
        self.tags = {"node": 0, "element": 0, "material": 0}
        ops.wipe()
        ops.model("basic", "-ndm", 3, "-ndf", 6)
        self.nodes = [self.node(place) for place in self.frame.nodes]
        ops.timeSeries("Linear", 1)
        ops.pattern("Plain", 1, 1)
        for number in range(len(self.frame.ends)):
            self.member(number)
        self.below = {item.mark: self.pier(item) for item in stood.supports}
        self.bearings = [self.bearing(row) for row in range(len(self.seats.node))]
        self.load()

    def tag(self, what):
        self.tags[what] += 1
        return self.tags[what]

    def node(self, place):
        tag = self.tag("node")
        ops.node(tag, *map(float, place))
        return tag

    def follower(self, leader, place):
        """A node that moves with another as a rigid body."""
        tag = self.node(place)
        if np.allclose(ops.nodeCoord(leader), place, atol=1e-12):
            ops.equalDOF(leader, tag, 1, 2, 3, 4, 5, 6)
        else:
            ops.rigidLink("beam", leader, tag)
        return tag

    def member(self, number):
        frame = self.frame
        assert not frame.releases[number].any()
        i, j = frame.ends[number]
        start, stop = (
            frame.nodes[i] + frame.offset_i[number],
            frame.nodes[j] + frame.offset_j[number],
        )
        ends = self.follower(self.nodes[i], start), self.follower(self.nodes[j], stop)
        names = ("E", "G", "A", "J", "Iy", "Iz", "Ay", "Az")
        values = [float(getattr(frame, name)[number]) for name in names]
        tag = self.tag("element")
        ops.geomTransf("Linear", tag, *map(float, frame.up[number]))
        ops.element("ElasticTimoshenkoBeam", tag, *ends, *values, tag)
        x = (stop - start) / np.linalg.norm(stop - start)
        y = np.cross(frame.up[number], x)
        y /= np.linalg.norm(y)
        case = self.case
        if case.weight is not None:
            down = np.array([0.0, 0.0, -case.weight[number]])
            across = [float(down @ way) for way in (y, np.cross(x, y), x)]
            ops.eleLoad("-ele", tag, "-type", "-beamUniform", *across)
        if case.strain is not None:
            push = values[0] * values[2] * case.strain[number] * x
            for end, sign in zip(ends, (-1.0, 1.0), strict=True):
                ops.load(end, *(sign * push), 0.0, 0.0, 0.0)

    def springs(self, first, last, values, axes):
        """Springs (6,) between two nodes in one place, 0 where there is none; the element."""
        ways = [way for way in range(6) if values[way]]
        materials = []
        for way in ways:
            materials.append(self.tag("material"))
            ops.uniaxialMaterial("Elastic", materials[-1], float(values[way]))
        tag = self.tag("element")
        ops.element(
            "zeroLength", tag, first, last, "-mat", *materials,
            "-dir", *(way + 1 for way in ways), "-orient", *axes[0], *axes[1],
        )  # fmt: skip
        return tag, ways

    def ground(self, place, support):
        """A node of the ground, which settles with its support."""
        tag = self.node(place)
        mark, down = self.case.down
        for way in range(1, 7):
            ops.sp(tag, way, -down if way == 3 and mark == support.mark else 0.0)
        return tag

    def pier(self, support):
        """The node of a pier's cap; None where the bearings stand on rigid ground."""
        below, place = support.below, self.stood.footings[support.mark]
        if not isinstance(below, Column):
            assert below.kind == "rigid"
            return None
        axes = in_plan(place.line_angle)
        cap, base = self.node(place.point), place.point - [0.0, 0.0, below.cap + below.height]
        foot = self.node(base)
        given = below.foundation
        springs = [getattr(given, name) for name in ("kx", "ky", "kz", "krx", "kry", "krz")]
        assert None not in springs
        self.springs(self.ground(base, support), foot, springs, axes)
        area, second = np.pi * below.diameter**2 / 4.0, np.pi * below.diameter**4 / 64.0
        shear = below.E / (2.0 * (1.0 + below.poisson))
        for number in range(below.count):
            beside = (number - (below.count - 1) / 2.0) * (below.spacing or 0.0) * axes[1]
            ends = (
                self.follower(foot, base + beside),
                self.follower(cap, place.point + beside - [0.0, 0.0, below.cap]),
            )
            tag = self.tag("element")
            ops.geomTransf("Linear", tag, *map(float, axes[0]))
            ops.element(
                "elasticBeamColumn", tag, *ends, area, below.E, shear, 2.0 * second, second,
                second, tag,
            )  # fmt: skip
        return cap

    def bearing(self, row):
        """Contact above and below, springs between them: nodes, element, what is held."""
        place = self.stood.structure.seats[row]
        axes, held, compliance = self.stood.bearings[row]
        leader = self.nodes[self.seats.node[row]]
        above = self.follower(leader, ops.nodeCoord(leader) + self.seats.arm[row])
        cap = self.below[place.support]
        support = next(item for item in self.stood.supports if item.mark == place.support)
        here = ops.nodeCoord(above)
        below = self.ground(here, support) if cap is None else self.follower(cap, here)
        given = np.where(compliance > 0.0, compliance, 1.0 / HOLDS)
        stiffness = np.where(held, 1.0 / given, 0.0)
        if not held.any():
            return above, below, None, [], stiffness, axes
        return above, below, *self.springs(below, above, stiffness, axes), stiffness, axes

    def load(self):
        if self.case.vector is None:
            return
        for tag, six in zip(self.nodes, self.case.vector.reshape(-1, 6), strict=True):
            ops.load(tag, *map(float, six))

    def solve(self):
        """Forces on the bearings and movements, (ns, 6) each, bearing axes."""
        ops.constraints("Transformation")
        ops.numberer("RCM")
        ops.system("UmfPack")
        ops.integrator("LoadControl", 1.0)
        ops.algorithm("Linear")
        ops.analysis("Static")
        assert ops.analyze(1) == 0
        force, movement = np.zeros((2, len(self.bearings), 6))
        for row, (above, below, tag, ways, stiffness, axes) in enumerate(self.bearings):
            if tag is not None:
                force[row, ways] = stiffness[ways] * ops.eleResponse(tag, "deformation")
            apart = np.subtract(ops.nodeDisp(above), ops.nodeDisp(below))
            movement[row] = np.kron(np.eye(2), axes) @ apart
        return force, movement


@pytest.mark.parametrize("name", GIRDERS, ids=lambda name: name.replace(" ", "-"))
def test_reactions_and_movements_at_every_seat(name, tmp_path):
    stood = Stood(name, tmp_path)
    sizes = None
    for case in stood.cases():
        theirs, moved = Model(stood, case).solve()
        force, movement = stood.ours(case, HOLDS)
        pairs = ((force, theirs), (movement[:, :3], moved[:, :3]), (movement[:, 3:], moved[:, 3:]))
        # of the weight: what nothing comes of stays nothing beside it
        sizes = sizes or [np.abs(expected).max() for _, expected in pairs]
        for (found, expected), size in zip(pairs, sizes, strict=True):
            assert np.abs(found - expected).max() <= 1e-6 * size
