"""What an inspection found as data: JSON, described by ``inspection.schema.json``.

Lengths in mm, slopes in mm/m, temperatures in degC, forces in kN; shares and ratios plain.
"""

from __future__ import annotations

import json
import math
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.bridge.schema import Bridge
from bedstone.cautions import FULL
from bedstone.output import inspect_words as words
from bedstone.output.data import value_data
from bedstone.output.shown import scaled
from bedstone.schedule.context import family_name, family_of
from bedstone.site.inspection.result import (
    Capacity,
    Cause,
    Effect,
    Inspection,
    Left,
    Rating,
    SeatInspection,
    Sign,
    Verdict,
)
from bedstone.standards.record import Line

_FACTORS = {"m": ("mm", 1e3), "rad": ("mm/m", 1e3), "K": ("K", 1.0), "N": ("kN", 1e-3)}


def inspection_to_dict(found: Inspection, bridge: Bridge) -> dict[str, Any]:
    """Return an inspection as plain data that fits `inspection_schema`.

    Raises `CheckError` when a number is not finite.
    """
    values = found.tolerances.values
    return {
        "format": "bedstone inspection 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "signs": [words.SIGNS, words.COLUMNS],
        "bridge": bridge.bridge.name,
        "reference": bridge.bridge.reference,
        "standard": found.name,
        "standard_title": family_of(family_name(found.name)).title,
        "arrangement": found.arrangement,
        "stage": found.stage,
        "holds": found.holds,
        "out": [{"place": item.seat, "what": item.what} for item in found.out],
        "unread": list(found.unread),
        "designed": list(found.designed),
        "tolerances": [value_data(values[name]) for name in sorted(values)],
        "bearings": [_seat(item) for item in found.seats],
        "joints": [_verdict(item) for item in found.joints],
    }


def inspection_to_json(found: Inspection, bridge: Bridge) -> str:
    """Return an inspection as JSON text (UTF-8, one final line end)."""
    data = inspection_to_dict(found, bridge)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def inspection_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `inspection_to_dict`."""
    text = files("bedstone.output").joinpath("inspection.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _seat(found: SeatInspection) -> dict[str, Any]:
    own = found.setting
    return {
        "seat": own.seat,
        "support": own.support,
        "kind": own.kind,
        "function": own.function,
        "form": own.form,
        "time": found.time.isoformat(),
        "steel_degC": _number(found.temperature, 1.0),
        "verdicts": [_verdict(item) for item in found.verdicts],
        "travel": [_left(item) for item in found.left],
        "sizes": None if found.capacity is None else _capacity(found.capacity),
        "effects": [_effect(item) for item in found.effects],
        "causes": [_cause(item) for item in found.causes],
        "rating": _rating(found.rating),
    }


def _verdict(item: Verdict) -> dict[str, Any]:
    unit, factor = _FACTORS.get(item.unit, ("", 1.0))
    return {
        "place": item.seat,
        "what": item.what,
        "unit": unit,
        "word": item.word,
        "found": _number(item.found, factor),
        "expected": _number(item.expected, factor),
        "difference": _number(item.difference, factor),
        "least": _number(item.low, factor),
        "most": _number(item.high, factor),
        "state": item.state,
        "out_by": _number(item.out_by, factor),
        "rule": item.rule,
        "why": item.why,
        "leans_on": [value.name for value in item.values],
        "rows": [{"file": read.file, "row": read.row} for read in item.readings],
    }


def _left(item: Left) -> dict[str, Any]:
    return {
        "end": item.end.what,
        "axis": item.end.axis,
        "shift_mm": _number(item.shift, 1e3),
        "behind_mm": _number(item.behind, 1e3),
        "ahead_mm": _number(item.ahead, 1e3),
        "at_behind_degC": _number(item.at_behind, 1.0),
        "at_ahead_degC": _number(item.at_ahead, 1.0),
        "inside": item.inside,
        "reached": item.least < 0.0,
    }


def _capacity(item: Capacity) -> dict[str, Any]:
    return {
        "measured": [
            {
                "name": size.name,
                "unit": "" if size.name == "contact" else "mm",
                "drawn": _number(size.drawn, 1.0 if size.name == "contact" else 1e3),
                "found": _number(size.found, 1.0 if size.name == "contact" else 1e3),
            }
            for size in item.sizes
        ],
        "as_drawn": _line(item.before),
        "as_measured": _line(item.after),
        "risen": [
            {"check": new.title, "part": new.part, "clause": new.clause,
             "before": _number(old.utilisation, 1.0), "after": _number(new.utilisation, 1.0)}
            for old, new in item.changed
        ],
        "holds": item.holds,
        "not_put_in": list(item.untold),
        "refusal": item.refusal,
    }  # fmt: skip


def _line(item: Line | None) -> dict[str, Any] | None:
    if item is None:
        return None
    return {
        "check": item.title,
        "part": item.part,
        "standard": item.standard,
        "clause": item.clause,
        "basis": item.basis,
        "utilisation": _number(item.utilisation, 1.0),
    }


def _effect(item: Effect) -> dict[str, Any]:
    return {
        "finding": item.finding,
        "fault": item.fault,
        "why_not": item.why,
        "does_not_stand": item.unstable,
        "supports": [
            {"support": one.support, "effect": one.effect,
             "before_kN": _number(one.before, 1e-3), "after_kN": _number(one.after, 1e-3)}
            for one in item.supports
        ],
        "lifts": list(item.lifts),
        "friction_needed": _number(item.friction_needed, 1.0),
    }  # fmt: skip


def _cause(item: Cause) -> dict[str, Any]:
    mode = item.mode
    return {
        "mode": mode.number,
        "name": mode.name,
        "told": mode.told,
        "direct": mode.direct,
        "strength": _number(item.strength, 1.0),
        "signs": [_sign(sign) for sign in item.signs],
        "action": mode.action,
        "source": mode.source,
        "basis": mode.basis,
    }


def _sign(item: Sign) -> dict[str, Any]:
    unit, factor = _FACTORS.get(item.unit, (item.unit, 1.0))
    return {
        "text": item.text,
        "unit": unit,
        "found": _number(item.found, factor),
        "limit": _number(item.limit, factor),
    }


def _rating(item: Rating) -> dict[str, Any]:
    return {
        "element": item.element,
        "state": item.state or None,
        "severity": item.severity or None,
        "extent": item.extent,
        "defects": [
            {"defect": one.defect, "code": one.code, "state": one.state, "reason": one.reason}
            for one in item.defects
        ],
        "blocked": item.blocked,
        "review": item.review,
    }


def _number(value: float | None, factor: float) -> float | None:
    """A number in its shown unit; None for none and for one without end."""
    if value is None or math.isinf(value):
        return None
    return scaled(value, factor, "inspection")
