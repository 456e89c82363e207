"""Lifting of bearings as data: JSON, described by ``replacement.schema.json``.

Lengths in mm, forces in kN, moments in kN m, stiffness in kN/mm, rotations in mrad.
"""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.output import replace_words as words
from bedstone.output.data import line_data, value_data
from bedstone.output.shown import scaled
from bedstone.site.replacement.result import Alone, Held, JackForce, Lift, SeatLift, Step


def lift_to_dict(found: Lift) -> dict[str, Any]:
    """Return a lift as plain data that fits `lift_schema`.

    Raises `CheckError` when a number is not finite.
    """
    own, need, checks = found.restraint, found.need, found.checks
    return {
        "format": "bedstone replacement 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "signs": [words.SIGNS, words.NOT_COVERED],
        "bridge": found.bridge,
        "reference": found.reference,
        "standard": found.standard,
        "standard_title": found.standard_title,
        "arrangement": found.arrangement,
        "seats": list(found.seats),
        "supports": list(found.supports),
        "stay_down": list(found.partial),
        "joints": list(found.joints),
        "traffic": found.traffic,
        "traffic_group": found.traffic_of,
        "holds": found.holds,
        "lift_mm": _mm(found.lift),
        "need": {
            "free_mm": _maybe(need.free),
            "clearance_mm": _mm(need.clearance),
            "total_mm": _maybe(need.total),
            "allowed_mm": _mm(need.allowed),
            "tried_mm": _mm(need.tried),
            "enough": need.enough,
        },
        "jacks": [_jack(item) for item in found.jacks],
        "steps": [_step(item) for item in found.steps],
        "bearings": [_bearing(item) for item in found.bearings],
        "come_free": list(found.unloads),
        "overloaded": list(found.overloads),
        "alone": [_alone(item) for item in found.alone],
        "together": found.together,
        "stiffness_kN_per_mm": {
            mark: {other: _per_mm(value) for other, value in row.items()}
            for mark, row in found.stiffness.items()
        },
        "line_stiffness_kN_per_mm": _per_mm(found.line_stiffness),
        "restraint": {
            "hold_along": list(own.holds[0]),
            "hold_across": list(own.holds[1]),
            "free_motions": list(own.motions),
            "temporary": [_held(item) for item in own.temporary],
            "bearings_that_stay": [
                {"seat": mark, "effect": name, "before_kN": _kN(before), "lifted_kN": _kN(after)}
                for mark, name, before, after in own.more
            ],
            "released_kN": {mark: [_kN(x), _kN(y)] for mark, (x, y) in own.released.items()},
            "least_kN": {mark: _kN(value) for mark, value in own.least.items()},
            "shift_mm_per_K": _mm(own.shift),
            "window_K": None if own.window is None else scaled(own.window, 1.0, "window"),
        },
        "order_of_work": words.order_of_work(found),
        "tolerances": [value_data(v) for _, v in sorted(found.tolerances.values.items())],
        "memory": [value_data(value) for value in found.memory],
        "notes": list(found.notes),
        "checks": {
            "equilibrium": checks.equilibrium,
            "compatibility": checks.compatibility,
            "reciprocity": checks.reciprocity,
            "solution": checks.solution,
        },
    }


def lift_to_json(found: Lift) -> str:
    """Return a lift as JSON text (UTF-8, one final line end)."""
    return json.dumps(lift_to_dict(found), ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def lift_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `lift_to_dict`."""
    text = files("bedstone.output").joinpath("replacement.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _jack(item: JackForce) -> dict[str, Any]:
    return {
        "jack": item.mark,
        "seat": item.seat,
        "along_mm": _mm(item.along),
        "across_mm": _mm(item.across),
        "placed": item.told,
        "freed_kN": _kN(item.freed),
        "lifted_kN": _kN(item.lifted),
        "most_kN": _kN(item.most),
        "traffic_kN": None if item.traffic is None else [_kN(value) for value in item.traffic],
        "ahead_kN_per_mm": _per_mm(item.per_mm),
        "rise_mm": _mm(item.rise),
        "off_centre_kNm": _kN(item.moment),
        "checks": [{"part": line.part, **line_data(line)} for line in item.checks],
    }


def _step(item: Step) -> dict[str, Any]:
    return {
        "lift_mm": _mm(item.lift),
        "jacks_kN": {mark: _kN(value) for mark, value in item.jacks.items()},
        "bearings_kN": {mark: _kN(value) for mark, value in item.bearings.items()},
        "events": list(item.events),
    }


def _bearing(item: SeatLift) -> dict[str, Any]:
    return {
        "seat": item.seat,
        "support": item.support,
        "function": item.function,
        "jacked": item.jacked,
        "before_kN": _kN(item.before),
        "lifted_kN": _kN(item.after),
        "traffic_kN": None if item.traffic is None else [_kN(value) for value in item.traffic],
        "designed_for_kN": None if item.greatest is None else _kN(item.greatest),
        "free_at_mm": _maybe(item.opens),
        "opening_mm": _mm(item.opening),
        "turn_mrad": [_mm(value) for value in item.turns],
        "rebound_mm": _maybe(item.rebound),
    }


def _alone(item: Alone) -> dict[str, Any]:
    loaded = item.loaded
    return {
        "seat": item.seat,
        "lift_mm": _maybe(item.lift),
        "jacks_kN": _kN(item.force),
        "come_free": list(item.unloads),
        "overloaded": list(item.overloads),
        "most_more": None if loaded is None else {"seat": loaded[0], "change_kN": _kN(loaded[1])},
        "possible": item.possible,
    }


def _held(item: Held) -> dict[str, Any]:
    return {
        "place": item.place,
        "limit_state": item.state,
        "along_kN": _kN(item.along),
        "across_kN": _kN(item.across),
        "actions_kN": {name: [_kN(x), _kN(y)] for name, (x, y) in item.actions.items()},
    }


def _kN(value: float) -> float:
    return scaled(value, 1e-3, "force")


def _mm(value: float) -> float:
    """A length (m) in mm, or an angle (rad) in mrad."""
    return scaled(value, 1e3, "length")


def _maybe(value: float | None) -> float | None:
    return None if value is None else _mm(value)


def _per_mm(value: float) -> float:
    return scaled(value, 1e-6, "stiffness")
