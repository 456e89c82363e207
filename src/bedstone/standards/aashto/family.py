"""The AASHTO LRFD family of standards: the one object that the rooms above use."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from bedstone.standards.aashto import combinations as combination_rules
from bedstone.standards.aashto import friction, seismic, thermal, traffic, wind
from bedstone.standards.aashto.choices import CHOSEN
from bedstone.standards.aashto.friction import SLIDING_PAIRS, SlidingPair
from bedstone.standards.choices import Choices, asked
from bedstone.standards.combination import Combination
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, SeismicCase, ThermalRange, WindPressure
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


@dataclass(frozen=True)
class Aashto:
    """AASHTO LRFD Bridge Design Specifications, road bridges (see `bedstone.standards.family`).

    `service_2`: write Service II too; `sliding_pair`: materials of sliding bearings.
    """

    name: str = "aashto"
    title: str = "AASHTO LRFD Bridge Design Specifications"
    service_2: bool = False
    sliding_pair: SlidingPair = "usual"

    def with_choices(self, choices: Choices) -> Aashto:
        """The family as the engineer chose it; raises `InputError` for faults of the choices."""
        CHOSEN.check_names(choices)
        return replace(
            self,
            service_2=CHOSEN.flag(choices, "combinations.service_2", self.service_2),
            sliding_pair=CHOSEN.word(
                choices, "friction.sliding_pair", SLIDING_PAIRS, self.sliding_pair
            ),
        )

    def traffic(self, values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
        """HL-93 with braking and centrifugal force (3.6)."""
        CHOSEN.check_names(facts.choices)
        return traffic.groups(values, facts)

    def thermal(self, values: Values, facts: BridgeFacts) -> ThermalRange:
        """Temperature changes and differences (3.12)."""
        CHOSEN.check_names(facts.choices)
        return thermal.temperature_changes(values, facts)

    def wind(self, values: Values, facts: BridgeFacts) -> WindPressure:
        """Simplified wind (3.8); raises `InputError` without a speed or a pressure."""
        CHOSEN.check_names(facts.choices)
        return wind.wind_forces(values, facts)

    def seismic(
        self, values: Values, facts: BridgeFacts, period_along: float, period_across: float
    ) -> SeismicCase | None:
        """Connection coefficients for two periods (s) (3.10); None without `seismic.*` choices."""
        CHOSEN.check_names(facts.choices)
        return seismic.earthquake(values, facts, period_along, period_across)

    def friction(self, values: Values, kind: str, bearings: int) -> tuple[float, float]:
        """(adverse, relieving) coefficient; the number of bearings makes no difference here."""
        return friction.coefficients(values, kind, self.sliding_pair)

    def combinations(self, values: Values, present: Collection[str]) -> tuple[Combination, ...]:
        """Load combinations of the actions present (3.4.1)."""
        return combination_rules.combinations(values, present, self.service_2)

    def lines(self, values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
        """Lines of traffic, temperature, wind and earthquake, as far as the facts give them."""
        CHOSEN.check_names(facts.choices)
        found: list[Line] = []
        if facts.carriageway is not None:
            found += traffic.lines(values, facts)
        if facts.air_max is not None or asked(facts.choices, "thermal"):
            found += thermal.effective_temperatures(values, facts)
        if facts.has_wind:
            found += wind.pressures(values, facts)
        if asked(facts.choices, "seismic"):
            found += seismic.lines(values, facts)
        return tuple(found)


FAMILY = Aashto()
