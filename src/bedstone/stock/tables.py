"""The tables of a stock: what is kept of every bridge, column by column, SI units.

The first column of every table is the path of the bridge file within its stock. Signs as in the
schedule. A column whose value is not known is empty (NULL), never zero.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

Cell = str | float | int | bool | None
Row = tuple[Cell, ...]
Rows = Mapping[str, tuple[Row, ...]]

_TEXT, _NUMBER, _COUNT, _FLAG = "VARCHAR", "DOUBLE", "BIGINT", "BOOLEAN"


@dataclass(frozen=True)
class Table:
    """A table: its columns with their DuckDB types, in order."""

    name: str
    about: str
    columns: Mapping[str, str]


def _columns(text: str = "", number: str = "", count: str = "", flag: str = "") -> dict[str, str]:
    kinds = ((text, _TEXT), (number, _NUMBER), (count, _COUNT), (flag, _FLAG))
    return {name: kind for names, kind in kinds for name in names.split()}


_EXTREMES = " ".join(
    f"{effect}_{sense}_{unit}"
    for effects, unit in ((("N", "Hx", "Hy"), "N"), (("vx", "vy"), "m"), (("rx", "ry"), "rad"))
    for effect in effects
    for sense in ("max", "min")
)
_BELOW = " ".join(f"{effect}_{sense}_N" for effect in ("V", "Fx", "Fy") for sense in ("max", "min"))

#: Every table by name, in the order they are written.
TABLES: Final[Mapping[str, Table]] = MappingProxyType(
    {
        table.name: table
        for table in (
            Table(
                "bridges",
                "one row a bridge; state: done, faulty, unstable or check fails",
                _columns(
                    "bridge state name reference standard use superstructure arrangement set_at",
                    "length_m radius_m",
                    "supports seats redundancy",
                ),
            ),
            Table(
                "seats",
                "extremes over the limit states (ULS equilibrium for the least N alone); "
                "uplift_margin: least N, less what would hold it down, as a part of permanent N; "
                "travel_left: of given bearings and stops, at the design extremes",
                _columns(
                    "bridge seat support function kind",
                    f"N_permanent_N {_EXTREMES} hold_down_N uplift_margin travel_left_m",
                    "",
                    "held_down",
                ),
            ),
            Table(
                "supports",
                "extremes over the limit states but ULS equilibrium",
                _columns("bridge support below", f"chainage_m skew_rad {_BELOW}"),
            ),
            Table(
                "effects",
                "every governing extreme of every limit state; unit: N, N m, m or rad",
                _columns("bridge limit_state place effect sense combination unit", "value"),
            ),
            Table(
                "bearings",
                "given: assessed as it stands; else designed; utilisation NULL without a check "
                "or without end",
                _columns(
                    "bridge seat kind origin verdict check_title part clause case_name reason",
                    "utilisation mass_kg height_m left_m",
                ),
            ),
            Table(
                "single_faults",
                "what-if: harm of every single fault; outcome: harm, moves freely or refused; "
                "support: the one that takes the largest force along the bridge then",
                _columns(
                    "bridge fault kind place outcome what worst_place effect sense limit_state "
                    "combination lifts motion support unit",
                    "harm before after Fx_before_N Fx_after_N",
                    "rank",
                    "in_full",
                ),
            ),
            Table(
                "inspections",
                "inspect: the latest visit to a seat in the record of readings; travel_left: with "
                "the offset as it was found; state 1 to 4, severity 1 to 5, proposals",
                _columns(
                    "bridge seat time_utc out_of_tolerance cause action review blocked",
                    "temperature_degC travel_left_m utilisation",
                    "out state severity",
                    "capacity_holds",
                ),
            ),
            Table(
                "monitored",
                "monitor: what the logs or visits in the record say of a seat; mobility: movement "
                "found over expected; judgement: what must be looked at first",
                _columns(
                    "bridge seat judgement kind findings first_utc last_utc end_reached_utc",
                    "mobility mobility_low mobility_high drift_m_per_year travel_left_m",
                    "readings",
                    "action",
                ),
            ),
            Table(
                "remarks",
                "faults of the files and parts that could not be worked out, in words",
                _columns("bridge part what file field found allowed text", "", "number"),
            ),
        )
    }
)

#: Unit of every effect in SI.
SI: Final[Mapping[str, str]] = MappingProxyType(
    dict.fromkeys(("N", "Hx", "Hy", "V", "Fx", "Fy"), "N")
    | dict.fromkeys(("Mx", "My", "Mz"), "N m")
    | dict.fromkeys(("vx", "vy", "vz"), "m")
    | dict.fromkeys(("rx", "ry", "rz"), "rad")
)


def row(table: str, values: Mapping[str, Cell]) -> Row:
    """The cells of one row in the order of its table; a column left out is empty.

    Numbers that are not finite become empty: a table must not hold what JSON cannot. Raises
    `KeyError` for a column that the table does not have.
    """
    columns = TABLES[table].columns
    for name in values:
        columns[name]
    return tuple(_cell(values.get(name), kind) for name, kind in columns.items())


def _cell(value: Cell, kind: str) -> Cell:
    if value is None:
        return None
    if kind == _NUMBER:
        number = float(value)
        return number + 0.0 if math.isfinite(number) else None  # -0.0 + 0.0 is 0.0
    if kind == _COUNT:
        return int(value)
    return bool(value) if kind == _FLAG else str(value)


def digest(rows: Rows) -> str:
    """SHA-256 of the rows of all tables, to the last bit of every number."""
    hashed = hashlib.sha256()
    for name in TABLES:
        for cells in rows.get(name, ()):
            # repr of a float names it exactly
            hashed.update(json.dumps([name, *cells], ensure_ascii=True).encode())
            hashed.update(b"\n")
    return hashed.hexdigest()


def first(rows: Rows, table: str, column: str) -> Cell:
    """The first cell of a column; None where the table has no row."""
    found = rows.get(table, ())
    return found[0][list(TABLES[table].columns).index(column)] if found else None


def gathered(table: str, found: Iterable[Mapping[str, Cell]]) -> tuple[Row, ...]:
    """Rows of a table."""
    return tuple(row(table, values) for values in found)
