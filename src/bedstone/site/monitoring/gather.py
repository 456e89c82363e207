"""Series to judge: from logs, or from the record of a bridge with what was read by hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import duckdb
import numpy as np

from bedstone.errors import Fault, InputError
from bedstone.site.log_files import LogForm, Series, load_log, series_of
from bedstone.site.monitoring.expected import expected
from bedstone.site.readings import Reading
from bedstone.site.record import open_record
from bedstone.site.setting import Setting


@dataclass(frozen=True)
class Gathered:
    """Series, what should be known of their files, seats with a clamp in place, day of opening."""

    series: tuple[Series, ...]
    told: tuple[str, ...]
    clamped: frozenset[str] = frozenset()
    built: dt.date | None = None


def from_logs(files: Sequence[Path], wanted: LogForm) -> Gathered:
    """All logs together, checked as `load_log` does; several may hold parts of one seat.

    Raises `InputError` with the faults of every file, and where two files have the same reading.
    """
    faults: list[Fault] = []
    told: list[str] = []
    with duckdb.connect() as connection:
        connection.execute(
            "CREATE TEMP TABLE gathered "
            "(file VARCHAR, seat VARCHAR, time TIMESTAMP, movement DOUBLE, temperature DOUBLE)"
        )
        for file in files:
            try:
                loaded = load_log(connection, file, wanted=wanted)
            except InputError as error:
                faults += error.faults
                continue
            told += [f"{loaded.file}: {note.text}" for note in loaded.told]
            twice = connection.execute(
                "SELECT seat, count(*) FROM gathered JOIN temp.incoming USING (seat, time) "
                "GROUP BY seat ORDER BY seat"
            ).fetchall()
            faults += [
                Fault(file.name, seat, f"{count} times that another log has", "each time once")
                for seat, count in twice
            ]
            connection.execute(
                "INSERT INTO gathered SELECT ?, seat, time, movement, temperature "
                "FROM temp.incoming",
                [file.name],
            )
        if faults:
            raise InputError(faults)
        return Gathered(tuple(series_of(connection, "gathered")), tuple(told))


def from_record(path: Path, settings: Sequence[Setting]) -> Gathered:
    """The logs of a record; for seats without one, the offsets read by hand.

    Raises `InputError` as `open_record`, and where the record holds neither.
    """
    with open_record(path) as record:
        logs = record.series()
        readings = record.readings()
        built = record.built
    logged = {item.seat for item in logs}
    told: list[str] = []
    found = list(logs)
    for setting in settings:
        if setting.seat not in logged:
            by_hand, without = visits_of(readings, setting)
            if without:
                told.append(f"{setting.seat}: {without} offsets without steel temperature left out")
            if by_hand is not None:
                found.append(by_hand)
    if not found:
        allowed = "logs, or offsets read with the temperature of the steel"
        raise InputError([Fault(str(path), "record", "nothing to judge", allowed)])
    order = {item.seat: place for place, item in enumerate(settings)}
    found.sort(key=lambda item: order.get(item.seat, len(order)))
    return Gathered(tuple(found), tuple(told), clamped(readings), built)


def visits_of(readings: Sequence[Reading], setting: Setting) -> tuple[Series | None, int]:
    """Offsets of one seat read by hand, in the order of time, and how many lack a temperature.

    Of rollers without an offset of the plate: twice the middle of what was read at their ends.
    """
    quantity = "offset along" if expected(setting).axis == "x" else "offset across"
    own = [item for item in readings if item.seat == setting.seat and item.value is not None]
    at: dict[dt.datetime, tuple[float, float | None]] = {}
    if quantity == "offset along" and setting.form == "rolls":
        rolled: dict[dt.datetime, list[Reading]] = {}
        for item in own:
            if item.quantity == "roller offset":
                rolled.setdefault(item.time, []).append(item)
        for time, ends in rolled.items():
            values = [end.value for end in ends if end.value is not None]
            at[time] = (2.0 * sum(values) / len(values), ends[0].temperature)
    for item in own:
        if item.quantity == quantity and item.value is not None:
            at[item.time] = (item.value, item.temperature)
    known = sorted((time, value, warm) for time, (value, warm) in at.items() if warm is not None)
    without = len(at) - len(known)
    if not known:
        return None, without
    stamps = [round(time.timestamp() * 1e6) * 1000 for time, _, _ in known]
    return (
        Series(
            setting.seat,
            np.array(stamps, dtype=np.int64),
            np.array([value for _, value, _ in known]),
            np.array([warm for _, _, warm in known]),
        ),
        without,
    )


def clamped(readings: Sequence[Reading]) -> frozenset[str]:
    """Seats at which a clamp was in its place when it was last looked for."""
    last: dict[str, str] = {}
    for item in sorted(readings, key=lambda item: item.time):
        if item.quantity == "clamp":
            last[item.seat] = item.word
    return frozenset(seat for seat, word in last.items() if word == "yes")
