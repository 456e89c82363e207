"""What the fields of a bridge file ask of each other; each check names the field to change.

A check yields a `Finding` for each fault and changes nothing. The reader turns findings into faults
with the words of the file.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from bedstone.bridge.comparison_checks import check_comparison, check_comparison_seats
from bedstone.bridge.findings import Finding, Step, joined, metres, some, unknown
from bedstone.bridge.schema import (
    Bridge,
    Column,
    Girders,
    GivenSprings,
    Reactions,
    Rigid,
    Section,
    Truss,
    TrussMembers,
)
from bedstone.bridge.seats import line_offsets, resolve_functions, seat_marks
from bedstone.bridge.tables import FrameData, ReactionData

TOLERANCE = 1e-3  # m, in comparing chainages and offsets
STEEPEST_SKEW = math.radians(75.0)
_MOST_ELEMENTS = 5000  # along the bridge; finer is a slip in the unit
#: Plausible moduli, Pa: outside them the unit is a slip (common practice, no source).
_STEEL_E = (50e9, 500e9)
_CONCRETE_E = (5e9, 100e9)
_COLUMN_E = (1e9, 500e9)  # of masonry and timber too
_STIFF = 1e-9  # eigenvalues of a 6 x 6 stiffness, against the largest, that count as zero


def check_bridge(bridge: Bridge) -> Iterator[Finding]:
    """Give every fault between fields that shows without knowing the seats."""
    checks = (
        _supports,
        _below,
        _materials,
        _alignment,
        _superstructure,
        _stages,
        _traffic,
        _other_actions,
        _arrangement,
        _bearings,
        check_comparison,
    )
    for check in checks:
        yield from check(bridge)


# ------------------------------------------------------------------ supports
def _supports(bridge: Bridge) -> Iterator[Finding]:
    first: dict[str, int] = {}
    for index, support in enumerate(bridge.support):
        if support.mark in first:
            allowed = "a mark of its own for each support"
            yield Finding(("support", index, "mark"), repr(support.mark), allowed)
        first.setdefault(support.mark, index)
        if abs(support.skew) >= STEEPEST_SKEW:
            found = f"{math.degrees(support.skew):.6g} deg"
            yield Finding(("support", index, "skew"), found, "between -75 and 75 deg")
    for index, (back, ahead) in enumerate(itertools.pairwise(bridge.support), start=1):
        if not ahead.chainage > back.chainage:
            found = metres(ahead.chainage)
            allowed = f"more than the support before it, {metres(back.chainage)}"
            yield Finding(("support", index, "chainage"), found, allowed)
    superstructure = bridge.superstructure
    if isinstance(superstructure, Girders | Truss) and len(bridge.support) < 2:
        yield Finding(("support",), "one support", "at least two supports")


def _below(bridge: Bridge) -> Iterator[Finding]:
    for index, support in enumerate(bridge.support):
        path: tuple[Step, ...] = ("support", index, "below")
        if isinstance(support.below, Column):
            yield from _column(support.below, path)
        elif isinstance(support.below, GivenSprings):
            yield from _given_springs(support.below, path)
        if support.bounds.lower > support.bounds.upper:
            found = f"{support.bounds.lower:g}"
            allowed = f"not more than upper, {support.bounds.upper:g}"
            yield Finding(("support", index, "bounds", "lower"), found, allowed)
        elif isinstance(support.below, Rigid):
            for name in ("lower", "upper"):
                factor = getattr(support.bounds, name)
                if factor != 1.0:
                    allowed = "1, as below is rigid: nothing there gives way"
                    yield Finding(("support", index, "bounds", name), f"{factor:g}", allowed)


def _materials(bridge: Bridge) -> Iterator[Finding]:
    materials = bridge.materials
    yield from _modulus(("materials", "steel_E"), materials.steel_E, _STEEL_E, "steel")
    yield from _modulus(("materials", "concrete_E"), materials.concrete_E, _CONCRETE_E, "concrete")


def _modulus(
    path: tuple[Step, ...], value: float, plausible: tuple[float, float], of: str
) -> Iterator[Finding]:
    least, most = plausible
    if not least <= value <= most:
        allowed = f"what is plausible for {of}, {least / 1e9:g} to {most / 1e9:g} GPa"
        yield Finding(path, f"{value / 1e9:.6g} GPa", allowed)


def _alignment(bridge: Bridge) -> Iterator[Finding]:
    radius = bridge.alignment.radius
    if radius is None or not bridge.support:
        return
    superstructure = bridge.superstructure
    if isinstance(superstructure, Girders | Truss):
        right, left = _deck_edges(superstructure)
        half = max(abs(right), abs(left))
        if radius <= half:
            allowed = f"more than half the deck's width, {metres(half)}"
            yield Finding(("alignment", "radius"), metres(radius), allowed)
            return  # the turn would be told of the same slip
    length = bridge.support[-1].chainage - bridge.support[0].chainage
    if isinstance(superstructure, Girders):
        length += superstructure.start_overhang + superstructure.end_overhang
    if length > math.pi * radius:
        found = f"{metres(radius)}, turning {math.degrees(length / radius):.0f} deg over the bridge"
        allowed = f"at most 180 deg over {metres(length)}: at least {metres(length / math.pi)}"
        yield Finding(("alignment", "radius"), found, allowed)


def _column(column: Column, path: tuple[Step, ...]) -> Iterator[Finding]:
    yield from _modulus((*path, "E"), column.E, _COLUMN_E, "a column")
    ways = (("diameter",), ("along", "across"), ("A", "Ix", "Iy", "J"))
    given = {name for way in ways for name in way if getattr(column, name) is not None}
    allowed = "diameter, or along and across, or A, Ix, Iy and J"
    begun = [way for way in ways if given & set(way)]
    if not begun:
        yield Finding((*path, "diameter"), "nothing", allowed)
    elif len(begun) > 1:
        named = [name for way in begun for name in way if name in given]
        yield Finding((*path, named[0]), joined(named), f"only one of: {allowed}")
    else:
        for name in begun[0]:
            if name not in given:
                yield Finding((*path, name), "nothing", f"{joined(begun[0])} together")
    if column.count > 1 and column.spacing is None:
        allowed = f"the distance between the {column.count} columns"
        yield Finding((*path, "spacing"), "nothing", allowed)
    width = column.diameter or column.across or 0.0
    if column.count > 1 and column.spacing is not None and column.spacing < width:
        found = metres(column.spacing)
        yield Finding((*path, "spacing"), found, f"at least their width, {metres(width)}")


def _given_springs(below: GivenSprings, path: tuple[Step, ...]) -> Iterator[Finding]:
    if (below.springs is None) == (below.matrix is None):
        found = "nothing" if below.springs is None else "both springs and matrix"
        yield Finding((*path, "springs"), found, "springs or matrix, one of the two")
    matrix = below.matrix
    if matrix is None:
        return
    path = (*path, "matrix")
    if len(matrix) != 6 or any(len(row) != 6 for row in matrix):
        rows = ", ".join(str(len(row)) for row in matrix[:8])
        found = f"{len(matrix)} rows with {rows or 'no'} entries"
        yield Finding(path, found, "6 rows (x, y, z, rx, ry, rz) of 6 numbers")
        return
    # Scaled to a unit diagonal, so that N/m and N m/rad can be compared.
    for index in range(6):
        if matrix[index][index] <= 0.0:
            found = f"{matrix[index][index]:g} on the diagonal"
            yield Finding((*path, index), found, "numbers above 0 on the diagonal")
            return
    root = [math.sqrt(matrix[index][index]) for index in range(6)]
    scaled = [[matrix[i][j] / root[i] / root[j] for j in range(6)] for i in range(6)]
    for i, j in itertools.combinations(range(6), 2):
        if not abs(scaled[i][j] - scaled[j][i]) <= 1e-6:
            found = f"{matrix[i][j]:g} in row {i + 1}, column {j + 1}, {matrix[j][i]:g} across"
            yield Finding(path, found, "a symmetric matrix")
            return
    if not _positive_definite(scaled):
        yield Finding(path, "a matrix that is not positive definite", "a positive definite matrix")


def _positive_definite(matrix: Sequence[Sequence[float]]) -> bool:
    """Whether a symmetric matrix with unit diagonal has a Cholesky factor with sound pivots."""
    size = len(matrix)
    factor = [[0.0] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            rest = matrix[i][j] - sum(factor[i][k] * factor[j][k] for k in range(j))
            if i == j:
                if not rest > _STIFF:
                    return False
                factor[i][i] = math.sqrt(rest)
            else:
                factor[i][j] = rest / factor[j][j]
    return True


# ------------------------------------------------------------------ superstructure
def _superstructure(bridge: Bridge) -> Iterator[Finding]:
    superstructure = bridge.superstructure
    if isinstance(superstructure, Girders):
        yield from _girder_lines(superstructure)
        yield from _girder_sections(bridge, superstructure)
    elif isinstance(superstructure, Truss):
        yield from _truss(bridge, superstructure)
    if isinstance(superstructure, Girders | Truss):
        yield from _given_sections(superstructure)


def _girder_lines(girders: Girders) -> Iterator[Finding]:
    path = ("superstructure",)
    if girders.offsets is not None:
        for name in ("number", "spacing"):
            if getattr(girders, name) is not None:
                yield Finding((*path, name), "both offsets and " + name, "one of the two")
        if not girders.offsets:
            yield Finding((*path, "offsets"), "an empty list", "y of each girder line")
        ordered = sorted(girders.offsets)
        if any(b - a < TOLERANCE for a, b in itertools.pairwise(ordered)):
            found = ", ".join(metres(offset) for offset in girders.offsets[:12])
            yield Finding((*path, "offsets"), found, "girder lines apart from each other")
    elif girders.number is None:
        yield Finding((*path, "number"), "nothing", "number and spacing, or offsets")
    elif girders.spacing is None and girders.number > 1:
        yield Finding((*path, "spacing"), "nothing", "number and spacing, or offsets")
    if girders.type == "composite" and girders.slab is None:
        allowed = "a slab, as the type is composite"
        yield Finding((*path, "slab"), "nothing", allowed)


def _girder_sections(bridge: Bridge, girders: Girders) -> Iterator[Finding]:
    path = ("superstructure",)
    names = list(girders.sections)
    start = bridge.support[0].chainage - girders.start_overhang
    end = bridge.support[-1].chainage + girders.end_overhang
    reached = start
    for index, segment in enumerate(girders.segments):
        place: tuple[Step, ...] = (*path, "segments", index)
        for field in ("section", "end_section"):
            name = getattr(segment, field)
            if name is not None and name not in girders.sections:
                yield unknown((*place, field), name, names, "a name under sections")
        a = girders.sections.get(segment.section)
        b = girders.sections.get(segment.end_section or segment.section)
        if a is not None and b is not None and a.kind != b.kind:
            allowed = f"a section of the same kind as {segment.section}, {a.kind}"
            yield Finding((*place, "end_section"), f"{segment.end_section}, {b.kind}", allowed)
        if segment.end <= segment.start:
            allowed = f"more than start, {metres(segment.start)}"
            yield Finding((*place, "end"), metres(segment.end), allowed)
        wrong = (
            segment.start > reached + TOLERANCE
            if index == 0
            else (abs(segment.start - reached) > TOLERANCE)
        )
        if wrong:
            what = "not more than the start of the girders" if index == 0 else "the end before it"
            yield Finding((*place, "start"), metres(segment.start), f"{what}, {metres(reached)}")
        reached = segment.end
    if reached < end - TOLERANCE:
        allowed = f"at least the end of the girders, {metres(end)}"
        last = len(girders.segments) - 1
        yield Finding((*path, "segments", last, "end"), metres(reached), allowed)
    if girders.mesh is not None and (end - start) / girders.mesh > _MOST_ELEMENTS:
        yield _too_fine((*path, "mesh"), girders.mesh, end - start)
    diaphragms = girders.diaphragms
    if diaphragms is None:
        return
    path_d = (*path, "diaphragms")
    for field in ("section", "support_section"):
        name = getattr(diaphragms, field)
        if name is not None and name not in girders.sections:
            yield unknown((*path_d, field), name, names, "a name under sections")
    if diaphragms.spacing is not None and diaphragms.chainages is not None:
        found = "both spacing and chainages"
        yield Finding((*path_d, "chainages"), found, "one of the two")
    if diaphragms.spacing is not None and (end - start) / diaphragms.spacing > _MOST_ELEMENTS:
        yield _too_fine((*path_d, "spacing"), diaphragms.spacing, end - start)
    for index, chainage in enumerate(diaphragms.chainages or []):
        if not start - TOLERANCE <= chainage <= end + TOLERANCE:
            allowed = f"between {metres(start)} and {metres(end)}"
            yield Finding((*path_d, "chainages", index), metres(chainage), allowed)


def _truss(bridge: Bridge, truss: Truss) -> Iterator[Finding]:
    path = ("superstructure",)
    spans = len(bridge.support) - 1
    if len(truss.panels) != spans and spans > 0:
        found = f"{len(truss.panels)} spans"
        allowed = f"{spans}, one number for each span between the {spans + 1} supports"
        yield Finding((*path, "panels"), found, allowed)
    if len(truss.heights) > 1:
        points = [count + 1 for count in truss.panels]
        if any(len(truss.heights) != count for count in points):
            wanted = " and ".join(str(count) for count in sorted(set(points)))
            allowed = f"1, or one for each panel point of a span ({wanted})"
            yield Finding((*path, "heights"), f"{len(truss.heights)} heights", allowed)
    half = truss.spacing / 2.0
    for index, offset in enumerate(truss.stringer_offsets):
        if abs(offset) > half + TOLERANCE:
            allowed = f"between the trusses, {metres(-half)} to {metres(half)}"
            yield Finding((*path, "stringer_offsets", index), metres(offset), allowed)
    ordered = sorted(truss.stringer_offsets)
    if any(b - a < TOLERANCE for a, b in itertools.pairwise(ordered)):
        found = ", ".join(metres(offset) for offset in truss.stringer_offsets[:12])
        yield Finding((*path, "stringer_offsets"), found, "stringers apart from each other")
    names = list(truss.sections)
    for field in TrussMembers.model_fields:
        name = getattr(truss.members, field)
        if name is not None and name not in truss.sections:
            yield unknown((*path, "members", field), name, names, "a name under sections")
    if truss.slab_composite and truss.slab is None:
        yield Finding((*path, "slab"), "nothing", "a slab, as slab_composite is true")


def _given_sections(superstructure: Girders | Truss) -> Iterator[Finding]:
    for name, section in superstructure.sections.items():
        yield from _section(section, ("superstructure", "sections", name))


def _section(section: Section, path: tuple[Step, ...]) -> Iterator[Finding]:
    if section.kind == "given" and section.centroid > section.depth:
        allowed = f"not more than depth, {metres(section.depth)}"
        yield Finding((*path, "centroid"), metres(section.centroid), allowed)
    if section.kind == "plate girder":
        narrow = min(section.top_width, section.bottom_width)
        if section.web_thickness > narrow:
            allowed = f"not more than the narrower flange, {metres(narrow)}"
            yield Finding((*path, "web_thickness"), metres(section.web_thickness), allowed)
    if section.kind == "steel box":
        narrow = min(section.top_width, section.bottom_width)
        if section.web_spacing > narrow:
            allowed = f"not more than the narrower flange, {metres(narrow)}"
            yield Finding((*path, "web_spacing"), metres(section.web_spacing), allowed)


def _deck_edges(superstructure: Girders | Truss) -> tuple[float, float]:
    """Return y of the right and left edge: of the slab, of the outer lines, or of the trusses."""
    lines = line_offsets(superstructure) or (0.0,)
    if isinstance(superstructure, Truss):
        lines = (*lines, *superstructure.stringer_offsets)
    right, left = min(lines), max(lines)
    if superstructure.slab is not None:
        right -= superstructure.slab.overhang_right
        left += superstructure.slab.overhang_left
    return right, left


# ------------------------------------------------------------------ stages and loads
def _stages(bridge: Bridge) -> Iterator[Finding]:
    names: set[str] = set()
    for index, stage in enumerate(bridge.stage):
        if stage.name in names:
            allowed = "a name of its own for each stage"
            yield Finding(("stage", index, "name"), repr(stage.name), allowed)
        names.add(stage.name)
        for number in range(len(stage.loads)):
            yield from _load(bridge, index, number)


# Fields of a load that its kind needs, and those it may have besides.
_LOAD_FIELDS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "self weight": ((), ()),
    "slab": ((), ()),
    "area": (("value",), ("from_y", "to_y")),
    "line": (("line_value", "y"), ()),
}


def _load(bridge: Bridge, stage: int, number: int) -> Iterator[Finding]:
    load = bridge.stage[stage].loads[number]
    path: tuple[Step, ...] = ("stage", stage, "loads", number)
    needed, besides = _LOAD_FIELDS[load.kind]
    for name in ("value", "line_value", "from_y", "to_y", "y"):
        given = getattr(load, name) is not None
        if name in needed and not given:
            yield Finding((*path, name), "nothing", f"this field, as the kind is {load.kind}")
        if given and name not in needed + besides:
            allowed = f"no such field, as the kind is {load.kind}"
            yield Finding((*path, name), "a value", allowed)
    if load.from_y is not None and load.to_y is not None and load.to_y <= load.from_y:
        allowed = f"more than from_y, {metres(load.from_y)}"
        yield Finding((*path, "to_y"), metres(load.to_y), allowed)
    superstructure = bridge.superstructure
    if load.kind == "slab" and getattr(superstructure, "slab", None) is None:
        yield Finding((*path, "kind"), "'slab'", "a superstructure with a slab")


# ------------------------------------------------------------------ actions
def _traffic(bridge: Bridge) -> Iterator[Finding]:
    traffic = bridge.actions.traffic
    if traffic is None:
        return
    path = ("actions", "traffic")
    on_road = bridge.bridge.use == "road"
    if not on_road and not traffic.tracks:
        allowed = "at least one track, as the use is rail"
        yield Finding((*path, "tracks"), "nothing", allowed)
    for name in ("right", "left"):
        if getattr(traffic, name) is None and (
            on_road or traffic.right is not None or traffic.left is not None
        ):
            yield Finding((*path, name), "nothing", "y of this edge of the carriageway")
    if traffic.right is not None and traffic.left is not None:
        if traffic.left <= traffic.right:
            allowed = f"more than right, {metres(traffic.right)}"
            yield Finding((*path, "left"), metres(traffic.left), allowed)
        yield from _on_deck(bridge, traffic.right, traffic.left)
    if traffic.start is not None and traffic.end is not None and traffic.end <= traffic.start:
        allowed = f"more than start, {metres(traffic.start)}"
        yield Finding((*path, "end"), metres(traffic.end), allowed)
    names: set[str] = set()
    for index, train in enumerate(traffic.trains):
        place: tuple[Step, ...] = (*path, "trains", index)
        if train.name in names:
            yield Finding((*place, "name"), repr(train.name), "a name of its own for each train")
        names.add(train.name)
        if len(train.factors) not in (1, train.lanes):
            found = f"{len(train.factors)} factors"
            yield Finding((*place, "factors"), found, f"1 or {train.lanes}, as there are lanes")
        if train.track > train.width:
            allowed = f"not more than width, {metres(train.width)}"
            yield Finding((*place, "track"), metres(train.track), allowed)


def _on_deck(bridge: Bridge, right: float, left: float) -> Iterator[Finding]:
    superstructure = bridge.superstructure
    if not isinstance(superstructure, Girders) or superstructure.slab is None:
        return
    deck_right, deck_left = _deck_edges(superstructure)
    path = ("actions", "traffic")
    if right < deck_right - TOLERANCE:
        allowed = f"on the slab, not less than {metres(deck_right)}"
        yield Finding((*path, "right"), metres(right), allowed)
    if left > deck_left + TOLERANCE:
        allowed = f"on the slab, not more than {metres(deck_left)}"
        yield Finding((*path, "left"), metres(left), allowed)


def _other_actions(bridge: Bridge) -> Iterator[Finding]:
    actions = bridge.actions
    marks = [support.mark for support in bridge.support]
    temperature = actions.temperature
    if temperature is not None and temperature.air_max <= temperature.air_min:
        allowed = f"more than air_min, {temperature.air_min:g} degC"
        path = ("actions", "temperature", "air_max")
        yield Finding(path, f"{temperature.air_max:g} degC", allowed)
    wind = actions.wind
    if wind is not None and wind.speed is not None and wind.pressure is not None:
        path = ("actions", "wind", "pressure")
        yield Finding(path, "both speed and pressure", "one of the two")
    for index, settlement in enumerate(actions.settlement):
        if settlement.support not in marks:
            yield unknown(
                ("actions", "settlement", index, "support"),
                settlement.support,
                marks,
                "the mark of a support",
            )
    if isinstance(bridge.superstructure, Truss):
        groups = list(TrussMembers.model_fields)
        for index, lengthening in enumerate(actions.lengthening):
            if lengthening.members not in groups:
                yield unknown(
                    ("actions", "lengthening", index, "members"),
                    lengthening.members,
                    groups,
                    "a group of members",
                )
    if isinstance(bridge.superstructure, Reactions):
        for name in ("settlement", "lengthening", "jacking"):
            if getattr(actions, name):
                found = "given for reactions without a model"
                yield Finding(("actions", name), found, "a row for each seat in the effects table")


# ------------------------------------------------------------------ arrangement
def _arrangement(bridge: Bridge) -> Iterator[Finding]:
    arrangement = bridge.arrangement
    stages = [stage.name for stage in bridge.stage]
    if arrangement.set_at is not None and arrangement.set_at not in stages:
        what = "the name of a stage" if stages else "a stage of this name in the file"
        yield unknown(("arrangement", "set_at"), arrangement.set_at, stages, what)
    marks = [support.mark for support in bridge.support]
    for mark in arrangement.supports:
        if mark not in marks:
            path = ("arrangement", "supports", mark)
            yield unknown(path, mark, marks, "the mark of a support")


def _bearings(bridge: Bridge) -> Iterator[Finding]:
    bearings = bridge.bearings
    given = {"plinth_along": bearings.plinth_along, "plinth_across": bearings.plinth_across}
    for name, value in given.items():
        if value is None and any(other is not None for other in given.values()):
            yield Finding(("bearings", name), "nothing", "both sizes of the plinth, or neither")
    seen: set[str] = set()
    for index, bearing in enumerate(bearings.given):
        if bearing.seat in seen:
            allowed = "one given bearing for a seat"
            yield Finding(("bearings", "given", index, "seat"), repr(bearing.seat), allowed)
        seen.add(bearing.seat)


def check_seats(
    bridge: Bridge, tables: FrameData | ReactionData | None = None
) -> Iterator[Finding]:
    """Give every fault in what the file says about single seats."""
    arrangement = bridge.arrangement
    seats = seat_marks(bridge, tables)
    marks = [seat.mark for seat in seats]
    supports = [support.mark for support in bridge.support]
    counted: set[str] = set()
    for mark, told in arrangement.supports.items():
        here = [seat.mark for seat in seats if seat.support == mark]
        if isinstance(told, list) and mark in supports and len(told) != len(here):
            allowed = f"one word, or {len(here)} functions: {some(here)}"
            yield Finding(("arrangement", "supports", mark), f"{len(told)} functions", allowed)
            counted.update(here)  # told once, not once more for each seat
    for mark in arrangement.seats:
        if mark not in marks:
            yield unknown(("arrangement", "seats", mark), mark, marks, "the mark of a seat")
    functions, missing = resolve_functions(bridge, seats)
    for mark in missing:
        if mark not in counted:
            allowed = "a function for this seat here or under arrangement.supports"
            yield Finding(("arrangement", "seats", mark), "nothing", allowed)
    for mark, seat in functions.items():
        if seat.function == "elastic" and seat.stiffness is None:
            allowed = "stiffness, as the function is elastic"
            yield Finding(("arrangement", "seats", mark, "stiffness"), "nothing", allowed)
    fixed_point = arrangement.fixed_point
    if fixed_point is not None and fixed_point not in marks and fixed_point not in supports:
        what = "the mark of a seat or a support"
        path = ("arrangement", "fixed_point")
        yield unknown(path, fixed_point, marks + supports, what)
    for index, jacking in enumerate(bridge.actions.jacking):
        if jacking.seat not in marks:
            path_j = ("actions", "jacking", index, "seat")
            yield unknown(path_j, jacking.seat, marks, "the mark of a seat")
    yield from _seats_of_bearings(bridge, marks, supports)
    yield from _places_of_jacks(bridge, marks, supports)
    yield from check_comparison_seats(bridge, seats, tables)
    if isinstance(tables, FrameData):
        members = list(tables.members.member)
        for index, lengthening in enumerate(bridge.actions.lengthening):
            if lengthening.members not in members:
                path_l = ("actions", "lengthening", index, "members")
                what = "a member of the table of members"
                yield unknown(path_l, lengthening.members, members, what)


def _seats_of_bearings(bridge: Bridge, marks: list[str], supports: list[str]) -> Iterator[Finding]:
    for mark in bridge.bearings.kinds:
        if mark not in marks and mark not in supports:
            path: tuple[Step, ...] = ("bearings", "kinds", mark)
            yield unknown(path, mark, marks + supports, "the mark of a seat or a support")
    for index, bearing in enumerate(bridge.bearings.given):
        if bearing.seat not in marks:
            path = ("bearings", "given", index, "seat")
            yield unknown(path, bearing.seat, marks, "the mark of a seat")


def _places_of_jacks(bridge: Bridge, marks: list[str], supports: list[str]) -> Iterator[Finding]:
    seen: set[str] = set()
    for index, jacks in enumerate(bridge.replacement.jacks):
        path: tuple[Step, ...] = ("replacement", "jacks", index, "at")
        if jacks.at not in marks and jacks.at not in supports:
            yield unknown(path, jacks.at, marks + supports, "the mark of a seat or a support")
        elif jacks.at in seen:
            yield Finding(path, f"{jacks.at!r} again", "one entry for a seat or a support")
        seen.add(jacks.at)


def _too_fine(path: tuple[Step, ...], found: float, length: float) -> Finding:
    allowed = f"at least {metres(length / _MOST_ELEMENTS)}, a {_MOST_ELEMENTS}th of the bridge"
    return Finding(path, metres(found), allowed)
