"""What a family of standards says of one bridge, worked out once for all its arrangements."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge, FamilyName
from bedstone.errors import Fault, InputError
from bedstone.schedule.facts import bridge_facts, room_for, user_group
from bedstone.schedule.own_values import FAMILIES, own_values
from bedstone.standards.family import Family
from bedstone.standards.site import BridgeFacts
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


def family_name(name: str) -> FamilyName:
    """The name of a family as told by a person; raises `InputError` for any other word."""
    for known in FAMILIES:
        if name == known:
            return known
    raise InputError([Fault("command line", "standard", name, ", ".join(FAMILIES))])


def family_of(name: FamilyName) -> Family:
    """The pack of a family; loaded when asked for."""
    module = importlib.import_module(f"bedstone.standards.{name}")
    family: Family = module.FAMILY
    return family


@dataclass(frozen=True)
class Context:
    """A family set on one bridge: what does not depend on the arrangement.

    `groups`: traffic groups of the family and of the engineer; `users`: (own, like) names of the
    latter; `whole`: groups for a train over all simple spans at once; `bounds`: stiffness below the
    bearings to be tried (given, or lower and upper).
    """

    family: Family
    values: Values
    facts: BridgeFacts
    groups: tuple[TrafficGroup, ...]
    users: tuple[tuple[str, str], ...]
    whole: Mapping[str, TrafficGroup]
    bounds: tuple[str, ...]


def context_of(prepared: Prepared, name: FamilyName) -> Context:
    """Set a family on a bridge; raises `InputError` for a choice or train that cannot be."""
    bridge = prepared.bridge
    facts = bridge_facts(bridge, prepared.structure, name)
    family = family_of(name).with_choices(facts.choices)
    values = Values(name, own_values(bridge, name))
    groups, users = traffic_groups(bridge, family, values, facts)
    whole = _over_all_spans(prepared, family, values, facts) if groups else {}
    bounds = _bounds(bridge) if prepared.condensed else ["given"]
    return Context(family, values, facts, groups, tuple(users), whole, tuple(bounds))


def _bounds(bridge: Bridge) -> list[str]:
    """Stiffness below the bearings to be tried: as given, or its lower and upper bound."""
    varied = any((s.bounds.lower, s.bounds.upper) != (1.0, 1.0) for s in bridge.support)
    return ["lower", "upper"] if varied else ["given"]


def _over_all_spans(
    prepared: Prepared, family: Family, values: Values, facts: BridgeFacts
) -> dict[str, TrafficGroup]:
    """Groups for a train that stands on all simple spans at once; none for one unit."""
    total = sum(facts.spans)
    if not prepared.condensed or prepared.structure.continuous or total <= facts.unit_length:
        return {}
    groups = family.traffic(values, replace(facts, unit_length=total))
    return {group.name: group for group in groups}


def traffic_groups(
    bridge: Bridge, family: Family, values: Values, facts: BridgeFacts
) -> tuple[tuple[TrafficGroup, ...], list[tuple[str, str]]]:
    """Traffic groups of the family and of the engineer; (own, like) names of the latter."""
    if bridge.actions.traffic is None:
        return (), []
    groups = family.traffic(values, facts)
    names = [group.name for group in groups]
    users = []
    faults = []
    for number, train in enumerate(bridge.actions.traffic.trains, start=1):
        where = f"actions.traffic.trains[{number}]"
        if train.name in names:
            faults.append(Fault("bridge file", f"{where}.name", train.name, "another name"))
        if train.like is not None and train.like not in names:
            faults.append(Fault("bridge file", f"{where}.like", train.like, ", ".join(names)))
        faults += room_for(train, facts, where)
        users.append((train.name, train.like or names[0]))
    if faults:
        raise InputError(faults)
    own = tuple(user_group(train, facts) for train in bridge.actions.traffic.trains)
    return (*groups, *own), users
