"""Who takes the horizontal force, three ways beside each other, printed for people.

Together with the point that temperature does not move, of which it depends what slides where.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.bridge.schema import Bridge
from bedstone.cautions import FULL
from bedstone.comparison.fixed_point import Piece, StillPoints
from bedstone.comparison.history import PHASES
from bedstone.comparison.sharing import Range, Row, Sharing
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import SUPPORT_SIGNS, decimals, figure, measured, plain, scaled
from bedstone.output.tables import printed
from bedstone.schedule.context import family_name, family_of
from bedstone.standards.record import Line

#: Part of the largest value of a column below which another one is nothing but rounding.
_NOTHING = 1e-6

READING = (
    "Sizes without sign, characteristic, at supports along and across the bridge, at bearings by "
    "x' and y'. Rule: the clause of the family, with the braking where it is worst. Elastic: by "
    "stiffness alone, nothing rubs; traffic that brakes along, wind across. Locked: by the uniform "
    "temperature farthest from that of setting, elastic. Path: everything together with friction, "
    "play and stops, the largest over the whole history, and over each of its phases. Two numbers "
    "are the bounds over stiffness below, on the path over friction too."
)
STILL = (
    "The point that temperature does not move: between these bounds of stiffness below, warmer and "
    "colder, without and with friction. Length: of superstructure from there to the joint."
)


def sharing_view(
    found: Sharing, points: StillPoints, bridge: Bridge, *, seats: bool = True
) -> Iterator[RenderableType]:
    """All tables of the sharing; `seats`: also of every bearing."""
    reference = f" ({bridge.bridge.reference})" if bridge.bridge.reference else ""
    yield Text(plain(f"{bridge.bridge.name}{reference}"), style="bold")
    title = family_of(family_name(found.family)).title
    yield Text(plain(f"{title}. Arrangement: {bridge.arrangement.name}."))
    yield from (Text(plain(line)) for line in acting(found))
    for way in ("along", "across"):
        yield from printed(three_ways(found, "support", way))
        if found.timeline is not None:
            yield from printed(by_phase(found, "support", way))
    yield from _under("Not covered by a rule", not_covered(found))
    if any(item.line is not None for item in found.ruled) and found.force > 0.0:
        yield from printed(rules(found))
    if seats:
        for way in ("along", "across"):
            yield from printed(three_ways(found, "seat", way))
    if found.travel:
        yield from printed(travel(found))
    yield from printed(still_along(points))
    across = still_across(points)
    if across.rows:
        yield from printed(across)
    yield from _under("Notes", notes(found, points))
    yield Text(f"\n{self_check(found, points)}")
    yield Text(f"\n{READING}\n{STILL}\n{SUPPORT_SIGNS}", style="dim")
    yield Text(f"\n{FULL}", style="dim")


# ------------------------------------------------------------------ sentences
def acting(found: Sharing) -> list[str]:
    """The force that is shared and the temperatures."""
    lines = []
    if found.force > 0.0:
        lines.append(f"Traffic force along: {_kn(found.force)} kN on one piece ({found.clause}).")
    lines.append(
        f"Uniform temperature: {found.warm:.4g} K above and {found.cold:.4g} K below that of "
        "setting."
    )
    return lines


def not_covered(found: Sharing) -> list[str]:
    """Why the rule says nothing of some supports."""
    by_reason: dict[str, list[str]] = {}
    for row in found.rows:
        if row.kind == "support" and row.way == "along" and row.rule is None:
            by_reason.setdefault(row.reason, []).append(row.place)
    return [plain(f"{', '.join(places)}: {reason}") for reason, places in by_reason.items()]


def notes(found: Sharing, points: StillPoints) -> list[str]:
    """What was assumed or left out."""
    return [plain(note) for note in dict.fromkeys((*found.notes, *points.notes))]


def self_check(found: Sharing, points: StillPoints) -> str:
    """What the analyses say of themselves."""
    worst = max(found.residual, found.path_residual, points.residual)
    text = f"Self-check: worst relative residual {worst:.0e}"
    if found.timeline is not None:
        text += (
            f"; path of {found.steps:,} steps under {len(found.runs)} bounds, coarse by at most "
            f"{found.coarseness:.1%} of its largest force"
        )
    return text + "."


# ------------------------------------------------------------------ sheets
def three_ways(found: Sharing, kind: Literal["support", "seat"], way: str) -> Sheet:
    """Rule, elastic and path beside each other, one row for each support or bearing."""
    rows = _rows(found, kind, way)
    along = way == "along"
    force = [value for row in rows for value in _ends(row.elastic, row.locked, row.path)]
    force += [row.rule for row in rows if row.rule is not None]
    places = _places(force)
    columns = [Column(kind)]
    if along:
        columns.append(Column("rule", "kN", "numbers"))
    columns.append(Column("elastic, " + ("traffic" if along else "wind"), "kN", "numbers"))
    columns.append(Column("elastic, locked", "kN", "numbers"))
    if found.timeline is not None:
        columns.append(Column("path, all together", "kN", "numbers"))
    cells = []
    for row in rows:
        own = [Cell(row.place)]
        if along:
            own.append(Cell(NOTHING if row.rule is None else _kn(row.rule, places)))
        own += [Cell(ranged(row.elastic, places)), Cell(ranged(row.locked, places))]
        if found.timeline is not None:
            own.append(Cell(ranged(row.path, places), "strong"))
        cells.append(tuple(own))
    what = "abutment and pier" if kind == "support" else "bearing"
    own_way = way if kind == "support" else f"{way} (its {'x' if along else 'y'}')"
    title = f"What each {what} takes {own_way}"
    return Sheet(title, tuple(columns), tuple(cells))


def by_phase(found: Sharing, kind: Literal["support", "seat"], way: str) -> Sheet:
    """The path phase by phase."""
    rows = _rows(found, kind, way)
    places = _places([end for row in rows for end in _ends(*row.phases)])
    columns = (Column(kind), *(Column(phase, "kN", "numbers") for phase in PHASES))
    cells = tuple(
        (Cell(row.place), *(Cell(ranged(phase, places)) for phase in row.phases)) for row in rows
    )
    return Sheet(f"Path {way}: largest in each phase", columns, cells)


def rules(found: Sharing) -> Sheet:
    """What the rule of the family says, line of bearings by line."""
    columns = (
        Column("support"),
        Column("piece", holds="numbers"),
        Column("line is"),
        Column("force", "kN", "numbers"),
        Column("rule", holds="text"),
        Column("clause", holds="text"),
        Column("basis"),
    )
    rows = []
    for item in found.ruled:
        if item.line is None:
            continue
        line = item.line
        rows.append(
            (
                Cell(item.bearings.support),
                Cell(str(item.bearings.unit + 1)),
                Cell(item.bearings.holds),
                Cell(_kn(line.value)),
                Cell(plain(calculated(line))),
                Cell(plain(f"{line.standard} {line.clause}")),
                Cell(line.basis),
            )
        )
    return Sheet("By the rule", columns, tuple(rows))


def calculated(line: Line) -> str:
    """Formula and numbers of a calculation line."""
    numbers = ", ".join(f"{q.symbol} = {measured(q.value, q.unit)}" for q in line.inputs)
    note = f"; {line.note}" if line.note else ""
    return f"{line.formula}; {numbers}{note}" if numbers else f"{line.formula}{note}"


def travel(found: Sharing) -> Sheet:
    """How far every bearing slides on the path."""
    columns = (Column("seat"), Column("slides in all", "m", "numbers"))
    moving = {mark: one for mark, one in found.travel.items() if one.high > 1e-6}
    places = decimals([one.high for one in moving.values()])
    rows = tuple((Cell(mark), Cell(ranged(one, places, 1.0))) for mark, one in moving.items())
    years = 0 if found.timeline is None else found.timeline.years
    told = "1 year" if years == 1 else f"{years} years"
    return Sheet(f"Path of sliding in {told}, x' and y' together", columns, rows)


def still_along(points: StillPoints) -> Sheet:
    """Along: where the point is, and how much superstructure moves at the joints."""
    columns = (
        Column("piece on", holds="text"),
        Column("elastic", "chainage, m", "numbers"),
        Column("with friction", "chainage, m", "numbers"),
        Column("joint at", "m", "numbers"),
        Column("length", "m", "numbers"),
        Column("warm", "mm", "numbers"),
        Column("cold", "mm", "numbers"),
    )
    rows: list[tuple[Cell, ...]] = []
    for piece in points.pieces:
        for number, joint in enumerate(piece.joints):
            head = (marks_of(piece), chainages(piece.elastic), chainages(piece.rubbing))
            told = head if number == 0 else ("", "", "")
            rows.append(
                (
                    *map(Cell, told),
                    Cell(figure(joint.at, 2)),
                    Cell(NOTHING if joint.length is None else ranged(joint.length, 1, 1.0)),
                    Cell(ranged(joint.warm, 1, 1e3)),
                    Cell(ranged(joint.cold, 1, 1e3)),
                )
            )
    title = (
        f"Point without movement along, {points.warm:.4g} K warmer and {points.cold:.4g} K colder"
    )
    return Sheet(title, columns, tuple(rows))


def still_across(points: StillPoints) -> Sheet:
    """Across: offset of the point to the left of the axis, for each piece and support."""
    columns = (
        Column("piece on", holds="text"),
        Column("support"),
        Column("point without movement", "m left of the axis", "numbers"),
    )
    rows = []
    for piece in points.pieces:
        for number, (mark, where) in enumerate(piece.across.items()):
            rows.append(
                (
                    Cell(marks_of(piece) if number == 0 else ""),
                    Cell(mark),
                    Cell("nowhere" if where is None else ranged(where, 2, 1.0)),
                )
            )
    return Sheet("Point without movement across", columns, tuple(rows))


# ------------------------------------------------------------------ inside
def ranged(value: Range | None, places: int, factor: float = 1e-3) -> str:
    """Bounds as ``120 to 340``, one number where they show the same."""
    if value is None:
        return NOTHING
    low, high = (figure(scaled(end, factor, "range"), places) for end in (value.low, value.high))
    return low if low == high else f"{low} to {high}"


def _rows(found: Sharing, kind: str, way: str) -> list[Row]:
    return [row for row in found.rows if (row.kind, row.way) == (kind, way)]


def _ends(*ranges: Range | None) -> Iterator[float]:
    for one in ranges:
        if one is not None:
            yield from (one.low, one.high)


def _places(forces: Sequence[float]) -> int:
    """Decimals of kN."""
    return min(decimals([force / 1e3 for force in forces]), 1)


def _kn(force: float, places: int | None = None) -> str:
    value = scaled(force, 1e-3, "force")
    return figure(value, decimals([value]) if places is None else places)


def marks_of(piece: Piece) -> str:
    """The supports of a separate piece."""
    return ", ".join(piece.supports)


def chainages(found: Sequence[object]) -> str:
    """Chainages of the point over some analyses; words where there is none in one of them."""
    places = [getattr(one, "along", None) for one in found]
    if not places:
        return NOTHING
    known = [place.at for place in places if place is not None]
    if len(known) < len(places):
        return "nowhere"
    return ranged(Range(min(known), max(known)), 2, 1.0)


def _under(head: str, sentences: Sequence[str]) -> Iterator[RenderableType]:
    if sentences:
        yield Text(f"\n{head}", style="bold")
        yield from (Padding(Text(sentence), (0, 0, 0, 2)) for sentence in sentences)
