"""Logs: long series of one movement of a seat against temperature, read from CSV or Parquet.

A file is checked and taken over inside DuckDB: all of it, or nothing. What cannot be right is
refused with the numbers of its rows; what may be right (a gap, a sensor that sticks) is told.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import duckdb
import numpy as np
from numpy.typing import NDArray

from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Floats
from bedstone.site import log_checks
from bedstone.site.log_checks import Told
from bedstone.site.log_heads import Asked, csv_head, form_of, parquet_head
from bedstone.site.tolerances import Tolerances

__all__ = ["Loaded", "LogForm", "Series", "Told", "load_log", "series_of"]

#: Cells that stand for a reading that is missing.
MISSING = ("", "nan", "na", "n/a", "null", "none", "-")


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
class LogForm:
    """How a log is written, and what it is held against.

    - `seats`: marks of the bridge
    - `seat`: the seat of a log that has no column of seats
    - `names`: name of a column as the file has it -> time, seat, movement, temperature or a seat
    - `units`: by name of a column, where its head has none ("mm", "degC", "degF")
    - `zone`: of stamps without one: a name ("Europe/Lisbon"), an offset ("+01:00") or "UTC"
    - `stamp`: form of the stamps in strptime's letters, where it is not ISO 8601
    - `decimal`: "." or ","
    - `missing`: cells that stand for no reading, in small letters
    - `steel`: coldest and warmest steel of the bridge (degC), None where not known
    - `since`, `now`: aware; earliest stamp that can be, and the time of reading
    - `accept`: suspicions that a person has looked at: ``temperature``, ``swapped``, ``units``
    - `tolerances`: numbers of the checks in place of the usual ones
    """

    seats: tuple[str, ...]
    seat: str = ""
    names: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    zone: str = ""
    stamp: str = ""
    decimal: str = "."
    missing: tuple[str, ...] = MISSING
    steel: tuple[float, float] | None = None
    since: datetime | None = None
    now: datetime | None = None
    accept: frozenset[str] = frozenset()
    tolerances: Tolerances | None = None


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
    asked = Asked(wanted.seats, wanted.seat, wanted.names, wanted.units)
    form, packed = form_of(path)
    try:
        if form == "csv":
            head = csv_head(path, packed, asked)
            types: tuple[str, ...] = ()
        else:
            names, types = log_checks.parquet_columns(connection, path)
            head = parquet_head(path, names, asked)
        return _load(connection, log_checks.Source(path, head, types), wanted)
    except (duckdb.ParserException, duckdb.BinderException, duckdb.CatalogException):
        raise  # a fault of ours, not of the file
    except duckdb.Error as error:
        found = " ".join(str(error).split("\n")[0].split())[:120]
        fault = Fault(path.name, "file", found, "a CSV or Parquet file that is whole")
        raise InputError([fault]) from error


def _load(
    connection: duckdb.DuckDBPyConnection, source: log_checks.Source, wanted: LogForm
) -> Loaded:
    checks = log_checks.Checks(
        connection,
        source,
        seats=wanted.seats,
        zone=wanted.zone,
        stamp=wanted.stamp,
        decimal=wanted.decimal,
        missing=wanted.missing,
        steel=wanted.steel,
        since=wanted.since,
        now=wanted.now or datetime.now(UTC),
        accept=wanted.accept,
        tolerances=wanted.tolerances,
    )
    connection.execute("DROP TABLE IF EXISTS temp.incoming")
    done = False
    try:
        told = checks.run()
        rows, first, last = checks.extent()
        seats = tuple(mark for mark in wanted.seats if mark in checks.present())
        done = True
    finally:
        checks.clean()
        if not done:
            # the error that brought us here is the one to tell
            with contextlib.suppress(duckdb.Error):
                connection.execute("DROP TABLE IF EXISTS temp.incoming")
    return Loaded(source.path.name, rows, seats, first, last, told)


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
        Fault("command line", "accept", repr(word[:60]), ", ".join(log_checks.SUSPICIONS))
        for word in sorted(wanted.accept - set(log_checks.SUSPICIONS))
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
    name = log_checks.quoted(table)
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
