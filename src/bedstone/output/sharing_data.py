"""Who takes the horizontal force, as JSON (``sharing.schema.json``)."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.bridge.schema import Bridge
from bedstone.cautions import FULL
from bedstone.comparison.code_rule import Ruled
from bedstone.comparison.fixed_point import Found, Joint, Piece, Place, StillPoints
from bedstone.comparison.history import PHASES, Timeline
from bedstone.comparison.sharing import Range, Row, Run, Sharing
from bedstone.output.data import figures, line_data
from bedstone.output.sharing_tables import READING, STILL
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS, scaled
from bedstone.schedule.context import family_name, family_of


def sharing_to_dict(found: Sharing, points: StillPoints, bridge: Bridge) -> dict[str, Any]:
    """Return the sharing and the points without movement as data that fits `sharing_schema`.

    Raises `CheckError` when a number is not finite.
    """
    return {
        "format": "bedstone sharing 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "signs": [SEAT_SIGNS, SUPPORT_SIGNS],
        "reading": [READING, STILL],
        "bridge": bridge.bridge.name,
        "reference": bridge.bridge.reference,
        "arrangement": bridge.arrangement.name,
        "standard": found.family,
        "standard_title": family_of(family_name(found.family)).title,
        "rule_shares_by": found.way,
        "traffic_force_kN": scaled(found.force, 1e-3, "force"),
        "clause": found.clause,
        "warm_K": scaled(found.warm, 1.0, "temperature"),
        "cold_K": scaled(found.cold, 1.0, "temperature"),
        "rows": [_row(row) for row in found.rows],
        "rules": [_ruled(item) for item in found.ruled],
        "timeline": None if found.timeline is None else _timeline(found.timeline, found.steps),
        "runs": [_run(run) for run in found.runs],
        "sliding_m": {mark: _range(one, 1.0) for mark, one in found.travel.items()},
        "still": {
            "warm_K": scaled(points.warm, 1.0, "temperature"),
            "cold_K": scaled(points.cold, 1.0, "temperature"),
            "pieces": [_piece(piece) for piece in points.pieces],
        },
        "notes": list(dict.fromkeys((*found.notes, *points.notes))),
        "residual": figures(max(found.residual, points.residual), "residual"),
        "path_residual": figures(found.path_residual, "residual"),
        "coarseness": figures(found.coarseness, "coarseness"),
    }


def sharing_to_json(found: Sharing, points: StillPoints, bridge: Bridge) -> str:
    """Return the sharing as JSON text (UTF-8, one final line end)."""
    data = sharing_to_dict(found, points, bridge)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def sharing_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `sharing_to_dict`."""
    text = files("bedstone.output").joinpath("sharing.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


# ------------------------------------------------------------------ sharing
def _row(row: Row) -> dict[str, Any]:
    return {
        "place": row.place,
        "kind": row.kind,
        "way": row.way,
        "rule_kN": None if row.rule is None else scaled(row.rule, 1e-3, "force"),
        "reason": row.reason,
        "elastic_kN": _kn(row.elastic),
        "per_kelvin_kN": _kn(row.kelvin),
        "locked_kN": _kn(row.locked),
        "path_kN": _kn(row.path),
        "phases_kN": {phase: _kn(one) for phase, one in zip(PHASES, row.phases, strict=False)},
    }


def _ruled(item: Ruled) -> dict[str, Any]:
    line = item.bearings
    return {
        "support": line.support,
        "piece": line.unit + 1,
        "line_is": line.holds,
        "quiet_kN": scaled(item.quiet, 1e-3, "force"),
        "reason": item.reason,
        "calculation": None if item.line is None else line_data(item.line),
    }


def _timeline(told: Timeline, steps: int) -> dict[str, Any]:
    return {
        "years": told.years,
        "days_a_year": told.days,
        "daily_part": told.daily,
        "passages_a_year": told.passages,
        "brakings": told.brakings,
        "accuracy": told.accuracy,
        "steps": steps,
    }


def _run(run: Run) -> dict[str, Any]:
    path = run.path
    return {
        "friction": run.name,
        "stiffness": run.stiffness,
        "coefficients": [scaled(float(mu), 1.0, "friction") for mu in run.friction],
        "residual": figures(path.residual, "residual"),
        "coarseness": figures(path.coarseness, "coarseness"),
        "dissipated_kJ": scaled(float(path.dissipated.sum()), 1e-3, "work"),
        "stops_reached": int(path.stops_reached.sum()),
    }


# ------------------------------------------------------------------ points without movement
def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "supports": list(piece.supports),
        "along_m": _metres(piece.along),
        "across_m": {mark: _metres(one) for mark, one in piece.across.items()},
        "joints": [_joint(joint) for joint in piece.joints],
        "found": [_found(one) for one in (*piece.elastic, *piece.rubbing)],
    }


def _joint(joint: Joint) -> dict[str, Any]:
    return {
        "at_m": scaled(joint.at, 1.0, "joint"),
        "length_m": _metres(joint.length),
        "warm_mm": _range(joint.warm, 1e3),
        "cold_mm": _range(joint.cold, 1e3),
    }


def _found(found: Found) -> dict[str, Any]:
    return {
        "friction": found.friction,
        "stiffness": found.stiffness,
        "growing": found.growing,
        "along": _place(found.along),
        "across": {mark: _place(one) for mark, one in found.across.items()},
        "movement_mm": [scaled(value, 1e3, "movement") for value in found.movement],
        "joints_mm": [scaled(value, 1e3, "movement") for value in found.joints],
    }


def _place(place: Place | None) -> dict[str, Any] | None:
    if place is None:
        return None
    return {"at_m": scaled(place.at, 1.0, "place"), "inside": place.inside}


def _range(value: Range, factor: float) -> list[float]:
    return [scaled(value.low, factor, "range"), scaled(value.high, factor, "range")]


def _kn(value: Range | None) -> list[float] | None:
    return None if value is None else _range(value, 1e-3)


def _metres(value: Range | None) -> list[float] | None:
    return None if value is None else _range(value, 1.0)
