"""What rollers and rockers rest on: options, usual sizes, steels in contact, rules by family.

SI units. A kind asks here and never for a family: which cases a rule takes, how strong a contact
is, what a solid steel part may be stressed to.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from bedstone.bearings import hertz
from bedstone.bearings.base import Basis, Demand, DemandCase
from bedstone.bearings.common import materials
from bedstone.bearings.common.rules import method
from bedstone.bridge.schema import BearingKind, FamilyName
from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Floats
from bedstone.standards import aashto, eurocode, irc
from bedstone.standards.aashto import rollers as aashto_rollers
from bedstone.standards.clause import state
from bedstone.standards.eurocode import movements
from bedstone.standards.eurocode import rollers as en_rollers
from bedstone.standards.irc import rollers as irc_rollers
from bedstone.standards.record import Line, Quantity, weakest
from bedstone.standards.values import Basis as Provenance
from bedstone.standards.values import Values

_FRICTION: dict[FamilyName, Callable[[Values, str, int], tuple[float, float]]] = {
    "eurocode": eurocode.FAMILY.friction,
    "aashto": aashto.FAMILY.friction,
    "irc": irc.FAMILY.friction,
}

#: Options of all kinds with rollers or curved contact; `<kind>.` may stand for `roller.`.
OPTIONS: Mapping[str, str] = {
    **materials.OPTIONS,
    "steel.hardened": "steel of hardened rollers and their contact strips; default class D",
    "roller.diameter": "diameter of the rollers (m); default the lightest of the series",
    "roller.count": "number of rollers of a nest, 2 to 4; default the lightest",
    "roller.guide": "grooves (a rib in a groove, default) | flanges (collars at the ends)",
    "roller.clearance": "side clearance of the guides, each side (m), >= 0; default 0.001",
    "roller.segment": "width of rollers cut on both sides, as a share of the diameter; above 0, "
    "at most 1 (full rollers, default)",
    "roller.gap": "clear gap between neighbouring rollers (m); default 0.05",
    "roller.teeth": "tooth bars at the ends of the outer rollers; true (default) | false",
    "roller.strip": "thickness of contact strips (m); default 0.025",
    "roller.reserve": "movement each way beyond the calculated one (m); default the increase of "
    "EN 1337-1, 5.4, else 0.02",
    "roller.tilt": "turning about the direction of movement: moment (default: Mx of the analysis "
    "tilts the load) | contact (the calculated turning is forced on the contact line)",
    "roller.stop_push": "force that goes on pushing when the stops are reached (N); default the "
    "friction of the rollers or the largest Hx",
    "roller.stop_mass": "mass that arrives at the stops (kg); default permanent load/g",
    "roller.stop_speed": "speed of arrival at the stops (m/s), >= 0; default 0",
    "roller.stop_stiffness": "stiffness of stop and abutment in line (N/m); needed with a speed",
    "rocker.length": "length of a line rocker along y' (m); default the lightest",
    "roller.rule": "AASHTO: lrfd (14.7.1.4, default) | standard (Standard Specifications)",
    "roller.high_tensile": "IRC:83-I: the higher permissible load of high tensile steel; true | "
    "false (default)",
}  # fmt: skip


def fault(where: str, found: object, allowed: str) -> InputError:
    """The error for one impossible size or option of a bearing."""
    return InputError([Fault("bearing", where, str(found), allowed)])


@cache
def _practice() -> Mapping[str, Any]:
    path = files("bedstone.bearings").joinpath("data", "rollers.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def usual(name: str, which: str = "value") -> float:
    """A usual figure of `data/rollers.toml`, as stored (mm, or a pure number)."""
    return float(_practice()[name][which])


def usual_length(name: str, which: str = "value") -> float:
    """A usual length of `data/rollers.toml` in m."""
    return usual(name, which) * 1e-3


@dataclass(frozen=True)
class Chosen:
    """The engineer's options as one kind reads them: `<kind>.<name>`, else `rocker.` or `roller.`.

    Every reading raises `InputError` for what is not allowed.
    """

    kind: BearingKind
    basis: Basis

    def _find(self, name: str) -> tuple[str, float | str | bool | None]:
        for where in (f"{self.kind}.{name}", f"rocker.{name}"):
            if where in self.basis.options:
                return where, self.basis.options[where]
        return f"roller.{name}", self.basis.options.get(f"roller.{name}")

    def given(self, name: str, least: float = 0.0, most: float = math.inf) -> float | None:
        """A number in `least` to `most`, or None where nothing is chosen."""
        where, found = self._find(name)
        if found is None:
            return None
        if isinstance(found, (bool, str)) or not least <= found <= most:
            raise fault(where, repr(found), f"a number of at least {least:g} and at most {most:g}")
        return float(found)

    def number(
        self, name: str, default: float, least: float = 0.0, most: float = math.inf
    ) -> float:
        """A number in `least` to `most`, or the default."""
        found = self.given(name, least, most)
        return default if found is None else found

    def word(self, name: str, *allowed: str) -> str:
        """One of the allowed words; the first is the default."""
        where, found = self._find(name)
        if found is None:
            return allowed[0]
        if found not in allowed:
            raise fault(where, repr(found), " | ".join(allowed))
        return str(found)

    def flag(self, name: str, default: bool) -> bool:
        """True or false."""
        where, found = self._find(name)
        if found is None:
            return default
        if not isinstance(found, bool):
            raise fault(where, repr(found), "true or false")
        return found


@dataclass(frozen=True)
class Pair:
    """The two surfaces of a contact: names of the steels, lower strengths (Pa), E, provenance.

    `friction`: greatest coefficient of rolling of the class of steel, None where it has none.
    """

    roller: str
    plate: str
    fy: float
    fu: float
    E: float
    basis: Provenance
    friction: float | None = None

    @property
    def contact_modulus(self) -> float:
        """E* (Pa) of the pair."""
        nu = usual("poisson")
        return hertz.contact_modulus(self.E, self.E, nu, nu)


def pair(basis: Basis, roller: str, plate: str, size: float) -> Pair:
    """Steels `roller` and `plate` in contact; `size` (m): diameter of the curved one."""
    one = materials.steel(roller, size, basis)
    other = materials.steel(plate, usual_length("strip"), basis)
    return Pair(
        roller,
        plate,
        min(one.fy, other.fy),
        min(one.fu, other.fu),
        one.E,
        weakest(one.basis, other.basis),
        one.friction if one.friction == other.friction else None,
    )


def friction(basis: Basis, kind: BearingKind, steels: Pair) -> tuple[float, float]:
    """(adverse, relieving) coefficient of rolling: of the class of steel, else of the family."""
    adverse, relieving = _FRICTION[basis.family](basis.values, kind, 1)
    if steels.friction is not None and adverse > 0.0:
        return steels.friction, relieving * steels.friction / adverse
    return adverse, relieving


# ------------------------------------------------------------------ cases
@dataclass(frozen=True)
class Cases:
    """Cases of the demand that press (N > 0), with their effects as arrays (cases,) in SI units."""

    cases: tuple[DemandCase, ...]

    def __getattr__(self, name: str) -> Floats:
        if name.startswith("__"):
            raise AttributeError(name)
        return np.array([getattr(case, name) for case in self.cases])

    def __len__(self) -> int:
        return len(self.cases)


def contact_cases(demand: Demand, basis: Basis) -> Cases:
    """Cases of the contact rules: ultimate (EN), service (AASHTO, IRC)."""
    return _pressing(demand, demand.strength if basis.family == "eurocode" else demand.service)


def part_cases(demand: Demand, basis: Basis) -> Cases:
    """Cases of plates and details: ultimate (EN, AASHTO), working loads (IRC:83-I)."""
    return _pressing(demand, demand.service if basis.family == "irc" else demand.strength)


def _pressing(demand: Demand, cases: tuple[DemandCase, ...]) -> Cases:
    found = tuple(case for case in cases if case.N > 0.0)
    if not found:
        raise fault(
            "cases",
            f"none at seat {demand.seat} that presses",
            "at least one of the limit states that the rules of the family check",
        )
    return Cases(found)


def design_movement(demand: Demand, basis: Basis, chosen: Chosen) -> tuple[float, Line]:
    """Movement along x' (m, either way) that stops and plates must leave free, with its line."""
    moved = demand.largest("vx")
    reserve = chosen.given("reserve")
    if reserve is None and basis.family == "eurocode":
        line = movements.increased_translation(basis.values, moved, "main")
        return line.value, replace(line, part="plates")
    reserve = usual_length("reserve") if reserve is None else reserve
    line = derived(
        "Movement with its reserve",
        "v + reserve",
        (Quantity("v", moved, "m"), Quantity("reserve", reserve, "m")),
        Quantity("v_d", moved + reserve, "m"),
        note="reserve: common practice, no source, or the engineer's",
        part="plates",
    )
    return moved + reserve, line


# ------------------------------------------------------------------ rules by family
def line_resistance(
    basis: Basis, chosen: Chosen, diameter: float, steels: Pair, rollers: int, rocker: bool = False
) -> float:
    """Greatest load per length (N/m) of a cylinder of `diameter` (m) on a plate."""
    values = basis.values
    match basis.family:
        case "eurocode":
            return en_rollers.line_resistance(
                values, diameter / 2.0, steels.fu, steels.E, rocker=rocker
            )
        case "aashto" if chosen.word("rule", "lrfd", "standard") == "standard":
            return aashto_rollers.standard_line_resistance(values, diameter, steels.fy)
        case "aashto":
            return aashto_rollers.line_resistance(values, diameter, steels.fy, steels.E)
        case "irc":
            high = chosen.flag("high_tensile", default=False)
            return irc_rollers.line_resistance(values, diameter, rollers, high)


def line_contact(
    basis: Basis,
    chosen: Chosen,
    load: float,
    diameter: float,
    steels: Pair,
    rollers: int,
    rocker: bool = False,
) -> Line:
    """The family's rule for `load` (N/m) on the contact of a cylinder of `diameter` (m)."""
    values = basis.values
    match basis.family:
        case "eurocode":
            line = en_rollers.line_contact(
                values, load, diameter / 2.0, steels.fu, steels.E, rocker=rocker
            )
        case "aashto" if chosen.word("rule", "lrfd", "standard") == "standard":
            line = aashto_rollers.standard_line_contact(values, load, diameter, steels.fy)
        case "aashto":
            line = aashto_rollers.line_contact(values, load, diameter, steels.fy, steels.E)
        case "irc":
            high = chosen.flag("high_tensile", default=False)
            line = irc_rollers.line_contact(values, load, diameter, rollers, high)
    return replace(line, basis=weakest(line.basis, steels.basis))


def proportion_lines(
    basis: Basis, chosen: Chosen, diameter: float, length: float, gap: float | None, steels: Pair
) -> list[Line]:
    """The family's rules for sizes of rollers; `gap` (m) between neighbours, None for one."""
    values = basis.values
    match basis.family:
        case "eurocode":
            return [
                en_rollers.proportions(values, length, diameter),
                replace(
                    en_rollers.least_yield(values, steels.fy),
                    basis=weakest(steels.basis, values.entry("rollers.yield.least").basis),
                ),
            ]
        case "aashto" if chosen.word("rule", "lrfd", "standard") == "standard":
            return [aashto_rollers.standard_diameter(values, diameter)]
        case "aashto":
            return []
        case "irc":
            lines = [
                irc_rollers.least_diameter(values, diameter),
                irc_rollers.proportions(values, length, diameter),
            ]
            return lines if gap is None else [*lines, irc_rollers.least_gap(values, gap)]


def allowed_lengths(basis: Basis, chosen: Chosen, diameter: float) -> tuple[float, float] | None:
    """Least and greatest length (m) of a roller of `diameter` (m); None: the diameter is too small.

    Where the family gives no bound, one to six diameters (common practice, no source).
    """
    values = basis.values
    match basis.family:
        case "eurocode":
            least, most = values.row("rollers.length")
            return least * diameter, most * diameter
        case "irc":
            small = values.number("rollers.diameter.least")
            most = values.number("rollers.length.most")
        case "aashto":
            standard = chosen.word("rule", "lrfd", "standard") == "standard"
            small = values.number("rollers.standard.least_diameter") if standard else 0.0
            most = 6.0
    return None if diameter < small * (1.0 - 1e-9) else (diameter, most * diameter)


def stress(
    basis: Basis,
    limit_state: str,
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    found: float,
    fy: float,
    *,
    provenance: Provenance,
    part: str,
    case: str = "",
    note: str = "",
) -> Line:
    """An elastic equivalent stress (Pa) of a solid steel part against what the family allows.

    fy/gamma_M0 (EN 1993-1-1, 6.2.1), phi_f Fy (AASHTO 6.12), 0.66 fy for working loads (IRC).
    """
    values = basis.values
    clause: str | None = None
    match basis.family, method(basis.family, limit_state):
        case "eurocode", _:
            name, limit, clause = (
                "plates.gamma_M0",
                fy / values.number("plates.gamma_M0"),
                "6.2.1 (5)",
            )
        case "aashto", _:
            name, limit = "plates.phi_f", values.number("plates.phi_f") * fy
        case _, "working stress":
            name = "plates.working.bending"
            limit = values.number(name) * fy
        case _:
            name, limit = "plates.gamma_m0", fy / values.number("plates.gamma_m0")
    line = state(
        values,
        (name,),
        title,
        formula,
        (*inputs, Quantity("fy", fy, "Pa")),
        Quantity("sigma", found, "Pa"),
        note,
        clause=clause,
        limit=Quantity("sigma_Rd", limit, "Pa"),
        utilisation=found / limit,
    )
    return replace(line, part=part, case=case, basis=weakest(line.basis, provenance))


def derived(
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    result: Quantity,
    *,
    limit: Quantity | None = None,
    utilisation: float | None = None,
    note: str = "",
    part: str = "",
    case: str = "",
    source: str = "own statics",
    provenance: Provenance = "secondary",
) -> Line:
    """A line of mechanics that belongs to no standard; `source` stands in the place of a clause."""
    return Line(
        title=title,
        standard="mechanics",
        edition="derived",
        clause=source,
        formula=formula,
        inputs=inputs,
        result=result,
        basis=provenance,
        limit=limit,
        utilisation=utilisation,
        note=note,
        part=part,
        case=case,
    )


def hertz_line(load: float, radius: float, steels: Pair, part: str, case: str) -> Line:
    """Hertz pressure (Pa) and half width beside the rule of the code; checks nothing."""
    found = hertz.line_contact(load, radius, steels.contact_modulus)
    return derived(
        "Hertz pressure beside the rule",
        "p0 = 2 P'/(pi a), a = sqrt(4 P' R/(pi E*))",
        (
            Quantity("P'", load, "N/m"),
            Quantity("R", radius, "m"),
            Quantity("E*", steels.contact_modulus, "Pa"),
            Quantity("a", found.half_width, "m"),
            Quantity("pm", found.mean, "Pa"),
            Quantity("tau_max", found.shear, "Pa"),
        ),
        Quantity("p0", found.peak, "Pa"),
        note=f"tau_max {found.depth * 1e3:.2f} mm below the surface; p0 is "
        f"{found.peak / steels.fy:.2f} fy, {found.peak / steels.fu:.2f} fu",
        source="Johnson, Contact Mechanics, ch. 4",
        part=part,
        case=case,
        provenance=steels.basis,
    )
