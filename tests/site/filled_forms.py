"""A girder on a rocker and a roller, and forms of it as somebody on site fills them in."""

import datetime as dt
import io
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from openpyxl import load_workbook

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.output.reading_form import reading_form
from bedstone.site.known_bridge import KnownBridge, known_bridge
from bedstone.site.reading_files import FilledForm, read_form
from bedstone.site.setting import settings

NOW = dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC)
VISIT = {
    "Taken by": "M. Iversen",
    "Date": dt.date(2026, 5, 31),
    "Time": dt.time(7, 30),
    "Time zone": "Europe/Vienna",
    "Weather": "overcast",
    "Steel temperature": 20.0,
    "Air temperature": 22.0,
    "Temperature unit": "degC",
}
#: 7:30 in Vienna in summer, two hours ahead of UTC.
AT = dt.datetime(2026, 5, 31, 7, 30, tzinfo=ZoneInfo("Europe/Vienna")).astimezone(dt.UTC)

Key = tuple[str, str, str]


@cache
def bridge() -> Bridge:
    """45 m of steel, fixed on A1, on a roller on A2; 12e-6 by 45 m is 0.54 mm for 1 K."""
    seat = {"hold_rotation": ["x"]}
    return Bridge.model_validate(
        {
            "bridge": {"name": "Beam over the Lorr"},
            "support": [{"mark": "A1", "chainage": "0 m"}, {"mark": "A2", "chainage": "45 m"}],
            "materials": {"steel_alpha": "12e-6 1/K"},
            "superstructure": {
                "kind": "girders", "type": "steel", "number": 1, "contact": "0.2 m",
                "sections": {"g": {
                    "kind": "given", "A": "0.1 m2", "Iy": "0.05 m4", "Iz": "0.02 m4",
                    "J": "0.01 m4", "depth": "1.6 m", "centroid": "0.8 m",
                }},
                "segments": [{"start": "0 m", "end": "45 m", "section": "g"}],
            },
            "stage": [{"name": "all", "carries": "steel", "loads": [
                {"kind": "line", "line_value": "20 kN/m", "y": "0 m"}]}],
            "actions": {
                "friction": False,
                "temperature": {"air_min": "-20 degC", "air_max": "35 degC", "setting": "10 degC"},
            },
            "arrangement": {"seats": {
                "A1-1": {**seat, "function": "fixed", "kind": "line rocker"},
                "A2-1": {**seat, "function": "guided along", "kind": "single roller"},
            }},
        }
    )  # fmt: skip


@cache
def known() -> KnownBridge:
    """The girder as readings see it, with how its bearings are set."""
    made = bridge()
    return known_bridge(made, Path(), settings(prepare(made), "eurocode"))


@cache
def blank() -> bytes:
    """The form of the girder."""
    return reading_form(known())


@cache
def _rows() -> dict[Key, int]:
    sheet = load_workbook(io.BytesIO(blank()))["Readings"]
    return {
        (row[0].value, row[1].value, row[2].value or ""): row[0].row
        for row in sheet.iter_rows(min_row=2)
    }


def filled(
    path: Path,
    values: dict[Key, object],
    visit: dict[str, object] | None = None,
    more: list[list[object]] | None = None,
) -> Path:
    """A form filled in: by seat, quantity and place a value, or cells by the head of their column.

    `more`: rows added below.
    """
    book = load_workbook(io.BytesIO(blank()))
    told = {**VISIT, **(visit or {})}
    for row in book["Visit"].iter_rows():
        if row[0].value in told:
            row[1].value = told[row[0].value]
    sheet = book["Readings"]
    heads = [cell.value for cell in sheet[1]]
    left = dict(values)
    last = 1
    for row in sheet.iter_rows(min_row=2):
        if row[0].value is None:
            break
        last = row[0].row
        key = (row[0].value, row[1].value, row[2].value or "")
        if key in left:
            cells = left.pop(key)
            for head, value in (cells if isinstance(cells, dict) else {"Value": cells}).items():
                row[heads.index(head)].value = value
    assert not left, f"not on the form: {left}"
    for number, cells in enumerate(more or [], start=last + 1):
        for column, value in enumerate(cells, start=1):
            sheet.cell(number, column).value = value
    book.save(path)
    return path


def row_of(key: Key) -> int:
    """The row of a reading on the form of the girder."""
    return _rows()[key]


def read(path: Path, **how: object) -> FilledForm:
    """A form as read, on the day `NOW`."""
    return read_form(path, known(), now=NOW, **how)  # type: ignore[arg-type]
