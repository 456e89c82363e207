"""Guide and shear key: a key on the substructure between bars below the superstructure. No N.

Where one direction is held, two bars run along the other one and the key slides between them;
where both are held, four bars box the key in. Horizontal force passes by contact of strips after
the play is used up; vertical movement stays free.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from bedstone.bearings.base import (
    Basis,
    Demand,
    DemandCase,
    Design,
    Part,
    Refusal,
)
from bedstone.bearings.common import materials, series, sizes
from bedstone.bearings.common.rules import placed, rules
from bedstone.bearings.common.seating import Seating, SeatingCase, size_seating
from bedstone.bearings.sliding_element import service_load, ways
from bedstone.bearings.sliding_options import OPTIONS
from bedstone.bearings.sliding_rules import SlideRules, slide_rules
from bedstone.bearings.sliding_sheet import Guides, guide_parts
from bedstone.bearings.two_plates import (
    EDGE,
    connected,
    mass_of,
    part_name,
    plate_lines,
    plated,
    stays,
)
from bedstone.bridge.schema import BearingKind
from bedstone.standards.aashto import sliding as aashto_sliding
from bedstone.standards.record import Line, Quantity

Direction = Literal["x", "y"]

_GAP = 0.005  # m above and below a strip; common practice, no source
_VERTICAL = 0.01  # m between key and upper plate; common practice, no source
_LIGHT = 1.0  # N: less than this counts as no vertical force
_STRIPS = tuple(round(0.1 + 0.02 * i, 3) for i in range(26))  # lengths tried, m


@dataclass(frozen=True)
class GuideBearing:
    """Sizes of a guide, m: the pairs of bars, the key along x' and y', the gap between the plates.

    `way`: movement each side that the bars let the key slide; `steel` of key and bars.
    """

    pairs: tuple[Guides, ...]
    key_length: float
    key_width: float
    gap: float
    way: float
    steel: str
    base: Seating
    sole: Seating

    @property
    def key_height(self) -> float:
        """Key above its plate, m."""
        return self.gap - _VERTICAL

    def key_lever(self, pair: Guides) -> float:
        """From the root of the key to the middle of a strip, m."""
        return self.gap - pair.lever

    def side(self, pair: Guides) -> float:
        """Side of the key along the bars of a pair, m."""
        return self.key_length if pair.holds == "y" else self.key_width

    @property
    def height(self) -> float:
        """Overall, plates included, m."""
        return self.base.thickness + self.gap + self.sole.thickness


@dataclass(frozen=True)
class _Push:
    """Design horizontal force of one case at the key, both >= 0, N."""

    case: DemandCase
    Hx: float
    Hy: float


@dataclass(frozen=True)
class Guide:
    """The kind: see `bedstone.bearings.base.Kind`."""

    name: BearingKind = "guide"

    @property
    def options(self) -> Mapping[str, str]:
        """What each option means."""
        return {
            **OPTIONS,
            "guide.play": "play on each side (m); default as the family says",
            "guide.vertical": "vertical service load (N) of a line of bearings over its guides, "
            "for the least force of AASHTO 14.7.9.2; default that of the seat",
        }

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return {
            "strip_length": "m, of each strip along its bar",
            "strip_height": "m, of each strip",
            "bar_width": "m, across a bar",
            "bar_height": "m, bar below its plate",
            "play": "m, on each side",
            "key_length": "m, along x'",
            "key_width": "m, along y'",
            "gap": "m, between the two plates",
            "way": "m, movement each side along the bars; default 0",
            "steel": "name of the steel of key and bars",
            **sizes.seating_fields("base"),
            **sizes.seating_fields("sole"),
        }

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """A guide holds at least one direction and carries no vertical force."""
        if not any(demand.held):
            return Refusal(
                self.name,
                "the seat is free along and across; there is nothing to guide",
                "EN 1337-8, scope (restraints and guides)",
                "a sliding or elastomeric bearing",
            )
        if demand.permanent > _LIGHT:
            return Refusal(
                self.name,
                f"the seat carries {demand.permanent / 1e3:.0f} kN; a guide carries no vertical "
                "force",
                "EN 1337-8, scope (restraints and guides)",
                "a guided pot, spherical or sliding bearing; or a guide beside a free bearing",
            )
        return None

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest key and bars, then their plates."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        slide = slide_rules(basis)
        trials = [
            found for length in _STRIPS if (found := _sized(length, demand, slide)) is not None
        ]
        if not trials:
            return Refusal(
                self.name,
                "no strip, bar and key of practical size carries the force",
                "EN 1337-8 and the rules of strips of the family",
                "several guides at the line, or stronger steel",
            )
        best = min(trials, key=_own_mass)
        design = _design(_seated(best, demand, slide), demand, slide)
        if design.passes:
            return design
        return stays(design, demand, "a larger plinth, larger play, several guides at the line")

    def given(self, sizes_: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a given guide; raises `InputError` for impossible sizes."""
        read = sizes.Reader(sizes_)
        usual = materials.default("plate", basis)
        pairs = tuple(
            Guides(
                holds=direction,
                strip_length=read.length("strip_length"),
                strip_height=read.length("strip_height"),
                bar_width=read.length("bar_width"),
                bar_height=read.length("bar_height"),
                play=read.length("play", zero=True),
            )
            for direction in _held(demand)
        )
        bearing = GuideBearing(
            pairs=pairs,
            key_length=read.length("key_length"),
            key_width=read.length("key_width"),
            gap=read.length("gap"),
            way=read.length("way", 0.0, zero=True),
            steel=read.word("steel", usual),
            base=read.seating("base", usual, "concrete"),
            sole=read.seating("sole", usual, connected(basis, above=True)),
        )
        read.require(bool(pairs), "held", "no direction", "a seat that holds x' or y'")
        for pair in pairs:
            read.require(
                pair.bar_height >= pair.strip_height,
                "bar_height",
                f"{pair.bar_height * 1e3:g} mm",
                "not less than the height of the strip",
            )
            read.require(
                bearing.gap > pair.bar_height,
                "gap",
                f"{bearing.gap * 1e3:g} mm",
                "more than the height of the bars",
            )
            read.require(
                bearing.side(pair) >= pair.strip_length,
                "key_length" if pair.holds == "y" else "key_width",
                f"{bearing.side(pair) * 1e3:g} mm",
                "not less than the length of the strip",
            )
        read.finish()
        return _design(bearing, demand, slide_rules(basis))

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check a guide as it was made for another demand."""
        assert isinstance(bearing, GuideBearing)
        return _design(bearing, demand, slide_rules(basis))


KIND = Guide()


def _held(demand: Demand) -> tuple[Direction, ...]:
    directions: tuple[Direction, ...] = ("x", "y")
    return tuple(d for d, held in zip(directions, demand.held, strict=True) if held)


def _vertical(demand: Demand, basis: Basis) -> float:
    return sizes.number(basis, "guide.vertical", max(0.0, service_load(demand)))


def _force(demand: Demand, slide: SlideRules, case: DemandCase, direction: Direction) -> float:
    """Design force (N) of a held direction in one case, with the family's least force."""
    vertical = _vertical(demand, slide.basis)
    return slide.held_force(getattr(case, f"H{direction}"), case, vertical)


def _pushes(
    pairs: Sequence[Guides], demand: Demand, slide: SlideRules, *, contact: bool = False
) -> list[_Push]:
    """Forces at the key in all cases; where it slides, the friction of the strips.

    `contact`: the cases of contact stresses, which AASHTO 14.7.2.4 limits at service.
    """
    at_service = contact and slide.basis.family == "aashto"
    found = []
    for case in slide.service(demand) if at_service else slide.strength(demand):
        force = {pair.holds: _force(demand, slide, case, pair.holds) for pair in pairs}
        if len(pairs) == 1:
            pair = pairs[0]
            held = force[pair.holds]
            pressure = held / (pair.strip_length * pair.strip_height)
            force["x" if pair.holds == "y" else "y"] = slide.guide_friction(pressure) * held
        found.append(_Push(case, force["x"], force["y"]))
    return found


def _acting(pushes: Sequence[_Push], pair: Guides) -> tuple[str, float]:
    """Name of the case and force (N) that presses hardest on the bars of a pair."""
    worst = max(pushes, key=lambda push: getattr(push, f"H{pair.holds}"))
    return worst.case.name, getattr(worst, f"H{pair.holds}")


def _key_stress(bearing: GuideBearing, push: _Push) -> float:
    """Stress with shear (Pa, von Mises) at the root of the key, a full-strength weld (statics)."""
    a, b = bearing.key_length, bearing.key_width
    lever = max(bearing.key_lever(pair) for pair in bearing.pairs)
    bending = 6.0 * lever * (push.Hx / (b * a**2) + push.Hy / (a * b**2))
    shear = 1.5 * math.hypot(push.Hx, push.Hy) / (a * b)
    return math.sqrt(bending**2 + 3.0 * shear**2)


def _strip_lines(
    pair: Guides, pushes: Sequence[_Push], demand: Demand, slide: SlideRules
) -> list[Line]:
    part = f"guide strip, holds {pair.holds}'"
    name, force = _acting(pushes, pair)
    lines = [placed(slide.strip(force, pair, lasting=False), part, name)]
    lasting = [(abs(getattr(c, f"H{pair.holds}")), c.name) for c in demand.of("permanent")]
    if lasting and max(lasting)[0] > 0.0:
        stays, name = max(lasting)
        lines.append(placed(slide.strip(stays, pair, lasting=True), part, name))
    return lines


def _least(passes: Callable[[float], bool], tried: Sequence[float]) -> float | None:
    return next((size for size in tried if passes(size)), None)


def _sized(length: float, demand: Demand, slide: SlideRules) -> GuideBearing | None:
    """Strips of a `length` (m) with the strip height, bars and key that carry the force."""
    basis = slide.basis
    play = sizes.number(basis, "guide.play", slide.play(length))
    name = materials.default("plate", basis)
    plates = [
        t for t in series.sizes("plates", basis.family) if 0.02 <= t <= materials.thickest(name)
    ]

    def pairs(height: float, width: float) -> tuple[Guides, ...]:
        bar = series.length(height + 2.0 * _GAP, 0.005)
        found = []
        for direction in _held(demand):
            rotation = slide.rotation(demand.largest("rx" if direction == "y" else "ry"))
            follows = slide.follows(rotation, height)
            rocker = follows is not None and (follows.utilisation or 0.0) > 1.0
            found.append(Guides(direction, length, height, width, bar, play, rocker))
        return tuple(found)

    def strip_holds(height: float) -> bool:
        trial = pairs(height, plates[0])
        pushes = _pushes(trial, demand, slide, contact=True)
        lines = [line for pair in trial for line in _strip_lines(pair, pushes, demand, slide)]
        return max(line.utilisation or 0.0 for line in lines) <= 1.0

    height = _least(strip_holds, [round(0.02 + 0.01 * i, 3) for i in range(14)])
    if height is None:
        return None
    pushes = _pushes(pairs(height, plates[0]), demand, slide)

    def bar_holds(width: float) -> bool:
        steel = materials.steel(name, width, basis)
        return all(
            (slide.bar(_acting(pushes, pair)[1], pair, steel.fy).utilisation or 0.0) <= 1.0
            for pair in pairs(height, width)
        )

    width = _least(bar_holds, plates)
    if width is None:
        return None
    blank = Seating(1.0, 1.0, 0.05, name)
    made = pairs(height, width)
    gap = made[0].bar_height + _VERTICAL
    free = ways(demand, slide)
    both = len(made) == 2

    def bearing(across: float) -> GuideBearing:
        side = max(across, length) if both else across
        return GuideBearing(
            pairs=made,
            key_length=length if made[0].holds == "y" and not both else side,
            key_width=length if made[0].holds == "x" and not both else side,
            gap=gap,
            way=max(free),
            steel=name,
            base=blank,
            sole=blank,
        )

    def key_holds(across: float) -> bool:
        return _key_line(bearing(across), pushes, basis).utilisation <= 1.0  # type: ignore[operator]

    across = _least(key_holds, plates)
    return None if across is None else bearing(across)


def _key_line(bearing: GuideBearing, pushes: Sequence[_Push], basis: Basis) -> Line:
    # A key as thick as plates come: the strength is that of its lesser side.
    thickness = min(
        bearing.key_length, bearing.key_width, materials.thickest(bearing.steel) or math.inf
    )
    steel = materials.steel(bearing.steel, thickness, basis)
    worst = max(pushes, key=lambda push: _key_stress(bearing, push))
    line = rules(basis.family, worst.case.limit_state).stress(
        basis.values, _key_stress(bearing, worst), steel.fy, "Key at its root"
    )
    return placed(line, "key", worst.case.name, steel.basis)


def _plate_moment(bearing: GuideBearing, pushes: Sequence[_Push], *, above: bool) -> float:
    """Moment (N m/m) that bars or key bring into their plate (statics).

    A bar turns the plate on one side of it, the key on both sides of it.
    """
    moments = []
    for pair in bearing.pairs:
        force = _acting(pushes, pair)[1]
        if above:
            moments.append(force * pair.lever / pair.strip_length)
        else:
            moments.append(force * bearing.key_lever(pair) / bearing.side(pair) / 2.0)
    return max(moments)


def _seating_cases(
    bearing: GuideBearing, pushes: Sequence[_Push], above: bool, plate: float
) -> list[SeatingCase]:
    """Forces at the outer face of a plate of a thickness (m)."""

    def arm(direction: Direction) -> float:
        # Where a direction is not held its friction acts at the strips of the other pair.
        pair = next((p for p in bearing.pairs if p.holds == direction), bearing.pairs[0])
        return plate + (pair.lever if above else bearing.key_lever(pair))

    return [
        SeatingCase(
            limit_state=push.case.limit_state,
            name=push.case.name,
            N=0.0,
            Hx=push.Hx,
            Hy=push.Hy,
            overturning_x=push.Hx * arm("x"),
            overturning_y=push.Hy * arm("y"),
        )
        for push in pushes
    ]


def _spread(bearing: GuideBearing) -> tuple[float, float]:
    """Plan (m) of the upper plate: key, play and bars, with the way along the bars."""
    x, y = bearing.key_length, bearing.key_width
    one = len(bearing.pairs) == 1
    for pair in bearing.pairs:
        added = 2.0 * (pair.play + pair.bar_width)
        if pair.holds == "y":
            y += added
            x += 2.0 * bearing.way if one else 0.0
        else:
            x += added
            y += 2.0 * bearing.way if one else 0.0
    return x, y


def _seated(bearing: GuideBearing, demand: Demand, slide: SlideRules) -> GuideBearing:
    basis = slide.basis
    pushes = _pushes(bearing.pairs, demand, slide)
    upper = _spread(bearing)
    for above, plan in ((False, (bearing.key_length, bearing.key_width)), (True, upper)):
        fy = materials.steel_for("plate", 0.04, basis).fy
        least = max(
            rules(basis.family, push.case.limit_state).least_thickness(
                basis.values, _plate_moment(bearing, pushes, above=above), fy
            )
            for push in pushes
        )
        least = series.at_least("plates", basis.family, least) or least
        for _ in range(6):
            before = bearing.sole if above else bearing.base
            plate, _, _ = size_seating(
                _seating_cases(bearing, pushes, above, before.thickness),
                basis,
                least_length=plan[0] + EDGE,
                least_width=plan[1] + EDGE,
                part=part_name(above=above),
                connected=connected(basis, above=above),
                above=above,
                use=demand.use,
                least_thickness=least,
            )
            bearing = replace(bearing, sole=plate) if above else replace(bearing, base=plate)
            line = _plate_line(bearing, pushes, basis, above=above)
            holds = (line.utilisation or 0.0) <= 1.0
            if holds and plate.thickness == before.thickness:
                break
            # Never thinner than the round before, lest two thicknesses take turns.
            thicker = plate.thickness + (0.0 if holds else 1e-3)
            least = series.at_least("plates", basis.family, thicker) or least
    return bearing


def _plate_line(
    bearing: GuideBearing, pushes: Sequence[_Push], basis: Basis, *, above: bool
) -> Line:
    plate = bearing.sole if above else bearing.base
    steel = materials.steel(plate.steel, plate.thickness, basis)
    pair = max(bearing.pairs, key=lambda item: _acting(pushes, item)[1])
    name = _acting(pushes, pair)[0]
    state = next(push.case.limit_state for push in pushes if push.case.name == name)
    line = rules(basis.family, state).bending(
        basis.values, _plate_moment(bearing, pushes, above=above), plate.thickness, steel.fy
    )
    title = "Bending of the plate at the bars" if above else "Bending of the plate at the key"
    return placed(replace(line, title=title), part_name(above=above), name, steel.basis)


def _turning(pair: Guides, demand: Demand) -> Line:
    """Rotation about z that the play lets through before the key jams (kinematics)."""
    limit = 2.0 * pair.play / pair.strip_length
    turned = demand.largest("rz")
    return Line(
        title="Rotation about the vertical within the play",
        standard="mechanics",
        edition="derived",
        clause="own kinematics",
        formula="rz <= 2 s/l",
        inputs=(Quantity("s", pair.play, "m"), Quantity("l", pair.strip_length, "m")),
        result=Quantity("rz", turned, "rad"),
        basis="secondary",
        limit=Quantity("limit", limit, "rad"),
        utilisation=turned / limit if limit > 0.0 else (math.inf if turned > 0.0 else 0.0),
        part=f"guide strip, holds {pair.holds}'",
    )


def _design(bearing: GuideBearing, demand: Demand, slide: SlideRules) -> Design:
    basis = slide.basis
    pushes = _pushes(bearing.pairs, demand, slide)
    pressing = _pushes(bearing.pairs, demand, slide, contact=True)
    lines: list[Line] = []
    if basis.family == "aashto":
        least = aashto_sliding.guide_force(basis.values, _vertical(demand, basis))
        lines.append(placed(least, "guide"))
    for pair in bearing.pairs:
        part = f"guide bar, holds {pair.holds}'"
        steel = materials.steel(bearing.steel, pair.bar_width, basis)
        name, force = _acting(pushes, pair)
        lines += _strip_lines(pair, pressing, demand, slide)
        lines.append(placed(slide.bar(force, pair, steel.fy), part, name, steel.basis))
        if (clearance := slide.clearance(pair)) is not None:
            lines.append(placed(clearance, part))
        lines.append(_turning(pair, demand))
        rotation = slide.rotation(demand.largest("rx" if pair.holds == "y" else "ry"))
        follows = slide.follows(rotation, pair.strip_height)
        if follows is not None and not pair.rocker:
            lines.append(placed(follows, f"guide strip, holds {pair.holds}'"))
    lines.append(_key_line(bearing, pushes, basis))
    lines += [_plate_line(bearing, pushes, basis, above=above) for above in (False, True)]
    lines += plate_lines(bearing, partial(_seating_cases, bearing, pushes), demand, basis)
    notes = [
        "key and bars are butt-welded to their plates with full penetration",
        "more than one guide on a line needs play for the movement between them",
    ]
    if basis.family == "aashto" and _vertical(demand, basis) <= _LIGHT:
        notes.append(
            "the least force of AASHTO 14.7.9.2 is 0 here: give guide.vertical, the vertical "
            "service load of the line over its guides"
        )
    play = max(pair.play for pair in bearing.pairs)
    one = len(bearing.pairs) == 1
    moved = demand.largest("vx" if bearing.pairs[0].holds == "y" else "vy") if one else 0.0
    return plated(
        "guide",
        bearing,
        _own_parts(bearing),
        lines,
        basis,
        play=play,
        horizontal=max(push.Hx for push in pushes),
        left=max(0.0, bearing.way - moved) if one else 0.0,
        notes=notes,
    )


def _own_parts(bearing: GuideBearing) -> tuple[Part, ...]:
    key = Part(
        name="key",
        material=bearing.steel,
        size=f"block {bearing.key_length * 1e3:.4g} x {bearing.key_width * 1e3:.4g} x "
        f"{bearing.key_height * 1e3:.4g}, butt-welded to the base plate",
        dimensions={
            "length": bearing.key_length,
            "width": bearing.key_width,
            "height": bearing.key_height,
        },
        mass=bearing.key_length * bearing.key_width * bearing.key_height * materials.STEEL_DENSITY,
        function="stands between the bars and takes their push",
    )
    one = len(bearing.pairs) == 1
    bars = [
        part
        for pair in bearing.pairs
        for part in guide_parts(
            pair, bearing.side(pair) + (2.0 * bearing.way if one else 0.0), bearing.steel, "strip"
        )
    ]
    return (key, *bars)


def _own_mass(bearing: GuideBearing) -> float:
    x, y = _spread(bearing)
    # The plates grow with the plan: a plate of 30 mm on both sides stands for them.
    plates = 2.0 * 0.03 * x * y * materials.STEEL_DENSITY
    return plates + mass_of(_own_parts(bearing))
