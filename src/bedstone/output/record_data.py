"""The record of readings as data: JSON, described by ``record.schema.json``.

Lengths in mm, angles in mrad, shares in %, temperatures in degC, times in UTC (ISO 8601).
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from importlib.resources import files
from typing import Any, Final

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.output.shown import scaled
from bedstone.site.quantities import known
from bedstone.site.record import Batch, Entry, Logged

#: Unit in which a reading is handed on, and the factor to it, by its SI unit.
SHOWN: Final = {"m": ("mm", 1e3), "rad": ("mrad", 1e3), "": ("%", 1e2)}


def record_to_dict(
    bridge: str, entries: Sequence[Entry], batches: Sequence[Batch], logged: Sequence[Logged]
) -> dict[str, Any]:
    """Return a record as plain data that fits `record_schema`."""
    return {
        "format": "bedstone record 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "bridge": bridge,
        "batches": [_batch(item) for item in batches],
        "readings": [_reading(item) for item in entries],
        "logs": [
            {
                "batch": item.batch,
                "seat": item.seat,
                "rows": item.rows,
                "first": stamp(item.first),
                "last": stamp(item.last),
            }
            for item in logged
        ],
    }


def record_to_json(
    bridge: str, entries: Sequence[Entry], batches: Sequence[Batch], logged: Sequence[Logged]
) -> str:
    """Return a record as JSON text (UTF-8, one final line end)."""
    data = record_to_dict(bridge, entries, batches, logged)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def record_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `record_to_dict`."""
    text = files("bedstone.output").joinpath("record.schema.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def shown_value(item: Entry) -> tuple[float | None, str]:
    """Number of a reading in the unit it is handed on in, and that unit; no number for words."""
    told = item.reading
    quantity = known(told.quantity)
    if told.value is None or quantity is None:
        # a quantity of a newer catalogue is handed on as it is kept
        return told.value, ""
    unit, factor = SHOWN[quantity.unit]
    return scaled(told.value, factor, told.quantity), unit


def stamp(time: dt.datetime) -> str:
    """A time as ISO 8601 in UTC, to the second."""
    return time.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _batch(item: Batch) -> dict[str, Any]:
    return {
        "number": item.number,
        "kind": item.kind,
        "imported": stamp(item.imported),
        "who": item.who,
        "file": item.file,
        "sha256": item.sha256,
        "program": item.program,
        "weather": item.weather,
        "steel_taken": item.taken,
        "air_degC": item.air,
        "zone": item.zone,
        "remark": item.remark,
    }


def _reading(item: Entry) -> dict[str, Any]:
    told = item.reading
    value, unit = shown_value(item)
    warm = told.temperature
    return {
        "number": item.number,
        "batch": item.batch,
        "seat": told.seat,
        "quantity": told.quantity,
        "place": told.place,
        "value": value,
        "unit": unit,
        "word": told.word,
        "time": stamp(told.time),
        "steel_degC": None if warm is None else scaled(warm, 1.0, "temperature"),
        "who": told.who,
        "instrument": told.instrument,
        "remark": item.remark,
        "looked_at": item.looked,
        "file": told.file,
        "row": told.row,
        "stands": item.stands,
        "replaces": item.replaces,
        "replaced_by": item.replaced,
        "why": item.why,
    }
