"""What a family has to know of a bridge to state its actions: plain facts, in SI units."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from bedstone.standards.choices import refuse

DeckType = Literal["steel", "composite", "concrete"]


@dataclass(frozen=True)
class TrackFacts:
    """One railway track: offset y of its centre line (m), speed (m/s), line class factor."""

    offset: float
    speed: float
    alpha: float = 1.0
    eccentricity: float = 0.0


@dataclass(frozen=True)
class BridgeFacts:
    """Facts of the bridge that rules of actions ask for.

    Lengths m, speeds m/s, temperatures degC. `spans`: lengths of all spans in order; `unit_length`:
    longest continuous length between joints; `simple_spans`: each is a piece by itself;
    `deck_on_top`: a truss below its road; `radius`: plan radius, None when straight, signed with +
    for a curve to the left (centre at +y). `deck_depth`: depth exposed to wind. `choices`:
    the engineer's national or owner's choices by dotted name (numbers or words) from the bridge
    file. `outline`: levels (m) above the road of the lowest and the highest part of a truss, whose
    parts and traffic stand in front of each other; None for all else.
    """

    use: Literal["road", "rail"]
    deck_type: DeckType
    superstructure: Literal["girders", "truss", "frame", "reactions"]
    spans: tuple[float, ...]
    unit_length: float
    carriageway: tuple[float, float] | None  # right edge y, left edge y (m), y to the left
    deck_width: float
    deck_depth: float
    radius: float | None = None
    speed: float = 22.2
    tracks: tuple[TrackFacts, ...] = ()
    surfacing: float = 0.05
    air_min: float | None = None
    air_max: float | None = None
    setting_temperature: float | None = None
    models: tuple[str, ...] | None = None  # traffic models asked for; None: the usual ones
    choices: dict[str, float | str | bool] = field(default_factory=dict)
    simple_spans: bool = False
    deck_on_top: bool = False
    outline: tuple[float, float] | None = None

    @property
    def has_wind(self) -> bool:
        """Whether the choices give wind at all."""
        return "wind.speed" in self.choices or "wind.pressure" in self.choices

    @property
    def exposed_middle(self) -> float:
        """Level (m) above the road of the middle of `deck_depth`; through trusses alone stand."""
        stands = self.superstructure == "truss" and not self.deck_on_top
        return self.deck_depth / 2 if stands else -self.deck_depth / 2


def carriageway_width(facts: BridgeFacts) -> float:
    """Width between the edges of the carriageway (m); raises `InputError` where none are told."""
    if facts.carriageway is None:
        raise refuse("actions.traffic", "nothing", "right and left edge of the carriageway")
    right, left = facts.carriageway
    return left - right


def setting_temperature(facts: BridgeFacts, least: float, greatest: float, usual: float) -> float:
    """Temperature (degC) at which the bearings are set, or `usual` where none is told.

    Raises `InputError` unless it lies in the range of the superstructure, `least` to `greatest`.
    """
    found = usual if facts.setting_temperature is None else facts.setting_temperature
    if not least <= found <= greatest:
        allowed = f"{least:g} to {greatest:g} degC, the range of the bridge temperature"
        raise refuse("actions.temperature.setting", f"{found:g} degC", allowed)
    return found


@dataclass(frozen=True)
class ThermalRange:
    """Temperature actions: uniform changes from the setting temperature, and differences.

    All in K. `expansion`, `contraction`: changes (both positive numbers) for forces (restraint);
    `expansion_movement`, `contraction_movement`: the same for movements of bearings with the
    allowances of the family. `heat`, `cool`: linear difference top warmer / top colder (positive
    numbers) over the depth. `mixtures`: factors (uniform, difference) of simultaneous action.
    """

    expansion: float
    contraction: float
    expansion_movement: float
    contraction_movement: float
    heat: float
    cool: float
    mixtures: tuple[tuple[float, float], ...]
    alpha_steel: float
    alpha_concrete: float


@dataclass(frozen=True)
class WindPressure:
    """Simplified wind on the deck: forces per metre of bridge (N/m) and where they act.

    `across`: on deck (and truss) without traffic; `across_traffic`: with traffic on the deck, its
    height above the surface included; `along_share`: part of the transverse force taken along;
    `vertical`: on plan, N/m, up and down unless `lift_only`; `vertical_eccentricity` (m, from the
    deck centre line to windward); `height`, `height_traffic`: level above the road surface of each
    resultant (m). `vertical_with_traffic`: False where the vertical part acts on the bridge
    without traffic alone; `lift_only`: True where it only acts upward.
    """

    across: float
    across_traffic: float
    along_share: float
    vertical: float
    vertical_eccentricity: float
    height: float
    height_traffic: float
    vertical_with_traffic: bool = True
    lift_only: bool = False


@dataclass(frozen=True)
class SeismicCase:
    """Equivalent static earthquake: coefficients (fractions of weight) for the periods.

    `mass_traffic_along`, `mass_traffic_across`: part of the traffic that counts as mass;
    `combination`: factors (main, other horizontal, vertical); `forces_only`: the coefficients are
    connection forces of a rule and tell nothing of movements.
    """

    coefficient_along: float
    coefficient_across: float
    coefficient_vertical: float
    mass_traffic_along: float
    mass_traffic_across: float
    combination: tuple[float, float, float]
    forces_only: bool = False
