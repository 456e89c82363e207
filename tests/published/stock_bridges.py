"""Ten bridges of a made-up stock for the comparisons with other engines, and what bedstone says.

The bridges are found by what they are, not by their numbers: the first of the seed that fits.
"""

from dataclasses import dataclass, replace
from functools import cache
from itertools import count

import numpy as np

from bedstone.articulation.arrangement import HELD, arrange, erection
from bedstone.articulation.ground import footing, ground
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.mechanics.support import Supported
from bedstone.stock import synthetic

SEED = 8
#: Coefficients of expansion, N/m on the deck, and m of settlement of the cases.
STEEL, CONCRETE, FORCE, SETTLES = 12e-6, 10e-6, 1e3, 0.01


def fits(kind, spans, through=None, skew=False, curve=False):
    """Whether a bridge is small, of this kind, and its outline as wanted."""

    def told(bridge):
        if bridge.kind != kind:
            return False
        outline = bridge.outline
        if outline is None:
            return True
        return (
            len(outline.spans) in spans
            and (outline.truss or outline.girders <= 4)
            and through in (None, outline.runs_through)
            and skew == (outline.skew != 0.0)
            and curve == (outline.radius is not None)
        )

    return told


#: The ten, by name.
WANTED = {
    "one span of steel girders": fits("steel girders", (1,)),
    "simple spans of concrete girders": fits("concrete girders", (2, 3), through=False),
    "continuous composite girders": fits("composite girders", (2, 3), through=True),
    "skew composite girders": fits("composite girders", (2, 3), through=True, skew=True),
    "curved composite girders": fits("composite girders", (2, 3), curve=True),
    "a through truss": fits("through truss", (1,)),
    "simple spans of deck trusses": fits("deck truss", (2,), through=False),
    "girders under a track": fits("girders under a track", (2, 3), through=False),
    "trusses under a track": fits("truss under a track", (2,)),
    "a frame": fits("frame", (1,)),
}


@cache
def made_up(name):
    """The first bridge of the seed that fits."""
    bridges = (synthetic.bridge(number, SEED) for number in count(1))
    return next(bridge for bridge in bridges if WANTED[name](bridge))


def written(name, folder):
    """The files of a bridge in a folder; the path of the bridge file."""
    bridge = made_up(name)
    for path, text in bridge.files:
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return folder / bridge.path


def in_plan(angle):
    """Axes as rows, turned in plan."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])


@dataclass
class Case:
    """A load case on one state of a bridge.

    `vector` (freedoms,) on the nodes; `weight` (m,) of the members, N/m; `strain`, `curvature` (m,)
    free ones; `down` what a support settles by mark, m. `erected`: on the supports that stand
    before the bearings are set.
    """

    name: str
    state: str
    vector: np.ndarray | None = None
    weight: np.ndarray | None = None
    strain: np.ndarray | None = None
    curvature: np.ndarray | None = None
    down: tuple[str, float] = ("", 0.0)
    erected: bool = False


class Stood:
    """A bridge of the stock on its bearings.

    What bedstone says of its model: `frame(state)`, `seats(state)`, `structure`. What the bridge
    file says of its bearings: `bearings`, (axes (3, 3) as rows, held (6,), compliance (6,)) a seat.
    """

    def __init__(self, name, folder):
        self.file = written(name, folder)
        self.bridge = read_bridge(self.file)
        tables = read_tables(self.bridge, self.file.parent)
        self.prepared = prepare(self.bridge, tables)
        self.structure = self.prepared.structure
        self.functions = arrangement_functions(self.bridge, tables)
        self.supports = list(self.bridge.support)
        point = self.bridge.arrangement.fixed_point
        self.arranged = arrange(self.structure, self.supports, self.functions, point)
        self.footings = {item.mark: footing(self.structure, item) for item in self.supports}
        self.bearings = [
            self._bearing(self.functions[seat.mark], angle)
            for seat, angle in zip(self.structure.seats, self.arranged.angles, strict=True)
        ]

    def frame(self, state):
        return self.structure.states[state].frame

    def seats(self, state):
        return self.structure.states[state].seats

    def _bearing(self, seat, angle):
        held, compliance = np.zeros(6, dtype=bool), np.zeros(6)
        held[:3] = HELD[seat.function]
        held[3:] = [axis in seat.hold_rotation for axis in "xyz"]
        for way, name in enumerate(("kx", "ky", "kz", "krx", "kry", "krz")):
            spring = None if seat.stiffness is None else getattr(seat.stiffness, name)
            if spring is not None:
                held[way], compliance[way] = True, 1.0 / spring
        return in_plan(angle), held, compliance

    def erection(self):
        """Bearings before the bearings are set: upright as they are, in plan just enough."""
        places = np.array([seat.point for seat in self.structure.seats])
        part = self.prepared.condensed[self.prepared.final].part
        made = [
            (in_plan(seat.angle), held & ([False] * 2 + [True] * 4), compliance)
            for seat, (_, held, compliance) in zip(self.structure.seats, self.bearings, strict=True)
        ]
        for number in set(part):
            own = np.flatnonzero(part == number)
            far = own[np.argmax(np.linalg.norm(places[own] - places[own[0]], axis=1))]
            made[own[0]][1][:2] = True
            made[far][1][1] = True
        return made

    def permanent(self):
        """The permanent cases in the order of building, and the shrinkage."""
        stages = [stage.name for stage in self.bridge.stage]
        early = stages[: stages.index(self.bridge.arrangement.set_at) + 1]
        made = [
            Case(load.label, load.state, vector=load.vector, erected=load.stage in early)
            for load in self.structure.loads
        ]
        shrinks = self.bridge.actions.shrinkage
        if shrinks is not None:
            slow = self.prepared.slow
            free = (shrinks.strain + shrinks.creep_strain) * self.structure.states[slow].shrinkage
            made.append(Case("shrinkage", slow, strain=free[:, 0], curvature=free[:, 1]))
        return made

    def cases(self):
        """Own weight, deck loads, 1 K, 1 kN/m along and across 2 m up, each settlement."""
        states, final, slow = self.structure.states, self.prepared.final, self.prepared.slow
        own = "steel" if "steel" in states else slow
        deck, frame = states[final].deck, self.frame(final)
        made = [
            Case("own weight", own, weight=states[own].weight),
            Case("1 K", final, strain=states[final].expansion(STEEL, CONCRETE)),
        ]
        for way, along, across in (("along", FORCE, 0.0), ("across", 0.0, FORCE)):
            vector = deck.horizontal_load(frame, along, across, 2.0, deck.first, deck.last)
            made.append(Case(f"force {way}", final, vector=vector))
        settled = [Case("settlement", slow, down=(item.mark, SETTLES)) for item in self.supports]
        return made + settled

    def ours(self, case, spring=None):
        """Bedstone's forces on the bearings and movements, (ns, 6) each, bearing axes.

        `spring`: stiffness (N/m, N m) in place of what holds rigidly.
        """
        state = self.structure.states[case.state]
        condensed = self.prepared.condensed[case.state]
        arranged = self.arranged
        if case.erected:
            arranged = erection(self.structure, arranged, condensed.part)
        below = ground(self.structure, self.supports)
        bearings = arranged.bearings
        if spring is not None:
            gives = bearings.compliance
            bearings = replace(bearings, compliance=np.where(gives, gives, 1.0 / spring))
        supported = Supported(condensed, bearings, below)
        vector = np.zeros(state.frame.freedoms)
        if case.vector is not None:
            vector += case.vector
        if case.weight is not None:
            down = np.zeros((len(case.weight), 3))
            down[:, 2] = -case.weight
            vector += state.frame.line_load(np.arange(len(case.weight)), down)
        if case.strain is not None:
            vector += state.frame.strain_load(case.strain, case.curvature)
        sinks = np.zeros((len(self.structure.seats), 6))
        for row, seat in enumerate(self.structure.seats):
            if seat.support == case.down[0]:
                sinks[row, 2] = -case.down[1]
        load = condensed.load(vector) + condensed.settlement(sinks.reshape(-1, 1))
        effects = supported.effects(load)
        return effects.force[:, :, 0], effects.movement[:, :, 0]
