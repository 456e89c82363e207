"""The schedule of bearings as a workbook: for the supplier, the checker and the site.

Sheets: what to read first; the bearings in the columns the trade asks for; what governs with what
acts beside it; abutments and piers; permanent actions; parts; values to be confirmed. Units stand
in the heads, numbers are those of the schedule to six decimals.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterable, Mapping, Sequence

from bedstone import __version__
from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.bearings.base import Design, Part
from bedstone.bridge.schema import Bridge
from bedstone.cautions import FULL
from bedstone.output import words
from bedstone.output.sheets import is_ultimate
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS, UNITS, scaled, shown
from bedstone.output.workbook import Grid, Head, Page, Value, workbook
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Governing, Schedule, SeatInfo
from bedstone.site.setting import Setting
from bedstone.standards.values import Value as Known

_SERVICE = "SLS characteristic"
_FORCES = ("N", "Hx", "Hy")
_MOVES = ("vx", "vy", "rx", "ry")
_LOWER_PLATES = ("base plate", "lower fixing plate")
_UPPER_PLATES = ("sole plate", "top plate", "sliding plate", "upper fixing plate")
_Cells = Callable[[SeatInfo], Value]
_Columns = list[tuple[Head, _Cells]]

_NOT_STATED = (
    "Corrosion protection, tests and marking, jacking for replacement, movement tolerated under "
    "transient load: the bridge file does not hold them; they belong in the specification."
)


def schedule_workbook(
    schedule: Schedule,
    designs: Sequence[SeatDesign] = (),
    bridge: Bridge | None = None,
    settings: Sequence[Setting] = (),
    made: dt.date | None = None,
) -> bytes:
    """Return the schedule as the bytes of a workbook without macros, links or formulas.

    `designs`: the bearings designed or given, for sizes, fixings and parts; `bridge`: for what the
    bearings stand on; `settings`: how they are set; `made`: a date kept in the properties. The same
    input gives the same bytes. Raises `CheckError` when a number is not finite.
    """
    sheets: list[Page | Grid] = [
        _bearings(schedule, designs, bridge),
        _combinations(schedule),
        _supports(schedule),
        _permanent(schedule),
    ]
    if settings:
        sheets.insert(2, _setting(settings))
    if any(item.choice.design for item in designs):
        sheets.append(_parts(designs))
    recalled = _recalled(schedule, designs)
    if recalled:
        sheets.append(_confirm(recalled))
    first = _first(schedule, designs, [sheet.name for sheet in sheets])
    return workbook([first, *sheets], f"{words.title(schedule)}: schedule of bearings", made)


# ------------------------------------------------------------------ what to read first
def _first(schedule: Schedule, designs: Sequence[SeatDesign], names: Sequence[str]) -> Page:
    ultimate, service = _states(schedule)
    lines = [
        ("Caution", FULL),
        ("Bridge", schedule.bridge),
        ("Reference", schedule.reference),
        ("Standard", schedule.standard_title),
        ("Edition", schedule.edition),
        ("Arrangement", schedule.arrangement),
        ("Bearings set", schedule.set_at),
        ("Held in plan", f"{words.times(schedule.redundancy)} beyond what is needed"),
        ("Sheets", ", ".join(names)),
        ("Signs", SEAT_SIGNS),
        ("", SUPPORT_SIGNS),
        ("Ultimate", f"in the sheet of bearings the most adverse of: {', '.join(ultimate)}"),
        ("Service", ", ".join(service)),
        ("Lasting part", "what of a movement or rotation stays: from permanent actions"),
        ("Not stated", _NOT_STATED),
    ]
    if not designs:
        lines.append(("Sizes", "no bearing has been designed: sizes and fixings stay empty"))
    for head, sentences in words.remarks(schedule).items():
        lines += [(head if place == 0 else "", text) for place, text in enumerate(sentences)]
    for item in designs:
        refusal = item.choice.refusal
        if refusal is not None:
            lines.append((item.seat, f"no {item.choice.kind}: {refusal.reason}"))
        elif not item.choice.passes:
            lines.append((item.seat, f"{item.choice.kind}: a check does not hold"))
    lines += [("Self-check", words.self_check(schedule)), ("Made with", f"bedstone {__version__}")]
    return Page("Read first", f"Schedule of bearings: {words.title(schedule)}", tuple(lines))


def _states(schedule: Schedule) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Limit states that make up the ultimate and the service columns."""
    states = schedule.limit_states
    return tuple(filter(is_ultimate, states)), tuple(s for s in states if s == _SERVICE)


# ------------------------------------------------------------------ bearings
def _bearings(schedule: Schedule, designs: Sequence[SeatDesign], bridge: Bridge | None) -> Grid:
    seats = [seat for seat in schedule.seats if seat.function != "none"]
    designed = {item.seat: item for item in designs}
    types = _types(seats, designed)
    columns = _identity(schedule, types)
    ultimate, service = _states(schedule)
    for group, states in (("Ultimate", ultimate), ("Service", service)):
        if states:
            columns += _effects(schedule, group, states)
    if bridge is not None:
        columns += _seating(bridge)
    if designs:
        columns += _sizes(schedule, designed)
    heads = tuple(head for head, _ in columns)
    rows = tuple(tuple(cell(seat) for _, cell in columns) for seat in seats)
    return Grid(
        "Bearings",
        "Bearings",
        heads,
        rows,
        kept=2,
        pages=2,
        paper="A3",
        red_below_zero=tuple(i for i, head in enumerate(heads) if head.text == "N min"),
        red_above_one=tuple(i for i, head in enumerate(heads) if head.text == "utilisation"),
    )


def _types(
    seats: Sequence[SeatInfo], designed: Mapping[str, SeatDesign]
) -> dict[str, tuple[str, int]]:
    """Type and number off by mark: bearings alike in function, kind and all parts are one type."""
    kinds: dict[object, list[str]] = {}
    for seat in seats:
        design = _design(designed, seat.mark)
        key = (seat.function, seat.kind, None if design is None else _made_as(design))
        kinds.setdefault(key, []).append(seat.mark)
    return {
        mark: (f"T{number}", len(marks))
        for number, marks in enumerate(kinds.values(), start=1)
        for mark in marks
    }


def _made_as(design: Design) -> tuple[object, ...]:
    return (design.kind, *((part.name, part.material, part.size, part.number)
                           for part in design.parts))  # fmt: skip


def _identity(schedule: Schedule, types: Mapping[str, tuple[str, int]]) -> _Columns:
    group = "Bearing"
    permanent = SEAT_EFFECTS.index("N")
    return [
        (Head("mark", group=group, width=9), lambda seat: seat.mark),
        (Head("function", group=group, width=14), lambda seat: seat.function),
        (Head("type", group=group, width=6), lambda seat: types[seat.mark][0]),
        (Head("number off", group=group, width=8), lambda seat: types[seat.mark][1]),
        (Head("support", group=group, width=9), lambda seat: seat.support),
        (Head("kind", group=group, width=18), lambda seat: seat.kind),
        (Head("holds", group=group, width=12), words.holds),
        (Head("direction of x", "deg", group), lambda seat: _degrees(seat.angle)),
        *(
            (Head(name, "m", "Contact point", 9), _coordinate(place))
            for place, name in enumerate("xyz")
        ),
        (
            Head("N permanent", "kN", "Permanent, characteristic", 11),
            lambda seat: shown("N", schedule.permanent_seats[seat.mark][permanent]),
        ),
    ]


def _effects(schedule: Schedule, group: str, states: Sequence[str]) -> _Columns:
    """Largest and smallest forces, movements and rotations over some limit states."""
    found: dict[tuple[str, str, str], Governing] = {}
    for line in schedule.seat_lines:
        if line.limit_state not in states:
            continue
        key = (line.place, line.effect, line.sense)
        sign = 1.0 if line.sense == "max" else -1.0
        if key not in found or sign * line.value > sign * found[key].value:
            found[key] = line

    def extreme(effect: str, sense: str) -> _Cells:
        def cell(seat: SeatInfo) -> Value:
            line = found.get((seat.mark, effect, sense))
            return None if line is None else shown(effect, line.value)

        return cell

    def lasting(effect: str) -> _Cells:
        place = SEAT_EFFECTS.index(effect)

        def cell(seat: SeatInfo) -> Value:
            both = [found.get((seat.mark, effect, sense)) for sense in ("max", "min")]
            lines = [line for line in both if line is not None]
            if not lines:
                return None
            largest = max(lines, key=lambda line: abs(line.value))
            return shown(effect, largest.irreversible[place])

        return cell

    columns: _Columns = []
    for effect in (*_FORCES, *_MOVES):
        what = "forces" if effect in _FORCES else "movements" if effect[0] == "v" else "rotations"
        named, unit = f"{group}: {what}", UNITS[effect]
        for sense in ("max", "min"):
            columns.append((Head(f"{effect} {sense}", unit, named), extreme(effect, sense)))
        if effect in _MOVES:
            columns.append((Head(f"{effect} lasting", unit, named), lasting(effect)))
    return columns


def _seating(bridge: Bridge) -> _Columns:
    above = bridge.bearings.concrete_above

    def concrete(strength: float) -> str:
        return f"concrete, cylinder strength {strength / 1e6:.4g} MPa"

    lower = concrete(bridge.bearings.concrete_below)
    upper = concrete(above) if above is not None else "as the superstructure: steel or concrete"
    return [
        (Head("below", group="Seating", width=22), lambda _: lower),
        (Head("above", group="Seating", width=22), lambda _: upper),
    ]  # fmt: skip


def _sizes(schedule: Schedule, designed: Mapping[str, SeatDesign]) -> _Columns:
    """Sizes, fixings and use of the designed bearings; empty where there is none."""
    largest: dict[tuple[str, str], float] = {}
    for line in schedule.seat_lines:
        if line.effect == "N" and line.sense == "max":
            group = "ULS" if is_ultimate(line.limit_state) else line.limit_state
            key = (line.place, group)
            largest[key] = max(largest.get(key, 0.0), line.value)

    def of(get: Callable[[Design], Value]) -> _Cells:
        def cell(seat: SeatInfo) -> Value:
            design = _design(designed, seat.mark)
            return None if design is None else get(design)

        return cell

    def pressure(group: str, names: Sequence[str]) -> _Cells:
        def cell(seat: SeatInfo) -> Value:
            design = _design(designed, seat.mark)
            plate = None if design is None else _plate(design, names)
            force = largest.get((seat.mark, group))
            if plate is None or force is None:
                return None
            area = plate.dimensions["length"] * plate.dimensions["width"]
            return scaled(force / area, 1e-6, "contact pressure")

        return cell

    size, below, average = "Size overall", "Sends below", "Average pressure, N max"
    return [
        (Head("length along x", "mm", size), of(lambda d: scaled(d.reach[0], 1e3, "length"))),
        (Head("width along y", "mm", size), of(lambda d: scaled(d.reach[1], 1e3, "width"))),
        (Head("height", "mm", size), of(lambda d: scaled(d.height, 1e3, "height"))),
        (Head("mass", "kg", size), of(lambda d: scaled(d.mass, 1.0, "mass"))),
        (Head("force along x", "kN", below),
         of(lambda d: scaled(d.horizontal, 1e-3, "horizontal force"))),
        (Head("friction, adverse", "", below, 10, "0.000"),
         of(lambda d: scaled(d.behaviour.friction[0], 1.0, "friction"))),
        (Head("movement left", "mm", below),
         of(lambda d: scaled(d.left, 1e3, "left") if math.isfinite(d.left) else None)),
        (Head("below, ultimate", "MPa", average), pressure("ULS", _LOWER_PLATES)),
        (Head("below, service", "MPa", average), pressure(_SERVICE, _LOWER_PLATES)),
        (Head("above, ultimate", "MPa", average), pressure("ULS", _UPPER_PLATES)),
        (Head("above, service", "MPa", average), pressure(_SERVICE, _UPPER_PLATES)),
        (Head("below", group="Fixing", width=28), of(lambda d: _fixing(d, _LOWER_PLATES))),
        (Head("above", group="Fixing", width=28), of(lambda d: _fixing(d, _UPPER_PLATES))),
        (Head("utilisation", "", "Checks", 10, "0.00"),
         of(lambda d: scaled(d.utilisation, 1.0, "use") if math.isfinite(d.utilisation) else None)),
        (Head("passes", group="Checks", width=8), of(lambda d: "yes" if d.passes else "no")),
    ]  # fmt: skip


def _plate(design: Design, names: Sequence[str]) -> Part | None:
    return next((part for part in design.parts if part.name in names), None)


def _fixing(design: Design, names: Sequence[str]) -> str | None:
    """Anchors, dowels and welds of an outer plate in words."""
    plate = _plate(design, names)
    if plate is None:
        return None
    told = [
        f"{part.number} {part.name.removeprefix(f'{plate.name}: ')} {part.size} ({part.material})"
        for part in design.parts
        if part.name.startswith(f"{plate.name}: ")
    ]
    if plate.dimensions.get("weld", 0.0) > 0.0:
        told.append(f"fillet welds, throat {plate.dimensions['weld'] * 1e3:.4g} mm")
    return "; ".join(told) or None


# ------------------------------------------------------------------ what governs
def _combinations(schedule: Schedule) -> Grid:
    functions = {seat.mark: (seat.support, seat.function) for seat in schedule.seats}
    group = "Governing"
    heads = (
        Head("limit state", group=group, width=20),
        Head("mark", group=group),
        Head("effect", group=group, width=7),
        Head("extreme", group=group, width=8),
        Head("support", group=group),
        Head("function", group=group, width=14),
        *_governing_heads(SEAT_EFFECTS),
        *(Head(name, UNITS[name], "Lasting part of what acts") for name in _MOVES),
        *_told_heads(),
    )
    rows = []
    for line in schedule.seat_lines:
        effects = [shown(name, line.irreversible[SEAT_EFFECTS.index(name)]) for name in _MOVES]
        place = (line.limit_state, line.place, line.effect, line.sense, *functions[line.place])
        rows.append((*place, *_governing(line, SEAT_EFFECTS), *effects, *_told(line)))
    title = "Combinations: each governing extreme at each bearing, and what acts with it"
    return Grid("Combinations", title, heads, tuple(rows), kept=4, pages=2, paper="A3")


def _supports(schedule: Schedule) -> Grid:
    places = {place.mark: place for place in schedule.supports}
    group = "Governing"
    heads = (
        Head("limit state", group=group, width=20),
        Head("support", group=group),
        Head("effect", group=group, width=7),
        Head("extreme", group=group, width=8),
        Head("chainage", "m", group),
        Head("skew", "deg", group),
        *_governing_heads(SUPPORT_EFFECTS),
        *_told_heads(),
    )
    rows = []
    for line in schedule.support_lines:
        place = places[line.place]
        head = (line.limit_state, line.place, line.effect, line.sense)
        where = (scaled(place.chainage, 1.0, "chainage"), _degrees(place.skew))
        rows.append((*head, *where, *_governing(line, SUPPORT_EFFECTS), *_told(line)))
    title = "Abutments and piers: each governing extreme, and what acts with it"
    return Grid("Supports", title, heads, tuple(rows), kept=4, pages=2, paper="A3")


def _governing_heads(names: Sequence[str]) -> tuple[Head, ...]:
    heads = [Head("value", "", "Governing", 11, "0.00"), Head("unit", "", "Governing", 7)]
    return (*heads, *(Head(name, UNITS[name], "Acting at the same moment") for name in names))


def _governing(line: Governing, names: Sequence[str]) -> tuple[Value, ...]:
    acting = (shown(name, value) for name, value in zip(names, line.acting, strict=True))
    return (shown(line.effect, line.value), UNITS[line.effect], *acting)


def _told_heads() -> tuple[Head, ...]:
    return (
        Head("combination", "", "Comes from", 34),
        Head("clause", "", "Comes from", 20),
        Head("stiffness below", "", "Comes from", 10),
        Head("open bearings", "", "Comes from", 16),
        Head("actions in it", "", "Comes from", 60),
    )


def _told(line: Governing) -> tuple[Value, ...]:
    unit = UNITS[line.effect]
    shares = "; ".join(
        f"{share.action} {shown(line.effect, share.value):.6g} {unit} (x {share.factor:.3g})"
        + (f" at {share.where}" if share.where else "")
        for share in line.shares
    )
    return line.combination, line.clause, line.bound, line.contact, shares


def _permanent(schedule: Schedule) -> Grid:
    """Seats above, then supports: their effects have different names, so each row tells its own."""
    heads = (
        Head("place"),
        Head("effect", width=8),
        Head("value", "", width=12, format="0.00"),
        Head("unit", width=8),
    )
    rows: list[tuple[Value, ...]] = []
    for table, names in (
        (schedule.permanent_seats, SEAT_EFFECTS),
        (schedule.permanent_supports, SUPPORT_EFFECTS),
    ):
        for mark, values in table.items():
            rows += [
                (mark, name, shown(name, value), UNITS[name])
                for name, value in zip(names, values, strict=True)
            ]
    title = "Permanent actions alone, characteristic: bearings, then abutments and piers"
    return Grid("Permanent", title, heads, tuple(rows))


def _setting(settings: Sequence[Setting]) -> Grid:
    """A row for each bearing and temperature of its steel."""
    group, joint = "Upper part from the middle of the lower", "Joint above"
    heads = (
        Head("mark", group="Bearing"),
        Head("steel", "degC", "Bearing", 9, "0.0"),
        Head("function", group="Bearing", width=14),
        Head("kind", group="Bearing", width=18),
        Head("N when set", "kN", "Bearing", 10),
        Head("offset x", "mm", group),
        Head("offset y", "mm", group),
        Head("rollers x", "mm", group),
        Head("movement left", "mm", "Reserve"),
        Head("temperature may be off by", "K", "Reserve", 12, "0.0"),
        Head("still closes", "mm", joint),
        Head("still opens", "mm", joint),
    )
    rows = []
    for found in settings:
        for row in found.rows:
            opening = row.opening
            rows.append(
                (
                    found.seat,
                    scaled(row.temperature, 1.0, "temperature"),
                    found.function,
                    found.kind,
                    scaled(found.load_set, 1e-3, "load"),
                    *(scaled(value, 1e3, "offset") for value in row.offset),
                    _millimetres(found.roller(row)),
                    _millimetres(row.left),
                    None if found.slack(row) is None else scaled(found.slack(row) or 0.0, 1.0, "K"),
                    None if opening is None else _millimetres(opening.closes),
                    None if opening is None else _millimetres(opening.opens),
                )
            )
    title = "Setting: offset of each bearing by the temperature of the steel on the day"
    return Grid("Setting", title, heads, tuple(rows), kept=2)


# ------------------------------------------------------------------ parts, values to be confirmed
def _parts(designs: Sequence[SeatDesign]) -> Grid:
    heads = (
        Head("mark"),
        Head("kind", width=20),
        Head("part", width=28),
        Head("number", width=8),
        Head("size, mm", width=52),
        Head("material", width=30),
        Head("mass of one", "kg", width=10, format="0.00"),
        Head("mass of all", "kg", width=10, format="0.00"),
        Head("what it does", width=46),
    )
    rows = tuple(
        (
            item.seat,
            item.choice.kind,
            part.name,
            part.number,
            part.size,
            part.material,
            scaled(part.mass, 1.0, "mass"),
            scaled(part.mass * part.number, 1.0, "mass"),
            part.function,
        )
        for item in designs
        if item.choice.design is not None
        for part in item.choice.design.parts
    )
    return Grid("Parts", "Parts of the bearings", heads, rows, kept=3)


def _confirm(values: Iterable[Known]) -> Grid:
    heads = (
        Head("name", width=34),
        Head("value", width=24),
        Head("unit", width=10),
        Head("standard", width=24),
        Head("edition", width=18),
        Head("clause", width=20),
        Head("source", width=46),
    )
    rows = tuple(
        (
            value.name,
            value.value if isinstance(value.value, float | int) else str(value.value),
            value.unit,
            value.standard,
            value.edition,
            value.clause,
            value.source,
        )
        for value in values
    )
    title = "Values known from memory: confirm each against the printed clause"
    return Grid("To confirm", title, heads, rows)


def _recalled(schedule: Schedule, designs: Sequence[SeatDesign]) -> list[Known]:
    found = {value.name: value for value in schedule.memory}
    for item in designs:
        found |= {value.name: value for value in item.memory}
    return list(found.values())


# ------------------------------------------------------------------ small things
def _design(designed: Mapping[str, SeatDesign], mark: str) -> Design | None:
    item = designed.get(mark)
    return None if item is None else item.choice.design


def _millimetres(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else scaled(value, 1e3, "length")


def _degrees(angle: float) -> float:
    return scaled(angle, math.degrees(1.0), "direction")


def _coordinate(place: int) -> _Cells:
    return lambda seat: scaled(seat.point[place], 1.0, "point")
