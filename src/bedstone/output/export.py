"""Results as files for other programs: CSV, JSON, Parquet, a workbook, IFC.

Every function returns the contents of files by name and writes nothing, so that who asks can write
all of them or none. Numbers are in the units that stand in the heads and keys.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Literal, cast

import numpy as np

from bedstone.bridge.schema import Bridge, Seat
from bedstone.comparison.compare import Comparison
from bedstone.comparison.faults import WhatIf
from bedstone.comparison.first_failure import FirstFailure
from bedstone.comparison.fixed_point import StillPoints
from bedstone.comparison.sharing import Sharing
from bedstone.comparison.uncertainty import Chance
from bedstone.comparison.weigh import Weighed
from bedstone.errors import Fault, InputError
from bedstone.output.bearing_data import bearings_to_dict, bearings_to_json
from bedstone.output.chance_data import chance_to_dict, chance_to_json
from bedstone.output.compare_data import comparison_to_json, ranking_files
from bedstone.output.data import schedule_to_csv, schedule_to_json
from bedstone.output.fault_data import what_if_to_csv, what_if_to_json
from bedstone.output.setting_data import settings_to_dict, settings_to_json
from bedstone.output.sharing_data import sharing_to_dict, sharing_to_json
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Schedule
from bedstone.site.setting import Setting

Files = dict[str, bytes]
Cell = str | float | int | bool | None
Holds = Literal["text", "number", "whole", "truth"]

#: What can leave the program, and in which forms.
FORMS: Final[Mapping[str, tuple[str, ...]]] = {
    "schedule": ("csv", "json", "parquet", "xlsx", "ifc"),
    "bearings": ("csv", "json", "parquet", "xlsx", "ifc"),
    "comparison": ("csv", "json", "parquet"),
    "sharing": ("csv", "json", "parquet"),
    "faults": ("csv", "json", "parquet"),
    "chance": ("csv", "json", "parquet"),
    "setting": ("csv", "json", "parquet"),
}

#: Heads of the CSV tables of a schedule and of faults under which numbers stand, besides those that
#: end with a unit in brackets.
_NUMBERS = frozenset(
    {"value", "harm", "intact", "then", "friction needed", "intact max", "intact min"}
    | {"then max", "then min"}
)
_WHOLE = frozenset({"rank"})
_SQL: Final[Mapping[Holds, str]] = {
    "text": "VARCHAR",
    "number": "DOUBLE",
    "whole": "INTEGER",
    "truth": "BOOLEAN",
}


@dataclass(frozen=True)
class Table:
    """A flat table: heads with units, what each column holds, rows. None: nothing is there."""

    heads: tuple[str, ...]
    holds: tuple[Holds, ...]
    rows: tuple[tuple[Cell, ...], ...]


def form_of(what: str, to: str) -> str:
    """Return `to` where `what` can leave in that form; raises `InputError` for anything else."""
    if what not in FORMS:
        raise InputError([Fault("command line", "--what", repr(what[:60]), ", ".join(FORMS))])
    if to not in FORMS[what]:
        allowed = f"for {what}: {', '.join(FORMS[what])}"
        raise InputError([Fault("command line", "--to", repr(to[:60]), allowed)])
    return to


# ------------------------------------------------------------------ what can leave
def schedule_files(
    to: str,
    schedule: Schedule,
    bridge: Bridge,
    functions: Mapping[str, Seat],
    designs: Sequence[SeatDesign] = (),
    settings: Sequence[Setting] = (),
    made: dt.date | None = None,
) -> Files:
    """The schedule of bearings.

    `functions`: the bearing of every seat as the schedule has it, for IFC; `designs` and `settings`
    go into the workbook, designs into IFC; `made`: a date kept in both. Raises `InputError` for a
    form that a schedule does not have.
    """
    form_of("schedule", to)
    if to == "json":
        return {"schedule.json": schedule_to_json(schedule).encode()}
    if to in ("xlsx", "ifc"):
        return _papers(to, schedule, bridge, functions, designs, settings, made)
    seats, supports = schedule_to_csv(schedule)
    if to == "csv":
        return {"seats.csv": seats.encode(), "supports.csv": supports.encode()}
    return {
        "seats.parquet": to_parquet(from_csv(seats)),
        "supports.parquet": to_parquet(from_csv(supports)),
    }


def bearing_files(
    to: str,
    schedule: Schedule,
    bridge: Bridge,
    functions: Mapping[str, Seat],
    designs: Sequence[SeatDesign],
    settings: Sequence[Setting] = (),
    made: dt.date | None = None,
) -> Files:
    """Designed bearings: one table of them, one of their parts, one of their checks."""
    form_of("bearings", to)
    if to == "json":
        return {"bearings.json": bearings_to_json(schedule, designs).encode()}
    if to in ("xlsx", "ifc"):
        return _papers(to, schedule, bridge, functions, designs, settings, made)
    return _written(to, bearing_tables(bearings_to_dict(schedule, designs)))


def comparison_files(
    to: str, found: Comparison, bridge: Bridge, weights: Mapping[str, Weighed] | None = None
) -> Files:
    """A comparison: all arrangements that were worked out, best first, and the Pareto set."""
    form_of("comparison", to)
    if to == "json":
        return {"comparison.json": comparison_to_json(found, bridge, weights).encode()}
    return {
        name: content for name, content in ranking_files(found).items() if name.endswith(f".{to}")
    }


def sharing_files(to: str, found: Sharing, points: StillPoints, bridge: Bridge) -> Files:
    """Who takes the horizontal force: a row for each place and way."""
    form_of("sharing", to)
    if to == "json":
        return {"sharing.json": sharing_to_json(found, points, bridge).encode()}
    return _written(to, {"sharing": sharing_table(sharing_to_dict(found, points, bridge))})


def fault_files(to: str, found: WhatIf, failures: Sequence[FirstFailure] = ()) -> Files:
    """Single faults: their ranking, and all extremes under each."""
    form_of("faults", to)
    if to == "json":
        return {"faults.json": what_if_to_json(found, failures).encode()}
    ranking, effects = what_if_to_csv(found)
    if to == "csv":
        return {"faults.csv": ranking.encode(), "effects.csv": effects.encode()}
    return {
        "faults.parquet": to_parquet(from_csv(ranking)),
        "effects.parquet": to_parquet(from_csv(effects)),
    }


def chance_files(to: str, found: Chance) -> Files:
    """How likely limits are exceeded: a row for each."""
    form_of("chance", to)
    if to == "json":
        return {"chance.json": chance_to_json(found).encode()}
    return _written(to, {"chance": chance_table(chance_to_dict(found))})


def setting_files(to: str, found: Sequence[Setting], bridge: Bridge, standard: str) -> Files:
    """How bearings are set: a row for each bearing and temperature."""
    form_of("setting", to)
    if to == "json":
        return {"setting.json": settings_to_json(found, bridge, standard).encode()}
    return _written(to, {"setting": setting_table(settings_to_dict(found, bridge, standard))})


def _papers(
    to: str,
    schedule: Schedule,
    bridge: Bridge,
    functions: Mapping[str, Seat],
    designs: Sequence[SeatDesign],
    settings: Sequence[Setting],
    made: dt.date | None,
) -> Files:
    """The workbook or the model, which hold schedule and bearings together."""
    if to == "xlsx":
        from bedstone.output.spreadsheet import schedule_workbook

        return {"schedule.xlsx": schedule_workbook(schedule, designs, bridge, settings, made)}
    from bedstone.output.ifc import bridge_model

    return {"bridge.ifc": bridge_model(schedule, bridge, functions, designs, made)}


# ------------------------------------------------------------------ tables of results
def bearing_tables(data: Mapping[str, Any]) -> dict[str, Table]:
    """Tables of bearings, their parts and checks, of data as `bearings_to_dict` gives it."""
    bearings, parts, checks = [], [], []
    for item in data["bearings"]:
        design, refusal = item["design"] or {}, item["refusal"] or {}
        governing = design.get("governing") or {}
        reach = design.get("reach_mm") or (None, None)
        bearings.append(
            (item["seat"], item["function"], item["kind"], item["origin"], item["passes"],
             design.get("utilisation"), governing.get("title"), governing.get("clause"),
             *reach, design.get("height_mm"), design.get("mass_kg"), item["permanent_kN"],
             item["uplift_kN"], design.get("horizontal_kN"), design.get("left_mm"),
             refusal.get("reason"))
        )  # fmt: skip
        parts += [
            (item["seat"], part["name"], part["number"], part["size"], part["material"],
             part["mass_kg"], part["utilisation"], part["function"])
            for part in design.get("parts", ())
        ]  # fmt: skip
        checks += [
            (item["seat"], check["part"], check["title"], check["standard"], check["edition"],
             check["clause"], check["formula"], check["result"]["symbol"],
             check["result"]["value"], check["result"]["unit"],
             None if check["limit"] is None else check["limit"]["value"],
             check["utilisation"], check["beyond"], check["case"], check["basis"], check["note"])
            for check in design.get("checks", ())
        ]  # fmt: skip
    return {
        "bearings": _table(
            "seat function kind origin passes:truth utilisation:number governing_check clause "
            "length_along_x[mm] width_along_y[mm] height[mm] mass[kg] permanent[kN] uplift[kN] "
            "sends_below_along_x[kN] movement_left[mm] why_not",
            bearings,
        ),
        "parts": _table(
            "seat part number:whole size_in_mm material mass_of_one[kg] utilisation:number "
            "what_it_does",
            parts,
        ),
        "checks": _table(
            "seat part check standard edition clause formula symbol result:number unit "
            "limit:number utilisation:number beyond:truth case basis note",
            checks,
        ),
    }


def sharing_table(data: Mapping[str, Any]) -> Table:
    """The table of `sharing_to_dict`; ranges as two columns."""
    nothing = (None, None)
    rows = [
        (row["place"], row["kind"], row["way"], row["rule_kN"], row["reason"],
         *(row["elastic_kN"] or nothing), *(row["per_kelvin_kN"] or nothing),
         *(row["locked_kN"] or nothing), *(row["path_kN"] or nothing))
        for row in data["rows"]
    ]  # fmt: skip
    return _table(
        "place kind way rule[kN] reason elastic_low[kN] elastic_high[kN] per_kelvin_low[kN] "
        "per_kelvin_high[kN] locked_low[kN] locked_high[kN] path_low[kN] path_high[kN]",
        rows,
    )


def chance_table(data: Mapping[str, Any]) -> Table:
    """The table of `chance_to_dict`."""
    rows = [
        (row["limit"], row["place"], row["effect"], row["sense"], row["value"], row["unit"],
         row["exceeded"], data["samples"], row["probability"], *row["interval"],
         *(quantile["value"] for quantile in row["quantiles"]))
        for row in data["results"]
    ]  # fmt: skip
    levels = [
        f"{quantile['level']:g}" for row in data["results"][:1] for quantile in row["quantiles"]
    ]
    return _table(
        "limit place effect sense value:number unit exceeded:whole samples:whole "
        "probability:number interval_low:number interval_high:number "
        + " ".join(f"quantile_{level}:number" for level in levels),
        rows,
    )


def setting_table(data: Mapping[str, Any]) -> Table:
    """The table of `settings_to_dict`."""
    rows = [
        (item["seat"], item["function"], item["kind"], item["form"], row["steel_degC"],
         *row["offset_mm"], row["roller_mm"], row["spare_mm"], row["slack_K"])
        for item in data["bearings"]
        for row in item["rows"]
    ]  # fmt: skip
    return _table(
        "seat function kind moves_by steel[degC] offset_x[mm] offset_y[mm] roller_offset[mm] "
        "movement_left[mm] temperature_may_be_off_by[K]",
        rows,
    )


def _table(columns: str, rows: Sequence[tuple[Cell, ...]]) -> Table:
    """Columns in words: ``name:holds`` or ``name[unit]``, else text; _ stands for a space."""
    heads: list[str] = []
    holds: list[Holds] = []
    for word in columns.split():
        name, _, kind = word.partition(":")
        if kind in ("number", "whole", "truth"):
            holds.append(cast(Holds, kind))
        else:
            holds.append("number" if name.endswith("]") else "text")
        heads.append(name.replace("_", " ").replace("[", " ["))
    return Table(tuple(heads), tuple(holds), tuple(rows))


# ------------------------------------------------------------------ tables as files
def from_csv(text: str) -> Table:
    """A CSV table of this program with its numbers as numbers; an empty cell is nothing."""
    heads, *rows = csv.reader(io.StringIO(text, newline=""))
    holds = tuple(_holds(head) for head in heads)
    convert: Mapping[Holds, Callable[[str], Cell]] = {
        "text": str,
        "number": float,
        "whole": int,
        "truth": bool,
    }
    made = tuple(
        tuple(
            convert[kind](cell) if cell or kind == "text" else None
            for cell, kind in zip(row, holds, strict=True)
        )
        for row in rows
    )
    return Table(tuple(heads), holds, made)


def _holds(head: str) -> Holds:
    if head in _WHOLE:
        return "whole"
    return "number" if head in _NUMBERS or head.endswith("]") else "text"


def to_csv(table: Table) -> bytes:
    """A table as CSV in UTF-8; truths as yes and no, line ends within text as one kind."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(table.heads)
    for row in table.rows:
        writer.writerow([_written_out(cell) for cell in row])
    return stream.getvalue().encode()


def _written_out(cell: Cell) -> Cell:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    # a lone carriage return would end the row: the writer only quotes its own line ends
    return cell.replace("\r\n", "\n").replace("\r", "\n") if isinstance(cell, str) else cell


def to_parquet(table: Table) -> bytes:
    """A table as Parquet with typed columns, their heads as in the CSV."""
    import duckdb  # slow to load, and only these files need it

    columns = {
        f"c{place}": _array([row[place] for row in table.rows], kind)
        for place, kind in enumerate(table.holds)
    }
    chosen = ", ".join(
        f"CAST(c{place} AS {_SQL[kind]}) AS {_quoted(head)}"
        for place, (head, kind) in enumerate(zip(table.heads, table.holds, strict=True))
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.parquet"
        target = str(path).replace("'", "''")
        with duckdb.connect(":memory:", config={"threads": 1}) as connection:
            connection.register("rows_of_table", columns)
            connection.execute(
                f"COPY (SELECT {chosen} FROM rows_of_table) TO '{target}' "
                "(FORMAT parquet, COMPRESSION zstd)"
            )
        return path.read_bytes()


def _written(to: str, tables: Mapping[str, Table]) -> Files:
    write = to_csv if to == "csv" else to_parquet
    return {f"{name}.{to}": write(table) for name, table in tables.items()}


def _array(cells: list[Cell], kind: Holds) -> Any:
    """A column as an array: numbers masked, words None where there is nothing."""
    if kind == "text":
        words = np.empty(len(cells), dtype=object)
        words[:] = cells
        return words
    missing = np.array([cell is None for cell in cells], dtype=bool)
    plain = {"number": np.float64, "whole": np.int64, "truth": np.bool_}[kind]
    return np.ma.masked_array(np.array([cell or 0 for cell in cells], dtype=plain), mask=missing)


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
