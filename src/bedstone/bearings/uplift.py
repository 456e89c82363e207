"""Uplift restraint: tie bolts from the superstructure down into the pier, beside a bearing.

It holds net uplift alone. Slotted holes, domed washers and a slack leave movement, rotation and
compression free. It carries neither compression nor horizontal force.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from bedstone.bearings.base import (
    Basis,
    Behaviour,
    Demand,
    DemandCase,
    Design,
    Part,
    Refusal,
    worst_first,
)
from bedstone.bearings.common import materials, series, sizes
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.common.seating import OPTIONS
from bedstone.bridge.schema import BearingKind
from bedstone.standards.aashto import uplift as aashto_uplift
from bedstone.standards.bearing_pressure import Bed, Footprint
from bedstone.standards.eurocode import movements
from bedstone.standards.fasteners import Fastener
from bedstone.standards.record import Line, Quantity

_FREE_LENGTH = 0.6  # m of rod between its ends; common practice, no source
_SLACK = 0.002  # m under the nut at rest; common practice, no source
_RESERVE = 0.02  # m of slot beyond the calculated movement; common practice, no source
_ARM = 2.0  # rod from the web in diameters; common practice, no source
_WASHER = 2.0  # washer over its rod; common practice, no source
_BED = 15.0  # depth of the anchor plate in diameters; common practice, no source
_GRADE = {"eurocode": "8.8", "aashto": "F1554 grade 55", "irc": "4.6"}


@dataclass(frozen=True)
class UpliftRestraint:
    """Sizes of an uplift restraint, m: `rods` of name `rod`, slots, bracket and anchor plates.

    `free_length` between washers; `domed` washers let the rod swing, else its ends are clamped;
    `way` each side in the slots; `slack` below the nut; `arm` rod to web; `bracket` and
    `anchor_plate` thickness, `plate` side of the square anchor plate.
    """

    rods: int
    rod: str
    grade: str
    free_length: float
    domed: bool
    way: float
    slack: float
    arm: float
    bracket: float
    plate: float
    anchor_plate: float
    steel: str

    @property
    def fastener(self) -> Fastener:
        """One rod."""
        bolt, grade = series.bolt(self.rod), series.grade(self.grade)
        return Fastener(bolt.diameter, bolt.stress_area, grade.fy, grade.fu)

    @property
    def bracket_width(self) -> float:
        """Width of bracket that carries one rod, spread under 45 degrees from its washer, m."""
        return _WASHER * self.fastener.diameter + 2.0 * self.arm

    @property
    def slot(self) -> float:
        """Length of the slots along the larger movement, m."""
        return self.fastener.diameter + 2.0 * self.way


@dataclass(frozen=True)
class Uplift:
    """The kind: see `bedstone.bearings.base.Kind`."""

    name: BearingKind = "uplift restraint"

    @property
    def options(self) -> Mapping[str, str]:
        """What each option means."""
        return {
            **OPTIONS,
            "uplift.grade": "grade of the rods; default 8.8 (EN), F1554 grade 55 (AASHTO), 4.6 "
            "(IRC)",
            "uplift.free_length": f"rod between its ends (m); default {_FREE_LENGTH:g}",
            "uplift.ends": "domed (washers that swing, default) | clamped (the rod bends)",
            "uplift.slack": f"clearance below the nuts (m); default {_SLACK:g}",
            "uplift.rods": "number of rods, even; default 2 or 4 as needed",
        }

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return {
            "rods": "number of rods, even",
            "rod": "name of the rods, as M36",
            "grade": "grade of the rods, as 8.8",
            "free_length": "m, rod between its ends",
            "ends": "domed | clamped",
            "way": "m, free movement each side in the slots",
            "slack": "m, below the nuts at rest",
            "arm": "m, rod to the face of the web",
            "bracket": "m, thickness of the brackets",
            "plate": "m, side of the square anchor plates",
            "anchor_plate": "m, thickness of the anchor plates",
            "steel": "name of the steel of the plates",
        }

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """Nothing lifts: nothing to hold."""
        if _pull(demand, basis)[1] <= 0.0:
            return Refusal(
                self.name,
                "no combination lifts the seat: there is no pull to hold",
                "AASHTO LRFD 14.6.1, 3.10.9.6"
                if basis.family == "aashto"
                else "statics of the combinations",
                "a bearing that presses alone",
            )
        return None

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest rods of the series with brackets and anchor plates."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        number = basis.options.get("uplift.rods")
        counts = (2, 4) if number is None else (int(sizes.number(basis, "uplift.rods", 2, 2)),)
        if any(count % 2 for count in counts):
            raise sizes.fault("uplift.rods", f"{number}", "an even number, 2 or more")
        best: Design | None = None
        for count in counts:
            for bolt in series.bolts(basis.family):
                made = _sized(count, bolt.name, demand, basis)
                if made is None:
                    continue
                design = _design(made, demand, basis)
                if design.passes:
                    if best is None or design.mass < best.mass:
                        best = design
                    break
        if best is not None:
            return best
        return Refusal(
            self.name,
            f"no rods of the series hold {_pull(demand, basis)[1] / 1e3:.0f} kN with the movement",
            "the family's rules of bolts in tension",
            "longer free rods with domed washers, stronger rods, counterweight",
        )

    def given(self, sizes_: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a given restraint; raises `InputError` for impossible sizes."""
        read = sizes.Reader(sizes_)
        ends = read.word("ends", "domed")
        bearing = UpliftRestraint(
            rods=read.count("rods", 2),
            rod=read.word("rod", "M36" if basis.family != "aashto" else "1 1/2 in"),
            grade=read.word("grade", _GRADE[basis.family]),
            free_length=read.length("free_length"),
            domed=ends == "domed",
            way=read.length("way", zero=True),
            slack=read.length("slack", 0.0, zero=True),
            arm=read.length("arm"),
            bracket=read.length("bracket"),
            plate=read.length("plate"),
            anchor_plate=read.length("anchor_plate"),
            steel=read.word("steel", materials.default("plate", basis)),
        )
        read.require(ends in {"domed", "clamped"}, "ends", repr(ends), "domed | clamped")
        read.require(
            bearing.rods >= 2 and bearing.rods % 2 == 0,
            "rods",
            f"{bearing.rods}",
            "an even number, 2 or more",
        )
        read.require(
            bearing.plate > _WASHER * bearing.fastener.diameter,
            "plate",
            f"{bearing.plate * 1e3:g} mm",
            "wider than the washer of the rod",
        )
        read.finish()
        return _design(bearing, demand, basis)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check a restraint as it was made for another demand."""
        assert isinstance(bearing, UpliftRestraint)
        return _design(bearing, demand, basis)


KIND = Uplift()


def _cases(demand: Demand) -> tuple[DemandCase, ...]:
    """Ultimate cases, equilibrium included: the limit state in which uplift first shows."""
    return (*demand.strength, *demand.of("ULS equilibrium"))


def _pull(demand: Demand, basis: Basis) -> tuple[DemandCase | None, float]:
    """Governing case and pull (N) that the rods hold, the least force of a hold-down included."""
    pulling = [(max(0.0, -case.N), case) for case in _cases(demand)]
    force, case = max(pulling, key=lambda item: item[0], default=(0.0, None))
    if demand.uplift > force:
        # A pull at another limit state (service, construction) is held as well.
        force, case = demand.uplift, min(demand.cases, key=lambda item: item.N, default=None)
    if basis.family == "aashto":
        least = _hold_down(demand, basis)
        if least is not None and least.value > force:
            return next(iter(demand.of("ULS seismic")), case), least.value
    return case, force


def _hold_down(demand: Demand, basis: Basis) -> Line | None:
    """The least force of AASHTO 3.10.9.6; None without an earthquake."""
    seismic = demand.of("ULS seismic")
    if not seismic:
        return None
    dead = max(demand.permanent, 0.0)
    lowest = min(case.N for case in seismic)
    return aashto_uplift.hold_down(basis.values, dead, max(0.0, dead - lowest))


def _moved(demand: Demand) -> float:
    """Largest movement (m) in plan of any case."""
    return max((math.hypot(case.vx, case.vy) for case in demand.cases), default=0.0)


def _way(demand: Demand, basis: Basis) -> float:
    if basis.family == "eurocode":
        return movements.increased_translation(basis.values, _moved(demand), "main").value
    return _moved(demand) + _RESERVE


def _sized(count: int, rod: str, demand: Demand, basis: Basis) -> UpliftRestraint | None:
    """Brackets and anchor plates for rods; None where no plate of the series does."""
    case, pull = _pull(demand, basis)
    if case is None:
        raise sizes.fault("cases", "none", "cases of the ultimate limit states")
    d = series.bolt(rod).diameter
    plates = [
        t
        for t in series.sizes("plates", basis.family)
        if 0.012 <= t <= materials.thickest(materials.default("plate", basis))
    ]
    made = UpliftRestraint(
        rods=count,
        rod=rod,
        grade=str(basis.options.get("uplift.grade", _GRADE[basis.family])),
        free_length=sizes.number(basis, "uplift.free_length", _FREE_LENGTH, 0.05),
        domed=sizes.word(basis, "uplift.ends", "domed", "clamped") == "domed",
        way=series.length(_way(demand, basis), 0.005),
        slack=sizes.number(basis, "uplift.slack", _SLACK),
        arm=series.length(_ARM * d, 0.005),
        bracket=plates[-1],
        plate=series.length(3.0 * d, 0.01),
        anchor_plate=plates[-1],
        steel=materials.default("plate", basis),
    )
    for _ in range(60):
        if (_bed(made, case, pull, basis).utilisation or 0.0) <= 1.0:
            break
        made = replace(made, plate=round(made.plate + 0.01, 4))
    for check, fitting in (
        (_bracket, [replace(made, bracket=t) for t in plates]),
        (_anchor_plate, [replace(made, anchor_plate=t) for t in plates]),
    ):
        passing = (
            one for one in fitting if (check(one, case, pull, basis).utilisation or 0.0) <= 1.0
        )
        found = next(passing, None)
        if found is None:
            return None
        made = replace(
            made,
            bracket=min(made.bracket, found.bracket),
            anchor_plate=min(made.anchor_plate, found.anchor_plate),
        )
    return made


def _fck(basis: Basis) -> float:
    if basis.concrete_below is None:
        raise sizes.fault("concrete_below", "None", "the strength of the concrete below")
    return basis.concrete_below


def _rod(bearing: UpliftRestraint, case: DemandCase, pull: float, basis: Basis) -> Line:
    share = pull / bearing.rods
    # A rod that swings out by v pulls across with T v/L: small, and it holds back, not apart.
    line = rules(basis.family, case.limit_state).anchor(basis.values, 0.0, share, bearing.fastener)
    return placed(line, "rods", case.name, "memory")


def _elastic(
    bearing: UpliftRestraint, case: DemandCase, pull: float, demand: Demand, basis: Basis
) -> Line:
    """The rod stays elastic: pull and, where its ends are clamped, bending by the movement.

    A clamped rod swayed by v bends with 3 E d v/L^2 at its ends (statics of a beam).
    """
    rod = bearing.fastener
    E = materials.steel(bearing.steel, bearing.bracket, basis).E
    sway = 0.0 if bearing.domed else 3.0 * E * rod.diameter * _moved(demand)
    stress = pull / bearing.rods / rod.stress_area + sway / bearing.free_length**2
    line = rules(basis.family, case.limit_state).stress(
        basis.values, stress, rod.fy, "The rods stay elastic"
    )
    return placed(line, "rods", case.name, "memory")


def _bracket(bearing: UpliftRestraint, case: DemandCase, pull: float, basis: Basis) -> Line:
    """Bracket plate as a cantilever from the web, spread under 45 degrees from the washer."""
    slotted = bearing.bracket_width - bearing.fastener.diameter
    moment = pull / bearing.rods * bearing.arm / slotted
    return _bent("bracket", moment, bearing.bracket, bearing, case, basis)


def _anchor_plate(bearing: UpliftRestraint, case: DemandCase, pull: float, basis: Basis) -> Line:
    """Anchor plate as a cantilever from the washer under even pressure."""
    d = bearing.fastener.diameter
    pressure = pull / bearing.rods / (bearing.plate**2 - math.pi / 4.0 * d**2)
    arm = max(0.0, (bearing.plate - _WASHER * d) / 2.0)
    return _bent(
        "anchor plate", pressure * arm**2 / 2.0, bearing.anchor_plate, bearing, case, basis
    )


def _bent(
    part: str,
    moment: float,
    thickness: float,
    bearing: UpliftRestraint,
    case: DemandCase,
    basis: Basis,
) -> Line:
    steel = materials.steel(bearing.steel, thickness, basis)
    line = rules(basis.family, case.limit_state).bending(basis.values, moment, thickness, steel.fy)
    return placed(line, part, case.name, steel.basis)


def _bed(bearing: UpliftRestraint, case: DemandCase, pull: float, basis: Basis) -> Line:
    """Concrete above an anchor plate, without spread; breaking out is a matter of the pier."""
    # The hole of the rod takes its share of the plate.
    side = math.sqrt(bearing.plate**2 - math.pi / 4.0 * bearing.fastener.diameter**2)
    line = rules(basis.family, case.limit_state).bearing(
        basis.values,
        pull / bearing.rods,
        Footprint(side, side),
        Bed(_fck(basis), occasional=case.limit_state.startswith("ULS seismic")),
    )
    return placed(line, "anchor plate", case.name)


def _free(bearing: UpliftRestraint, demand: Demand) -> list[Line]:
    """Movement in the slots and rotation within the slack (kinematics)."""
    moved = _moved(demand)
    # Rods stand on both sides of the web at the arm; a rotation lifts one of them.
    lifted = bearing.arm * max(demand.largest("rx"), demand.largest("ry"))
    return [
        Line(
            title=title,
            standard="mechanics",
            edition="derived",
            clause="own kinematics",
            formula=formula,
            inputs=inputs,
            result=Quantity(symbol, found, "m"),
            basis="secondary",
            limit=Quantity(limit_symbol, limit, "m"),
            utilisation=found / limit if limit > 0.0 else (math.inf if found > 0.0 else 0.0),
            part="rods",
        )
        for title, formula, inputs, symbol, found, limit_symbol, limit in (
            ("Movement in the slots", "v <= way", (), "v", moved, "way", bearing.way),
            (
                "Rotation within the slack",
                "theta a <= slack",
                (Quantity("a", bearing.arm, "m"),),
                "theta a",
                lifted,
                "slack",
                bearing.slack,
            ),
        )
    ]


def _design(bearing: UpliftRestraint, demand: Demand, basis: Basis) -> Design:
    case, pull = _pull(demand, basis)
    if case is None:
        raise sizes.fault("cases", "none", "cases of the ultimate limit states")
    lines = [
        _rod(bearing, case, pull, basis),
        _elastic(bearing, case, pull, demand, basis),
        _bracket(bearing, case, pull, basis),
        _anchor_plate(bearing, case, pull, basis),
        _bed(bearing, case, pull, basis),
        *_free(bearing, demand),
    ]
    notes = [
        "carries neither compression nor horizontal force: stands beside a bearing",
        "breaking out of the anchored concrete is designed with the pier",
    ]
    if basis.family == "aashto":
        lines.append(placed(aashto_uplift.tie_down(basis.values, demand.uplift), "rods", case.name))
        if (least := _hold_down(demand, basis)) is not None:
            lines.append(placed(least, "rods", case.name))
    elif basis.family == "eurocode":
        notes.append(
            "EN 1337-1 has no rule for uplift: the steel parts are designed by EN 1993, the "
            "concrete by EN 1992, and the rods stay elastic"
        )
    else:
        notes.append(
            "no clause of IRC:83 on uplift was read: the steel parts are designed by IRC:24, and "
            "the rods stay elastic"
        )
    lift = bearing.arm * 2.0 + bearing.bracket_width
    return Design(
        kind="uplift restraint",
        bearing=bearing,
        parts=_parts(bearing),
        lines=worst_first(lines),
        behaviour=Behaviour(play=bearing.way),
        height=bearing.free_length,
        reach=(bearing.bracket_width + 2.0 * bearing.way, lift + 2.0 * bearing.way),
        horizontal=pull * _moved(demand) / bearing.free_length,
        left=max(0.0, bearing.way - _moved(demand)),
        notes=tuple(notes),
    )


def _parts(bearing: UpliftRestraint) -> tuple[Part, ...]:
    density = materials.STEEL_DENSITY
    d = bearing.fastener.diameter
    length = series.length(bearing.free_length + (_BED + 3.0) * d + 2.0 * bearing.bracket, 0.005)
    depth = bearing.arm + 1.5 * d
    width = bearing.bracket_width + 2.0 * bearing.way
    ends = "domed washers and nuts" if bearing.domed else "flat washers and nuts"
    return (
        Part(
            name="tie bolt",
            material=bearing.grade,
            size=f"{bearing.rod} x {length * 1e3:.4g}, {ends}",
            dimensions={"diameter": d, "length": length, "slack": bearing.slack},
            mass=math.pi / 4.0 * d**2 * length * density,
            number=bearing.rods,
            function="holds net uplift",
        ),
        Part(
            name="bracket",
            material=bearing.steel,
            size=f"plate {width * 1e3:.4g} x {depth * 1e3:.4g} x {bearing.bracket * 1e3:.4g}, slot "
            f"{bearing.slot * 1e3:.4g} x {(d + 0.002) * 1e3:.4g}",
            dimensions={
                "length": width,
                "width": depth,
                "thickness": bearing.bracket,
                "slot": bearing.slot,
            },
            mass=width * depth * bearing.bracket * density,
            number=bearing.rods,
            function="passes the pull into the web",
        ),
        Part(
            name="anchor plate",
            material=bearing.steel,
            size=f"plate {bearing.plate * 1e3:.4g} x {bearing.plate * 1e3:.4g} x "
            f"{bearing.anchor_plate * 1e3:.4g}",
            dimensions={"length": bearing.plate, "thickness": bearing.anchor_plate},
            mass=bearing.plate**2 * bearing.anchor_plate * density,
            number=bearing.rods,
            function="bears on the concrete below the rods",
        ),
    )
