"""Designed and given bearings as sheets and sentences, before anyone says how they are printed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from bedstone.bearings.base import Design, Part, Refusal
from bedstone.bearings.selection import Choice
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import decimals, figure, measured, plain
from bedstone.schedule.designs import SeatDesign
from bedstone.standards.record import Line, Quantity

COLUMNS = (
    "H below: largest force along x' that the bearing sends below by friction, stiffness or hold; "
    "left: movement left to the nearest stop or edge; used: utilisation of the governing check."
)
#: Checks that are used less are left out of the list in full; the table holds them all.
_FULL_AT_LEAST = 0.5
_ORIGIN = {
    "given": "given in the file: assessed, not sized",
    "asked for": "kind asked for",
    "in the file": "kind of the file",
    "chosen": "the lightest of all kinds",
}


# ------------------------------------------------------------------ one seat
def title(found: SeatDesign) -> str:
    """Seat, kind and function."""
    return plain(f"{found.seat}: {found.choice.kind}, {found.demand.function}")


def asked(found: SeatDesign) -> str:
    """What the seat asks of its bearing, in a sentence."""
    demand = found.demand
    compression = [case.N for case in demand.strength] or [case.N for case in demand.cases]
    least = _kilonewtons(min(compression, default=0.0))
    most = _kilonewtons(max(compression, default=0.0))
    turns = ", ".join(f"{demand.largest(name) * 1e3:.1f}" for name in ("rx", "ry", "rz"))
    told = [
        f"N {least} to {most} kN at the ultimate limit states",
        *(
            f"{name} {_kilonewtons(demand.largest(name))} kN"
            for name, held in zip(("Hx", "Hy"), demand.held, strict=True)
            if held
        ),
        *(
            f"{name} {demand.largest(name) * 1e3:.1f} mm"
            for name, held in zip(("vx", "vy"), demand.held, strict=True)
            if not held
        ),
        f"rx, ry, rz {turns} mrad",
    ]
    if demand.uplift > 0.0:
        told.append(f"uplift {_kilonewtons(demand.uplift)} kN")
    return plain(f"{found.seat}, {demand.function}, is asked for {'; '.join(told)}.")


def summary(found: SeatDesign) -> list[str]:
    """What is asked of the bearing, and what came out, in a few lines."""
    choice = found.choice
    lines = [asked(found), f"Bearing: {_ORIGIN[found.origin]}."]
    design = choice.design
    if design is not None:
        lines.append(
            f"{'Passes' if design.passes else 'DOES NOT PASS'}: governed by {governs(choice)}."
        )
        lines.append(
            f"Height {design.height * 1e3:.0f} mm; plan {design.reach[0] * 1e3:.0f} x "
            f"{design.reach[1] * 1e3:.0f} mm; mass {design.mass:.0f} kg; sends "
            f"{_kilonewtons(design.horizontal)} kN below along x'; movement left "
            f"{_millimetres(design.left)}."
        )
    elif found.origin == "chosen":
        lines.append("NO BEARING: no kind serves; the table tells why of each.")
    elif choice.refusal is not None:
        lines.append(f"NO BEARING: {reason(choice.refusal)}")
    return [plain(line) for line in lines]


def governs(choice: Choice) -> str:
    """The check that governs, in words."""
    line = choice.governing
    if line is None or line.utilisation is None:
        return "no check"
    return f"{line.part or choice.kind}: {_lower(line.title)}, used {_used(line)}"


def reason(refusal: Refusal) -> str:
    """Why a kind cannot serve, on which clause it rests, and what helps."""
    clause = f" ({refusal.clause})" if refusal.clause else ""
    remedy = f" Remedy: {refusal.remedy}." if refusal.remedy else ""
    return plain(f"{refusal.reason}{clause}.{remedy}")


def parts(design: Design) -> Sheet:
    """Every part with material, size, number and mass, and how far its worst check uses it."""
    columns = (
        Column("no.", holds="numbers"),
        Column("part"),
        Column("material"),
        Column("size, mm", holds="text"),
        Column("mass of one", "kg", "numbers"),
        Column("used", holds="numbers"),
        Column("by", holds="text"),
    )
    rows = []
    for part in design.parts:
        worst = worst_of(part, design.lines)
        rows.append(
            (
                Cell(str(part.number)),
                Cell(plain(part.name)),
                Cell(plain(part.material)),
                Cell(plain(part.size)),
                Cell(figure(part.mass, 1)),
                Cell(NOTHING) if worst is None else _used_cell(worst),
                Cell("" if worst is None else plain(_lower(worst.title))),
            )
        )
    return Sheet("Parts", columns, tuple(rows))


def worst_of(part: Part, lines: Iterable[Line]) -> Line | None:
    """The check that uses a part most, None where no check is its own."""
    own = [line for line in lines if line.utilisation is not None and _belongs(line, part)]
    return max(own, key=lambda line: line.utilisation or 0.0, default=None)


def checks(design: Design) -> Sheet:
    """Every check, the worst first: one line each."""
    columns = (
        Column("used", holds="numbers"),
        Column("part", holds="text"),
        Column("check", holds="text"),
        Column("found"),
        Column("limit"),
        Column("clause", holds="text"),
        Column("basis"),
    )
    rows = tuple(
        (
            _used_cell(line),
            Cell(plain(line.part)),
            Cell(plain(line.title)),
            Cell(_quantity(line.result)),
            Cell(_quantity(line.limit) if line.limit else NOTHING),
            Cell(plain(f"{line.standard} {line.clause}")),
            Cell(line.basis),
        )
        for line in design.lines
    )
    return Sheet("Checks, worst first", columns, rows)


def in_full(design: Design, every: bool = False) -> Sheet:
    """Formula, numbers and case of the checks that are used most (or of every line)."""
    lines = [
        line
        for line in design.lines
        if every or (line.utilisation is not None and line.utilisation >= _FULL_AT_LEAST)
    ]
    columns = (Column("used", holds="numbers"), Column("check", holds="text"))
    rows = tuple((_used_cell(line), Cell(plain_lines(calculation(line)))) for line in lines)
    head = "Every line in full" if every else f"Checks used by {_FULL_AT_LEAST:g} or more, in full"
    return Sheet(head, columns, rows)


def calculation(line: Line) -> list[str]:
    """A line as a checker follows it: what, formula, numbers, case, note."""
    part = f"{line.part}: " if line.part else ""
    edition = f" ({line.edition})" if line.edition else ""
    told = [f"{part}{line.title}. {line.standard}{edition}, {line.clause} [{line.basis}]"]
    told.append(f"  {line.formula}")
    figures = [f"{each.symbol} = {_quantity(each)}" for each in line.inputs]
    result = f"{line.result.symbol} = {_quantity(line.result)}"
    if line.limit is not None:
        result += f" against {line.limit.symbol} = {_quantity(line.limit)}"
    told.append(f"  {', '.join(figures)}{': ' if figures else ''}{result}")
    if line.case:
        told.append(f"  case: {line.case}")
    if line.note:
        told.append(f"  note: {line.note}")
    return told


def remarks(found: SeatDesign) -> list[str]:
    """Notes of the kind and what the table of suitability says."""
    notes = list(found.choice.design.notes) if found.choice.design is not None else []
    return [plain(note) for note in (*notes, found.choice.remark) if note]


# ------------------------------------------------------------------ kinds side by side, all seats
def compared(seat: str, choices: Sequence[Choice]) -> Sheet:
    """The kinds side by side: those that pass by rising mass, then why the others do not."""
    columns = (*_result_columns("kind"), Column("governs, or why not", holds="text"))
    rows = tuple((Cell(choice.kind), *_result(choice)) for choice in choices)
    return Sheet(f"{seat}: the kinds side by side", columns, rows)


def overview(found: Sequence[SeatDesign]) -> Sheet:
    """One line for each seat."""
    columns = (
        *map(Column, ("seat", "function")),
        *_result_columns("kind"),
        Column("governs, or why not", holds="text"),
    )
    rows = tuple(
        (
            Cell(item.seat),
            Cell(item.demand.function),
            *_kind_and_result(item),
        )
        for item in found
    )
    return Sheet("Bearings", columns, rows)


def suitability(found: Sequence[SeatDesign]) -> list[str]:
    """What the table of suitability says of the kinds, each sentence once with its seats."""
    seats: dict[str, list[str]] = {}
    for item in found:
        if item.choice.remark:
            seats.setdefault(item.choice.remark, []).append(item.seat)
    return [plain(f"{', '.join(marks)}: {remark}") for remark, marks in seats.items()]


def _kind_and_result(found: SeatDesign) -> tuple[Cell, ...]:
    if found.origin == "chosen" and not found.choice.passes:
        told = "no kind serves; --compare tells why of each"
        empty = (Cell(NOTHING) for _ in range(5))
        return (Cell(NOTHING), Cell("no", "warning"), *empty, Cell(told))
    given = " (given)" if found.origin == "given" else ""
    return (Cell(found.choice.kind + given), *_result(found.choice))


def _result_columns(first: str) -> tuple[Column, ...]:
    return (
        Column(first),
        Column("passes"),
        Column("mass", "kg", "numbers"),
        Column("height", "mm", "numbers"),
        Column("H below", "kN", "numbers"),
        Column("left", "mm", "numbers"),
        Column("used", holds="numbers"),
    )


def _result(choice: Choice) -> tuple[Cell, ...]:
    design = choice.design
    if design is None:
        told = reason(choice.refusal) if choice.refusal is not None else ""
        return (Cell("no", "warning"), *(Cell(NOTHING) for _ in range(5)), Cell(told))
    line = choice.governing
    return (
        Cell("yes") if design.passes else Cell("no", "warning"),
        Cell(f"{design.mass:.0f}"),
        Cell(f"{design.height * 1e3:.0f}"),
        Cell(_kilonewtons(design.horizontal)),
        Cell(f"{design.left * 1e3:.0f}" if math.isfinite(design.left) else NOTHING),
        _used_cell(line) if line is not None else Cell(NOTHING),
        Cell(plain(f"{line.part or choice.kind}: {_lower(line.title)}") if line else ""),
    )


# ------------------------------------------------------------------ inside
def _belongs(line: Line, part: Part) -> bool:
    """Lines name a part, a detail of it ("guide rib: weld") or a group ("stop", "plates")."""
    name, own = part.name, line.part
    head, _, detail = own.partition(": ")
    return own == name or head == name or detail == name or name.startswith(f"{own} ")


def _quantity(quantity: Quantity) -> str:
    """A number with its unit; m_... in N is a moment for each metre of plate."""
    per_width = quantity.unit == "N" and quantity.symbol.startswith("m_")
    return measured(quantity.value, quantity.unit) + (" m/m" if per_width else "")


def _used(line: Line) -> str:
    use = line.utilisation
    if use is None:
        return NOTHING
    if not math.isfinite(use):
        return "beyond"
    # 0.998 passes and must not read as 1.00, 1.002 does not and must not read as 1.00 either
    hundredths = math.floor(use * 100.0 + 1e-9) if use <= 1.0 else math.ceil(use * 100.0)
    return f"{hundredths / 100.0:.2f}"


def _used_cell(line: Line) -> Cell:
    over = line.utilisation is not None and line.utilisation > 1.0
    return Cell(_used(line), "warning" if over else "")


def _kilonewtons(force: float) -> str:
    return figure(force / 1e3, decimals([force / 1e3]))


def _millimetres(length: float) -> str:
    return f"{length * 1e3:.0f} mm" if math.isfinite(length) else "without end"


def _lower(text: str) -> str:
    """A title inside a sentence; abbreviations keep their capitals."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def plain_lines(lines: Iterable[str]) -> str:
    """Several lines in one cell."""
    return "\n".join(plain(line) for line in lines)
