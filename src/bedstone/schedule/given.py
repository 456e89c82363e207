"""A bridge without a model: effects brought by the engineer, combined to the same schedule."""

from __future__ import annotations

import numpy as np

from bedstone.actions.effects import SEAT_EFFECTS, Layout
from bedstone.articulation.arrangement import Arranged, layout, support_sum
from bedstone.bridge.schema import Bridge, Reactions
from bedstone.bridge.seats import seat_marks
from bedstone.bridge.tables import EffectTable, ReactionData
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.mechanics.frame import Floats
from bedstone.model.alignment import Axis
from bedstone.model.structure import SeatPlace, Structure
from bedstone.schedule.analysis import ActionEffects
from bedstone.schedule.combine import LASTING
from bedstone.schedule.variable import Variable, WorstOf
from bedstone.standards.combination import TRAFFIC, Combination
from bedstone.standards.family import ACTIONS, LEADING_TRAFFIC, Family
from bedstone.standards.values import Values

#: Effects a table gives, in its own column order.
_GIVEN = ("N", "Hx", "Hy", "vx", "vy", "vz", "rx", "ry", "rz")


def given_structure(bridge: Bridge, tables: ReactionData) -> Structure:
    """Seats and supports of the table without a frame: levels are zero, the deck has no depth."""
    supports = {support.mark: support for support in bridge.support}
    curvature = 0.0
    if bridge.alignment.radius is not None:
        sign = 1.0 if bridge.alignment.turn == "left" else -1.0
        curvature = sign / bridge.alignment.radius
    axis = Axis(bridge.support[0].chainage, curvature)
    offsets = dict(zip(tables.seats.seat, tables.seats.y, strict=True))
    places = []
    for seat in seat_marks(bridge, tables):
        support = supports[seat.support]
        offset = offsets[seat.mark]
        chainage = support.chainage - offset * np.tan(support.skew)
        x, y = axis.point(chainage, offset)
        places.append(
            SeatPlace(
                mark=seat.mark,
                support=seat.support,
                line=seat.line,
                point=(float(x), float(y), 0.0),
                chainage=float(chainage),
                offset=float(offset),
                angle=float(axis.angle(chainage)),
            )
        )
    chainages = tuple(support.chainage for support in bridge.support)
    assert isinstance(bridge.superstructure, Reactions)
    return Structure(
        axis=axis,
        seats=tuple(places),
        states={},
        loads=(),
        supports=tuple(supports),
        chainages=chainages,
        continuous=True,
        unit_length=chainages[-1] - chainages[0],
        depth=0.0,
        deck_type=bridge.superstructure.deck_type,
        deck_width=float(max(offsets.values()) - min(offsets.values())),
    )


def given_effects(
    bridge: Bridge,
    structure: Structure,
    arranged: Arranged,
    tables: ReactionData,
    leading: str | None,
) -> ActionEffects:
    """Effects of the table as actions: one case of each permanent action, the worst case of each
    variable one.

    `leading`: the family's first traffic group, for which plain ``traffic`` stands; None: the
    family has no such traffic. Raises `InputError` for an unknown action. Whether a combination
    of the family speaks of a traffic group is checked by `spoken`.
    """
    order = layout(structure)
    table = tables.effects
    _check_actions(bridge, table, leading)
    fixed: dict[str, Floats] = {}
    variable: dict[str, Variable] = {}
    sums = np.concatenate([support_sum(structure, support, arranged) for support in bridge.support])
    for action in dict.fromkeys(table.action):
        cases = dict.fromkeys(
            case for name, case in zip(table.action, table.case, strict=True) if name == action
        )
        rows = [_vector(order, table, action, case, sums) for case in cases]
        name = f"traffic:{leading}" if action == "traffic" else action
        if name in LASTING and name != "settlement":
            fixed[name] = np.asarray(sum(rows))
        else:
            variable[name] = WorstOf(tuple(cases), np.array(rows), "one")
    empty = np.zeros(0, dtype=np.intp)
    return ActionEffects(
        layout=order,
        fixed=fixed,
        variable=variable,
        one_sided=empty,
        raising=np.zeros((order.size, 0)),
        periods=None,
        unit_heat=np.zeros(order.size),
        influence_error=0.0,
        residuals=(0.0, 0.0),
        notes=("effects were brought from elsewhere: combined here, not checked against a model",),
    )


def _check_actions(bridge: Bridge, table: EffectTable, leading: str | None) -> None:
    allowed = [*ACTIONS, "traffic:<group>"] + (["traffic"] if leading else [])
    faults = [
        Fault(_file(bridge), "action", action, ", ".join(allowed))
        for action in dict.fromkeys(table.action)
        if action not in allowed and not action.startswith("traffic:")
    ]
    if faults:
        raise InputError(faults)


def spoken(
    bridge: Bridge, effects: ActionEffects, family: Family, values: Values
) -> tuple[Combination, ...]:
    """The family's combinations of the actions of the table.

    Raises `InputError` for actions of which no combination speaks.
    """
    present = [*effects.fixed, *effects.variable]
    known = [name for name in present if not name.startswith(TRAFFIC)]
    faults = []
    for name in present:
        if not name.startswith(TRAFFIC):
            continue
        try:
            found = family.combinations(values, [name])
        except BedstoneError:
            found = ()
        if any(term.action == name for item in found for term in item.terms):
            known.append(name)
        else:
            allowed = f"a traffic group of {family.title}, such as {_leading(bridge, family)}"
            faults.append(Fault(_file(bridge), "action", name, allowed))
    if faults:
        raise InputError(faults)
    return family.combinations(values, known)


def _leading(bridge: Bridge, family: Family) -> str:
    leading = LEADING_TRAFFIC.get((family.name, bridge.bridge.use))
    return f"{TRAFFIC}{leading}" if leading else "none for this use"


def _file(bridge: Bridge) -> str:
    return str(getattr(bridge.superstructure, "effects", "effects table"))


def _vector(order: Layout, table: EffectTable, action: str, case: str, sums: Floats) -> Floats:
    """(size,) effects of one case: seats from the table, supports as their sums."""
    count = len(order.seats)
    vector = np.zeros(order.size)
    force = np.zeros(6 * count)
    for number, seat in enumerate(table.seat):
        if table.action[number] != action or table.case[number] != case:
            continue
        row = order.seats.index(seat)
        for name in _GIVEN:
            vector[12 * row + SEAT_EFFECTS.index(name)] = getattr(table, name)[number]
        force[6 * row : 6 * row + 3] = (
            table.Hx[number], table.Hy[number], -table.N[number],
        )  # fmt: skip
    vector[12 * count :] = sums @ force
    return vector
