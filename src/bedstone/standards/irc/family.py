"""The IRC family of standards: the one object that the rooms above use."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from bedstone.standards.choices import Choices, asked
from bedstone.standards.combination import Combination
from bedstone.standards.irc import combinations as combination_rules
from bedstone.standards.irc import friction, rail, seismic, thermal, traffic, wind
from bedstone.standards.irc.choices import CHOSEN
from bedstone.standards.irc.friction import ROLLERS, RULES, Roller, Rules, SlidingPair, pairs_of
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, SeismicCase, ThermalRange, WindPressure
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values


@dataclass(frozen=True)
class Irc:
    """IRC:6 loads on road bridges (see `bedstone.standards.family`).

    `sliding_pair`: materials of sliding bearings; `roller`: what rollers are made of; `rules`:
    whose coefficients of friction. A bridge of use rail carries the loading of `irc.rail`.
    """

    name: str = "irc"
    title: str = "IRC:6 Standard Specifications and Code of Practice for Road Bridges"
    sliding_pair: SlidingPair = "PTFE"
    roller: Roller = "steel"
    rules: Rules = "road"

    def with_choices(self, choices: Choices) -> Irc:
        """The family as the engineer chose it; raises `InputError` for faults of the choices."""
        CHOSEN.check_names(choices)
        rules = CHOSEN.word(choices, "friction.rules", RULES, self.rules)
        rollers = ROLLERS if rules == "road" else ROLLERS[:1]  # of concrete: road alone
        return replace(
            self,
            sliding_pair=CHOSEN.word(
                choices, "friction.sliding_pair", pairs_of(rules), self.sliding_pair
            ),
            roller=CHOSEN.word(choices, "friction.roller", rollers, self.roller),
            rules=rules,
        )

    def traffic(self, values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
        """Live load with the forces along and across (204 to 212; of trains: `irc.rail`)."""
        CHOSEN.check_names(facts.choices)
        if facts.use == "rail":
            return rail.groups(values, facts)
        return traffic.groups(values, facts)

    def thermal(self, values: Values, facts: BridgeFacts) -> ThermalRange:
        """Temperature changes and differences (215)."""
        CHOSEN.check_names(facts.choices)
        return thermal.temperature_changes(values, facts)

    def wind(self, values: Values, facts: BridgeFacts) -> WindPressure:
        """Simplified wind (209); raises `InputError` without a speed or a pressure."""
        CHOSEN.check_names(facts.choices)
        return wind.wind_forces(values, facts)

    def seismic(
        self, values: Values, facts: BridgeFacts, period_along: float, period_across: float
    ) -> SeismicCase | None:
        """Seismic coefficients for two periods (s) (219); None without `seismic.*` choices."""
        CHOSEN.check_names(facts.choices)
        return seismic.earthquake(values, facts, period_along, period_across)

    def friction(self, values: Values, kind: str, bearings: int) -> tuple[float, float]:
        """(adverse, relieving) coefficient; the number of bearings makes no difference here."""
        if self.rules == "railway":
            return friction.railway_coefficients(values, kind, self.sliding_pair)
        return friction.coefficients(values, kind, self.sliding_pair, self.roller)

    def combinations(self, values: Values, present: Collection[str]) -> tuple[Combination, ...]:
        """Combinations of the actions present (Annex B)."""
        return combination_rules.combinations(values, present)

    def lines(self, values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
        """Lines of traffic, temperature, wind and earthquake, as far as the facts give them."""
        CHOSEN.check_names(facts.choices)
        found: list[Line] = []
        if facts.use == "rail" and facts.tracks:
            found += rail.lines(values, facts)
        elif facts.carriageway is not None:
            found += traffic.lines(values, facts)
        if thermal.has_temperatures(facts):
            found += thermal.lines(values, facts)
        if facts.has_wind:
            found += wind.pressures(values, facts)
        if asked(facts.choices, "seismic"):
            found += seismic.lines(values, facts)
        return tuple(found)


FAMILY = Irc()
