"""Readings of one bearing as they are typed on a page: into a form, and its faults to the fields.

The page keeps no rules of its own: what was typed becomes the text of a form, and is read as one.
"""

from __future__ import annotations

import csv
import io
import re
import tempfile
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Final

from bedstone.errors import Fault, InputError
from bedstone.output.shown import plain
from bedstone.site.known_bridge import KnownBridge
from bedstone.site.quantities import Quantity, Read
from bedstone.site.reading_files import FilledForm, read_form
from bedstone.site.reading_grids import COLUMNS, FORM, LABELS

#: Lines of a visit that are asked for on a page: label, what it is for, what kind of field.
VISIT: Final = (
    ("Taken by", "who reads", "text"),
    ("Date", "day of the visit", "date"),
    ("Time", "time of the clock there", "time"),
    ("Time zone", "such as Europe/Vienna, or +05:30", "text"),
    ("Steel temperature", "degC, mean of three places in the shade", "number"),
    ("Air temperature", "degC, if it was taken", "number"),
    ("Steel taken where and with what", "contact thermometer, web in the shade", "text"),
    ("Weather", "sun, cloud, wind", "text"),
    ("Remark", "of the visit as a whole", "text"),
)
#: Line of the first reading: after the visit, an empty line and the heads.
FIRST: Final = len(LABELS) + 3
_AT_LINE: Final = re.compile(r"^line ([0-9, ]+?)(?:, (\D.*))?$")
_WAVED: Final = re.compile(r';? ?(?:or )?"yes" under Looked at, or --accept.*$')


@dataclass
class Entry:
    """What is typed for one seat or support.

    `visit`: by label; `values`: by number of the reading among those asked; `looked`: numbers of
    readings in doubt that somebody has looked at again.
    """

    visit: dict[str, str] = field(default_factory=dict)
    instrument: str = ""
    values: dict[int, str] = field(default_factory=dict)
    looked: set[int] = field(default_factory=set)

    @property
    def empty(self) -> bool:
        """Whether nothing was read."""
        return not any(text.strip() for text in self.values.values())


@dataclass(frozen=True)
class Placed:
    """Faults by where they are shown.

    `visit`: by label; `readings`: by number; `doubts`: numbers that only need a second look;
    `others`: all the rest, in words.
    """

    visit: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[int, str] = field(default_factory=dict)
    doubts: frozenset[int] = frozenset()
    others: tuple[str, ...] = ()

    @property
    def any(self) -> bool:
        """Whether there is a fault at all."""
        return bool(self.visit or self.readings or self.others)


def form_text(entry: Entry, name: str, mark: str, asked: Sequence[Read]) -> str:
    """What was typed as the text of a form; `name`: of the bridge, `mark`: of seat or support."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    fixed = {"Form": FORM, "Bridge": plain(name).strip(), "Temperature unit": "degC"}
    for label in LABELS:
        writer.writerow([label, _line(fixed.get(label, entry.visit.get(label, "")))])
    writer.writerow([])
    writer.writerow(COLUMNS)
    for number, read in enumerate(asked):
        value = _line(entry.values.get(number, ""))
        told = {
            "Seat": mark,
            "Quantity": read.quantity.name,
            "Place": read.place,
            "Value": value,
            "Unit": read.quantity.shown,
            "Instrument": _line(entry.instrument) if value else "",
            "Looked at": "yes" if value and number in entry.looked else "",
        }
        writer.writerow([told.get(column, "") for column in COLUMNS])
    return stream.getvalue()


def _line(text: str) -> str:
    """Text in one line: lines of a form are counted."""
    return " ".join(text.split())


def read_entry(
    entry: Entry,
    bridge: KnownBridge,
    mark: str,
    file: str,
    *,
    now: datetime,
    built: date | None = None,
) -> FilledForm:
    """What was typed, read as a form called `file`; raises `InputError` with all its faults."""
    text = form_text(entry, bridge.name, mark, bridge.asked(mark))
    with tempfile.TemporaryDirectory(prefix="bedstone-entry-") as folder:
        path = Path(folder) / file
        path.write_text(text, encoding="utf-8")
        return read_form(path, bridge, now=now, built=built)


def placed(error: InputError, count: int) -> Placed:
    """Faults of a form by the fields of the page; `count`: readings that were asked for."""
    visit: dict[str, str] = {}
    readings: dict[int, str] = {}
    doubts: set[int] = set()
    others: list[str] = []
    for fault in error.faults:
        doubtful = fault.found.startswith("in doubt")
        told = _told(fault)
        label = fault.where.removeprefix("Visit, ") if fault.where.startswith("Visit, ") else ""
        lines: Collection[int] = ()
        match = _AT_LINE.match(fault.where)
        if match is not None:
            lines = [int(text) for text in match[1].split(",")]
        first = min(lines, default=0)
        if not label and 0 < first <= len(LABELS):
            label = LABELS[first - 1]
        rows = [line - FIRST for line in lines if 0 <= line - FIRST < count]
        if label in {name for name, _, _ in VISIT}:
            visit[label] = "; ".join(filter(None, (visit.get(label, ""), told)))
        elif rows:
            for row in rows:
                readings[row] = "; ".join(filter(None, (readings.get(row, ""), told)))
        else:
            others.append(f"{fault.where}: {told}")
        if doubtful:
            doubts |= set(rows)
    return Placed(visit, readings, frozenset(doubts), tuple(others))


def _told(fault: Fault) -> str:
    allowed = _WAVED.sub("", fault.allowed)
    if fault.found.startswith("in doubt: "):
        return f"{fault.found.removeprefix('in doubt: ')}; it would fit: {allowed}"
    return f"found {fault.found}; allowed: {allowed}"


# ------------------------------------------------------------------ what + means, drawn
def sign_picture(quantity: Quantity, place: str) -> str:
    """A small drawing of what is read and what + means; "" where words say it all.

    Seen from the right with rising chainage to the right, or toward rising chainage with the left
    at the left; corners from above.
    """
    name = quantity.name
    across = name.endswith("across") or place in ("left", "right")
    first = place in ("left", "falling")  # drawn at the left
    drawn = ""
    if name in ("offset along", "offset across", "shear offset along", "shear offset across"):
        drawn = _offset(name.startswith("shear"), name.endswith("across"))
    elif name == "roller offset":
        drawn, across = _ROLLER, False
    elif name == "roller gap":
        drawn = _STOP[place]
    elif name == "guide gap":
        drawn = _GUIDE + _between(12 if first else 86, 26 if first else 100, 25)
    elif name == "overhang":
        drawn = _SLIDE + _between(14 if first else 78, 34 if first else 98, 44)
    elif name == "joint gap":
        drawn, across = _JOINT + _between(48, 64, 12), False
    elif name == "tilt":
        drawn, across = _TILT, False
    elif name in ("level along", "level across"):
        drawn = _LEVEL if name == "level along" else _MIRRORED
    elif name == "height":
        return _svg(_corner(place), "rising →", "from above")
    if not drawn:
        return ""
    return _svg(drawn, "← left" if across else "rising →", "seen ahead" if across else "")


def _svg(drawn: str, way: str, view: str) -> str:
    at = 'x="1" text-anchor="start"' if way.startswith("←") else 'x="111" text-anchor="end"'
    other = 'x="111" text-anchor="end"' if way.startswith("←") else 'x="1" text-anchor="start"'
    return (
        '<svg class="sign" viewBox="0 0 112 64" aria-hidden="true">'
        f'{drawn}<text {at} y="62">{way}</text><text {other} y="62">{view}</text></svg>'
    )


def _box(x: float, y: float, wide: float, high: float, kind: str = "plate") -> str:
    return f'<rect class="{kind}" x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}"/>'


def _between(left: float, right: float, y: float) -> str:
    """What is measured: a bar with ends."""
    return (
        f'<path class="read" d="M{left:g} {y:g}H{right:g}M{left:g} {y - 5:g}v10'
        f'M{right:g} {y - 5:g}v10"/>'
    )


def _plus(x: float, y: float) -> str:
    return f'<text class="plus" x="{x:g}" y="{y:g}">+</text>'


def _offset(shears: bool, left: bool) -> str:
    """The upper plate moved toward +, and how far its middle is from that of the lower one."""
    way = -14 if left else 14
    pad = (
        f'<path class="pad" d="M26 38L{26 + way} 22H{86 + way}L86 38z"/>'
        if shears
        else _box(40, 22, 32, 16, "pad")
    )
    middle = f'<path class="axis" d="M56 8V50M{56 + way} 4V30"/>'
    first, last = sorted((56, 56 + way))
    plates = _box(20, 38, 72, 8) + _box(20 + way, 14, 72, 8)
    return pad + plates + middle + _between(first, last, 9) + _plus(52 + way * 2.2, 11)


_ROLLER: Final = (
    _box(20, 38, 72, 8) + _box(34, 8, 72, 8)
    + '<circle class="pad" cx="63" cy="27" r="11"/><path class="axis" d="M56 14V52M63 16V50"/>'
    + _between(56, 63, 50) + _plus(68, 54)
)  # fmt: skip
_STOP: Final = {
    "falling": _box(14, 38, 84, 8) + _box(16, 26, 8, 12) + _between(24, 47, 32)
    + '<circle class="pad" cx="58" cy="27" r="11"/>',
    "rising": _box(14, 38, 84, 8) + _box(88, 26, 8, 12) + _between(65, 88, 32)
    + '<circle class="pad" cx="54" cy="27" r="11"/>',
}  # fmt: skip
_GUIDE: Final = (
    _box(4, 44, 104, 8) + _box(4, 12, 8, 32) + _box(100, 12, 8, 32) + _box(26, 10, 60, 26, "pad")
)
_SLIDE: Final = _box(14, 14, 84, 8) + _box(34, 22, 44, 8, "pad") + _box(26, 30, 60, 8)
_JOINT: Final = _box(4, 20, 44, 22) + _box(64, 20, 44, 22)
_TILT: Final = (
    _box(20, 44, 72, 6)
    + '<path class="axis" d="M56 46V6"/><path class="pad" d="M50 44L68 12l10 5L62 46z"/>'
    + '<path class="read" d="M56 14A32 32 0 0 1 71 18"/>'
    + _plus(80, 12)
)
_LEVEL: Final = (
    '<path class="plate" d="M14 44L98 28v8L14 52z"/><path class="axis" d="M14 44H100"/>'
    '<path class="read" d="M90 44V31"/>' + _plus(98, 24)
)
_MIRRORED: Final = (
    '<path class="plate" d="M98 44L14 28v8L98 52z"/><path class="axis" d="M98 44H12"/>'
    '<path class="read" d="M22 44V31"/>' + _plus(8, 24)
)


def _corner(place: str) -> str:
    """A plate from above with its four corners, the one that is read marked."""
    drawn = _box(26, 10, 60, 34)
    for number, (x, y) in enumerate(((26, 44), (86, 44), (86, 10), (26, 10)), start=1):
        kind = "here" if place == f"corner {number}" else "there"
        drawn += f'<circle class="{kind}" cx="{x}" cy="{y}" r="5"/>'
    return drawn
