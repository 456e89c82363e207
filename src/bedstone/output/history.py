"""The history of the bearings of a bridge as PDF: charts, travel left, every reading.

Typeset offline with the faces that come with the typesetter; the same record gives the same bytes.
What a record says is put in as text, never as markup.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from bedstone import __version__
from bedstone.cautions import FULL, SHORT
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.output.drawing.picture import Picture
from bedstone.output.drawing.to_svg import to_svg
from bedstone.output.history_charts import Axis, Curve, Marks, chart, scale, time_scale
from bedstone.output.record_data import SHOWN
from bedstone.output.record_tables import degrees, note, reading_words
from bedstone.output.report.markup import quoted, text
from bedstone.output.shown import figure, plain
from bedstone.site.known_bridge import KnownBridge, Seated
from bedstone.site.mechanism import End
from bedstone.site.quantities import known
from bedstone.site.reading_doubts import expected_offset
from bedstone.site.record import Batch, Entry, Logged
from bedstone.site.setting import Setting

#: Readings of the movement of the upper part, by axis; those of a pad have their own.
_MOVES: Final = {
    "offset along": 0, "offset across": 1, "shear offset along": 0, "shear offset across": 1,
}  # fmt: skip
_WIDE, _HIGH = 88.0, 62.0  # mm, a chart of half the page
_SMALL = (58.0, 34.0)
_MOST_SMALL = 9  # small charts of a seat

_HEAD = """\
#set document(title: TITLE, date: none)
#set page(paper: "a4", margin: (x: 15mm, top: 16mm, bottom: 16mm),
  header: text(7.5pt, fill: soft, [#TITLE]),
  footer: text(7.5pt, fill: soft, [#FOOT #h(1fr) #context counter(page).display("1 / 1", both: true)
  ]))
#set text(font: "Libertinus Serif", size: 9pt, lang: "en")
#set par(leading: 0.5em, spacing: 0.7em)
#let struck(it) = text(fill: soft, strike(it))
#let shown(svg, wide, told) = image(bytes(svg), format: "svg", width: wide, alt: told)
"""
_COLOURS = """\
#let ink = rgb("#1b1f24")
#let soft = rgb("#5b6470")
#let warn = rgb("#a8281e")
"""


def history_pdf(
    bridge: KnownBridge,
    entries: Sequence[Entry],
    batches: Sequence[Batch],
    logged: Sequence[Logged] = (),
) -> bytes:
    """The history as PDF. Raises `InputError` where there is no reading to show."""
    import typst  # only here: nothing else of the record needs it

    source = history_source(bridge, entries, batches, logged)
    try:
        return typst.compile(
            source.encode(), format="pdf", ignore_system_fonts=True, timestamp=0, pdf_tags=False
        )
    except typst.TypstError as error:
        raise BedstoneError(f"the history cannot be set: {error.message}") from error


def history_source(
    bridge: KnownBridge,
    entries: Sequence[Entry],
    batches: Sequence[Batch],
    logged: Sequence[Logged] = (),
) -> str:
    """The history as text for the typesetter; raises `InputError` for none."""
    marks = (*bridge.seats, *bridge.supports)
    found = dict.fromkeys(item.reading.seat for item in entries)
    if not found:
        raise InputError([Fault("record", "readings", "none", "at least one reading to show")])
    title = f"Readings on bearings: {plain(bridge.name)}"
    head = _HEAD.replace("TITLE", quoted(title)).replace("FOOT", quoted(_foot()))
    # seats of the bridge in its order, then marks that it has no longer
    order = [mark for mark in marks if mark in found]
    order += [mark for mark in found if mark not in marks]
    pages = [
        _seat(bridge, mark, [item for item in entries if item.reading.seat == mark])
        for mark in order
    ]
    body = "#pagebreak()\n".join([_first(bridge, entries, batches, logged), *pages])
    return _COLOURS + head + body


def _foot() -> str:
    return f"bedstone {__version__}. {SHORT}"


# ------------------------------------------------------------------ first page
def _first(
    bridge: KnownBridge,
    entries: Sequence[Entry],
    batches: Sequence[Batch],
    logged: Sequence[Logged],
) -> str:
    standing = [item for item in entries if item.stands]
    times = sorted(item.reading.time for item in entries)
    told = (
        f"{len(standing)} readings stand; corrected or taken back: {len(entries) - len(standing)}. "
        f"From {times[0]:%Y-%m-%d} to {times[-1]:%Y-%m-%d}; all times in UTC."
    )
    rows = [
        [
            str(item.number), item.kind, f"{item.imported:%Y-%m-%d %H:%M}", item.who, item.file,
            _visit(item),
        ]
        for item in batches
    ]  # fmt: skip
    parts = [
        f'#text(16pt, weight: "bold", {text(plain(bridge.name))})\n\n',
        f"#text(fill: soft, {text(plain(bridge.reference))})\n\n" if bridge.reference else "",
        _par(told),
        _heading("Where it stands"),
        _table(
            (
                "seat",
                "last read",
                "steel degC",
                "offset mm",
                "against expected mm",
                "travel left mm",
                "seen",
            ),
            ("auto", "auto", "auto", "auto", "auto", "auto", "1fr"),
            list(_overview(bridge, standing)),
            right=(2, 3, 4, 5),
        ),
        _heading("What came in"),
        _table(
            ("No.", "kind", "came in", "who", "file", "visit"),
            ("auto", "auto", "auto", "auto", "auto", "1fr"),
            rows,
        ),
    ]
    if logged:
        logs = [
            [str(item.batch), item.seat, str(item.rows), f"{item.first:%Y-%m-%d %H:%M}",
             f"{item.last:%Y-%m-%d %H:%M}"]
            for item in logged
        ]  # fmt: skip
        heads = ("No.", "seat", "rows", "first", "last")
        parts += [_heading("Logs"), _table(heads, ("auto", "auto", "auto", "auto", "1fr"), logs)]
    parts += [_heading("How to read this"), *(_par(line) for line in _HOW), _par(FULL, soft=True)]
    return "".join(parts)


_HOW: Final = (
    (
        "Offset: of the upper part against the lower one, + toward rising chainage and to the "
        "left. Expected: what the arrangement moves for 1 K, from the middle at the datum "
        "temperature, all that was to come (shrinkage, creep, later stages) having come; dashed "
        "at both sides: the error budget of setting."
    ),
    (
        "Against expected: offset less expected. For a bearing that follows the temperature it "
        "stays where it is; for one that creeps away or has seized it does not."
    ),
    (
        "Travel left: to the nearest end, on the day and, shifted by the same difference, at the "
        "coldest and warmest steel (in the table the latter). Movement by traffic, wind and "
        "rotation comes on top."
    ),
    (
        "A reading struck out was corrected: the number that takes its place stands beside it. "
        "* : taken in although in doubt, somebody had looked at it."
    ),
)


def _overview(bridge: KnownBridge, standing: Sequence[Entry]) -> Iterator[list[str]]:
    """The last readings of each seat in a line; a line more for each direction it moves in."""
    for mark in dict.fromkeys((*bridge.seats, *bridge.supports)):
        read = [item for item in standing if item.reading.seat == mark]
        if not read:
            continue
        last: dict[tuple[str, str], Entry] = {}
        for item in read:  # by time, so that the last one stays
            last[item.reading.quantity, item.reading.place] = item
        seen = ", ".join(
            f"{name}: {item.reading.word}"
            for (name, _), item in last.items()
            if item.reading.word and _worse(item)
        )
        day = f"{read[-1].reading.time:%Y-%m-%d}"
        seat = bridge.seats.get(mark)
        rows = []
        for name, axis in _MOVES.items():
            found = last.get((name, ""))
            if found is None:
                continue
            setting = _setting(seat, axis)
            points = _points([found], setting, axis)
            told = [degrees(found.reading.temperature), reading_words(found).split()[0]]
            off = points[0].off if points else None
            told.append("–" if off is None else figure(off, 1))
            left = None if setting is None or off is None else _left_at_extremes(setting, axis, off)
            told.append("–" if left is None or math.isinf(left) else figure(left, 0))
            rows.append([f"{mark}, {name}", f"{found.reading.time:%Y-%m-%d}", *told])
        if not rows:
            rows = [[mark, day, "–", "–", "–", "–"]]
        for at, row in enumerate(rows):
            yield [*row, seen if at == 0 else ""]


def _worse(item: Entry) -> bool:
    """Whether a word is not the first of its quantity, which is the one that nothing is said of."""
    quantity = known(item.reading.quantity)
    return quantity is None or item.reading.word != quantity.words[0]


def _setting(seat: Seated | None, axis: int) -> Setting | None:
    """How a seat is set along an axis in which it moves; None where nothing is expected."""
    setting = None if seat is None else seat.setting
    return None if setting is None or setting.held[axis] else setting


def _visit(item: Batch) -> str:
    air = "" if item.air is None else f"air {figure(item.air, 1)} degC"
    return "; ".join(part for part in (item.weather, air, item.taken, item.remark) if part)


# ------------------------------------------------------------------ one seat
def _seat(bridge: KnownBridge, mark: str, entries: Sequence[Entry]) -> str:
    seat = bridge.seats.get(mark)
    told = f"support {mark}" if mark in bridge.supports else "no seat of the bridge file"
    if seat is not None:
        chosen = "" if seat.told else " (chosen by design: the file names no kind)"
        told = f"{seat.kind or 'bearing'}{chosen}, {seat.function}, support {seat.support}"
    parts = [f'#text(15pt, weight: "bold", {text(plain(mark))}) #h(3mm) #text({text(told)})\n\n']
    pictures = list(_charts(seat, entries))
    small = list(_small(entries))
    if pictures:
        parts.append(_grid(pictures, 2, _WIDE))
    if small:
        parts.append(_grid(small, 3, _SMALL[0]))
    parts.append(_heading("Readings"))
    parts.append(_readings(entries))
    return "".join(parts)


@dataclass(frozen=True)
class _Point:
    """An offset read: time (s), steel (degC), offset and offset less expected (mm)."""

    time: float
    warm: float
    offset: float
    off: float | None


def _charts(seat: Seated | None, entries: Sequence[Entry]) -> Iterator[Picture]:
    """Charts of the movement along x' and y'."""
    for name, axis in _MOVES.items():
        read = [item for item in entries if item.reading.quantity == name]
        setting = _setting(seat, axis)
        points = _points([item for item in read if item.stands], setting, axis)
        gone = _points([item for item in read if item.replaced is not None], setting, axis)
        if not points:
            continue
        yield _by_temperature(name, setting, axis, points, gone)
        times = time_scale([item.reading.time for item in read])
        yield _by_time(name, setting, axis, points, gone, times)
        if setting is not None:
            yield from _travel(name, setting, axis, points, times)


def _points(read: Sequence[Entry], setting: Setting | None, axis: int) -> list[_Point]:
    found = []
    for item in read:
        told = item.reading
        if told.value is None or told.temperature is None:
            continue
        off = None
        if setting is not None:
            off = (told.value - expected_offset(setting, axis, told.temperature)) * 1e3
        warm = told.temperature
        found.append(_Point(told.time.timestamp(), warm, told.value * 1e3, off))
    return found


def _by_temperature(
    name: str,
    setting: Setting | None,
    axis: int,
    points: Sequence[_Point],
    gone: Sequence[_Point],
) -> Picture:
    curves: list[Curve] = []
    values = [item.offset for item in (*points, *gone)]
    warm = [item.warm for item in (*points, *gone)]
    if setting is not None:
        ends = (setting.temperatures.coldest, setting.temperatures.warmest)
        warm += ends
        line = [(at, expected_offset(setting, axis, at) * 1e3) for at in ends]
        values += [value for _, value in line]
        budget = setting.budget[axis].total * 1e3
        curves.append(Curve(tuple(line), "movement", "expected"))
        for sign, words in ((1.0, "± error budget"), (-1.0, "")):
            shifted = tuple((at, value + sign * budget) for at, value in line)
            curves.append(Curve(shifted, "moved", words))
    x = scale("steel, degC", warm, whole=True)
    y = scale("mm", values)
    if setting is not None:
        curves += [
            Curve(((x.least, at), (x.most, at)), "warning", words)
            for at, words in _end_lines(setting, axis)
            if y.least < at < y.most
        ]
    marks = [
        Marks(tuple((item.warm, item.offset) for item in points), "dot", "bearing", "read"),
        Marks(tuple((item.warm, item.offset) for item in gone), "cross", "sheet", "corrected"),
    ]
    title = f"{name.capitalize()} against steel temperature"
    return chart("temperature", title, (_WIDE, _HIGH), x, y, curves, marks)


def _end_lines(setting: Setting, axis: int) -> Iterator[tuple[float, str]]:
    """Ends of the movement (mm) along an axis."""
    for end in _ends(setting, axis):
        yield end.back * 1e3, end.what
        yield end.ahead * 1e3, ""


def _by_time(
    name: str,
    setting: Setting | None,
    axis: int,
    points: Sequence[_Point],
    gone: Sequence[_Point],
    times: Axis,
) -> Picture:
    against = setting is not None

    def value(item: _Point) -> float:
        return item.off if item.off is not None else item.offset

    values = [value(item) for item in (*points, *gone)]
    curves = []
    if setting is not None:
        budget = setting.budget[axis].total * 1e3
        values += [budget, -budget]
        for at, words in ((budget, "± error budget"), (-budget, "")):
            curves.append(Curve(((times.least, at), (times.most, at)), "moved", words))
    marks = [
        Marks(tuple((item.time, value(item)) for item in points), "dot", "bearing", "read"),
        Marks(tuple((item.time, value(item)) for item in gone), "cross", "sheet", "corrected"),
    ]
    title = f"{name.capitalize()}{' against expected' if against else ''}"
    y = scale("mm", values)
    return chart("time", title, (_WIDE, _HIGH), times, y, curves, marks)


def _travel(
    name: str, setting: Setting, axis: int, points: Sequence[_Point], times: Axis
) -> Iterator[Picture]:
    """Travel left to the nearest end, on the day and at the extremes of temperature."""
    if not list(_ends(setting, axis)):
        return
    day = tuple((item.time, _left(setting, axis, item.offset)) for item in points)
    extreme = tuple(
        (item.time, _left_at_extremes(setting, axis, item.off))
        for item in points
        if item.off is not None
    )
    y = scale("mm", [value for _, value in (*day, *extreme)] + [0.0])
    marks = [
        Marks(day, "dot", "bearing", "on the day"),
        Marks(extreme, "ring", "movement", "at the coldest or warmest"),
    ]
    title = f"Travel left, {name.removeprefix('shear ').removeprefix('offset ')}"
    nothing = Curve(((times.least, 0.0), (times.most, 0.0)), "warning", "end")
    yield chart("travel", title, (_WIDE, _HIGH), times, y, [nothing], marks)


def _ends(setting: Setting, axis: int) -> Iterator[End]:
    """What ends the movement along an axis."""
    return (end for end in setting.ends if end.axis == "xy"[axis] and not end.holds)


def _left(setting: Setting, axis: int, offset: float) -> float:
    """Travel left (mm) to the nearest end at an offset (mm)."""
    ends = _ends(setting, axis)
    return min(min(offset - end.back * 1e3, end.ahead * 1e3 - offset) for end in ends)


def _left_at_extremes(setting: Setting, axis: int, off: float) -> float:
    """Travel left (mm) at the coldest and warmest steel, `off` (mm) from what is expected."""
    if not list(_ends(setting, axis)):
        return math.inf
    told = setting.temperatures
    reach = [expected_offset(setting, axis, at) * 1e3 for at in (told.coldest, told.warmest)]
    return min(_left(setting, axis, at + off) for at in reach)


def _small(entries: Sequence[Entry]) -> Iterator[Picture]:
    """A small chart against time of each other number that was read more than once."""
    by: dict[tuple[str, str], list[Entry]] = {}
    for item in entries:
        told = item.reading
        if told.quantity not in _MOVES and told.value is not None and known(told.quantity):
            by.setdefault((told.quantity, told.place), []).append(item)
    kept = [
        (key, items)
        for key, items in by.items()
        if len({item.reading.time for item in items if item.stands}) > 1
    ]
    for (name, place), items in kept[:_MOST_SMALL]:
        quantity = known(name)
        assert quantity is not None
        unit, factor = SHOWN[quantity.unit]
        sorts = []
        for stands, kind, layer in ((True, "dot", "bearing"), (False, "cross", "sheet")):
            points = tuple(
                (item.reading.time.timestamp(), (item.reading.value or 0.0) * factor)
                for item in items
                if item.stands == stands
            )
            sorts.append(Marks(points, "dot" if kind == "dot" else "cross", layer))
        y = scale(unit, [value for sort in sorts for _, value in sort.points])
        times = time_scale([item.reading.time for item in items])
        title = f"{name} {place}".strip().capitalize()
        yield chart("small", title, _SMALL, _thinned(times), y, (), sorts)


def _thinned(axis: Axis) -> Axis:
    """An axis with every second stroke, for a narrow chart."""
    return Axis(axis.label, axis.least, axis.most, axis.ticks[:: 2 if len(axis.ticks) > 4 else 1])


# ------------------------------------------------------------------ pieces
def _readings(entries: Sequence[Entry]) -> str:
    rows, struck = [], set()
    for at, item in enumerate(entries):
        told = item.reading
        words = reading_words(item) + ("*" if item.looked and item.replaces is None else "")
        remark = note(item)
        if item.replaced is not None:
            struck.add(at)
            remark = f"corrected by {item.replaced}. {remark}".strip()
        rows.append(
            [
                str(item.number), f"{told.time:%Y-%m-%d %H:%M}", degrees(told.temperature),
                f"{told.quantity} {told.place}".strip(), words, told.who, remark,
            ]
        )  # fmt: skip
    heads = ("No.", "time (UTC)", "steel degC", "quantity", "reading", "who", "note")
    widths = ("auto", "auto", "auto", "auto", "auto", "auto", "1fr")
    return _table(heads, widths, rows, frozenset(struck), right=(0, 2, 4))


def _table(
    heads: Sequence[str],
    widths: Sequence[str],
    rows: Sequence[Sequence[str]],
    struck: frozenset[int] = frozenset(),
    right: Sequence[int] = (),
) -> str:
    """A table whose head stands on every page; `struck`: rows with a line through them."""
    head = ", ".join(f'text(weight: "bold", {text(word)})' for word in heads)
    cells = []
    for at, row in enumerate(rows):
        for column, word in enumerate(row):
            source = text(plain(word))
            # the last column says why: it stays readable
            lined = at in struck and column < len(row) - 1
            cells.append(f"struck({source})" if lined else f"text({source})")
    sides = ", ".join("right" if column in right else "left" for column in range(len(heads)))
    return (
        f"#text(8pt, table(columns: ({', '.join(widths)}), align: ({sides}), "
        "inset: (x: 1.3mm, y: 0.8mm), stroke: (x, y) => (bottom: if y == 0 { 0.8pt } else "
        f"{{ 0.25pt + soft }}),\n  table.header({head}),\n  {', '.join(cells)}\n))\n\n"
    )


def _grid(pictures: Sequence[Picture], columns: int, wide: float) -> str:
    cells = ", ".join(
        f"shown({quoted(to_svg(item))}, {wide:g}mm, {text(item.title)})" for item in pictures
    )
    return f"#grid(columns: {columns}, column-gutter: 3mm, row-gutter: 4mm, {cells})\n\n"


def _heading(words: str) -> str:
    return f'#block(above: 5mm, below: 2mm, text(11pt, weight: "bold", {text(words)}))\n'


def _par(words: str, *, soft: bool = False) -> str:
    style = "8pt, fill: soft, " if soft else ""
    return f"#par(text({style}{text(words)}))\n"
