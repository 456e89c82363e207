"""Carriageway live load (IRC:6 clauses 204, 205, 208, 211, 212): lanes, trains, forces along."""

from __future__ import annotations

from bisect import bisect_right

from bedstone.standards.choices import refuse
from bedstone.standards.clause import state
from bedstone.standards.interpolation import between
from bedstone.standards.irc import impact, trains
from bedstone.standards.irc.choices import CHOSEN
from bedstone.standards.irc.horizontal import braking, centrifugal
from bedstone.standards.irc.trains import weights
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, carriageway_width
from bedstone.standards.traffic import (
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

#: Traffic models of this family; the first two are the usual ones.
MODELS = ("Class A", "Class 70R", "Class AA")

# Widths that miss a limit of the table by less than this (m) count as having reached it.
_ROUNDING = 1e-6


def road_width(facts: BridgeFacts) -> float:
    """Width of the carriageway (m); raises `InputError` without one, or for a rail bridge."""
    if facts.use != "road":
        raise refuse("bridge.use", facts.use, "road (this family has no rail loading)")
    return carriageway_width(facts)


def models(facts: BridgeFacts) -> tuple[str, ...]:
    """Models asked for, or the usual ones; raises `InputError` for one of another family."""
    for name in facts.models or ():
        if name not in MODELS:
            raise refuse("actions.traffic.models", name, ", ".join(MODELS))
    return facts.models or MODELS[:2]


def lanes(values: Values, facts: BridgeFacts) -> Line:
    """Number of lanes for design by the width of the carriageway (Table 6).

    Raises `InputError` for a width outside the table or too narrow for one train.
    """
    width = road_width(facts)
    least = values.number("traffic.class_a.width") + 2 * values.number("traffic.class_a.kerb")
    most = values.number("traffic.lanes.to")
    if not least - _ROUNDING <= width <= most + _ROUNDING:
        raise refuse("actions.traffic", f"a carriageway of {width:g} m", f"{least:g} to {most:g} m")
    limits = values.row("traffic.lanes.from")
    return state(
        values,
        ("traffic.lanes.from", "traffic.lanes.to"),
        "Number of lanes",
        "Table 6",
        (Quantity("w", width, "m"),),
        Quantity("n", float(1 + bisect_right(limits, width + _ROUNDING)), ""),
    )


def reduction(values: Values, loaded: int) -> float:
    """Factor for the number of lanes loaded (205)."""
    row = values.row("traffic.reduction")
    return row[min(loaded, len(row)) - 1]


def _class_a(values: Values, facts: BridgeFacts, *, alone: bool) -> LaneLoad:
    """Lane of Class A trains.

    A lane carries half the clear distance to a passing train on either side; beside the kerb only
    the kerb's own distance is kept, so the lane reaches over the edge (a negative `edge`). On a
    single-lane carriageway the train keeps to its own width and the rest is loaded.
    """
    width = values.number("traffic.class_a.width")
    kerb = values.number("traffic.class_a.kerb")
    clear = 0.0
    if not alone:
        table = values.table("traffic.class_a.passing")
        clear = between(
            road_width(facts), tuple(row[0] for row in table), tuple(row[1] for row in table)
        )
    i = impact.class_a(values, impact.span_of(facts), impact.material_of(facts)).value
    return LaneLoad(
        name="Class A",
        trains=(trains.class_a(values),),
        width=width + clear,
        edge=kerb - clear / 2,
        train_factor=1.0 + i,
    )


def _heavy(values: Values, facts: BridgeFacts) -> tuple[LaneLoad, ...]:
    """Alternatives of a lane with a Class 70R or AA vehicle (each takes two lanes)."""
    clear = values.number("traffic.heavy.passing")
    kerb = values.number("traffic.heavy.kerb")
    kept = CHOSEN.given(facts.choices, "lanes.width_70r", above=0)
    span, material = impact.span_of(facts), impact.material_of(facts)
    on_wheels = impact.wheeled(values, span, material).value
    on_tracks = impact.tracked(values, span, material).value
    found: list[tuple[str, str, tuple[Train, ...], float]] = []
    if "Class 70R" in models(facts):
        wheeled = (trains.wheeled_70r(values), trains.bogie_70r(values))
        found.append(("Class 70R wheeled", "70r_wheeled", wheeled, on_wheels))
        found.append(("Class 70R tracked", "70r_tracked", (trains.tracked_70r(values),), on_tracks))
    if "Class AA" in models(facts):
        found.append(("Class AA tracked", "aa_tracked", (trains.tracked_aa(values),), on_tracks))
        found.append(("Class AA wheeled", "aa_wheeled", (trains.wheeled_aa(values),), on_wheels))
    loads = []
    for name, key, vehicles, i in found:
        own = values.number(f"traffic.{key}.width")
        width = own + clear if kept is None else kept
        if width < own:
            raise CHOSEN.refuse("lanes.width_70r", width, f"at least {own:g} m")
        edge = kerb - (width - own) / 2
        loads.append(LaneLoad(name, vehicles, width, edge=edge, train_factor=1.0 + i))
    return tuple(loads)


def placements(values: Values, facts: BridgeFacts) -> tuple[Placement, ...]:
    """Lane combinations of Table 6: a 70R or AA vehicle for every two lanes, Class A on the rest.

    For every number of lanes loaded from two upwards, with the factor of clause 205 for it.
    Raises `InputError` when the models asked for have no room.
    """
    count = round(lanes(values, facts).value)
    with_a = "Class A" in models(facts)
    if count == 1:
        if not with_a:
            raise refuse(
                "actions.traffic.models", models(facts), "Class A on a single-lane carriageway"
            )
        one = _class_a(values, facts, alone=True)
        return (Placement("Class A", (one,), rest=values.number("traffic.rest")),)
    light, heavies = _class_a(values, facts, alone=False), _heavy(values, facts)
    found = []
    for loaded in range(2, count + 1):
        factor = reduction(values, loaded)
        for heavy_count in range(loaded // 2 + 1):
            light_count = loaded - 2 * heavy_count
            if light_count and not with_a:
                continue
            for beside in [(heavy,) * heavy_count for heavy in heavies] if heavy_count else [()]:
                names = [f"{heavy_count} {beside[0].name}"] if beside else []
                names += [f"{light_count} Class A"] if light_count else []
                together = (*beside, *((light,) * light_count))
                found.append(Placement(" + ".join(names), together, factor))
    return tuple(found)


def _weight(load: LaneLoad, length: float) -> tuple[float, float]:
    """(first train, following) of the heaviest train of a lane on a length (N)."""
    return max((weights(train, length) for train in load.trains), key=sum)


def braking_line(values: Values, facts: BridgeFacts) -> Line:
    """Greatest braking force of the lane combinations on the longest continuous unit (211.2).

    One lane brakes; a 70R or AA vehicle takes the first two lanes. Lanes beyond two add their
    share, without the reduction of clause 205.
    """
    length = facts.unit_length
    lines = []
    for placement in placements(values, facts):
        lead, *others = placement.lanes
        if lead.name == "Class A":
            others = others[1:]  # the second lane neither brakes nor lies beyond two
        first, following = _weight(lead, length)
        beyond = sum(sum(_weight(load, length)) for load in others)
        lines.append(braking(values, first, following, beyond))
    return max(lines, key=lambda one: one.value)


def centrifugal_line(values: Values, facts: BridgeFacts) -> Line | None:
    """Greatest centrifugal force of the lane combinations on the unit (212); None when straight."""
    if facts.radius is None:
        return None
    weight = max(
        placement.factor * sum(sum(_weight(load, facts.unit_length)) for load in placement.lanes)
        for placement in placements(values, facts)
    )
    return centrifugal(values, weight, facts.speed, abs(facts.radius))


def _axes(values: Values, facts: BridgeFacts) -> tuple[float, ...]:
    """Axes of the braked lane as near the kerbs as any vehicle may stand."""
    if facts.carriageway is None:
        return ()
    near = min(
        placement.lanes[0].edge + placement.lanes[0].width / 2.0
        for placement in placements(values, facts)
    )
    return outermost(facts.carriageway, 2.0 * near)


def groups(values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
    """Carriageway live load with braking and centrifugal force, as one action ``traffic:live``."""
    length = facts.unit_length
    height = values.number("traffic.braking.height")
    line = braking_line(values, facts)
    horizontals = [braking_force(line, height, length, _axes(values, facts), spread=False)]
    outward = centrifugal_line(values, facts)
    if outward is not None and facts.radius is not None:
        height = values.number("traffic.centrifugal.height")
        horizontals.append(centrifugal_force(outward, facts.radius, height, length))
    return (
        TrafficGroup(
            name="live",
            clause=values.entry("traffic.lanes.from").clause,
            models=(
                TrafficModel(
                    name=" and ".join(models(facts)),
                    clause=values.entry("traffic.lanes.from").clause,
                    placements=placements(values, facts),
                ),
            ),
            horizontals=tuple((force, 1.0) for force in horizontals),
        ),
    )


def lines(values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
    """Lanes, impact, braking and, on a curve, centrifugal force, for the record."""
    span, material = impact.span_of(facts), impact.material_of(facts)
    found = (
        lanes(values, facts),
        impact.class_a(values, span, material),
        impact.wheeled(values, span, material),
        impact.tracked(values, span, material),
        braking_line(values, facts),
    )
    outward = centrifugal_line(values, facts)
    return found if outward is None else (*found, outward)
