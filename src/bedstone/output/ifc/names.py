"""A bearing as a property set and back: the words under which a seat is kept in the file."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from pydantic import ValidationError

from bedstone.bridge.schema import Seat, Springs6, Stops

COMMON: Final = "Pset_BearingCommon"
BEARING: Final = "Bedstone_Bearing"

_SPRINGS: Final = {"kx": "N/m", "ky": "N/m", "kz": "N/m"} | dict.fromkeys(
    ("krx", "kry", "krz"), "N m/rad"
)
_STOPS: Final = ("back", "ahead", "right", "left")


def told(mark: str, support: str, seat: Seat) -> dict[str, object]:
    """Properties of a seat; what it does not tell is left out."""
    words = isinstance(seat.direction, str)
    values: dict[str, object] = {
        "Mark": mark,
        "Support": support,
        "Function": seat.function,
        "Kind": seat.kind,
        "Direction": seat.direction if words else None,
        "Direction from axis": None if words else ("rad", seat.direction),
        "Friction": None if seat.friction is None else ("", seat.friction),
        "Held against uplift": seat.uplift,
        "Rotations held": " ".join(seat.hold_rotation) or None,
        "Play each side": ("m", seat.play) if seat.play else None,
    }
    for name, unit in _SPRINGS.items():
        value = None if seat.stiffness is None else getattr(seat.stiffness, name)
        values[f"Stiffness {name}"] = None if value is None else (unit, value)
    for name in _STOPS:
        value = None if seat.travel is None else getattr(seat.travel, name)
        values[f"Stop {name}"] = None if value is None else ("m", value)
    return values


class UnclearError(ValueError):
    """A property that says nothing a seat knows."""


def seat_from(values: Mapping[str, Any]) -> Seat:
    """The seat of a property set; raises `UnclearError` that names what is unclear."""
    words = {
        "function": values.get("Function"),
        "kind": values.get("Kind"),
        "friction": values.get("Friction"),
        "uplift": values.get("Held against uplift", False),
        "hold_rotation": str(values.get("Rotations held") or "").split(),
    }
    if "Direction" in values:
        words["direction"] = values["Direction"]
    try:
        seat = Seat.model_validate(words)
    except ValidationError as error:
        names = ", ".join(str(item["loc"][0]) for item in error.errors())
        raise UnclearError(f"unclear: {names}") from error
    # numbers are in SI here; the words above are checked, numbers of a bridge file carry units
    changes: dict[str, object] = {"play": _number(values, "Play each side") or 0.0}
    if "Direction" not in values and "Direction from axis" in values:
        changes["direction"] = _number(values, "Direction from axis")
    springs: dict[str, Any] = {name: _number(values, f"Stiffness {name}") for name in _SPRINGS}
    if any(value is not None for value in springs.values()):
        changes["stiffness"] = Springs6.model_construct(**springs)
    stops: dict[str, Any] = {name: _number(values, f"Stop {name}") for name in _STOPS}
    if any(value is not None for value in stops.values()):
        changes["travel"] = Stops.model_construct(**stops)
    return seat.model_copy(update=changes)


def _number(values: Mapping[str, Any], name: str) -> float | None:
    value = values.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise UnclearError(f"unclear: {name}")
    if value < 0.0 and not name.startswith("Direction"):
        raise UnclearError(f"below zero: {name}")
    return float(value)
