"""Settings of the bearings as data: JSON, described by ``setting.schema.json``.

Lengths in mm, temperatures in degC, loads in kN, rotations in mrad.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.bridge.schema import Bridge
from bedstone.cautions import FULL
from bedstone.output import setting_words as words
from bedstone.output.data import value_data
from bedstone.output.shown import scaled
from bedstone.schedule.context import family_name, family_of
from bedstone.site.mechanism import End
from bedstone.site.setting import Budget, Growth, Row, Setting, Window
from bedstone.site.stages import StageEffect


def settings_to_dict(found: Sequence[Setting], bridge: Bridge, standard: str) -> dict[str, Any]:
    """Return settings as plain data that fits `settings_schema`.

    `standard`: name of the family. Raises `CheckError` when a number is not finite.
    """
    told = found[0].temperatures if found else None
    values = found[0].tolerances.values if found else {}
    return {
        "format": "bedstone setting 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "signs": [words.SIGNS, words.COLUMNS, words.JOINT],
        "bridge": bridge.bridge.name,
        "reference": bridge.bridge.reference,
        "standard": standard,
        "standard_title": family_of(family_name(standard)).title,
        "arrangement": bridge.arrangement.name,
        "set_at": bridge.arrangement.set_at or "",
        "temperatures_degC": None
        if told is None
        else {
            "coldest": _plain(told.coldest),
            "warmest": _plain(told.warmest),
            "setting": _plain(told.setting),
            "setting_told": told.told,
            "datum": _plain(found[0].datum),
        },
        "tolerances": [value_data(values[name]) for name in sorted(values)],
        "general": words.general(),
        "bearings": [_setting(item) for item in found],
    }


def settings_to_json(found: Sequence[Setting], bridge: Bridge, standard: str) -> str:
    """Return settings as JSON text (UTF-8, one final line end)."""
    data = settings_to_dict(found, bridge, standard)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def settings_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `settings_to_dict`."""
    text = files("bedstone.output").joinpath("setting.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _setting(found: Setting) -> dict[str, Any]:
    return {
        "seat": found.seat,
        "support": found.support,
        "function": found.function,
        "kind": found.kind,
        "form": found.form,
        "held": [axis for axis, held in zip("xy", found.held, strict=True) if held],
        "angle_deg": _plain(math.degrees(found.angle)),
        "load_set_kN": scaled(found.load_set, 1e-3, "load"),
        "load_final_kN": scaled(found.load_final, 1e-3, "load"),
        "remaining_mm": _pair(found.remaining),
        "turns_mrad": _pair(found.turns),
        "stages": [_stage(item) for item in found.stages],
        "growth": _growth(found.growth),
        "ends": [_end(end) for end in found.ends],
        "rows": [_row(found, row) for row in found.rows],
        "budget": {axis: _budget(part) for axis, part in zip("xy", found.budget, strict=True)},
        "allowance_K": _plain(found.allowance),
        "upright": _window(found.upright),
        "fixed_offset": _window(found.fixed_offset),
        "landed": words.landed(found),
    }


def _row(found: Setting, row: Row) -> dict[str, Any]:
    roller, turn = found.roller(row), found.turn(row)
    opening, slack = row.opening, found.slack(row)
    return {
        "steel_degC": _plain(row.temperature),
        "offset_mm": _pair(row.offset),
        "roller_mm": _mm(roller),
        "turn_mrad": _mm(turn),
        "lean_mm": _mm(found.lean(row)),
        "between_segments_mm": _mm(found.clear(row)),
        "readings_mm": [_ends_pair(found.readings(row, end)) for end in found.ends],
        "reach_x_mm": _pair(row.reach_x),
        "reach_y_mm": _pair(row.reach_y),
        "spare_mm": _mm(row.left),
        "slack_K": None if slack is None else _plain(slack),
        "joint": None
        if opening is None
        else {
            "change_mm": scaled(opening.change, 1e3, "joint"),
            "closes_mm": scaled(opening.closes, 1e3, "joint"),
            "opens_mm": scaled(opening.opens, 1e3, "joint"),
        },
    }


def _stage(item: StageEffect) -> dict[str, Any]:
    return {
        "name": item.name,
        "before": item.before,
        "N_kN": scaled(item.N, 1e-3, "N"),
        "movement_mm": _pair((item.vx, item.vy)),
        "rotation_mrad": _pair((item.rx, item.ry)),
    }


def _growth(item: Growth) -> dict[str, Any]:
    return {
        "own_mm_per_K": _pair(item.own),
        "alpha_L_mm_per_K": None if item.plain is None else _pair(item.plain),
        "from_fixed_point_m": None
        if item.from_point is None
        else [_plain(value) for value in item.from_point],
        "alpha_per_K": item.alpha,
        "from_x_deg": _plain(math.degrees(item.angle)),
    }


def _end(end: End) -> dict[str, Any]:
    return {
        "what": end.what,
        "axis": end.axis,
        "back_mm": _endless(end.back),
        "ahead_mm": _endless(end.ahead),
        "read": "half, at the roller" if end.halved else "overhang" if end.overhang else "gap",
        "holds": end.holds,
    }


def _budget(part: Budget) -> dict[str, float]:
    return {
        "total_mm": scaled(part.total, 1e3, "budget"),
        "temperature_mm": scaled(part.temperature, 1e3, "budget"),
        "survey_mm": scaled(part.survey, 1e3, "budget"),
        "remaining_mm": scaled(part.remaining, 1e3, "budget"),
        "stiffness_mm": scaled(part.stiffness, 1e3, "budget"),
        "air_mm": scaled(part.air, 1e3, "budget"),
    }


def _window(window: Window | None) -> dict[str, Any] | None:
    if window is None:
        return None
    return {
        "offset_mm": _pair(window.offset),
        "first_degC": None if window.first is None else _plain(window.first),
        "last_degC": None if window.last is None else _plain(window.last),
        "whole": window.whole,
    }


def _pair(pair: tuple[float, float]) -> list[float]:
    return [scaled(value, 1e3, "setting") for value in pair]


def _ends_pair(pair: tuple[float, float]) -> list[float | None]:
    return [_endless(value) for value in pair]


def _endless(value: float) -> float | None:
    """A length (m) in mm; None where nothing ends the movement that way."""
    return None if math.isinf(value) else scaled(value, 1e3, "end")


def _mm(value: float | None) -> float | None:
    """A length (m) in mm, or an angle (rad) in mrad."""
    return None if value is None else scaled(value, 1e3, "setting")


def _plain(value: float) -> float:
    return scaled(value, 1.0, "setting")
