"""Designed bearings as data: JSON, described by ``bearing.schema.json``.

Sizes in mm, masses in kg, forces in kN; calculation lines keep SI with the unit beside each number.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import replace
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.bearings.base import Behaviour, Design, Part, Refusal
from bedstone.bearings.selection import Choice
from bedstone.cautions import FULL
from bedstone.output.bearings import worst_of
from bedstone.output.data import figures, line_data, value_data
from bedstone.output.shown import scaled
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Schedule
from bedstone.standards.record import Line


def bearings_to_dict(schedule: Schedule, found: Sequence[SeatDesign]) -> dict[str, Any]:
    """Return designs as plain data that fits `bearings_schema`.

    Raises `CheckError` when a number is not finite.
    """
    return {
        "format": "bedstone bearings 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "bridge": schedule.bridge,
        "reference": schedule.reference,
        "standard": schedule.standard,
        "standard_title": schedule.standard_title,
        "arrangement": schedule.arrangement,
        "bearings": [_seat(item) for item in found],
    }


def bearings_to_json(schedule: Schedule, found: Sequence[SeatDesign]) -> str:
    """Return designs as JSON text (UTF-8, one final line end)."""
    data = bearings_to_dict(schedule, found)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def bearings_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `bearings_to_dict`."""
    text = files("bedstone.output").joinpath("bearing.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _seat(found: SeatDesign) -> dict[str, Any]:
    demand = found.demand
    return {
        "seat": found.seat,
        "function": demand.function,
        "held": [axis for axis, held in zip("xy", demand.held, strict=True) if held],
        "permanent_kN": scaled(demand.permanent, 1e-3, "permanent compression"),
        "uplift_kN": scaled(demand.uplift, 1e-3, "uplift"),
        "origin": found.origin,
        **_choice(found.choice),
        "compared": [_choice(choice, short=True) for choice in found.compared],
        "memory": [value_data(value) for value in found.memory],
    }


def _choice(choice: Choice, *, short: bool = False) -> dict[str, Any]:
    design = choice.design
    return {
        "kind": choice.kind,
        "passes": choice.passes,
        "refusal": None if choice.refusal is None else _refusal(choice.refusal),
        "remark": choice.remark,
        "design": None if design is None else _design(design, short=short),
    }


def _refusal(refusal: Refusal) -> dict[str, str]:
    return {"reason": refusal.reason, "clause": refusal.clause, "remedy": refusal.remedy}


def _design(design: Design, *, short: bool) -> dict[str, Any]:
    """A design; `short`: without parts, lines and behaviour, for kinds side by side."""
    result: dict[str, Any] = {
        "utilisation": _use(design.utilisation),
        "mass_kg": scaled(design.mass, 1.0, "mass"),
        "height_mm": scaled(design.height, 1e3, "height"),
        "reach_mm": [scaled(size, 1e3, "reach") for size in design.reach],
        "horizontal_kN": scaled(design.horizontal, 1e-3, "horizontal force"),
        # without an end: nothing stops the movement
        "left_mm": scaled(design.left, 1e3, "left") if math.isfinite(design.left) else None,
        "governing": _check(design.lines[0]) if design.lines else None,
    }
    if not short:
        result["notes"] = list(design.notes)
        result["behaviour"] = _behaviour(design.behaviour)
        result["parts"] = [_part(part, design) for part in design.parts]
        result["checks"] = [_check(line) for line in design.lines]
    return result


def _part(part: Part, design: Design) -> dict[str, Any]:
    worst = worst_of(part, design.lines)
    return {
        "name": part.name,
        "material": part.material,
        "size": part.size,
        "dimensions_mm": {name: scaled(size, 1e3, name) for name, size in part.dimensions.items()},
        "mass_kg": scaled(part.mass, 1.0, "mass"),
        "number": part.number,
        "function": part.function,
        "utilisation": None if worst is None else _use(worst.utilisation),
    }


def _check(line: Line) -> dict[str, Any]:
    """A line as in a schedule; use without end (a limit of nothing) is None with a note."""
    endless = line.utilisation is not None and not math.isfinite(line.utilisation)
    data = line_data(line) if not endless else line_data(replace(line, utilisation=None))
    return {"part": line.part, "case": line.case, "beyond": endless, **data}


def _behaviour(behaviour: Behaviour) -> dict[str, Any]:
    springs = {
        "stiffness_x_N_per_m": behaviour.stiffness_x,
        "stiffness_y_N_per_m": behaviour.stiffness_y,
        "stiffness_z_N_per_m": behaviour.stiffness_z,
        "rotation_x_Nm_per_rad": behaviour.rotation_x,
        "rotation_y_Nm_per_rad": behaviour.rotation_y,
    }
    adverse, relieving = behaviour.friction
    return {
        **{name: None if k is None else figures(k, name) for name, k in springs.items()},
        "friction": {
            "adverse": scaled(adverse, 1.0, "friction"),
            "relieving": scaled(relieving, 1.0, "friction"),
        },
        "play_mm": scaled(behaviour.play, 1e3, "play"),
        "eccentricity": scaled(behaviour.eccentricity, 1.0, "eccentricity"),
    }


def _use(use: float | None) -> float | None:
    return None if use is None or not math.isfinite(use) else figures(use, "utilisation")
