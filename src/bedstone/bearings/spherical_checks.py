"""The checks of the curve of a spherical or cylindrical bearing."""

from __future__ import annotations

from dataclasses import dataclass

from bedstone.bearings.base import Demand
from bedstone.bearings.common.rules import governing, placed
from bedstone.bearings.sliding_element import Thrust, derived
from bedstone.bearings.sliding_rules import Aashto, SlideRules
from bedstone.bearings.sliding_sheet import Slide
from bedstone.bearings.spherical_sizes import Shape
from bedstone.bearings.spherical_statics import Curve, cover, friction_moment
from bedstone.standards.aashto import curved as aashto
from bedstone.standards.aashto import sliding as aashto_sliding
from bedstone.standards.eurocode.curved import included_angle
from bedstone.standards.record import Line, Quantity


@dataclass(frozen=True)
class State:
    """What one case does to both sheets."""

    thrust: Thrust
    slope: float
    mu: float
    rotation: float


@dataclass(frozen=True)
class Trial:
    """A bearing under design with what its strength cases and all its cases do to it."""

    curve: Curve
    slide: Slide | None
    strong: list[State]
    all: list[State]


def strength_lines(trial: Trial, demand: Demand, rules: SlideRules) -> list[Line]:
    """Load and horizontal force on the curve by the rules of AASHTO; none elsewhere."""
    if not isinstance(rules, Aashto):
        return []
    curve = trial.curve
    stress = aashto_sliding.average_stress(rules.values, rules.curved_material)
    part = "curved sliding sheet"
    loads = []
    for case in rules.service(demand):
        line = (
            aashto.spherical_load(rules.values, case.N, curve.sheet.length, stress)
            if curve.sheet.round
            else aashto.cylindrical_load(
                rules.values, case.N, curve.sheet.length, curve.sheet.width, stress
            )
        )
        loads.append(placed(line, part, case.name))
    lines = [governing(loads)]
    if trial.slide is None:
        found = []
        for state in trial.strong:
            args = (
                rules.values,
                state.thrust.H,
                max(state.thrust.case.N, 1.0),
                curve.sheet.length,
                curve.radius,
            )
            line = (
                aashto.spherical_lateral(*args, state.rotation, stress)
                if curve.sheet.round
                else aashto.cylindrical_lateral(*args, curve.sheet.width, state.rotation, stress)
            )
            found.append(placed(line, part, state.thrust.case.name))
        lines.append(governing(found))
    return lines


def shape_lines(shape: Shape, trial: Trial, rules: SlideRules) -> list[Line]:
    """Angle of the curve, cover of its sheet and gap below the plate above."""
    curve = trial.curve
    turned = max(trial.strong, key=lambda state: state.rotation)
    rotation = turned.rotation
    name = turned.thrust.case.name
    inputs = (Quantity("alpha", rotation, "rad"), Quantity("R", curve.radius, "m"))
    lines = []
    # The IRC has the scope of EN 1337-7; AASHTO has none.
    if rules.basis.family != "aashto":
        line = included_angle(rules.values, shape, curve.angle)
        lines.append(placed(line, "curved sliding sheet"))
    lines += [
        derived(
            "Cover of the curved sheet",
            "2 R sin(theta + alpha) <= chord of the segment",
            Quantity("needed", cover(curve, rotation), "m"),
            Quantity("chord", curve.segment_length, "m"),
            "convex segment",
            name,
            inputs,
        ),
        derived(
            "Gap between block and plate above",
            "D alpha/2 <= gap",
            Quantity("drop", curve.block_length / 2.0 * rotation, "m"),
            Quantity("gap", max(curve.gap, 0.0), "m"),
            "concave block",
            name,
            inputs,
        ),
    ]
    heavy = max(trial.strong, key=lambda s: _friction(trial.curve, s))
    moment = _friction(curve, heavy)
    lines.append(
        Line(
            title="Moment of friction against rotation",
            standard="geometry",
            edition="",
            clause="derived",
            formula="M = N (mu_c R + mu_f (R - b))",
            inputs=(
                Quantity("N", heavy.thrust.case.N, "N"),
                Quantity("mu_c", heavy.mu, ""),
                Quantity("mu_f", heavy.slope, ""),
                Quantity("R", curve.radius, "m"),
                Quantity("b", curve.segment, "m"),
            ),
            result=Quantity("M", moment, "N*m"),
            basis="confirmed",
            note="derived",
            part="curved sliding sheet",
            case=heavy.thrust.case.name,
        )
    )
    return lines


def _friction(curve: Curve, state: State) -> float:
    return friction_moment(curve, state.mu, state.slope, max(state.thrust.case.N, 0.0))
