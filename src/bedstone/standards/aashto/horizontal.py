"""Horizontal forces of traffic (AASHTO LRFD 3.6.3, 3.6.4) and of movable bearings (14.6.3.1)."""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def braking(
    values: Values,
    *,
    truck: float,
    tandem: float,
    lane_load: float,
    length: float,
    lanes: int,
    presence: float,
) -> Line:
    """Braking force BR (N) of all lanes headed one way (3.6.4).

    `truck`, `tandem`: axle weights (N); `lane_load` N/m; `length` of the unit m; `presence` the
    multiple presence factor. The three candidates of one lane stand among the inputs.
    """
    axle_share = values.number("traffic.braking.axle_share")
    lane_share = values.number("traffic.braking.lane_share")
    axles = axle_share * max(truck, tandem)
    truck_lane = lane_share * (truck + lane_load * length)
    tandem_lane = lane_share * (tandem + lane_load * length)
    force = max(axles, truck_lane, tandem_lane) * lanes * presence
    return state(
        values,
        ("traffic.braking.axle_share", "traffic.braking.lane_share", "traffic.multiple_presence"),
        "Braking force",
        "BR = n m max(0.25 axles, 0.05 (truck + lane), 0.05 (tandem + lane))",
        (
            Quantity("axles", axles, "N"),
            Quantity("truck + lane", truck_lane, "N"),
            Quantity("tandem + lane", tandem_lane, "N"),
            Quantity("L", length, "m"),
            Quantity("n", float(lanes), ""),
            Quantity("m", presence, ""),
        ),
        Quantity("BR", force, "N"),
        note="the first three inputs are the shares of one lane before m",
    )


def centrifugal(
    values: Values, *, weight: float, speed: float, radius: float, lanes: int, presence: float
) -> Line:
    """Centrifugal force CE (N), outward (3.6.3); no dynamic allowance, no lane load.

    `weight`: axle weights of the vehicle in one lane (N); `speed` m/s; `radius` m, positive.
    """
    f = values.number("traffic.centrifugal.factor")
    g = values.number("traffic.centrifugal.gravity")
    C = f * speed**2 / (g * radius)
    return state(
        values,
        (
            "traffic.centrifugal.factor",
            "traffic.centrifugal.gravity",
            "traffic.multiple_presence",
        ),
        "Centrifugal force",
        "CE = n m C W, C = f v^2 / (g R)",
        (
            Quantity("W", weight, "N"),
            Quantity("f", f, ""),
            Quantity("v", speed, "m/s"),
            Quantity("g", g, "m/s2"),
            Quantity("R", radius, "m"),
            Quantity("n", float(lanes), ""),
            Quantity("m", presence, ""),
        ),
        Quantity("CE", lanes * presence * C * weight, "N"),
    )


def sliding_force(coefficient: Line, reaction: float) -> Line:
    """Force H_u = mu P_u (N) of a sliding or rolling bearing under a reaction P_u (N)."""
    return Line(
        title="Friction force of a bearing",
        standard=coefficient.standard,
        edition=coefficient.edition,
        clause="14.6.3.1",
        formula="H_u = mu P_u",
        inputs=(coefficient.result, Quantity("P_u", reaction, "N")),
        result=Quantity("H_u", coefficient.value * reaction, "N"),
        basis=coefficient.basis,
    )
