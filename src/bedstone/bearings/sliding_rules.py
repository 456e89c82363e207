"""What a slide asks of a family of standards, and the answers of the three families.

One object for one run: it holds the family's numbers and the engineer's choices of sheet, edition
and temperature. Each method hands on to the clauses in `bedstone.standards`.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Sequence

from bedstone.bearings.base import Basis, Demand, DemandCase
from bedstone.bearings.common.rules import governing, placed
from bedstone.bearings.sliding_options import flag, number, refuse, word
from bedstone.bearings.sliding_sheet import ULTIMATE, Guides, Sheet, SheetLoad
from bedstone.errors import BedstoneError
from bedstone.standards.aashto import sliding as aashto
from bedstone.standards.eurocode import movements
from bedstone.standards.eurocode import sliding as en
from bedstone.standards.eurocode.friction import adverse_friction, relieving_friction
from bedstone.standards.irc import pot as irc_pot
from bedstone.standards.irc import sliding as irc
from bedstone.standards.record import Line
from bedstone.standards.values import Values


class SlideRules(ABC):
    """The rules of one family for sheets, friction, guides and allowances."""

    #: Words of the family's edition and of the flat and the curved sheet.
    material: str
    curved_material: str
    guide_material: str = "PTFE"
    #: Where a pull is ruled out.
    uplift_clause: str
    #: Whether friction follows a formula that never rises with pressure.
    _falling = False

    def __init__(self, basis: Basis) -> None:
        self.basis = basis
        self.values = basis.values
        self.allowances = flag(basis, "movement.allowances", True)
        self._known: dict[tuple[float, bool], float] = {}
        #: Highest pressure (Pa) known to have the coefficient of no pressure, and that coefficient.
        self._light: dict[bool, tuple[float, float]] = {}
        self._rotations: dict[tuple[float, bool], float] = {}
        self._strengths: dict[bool, float] = {}

    # ---------------------------------------------------------------- which cases
    def strength(self, demand: Demand) -> tuple[DemandCase, ...]:
        """Cases for which steel, pad and guides are checked."""
        return _some(demand.strength, "ultimate (strength)")

    def service(self, demand: Demand) -> tuple[DemandCase, ...]:
        """Cases for which contact stresses or full contact are checked."""
        return _some(demand.service, "characteristic (service)")

    # ---------------------------------------------------------------- friction
    @abstractmethod
    def friction(self, pressure: float, *, curved: bool = False) -> Line:
        """Greatest coefficient under a contact pressure (Pa)."""

    def coefficient(self, pressure: float, *, curved: bool = False) -> float:
        """Value of `friction`; sizing asks for the same pressures again and again."""
        key = (pressure, curved)
        if key in self._known:
            return self._known[key]
        light, greatest = self._light.get(curved, (-1.0, 0.0))
        if 0.0 <= pressure <= light:
            return greatest
        mu = self._known[key] = self.friction(pressure, curved=curved).value
        # A formula that falls with pressure has one value below any pressure where it is still
        # the one of no pressure. Tables of the engineer's own need not fall.
        if self._falling and mu == self.coefficient(0.0, curved=curved):
            self._light[curved] = (pressure, mu)
        return mu

    @abstractmethod
    def pair(self, pressure: float, *, curved: bool = False) -> tuple[float, float]:
        """Adverse and relieving coefficient for the model of the bridge."""

    @abstractmethod
    def guide_friction(self, pressure: float) -> float:
        """Coefficient of a guide strip under a pressure (Pa)."""

    # ---------------------------------------------------------------- demand
    def rotation(self, rotation: float, *, disc: bool = False) -> float:
        """Rotation (rad) with the family's allowance, if that is chosen."""
        if not self.allowances:
            return rotation
        key = (rotation, disc)
        if key not in self._rotations:
            self._rotations[key] = self.rotation_line(rotation, disc=disc).value
        return self._rotations[key]

    @abstractmethod
    def rotation_line(self, rotation: float, *, disc: bool = False) -> Line:
        """The family's clause on design rotations."""

    def movement(self, movement: float, *, main: bool) -> float:
        """Movement (m, either way) with the family's allowance, if that is chosen."""
        return abs(movement)

    def held_force(self, force: float, case: DemandCase, service: float) -> float:
        """Design force (N) of a held direction in a case; `service`: largest N at service."""
        return abs(force)

    # ---------------------------------------------------------------- sizes
    @abstractmethod
    def stress(self, *, curved: bool = False) -> float:
        """Stress (Pa) from which a sheet's size is guessed; the cases are those of `guess`."""

    @abstractmethod
    def sheet_sizes(self, around: float) -> tuple[float, float]:
        """Thickness and protrusion (m) of a recessed sheet."""

    @abstractmethod
    def stainless(self, around: float) -> float:
        """Thickness (m) of the stainless surface."""

    def least_size(self) -> float:
        """Least diameter (m) of a sheet."""
        return 0.075

    def backing(self, around: float) -> float:
        """Least thickness (m) of the plate behind a sheet."""
        return 0.01  # common practice, no source, where the family says nothing

    def play(self, length: float) -> float:
        """Play (m) of a guide on each side."""
        return 0.001  # common practice, no source, where the family says nothing

    # ---------------------------------------------------------------- checks
    @abstractmethod
    def contact(
        self, sheet: Sheet, loads: Sequence[SheetLoad], *, curved: bool = False
    ) -> list[Line]:
        """Contact of a sheet in all cases: for each rule the line that governs."""

    @abstractmethod
    def sheet_lines(
        self, sheet: Sheet, stainless: float, stainless_around: float, backing: float
    ) -> list[Line]:
        """Sizes of sheet, stainless surface and plate behind (m)."""

    @abstractmethod
    def bar(self, force: float, guides: Guides, yield_strength: float) -> Line:
        """A guide bar under a force (N)."""

    @abstractmethod
    def strip(self, force: float, guides: Guides, *, lasting: bool) -> Line:
        """A guide strip under a force (N)."""

    def _most_used(
        self, sheet: Sheet, loads: Sequence[SheetLoad], curved: bool
    ) -> tuple[SheetLoad, float]:
        """The load that uses most of a sheet's strength, with the area (m2) that it leaves.

        The rule itself is then asked for this load alone: searches ask it for every size.
        """
        strength = self._strength(curved)
        worst, most, left = loads[0], -math.inf, 0.0
        for load in loads:
            reduced = _reduced(self.values, sheet, load)
            limit = strength * reduced
            use = load.N / limit if limit > 0.0 else math.inf
            if use > most:
                worst, most, left = load, use, reduced
        return worst, left

    def _strength(self, curved: bool) -> float:
        """`stress`, asked for once."""
        if curved not in self._strengths:
            self._strengths[curved] = self.stress(curved=curved)
        return self._strengths[curved]

    def follows(self, rotation: float, side: float) -> Line | None:
        """Whether a flat strip of a side (m) bears a rotation (rad); None: no such rule."""
        return None

    def clearance(self, guides: Guides) -> Line | None:
        """The clearance of a guide; None: no such rule."""
        return None


class Eurocode(SlideRules):
    """EN 1337-2 with the allowances of EN 1337-1."""

    uplift_clause = "EN 1337-2, 6.8.2 (no edge may lift)"
    _falling = True

    def __init__(self, basis: Basis) -> None:
        super().__init__(basis)
        self.material: en.Material = word(basis, "sliding.material", en.MATERIALS, "PTFE")  # type: ignore[assignment]
        self.curved_material: en.Material = word(  # type: ignore[assignment]
            basis, "sliding.curved_material", en.MATERIALS, self.material
        )
        self.guide_material: en.GuideMaterial = word(  # type: ignore[assignment]
            basis, "sliding.guide_material", en.GUIDE_MATERIALS, "CM1"
        )
        self.mating = word(basis, "sliding.mating", ("steel", "aluminium"), "steel")
        self.temperature = number(basis, "sliding.temperature", 30.0) or 0.0
        self.lowest = number(basis, "sliding.lowest_temperature", None)
        self.bearings = int(number(basis, "sliding.bearings", 1.0, least=1.0) or 1)
        _known_temperature(
            lambda: [
                en.temperature_factor(self.values, sheet, self.temperature)
                for sheet in (self.material, self.curved_material, self.guide_material)
            ]
        )

    def _sheet(self, curved: bool) -> en.Material:
        return self.curved_material if curved else self.material

    def friction(self, pressure: float, *, curved: bool = False) -> Line:
        """See `SlideRules.friction`."""
        return en.friction(
            self.values,
            self._sheet(curved),
            pressure,
            mating="aluminium" if curved and self.mating == "aluminium" else "steel",
            curved=curved,
            lowest_temperature=self.lowest,
        )

    def pair(self, pressure: float, *, curved: bool = False) -> tuple[float, float]:
        """See `SlideRules.pair`."""
        mu = self.friction(pressure, curved=curved).value
        return (
            adverse_friction(self.values, mu, self.bearings).value,
            relieving_friction(self.values, mu, self.bearings).value,
        )

    def guide_friction(self, pressure: float) -> float:
        """See `SlideRules.guide_friction`."""
        return en.guide_friction(self.values, self.guide_material).value

    def rotation_line(self, rotation: float, *, disc: bool = False) -> Line:
        """See `SlideRules.rotation_line`."""
        return movements.increased_rotation(self.values, rotation)

    def movement(self, movement: float, *, main: bool) -> float:
        """See `SlideRules.movement`."""
        if not self.allowances:
            return abs(movement)
        return movements.increased_translation(
            self.values, movement, "main" if main else "transverse"
        ).value

    def stress(self, *, curved: bool = False) -> float:
        """See `SlideRules.stress`."""
        line = en.contact_strength(self.values, self._sheet(curved), 0.0, 1.0, self.temperature)
        return line.limit.value if line.limit else math.inf

    def sheet_sizes(self, around: float) -> tuple[float, float]:
        """See `SlideRules.sheet_sizes`."""
        height = en.protrusion(self.values, around).value
        # Thicknesses run in half millimetres.
        least = self.values.number("sliding.thickness.factor") * height
        return math.ceil(least * 2e3 - 1e-6) / 2e3, height

    def stainless(self, around: float) -> float:
        """See `SlideRules.stainless`."""
        return self.values.number("sliding.stainless")

    def least_size(self) -> float:
        """See `SlideRules.least_size`."""
        return self.values.row("sliding.size")[0]

    def backing(self, around: float) -> float:
        """See `SlideRules.backing`."""
        line = en.backing_thickness(self.values, 1.0, around)
        return line.limit.value if line.limit else 0.0

    def play(self, length: float) -> float:
        """See `SlideRules.play`."""
        # Half of the clearance of both sides, to a tenth of a millimetre below.
        line = en.guide_clearance(self.values, 0.0, length)
        total = line.limit.value if line.limit else 0.0
        return math.floor(total / 2.0 * 1e4 + 1e-9) / 1e4

    def contact(
        self, sheet: Sheet, loads: Sequence[SheetLoad], *, curved: bool = False
    ) -> list[Line]:
        """See `SlideRules.contact`."""
        strong, reduced = self._most_used(sheet, _ultimate(loads), curved)
        lifted = max(_characteristic(loads), key=lambda load: sheet.kernel_use(load.ex, load.ey))
        return [
            _placed(
                en.contact_strength(
                    self.values, self._sheet(curved), strong.N, reduced, self.temperature
                ),
                strong,
                curved,
            ),
            _placed(
                en.full_contact(self.values, sheet.kernel_use(lifted.ex, lifted.ey)),
                lifted,
                curved,
            ),
        ]

    def sheet_lines(
        self, sheet: Sheet, stainless: float, stainless_around: float, backing: float
    ) -> list[Line]:
        """See `SlideRules.sheet_lines`."""
        return [
            placed(line, "sliding sheet")
            for line in (
                en.sheet_size(self.values, sheet.around),
                en.sheet_thickness(self.values, sheet.thickness, sheet.protrusion),
                en.stainless_thickness(self.values, stainless),
                en.backing_thickness(self.values, backing, sheet.around),
                en.scope_temperature(self.values, self.temperature),
            )
        ]

    def bar(self, force: float, guides: Guides, yield_strength: float) -> Line:
        """See `SlideRules.bar`."""
        return en.guide_bar(
            self.values, force, guides.lever, guides.strip_length, guides.bar_width, yield_strength
        )

    def strip(self, force: float, guides: Guides, *, lasting: bool) -> Line:
        """See `SlideRules.strip`."""
        area = guides.strip_length * guides.strip_height
        return en.guide_contact(
            self.values, self.guide_material, force, area, self.temperature, lasting=lasting
        )

    def follows(self, rotation: float, side: float) -> Line | None:
        """See `SlideRules.follows`."""
        return en.guide_rotation(self.values, rotation, side)

    def clearance(self, guides: Guides) -> Line | None:
        """See `SlideRules.clearance`."""
        return en.guide_clearance(self.values, 2.0 * guides.play, guides.strip_length)


class Aashto(SlideRules):
    """AASHTO LRFD 14.7.2, 14.7.9 and 14.4.2.2."""

    uplift_clause = "AASHTO LRFD 14.7.2.4, 14.7.4.1 (contact and least load at service)"

    def __init__(self, basis: Basis) -> None:
        super().__init__(basis)
        self.material: aashto.Material = word(  # type: ignore[assignment]
            basis, "sliding.material", aashto.MATERIALS, "PTFE unfilled"
        )
        self.curved_material: aashto.Material = word(  # type: ignore[assignment]
            basis, "sliding.curved_material", aashto.MATERIALS, "PTFE woven"
        )
        usual = aashto.lowest_temperature(self.values)
        lowest = number(basis, "sliding.lowest_temperature", usual)
        self.lowest = usual if lowest is None else lowest

    def _sheet(self, curved: bool) -> aashto.Material:
        return self.curved_material if curved else self.material

    def friction(self, pressure: float, *, curved: bool = False) -> Line:
        """See `SlideRules.friction`."""
        return aashto.friction(self.values, self._sheet(curved), pressure, self.lowest)

    def pair(self, pressure: float, *, curved: bool = False) -> tuple[float, float]:
        """See `SlideRules.pair`."""
        mu = self.friction(pressure, curved=curved).value
        return mu, mu * aashto.relieving(self.values)

    def guide_friction(self, pressure: float) -> float:
        """See `SlideRules.guide_friction`."""
        return aashto.friction(self.values, "PTFE unfilled", pressure, self.lowest).value

    def rotation_line(self, rotation: float, *, disc: bool = False) -> Line:
        """See `SlideRules.rotation_line`."""
        return aashto.design_rotation(self.values, rotation, disc=disc)

    def held_force(self, force: float, case: DemandCase, service: float) -> float:
        """See `SlideRules.held_force`."""
        if not case.limit_state.startswith("ULS"):
            return abs(force)  # the least force is a factored one: contact at service knows none
        return max(abs(force), aashto.guide_force(self.values, service).value)

    def stress(self, *, curved: bool = False) -> float:
        """See `SlideRules.stress`."""
        return aashto.average_stress(self.values, self._sheet(curved))

    def sheet_sizes(self, around: float) -> tuple[float, float]:
        """See `SlideRules.sheet_sizes`."""
        thickness = aashto.least_sheet(self.values, around)
        return thickness, thickness - aashto.recess(self.values, thickness)

    def stainless(self, around: float) -> float:
        """See `SlideRules.stainless`."""
        return aashto.least_stainless(self.values, around)

    def play(self, length: float) -> float:
        """See `SlideRules.play`."""
        return aashto.guide_play(self.values)

    def contact(
        self, sheet: Sheet, loads: Sequence[SheetLoad], *, curved: bool = False
    ) -> list[Line]:
        """See `SlideRules.contact`."""
        found: list[Line] = []
        for permanent, among in ((False, _characteristic(loads)), (True, _permanent(loads))):
            if among:
                found += _both_govern(
                    among,
                    curved,
                    lambda load, permanent=permanent: aashto.contact(  # type: ignore[misc]
                        self.values,
                        self._sheet(curved),
                        load.N,
                        sheet.area,
                        sheet.edge(load.ex, load.ey),
                        permanent=permanent,
                    ),
                )
        return found

    def sheet_lines(
        self, sheet: Sheet, stainless: float, stainless_around: float, backing: float
    ) -> list[Line]:
        """See `SlideRules.sheet_lines`."""
        return [
            placed(line, "sliding sheet")
            for line in (
                aashto.sheet_thickness(self.values, sheet.thickness, sheet.around),
                aashto.stainless_thickness(self.values, stainless, stainless_around),
            )
        ]

    def bar(self, force: float, guides: Guides, yield_strength: float) -> Line:
        """See `SlideRules.bar`."""
        return aashto.guide_bar(
            self.values, force, guides.lever, guides.strip_length, guides.bar_width, yield_strength
        )

    def strip(self, force: float, guides: Guides, *, lasting: bool) -> Line:
        """See `SlideRules.strip`."""
        area = guides.strip_length * guides.strip_height
        return aashto.contact(self.values, "PTFE unfilled", force, area, 1.0, permanent=lasting)[0]


class Irc(SlideRules):
    """IRC:83 Part III, 2018 or 2002."""

    uplift_clause = "IRC:83 Part III, 5.2.4 (the sheet must stay in contact)"

    def __init__(self, basis: Basis) -> None:
        super().__init__(basis)
        self.edition: irc.Edition = word(basis, "irc83.edition", irc.EDITIONS, "2018")  # type: ignore[assignment]
        self.material: irc.Material = word(basis, "sliding.material", irc.MATERIALS, "PTFE")  # type: ignore[assignment]
        self.curved_material: irc.Material = word(  # type: ignore[assignment]
            basis, "sliding.curved_material", irc.MATERIALS, self.material
        )
        if self.edition == "2002" and "UHMWPE" in {self.material, self.curved_material}:
            raise refuse(
                "sliding.material", "'UHMWPE'", "PTFE with edition 2002 of IRC:83 Part III"
            )
        usual = irc.usual_temperature(self.values)
        given = number(basis, "sliding.temperature", usual)
        self.temperature = usual if given is None else given
        self.lubricated = flag(basis, "sliding.lubricated", True)
        _known_temperature(
            lambda: [
                irc.temperature_factor(self.values, sheet, self.temperature)
                for sheet in (self.material, self.curved_material)
            ]
        )

    def _sheet(self, curved: bool) -> irc.Material:
        return self.curved_material if curved else self.material

    def strength(self, demand: Demand) -> tuple[DemandCase, ...]:
        """See `SlideRules.strength`."""
        # The 2002 edition works with permissible stresses at working load throughout.
        return super().strength(demand) if self.edition == "2018" else self.service(demand)

    def friction(self, pressure: float, *, curved: bool = False) -> Line:
        """See `SlideRules.friction`."""
        if self.edition == "2002":
            return irc.working_friction(self.values, pressure, lubricated=self.lubricated)
        return irc.friction(self.values, self._sheet(curved), pressure)

    def pair(self, pressure: float, *, curved: bool = False) -> tuple[float, float]:
        """See `SlideRules.pair`."""
        mu = self.friction(pressure, curved=curved).value
        return mu, min(mu, irc.least_friction(self.values))

    def guide_friction(self, pressure: float) -> float:
        """See `SlideRules.guide_friction`."""
        return irc.guide_friction(self.values).value

    def rotation_line(self, rotation: float, *, disc: bool = False) -> Line:
        """See `SlideRules.rotation_line`."""
        return irc_pot.design_rotation(self.values, rotation)

    def held_force(self, force: float, case: DemandCase, service: float) -> float:
        """See `SlideRules.held_force`."""
        return max(abs(force), irc_pot.least_horizontal(self.values, case.N))

    def stress(self, *, curved: bool = False) -> float:
        """See `SlideRules.stress`."""
        if self.edition == "2002":
            return self.values.row("sliding.2002.contact")[0]
        line = irc.contact_strength(self.values, self._sheet(curved), 0.0, 1.0, self.temperature)
        return line.limit.value if line.limit else math.inf

    def sheet_sizes(self, around: float) -> tuple[float, float]:
        """See `SlideRules.sheet_sizes`."""
        thickness = irc.usual_sheet(self.values)
        return thickness, thickness / 2.0  # half in its recess: common practice, no source

    def stainless(self, around: float) -> float:
        """See `SlideRules.stainless`."""
        return self.values.number("sliding.stainless")

    def contact(
        self, sheet: Sheet, loads: Sequence[SheetLoad], *, curved: bool = False
    ) -> list[Line]:
        """See `SlideRules.contact`."""
        if self.edition == "2002":
            return _both_govern(
                _characteristic(loads),
                curved,
                lambda load: irc.working_contact(
                    self.values, load.N, sheet.area, sheet.edge(load.ex, load.ey)
                ),
            )
        strong, reduced = self._most_used(sheet, _ultimate(loads), curved)
        return [
            _placed(
                irc.contact_strength(
                    self.values, self._sheet(curved), strong.N, reduced, self.temperature
                ),
                strong,
                curved,
            )
        ]

    def sheet_lines(
        self, sheet: Sheet, stainless: float, stainless_around: float, backing: float
    ) -> list[Line]:
        """See `SlideRules.sheet_lines`."""
        return [placed(irc.stainless_thickness(self.values, stainless), "sliding sheet")]

    def bar(self, force: float, guides: Guides, yield_strength: float) -> Line:
        """See `SlideRules.bar`."""
        return irc.guide_bar(
            self.values,
            force,
            guides.lever,
            guides.strip_length,
            guides.bar_width,
            yield_strength,
            self.edition,
        )

    def strip(self, force: float, guides: Guides, *, lasting: bool) -> Line:
        """See `SlideRules.strip`."""
        area = guides.strip_length * guides.strip_height
        if self.edition == "2002":
            return irc.working_contact(self.values, force, area, 1.0)[0]
        return irc.contact_strength(self.values, "PTFE", force, area, self.temperature)

    def follows(self, rotation: float, side: float) -> Line | None:
        """See `SlideRules.follows`."""
        return irc.guide_rotation(self.values, rotation, side)


def slide_rules(basis: Basis) -> SlideRules:
    """The rules of the family of a design; `InputError` for options that the family refuses."""
    families: dict[str, type[SlideRules]] = {
        "eurocode": Eurocode,
        "aashto": Aashto,
        "irc": Irc,
    }
    return families[basis.family](basis)


def _some(cases: tuple[DemandCase, ...], words: str) -> tuple[DemandCase, ...]:
    if not cases:
        raise refuse("cases", "none", f"at least one {words} case of the seat")
    return cases


def _reduced(values: Values, sheet: Sheet, load: SheetLoad) -> float:
    """Area (m2) of a sheet left under an eccentric force, the same rule in EN and IRC."""
    if sheet.round:
        e = math.hypot(load.ex, load.ey)
        return en.reduced_area_round(values, sheet.length, e).value
    return en.reduced_area_rectangle(values, sheet.length, sheet.width, load.ex, load.ey).value


def _placed(line: Line, load: SheetLoad, curved: bool) -> Line:
    return placed(line, "curved sliding sheet" if curved else "sliding sheet", load.case.name)


def _both_govern(
    loads: Sequence[SheetLoad], curved: bool, rule: Callable[[SheetLoad], tuple[Line, Line]]
) -> list[Line]:
    """The lines that govern average and edge pressure, each by its own case."""
    pairs = [[_placed(line, load, curved) for line in rule(load)] for load in loads]
    return [governing(list(lines)) for lines in zip(*pairs, strict=True)]


def _ultimate(loads: Iterable[SheetLoad]) -> list[SheetLoad]:
    return [load for load in loads if load.case.limit_state.startswith(ULTIMATE)]


def _characteristic(loads: Iterable[SheetLoad]) -> list[SheetLoad]:
    return [load for load in loads if load.case.limit_state.startswith("SLS characteristic")]


def _permanent(loads: Iterable[SheetLoad]) -> list[SheetLoad]:
    return [load for load in loads if load.case.limit_state.startswith("permanent")]


def _known_temperature(ask: object) -> None:
    """Turn a rule's refusal of a temperature into a fault of the option."""
    try:
        ask()  # type: ignore[operator]
    except BedstoneError as error:
        raise refuse("sliding.temperature", "a temperature too high", str(error)) from None
