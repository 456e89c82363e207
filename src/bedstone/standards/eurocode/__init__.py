"""Eurocodes: actions on road and rail bridges and their combinations, as `FAMILY`."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from bedstone.standards.combination import Combination
from bedstone.standards.eurocode import (
    combinations as annex_a2,
)
from bedstone.standards.eurocode import (
    friction,
    seismic,
    thermal,
    traffic,
    wind,
)
from bedstone.standards.eurocode.choices import CHOICES, Choices, check_names, word
from bedstone.standards.eurocode.factors import National
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, SeismicCase, ThermalRange, WindPressure
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values

__all__ = ["CHOICES", "FAMILY", "Eurocode"]

_NATIONAL: tuple[National, ...] = ("recommended", "uk")


@dataclass(frozen=True)
class Eurocode:
    """The Eurocodes as a family of standards (`bedstone.standards.family.Family`).

    Combinations know nothing of the bridge, so the choices that change them are fields here:
    `national` (factors of EN 1990 annex A2), `severe_traffic` (earthquake with traffic) and
    `annex_a_movements` (EN 1993-2). `with_choices` sets them from the bridge file.
    """

    name: str = "eurocode"
    title: str = "Eurocodes"
    national: National = "recommended"
    severe_traffic: bool = False
    annex_a_movements: bool = False

    def with_choices(self, choices: Choices) -> Eurocode:
        """The family as the engineer chose it; raises `InputError` for faults of the choices."""
        check_names(choices)
        return replace(
            self,
            national=word(choices, "national", _NATIONAL, self.national),
            severe_traffic=seismic.traffic_class(choices) == "severe",
            annex_a_movements=thermal.annex_a_asked(choices),
        )

    def traffic(self, values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
        """Groups of traffic loads, heaviest first; raises `InputError` for faults of the facts."""
        return traffic.groups(values, facts, self.with_choices(facts.choices).national)

    def thermal(self, values: Values, facts: BridgeFacts) -> ThermalRange:
        """Temperature actions (EN 1991-1-5); raises `InputError` for missing temperatures."""
        check_names(facts.choices)
        return thermal.thermal_range(values, facts)

    def wind(self, values: Values, facts: BridgeFacts) -> WindPressure:
        """Simplified wind (EN 1991-1-4, 8.3); raises `InputError` without speed or pressure."""
        return wind.wind_pressure(values, facts, self.with_choices(facts.choices).national)

    def seismic(
        self, values: Values, facts: BridgeFacts, period_along: float, period_across: float
    ) -> SeismicCase | None:
        """Coefficients for the periods (s) (EN 1998-2); None when no `seismic.*` choice stands."""
        check_names(facts.choices)
        return seismic.seismic_case(values, facts, period_along, period_across)

    def friction(self, values: Values, kind: str, bearings: int) -> tuple[float, float]:
        """(mu_a, mu_r) of a kind of bearing, `bearings` pushing together (EN 1337-1, 6.2)."""
        greatest = friction.greatest_friction(values, kind)
        return (
            friction.adverse_friction(values, greatest, bearings).value,
            friction.relieving_friction(values, greatest, bearings).value,
        )

    def combinations(self, values: Values, present: Collection[str]) -> tuple[Combination, ...]:
        """Combinations of EN 1990 annex A2 for the actions present."""
        movement = values.number("thermal.annex_a.gamma") if self.annex_a_movements else None
        return annex_a2.combinations(values, present, self.national, self.severe_traffic, movement)

    def lines(self, values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
        """Calculation lines of traffic, temperature, wind and earthquake, as far as given."""
        chosen = self.with_choices(facts.choices)
        found: tuple[Line, ...] = ()
        if facts.carriageway is not None or facts.tracks:
            found += traffic.lines(values, facts)
        if thermal.has_temperatures(facts):
            found += thermal.lines(values, facts)
        if wind.asked(facts):
            found += wind.lines(values, facts, chosen.national)
        if seismic.asked(facts.choices):
            found += seismic.lines(values, facts)
        return found


FAMILY = Eurocode()
