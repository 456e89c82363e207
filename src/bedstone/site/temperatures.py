"""Temperatures of the superstructure between which bearings may come to be set."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Bridge
from bedstone.errors import Fault, InputError
from bedstone.schedule.context import Context
from bedstone.standards.site import BridgeFacts

#: Step (K) of a setting table.
STEP = 5.0
#: A temperature (K) that near to a whole step is on it.
_NEAR = 1e-6


@dataclass(frozen=True)
class Temperatures:
    """Effective temperatures (degC): coldest, warmest, and that of setting as the file says.

    `told`: False where the file names none and the family's usual one is taken.
    """

    coldest: float
    warmest: float
    setting: float
    told: bool

    @property
    def mean(self) -> float:
        """The middle of the range, degC."""
        return (self.coldest + self.warmest) / 2.0

    def rows(self) -> tuple[float, ...]:
        """Every 5 degC of the range, and the temperature of setting."""
        first = math.ceil((self.coldest - _NEAR) / STEP)
        last = math.floor((self.warmest + _NEAR) / STEP)
        steps = {number * STEP for number in range(first, last + 1)}
        if all(abs(step - self.setting) > _NEAR for step in steps):
            steps.add(self.setting)
        return tuple(sorted(steps))


def temperatures(prepared: Prepared, context: Context) -> Temperatures:
    """The range of the family without its allowance for the day of setting.

    Raises `InputError` for a bridge file without temperatures: there is nothing to set by.
    """
    if prepared.bridge.actions.temperature is None:
        allowed = "least and greatest shade air temperature, to set bearings by"
        raise InputError([Fault("bridge file", "actions.temperature", "nothing", allowed)])
    family, values = context.family, context.values
    choices = {
        key: value
        for key, value in context.facts.choices.items()
        if key != "thermal.setting_tolerance"
    }
    facts = replace(context.facts, choices=choices)
    known = facts.setting_temperature
    middle = _inside(facts) if known is None else known
    found = family.thermal(values, replace(facts, setting_temperature=middle))
    cold, warm = middle - found.contraction, middle + found.expansion
    if known is not None:
        return Temperatures(cold, warm, known, told=True)
    # an allowance of the family widens both ends alike and drops out of their difference
    plain = family.thermal(values, facts)
    setting = (cold + warm + plain.contraction - plain.expansion) / 2.0
    return Temperatures(cold, warm, setting, told=False)


def _inside(facts: BridgeFacts) -> float:
    """A temperature (degC) that lies in the range of the bridge."""
    ends = []
    for end, air in (("min", facts.air_min), ("max", facts.air_max)):
        given = facts.choices.get(f"thermal.effective_{end}", air)
        ends.append(float(given if given is not None else 0.0))
    return sum(ends) / 2.0


def set_at(bridge: Bridge, temperature: float) -> Bridge:
    """The bridge file with its bearings set at another temperature (degC)."""
    old = bridge.actions.temperature
    assert old is not None
    actions = {"temperature": old.model_copy(update={"setting": temperature})}
    return bridge.model_copy(update={"actions": bridge.actions.model_copy(update=actions)})
