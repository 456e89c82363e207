"""Setting tables printed for people: one for each bearing that moves, a line for each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.cautions import FULL
from bedstone.output import setting_words as words
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import figure, plain
from bedstone.output.tables import printed
from bedstone.output.words import memory_note
from bedstone.site.mechanism import End
from bedstone.site.setting import Row, Setting
from bedstone.standards.values import Value


def settings_view(
    bridge: str, standard: str, found: Sequence[Setting], mark: str | None = None
) -> Iterator[RenderableType]:
    """All tables of a bridge, or of one seat by its `mark`.

    `bridge`, `standard`: their titles. A mark that is no seat gives nothing: ask `chosen` first.
    """
    yield Text(plain(bridge), style="bold")
    yield Text(plain(standard))
    if found:
        yield Text(_range(found[0]))
    for item in found:
        if mark is None or item.seat == mark:
            yield from setting_view(item)
    yield Text("\nAt every bearing", style="bold")
    yield from _numbered(words.general())
    yield Text(f"\n{words.SIGNS}\n{words.COLUMNS}\n{words.JOINT}", style="dim")
    if found:
        note = memory_note(from_memory(found[0]))
        if note:
            yield Text(f"\n{note}", style="yellow")
    yield Text(f"\n{FULL}", style="dim")


def setting_view(found: Setting) -> Iterator[RenderableType]:
    """One bearing: what it is, its table, how sure, what to do."""
    sheet = table(found)
    if sheet is None:
        yield Text(f"\n{words.title(found)}", style="bold")
    else:
        yield from printed(sheet)
    told = [
        words.stage(found),
        *words.rule(found),
        *words.growth(found),
        *words.still_to_come(found),
        *words.joint(found),
        *words.guides(found),
        *words.budget(found),
    ]
    yield from (Padding(Text(sentence), (0, 0, 0, 2)) for sentence in told)
    for sentence in words.windows(found):
        style = "bold red" if sentence.startswith("TRAVEL") else "bold"
        yield Padding(Text(sentence, style=style), (0, 0, 0, 2))
    yield from (Padding(Text(sentence), (0, 0, 0, 2)) for sentence in words.landed(found))


def table(found: Setting) -> Sheet | None:
    """The setting table of one bearing; None where nothing changes with temperature."""
    joint = words.joint_varies(found)
    if not found.moves and not joint:
        return None
    columns = [Column("steel", "degC", "numbers"), *_heads(found)]
    if joint:
        columns += [Column("joint", "mm", "numbers"), Column("closes", "mm", "numbers")]
    rows = []
    for row in found.rows:
        tone = _tone(found, row)
        cells = [Cell(_degrees(row.temperature), tone), *_cells(found, row)]
        if joint:
            opening = row.opening
            cells += (
                [Cell(NOTHING), Cell(NOTHING)]
                if opening is None
                else [Cell(words.mm(opening.change)), Cell(words.size(opening.closes))]
            )
        rows.append(tuple(cells))
    return Sheet(words.title(found), tuple(columns), tuple(rows))


def from_memory(found: Setting) -> list[Value]:
    """Allowances that are known from memory alone, by name."""
    values = found.tolerances.values
    return [values[name] for name in sorted(values) if values[name].basis == "memory"]


def measured(found: Setting) -> list[End]:
    """Ends with a gap that changes with temperature."""
    return [end for end in found.ends if not end.holds and "arc" not in end.what]


def _numbered(steps: Iterable[str]) -> Iterator[RenderableType]:
    for number, step in enumerate(steps, start=1):
        yield Padding(Text(f"{number}. {step}"), (0, 0, 0, 2))


def _range(found: Setting) -> str:
    told = found.temperatures
    return (
        f"Steel between {words.degrees(told.coldest)} and {words.degrees(told.warmest)}; in the "
        f"middle of their travel at {words.degrees(found.datum)}; bearings of the file set at "
        f"{words.degrees(told.setting)}{'' if told.told else ' (usual with the family)'}."
    )


def _heads(found: Setting) -> list[Column]:
    """Heads of what moves."""
    axes = words.free_axes(found)
    heads = [Column(f"offset {'xy'[axis]}'", "mm", "numbers") for axis in axes]
    if found.form == "rolls" and 0 in axes:
        heads.append(Column("rollers x'", "mm", "numbers"))
        if found.design is not None:
            heads.append(Column("turn", "mrad", "numbers"))
    if _segmental(found):
        heads += [Column("lean", "mm", "numbers"), Column("between", "mm", "numbers")]
    for end in measured(found):
        behind, ahead = ("behind", "ahead") if end.axis == "x" else ("right", "left")
        heads += [
            Column(f"{short(end)} {behind}", "mm", "numbers"),
            Column(f"{short(end)} {ahead}", "mm", "numbers"),
        ]
    if any(row.left is not None for row in found.rows):
        heads.append(Column("spare", "mm", "numbers"))
    return heads


def _cells(found: Setting, row: Row) -> list[Cell]:
    """Cells of what moves, as `_heads`."""
    axes = words.free_axes(found)
    cells = [Cell(words.mm(row.offset[axis]), "strong") for axis in axes]
    roller, turn = found.roller(row), found.turn(row)
    if roller is not None and 0 in axes:
        cells.append(Cell(words.mm(roller), "strong"))
        if found.design is not None:
            cells.append(Cell(NOTHING if turn is None else figure(turn * 1e3, 1)))
    if _segmental(found):
        lean, clear = found.lean(row), found.clear(row)
        cells.append(Cell(NOTHING if lean is None else words.mm(lean)))
        cells.append(Cell(NOTHING if clear is None else words.size(clear)))
    for end in measured(found):
        cells += [Cell(gap(value)) for value in found.readings(row, end)]
    if any(item.left is not None for item in found.rows):
        lacking = row.left is not None and row.left < found.most
        text = NOTHING if row.left is None else words.mm(row.left).removeprefix("+")
        cells.append(Cell(text, "warning" if lacking else ""))
    return cells


def short(end: End) -> str:
    """What is read at an end, in a word."""
    if end.overhang:
        return "overhang"
    return "stop" if "stop" in end.what else "end"


def gap(value: float) -> str:
    """A gap (m) in mm; none where nothing ends the movement that way."""
    return NOTHING if value == float("inf") else figure(value * 1e3, 1)


def _segmental(found: Setting) -> bool:
    made = found.design
    return made is not None and made.rollers is not None and made.rollers.segmental


def _degrees(temperature: float) -> str:
    return figure(temperature, 0 if float(temperature).is_integer() else 1)


def _tone(found: Setting, row: Row) -> Literal["", "strong"]:
    return "strong" if abs(row.temperature - found.temperatures.setting) < 1e-6 else ""
