"""Source: OpenSees through OpenSeesPy, an independent finite-element engine; used if installed.

Its friction is an elastic-plastic spring between deck and pier, its guide play and stops are
springs behind a gap: stiff ones, for it knows no rigid ones (1e12 N/m beside piers of 1e7 to 5e8).
OpenSeesPy's licence keeps it out of the project's dependencies: install it by hand to run this
file.
"""

import numpy as np
import pytest

from bedstone.mechanics.sliding import History, Loads, Sliders, follow

try:  # it may be installed and still miss a system library
    import openseespy.opensees as ops
except Exception as error:  # noqa: BLE001
    pytest.skip(f"OpenSeesPy cannot be imported: {error}", allow_module_level=True)

SOURCE = "OpenSees: elastic-plastic springs as friction, gap springs as stops"
KNOWN = "another program"
STIFF = 1e12
X = np.array([0.0, 40.0, 75.0, 120.0])
EA, HEAT = 8e9, 12e-6
PIERS = np.array([5e8, 3e7, 2e7, 4e8])
NORMAL, MU = np.array([1.2e6, 3.5e6, 3.2e6, 1.1e6]), 0.05
#: Temperature and braking (kN on the first pier) at the turning points.
TURNING = np.array(
    [[15, 0], [-5, 0], [30, 0], [30, 400], [30, -400], [30, 0], [-35, 0], [-35, 400], [10, 0],
     [-20, -300], [25, 150], [-25, 0], [0, 0]], dtype=float,
)  # fmt: skip
STEPS = 400
#: Steps of ours.
FINE = 50
#: Of a step, where no method converges.
PARTS = (1.0, 0.31, 0.057, 0.0013, 1e-5)
INITIAL = ("-iterate", "initial", "-increment", "initial")
ALGORITHMS = (
    ("Newton",),
    ("Newton", "-initialThenCurrent"),
    ("KrylovNewton", *INITIAL, "-maxDim", 12),
    ("KrylovNewton", "-iterate", "current", "-increment", "initial", "-maxDim", 12),
    ("SecantNewton", *INITIAL),
    ("BFGS",),
    ("Broyden", 12),
    ("NewtonLineSearch", "-type", "Bisection"),
    ("ModifiedNewton", "-initial"),
)


def engine(free, play, stops):
    """Forces on the bearings at the turning points, bedstone: (t, 4)."""
    least = np.minimum(X[:, None], X[None, :]) / EA  # the deck as a bar from its first bearing on
    sliders = Sliders(
        least + np.diag(1.0 / PIERS), np.ones((4, 1)), np.arange(4), np.where(free, MU, 0.0), free,
        play, stops,
    )  # fmt: skip
    loads = Loads(
        np.stack([np.zeros(4), HEAT * X, least[:, 1] * 1e3], axis=1),
        np.array([[0.0, 0.0, 1e3]]),
        np.stack([NORMAL, np.zeros(4), np.zeros(4)], axis=1),
    )
    before = np.concatenate([[[0.0, 0.0]], TURNING[:-1]])
    share = np.arange(1, FINE + 1)[:, None] / FINE
    way = (before[:, None] + share * (TURNING - before)[:, None]).reshape(-1, 2)
    way = np.concatenate([[[0.0, 0.0]], way])
    history = History(np.concatenate([np.ones((len(way), 1)), way], axis=1))
    turning = np.arange(1, len(TURNING) + 1) * FINE
    return follow(sliders, loads, history, record=turning, accuracy=1e-4).forces


def step(algorithm, time):
    """One step forward; friction that turns back leads one method or another in circles."""
    ops.algorithm(*algorithm)
    ops.integrator("LoadControl", time)
    return ops.analyze(1) == 0


def by_opensees(free, play, stops):
    """The same from OpenSees, in many small steps."""
    ops.wipe()
    ops.model("basic", "-ndm", 1, "-ndf", 1)
    for i, x in enumerate(X):
        ops.node(10 + i, float(x))  # deck
        ops.node(20 + i, float(x))  # pier
        ops.node(30 + i, float(x))  # ground
        ops.fix(30 + i, 1)
        ops.uniaxialMaterial("Elastic", 100 + i, float(PIERS[i]))
        ops.element("zeroLength", 100 + i, 30 + i, 20 + i, "-mat", 100 + i, "-dir", 1)
        materials = []
        if free[i]:
            ops.uniaxialMaterial("ElasticPP", 200 + i, STIFF, MU * float(NORMAL[i]) / STIFF)
            materials.append(200 + i)
        low, high = stops[i] if free[i] else (-play[i], play[i])
        if not free[i] and high == 0.0:
            ops.uniaxialMaterial("Elastic", 300 + i, STIFF)
            materials.append(300 + i)
        else:
            for tag, gap in ((400 + i, high), (500 + i, low)):
                if np.isfinite(gap):
                    strength = np.sign(gap) * 1e10
                    ops.uniaxialMaterial("ElasticPPGap", tag, STIFF, float(strength), float(gap))
                    materials.append(tag)
        tags = ["-mat", *materials, "-dir", *([1] * len(materials))]
        ops.element("zeroLength", 200 + i, 20 + i, 10 + i, *tags)
    ops.uniaxialMaterial("Elastic", 1, EA)
    for i in range(3):
        ops.element("Truss", 1 + i, 10 + i, 11 + i, 1.0, 1)
    times = [float(t) for t in range(len(TURNING) + 1)]
    for tag, column in ((1, 0), (2, 1)):
        values = [0.0, *map(float, TURNING[:, column])]
        ops.timeSeries("Path", tag, "-time", *times, "-values", *values)
        ops.pattern("Plain", tag, tag)
        if tag == 1:  # free strain of the bars as end forces
            ops.load(10, -EA * HEAT)
            ops.load(13, EA * HEAT)
        else:
            ops.load(11, 1e3)
    ops.constraints("Plain")
    ops.numberer("Plain")
    ops.system("FullGeneral")
    ops.test("NormUnbalance", 1e-2, 60)
    ops.integrator("LoadControl", 1.0 / STEPS)
    ops.analysis("Static")
    forces = []
    for time in times[1:]:
        while time - ops.getTime() > 1e-9:
            left = time - ops.getTime()
            assert any(step(how, min(left, part / STEPS)) for part in PARTS for how in ALGORITHMS)
        forces.append([PIERS[i] * ops.nodeDisp(20 + i, 1) for i in range(4)])
    ops.wipe()
    return np.array(forces)


NONE = (-np.inf, np.inf)


@pytest.mark.parametrize(
    ("what", "free", "play", "stops"),
    [
        ("pin on a pier, rollers elsewhere", "oxoo", (0, 0, 0, 0), [NONE] * 4),
        ("pin on an abutment", "xooo", (0, 0, 0, 0), [NONE] * 4),
        ("pin with play of 3 mm", "oxoo", (0, 0.003, 0, 0), [NONE] * 4),
        ("two pins with play on piers", "oxxo", (0, 0.002, 0.004, 0), [NONE] * 4),
        ("stops at both ends", "oxoo", (0, 0, 0, 0), [(-0.006, 0.004), NONE, NONE, (-0.01, 0.008)]),
    ],
)
def test_path_of_forces(agreement, what, free, play, stops):
    free = np.array([letter == "o" for letter in free])
    play, stops = np.array(play, dtype=float), np.array(stops, dtype=float)
    ours, theirs = engine(free, play, stops), by_opensees(free, play, stops)
    agreement(f"{what}: forces on the piers at 13 turning points", ours, theirs, 2e-4)
