"""What each family of standards offers to the rooms above: one small interface, three packs."""

from __future__ import annotations

from collections.abc import Collection
from typing import Protocol

from bedstone.standards.choices import Choices
from bedstone.standards.combination import Combination
from bedstone.standards.record import Line
from bedstone.standards.site import BridgeFacts, SeismicCase, ThermalRange, WindPressure
from bedstone.standards.traffic import TrafficGroup
from bedstone.standards.values import Values

#: The actions that combinations speak of. A traffic group is an action under its own name with the
#: prefix ``traffic:`` (``traffic:gr1a``).
ACTIONS = (
    "permanent",  # self weight, fixed equipment
    "surfacing",
    "settlement",
    "shrinkage",  # shrinkage and creep strains
    "jacking",  # forces or movements imposed on purpose
    "thermal",  # uniform and difference, mixed as the family says
    "wind",  # on the unloaded bridge
    "wind with traffic",
    "friction",  # of the sliding and rolling bearings
    "seismic",
)


class Family(Protocol):
    """A family of standards. Every function takes the numbers it may use (`Values`)."""

    name: str
    title: str

    def with_choices(self, choices: Choices) -> Family:
        """The family as the engineer chose it; raises `InputError` for unknown or bad choices.

        Combinations and friction know nothing of the bridge: they follow what is set here. All
        else reads the same choices from its `BridgeFacts`.
        """
        ...

    def traffic(self, values: Values, facts: BridgeFacts) -> tuple[TrafficGroup, ...]:
        """Traffic groups, heaviest first; each becomes the action ``traffic:<name>``."""
        ...

    def thermal(self, values: Values, facts: BridgeFacts) -> ThermalRange:
        """Temperature changes and differences."""
        ...

    def wind(self, values: Values, facts: BridgeFacts) -> WindPressure:
        """Simplified wind; `facts.choices` carries speed or pressure."""
        ...

    def seismic(
        self, values: Values, facts: BridgeFacts, period_along: float, period_across: float
    ) -> SeismicCase | None:
        """Coefficients for the two periods (s); None when the file asks for no earthquake."""
        ...

    def friction(self, values: Values, kind: str, bearings: int) -> tuple[float, float]:
        """(adverse, relieving) coefficient of friction of a kind of bearing (`kinds.MOTIONS`).

        `bearings`: how many push the same way. (0, 0) for kinds that do not slide or roll; raises
        `BedstoneError` for an unknown kind.
        """
        ...

    def combinations(self, values: Values, present: Collection[str]) -> tuple[Combination, ...]:
        """All combinations that speak of the actions present (absent actions are dropped)."""
        ...

    def lines(self, values: Values, facts: BridgeFacts) -> tuple[Line, ...]:
        """Calculation lines of the actions (braking, temperature, wind, ...), for the record."""
        ...


#: The first traffic group of each family by use: what ``traffic`` means in a table of effects.
LEADING_TRAFFIC = {
    ("eurocode", "road"): "gr1a",
    ("eurocode", "rail"): "gr11",
    ("aashto", "road"): "HL-93",
    ("irc", "road"): "live",
}
