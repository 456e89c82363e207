"""The IRC family of standards: the one object that the rooms above use."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from bedstone.standards.combination import Combination
from bedstone.standards.irc import combinations as combination_rules
from bedstone.standards.irc import friction, impact, seismic, thermal, traffic, wind
from bedstone.standards.irc.choices import check_names
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, SeismicCase, ThermalRange, WindPressure
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


@dataclass(frozen=True)
class Irc:
    """IRC:6 loads on road bridges (see `bedstone.standards.family`)."""

    name: str = "irc"
    title: str = "IRC:6 Standard Specifications and Code of Practice for Road Bridges"

    def traffic(self, values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
        """Carriageway live load with braking and centrifugal force (204 to 212)."""
        check_names(facts)
        return traffic.groups(values, facts)

    def thermal(self, values: Values, facts: BridgeFacts) -> ThermalRange:
        """Temperature changes and differences (215)."""
        check_names(facts)
        return thermal.temperature_changes(values, facts)

    def wind(self, values: Values, facts: BridgeFacts) -> WindPressure:
        """Simplified wind (209); raises `InputError` without a speed or a pressure."""
        check_names(facts)
        return wind.wind_forces(values, facts)

    def seismic(
        self, values: Values, facts: BridgeFacts, period_along: float, period_across: float
    ) -> SeismicCase | None:
        """Seismic coefficients for two periods (s) (219); None without `seismic.*` choices."""
        check_names(facts)
        return seismic.earthquake(values, facts, period_along, period_across)

    def friction(self, values: Values, kind: str, bearings: int) -> tuple[float, float]:
        """(adverse, relieving) coefficient; the number of bearings makes no difference here."""
        return friction.coefficients(values, kind)

    def combinations(self, values: Values, present: Collection[str]) -> tuple[Combination, ...]:
        """Combinations of the actions present (Annex B)."""
        return combination_rules.combinations(values, present)

    def lines(self, values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
        """Lanes, impact, braking, centrifugal force, temperatures and wind, for the record."""
        check_names(facts)
        span, material = impact.span_of(facts), impact.material_of(facts)
        lines: list[Line] = [
            traffic.lanes(values, facts),
            impact.class_a(values, span, material),
            impact.wheeled(values, span, material),
            impact.tracked(values, span, material),
            traffic.braking_line(values, facts),
        ]
        outward = traffic.centrifugal_line(values, facts)
        if outward is not None:
            lines.append(outward)
        lines.extend(thermal.effective_temperatures(values, facts))
        lines.append(thermal.setting_allowance(values, facts))
        if "wind.speed" in facts.choices or "wind.pressure" in facts.choices:
            lines.extend(wind.pressures(values, facts))
        return tuple(lines)


FAMILY = Irc()
