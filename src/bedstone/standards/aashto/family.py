"""The AASHTO LRFD family of standards: the one object that the rooms above use."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from bedstone.standards.aashto import combinations as combination_rules
from bedstone.standards.aashto import friction, seismic, thermal, traffic, wind
from bedstone.standards.aashto.choices import check_names
from bedstone.standards.combination import Combination
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, SeismicCase, ThermalRange, WindPressure
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


@dataclass(frozen=True)
class Aashto:
    """AASHTO LRFD Bridge Design Specifications, road bridges (see `bedstone.standards.family`)."""

    name: str = "aashto"
    title: str = "AASHTO LRFD Bridge Design Specifications"

    def traffic(self, values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
        """HL-93 with braking and centrifugal force (3.6)."""
        check_names(facts)
        return traffic.groups(values, facts)

    def thermal(self, values: Values, facts: BridgeFacts) -> ThermalRange:
        """Temperature changes and differences (3.12)."""
        check_names(facts)
        return thermal.temperature_changes(values, facts)

    def wind(self, values: Values, facts: BridgeFacts) -> WindPressure:
        """Simplified wind (3.8); raises `InputError` without a speed or a pressure."""
        check_names(facts)
        return wind.wind_forces(values, facts)

    def seismic(
        self, values: Values, facts: BridgeFacts, period_along: float, period_across: float
    ) -> SeismicCase | None:
        """Connection coefficients for two periods (s) (3.10); None without `seismic.*` choices."""
        check_names(facts)
        return seismic.earthquake(values, facts, period_along, period_across)

    def friction(self, values: Values, kind: str, bearings: int) -> tuple[float, float]:
        """(adverse, relieving) coefficient; the number of bearings makes no difference here."""
        return friction.coefficients(values, kind)

    def combinations(self, values: Values, present: Collection[str]) -> tuple[Combination, ...]:
        """Load combinations of the actions present (3.4.1)."""
        return combination_rules.combinations(values, present)

    def lines(self, values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
        """Design lanes, braking, centrifugal force, temperatures and wind, for the record."""
        check_names(facts)
        lines: list[Line] = [
            traffic.design_lanes(values, facts),
            traffic.braking_line(values, facts),
        ]
        outward = traffic.centrifugal_line(values, facts)
        if outward is not None:
            lines.append(outward)
        lines.extend(thermal.effective_temperatures(values, facts))
        if "wind.speed" in facts.choices or "wind.pressure" in facts.choices:
            lines.extend(wind.pressures(values, facts))
        return tuple(lines)


FAMILY = Aashto()
