"""Logs: long series of one movement of a seat against temperature, read from CSV or Parquet.

A file is checked and taken over inside DuckDB: all of it, or nothing. What cannot be right is
refused with the numbers of its rows; what may be right (a gap, a sensor that sticks) is told.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import duckdb
import numpy as np
from numpy.typing import NDArray

from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Floats
from bedstone.site import log_checks
from bedstone.site.log_clock import to_utc
from bedstone.site.log_forms import SUSPICIONS, LogForm, Told
from bedstone.site.log_heads import csv_head, form_of, parquet_head
from bedstone.site.log_stage import Stage, parquet_columns, quoted, short

__all__ = ["Loaded", "LogForm", "Series", "Told", "load_log", "series_of"]


@dataclass(frozen=True)
class Series:
    """One movement of one seat over time, rising in time.

    `time` (n,): ns since 1970 in UTC; `movement` (n,): m, along the bearing's direction of
    movement, + toward rising chainage (left); `temperature` (n,): of the steel, degC.
    """

    seat: str
    time: NDArray[np.int64]
    movement: Floats
    temperature: Floats


@dataclass(frozen=True)
class Loaded:
    """What came in: rows of the table, seats in the order of the bridge, first and last reading.

    `told`: what the engineer should know and nothing was refused for.
    """

    file: str
    rows: int
    seats: tuple[str, ...]
    first: datetime
    last: datetime
    told: tuple[Told, ...]


def load_log(connection: duckdb.DuckDBPyConnection, file: Path, *, wanted: LogForm) -> Loaded:
    """Check a CSV or Parquet file and make the temporary table ``incoming`` of it.

    Columns: row (of the file: line of a CSV), seat, time TIMESTAMP (UTC), movement DOUBLE (m),
    temperature DOUBLE (degC); in the order of seat and time. Rows without a reading and exact
    repeats are left out and told. A table ``incoming`` that is there already is replaced.

    Raises `InputError` with every kind of fault found and the first rows of each; no table is left.
    """
    faults = _faults_of(wanted)
    if faults:
        raise InputError(faults)
    path = file.resolve()
    form, packed = form_of(path)
    try:
        types: tuple[str, ...] = ()
        if form == "csv":
            head = csv_head(path, packed, wanted)
        else:
            names, types = parquet_columns(connection, path)
            head = parquet_head(path, names, wanted)
        return _load(Stage(connection, path, head, types, wanted))
    except (duckdb.ParserException, duckdb.BinderException, duckdb.CatalogException):
        raise  # a fault of ours, not of the file
    except duckdb.Error as error:
        fault = Fault(path.name, "file", short(str(error)), "a CSV or Parquet file that is whole")
        raise InputError([fault]) from error


def _load(stage: Stage) -> Loaded:
    stage.connection.execute("DROP TABLE IF EXISTS temp.incoming")
    try:
        stage.read()
        told = to_utc(stage)
        _refuse(
            *log_checks.dates(stage, stage.wanted.now or datetime.now(UTC)),
            *log_checks.temperatures(stage),
            *log_checks.movements(stage),
            *log_checks.swapped(stage),
        )
        told += log_checks.sort(stage)
        _refuse(*log_checks.contradictions(stage), *log_checks.units(stage))
        told += log_checks.notes(stage)
        log_checks.finish(stage)
        return _loaded(stage, told)
    finally:
        # an error that brought us here is the one to tell, not what may follow from it
        with contextlib.suppress(duckdb.Error):
            stage.clean()


def _refuse(*faults: Fault) -> None:
    if faults:
        raise InputError(faults)


def _loaded(stage: Stage, told: list[Told]) -> Loaded:
    rows, first, last = stage.one("SELECT count(*), min(time), max(time) FROM temp.incoming")
    present = {mark for (mark,) in stage.all("SELECT DISTINCT seat FROM temp.incoming")}
    return Loaded(
        file=stage.path.name,
        rows=rows,
        seats=tuple(mark for mark in stage.wanted.seats if mark in present),
        first=first.replace(tzinfo=UTC),
        last=last.replace(tzinfo=UTC),
        told=tuple(told),
    )


def _faults_of(wanted: LogForm) -> list[Fault]:
    """Faults of what the person told about the log."""
    faults = []
    known = ", ".join(wanted.seats)
    told = [wanted.seat] if wanted.seat else []
    faults += [
        Fault("command line", "seat", repr(mark[:60]), known)
        for mark in told
        if mark not in wanted.seats
    ]
    if wanted.decimal not in (".", ","):
        faults.append(Fault("command line", "decimal", repr(wanted.decimal[:60]), "'.' or ','"))
    faults += [
        Fault("command line", "accept", repr(word[:60]), ", ".join(SUSPICIONS))
        for word in sorted(wanted.accept - set(SUSPICIONS))
    ]
    words = {"time", "seat", "movement", "temperature", *wanted.seats}
    words |= {f"{mark} temperature" for mark in wanted.seats}
    faults += [
        Fault("command line", f"column {name[:60]!r}", repr(word[:60]), ", ".join(sorted(words)))
        for name, word in wanted.names.items()
        if word not in words
    ]
    return faults


def series_of(connection: duckdb.DuckDBPyConnection, table: str) -> list[Series]:
    """The series of a table with columns seat, time (TIMESTAMP, UTC), movement and temperature.

    In the order of the seats' marks, each rising in time; rows with an empty cell are left out.
    `table` may be a view.
    """
    name = quoted(table)
    whole = "movement IS NOT NULL AND temperature IS NOT NULL AND time IS NOT NULL"
    marks = connection.execute(f"SELECT DISTINCT seat FROM {name} WHERE {whole} ORDER BY seat")
    found = []
    for (mark,) in marks.fetchall():
        columns = connection.execute(
            f"SELECT epoch_ns(time) AS time, movement, temperature FROM {name} "
            f"WHERE seat = ? AND {whole} ORDER BY time",
            [mark],
        ).fetchnumpy()
        found.append(
            Series(
                str(mark),
                np.asarray(columns["time"], dtype=np.int64),
                np.asarray(columns["movement"], dtype=np.float64),
                np.asarray(columns["temperature"], dtype=np.float64),
            )
        )
    return found
