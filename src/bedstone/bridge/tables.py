"""CSV tables beside the bridge file: nodes, members, sections, seats, deck lines, effects.

The first row names the columns, each quantity with its unit: ``node,x [m],y [m],z [m]``. Any unit
of the right dimension does, columns may stand in any order, lines that are empty or begin with
``#`` are passed over. Values are SI after reading.
"""

from __future__ import annotations

import csv
import difflib
import io
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from bedstone.bridge.schema import Bridge, FrameTables, Reactions
from bedstone.bridge.units import NUMBER, Quantity, UnitError, unit_factor
from bedstone.errors import Fault, InputError
from bedstone.files import read_text

LARGEST_TABLE = 20_000_000  # bytes
_MOST_FAULTS = 100  # listed from one table
LIKENESS = 0.65  # of a name to the one suggested for it, of 1; less suggests what nobody meant
_RELEASES = ("fx", "fy", "fz", "mx", "my", "mz")

_Cell = str | float | None


# ------------------------------------------------------------------ what the tables hold
@dataclass(frozen=True)
class NodeTable:
    """Nodes of a frame; coordinates in m in the axes of the bridge."""

    node: tuple[str, ...]
    x: tuple[float, ...]
    y: tuple[float, ...]
    z: tuple[float, ...]


@dataclass(frozen=True)
class SectionTable:
    """Sections of a frame: E, G in Pa, areas in m2, second moments in m4, density in N/m3.

    `Iy` bends in the vertical plane, `Iz` sideways; `Ay`, `Az` are shear areas (None: no shear
    deformation); `density` 0 where not given; `alpha` None where the family's value holds.
    """

    section: tuple[str, ...]
    E: tuple[float, ...]
    G: tuple[float, ...]
    A: tuple[float, ...]
    Iy: tuple[float, ...]
    Iz: tuple[float, ...]
    J: tuple[float, ...]
    Ay: tuple[float | None, ...]
    Az: tuple[float | None, ...]
    density: tuple[float, ...]
    alpha: tuple[float | None, ...]


@dataclass(frozen=True)
class MemberTable:
    """Members from node `i` to node `j`.

    `up`: direction that the member's z axis leans to (None: vertical, or along x for a vertical
    member); `release_i`, `release_j`: end forces that are zero, of fx fy fz mx my mz in the
    member's own axes.
    """

    member: tuple[str, ...]
    i: tuple[str, ...]
    j: tuple[str, ...]
    section: tuple[str, ...]
    up: tuple[tuple[float, float, float] | None, ...]
    release_i: tuple[frozenset[str], ...]
    release_j: tuple[frozenset[str], ...]


@dataclass(frozen=True)
class SeatTable:
    """Seats: support mark and y (m, to the left of the reference line).

    For a frame `node` is the node above the seat and `contact` the depth in m from that node down
    to the level where the bearing turns; for given reactions they are empty and zero.
    """

    seat: tuple[str, ...]
    support: tuple[str, ...]
    node: tuple[str, ...]
    contact: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True)
class DeckLineTable:
    """Members of each deck line in the order of the table."""

    line: tuple[str, ...]
    member: tuple[str, ...]


@dataclass(frozen=True)
class EffectTable:
    """Effects at the seats: one row an action, case and seat; N, H in N, v in m, r in rad."""

    action: tuple[str, ...]
    case: tuple[str, ...]
    seat: tuple[str, ...]
    N: tuple[float, ...]
    Hx: tuple[float, ...]
    Hy: tuple[float, ...]
    vx: tuple[float, ...]
    vy: tuple[float, ...]
    vz: tuple[float, ...]
    rx: tuple[float, ...]
    ry: tuple[float, ...]
    rz: tuple[float, ...]


@dataclass(frozen=True)
class FrameData:
    """All tables of a superstructure of kind frame."""

    nodes: NodeTable
    sections: SectionTable
    members: MemberTable
    seats: SeatTable
    deck_lines: DeckLineTable | None


@dataclass(frozen=True)
class ReactionData:
    """Both tables of a superstructure of kind reactions."""

    effects: EffectTable
    seats: SeatTable


# ------------------------------------------------------------------ columns
@dataclass(frozen=True)
class _Column:
    """A column: text (`quantity` None) or numbers; one that is not `needed` may be left out."""

    name: str
    quantity: Quantity | None = None
    needed: bool = True
    default: _Cell = None
    pattern: str = r".{1,60}"
    allowed: str = "1 to 60 letters"


def _text(name: str, *, needed: bool = True) -> _Column:
    return _Column(name, needed=needed, default="")


def _number(
    name: str, unit: str, *, above: float | None = None, minimum: float | None = None
) -> _Column:
    return _Column(name, Quantity(unit, minimum=minimum, above=above))


def _optional(name: str, quantity: Quantity, default: float | None) -> _Column:
    return _Column(name, quantity, needed=False, default=default)


_SEAT = _Column("seat", pattern=r"[A-Za-z0-9_]+(-[A-Za-z0-9_]+)*", allowed="a mark such as P1-2")
_SUPPORT = _Column("support", pattern=r"[A-Za-z0-9_]{1,12}", allowed="the mark of a support")
_NODES = (_text("node"), _number("x", "m"), _number("y", "m"), _number("z", "m"))
_SECTIONS = (
    _text("section"),
    _number("E", "Pa", above=0.0),
    _number("G", "Pa", above=0.0),
    _number("A", "m**2", above=0.0),
    _number("Iy", "m**4", above=0.0),
    _number("Iz", "m**4", above=0.0),
    _number("J", "m**4", above=0.0),
    _optional("Ay", Quantity("m**2", above=0.0), None),
    _optional("Az", Quantity("m**2", above=0.0), None),
    _optional("density", Quantity("N/m**3", minimum=0.0), 0.0),
    _optional("alpha", Quantity("1/K", minimum=0.0), None),
)
_RELEASE = rf"(({'|'.join(_RELEASES)})( ({'|'.join(_RELEASES)}))*)?"
_MEMBERS = (
    *(_text(name) for name in ("member", "i", "j", "section")),
    *(_optional(name, Quantity(""), None) for name in ("up_x", "up_y", "up_z")),
    *(
        _Column(name, None, False, "", _RELEASE, f"some of {' '.join(_RELEASES)}, by spaces")
        for name in ("release_i", "release_j")
    ),
)
_FRAME_SEATS = (_SEAT, _SUPPORT, _text("node"), _number("contact", "m", minimum=0.0))
_REACTION_SEATS = (_SEAT, _SUPPORT, _number("y", "m"))
_DECK_LINES = (_text("line"), _text("member"))
_EFFECTS = (
    _text("action"),
    _text("case"),
    _SEAT,
    *(_number(name, "N") for name in ("N", "Hx", "Hy")),
    *(_number(name, "m") for name in ("vx", "vy", "vz")),
    *(_number(name, "rad") for name in ("rx", "ry", "rz")),
)


# ------------------------------------------------------------------ one table
class _Table:
    """Columns of one CSV file as read, and its faults, each with line and column."""

    def __init__(self, name: str, text: str, columns: Sequence[_Column]) -> None:
        self.name = name
        self.columns = columns
        self.heads: dict[str, str] = {}  # column -> head as written
        self.lines: list[int] = []
        self.faults: list[Fault] = []
        self._values: dict[str, list[_Cell]] = {column.name: [] for column in columns}
        self._read(text)

    def texts(self, column: str) -> tuple[str, ...]:
        return tuple(str(value) for value in self._values[column])

    def numbers(self, column: str) -> tuple[float, ...]:
        return tuple(float(value) for value in self._values[column] if value is not None)

    def optional_numbers(self, column: str) -> tuple[float | None, ...]:
        return tuple(None if value is None else float(value) for value in self._values[column])

    def fault(self, row: int, column: str, found: str, allowed: str) -> None:
        head = self.heads.get(column, column)
        self._add(f"line {self.lines[row]}, column {head}", repr(_short(found)), allowed)

    def unique(self, *columns: str) -> None:
        """Fault for every row that repeats an earlier one in these columns."""
        seen: dict[tuple[str, ...], int] = {}
        for row, key in enumerate(zip(*(self.texts(column) for column in columns), strict=True)):
            if key in seen:
                allowed = f"once only (it stands in line {self.lines[seen[key]]} already)"
                self.fault(row, columns[-1], ", ".join(key), allowed)
            else:
                seen[key] = row

    def known(self, column: str, names: Sequence[str], what: str) -> None:
        """Fault for every cell that is none of `names`."""
        allowed_names = set(names)
        for row, value in enumerate(self.texts(column)):
            if value not in allowed_names and len(self.faults) <= _MOST_FAULTS:
                self.fault(row, column, value, what + _hint(value, names))

    def _add(self, where: str, found: str, allowed: str) -> None:
        if len(self.faults) < _MOST_FAULTS:
            self.faults.append(Fault(self.name, where, found, allowed))
        elif len(self.faults) == _MOST_FAULTS:
            self.faults.append(Fault(self.name, "file", "more faults than listed", "none"))

    def _read(self, text: str) -> None:
        if "\0" in text:
            self._add("file", "null characters", "text in UTF-8")
            return
        reader = csv.reader(io.StringIO(text, newline=""), strict=True)
        order: list[tuple[int, _Column, float]] | None = None
        width, next_line = 0, 1
        try:
            for cells in reader:
                line, next_line = next_line, reader.line_num + 1
                row = [cell.strip() for cell in cells]
                if not any(row) or row[0].startswith("#"):
                    continue
                if order is None:
                    order, width = self._head(line, row), len(row)
                    if self.faults:
                        return
                elif len(row) != width:
                    self._add(f"line {line}", f"{len(row)} columns", f"{width}, as the head has")
                else:
                    self._row(line, row, order)
        except csv.Error as error:
            self._add(f"line {next_line}", _short(str(error)), "cells parted by commas")
        if order is None and not self.faults:
            self._add("file", "no head", "a head " + self._wanted())
        elif not self.lines and not self.faults:
            self._add("file", "no rows below the head", "at least one row")

    def _head(self, line: int, row: list[str]) -> list[tuple[int, _Column, float]]:
        wanted = {column.name: column for column in self.columns}
        order: list[tuple[int, _Column, float]] = []
        for index, head in enumerate(row):
            match = re.fullmatch(r"([^\[\]]*?)\s*(?:\[([^\[\]]*)\])?", head)
            name, unit = (match[1], match[2] or "") if match else (head, "")
            place = f"line {line}, column {index + 1}"
            column = wanted.get(name)
            if column is None:
                allowed = ", ".join(wanted) + _hint(name, list(wanted))
                self._add(place, repr(_short(head)), allowed)
                continue
            if name in self.heads:
                self._add(place, repr(_short(head)), "each column once")
                continue
            self.heads[name] = head
            factor = 1.0
            if (column.quantity is None or not column.quantity.unit) and unit:
                self._add(place, repr(_short(head)), f"{name}, without unit")
            elif column.quantity is not None and column.quantity.unit:
                example = _head_of(column)
                try:
                    factor, dimension = unit_factor(unit)
                    if dimension != unit_factor(column.quantity.unit)[1]:
                        raise UnitError
                except UnitError:
                    self._add(place, repr(_short(head)), f"a head with unit such as {example}")
            order.append((index, column, factor))
        for name, column in wanted.items():
            if column.needed and name not in self.heads:
                self._add(f"line {line}", f"no column {name}", _head_of(column))
        return order

    def _row(self, line: int, row: list[str], order: Sequence[tuple[int, _Column, float]]) -> None:
        self.lines.append(line)
        number = len(self.lines) - 1
        given = {column.name for _, column, _ in order}
        for index, column, factor in order:
            self._values[column.name].append(self._cell(number, row[index], column, factor))
        for column in self.columns:
            if column.name not in given:
                self._values[column.name].append(column.default)

    def _cell(self, row: int, cell: str, column: _Column, factor: float) -> _Cell:
        if not cell and not column.needed:
            return column.default
        if column.quantity is None:
            if re.fullmatch(column.pattern, cell):
                return cell
            self.fault(row, column.name, cell, column.allowed)
            return ""
        bounds = column.quantity
        value = float(cell) * factor if re.fullmatch(NUMBER, cell, re.ASCII) else math.nan
        above = bounds.above is None or value > bounds.above
        if math.isfinite(value) and above and (bounds.minimum is None or value >= bounds.minimum):
            return value
        allowed = "a number"
        if bounds.above is not None:
            allowed += f" above {bounds.above:g}"
        if bounds.minimum is not None:
            allowed += f" not less than {bounds.minimum:g}"
        self.fault(row, column.name, cell, allowed)
        return 0.0

    def _wanted(self) -> str:
        return ",".join(_head_of(column) for column in self.columns if column.needed)


def _head_of(column: _Column) -> str:
    """Head of a column as it may be written, e.g. ``x [m]``."""
    unit = column.quantity.unit.replace("**", "") if column.quantity is not None else ""
    return f"{column.name} [{unit}]" if unit else column.name


def _short(text: str) -> str:
    line = " ".join(text[:200].split())
    return line if len(line) <= 60 else line[:59] + "…"


def _hint(value: str, names: Sequence[str]) -> str:
    close = difflib.get_close_matches(value[:60], names[:2000], 1, LIKENESS)
    return f" (did you mean {close[0]!r}?)" if close else ""


# ------------------------------------------------------------------ all tables of a bridge
def read_tables(
    bridge: Bridge, folder: str | Path, name: str = "bridge file"
) -> FrameData | ReactionData | None:
    """Return the tables a bridge names, read from `folder`; None for girders and trusses.

    `name` is the name of the bridge file, for faults in what it says of the tables.

    Raises
    ------
    InputError
        With one `Fault` for each thing wrong in any of the tables.
    """
    superstructure = bridge.superstructure
    if isinstance(superstructure, FrameTables):
        return _frame(bridge, superstructure, _Tables(Path(folder), name))
    if isinstance(superstructure, Reactions):
        return _reactions(bridge, superstructure, _Tables(Path(folder), name))
    return None


def table_names(bridge: Bridge) -> dict[str, str]:
    """Field -> file name of every table the bridge names."""
    fields: tuple[str, ...] = ()
    if isinstance(bridge.superstructure, FrameTables):
        fields = ("nodes", "members", "sections", "seats", "deck_lines")
    elif isinstance(bridge.superstructure, Reactions):
        fields = ("effects", "seats")
    named = {field: getattr(bridge.superstructure, field) for field in fields}
    return {field: name for field, name in named.items() if name is not None}


class _Tables:
    """Opens the tables beside one bridge file and gathers the faults of all of them."""

    def __init__(self, folder: Path, bridge_file: str) -> None:
        self.folder = folder
        self.bridge_file = bridge_file
        self.faults: list[Fault] = []
        self.opened: list[_Table] = []

    def open(self, field: str, name: str, columns: Sequence[_Column]) -> _Table | None:
        """Return the table, or None with a fault: missing, too large or outside the folder."""
        try:
            path = (self.folder / name).resolve()
            inside = path.is_relative_to(self.folder.resolve()) and not Path(name).is_absolute()
        except (OSError, ValueError, RuntimeError):  # a name no file can have, links in a ring
            inside = False
        if not inside or not name.lower().endswith(".csv"):
            allowed = "the name of a .csv file in the folder of the bridge file or below"
            place = f"superstructure.{field}"
            self.faults.append(Fault(self.bridge_file, place, repr(_short(name)), allowed))
            return None
        try:
            table = _Table(name, read_text(path, LARGEST_TABLE), columns)
        except InputError as error:
            self.faults.extend(error.faults)
            return None
        self.opened.append(table)
        return table

    def raise_any(self) -> None:
        faults = self.faults + [fault for table in self.opened for fault in table.faults]
        if faults:
            raise InputError(faults)


def _frame(bridge: Bridge, names: FrameTables, tables: _Tables) -> FrameData:
    nodes = tables.open("nodes", names.nodes, _NODES)
    sections = tables.open("sections", names.sections, _SECTIONS)
    members = tables.open("members", names.members, _MEMBERS)
    seats = tables.open("seats", names.seats, _FRAME_SEATS)
    lines = None
    if names.deck_lines is not None:
        lines = tables.open("deck_lines", names.deck_lines, _DECK_LINES)
    tables.raise_any()
    if nodes is None or sections is None or members is None or seats is None:
        raise AssertionError("a table that does not open leaves a fault")

    nodes.unique("node")
    sections.unique("section")
    members.unique("member")
    members.known("i", nodes.texts("node"), "a node of the table of nodes")
    members.known("j", nodes.texts("node"), "a node of the table of nodes")
    members.known("section", sections.texts("section"), "a section of the table of sections")
    seats.known("node", nodes.texts("node"), "a node of the table of nodes")
    _check_seats(seats, [support.mark for support in bridge.support])
    if lines is not None:
        lines.unique("line", "member")
        lines.known("member", members.texts("member"), "a member of the table of members")
    _check_lengths(members, nodes)
    up = _up_directions(members)
    tables.raise_any()

    plan = dict(
        zip(
            nodes.texts("node"),
            zip(nodes.numbers("x"), nodes.numbers("y"), strict=True),
            strict=True,
        )
    )
    return FrameData(
        NodeTable(
            node=nodes.texts("node"),
            x=nodes.numbers("x"),
            y=nodes.numbers("y"),
            z=nodes.numbers("z"),
        ),
        SectionTable(
            section=sections.texts("section"),
            E=sections.numbers("E"),
            G=sections.numbers("G"),
            A=sections.numbers("A"),
            Iy=sections.numbers("Iy"),
            Iz=sections.numbers("Iz"),
            J=sections.numbers("J"),
            Ay=sections.optional_numbers("Ay"),
            Az=sections.optional_numbers("Az"),
            density=sections.numbers("density"),
            alpha=sections.optional_numbers("alpha"),
        ),
        MemberTable(
            member=members.texts("member"),
            i=members.texts("i"),
            j=members.texts("j"),
            section=members.texts("section"),
            up=up,
            release_i=_releases(members, "release_i"),
            release_j=_releases(members, "release_j"),
        ),
        SeatTable(
            seats.texts("seat"),
            seats.texts("support"),
            seats.texts("node"),
            seats.numbers("contact"),
            tuple(_offset(bridge, *plan[node]) for node in seats.texts("node")),
        ),
        None if lines is None else DeckLineTable(lines.texts("line"), lines.texts("member")),
    )


def _reactions(bridge: Bridge, names: Reactions, tables: _Tables) -> ReactionData:
    effects = tables.open("effects", names.effects, _EFFECTS)
    seats = tables.open("seats", names.seats, _REACTION_SEATS)
    tables.raise_any()
    if effects is None or seats is None:
        raise AssertionError("a table that does not open leaves a fault")

    _check_seats(seats, [support.mark for support in bridge.support])
    effects.known("seat", seats.texts("seat"), "a seat of the table of seats")
    effects.unique("action", "case", "seat")
    _check_cases_complete(effects, seats)
    tables.raise_any()

    count = len(seats.lines)
    return ReactionData(
        EffectTable(
            action=effects.texts("action"),
            case=effects.texts("case"),
            seat=effects.texts("seat"),
            N=effects.numbers("N"),
            Hx=effects.numbers("Hx"),
            Hy=effects.numbers("Hy"),
            vx=effects.numbers("vx"),
            vy=effects.numbers("vy"),
            vz=effects.numbers("vz"),
            rx=effects.numbers("rx"),
            ry=effects.numbers("ry"),
            rz=effects.numbers("rz"),
        ),
        SeatTable(
            seats.texts("seat"),
            seats.texts("support"),
            ("",) * count,
            (0.0,) * count,
            seats.numbers("y"),
        ),
    )


# ------------------------------------------------------------------ what tables ask of each other
def _check_seats(seats: _Table, marks: Sequence[str]) -> None:
    seats.unique("seat")
    seats.known("support", marks, "the mark of a support of the bridge file")
    seated = set(seats.texts("support"))
    for mark in marks:
        if mark not in seated and not seats.faults:
            found = f"no seat on support {mark}"
            seats.faults.append(Fault(seats.name, "file", found, "at least one seat on each"))


def _check_lengths(members: _Table, nodes: _Table) -> None:
    coordinates = zip(*(nodes.numbers(axis) for axis in "xyz"), strict=True)
    at = dict(zip(nodes.texts("node"), coordinates, strict=False))
    for row, (i, j) in enumerate(zip(members.texts("i"), members.texts("j"), strict=True)):
        if i in at and j in at and at[i] == at[j]:
            members.fault(row, "j", j, f"a node that stands elsewhere than {i}")


def _up_directions(members: _Table) -> tuple[tuple[float, float, float] | None, ...]:
    directions: list[tuple[float, float, float] | None] = []
    columns = [members.optional_numbers(name) for name in ("up_x", "up_y", "up_z")]
    for row, (x, y, z) in enumerate(zip(*columns, strict=True)):
        if x is None and y is None and z is None:
            directions.append(None)
        elif x is None or y is None or z is None or x == y == z == 0.0:
            members.fault(row, "up_x", str(x), "all three of up_x, up_y, up_z, not all zero")
            directions.append(None)
        else:
            directions.append((x, y, z))
    return tuple(directions)


def _releases(members: _Table, column: str) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(text.split()) for text in members.texts(column))


def _check_cases_complete(effects: _Table, seats: _Table) -> None:
    """Every case of every action has a row for each seat: a missing row is no zero."""
    listed: dict[tuple[str, str], set[str]] = {}
    for action, case, seat in zip(
        effects.texts("action"), effects.texts("case"), effects.texts("seat"), strict=True
    ):
        listed.setdefault((action, case), set()).add(seat)
    for (action, case), found in listed.items():
        missing = [seat for seat in seats.texts("seat") if seat not in found]
        if missing:
            effects.faults.append(
                Fault(
                    effects.name,
                    f"action {action}, case {case}",
                    f"no row for {_short(', '.join(missing))}",
                    "one row for each seat",
                )
            )


def _offset(bridge: Bridge, x: float, y: float) -> float:
    """Offset to the left of the reference line; the line starts along x at chainage 0."""
    radius = bridge.alignment.radius
    if radius is None:
        return y
    if bridge.alignment.turn == "left":
        return radius - math.hypot(x, y - radius)
    return math.hypot(x, y + radius) - radius
