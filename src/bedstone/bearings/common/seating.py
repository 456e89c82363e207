"""The outer plate of a bearing on its seat: plate, concrete or girder, anchors, welds or bolts.

The plate lies in the plane of x', y'. The bearing loads it over a patch in its middle; what is
outside (concrete or grout, or the flange of a girder) answers with a linear pressure that cannot
pull. What the pressure cannot balance, the anchors hold.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from bedstone.bearings.base import Basis, Part
from bedstone.bearings.common import materials, series
from bedstone.bearings.common.rules import governing, placed, rules
from bedstone.errors import Fault, InputError
from bedstone.standards.bearing_pressure import Bed, Footprint, edge_pressure
from bedstone.standards.fasteners import Fastener, Fillet, Ply
from bedstone.standards.record import Line, Quantity

Connected = Literal["concrete", "steel"]

OPTIONS: Mapping[str, str] = {
    **materials.OPTIONS,
    "anchor.grade": "grade of anchor bolts; default 8.8 (EN), F1554 grade 55 (AASHTO), 4.6 (IRC)",
    "anchor.count": "number of anchor bolts of a plate on concrete; default 4 to 8 as needed",
    "anchor.least": "smallest anchor bolt by name; default M20 or 3/4 in",
    "sole.connection": "welded (default) or bolted: how a plate is fixed to a steel girder",
    "sole.machined": "true (default): compression passes by contact; false: through the welds",
    "sole.site_weld": "true: the welds to the girder are made on site; default false",
    "girder.flange_width": "width of the girder's flange (m); default the plate's width",
    "girder.steel": "steel of the girder at the plate; default as the plates",
    "girder.flange": "thickness of the girder's flange (m) against fitted bolts; default 0.02",
    "bolt.grade": "grade of fitted bolts; default 8.8 (EN), A325 (AASHTO), 4.6 (IRC)",
    "grout": "thickness of the grout bed (m); default 0.025",
}

_ANCHOR_GRADE = {"eurocode": "8.8", "aashto": "F1554 grade 55", "irc": "4.6"}
_BOLT_GRADE = {"eurocode": "8.8", "aashto": "A325", "irc": "4.6"}
_LEAST_ANCHOR = {"eurocode": "M20", "aashto": "3/4 in", "irc": "M20"}
_GROUT = 0.025  # m; common practice, no source
_FLANGE = 0.02  # m; common practice, no source
_LEAST_PLATE = 0.02  # m; common practice, no source
_EDGE = 2.0  # edge distance of an anchor in diameters; common practice, no source
_EMBEDMENT = 20.0  # length of an anchor in diameters, for its mass; common practice, no source
_DOWEL_EMBEDMENT = 4.0  # length of a dowel in the concrete in diameters; common practice, no source
#: Where the compression under a plate stands when anchors pull: at this share of the side from its
#: middle, a strip a fifth of the side wide (statics, as the T-stub of a column base).
_COMPRESSION_AT = 0.4


@dataclass(frozen=True)
class SeatingCase:
    """What one case brings to a plate, at its outer face; N, m.

    `N` compression, `Hx`, `Hy` the horizontal force that passes the face, `ex`, `ey` eccentricity
    of N at the face from the plate's middle (lever of H and movement in it), `patch_x`, `patch_y`
    sides of the contact that loads the plate (0: a line or point). `overturning_x` and
    `overturning_y`: moment (N m) in the x'z and the y'z plane beyond N e, for little or no N.
    `spacing`: distance (m) between neighbouring contact lines within `patch_x` (rollers of a nest).
    """

    limit_state: str
    name: str
    N: float
    Hx: float = 0.0
    Hy: float = 0.0
    ex: float = 0.0
    ey: float = 0.0
    patch_x: float = 0.0
    patch_y: float = 0.0
    overturning_x: float = 0.0
    overturning_y: float = 0.0
    spacing: float = 0.0


@dataclass(frozen=True)
class Seating:
    """A plate as made; m. `length` along x', `width` along y'.

    On concrete: `anchors` bolts of name `anchor` and `anchor_grade`, in two rows along x' outside
    the bearing, `dowels` round dowels of diameter `dowel` below the plate, `grout` bed. On a steel
    girder: `weld` (throat) of the two welds along x', or `anchors` fitted bolts where it is 0.
    """

    length: float
    width: float
    thickness: float
    steel: str
    anchors: int = 0
    anchor: str = ""
    anchor_grade: str = ""
    dowels: int = 0
    dowel: float = 0.0
    grout: float = 0.0
    weld: float = 0.0


def size_seating(
    cases: Sequence[SeatingCase],
    basis: Basis,
    *,
    least_length: float,
    least_width: float,
    part: str,
    connected: Connected,
    above: bool = False,
    use: str = "road",
    least_thickness: float = 0.0,
) -> tuple[Seating, list[Line], list[Part]]:
    """The lightest plate not smaller than `least_length` x `least_width` (m) that passes.

    `above`: the concrete is that of the superstructure. `use`: road or rail. Where nothing
    passes within the plinth and the series, the largest tried comes back with a utilisation above 1
    in its lines: the caller decides. Raises `InputError` for no cases or no concrete strength.
    """
    if not cases:
        raise _fault("cases", "none", "at least one case on the plate")
    size = _size_on_concrete if connected == "concrete" else _size_on_steel
    at = _Place(part, connected, above, use, basis)
    # Sized for the extreme cases, checked for all, and again with any case that then governs.
    active = _extremes(cases)
    while True:
        seating = size(tuple(active), at, least_length, least_width, least_thickness)
        lines = check_seating(
            seating, cases, basis, part=part, connected=connected, above=above, use=use
        )
        failing = {line.case for line in lines if (line.utilisation or 0.0) > 1.0}
        added = [case for case in cases if case.name in failing and case not in active]
        if not added:
            return seating, lines, parts_of(seating, part=part, connected=connected)
        active += added


def _extremes(cases: Sequence[SeatingCase]) -> list[SeatingCase]:
    """The cases largest in some effect that the checks feel, each once, in their order."""
    measures: tuple[Callable[[SeatingCase], float], ...] = (
        lambda case: case.N,
        lambda case: -case.N,
        lambda case: math.hypot(case.Hx, case.Hy),
        lambda case: math.hypot(case.Hx, case.Hy) - 0.4 * case.N,
        lambda case: abs(case.N * case.ex + case.overturning_x),
        lambda case: abs(case.N * case.ey + case.overturning_y),
    )
    chosen = {id(max(cases, key=measure)) for measure in measures}
    return [case for case in cases if id(case) in chosen]


def check_seating(
    seating: Seating,
    cases: Sequence[SeatingCase],
    basis: Basis,
    *,
    part: str,
    connected: Connected,
    above: bool = False,
    use: str = "road",
) -> list[Line]:
    """All checks of a given plate: for each rule the line of the case that governs.

    Raises `InputError` for impossible sizes, unknown steels, bolts or grades.
    """
    _refuse_impossible(seating, connected)
    at = _Place(part, connected, above, use, basis)
    checks: list[Callable[[Seating, SeatingCase, _Place], Line | None]] = [_bending]
    if connected == "concrete":
        checks += [_concrete, _sliding, _anchor, _dowel, _dowel_pressure]
    else:
        checks += [_weld if seating.weld > 0.0 else _bolt]
    lines = []
    for check in checks:
        found = [line for case in cases if (line := check(seating, case, at)) is not None]
        if found:
            lines.append(governing(found))
    if connected == "concrete" and not above and basis.plinth is not None:
        lines.append(_within_plinth(seating, basis.plinth, part))
    return lines


def parts_of(seating: Seating, *, part: str, connected: Connected) -> list[Part]:
    """Plate, anchors or bolts and dowels as a shop makes them; welds belong to the plate's size."""
    plan = f"{_mm(seating.length)} x {_mm(seating.width)} x {_mm(seating.thickness)}"
    size = f"plate {plan}"
    if seating.weld > 0.0:
        size += f", fillet welds with throat {_mm(seating.weld)} on both long sides"
    found = [
        Part(
            name=part,
            material=seating.steel,
            size=size,
            dimensions={
                "length": seating.length,
                "width": seating.width,
                "thickness": seating.thickness,
                "weld": seating.weld,
            },
            mass=seating.length * seating.width * seating.thickness * materials.STEEL_DENSITY,
            function="spreads the force of the bearing"
            + (" into the concrete" if connected == "concrete" else " into the girder"),
        )
    ]
    if seating.anchors:
        bolt = series.bolt(seating.anchor)
        concrete = connected == "concrete"
        length = series.length(
            seating.thickness
            + seating.grout
            + (_EMBEDMENT + 2.0 if concrete else 3.0) * bolt.diameter
            + (0.0 if concrete else _FLANGE),
            0.005,
        )
        found.append(
            Part(
                name=f"{part}: {'anchor bolt' if concrete else 'fitted bolt'}",
                material=seating.anchor_grade,
                size=f"{seating.anchor} x {_mm(length)}",
                dimensions={"diameter": bolt.diameter, "length": length},
                mass=bolt.area * length * materials.STEEL_DENSITY,
                number=seating.anchors,
                function="holds the plate against sliding and lifting",
            )
        )
    if seating.dowels:
        length = _DOWEL_EMBEDMENT * seating.dowel
        found.append(
            Part(
                name=f"{part}: dowel",
                material=seating.steel,
                size=f"{_mm(seating.dowel)} dia. x {_mm(length)}, welded below the plate",
                dimensions={"diameter": seating.dowel, "length": length},
                mass=math.pi / 4.0 * seating.dowel**2 * length * materials.STEEL_DENSITY,
                number=seating.dowels,
                function="holds the plate against sliding",
            )
        )
    return found


@dataclass(frozen=True)
class _Place:
    """Where the plate stands: what does not change while its sizes are sought."""

    part: str
    connected: Connected
    above: bool
    use: str
    basis: Basis

    @property
    def fck(self) -> float:
        name = "concrete_above" if self.above else "concrete_below"
        strength = self.basis.concrete_above if self.above else self.basis.concrete_below
        if strength is None or strength <= 0.0:
            raise _fault(name, f"{strength}", "the strength of the concrete, more than 0")
        return strength

    @property
    def plinth(self) -> tuple[float, float] | None:
        return None if self.above else self.basis.plinth

    def option(self, name: str, usual: str) -> str:
        return str(self.basis.options.get(name, usual))

    def length(self, name: str, usual: float) -> float:
        """A length among the options (m); `InputError` unless it is a number above 0."""
        value = self.basis.options.get(name, usual)
        if isinstance(value, bool) or not isinstance(value, (int, float)) or value <= 0.0:
            raise _fault(name, repr(value), "a length in m, more than 0")
        return float(value)


@dataclass(frozen=True)
class _Held:
    """How a plate answers one case: compression at its eccentricities (m), pull of bolts (N).

    `row_x`, `row_y`: pull of the bolts of one end, one side; `bolt`: of the most loaded bolt.
    """

    N: float
    ex: float
    ey: float
    row_x: float
    row_y: float
    bolt: float


def _answer(seating: Seating, case: SeatingCase, width: float) -> _Held:
    """Compression and anchor pull in equilibrium with the case (statics); `width` pressed, m."""
    moment_x = abs(case.N * case.ex + case.overturning_x)
    moment_y = abs(case.N * case.ey + case.overturning_y)
    edge = _EDGE * series.bolt(seating.anchor).diameter if seating.anchors else 0.0
    arm_x = max(seating.length / 2.0 - edge, 1e-3)
    arm_y = max(seating.width / 2.0 - edge, 1e-3)
    side = max(seating.anchors // 2, 1)
    if case.N <= 0.0:
        # Nothing is pressed: a couple between the rows, and the pull shared by all bolts.
        row_x, row_y = moment_x / (2.0 * arm_x), moment_y / (2.0 * arm_y)
        share = -case.N / max(seating.anchors, 1)
        return _Held(
            0.0, 0.0, 0.0, row_x + 2.0 * share, row_y + side * share,
            share + row_x / 2.0 + row_y / side,
        )  # fmt: skip
    at_x, at_y = _COMPRESSION_AT * seating.length, _COMPRESSION_AT * width
    row_x = max(0.0, (moment_x - case.N * at_x) / (arm_x + at_x))
    row_y = max(0.0, (moment_y - case.N * at_y) / (arm_y + at_y))
    pressed = case.N + row_x + row_y
    return _Held(
        N=pressed,
        ex=at_x if row_x > 0.0 else moment_x / pressed,
        ey=at_y if row_y > 0.0 else moment_y / pressed,
        row_x=row_x,
        row_y=row_y,
        bolt=row_x / 2.0 + row_y / side,
    )


def _pressed_width(seating: Seating, at: _Place) -> float:
    """Width that is pressed (m): the plate's, or the flange's of the girder where that is less."""
    if at.connected == "concrete":
        return seating.width
    return min(seating.width, at.length("girder.flange_width", seating.width))


def plate_moment(
    footprint: Footprint,
    force: float,
    patch: tuple[float, float],
    spacing: float = 0.0,
) -> float:
    """Largest moment (N m/m) of a plate pressed by `force` (N), loaded over `patch` (m, m).

    Cantilevers from the edges of the patch to those of the plate under the linear pressure of the
    worst edge, and, with `spacing` (m) between contact lines, the span between two of them
    under the largest pressure, simply supported. Statics.
    """
    p_edge = edge_pressure(footprint, force)
    turned = Footprint(footprint.width, footprint.length, footprint.ey, footprint.ex)
    along = _cantilever(footprint, force, p_edge, patch[0])
    across = _cantilever(turned, force, p_edge, patch[1])
    return max(along, across, p_edge * spacing**2 / 8.0)


def cantilever_moment(length: float, inner: float, outer: float) -> float:
    """Moment (N m/m) of a cantilever (m) under a pressure from `inner` to `outer` (Pa).

    c^2 (f1/6 + f2/3), f2 at the free edge (statics).
    """
    return length**2 * (inner / 6.0 + outer / 3.0)


def _cantilever(footprint: Footprint, force: float, p_edge: float, patch: float) -> float:
    """Moment (N m/m) at the edge of a patch in the middle, along the footprint's length."""
    c = max(0.0, (footprint.length - patch) / 2.0)
    mean = force / (footprint.length * footprint.width)
    along = 6.0 * abs(footprint.ex) / footprint.length
    across = 6.0 * abs(footprint.ey) / footprint.width
    if along + across <= 1.0:
        inner = mean * (1.0 + across + along * (1.0 - 2.0 * c / footprint.length))
        return cantilever_moment(c, inner, p_edge)
    if along <= 1.0:
        share = (1.0 + along * (1.0 - 2.0 * c / footprint.length)) / (1.0 + along)
        return cantilever_moment(c, p_edge * share, p_edge)
    # A triangle of pressure that ends inside the plate.
    reach = 3.0 * (footprint.length / 2.0 - abs(footprint.ex))
    if c <= reach:
        return cantilever_moment(c, p_edge * (1.0 - c / reach), p_edge)
    return p_edge * reach / 2.0 * (c - reach / 3.0)


def _bending_moment(seating: Seating, case: SeatingCase, at: _Place) -> float:
    width = _pressed_width(seating, at)
    held = _answer(seating, case, width)
    patch = (case.patch_x, case.patch_y)
    moment = 0.0
    if held.N > 0.0:
        footprint = Footprint(seating.length, width, held.ex, held.ey)
        moment = plate_moment(footprint, held.N, patch, case.spacing)
    if seating.anchors:
        edge = _EDGE * series.bolt(seating.anchor).diameter
        pull_x = held.row_x * max(0.0, (seating.length - patch[0]) / 2.0 - edge) / seating.width
        pull_y = held.row_y * max(0.0, (seating.width - patch[1]) / 2.0 - edge) / seating.length
        moment = max(moment, pull_x, pull_y)
    return moment


def _bending(seating: Seating, case: SeatingCase, at: _Place) -> Line | None:
    steel = materials.steel(seating.steel, seating.thickness, at.basis)
    moment = _bending_moment(seating, case, at)
    line = rules(at.basis.family, case.limit_state).bending(
        at.basis.values, moment, seating.thickness, steel.fy
    )
    return placed(line, at.part, case.name, steel.basis)


def _concrete(seating: Seating, case: SeatingCase, at: _Place) -> Line | None:
    held = _answer(seating, case, seating.width)
    if held.N <= 0.0:
        return None
    footprint = Footprint(seating.length, seating.width, held.ex, held.ey, at.plinth)
    line = rules(at.basis.family, case.limit_state).bearing(
        at.basis.values,
        held.N,
        footprint,
        Bed(at.fck, occasional=_rare(case)),
    )
    return placed(line, at.part, case.name)


def _grip(case: SeatingCase, at: _Place) -> Line | None:
    grip = rules(at.basis.family, case.limit_state).grip
    if grip is None:
        return None
    return grip(
        at.basis.values,
        case.N,
        "concrete",
        dynamic=at.use == "rail" or _rare(case),
    )


def _left_to_hold(case: SeatingCase, at: _Place) -> float:
    """Horizontal force (N) that friction does not hold."""
    line = _grip(case, at)
    return max(0.0, math.hypot(case.Hx, case.Hy) - (line.value if line is not None else 0.0))


def _sliding(_: Seating, case: SeatingCase, at: _Place) -> Line | None:
    """Friction of the joint against the whole H, where the family counts it: for the reader.

    No limit is set: anchors and dowels hold the rest, and are checked for it.
    """
    line = _grip(case, at)
    if line is None:
        return None
    force = math.hypot(case.Hx, case.Hy)
    note = (
        f"anchors or dowels hold the rest of H = {force / 1e3:.1f} kN"
        if (force > line.value)
        else f"H = {force / 1e3:.1f} kN is held by friction"
    )
    return placed(replace(line, note=note), at.part, case.name)


def _anchor(seating: Seating, case: SeatingCase, at: _Place) -> Line | None:
    pull = _answer(seating, case, seating.width).bolt
    shear = _left_to_hold(case, at) if not seating.dowels else 0.0
    if not seating.anchors:
        if pull <= 0.0 and (shear <= 0.0 or seating.dowels):
            return None
        return _missing("anchor bolts", shear, pull, at, case)
    line = rules(at.basis.family, case.limit_state).anchor(
        at.basis.values,
        shear / seating.anchors,
        pull,
        _fastener(seating),
    )
    return placed(line, f"{at.part}: anchor bolt", case.name, "memory")


def _dowel(seating: Seating, case: SeatingCase, at: _Place) -> Line | None:
    if not seating.dowels:
        return None
    steel = materials.steel(seating.steel, seating.dowel, at.basis)
    line = rules(at.basis.family, case.limit_state).dowel(
        at.basis.values,
        _left_to_hold(case, at) / seating.dowels,
        Fastener(seating.dowel, math.pi / 4.0 * seating.dowel**2, steel.fy, steel.fu),
    )
    return placed(line, f"{at.part}: dowel", case.name, steel.basis)


def _dowel_pressure(seating: Seating, case: SeatingCase, at: _Place) -> Line | None:
    """Concrete before the dowel: the force enters at its top, so half its length answers.

    Common practice, no source; the strength of the concrete is that of the bearing rule, unspread.
    """
    if not seating.dowels:
        return None
    length = _DOWEL_EMBEDMENT * seating.dowel
    line = rules(at.basis.family, case.limit_state).bearing(
        at.basis.values,
        _left_to_hold(case, at) / seating.dowels,
        Footprint(seating.dowel, length / 2.0),
        Bed(at.fck, occasional=_rare(case)),
    )
    line = replace(
        line,
        title="Concrete before the dowel",
        note="upper half of the dowel's length answers: common practice, no source",
    )
    return placed(line, f"{at.part}: dowel", case.name)


def _fastener(seating: Seating) -> Fastener:
    bolt, grade = series.bolt(seating.anchor), series.grade(seating.anchor_grade)
    return Fastener(bolt.diameter, bolt.stress_area, grade.fy, grade.fu)


def _girder_steel(seating: Seating, at: _Place) -> materials.Steel:
    flange = at.length("girder.flange", _FLANGE)
    return materials.steel(at.option("girder.steel", seating.steel), flange, at.basis)


def _weld_force(seating: Seating, case: SeatingCase, at: _Place, throat: float) -> float:
    """Resultant force (N/m) in the two welds along x' of the plate (statics)."""
    b = _pressed_width(seating, at)
    length = seating.length - 2.0 * throat
    along, across = abs(case.Hx) / (2.0 * length), abs(case.Hy) / (2.0 * length)
    tilt = abs(case.N * case.ex + case.overturning_x) * 3.0 / length**2 + abs(
        case.N * case.ey + case.overturning_y
    ) / (b * length)
    mean = case.N / (2.0 * length)
    machined = bool(at.basis.options.get("sole.machined", True))
    up = max(0.0, tilt - mean) if machined else abs(mean) + tilt
    return math.sqrt(along**2 + across**2 + up**2)


def _weld(seating: Seating, case: SeatingCase, at: _Place) -> Line | None:
    plate = materials.steel(seating.steel, seating.thickness, at.basis)
    girder = _girder_steel(seating, at)
    weaker = min(plate, girder, key=lambda steel: steel.fu)
    line = rules(at.basis.family, case.limit_state).fillet(
        at.basis.values,
        _weld_force(seating, case, at, seating.weld),
        Fillet(
            seating.weld,
            weaker.fu,
            weaker.name,
            site=bool(at.basis.options.get("sole.site_weld", False)),
        ),
    )
    return placed(line, f"{at.part}: weld", case.name, weaker.basis)


def _bolt(seating: Seating, case: SeatingCase, at: _Place) -> Line | None:
    pull = _answer(seating, case, _pressed_width(seating, at)).bolt
    shear = math.hypot(case.Hx, case.Hy)
    if not seating.anchors:
        return _missing("a weld or fitted bolts", shear, pull, at, case)
    girder = _girder_steel(seating, at)
    line = rules(at.basis.family, case.limit_state).bolt(
        at.basis.values,
        shear / seating.anchors,
        pull,
        _fastener(seating),
        Ply(min(seating.thickness, at.length("girder.flange", _FLANGE)), girder.fy, girder.fu),
    )
    return placed(line, f"{at.part}: fitted bolt", case.name, girder.basis, "memory")


def _missing(what: str, shear: float, pull: float, at: _Place, case: SeatingCase) -> Line:
    """The line of a force that nothing holds: utilisation infinite."""
    return Line(
        title=f"No {what}",
        standard="statics",
        edition="",
        clause="",
        formula="H and pull that friction does not hold need a fixing",
        inputs=(Quantity("H", shear, "N"), Quantity("T", pull, "N")),
        result=Quantity("force", math.hypot(shear, pull), "N"),
        basis="print",
        limit=Quantity("held", 0.0, "N"),
        utilisation=math.inf if math.hypot(shear, pull) > 0.0 else 0.0,
        part=at.part,
        case=case.name,
    )


def _within_plinth(seating: Seating, plinth: tuple[float, float], part: str) -> Line:
    use = max(seating.length / plinth[0], seating.width / plinth[1])
    return Line(
        title="Plate within the concrete below",
        standard="geometry",
        edition="",
        clause="",
        formula="max(a/A, b/B) <= 1",
        inputs=(
            Quantity("a", seating.length, "m"),
            Quantity("b", seating.width, "m"),
            Quantity("A", plinth[0], "m"),
            Quantity("B", plinth[1], "m"),
        ),
        result=Quantity("use", use, ""),
        basis="print",
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        part=part,
    )


def _rare(case: SeatingCase) -> bool:
    return case.limit_state.startswith(("ULS seismic", "ULS accidental"))


def _largest(lines: list[Line | None]) -> float:
    return max((line.utilisation or 0.0 for line in lines if line is not None), default=0.0)


def _size_on_concrete(
    cases: tuple[SeatingCase, ...],
    at: _Place,
    least_length: float,
    least_width: float,
    least_thickness: float,
) -> Seating:
    family = at.basis.family
    grade = at.option("anchor.grade", _ANCHOR_GRADE[family])
    smallest = series.bolt(at.option("anchor.least", _LEAST_ANCHOR[family])).diameter
    bolts = [bolt for bolt in series.bolts(family) if bolt.diameter >= smallest - 1e-9]
    number = at.basis.options.get("anchor.count")
    counts = (4, 6, 8) if number is None else (int(number),)
    if any(count < 2 or count % 2 for count in counts):
        raise _fault("anchor.count", f"{number}", "an even number, 2 or more")
    steel = materials.default("plate", at.basis)
    grout = at.length("grout", _GROUT)
    start = Seating(0.0, 0.0, 0.05, steel, anchor_grade=grade, grout=grout)
    # Bolts stand beside the bearing: their washers need three diameters on each side of it.
    layouts = sorted(
        ((n, bolt) for n in counts for bolt in bolts), key=lambda item: item[0] * item[1].area
    )
    seating = start
    for n, bolt in layouts:
        trial = replace(start, anchors=n, anchor=bolt.name)
        length = max(least_length, n // 2 * 3.0 * bolt.diameter + bolt.diameter)
        trial = replace(
            trial,
            length=series.length(length),
            width=series.length(least_width + 6.0 * bolt.diameter),
        )
        # The plan without tension decides little about shear: skip what cannot pass at any plan.
        if _shear_alone(trial, cases, at) > 1.0:
            seating = trial
            continue
        # The plan of the layout before tells whether these bolts come near at all (the plan hardly
        # changes from one layout to the next): growing it each time would cost most of the search.
        if seating.thickness != start.thickness or seating.length > trial.length:
            alike = replace(seating, anchors=n, anchor=bolt.name)
            if _largest([_anchor(alike, case, at) for case in cases]) > _NEAR:
                continue
        seating = _grow(trial, cases, at, least_thickness)
        if _largest([_anchor(seating, case, at) for case in cases]) <= 1.0:
            return seating
    return _with_dowels(seating, cases, at, least_thickness)


#: Bolts further above their strength than this on a like plan are not tried (bound of the search).
_NEAR = 1.2


def _shear_alone(seating: Seating, cases: tuple[SeatingCase, ...], at: _Place) -> float:
    flat = [replace(case, ex=0.0, ey=0.0, overturning_x=0.0, overturning_y=0.0) for case in cases]
    return _largest([_anchor(seating, case, at) for case in flat])


def _with_dowels(
    seating: Seating, cases: tuple[SeatingCase, ...], at: _Place, least_thickness: float
) -> Seating:
    """Dowels take all shear where the largest anchors cannot; the anchors keep the pull."""
    best = _grow(seating, cases, at, least_thickness)
    for n in (1, 2, 4, 6, 8):
        for diameter in series.sizes("pins", at.basis.family):
            trial = replace(best, dowels=n, dowel=diameter)
            if 2.0 * diameter * n > min(best.length, best.width) + diameter:
                continue
            lines = [
                check(trial, case, at) for check in (_dowel, _dowel_pressure) for case in cases
            ]
            if _largest(lines) <= 1.0:
                return trial
    return best


def _grow(
    seating: Seating, cases: tuple[SeatingCase, ...], at: _Place, least_thickness: float
) -> Seating:
    """The plan grown along x', y' or both until the concrete carries it; the lightest of three."""
    trials = []
    for along, across in ((1.0, 1.0), (1.0, 0.0), (0.0, 1.0)):
        grown = _grown(seating, cases, at, along, across)
        if grown is not None:
            trials.append(_thick(grown, cases, at, least_thickness))
    if not trials:
        trials = [_thick(seating, cases, at, least_thickness)]
    return min(trials, key=lambda item: item.length * item.width * item.thickness)


#: Largest growth of a plate beyond what the bearing needs, steps of 10 mm (a bound of the search).
_STEPS = 256


def _grown(
    seating: Seating, cases: tuple[SeatingCase, ...], at: _Place, along: float, across: float
) -> Seating | None:
    """The smallest growth that passes, by halving; None where none does."""

    def plan(steps: int) -> Seating:
        return replace(
            seating,
            length=round(seating.length + 0.01 * steps * along, 4),
            width=round(seating.width + 0.01 * steps * across, 4),
        )

    def use(steps: int, among: Sequence[SeatingCase]) -> float:
        return _largest([_concrete(plan(steps), case, at) for case in among])

    most = _STEPS
    if at.plinth is not None:
        rooms = [
            (side - own) / (0.01 * grows)
            for side, own, grows in zip(
                at.plinth, (seating.length, seating.width), (along, across), strict=True
            )
            if grows > 0.0
        ]
        most = max(0, min(most, int(min(rooms) + 1e-6)))
    # Halving on the worst case alone, and again with any other case that it leaves failing.
    worst: list[SeatingCase] = []
    low = 0
    while True:
        failing = [(use(low, [case]), case) for case in cases]
        failing = [item for item in failing if item[0] > 1.0]
        if not failing:
            return plan(low)
        worst.append(max(failing, key=lambda item: item[0])[1])
        if use(most, worst) > 1.0:
            return None
        high = most
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if use(middle, worst) > 1.0 else (low, middle)
        low = high


def _thick(
    seating: Seating, cases: tuple[SeatingCase, ...], at: _Place, least_thickness: float
) -> Seating:
    """The plate in the thinnest practical plate that carries its bending."""
    family = at.basis.family
    floor = max(least_thickness, _LEAST_PLATE)
    for _ in range(12):
        steel = materials.steel(seating.steel, max(floor, 1e-3), at.basis)
        needed = max(
            rules(family, case.limit_state).least_thickness(
                at.basis.values, _bending_moment(seating, case, at), steel.fy
            )
            for case in cases
        )
        size = series.at_least("plates", family, max(needed, floor))
        thickest = materials.thickest(seating.steel)
        if size is None or size > thickest:
            made = [item for item in series.sizes("plates", family) if item <= thickest]
            return replace(seating, thickness=made[-1])
        # A thicker plate may be weaker: ask again with the strength at its own thickness.
        if size <= floor + 1e-9:
            return replace(seating, thickness=size)
        floor = size
    return replace(seating, thickness=floor)


#: Lengths added to a sole plate for its welds, m (a bound of the search).
_WELD_GROWTH = (0.0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.8, 1.0)


def _weld_use(seating: Seating, cases: tuple[SeatingCase, ...], at: _Place) -> float:
    return _largest([_weld(seating, case, at) for case in cases])


def _size_on_steel(
    cases: tuple[SeatingCase, ...],
    at: _Place,
    least_length: float,
    least_width: float,
    least_thickness: float,
) -> Seating:
    family = at.basis.family
    plate = Seating(
        series.length(least_length),
        series.length(least_width),
        0.05,
        materials.default("plate", at.basis),
    )
    connection = at.option("sole.connection", "welded")
    if connection == "welded":
        plate = _thick(plate, cases, at, least_thickness)
        throats = series.sizes("welds", family)
        for longer in _WELD_GROWTH:
            # A longer plate where the heaviest weld of the series does not do.
            trial = replace(plate, length=plate.length + longer, weld=throats[-1])
            if trial.length > 2.0 * throats[-1] and _weld_use(trial, cases, at) <= 1.0:
                break
        plate = _thick(trial, cases, at, least_thickness)
        for throat in throats:
            trial = replace(plate, weld=throat)
            if _weld_use(trial, cases, at) <= 1.0:
                break
        return trial
    if connection != "bolted":
        raise _fault("sole.connection", repr(connection), "welded or bolted")
    grade = at.option("bolt.grade", _BOLT_GRADE[family])
    smallest = series.bolt(_LEAST_ANCHOR[family]).diameter
    layouts = sorted(
        (
            (n, bolt)
            for n in (4, 6, 8, 10, 12)
            for bolt in series.bolts(family)
            if smallest - 1e-9 <= bolt.diameter <= 0.037
        ),
        key=lambda item: item[0] * item[1].area,
    )
    for n, bolt in layouts:
        trial = replace(
            plate,
            anchors=n,
            anchor=bolt.name,
            anchor_grade=grade,
            length=max(plate.length, series.length((n // 2 + 1) * 3.0 * bolt.diameter)),
            width=max(plate.width, series.length(least_width + 6.0 * bolt.diameter)),
        )
        if _largest([_bolt(trial, case, at) for case in cases]) <= 1.0:
            break
    return _thick(trial, cases, at, least_thickness)


def _refuse_impossible(seating: Seating, connected: Connected) -> None:
    faults = [
        Fault("bearing", name, f"{value * 1e3:g} mm", "more than 0 mm")
        for name, value in (
            ("length", seating.length),
            ("width", seating.width),
            ("thickness", seating.thickness),
        )
        if not value > 0.0
    ]
    faults += [
        Fault("bearing", name, f"{value:g}", "0 or more")
        for name, value in (
            ("anchors", seating.anchors),
            ("dowels", seating.dowels),
            ("weld", seating.weld),
            ("grout", seating.grout),
        )
        if value < 0
    ]
    if seating.anchors == 1 or seating.anchors % 2:
        faults.append(Fault("bearing", "anchors", f"{seating.anchors}", "0 or an even number"))
    if seating.dowels > 0 and not seating.dowel > 0.0:
        faults.append(Fault("bearing", "dowel", f"{seating.dowel * 1e3:g} mm", "more than 0 mm"))
    if connected == "steel" and 0.0 < seating.length <= 2.0 * seating.weld:
        faults.append(
            Fault("bearing", "weld", f"{seating.weld * 1e3:g} mm", "less than half the length")
        )
    if faults:
        raise InputError(faults)


def _mm(value: float) -> str:
    return f"{value * 1e3:.4g}"


def _fault(where: str, found: str, allowed: str) -> InputError:
    return InputError([Fault("bearing", where, found, allowed)])
