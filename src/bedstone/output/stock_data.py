"""A stock of bridges as data: JSON, described by ``stock.schema.json``.

Lengths in mm, forces in kN; ratios are plain numbers. The numbers behind it stand in the store.
"""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.output import stock_words as words
from bedstone.output.data import value_data
from bedstone.output.shown import UNITS, scaled, shown
from bedstone.stock.ranking import Change, Ranked, Reason
from bedstone.stock.run import Result


def stock_to_dict(found: Result) -> dict[str, Any]:
    """Return a stock as plain data that fits `stock_schema`.

    Raises `CheckError` when a number is not finite.
    """
    values = found.thresholds.values
    return {
        "format": "bedstone stock 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "reading": [words.RANKING, words.MEASURES],
        "stock": found.place,
        "store": found.store,
        "standard": found.options.standard,
        "parts": list(found.options.parts),
        "run": found.number,
        "bridges": found.bridges,
        "taken_from_store": found.taken,
        "worked_out": found.worked_out,
        "damaged": found.damaged,
        "removed": found.removed,
        "not_tried": found.untried,
        "states": found.states,
        "passed_over": list(found.passed_over),
        "thresholds": [value_data(values[name]) for name in sorted(values)],
        "ranking": [_ranked(item) for item in found.ranking],
        "not_worked_out": [
            {"bridge": item.bridge, "state": item.state, "faults": list(item.faults)}
            for item in found.faulty
        ],
        "left_out": [
            {"bridge": bridge, "part": part, "text": text} for bridge, part, text in found.notes
        ],
        "compared_with": found.compared_with or None,
        "changes": [_change(item) for item in found.changes],
    }


def stock_to_json(found: Result) -> str:
    """Return a stock as JSON text (UTF-8, one final line end)."""
    data = stock_to_dict(found)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def stock_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `stock_to_dict`."""
    text = files("bedstone.output").joinpath("stock.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _ranked(item: Ranked) -> dict[str, Any]:
    return {
        "rank": item.rank,
        "bridge": item.bridge,
        "name": item.name,
        "state": item.state,
        "concern": scaled(item.concern, 1.0, "concern"),
        "reasons": [_reason(told) for told in item.reasons],
    }


def _reason(told: Reason) -> dict[str, Any]:
    data: dict[str, Any] = {
        "kind": told.kind,
        "concern": scaled(told.concern, 1.0, "concern"),
        "place": told.place,
        "text": words.reason(told),
    }
    if told.value is not None:
        if told.kind in ("travel", "travel found"):
            data["travel_left_mm"] = scaled(told.value, 1e3, "travel left")
        else:
            data["value"] = scaled(told.value, 1.0, told.kind)
    if told.kind == "single fault":
        data |= {
            "fault": told.what,
            "effect": told.effect,
            "unit": UNITS[told.effect],
            "intact": shown(told.effect, told.before or 0.0),
            "then": shown(told.effect, told.after or 0.0),
        }
    return data


def _change(told: Change) -> dict[str, Any]:
    return {
        "bridge": told.bridge,
        "rank_before": told.rank_before,
        "rank": told.rank,
        "concern_before": _plain(told.concern_before),
        "concern": _plain(told.concern),
        "state_before": told.state_before,
        "state": told.state,
        "cause": told.cause,
        "text": words.change(told),
    }


def _plain(value: float | None) -> float | None:
    return None if value is None else scaled(value, 1.0, "concern")
