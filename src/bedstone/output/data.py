"""A schedule as data: JSON, described by ``schedule.schema.json``, and flat CSV tables.

The same schedule gives the same bytes. Effects are in the units of `bedstone.output.shown`; every
other number carries its unit in its key. Calculation lines and values of the standards keep the
unit that stands beside each of their numbers.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Sequence
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.cautions import FULL
from bedstone.output.shown import (
    SEAT_SIGNS,
    SUPPORT_SIGNS,
    UNITS,
    scaled,
    seat_effects,
    shown,
    support_effects,
)
from bedstone.schedule.result import Governing, Schedule, SeatInfo, SupportInfo
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Value

_DEGREES = math.degrees(1.0)
_Effects = Callable[[tuple[float, ...]], dict[str, float]]


# ------------------------------------------------------------------ JSON
def schedule_to_dict(schedule: Schedule) -> dict[str, Any]:
    """Return the schedule as plain data that fits `schedule_schema`.

    Raises `CheckError` when a number is not finite.
    """
    return {
        "format": "bedstone schedule 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "units": {name: UNITS[name] for name in dict.fromkeys(SEAT_EFFECTS + SUPPORT_EFFECTS)},
        "signs": [SEAT_SIGNS, SUPPORT_SIGNS],
        "bridge": schedule.bridge,
        "reference": schedule.reference,
        "standard": schedule.standard,
        "standard_title": schedule.standard_title,
        "edition": schedule.edition,
        "arrangement": schedule.arrangement,
        "set_at": schedule.set_at,
        "redundancy": schedule.redundancy,
        "limit_states": list(schedule.limit_states),
        "seats": [_seat(seat) for seat in schedule.seats],
        "supports": [_support(support) for support in schedule.supports],
        "permanent_seats": {
            mark: seat_effects(values) for mark, values in schedule.permanent_seats.items()
        },
        "permanent_supports": {
            mark: support_effects(values) for mark, values in schedule.permanent_supports.items()
        },
        "locked": [
            {
                "place": locked.place,
                "direction": locked.direction,
                "per_kelvin_kN": scaled(locked.per_kelvin, 1e-3, "locked force"),
                "force_kN": scaled(locked.force, 1e-3, "locked force"),
            }
            for locked in schedule.locked
        ],
        "uplift": [
            {
                "seat": uplift.seat,
                "limit_state": uplift.limit_state,
                "combination": uplift.combination,
                "hold_down_kN": scaled(uplift.hold_down, 1e-3, "uplift"),
                # without an end: the bridge does not stand unless it is held down
                "gap_mm": None if math.isinf(uplift.gap) else scaled(uplift.gap, 1e3, "uplift gap"),
                "held": uplift.held,
            }
            for uplift in schedule.uplift
        ],
        "periods_s": None
        if schedule.periods is None
        else [scaled(period, 1.0, "period") for period in schedule.periods],
        "notes": list(schedule.notes),
        "checks": _checks(schedule),
        "memory": [value_data(value) for value in schedule.memory],
        "calculations": [line_data(line) for line in schedule.calculations],
        "outline_m": [
            [[scaled(x, 1.0, "outline"), scaled(y, 1.0, "outline")] for x, y in line]
            for line in schedule.outline
        ],
        "seat_lines": [_governing(line, seat_effects) for line in schedule.seat_lines],
        "support_lines": [_governing(line, support_effects) for line in schedule.support_lines],
    }


def schedule_to_json(schedule: Schedule) -> str:
    """Return the schedule as JSON text (UTF-8, one final line end)."""
    data = schedule_to_dict(schedule)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def schedule_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `schedule_to_dict`."""
    text = files("bedstone.output").joinpath("schedule.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _seat(seat: SeatInfo) -> dict[str, Any]:
    directions = ("x", "y", "z", "rx", "ry", "rz")
    return {
        "mark": seat.mark,
        "support": seat.support,
        "function": seat.function,
        "kind": seat.kind,
        "direction_deg": scaled(seat.angle, _DEGREES, "direction"),
        "point_m": [scaled(value, 1.0, "point") for value in seat.point],
        "held": [name for name, held in zip(directions, seat.held, strict=True) if held],
        "sprung": [name for name, sprung in zip(directions, seat.sprung, strict=True) if sprung],
        "friction": None
        if seat.friction is None
        else {
            "adverse": scaled(seat.friction[0], 1.0, "friction"),
            "relieving": scaled(seat.friction[1], 1.0, "friction"),
        },
    }


def _support(support: SupportInfo) -> dict[str, Any]:
    return {
        "mark": support.mark,
        "chainage_m": scaled(support.chainage, 1.0, "chainage"),
        "skew_deg": scaled(support.skew, _DEGREES, "skew"),
        "direction_deg": scaled(support.angle, _DEGREES, "direction"),
        "base_below_bearings_m": scaled(support.depth, 1.0, "depth"),
        "below": support.below,
    }


def _governing(line: Governing, effects: _Effects) -> dict[str, Any]:
    return {
        "limit_state": line.limit_state,
        "place": line.place,
        "effect": line.effect,
        "sense": line.sense,
        "value": shown(line.effect, line.value),
        "combination": line.combination,
        "clause": line.clause,
        "bound": line.bound,
        "contact": line.contact,
        "acting": effects(line.acting),
        "irreversible": effects(line.irreversible),
        "shares": [
            {
                "action": share.action,
                "factor": scaled(share.factor, 1.0, "factor"),
                "value": shown(line.effect, share.value),
                "where": share.where,
            }
            for share in line.shares
        ],
    }


def _checks(schedule: Schedule) -> dict[str, float]:
    checks = schedule.checks
    residuals = ("equilibrium", "compatibility", "symmetry", "rigid_body", "solution")
    result = {name: figures(getattr(checks, name), name) for name in residuals}
    result["influence_error"] = figures(checks.influence_error, "influence error")
    result["weight_applied_kN"] = scaled(checks.weight_applied, 1e-3, "weight")
    result["weight_found_kN"] = scaled(checks.weight_found, 1e-3, "weight")
    return result


def value_data(value: Value) -> dict[str, Any]:
    """A value of a standard with its source, in the unit it is kept in."""
    return {
        "name": value.name,
        "value": value.value,
        "unit": value.unit,
        "standard": value.standard,
        "edition": value.edition,
        "clause": value.clause,
        "source": value.source,
        "basis": value.basis,
        "note": value.note,
    }


def line_data(line: Line) -> dict[str, Any]:
    """A calculation line; its quantities in SI, each with its unit."""
    return {
        "title": line.title,
        "standard": line.standard,
        "edition": line.edition,
        "clause": line.clause,
        "formula": line.formula,
        "inputs": [_quantity(quantity) for quantity in line.inputs],
        "result": _quantity(line.result),
        "basis": line.basis,
        "limit": None if line.limit is None else _quantity(line.limit),
        "utilisation": None
        if line.utilisation is None
        else figures(line.utilisation, "utilisation"),
        "note": line.note,
    }


def _quantity(quantity: Quantity) -> dict[str, Any]:
    return {
        "symbol": quantity.symbol,
        "value": figures(quantity.value, quantity.symbol),
        "unit": quantity.unit,
    }


def figures(value: float, what: str) -> float:
    """A number of any size to twelve figures, so that rounding noise does not reach a file."""
    scaled(value, 1.0, what)  # refuses what is not finite
    return float(f"{float(value):.12g}") + 0.0


# ------------------------------------------------------------------ CSV
def schedule_to_csv(schedule: Schedule) -> tuple[str, str]:
    """Return two flat CSV texts with units in the heads: lines of the seats, of the supports."""
    functions = {seat.mark: seat.function for seat in schedule.seats}
    supports = {seat.mark: seat.support for seat in schedule.seats}
    seats = _csv(
        ["support", "seat", "function"],
        SEAT_EFFECTS,
        seat_effects,
        schedule.seat_lines,
        lambda place: [supports[place], place, functions[place]],
    )
    columns = ["support"]
    rest = _csv(columns, SUPPORT_EFFECTS, support_effects, schedule.support_lines, lambda p: [p])
    return seats, rest


def _csv(
    place_columns: list[str],
    names: Sequence[str],
    effects: _Effects,
    lines: Iterable[Governing],
    place: Callable[[str], list[str]],
) -> str:
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    heads = ["limit state", *place_columns, "effect", "sense", "value", "unit"]
    heads += [f"acting {name} [{UNITS[name]}]" for name in names]
    heads += [f"irreversible {name} [{UNITS[name]}]" for name in names]
    writer.writerow([*heads, "combination", "clause", "stiffness below", "contact", "shares"])
    for line in lines:
        unit = UNITS[line.effect]
        shares = "; ".join(
            f"{share.action} {shown(line.effect, share.value):g} {unit} (x {share.factor:g})"
            + (f" at {share.where}" if share.where else "")
            for share in line.shares
        )
        row = [line.limit_state, *place(line.place), line.effect, line.sense]
        numbers = [*effects(line.acting).values(), *effects(line.irreversible).values()]
        told = [line.combination, line.clause, line.bound, line.contact, shares]
        writer.writerow([*row, shown(line.effect, line.value), unit, *numbers, *told])
    return stream.getvalue()
