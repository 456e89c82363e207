"""Makes the forms of this folder: `python examples/site/make_visit.py [FOLDER]`.

A visit to the bearings of examples/truss.toml. All of it is MADE UP: nothing was measured on any
bridge, nobody went. `truss-visit.xlsx` has the five faults of `FAULTS` in it, and
`truss-visit-sound.xlsx` has none; each clean reading is what the bridge asks, off by a little of
what a rule reads.
"""

import datetime as dt
import io
import sys
from collections.abc import Iterator
from pathlib import Path

from openpyxl import load_workbook

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.cli.paper import designed
from bedstone.output.reading_form import form_lines, reading_form
from bedstone.output.workbook import without_times
from bedstone.schedule.designs import SeatDesign
from bedstone.site.known_bridge import KnownBridge, known_bridge
from bedstone.site.reading_doubts import expected_offset
from bedstone.site.reading_grids import COLUMNS, READINGS, VISIT
from bedstone.site.setting import Setting, settings

HERE = Path(__file__).resolve().parent
BRIDGE = HERE.parent / "truss.toml"
STEEL = 24.0  # degC
#: What is wrong on the made-up visit: seat, what was read, and its readings by quantity and place.
FAULTS: dict[tuple[str, str], dict[tuple[str, str], float]] = {
    ("A2-1", "roller skew"): {("roller offset", "left"): 6.7, ("roller offset", "right"): 0.7},
    ("A2-1", "diameter"): {
        ("diameter", "left"): 158.4,
        ("diameter", "middle"): 158.1,
        ("diameter", "right"): 158.3,
    },
    ("A1-2", "guide gap"): {("guide gap", "falling"): 0.0, ("guide gap", "rising"): 1.2},
    ("A2-2", "offset along"): {("offset along", ""): -29.5},
    ("A2-2", "level along"): {("level along", ""): 4.6},
}
VISIT_TOLD = {
    "Taken by": "made up, nobody",
    "Date": dt.date(2024, 6, 17),
    "Time": dt.time(9, 30),
    "Time zone": "+02:00",
    "Weather": "overcast (made up)",
    "Steel temperature": STEEL,
    "Air temperature": 22.0,
    "Temperature unit": "degC",
    "Steel taken where and with what": "bottom chords, three places (made up)",
    "Remark": "INVENTED DATA: made by examples/site/make_visit.py",
}
#: What a rule reads beside the truth, mm, taken in turn.
SLIPS = (0.4, -0.3, 0.2, -0.5, 0.1, 0.3, -0.2)
WORDS = {"connection": "sound", "movement": "free", "dirt": "clean", "oil": "in order",
         "clamp": "no", "anchor": "sound"}  # fmt: skip
Key = tuple[str, str, str]


def known() -> tuple[KnownBridge, dict[str, Setting], dict[str, SeatDesign]]:
    """The example bridge as readings see it, its settings and its bearings."""
    bridge = read_bridge(BRIDGE)
    _, designs = designed(bridge, BRIDGE.parent, None)
    found = settings(prepare(bridge), "eurocode", designs=designs)
    own = known_bridge(bridge, BRIDGE.parent, found)
    return own, {s.seat: s for s in found}, {d.seat: d for d in designs}


def visit(
    bridge: KnownBridge, by_seat: dict[str, Setting], designs: dict[str, SeatDesign], *, sound: bool
) -> dict[Key, float | str]:
    """The value of every reading in the unit of the form."""
    faults = {} if sound else FAULTS
    read: dict[Key, float | str] = {
        (seat, *key): value for (seat, _), values in faults.items() for key, value in values.items()
    }
    lines = list(form_lines(bridge))
    for number, line in enumerate(lines):
        key = (line.seat, line.quantity.name, line.place)
        if key in read:
            continue
        slip = SLIPS[number % len(SLIPS)]
        if line.quantity.worded:
            read[key] = WORDS.get(line.quantity.name, "none")
        elif line.quantity.name == "joint gap":
            read[key] = 120.0
        else:
            setting, design = by_seat[line.seat], designs[line.seat].choice.design
            told = number_of(setting, design, line.quantity.name, line.place, read)
            small = line.quantity.name in ("lift-off", "guide gap", "contact", "protrusion")
            read[key] = round(told + (0.0 if small else slip), 1)
    return read


def number_of(setting, design, name, place, read) -> float:
    """What a sound bearing shows, mm, mm/m or %; other readings follow from the offset read."""

    def offset(axis: int) -> float:
        told = read.get((setting.seat, ("offset along", "offset across")[axis], ""))
        return 1e3 * expected_offset(setting, axis, STEEL) if told is None else told

    axis = 0 if place in ("falling", "rising", "") else 1
    match name:
        case "offset along" | "offset across":
            return 1e3 * expected_offset(setting, 0 if name.endswith("along") else 1, STEEL)
        case "roller offset":
            return offset(0) / 2.0
        case "roller gap":
            stop = next(end for end in setting.ends if end.halved)
            return 500.0 * stop.ahead + (0.5 if place == "falling" else -0.5) * offset(0)
        case "guide gap":
            ends = [end for end in setting.ends if end.holds and end.axis == "xy"[axis]]
            return 1e3 * ends[0].ahead
        case "overhang":
            plates = [end for end in setting.ends if end.overhang and end.axis == "xy"[axis]]
            readings = plates[0].readings(offset(axis) / 1e3)
            return 1e3 * readings[0 if place in ("falling", "right") else 1]
        case "height":
            return 1e3 * design.height
        case "pot gap":
            return 1e3 * design.bearing.body.gap
        case "protrusion":
            return 1e3 * design.bearing.slide.sheet.protrusion - 0.1
        case "contact":
            return 98.0
    return 0.0  # levels, tilts, lift-off, level of the seat


def workbook(bridge: KnownBridge, read: dict[Key, float | str]) -> bytes:
    """The form of the bridge filled in; faults that look like slips are marked as looked at."""
    book = load_workbook(io.BytesIO(reading_form(bridge)))
    for row in book[VISIT].iter_rows(min_row=1, max_col=2):
        if row[0].value in VISIT_TOLD:
            row[1].value = VISIT_TOLD[row[0].value]
    sheet = book[READINGS]
    at = {name: place for place, name in enumerate(COLUMNS)}
    left = dict(read)
    for row in sheet.iter_rows(min_row=2, max_col=len(COLUMNS)):
        key = tuple(row[at[name]].value or "" for name in ("Seat", "Quantity", "Place"))
        if key in left:
            row[at["Value"]].value = left.pop(key)
        elif key == ("", "", "") and left:
            # sizes are not asked for: they stand in the free rows below
            more = next(iter(left))
            told = (*more, left.pop(more), "mm")
            for name, value in zip(COLUMNS, told, strict=False):
                row[at[name]].value = value
    stream = io.BytesIO()
    book.save(stream)
    return without_times(stream.getvalue(), None)


def forms() -> Iterator[tuple[str, bytes]]:
    """Both forms by name."""
    bridge, by_seat, designs = known()
    for name, sound in (("truss-visit", False), ("truss-visit-sound", True)):
        yield f"{name}.xlsx", workbook(bridge, visit(bridge, by_seat, designs, sound=sound))


if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    for name, content in forms():
        (folder / name).write_bytes(content)
        print(folder / name)
