"""The Eurocode family of standards: the one object that the rooms above use."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from bedstone.standards.choices import Choices, asked
from bedstone.standards.combination import Combination
from bedstone.standards.eurocode import combinations as annex_a2
from bedstone.standards.eurocode import friction, seismic, thermal, traffic, wind
from bedstone.standards.eurocode.choices import CHOSEN
from bedstone.standards.eurocode.factors import NATIONAL, National
from bedstone.standards.eurocode.friction import MATINGS, Mating
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, SeismicCase, ThermalRange, WindPressure
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


@dataclass(frozen=True)
class Eurocode:
    """The Eurocodes as a family of standards (`bedstone.standards.family.Family`).

    Combinations and friction know nothing of the bridge, so the choices that change them are
    fields here: `national` (factors of EN 1990 annex A2), `severe_traffic` (earthquake with
    traffic), `annex_a_movements` (EN 1993-2), `mating` and `contact_pressure` (Pa) of PTFE.
    `with_choices` sets them from the bridge file.
    """

    name: str = "eurocode"
    title: str = "Eurocodes"
    national: National = "recommended"
    severe_traffic: bool = False
    annex_a_movements: bool = False
    mating: Mating = "steel"
    contact_pressure: float | None = None

    def with_choices(self, choices: Choices) -> Eurocode:
        """The family as the engineer chose it; raises `InputError` for faults of the choices."""
        CHOSEN.check_names(choices)
        return replace(
            self,
            national=CHOSEN.word(choices, "national", NATIONAL, self.national),
            severe_traffic=seismic.traffic_class(choices) == "severe",
            annex_a_movements=thermal.annex_a_asked(choices),
            mating=CHOSEN.word(choices, "friction.mating", MATINGS, self.mating),
            contact_pressure=CHOSEN.given(choices, "friction.contact_pressure", above=0.0),
        )

    def traffic(self, values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
        """Groups of traffic loads, heaviest first; raises `InputError` for faults of the facts."""
        return traffic.groups(values, facts, self.with_choices(facts.choices).national)

    def thermal(self, values: Values, facts: BridgeFacts) -> ThermalRange:
        """Temperature actions (EN 1991-1-5); raises `InputError` for missing temperatures."""
        CHOSEN.check_names(facts.choices)
        return thermal.thermal_range(values, facts)

    def wind(self, values: Values, facts: BridgeFacts) -> WindPressure:
        """Simplified wind (EN 1991-1-4, 8.3); raises `InputError` without speed or pressure."""
        return wind.wind_pressure(values, facts, self.with_choices(facts.choices).national)

    def seismic(
        self, values: Values, facts: BridgeFacts, period_along: float, period_across: float
    ) -> SeismicCase | None:
        """Coefficients for the periods (s) (EN 1998-2); None when no `seismic.*` choice stands."""
        CHOSEN.check_names(facts.choices)
        return seismic.seismic_case(values, facts, period_along, period_across)

    def friction(self, values: Values, kind: str, bearings: int) -> tuple[float, float]:
        """(mu_a, mu_r) of a kind of bearing, `bearings` pushing together (EN 1337-1, 6.2)."""
        greatest = friction.greatest_friction(values, kind, self.mating, self.contact_pressure)
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
        if facts.has_wind:
            found += wind.lines(values, facts, chosen.national)
        if asked(facts.choices, "seismic"):
            found += seismic.lines(values, facts)
        return found


FAMILY = Eurocode()
