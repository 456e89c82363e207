"""Vehicular live load HL-93 (AASHTO LRFD 3.6.1): design lanes, truck, tandem, lane load."""

from __future__ import annotations

import math

from bedstone.standards.aashto.choices import CHOSEN, units
from bedstone.standards.aashto.horizontal import braking, centrifugal
from bedstone.standards.choices import refuse
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, carriageway_width
from bedstone.standards.traffic import (
    Axle,
    LaneLoad,
    Placement,
    TrafficGroup,
    TrafficModel,
    Train,
    braking_force,
    centrifugal_force,
    outermost,
)
from bedstone.standards.values import Values

#: Traffic models of this family that a bridge file may ask for.
MODELS = ("HL-93",)

# How finely a variable distance is tried; the specification gives only its limits.
_STEPS = 5

# A roadway that misses a whole number of lanes by less than this (m) has that number of lanes:
# guards the integer part against rounding of 10.8/3.6.
_ROUNDING = 1e-6


def _range(least: float, most: float) -> tuple[float, ...]:
    """Evenly spaced distances (m) from `least` to `most`, both included."""
    if most <= least:
        return (least,)
    return tuple(least + (most - least) * i / (_STEPS - 1) for i in range(_STEPS))


def design_truck(values: Values, facts: BridgeFacts) -> Train:
    """Design truck, second axle spacing variable (3.6.1.2.2); relieving axles are left out."""
    unit = units(facts)
    first, second, third = values.row(f"traffic.truck.axles.{unit}")
    spacing = values.number(f"traffic.truck.spacing.{unit}")
    return Train(
        name="design truck",
        axles=(Axle(0.0, first), Axle(spacing, second), Axle(2 * spacing, third)),
        track=values.number(f"traffic.track.{unit}"),
        spread=(1, _range(spacing, values.number(f"traffic.truck.spacing_most.{unit}"))),
        omit_relieving=True,
    )


def design_tandem(values: Values, facts: BridgeFacts) -> Train:
    """Design tandem (3.6.1.2.3)."""
    unit = units(facts)
    first, second = values.row(f"traffic.tandem.axles.{unit}")
    return Train(
        name="design tandem",
        axles=(Axle(0.0, first), Axle(values.number(f"traffic.tandem.spacing.{unit}"), second)),
        track=values.number(f"traffic.track.{unit}"),
        omit_relieving=True,
    )


def two_trucks(values: Values, facts: BridgeFacts) -> Train:
    """Two design trucks one behind the other, rear axles at the least spacing (3.6.1.3.1).

    The gap between them goes from its least value to the longest span, in even steps.
    """
    unit = units(facts)
    one = design_truck(values, facts).axles
    gap = values.number(f"traffic.two_trucks.gap.{unit}")
    back = one[-1].position + gap
    return Train(
        name="two design trucks",
        axles=one + tuple(Axle(back + axle.position, axle.force) for axle in one),
        track=values.number(f"traffic.track.{unit}"),
        spread=(len(one) - 1, _range(gap, max(facts.spans))),
        omit_relieving=True,
    )


def design_lanes(values: Values, facts: BridgeFacts) -> Line:
    """Number of design lanes of the roadway (3.6.1.1.1).

    The integer part of the width over the lane width; two lanes of half the roadway from 6.0 m
    (20 ft) to two lane widths; one lane of the whole roadway where it is narrower than a lane.
    `choices["lanes.count"]` decides instead where it is given. Raises `InputError` for a bridge
    without a carriageway and for one too narrow for a truck.
    """
    if facts.use != "road":
        raise refuse("bridge.use", facts.use, "road (this family has no rail loading)")
    width = carriageway_width(facts)
    unit = units(facts)
    lane = values.number(f"traffic.lane_width.{unit}")
    narrowest = values.number(f"traffic.track.{unit}") + 2 * values.number(
        f"traffic.wheel_edge.{unit}"
    )
    if width < narrowest - _ROUNDING:
        raise refuse(
            "actions.traffic",
            f"a carriageway of {width:g} m",
            f"{narrowest:g} m and more, for a truck",
        )
    chosen = CHOSEN.whole(facts.choices, "lanes.count")
    if chosen is not None:
        if width / chosen < narrowest - _ROUNDING:
            raise CHOSEN.refuse("lanes.count", chosen, f"lanes at least {narrowest:g} m wide")
        count = chosen
    elif values.number(f"traffic.two_lanes_from.{unit}") - _ROUNDING <= width < 2 * lane:
        count = 2
    else:
        count = max(1, math.floor((width + _ROUNDING) / lane))
    return state(
        values,
        (f"traffic.lane_width.{unit}", f"traffic.two_lanes_from.{unit}"),
        "Number of design lanes",
        "n = INT(w / w_lane)",
        (Quantity("w", width, "m"), Quantity("w_lane", lane, "m")),
        Quantity("n", float(count), ""),
        note="chosen by the engineer" if chosen is not None else "",
    )


def multiple_presence(values: Values, lanes: int) -> float:
    """Multiple presence factor m for a number of loaded lanes (Table 3.6.1.1.2-1)."""
    row = values.row("traffic.multiple_presence")
    return row[min(lanes, len(row)) - 1]


def _lane(values: Values, facts: BridgeFacts, count: int, trains: tuple[Train, ...]) -> LaneLoad:
    """One design lane with its trains and its lane load.

    Truck and lane load may stand anywhere inside the design lane, wheels at least 0.6 m from its
    edges. All lanes shifted the same way is the same as lanes whose vehicles are in their middle,
    the outermost reaching over the edge of the roadway by that play: hence the negative `edge`.
    """
    unit = units(facts)
    assert facts.carriageway is not None  # design_lanes() has seen to it
    right, left = facts.carriageway
    width = min(values.number(f"traffic.lane_width.{unit}"), (left - right) / count)
    load_width = values.number(f"traffic.lane_load_width.{unit}")
    play = (
        width
        - values.number(f"traffic.track.{unit}")
        - 2 * values.number(f"traffic.wheel_edge.{unit}")
    )
    return LaneLoad(
        name="design lane",
        trains=trains,
        width=width,
        uniform=values.number(f"traffic.lane_load.{unit}") / load_width,
        uniform_width=load_width,
        train_factor=1.0 + values.number("traffic.dynamic_allowance"),
        edge=-max(play, 0.0) / 2,
    )


def _placements(values: Values, lane: LaneLoad, count: int, share: float) -> tuple[Placement, ...]:
    """One placement for each number of loaded lanes, with its multiple presence factor."""
    return tuple(
        Placement(
            name="1 lane" if loaded == 1 else f"{loaded} lanes",
            lanes=(lane,) * loaded,
            factor=share * multiple_presence(values, loaded),
        )
        for loaded in range(1, count + 1)
    )


def hl93(values: Values, facts: BridgeFacts) -> tuple[TrafficModel, ...]:
    """HL-93 (3.6.1.3.1): truck or tandem with lane load; two trucks for interior reactions."""
    count = round(design_lanes(values, facts).value)
    usual = _lane(values, facts, count, (design_truck(values, facts), design_tandem(values, facts)))
    models = [
        TrafficModel(
            name="truck or tandem and lane",
            clause=values.entry("traffic.lane_load.si").clause,
            placements=_placements(values, usual, count, 1.0),
        )
    ]
    # Simple spans one after the other have no interior support of a continuous superstructure.
    if len(facts.spans) > 1 and facts.unit_length > max(facts.spans):
        pair = _lane(values, facts, count, (two_trucks(values, facts),))
        share = values.number("traffic.two_trucks.share")
        models.append(
            TrafficModel(
                name="two trucks and lane",
                clause=values.entry("traffic.two_trucks.share").clause,
                placements=_placements(values, pair, count, share),
                applies="interior reaction",
            )
        )
    return tuple(models)


def braking_line(values: Values, facts: BridgeFacts) -> Line:
    """Braking force of the longest continuous unit, lanes headed one way as chosen (3.6.4)."""
    count = round(design_lanes(values, facts).value)
    one_way = CHOSEN.whole(facts.choices, "braking.lanes")
    if one_way is not None and one_way > count:
        raise CHOSEN.refuse("braking.lanes", one_way, f"1 to {count} design lanes")
    lanes = one_way if one_way is not None else count
    return braking(
        values,
        truck=sum(axle.force for axle in design_truck(values, facts).axles),
        tandem=sum(axle.force for axle in design_tandem(values, facts).axles),
        lane_load=values.number(f"traffic.lane_load.{units(facts)}"),
        length=facts.unit_length,
        lanes=lanes,
        presence=multiple_presence(values, lanes),
    )


def centrifugal_line(values: Values, facts: BridgeFacts) -> Line | None:
    """Centrifugal force, the heavier vehicle in every lane (3.6.3); None on a straight bridge."""
    if facts.radius is None:
        return None
    count = round(design_lanes(values, facts).value)
    weight = max(
        sum(axle.force for axle in train.axles)
        for train in (design_truck(values, facts), design_tandem(values, facts))
    )
    return centrifugal(
        values,
        weight=weight,
        speed=facts.speed,
        radius=abs(facts.radius),
        lanes=count,
        presence=multiple_presence(values, count),
    )


def _axes(values: Values, facts: BridgeFacts) -> tuple[float, ...]:
    """Where the braked lanes, side by side, may have their middle."""
    if facts.carriageway is None:
        return ()
    count = CHOSEN.whole(facts.choices, "braking.lanes") or round(design_lanes(values, facts).value)
    width = (facts.carriageway[1] - facts.carriageway[0]) / round(design_lanes(values, facts).value)
    lane = min(width, values.number(f"traffic.lane_width.{units(facts)}"))
    return outermost(facts.carriageway, count * lane)


def groups(values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
    """HL-93 with its braking and centrifugal force, as one action ``traffic:HL-93``.

    Raises `InputError` for traffic models that are not of this family.
    """
    for name in facts.models or ():
        if name not in MODELS:
            raise refuse("actions.traffic.models", name, ", ".join(MODELS))
    unit, length = units(facts), facts.unit_length
    height = values.number(f"traffic.braking.height.{unit}")
    horizontals = [braking_force(braking_line(values, facts), height, length, _axes(values, facts))]
    outward = centrifugal_line(values, facts)
    if outward is not None and facts.radius is not None:
        height = values.number(f"traffic.centrifugal.height.{unit}")
        horizontals.append(centrifugal_force(outward, facts.radius, height, length, spread=False))
    return (
        TrafficGroup(
            name="HL-93",
            clause="3.6.1.3.1",
            models=hl93(values, facts),
            horizontals=tuple((force, 1.0) for force in horizontals),
        ),
    )


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Design lanes, braking and, on a curve, centrifugal force, for the record."""
    found = (design_lanes(values, facts), braking_line(values, facts))
    outward = centrifugal_line(values, facts)
    return found if outward is None else (*found, outward)
