"""From the schedule to what one bearing must carry."""

from __future__ import annotations

from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.articulation.arrangement import HELD
from bedstone.bearings.base import Demand, DemandCase
from bedstone.bridge.schema import Bridge, Function
from bedstone.errors import Fault, InputError
from bedstone.schedule.result import Governing, Schedule

_MOVEMENTS = ("vx", "vy", "rx", "ry")


def demand_of(schedule: Schedule, bridge: Bridge, seat: str) -> Demand:
    """The demand at one seat: each governing extreme with the effects acting with it.

    Raises `InputError` for a seat the bridge does not have, or one without a bearing.
    """
    info = next((item for item in schedule.seats if item.mark == seat), None)
    if info is None or info.function == "none":
        known = ", ".join(item.mark for item in schedule.seats if item.function != "none")
        raise InputError([Fault("command line", "seat", seat, known)])
    function: Function = info.function
    cases: dict[DemandCase, None] = {}  # many extremes share one moment: keep it once
    for line in schedule.seat_lines:
        if line.place == seat:
            cases[_case(line)] = None
    lifts = [item.hold_down for item in schedule.uplift if item.seat == seat]
    return Demand(
        seat=seat,
        function=function,
        held=HELD[function][:2],  # a spring is not a hold: the seat moves
        cases=tuple(cases),
        permanent=schedule.permanent_seats[seat][SEAT_EFFECTS.index("N")],
        uplift=max(lifts, default=0.0),
        use=bridge.bridge.use,
    )


def _case(line: Governing) -> DemandCase:
    acting = dict(zip(SEAT_EFFECTS, line.acting, strict=True))
    lasting = dict(zip(SEAT_EFFECTS, line.irreversible, strict=True))
    return DemandCase(
        limit_state=line.limit_state,
        name=f"{line.effect} {line.sense}, {line.combination}",
        **{name: acting[name] for name in SEAT_EFFECTS if name != "vz"},
        **{f"lasting_{name}": lasting[name] for name in _MOVEMENTS},
    )
