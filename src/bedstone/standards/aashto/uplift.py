"""AASHTO LRFD 14.6.1 and 3.10.9.6: bearings that lift, hold-down devices."""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def tie_down(values: Values, uplift: float) -> Line:
    """Net uplift (N) at any limit state is held by tie-downs (14.6.1)."""
    return state(
        values,
        ("uplift.tie_down",),
        title="Net uplift is held",
        formula="tie-down for net uplift at any limit state",
        inputs=(Quantity("uplift", uplift, "N"),),
        result=Quantity("T", values.number("uplift.tie_down") * uplift, "N"),
    )


def hold_down(values: Values, dead: float, seismic: float) -> Line:
    """Least design force (N) of a hold-down device; `dead` reaction, `seismic` uplift, both >= 0.

    Up to half of the dead reaction none; below the dead reaction a tenth of it; above it the larger
    of 1.2 times the excess and a tenth of the dead reaction (3.10.9.6).
    """
    needed, excess, least = values.row("uplift.hold_down")
    if seismic <= needed * dead:
        force = 0.0
    elif seismic < dead:
        force = least * dead
    else:
        force = max(excess * (seismic - dead), least * dead)
    return state(
        values,
        ("uplift.hold_down",),
        title="Hold-down device",
        formula="Q <= 0.5 D: 0; Q < D: 0.1 D; else max(1.2 (Q - D), 0.1 D)",
        inputs=(Quantity("D", dead, "N"), Quantity("Q", seismic, "N")),
        result=Quantity("T_min", force, "N"),
    )
