"""What does not change while rollers are sized for one seat, and what pushes on their details."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bedstone.bearings.base import Basis, Demand
from bedstone.bearings.common import materials
from bedstone.bearings.roller_basis import (
    Cases,
    Chosen,
    Pair,
    contact_cases,
    design_movement,
    friction,
    pair,
    part_cases,
    usual,
    usual_length,
)
from bedstone.bearings.roller_details import (
    Push,
    stop_force_line,
)
from bedstone.bearings.roller_set import (
    Forces,
)
from bedstone.bridge.schema import BearingKind
from bedstone.errors import Fault, InputError
from bedstone.standards.record import Line


@dataclass(frozen=True)
class Setting:
    """What does not change while the sizes of one seat are sought."""

    kind: BearingKind
    demand: Demand
    basis: Basis
    chosen: Chosen
    contact: Cases
    parts: Cases
    movement: float
    movement_line: Line

    @property
    def detail_steel(self) -> str:
        """Steel of plates, ribs, bars and stops."""
        return materials.default("plate", self.basis)

    def steels(self, diameter: float) -> Pair:
        """Rollers of a diameter (m) on their track.

        EN 1337-4 wants both surfaces of the same strength and hardness: strips of the rollers'
        steel lie on plates of another one. The other families take the weaker of roller and plate.
        """
        if self.kind == "hardened roller":
            name = str(self.basis.options.get("steel.hardened", "class D"))
            return pair(self.basis, name, name, diameter)
        roller = materials.default("roller", self.basis)
        track = roller if self.basis.family == "eurocode" else self.detail_steel
        return pair(self.basis, roller, track, diameter)

    def strip(self, steels: Pair) -> float:
        """Thickness (m) of contact strips; 0 where the plates are of the track's steel."""
        if steels.plate == self.detail_steel:
            return 0.0
        return self.chosen.number("strip", usual_length("strip"), least=1e-3)

    def mu(self, steels: Pair) -> float:
        """Adverse coefficient of rolling."""
        return friction(self.basis, self.kind, steels)[0]


def setting(kind: BearingKind, demand: Demand, basis: Basis) -> Setting:
    """The setting of one seat; raises `InputError` where no case presses or an option is wrong."""
    chosen = Chosen(kind, basis)
    movement, line = design_movement(demand, basis, chosen)
    return Setting(
        kind,
        demand,
        basis,
        chosen,
        contact_cases(demand, basis),
        part_cases(demand, basis),
        movement,
        line,
    )


def across_push(at: Setting, rollers: int) -> Push:
    """Force across on one roller: half of the rollers, rounded up, are taken to touch their ribs.

    Side clearances differ (common practice, no source).
    """
    sizes = np.abs(at.parts.Hy)
    worst = int(np.argmax(sizes))
    case = at.parts.cases[worst]
    return Push(float(sizes[worst]) / math.ceil(rollers / 2), case.limit_state, case.name)


def rolling_push(found: Forces, mu: float) -> Push:
    """Rolling resistance mu N of the most loaded roller."""
    most = found.each.max(axis=1)
    worst = int(np.argmax(np.where(np.isfinite(most), most, 0.0)))
    case = found.cases.cases[worst]
    return Push(mu * float(most[worst]), case.limit_state, case.name)


def stop_push(at: Setting, mu: float) -> tuple[Push, Line]:
    """Force on a stop, and the line that passes it to the abutment."""
    chosen = at.chosen
    worst = int(np.argmax(at.parts.N))
    case = at.parts.cases[worst]
    push = max(mu * float(at.parts.N[worst]), float(np.abs(at.parts.Hx).max()))
    given = chosen.given("stop_push")
    speed = chosen.number("stop_speed", 0.0)
    stiffness = chosen.number("stop_stiffness", 0.0)
    if speed > 0.0 and stiffness <= 0.0:
        raise InputError(
            [
                Fault(
                    "bearing",
                    "roller.stop_stiffness",
                    "nothing",
                    "a stiffness (N/m), above 0, with roller.stop_speed",
                )
            ]
        )
    mass = chosen.number("stop_mass", max(at.demand.permanent, 0.0) / usual("gravity"))
    line = stop_force_line(
        push if given is None else given,
        mass if speed > 0.0 else 0.0,
        speed,
        stiffness,
        "friction of the rollers or the largest Hx" if given is None else "given",
    )
    return Push(line.value, case.limit_state, case.name), line
