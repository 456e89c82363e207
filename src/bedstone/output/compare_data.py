"""A comparison of arrangements as JSON (``comparison.schema.json``), and as tables of all of them.

The ranking holds one row for each arrangement that was worked out, best first, with units in the
names of its columns: as CSV for people and spreadsheets, as Parquet, typed, for programs.
"""

from __future__ import annotations

import json
import math
import tempfile
from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from bedstone import __version__
from bedstone.bridge.schema import Bridge
from bedstone.cautions import FULL
from bedstone.comparison.compare import OBJECTIVES, Comparison, Shown, reason
from bedstone.comparison.fixed_point import Found
from bedstone.comparison.weigh import Weighed
from bedstone.mechanics.frame import Floats, Ints
from bedstone.output.compare_tables import (
    READING,
    Beside,
    beside,
    held,
    objective_unit,
    objective_value,
)
from bedstone.output.data import figures
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS, UNITS, plain, scaled, shown
from bedstone.schedule.context import family_of

#: Decimals of numbers in the ranking, in the shown units: three of kN, three of mm.
_PLACES = 3
_SUPPORT = ("V", "Fx", "Fy", "Mx", "My", "Mz")

Table = dict[str, Any]  # numpy arrays (n,) by name of the column


# ------------------------------------------------------------------ JSON
def comparison_to_dict(
    found: Comparison, bridge: Bridge, weights: Mapping[str, Weighed] | None = None
) -> dict[str, Any]:
    """Return the comparison as plain data that fits `comparison_schema`.

    Of all arrangements it holds the numbers of those shown and of the Pareto set; the ranking files
    hold the rest. Raises `CheckError` when a number is not finite.
    """
    tried = found.arrangements
    known = OBJECTIVES.get(found.objective)
    return {
        "format": "bedstone comparison 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "units": {name: UNITS[name] for name in (*_SUPPORT, "N", "Hx", "Hy", "vx")},
        "signs": [SEAT_SIGNS, SUPPORT_SIGNS],
        "reading": READING,
        "bridge": bridge.bridge.name,
        "reference": bridge.bridge.reference,
        "standard": found.standard,
        "standard_title": family_of(found.standard).title,
        "objective": {
            "name": found.objective,
            "unit": objective_unit(found.objective)[0],
            "meaning": known[1] if known else f"size of {found.objective}",
        },
        "tried": {
            "allowed": tried.total,
            "unstable": [
                {"count": item.count, "motion": item.motion, "example": item.example}
                for item in tried.dropped
            ],
            "symmetries": [
                {"name": way.name, "holds": way.holds, "reason": way.reason} for way in tried.ways
            ],
            "distinct": len(tried),
            "worked_out": found.done,
            "complete": found.complete,
            "held_twice": found.held_twice,
            "ranked": len(found.order),
            "load_positions": found.positions,
        },
        "limits": [
            {"limit": limit.text, "left": left}
            for limit, left in zip(found.limits, found.left, strict=True)
        ],
        "shown": [_shown(found, one, weights) for one in beside(found)],
        "criteria": [{"name": name, "unit": objective_unit(name)[0]} for name in found.criteria],
        "pareto": [_on_front(found, int(index)) for index in found.pareto],
    }


def comparison_to_json(
    found: Comparison, bridge: Bridge, weights: Mapping[str, Weighed] | None = None
) -> str:
    """Return the comparison as JSON text (UTF-8, one final line end)."""
    data = comparison_to_dict(found, bridge, weights)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def comparison_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `comparison_to_dict`."""
    text = files("bedstone.output").joinpath("comparison.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _shown(found: Comparison, one: Beside, weights: Mapping[str, Weighed] | None) -> dict[str, Any]:
    item = one.item
    value = objective_value(found, item)
    unit, factor = objective_unit(found.objective)
    weight = None if weights is None else weights.get(item.name)
    reasons = reason(found.today, item) if one.role == "best" else ()
    return {
        "label": one.label,
        "role": one.role,
        "name": item.name,
        "holds": held(item.functions),
        "fixed_point": item.point,
        "functions": {
            mark: {
                "function": seat.function,
                "kind": seat.kind,
                "direction": seat.direction
                if isinstance(seat.direction, str)
                else scaled(math.degrees(seat.direction), 1.0, "direction"),
            }
            for mark, seat in item.functions.items()
        },
        "kinds": dict(item.kinds),
        "rank": item.rank or None,
        "stands_for": item.count,
        "objective": None
        if value is None
        else {"value": scaled(value, factor, found.objective), "unit": unit},
        "limits_not_kept": list(item.broken),
        "measures": _measures(item),
        "supports": {
            mark: {
                "V max": shown("V", own["V"]),
                "V min": shown("V", own["V min"]),
                **{effect: shown(effect, own[effect]) for effect in _SUPPORT[1:]},
            }
            for mark, own in item.supports.items()
        },
        "governing_Fx": {
            mark: dict(zip(("limit_state", "combination", "stiffness"), told, strict=True))
            for mark, told in item.governing.items()
        },
        "by_action": {
            mark: {
                action: {"Fx": shown("Fx", both[0]), "Fy": shown("Fy", both[1])}
                for action, both in own.items()
            }
            for mark, own in item.by_action.items()
        },
        "movement_mm": {mark: shown("vx", value) for mark, value in item.joints.items()},
        "least": {"seat": item.least[1], "N": shown("N", item.least[0])},
        "largest": {
            "seat": item.largest[2],
            "effect": item.largest[1],
            "value": shown(item.largest[1], item.largest[0]),
        },
        "reasons": list(reasons),
        "in_full": _in_full(found, item),
        "no_movement": _still(found, item),
        "bearings": None
        if weight is None
        else {
            "mass_kg": scaled(weight.mass, 1.0, "mass"),
            "number": weight.number,
            "not_passing": list(weight.failing),
            "without_a_bearing": list(weight.without),
        },
    }


def _measures(item: Shown) -> dict[str, Any]:
    return {
        name: {
            "value": scaled(value, objective_unit(name)[1], name),
            "unit": objective_unit(name)[0],
        }
        for name, value in item.measures.items()
    }


def _in_full(found: Comparison, item: Shown) -> dict[str, Any] | None:
    whole = found.whole.get(item.name)
    if whole is None:
        return None
    return {
        "largest_change": figures(whole.change, "change"),
        "uplift": [
            {
                "seat": lift.seat,
                "limit_state": lift.limit_state,
                "combination": lift.combination,
                "hold_down_kN": scaled(lift.hold_down, 1e-3, "uplift"),
                "held": lift.held,
            }
            for lift in whole.schedule.uplift
        ],
    }


def _still(found: Comparison, item: Shown) -> list[dict[str, Any]] | None:
    points = found.still.get(item.name)
    if points is None:
        return None
    return [
        {
            "supports": list(piece.supports),
            "by_stiffness_m": _chainages(piece.elastic),
            "with_friction_m": _chainages(piece.rubbing),
        }
        for piece in points.pieces
    ]


def _chainages(found: Sequence[Found]) -> list[float | None]:
    """Of each analysis; None where all of the piece moves alike."""
    return [None if one.along is None else figures(one.along.at, "chainage") for one in found]


def _on_front(found: Comparison, index: int) -> dict[str, Any]:
    ranks = np.flatnonzero(found.order == index)
    return {
        "rank": int(ranks[0]) + 1,
        "name": found.arrangements.name(index),
        "stands_for": int(found.arrangements.weight[index]),
        "criteria": {
            name: scaled(float(found.measures[name][index]), objective_unit(name)[1], name)
            for name in found.criteria
        },
    }


# ------------------------------------------------------------------ all arrangements
def ranking_table(found: Comparison) -> Table:
    """All arrangements that were worked out, best first; then those that break a limit; then those
    without numbers. Columns of numbers are masked where there are none.
    """
    tried = found.arrangements
    rows = _row_order(found)
    place = {int(index): number + 1 for number, index in enumerate(found.order)}
    ranks = np.array([place.get(int(index), 0) for index in rows], dtype=np.int32)
    usable = np.asarray(found.stands, dtype=bool)[rows]
    keeps = np.asarray(found.keeps, dtype=bool)[rows]
    picked = {
        tried.find(one.item.functions): one.item.name
        for one in reversed(beside(found))
        if one.role != "best"
    }
    front = set(found.pareto.tolist())
    table: Table = {
        "rank": np.ma.masked_array(ranks, mask=ranks == 0),
        "arrangement": _text([tried.name(int(index)) for index in rows]),
        "pinned as": _text([plain(picked.get(int(index), "")) for index in rows]),
        "stands for": np.asarray(tried.weight, dtype=np.int32)[rows],
        "keeps limits": np.ma.masked_array(keeps, mask=~usable),
        "in Pareto set": np.array([int(index) in front for index in rows], dtype=bool),
    }

    def add(head: str, numbers: Floats, factor: float) -> None:
        numbers = np.asarray(numbers, dtype=float)[rows] * factor
        finite = usable & np.isfinite(numbers)
        rounded = np.round(np.where(finite, numbers, 0.0), _PLACES) + 0.0
        table[head] = np.ma.masked_array(rounded, mask=~finite)

    for name, numbers in found.measures.items():
        unit, factor = objective_unit(name)
        add(f"{name} [{unit}]", numbers, factor)
    size = np.maximum(np.abs(found.tops), np.abs(found.lows))
    for mark in found.today.supports:
        number = {effect: found.columns.index((mark, effect)) for effect in _SUPPORT}
        add(f"{mark} V max [kN]", found.tops[:, number["V"]], 1e-3)
        add(f"{mark} V min [kN]", found.lows[:, number["V"]], 1e-3)
        for effect in _SUPPORT[1:]:
            add(f"{mark} {effect} [{UNITS[effect]}]", size[:, number[effect]], 1e-3)
        seats = [
            found.columns.index((seat, "vx"))
            for seat, support in zip(tried.marks, tried.supports, strict=True)
            if support == mark
        ]
        if seats:
            add(f"{mark} movement [mm]", size[:, seats].max(axis=1), 1e3)
    words = np.array(tried.words, dtype=object)
    for place_of, mark in enumerate(tried.marks):
        table[f"{mark} function"] = words[tried.codes[rows, place_of]]
    return table


def ranking_files(found: Comparison) -> dict[str, bytes]:
    """Contents of ranking.csv, ranking.parquet and pareto.csv, by name.

    Nothing is written but into a folder of its own that is gone afterwards: who asks can write all
    of them or none.
    """
    table = ranking_table(found)
    front = {name: column[table["in Pareto set"]] for name, column in table.items()}
    return {
        "ranking.csv": _copied(table, "csv"),
        "ranking.parquet": _copied(table, "parquet"),
        "pareto.csv": _copied(front, "csv"),
    }


def _copied(table: Table, kind: str) -> bytes:
    """A table as the bytes of a file: CSV (UTF-8, with a head) or Parquet."""
    import duckdb  # slow to load, and only these files need it

    options = "FORMAT csv, HEADER" if kind == "csv" else "FORMAT parquet, COMPRESSION zstd"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"table.{kind}"
        with duckdb.connect(":memory:", config={"threads": 1}) as connection:
            connection.register("arrangements", table)
            place = str(path).replace("'", "''")
            connection.execute(f"COPY (SELECT * FROM arrangements) TO '{place}' ({options})")
        return path.read_bytes()


def _row_order(found: Comparison) -> Ints:
    """Rows as they are written: the ranked, the other usable ones by objective, the rest."""
    rest = np.setdiff1d(np.arange(found.done), found.order)
    usable = np.asarray(found.stands, dtype=bool)[rest]
    target = np.where(usable, found.measures[found.objective][rest], np.inf)
    return np.concatenate([found.order, rest[np.argsort(target, kind="stable")]]).astype(np.intp)


def _text(values: list[str]) -> Any:
    """An array of Python strings; an empty list stays one-dimensional."""
    result = np.empty(len(values), dtype=object)
    result[:] = values
    return result
