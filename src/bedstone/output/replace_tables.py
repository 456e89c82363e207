"""Lifting of bearings printed for people."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.cautions import FULL
from bedstone.output import replace_words as words
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import figure, plain
from bedstone.output.tables import printed
from bedstone.output.words import memory_note
from bedstone.site.replacement.result import Lift
from bedstone.standards.record import Line

#: Most seats that get a column each.
_COLUMNS = 6


def lift_view(found: Lift) -> Iterator[RenderableType]:
    """Everything about one lift."""
    yield Text(plain(found.bridge), style="bold")
    yield Text(plain(found.standard_title))
    yield Text(f"\n{words.title(found)}", style="bold")
    yield Text(words.basis(found))
    yield from _told([words.need(found)])
    yield from printed(jacks(found))
    yield from _told([*failing(found), words.capacity(found), *words.off_centre(found)])
    yield from printed(steps(found))
    yield from _told([*words.stiffness(found), *words.joint(found)])
    yield from printed(bearings(found))
    yield from _told(words.neighbours(found))
    if found.alone:
        yield from printed(alone(found))
        yield from _told(words.alone(found))
    yield Text("\nHeld in plan", style="bold")
    yield from _told([*words.restraint(found), words.weather(found)])
    yield Text("\nOrder of work", style="bold")
    for number, step in enumerate(words.order_of_work(found), start=1):
        yield Padding(Text(f"{number}. {step}"), (0, 0, 0, 2))
    for note in found.notes:
        yield Text(f"\nNote: {plain(note)}.")
    yield Text(f"\n{words.checks(found)}")
    yield Text(f"\n{words.SIGNS}\n{words.NOT_COVERED}", style="dim")
    note = memory_note(words.recalled(found))
    if note:
        yield Text(f"\n{note}", style="yellow")
    yield Text(f"\n{FULL}", style="dim")


def jacks(found: Lift) -> Sheet:
    """The jacks: where they stand, what they carry, what they are asked."""
    columns = [
        Column("jack"),
        Column("along", "mm", "numbers"),
        Column("across", "mm", "numbers"),
        Column("bearings free", "kN", "numbers"),
        Column("whole lift", "kN", "numbers"),
        Column("1 mm ahead", "kN", "numbers"),
        Column("design force", "kN", "numbers"),
        Column("used", "%", "numbers"),
        Column("off centre", "kN m", "numbers"),
    ]
    if found.traffic:
        columns.insert(5, Column("traffic", "kN", "numbers"))
    rows = []
    for jack in found.jacks:
        force = jack.checks[0]
        cells = [
            Cell(jack.mark),
            Cell(words.mm(jack.along, 0)),
            Cell(words.mm(jack.across, 0)),
            Cell(words.kN(jack.freed)),
            Cell(words.kN(jack.lifted), "strong"),
            Cell(words.kN(jack.per_mm * 1e-3)),
            Cell(words.kN(force.value), "strong"),
            _used(force),
            Cell(words.kN(jack.moment)),
        ]
        if found.traffic:
            cells.insert(5, Cell(_range(jack.traffic)))
        rows.append(tuple(cells))
    return Sheet("Jacks", tuple(columns), tuple(rows))


def steps(found: Lift) -> Sheet:
    """The load-lift table."""
    single = len(found.seats) <= _COLUMNS
    heads = [Column("lift", "mm", "numbers")]
    heads += [Column(mark, "kN", "numbers") for mark in found.seats] if single else []
    heads += [Column("all jacks", "kN", "numbers"), Column("still in contact")]
    heads += [Column("what happens", holds="text")]
    rows = []
    for step in found.steps:
        down = [mark for mark in found.seats if step.bearings[mark] > 0.0]
        cells = [Cell(words.mm(step.lift, 2))]
        cells += [Cell(words.kN(step.jacks[mark])) for mark in found.seats] if single else []
        cells += [
            Cell(words.kN(sum(step.jacks.values())), "strong"),
            Cell(words.marks(down) or NOTHING),
            Cell(_happens(step.events), "warning" if _others(found, step.events) else ""),
        ]
        rows.append(tuple(cells))
    return Sheet("Lift, step by step", tuple(heads), tuple(rows))


def bearings(found: Lift) -> Sheet:
    """All bearings of the bridge, before and at the whole lift."""
    columns = [
        Column("seat"),
        Column("function"),
        Column("before", "kN", "numbers"),
        Column("lifted", "kN", "numbers"),
        Column("change", "kN", "numbers"),
        Column("designed for", "kN", "numbers"),
        Column("opening", "mm", "numbers"),
        Column("turn x'", "mrad", "numbers"),
        Column("turn y'", "mrad", "numbers"),
    ]
    if found.traffic:
        columns.insert(5, Column("traffic", "kN", "numbers"))
    rows: list[tuple[Cell, ...]] = []
    support = None
    for item in found.bearings:
        if support not in (None, item.support):
            rows.append(())
        support = item.support
        suffers = item.seat in (*found.unloads, *found.overloads)
        cells = [
            Cell(item.seat, "strong" if item.jacked else ""),
            Cell(item.function),
            Cell(words.kN(item.before)),
            Cell(words.kN(item.after), "warning" if suffers else ""),
            Cell(words.kN(item.change)),
            Cell(NOTHING if item.greatest is None else words.kN(item.greatest)),
            Cell(words.mm(item.opening, 2) if item.opening > 0.0 else NOTHING),
            Cell(figure(item.turns[0] * 1e3, 2)),
            Cell(figure(item.turns[1] * 1e3, 2)),
        ]
        if found.traffic:
            live = item.traffic
            text = (
                NOTHING
                if live is None or item.jacked
                else f"{words.kN(live[0])} to {words.kN(live[1])}"
            )
            cells.insert(5, Cell(text))
        rows.append(tuple(cells))
    return Sheet("Every bearing, under permanent load", tuple(columns), tuple(rows))


def alone(found: Lift) -> Sheet:
    """Each seat lifted by itself."""
    columns = (
        Column("seat"),
        Column("lift", "mm", "numbers"),
        Column("its jacks", "kN", "numbers"),
        Column("most more at"),
        Column("", "kN", "numbers"),
        Column("comes free"),
        Column("overloaded"),
    )
    rows = tuple(
        (
            Cell(item.seat),
            Cell(NOTHING if item.lift is None else words.mm(item.lift, 2)),
            Cell(words.kN(item.force), "strong"),
            Cell(NOTHING if item.loaded is None else item.loaded[0]),
            Cell(NOTHING if item.loaded is None else words.kN(item.loaded[1])),
            Cell(words.marks(item.unloads) or NOTHING, "warning" if item.unloads else ""),
            Cell(words.marks(item.overloads) or NOTHING, "warning" if item.overloads else ""),
        )
        for item in found.alone
    )
    return Sheet("Each seat lifted by itself", columns, rows)


def failing(found: Lift) -> list[str]:
    """Checks of the jacks that do not hold."""
    told = []
    for line in found.failing:
        assert line.limit is not None
        factor, unit = (1e-3, "kN") if line.result.unit == "N" else (1e3, "mm")
        told.append(
            f"DOES NOT HOLD: {line.part}: {line.title}, {figure(line.value * factor, 1)} of "
            f"{figure(line.limit.value * factor, 1)} {unit}."
        )
    return told


def _used(line: Line) -> Cell:
    if line.utilisation is None:
        return Cell(NOTHING)
    over = line.utilisation > 1.0 + 1e-9
    return Cell(figure(line.utilisation * 100.0, 0), "warning" if over else "")


def _range(traffic: tuple[float, float] | None) -> str:
    """Least and greatest force of traffic."""
    return NOTHING if traffic is None else f"{words.kN(traffic[0])} to {words.kN(traffic[1])}"


def _others(found: Lift, events: Iterable[str]) -> bool:
    """Whether a bearing comes free that should stay."""
    return any(event.split(" ")[0] not in found.seats for event in events)


def _happens(events: tuple[str, ...]) -> str:
    """Events in a sentence, those alike together."""
    by_kind: dict[str, list[str]] = {}
    for event in events:
        mark, _, what = event.partition(" ")
        by_kind.setdefault(what, []).append(mark)
    plural = {"comes free": "come free", "touches again": "touch again"}
    return "; ".join(
        f"{words.marks(names)} {what if len(names) == 1 else plural[what]}"
        for what, names in by_kind.items()
    )


def _told(sentences: Iterable[str]) -> Iterator[RenderableType]:
    for sentence in sentences:
        loud = sentence.split(" ")[0].isupper() and len(sentence.split(" ")[0]) > 2
        style = "bold red" if loud else ""
        yield Padding(Text(plain(sentence), style=style), (0, 0, 0, 2))
