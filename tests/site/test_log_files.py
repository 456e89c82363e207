"""Logs: what comes in, what is refused with its row, what is told. Expected values: arithmetic.

Hours that a clock leaps over or goes through twice are held to the zone database of the system.
"""

import contextlib
import gzip
import itertools
import zoneinfo
from datetime import UTC, datetime, timedelta

import duckdb
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bedstone.errors import InputError
from bedstone.site import log_stage
from bedstone.site.clocks import stretches, zone_of
from bedstone.site.log_files import LogForm, load_log, series_of

SEATS = ("A1-1", "A2-1", "A2-2")
HEAD = "time,seat,movement [mm],temperature [degC]\n"
NOW = datetime(2026, 11, 1, tzinfo=UTC)


@pytest.fixture
def load(tmp_path):
    """load(text or bytes, name, **form) -> (loaded, series); nothing else is left behind."""

    def run(content, name="log.csv", **form):
        path = tmp_path / name
        if content is not None:
            path.write_bytes(content.encode() if isinstance(content, str) else content)
        with duckdb.connect() as connection:
            wanted = LogForm(**{"seats": SEATS, "now": NOW, **form})
            try:
                loaded = load_log(connection, path, wanted=wanted)
            except InputError:
                assert tables(connection) == []
                raise
            assert tables(connection) == ["incoming"]
            return loaded, {item.seat: item for item in series_of(connection, "incoming")}

    return run


def tables(connection):
    names = "SELECT table_name FROM duckdb_tables() UNION SELECT view_name FROM duckdb_views() "
    return [name for (name,) in connection.execute(names + "WHERE NOT internal").fetchall()]


@pytest.fixture
def refused(load):
    """refused(text, ...) -> the faults as texts, without the name of the file."""

    def run(content, name="log.csv", **form):
        with pytest.raises(InputError) as error:
            load(content, name, **form)
        return [str(fault).removeprefix(f"{name}: ") for fault in error.value.faults]

    return run


def ns(text):
    return int(np.datetime64(text, "ns").astype(np.int64))


def log(movements, temperatures=None, *, seat="A2-1", start="2025-01-01T00:00", step=60):
    """Rows of one seat, a reading each `step` minutes, in UTC; movements in mm."""
    begin = datetime.fromisoformat(start)
    temperatures = itertools.repeat(10.0) if temperatures is None else temperatures
    return HEAD + "".join(
        f"{begin + timedelta(minutes=step * i):%Y-%m-%dT%H:%M:%SZ},{seat},{m},{t}\n"
        for i, (m, t) in enumerate(zip(movements, temperatures, strict=False))
    )


# ------------------------------------------------------------------ what comes in
def test_long_log(load):
    text = HEAD + (
        "2025-01-01T00:00Z,A2-1,-1.5,10\n"
        "2025-01-01T00:00Z,A1-1,2.25,11.5\n"
        "2025-01-01T02:00+01:00,A2-1,4,12\n"
    )
    loaded, series = load(text)
    assert (loaded.rows, loaded.seats, loaded.told) == (3, ("A1-1", "A2-1"), ())
    assert loaded.first == datetime(2025, 1, 1, tzinfo=UTC)
    assert loaded.last == datetime(2025, 1, 1, 1, tzinfo=UTC)
    own = series["A2-1"]
    assert own.time.tolist() == [ns("2025-01-01T00:00"), ns("2025-01-01T01:00")]
    assert own.movement.tolist() == pytest.approx([-0.0015, 0.004])
    assert own.temperature.tolist() == [10.0, 12.0]
    assert (own.time.dtype, own.movement.dtype) == (np.int64, np.float64)


def test_wide_log(load):
    text = (
        "time,A2-1 [mm],A2-2 [cm],A2-2 temperature [degF],temperature [degC]\n"
        "2025-01-01T00:00Z,1,1,50,12\n2025-01-01T01:00Z,2,,68,14\n"
    )
    loaded, series = load(text)
    assert series["A2-1"].movement.tolist() == pytest.approx([0.001, 0.002])
    assert series["A2-1"].temperature.tolist() == [12.0, 14.0]
    assert series["A2-2"].movement.tolist() == pytest.approx([0.01])
    assert series["A2-2"].temperature.tolist() == pytest.approx([10.0])  # 50 degF
    assert [(item.what, item.seat, item.row) for item in loaded.told] == [("missing", "A2-2", 3)]


@pytest.mark.parametrize(
    ("head", "cell", "metres", "degrees"),
    [
        ("movement [m],temperature [degC]", "0.5,20", 0.5, 20.0),
        ("movement [in],temperature [°C]", "2,20", 0.0508, 20.0),
        ("movement [um],temperature [degF]", "700,14", 0.0007, -10.0),
        ("temperature [°F],movement [ft]", "-40,1", 0.3048, -40.0),
        (" Movement [mm] , TEMPERATURE [degC] ", " 3.5 , -2e0 ", 0.0035, -2.0),
    ],
)
def test_units_of_the_head(load, head, cell, metres, degrees):
    _, series = load(f"time,seat,{head}\n2025-01-01T00:00Z,A2-1,{cell}\n")
    assert series["A2-1"].movement[0] == pytest.approx(metres)
    assert series["A2-1"].temperature[0] == pytest.approx(degrees)


def test_as_loggers_write_it(load):
    """Byte order mark, comments, empty lines, other line ends, semicolons, decimal commas."""
    text = (
        "\ufeff# logger 7\r\n\r\ntime;seat;movement [mm];temperature [degC];battery [V]\r\n"
        '"2025-01-01 00:00:00.5Z";"A2-1";"-1,25";10,5;3\r\n\r\n2025-01-01 01:00Z;A2-1;;NaN;3\r\n'
    )
    loaded, series = load(text, decimal=",")
    assert series["A2-1"].movement.tolist() == pytest.approx([-0.00125])
    assert series["A2-1"].time.tolist() == [ns("2025-01-01T00:00:00.5")]
    told = {item.what: item for item in loaded.told}
    assert told.keys() == {"missing", "columns"}
    assert "battery" in told["columns"].text


def test_columns_by_other_names(load):
    text = "Stamp,LVDT_3,Steel\n31.01.2025 12:00,3,20\n"
    form = {
        "names": {"Stamp": "time", "LVDT_3": "A2-2", "Steel": "temperature"},
        "units": {"LVDT_3": "mm", "Steel": "degC"}, "zone": "+05:30", "stamp": "%d.%m.%Y %H:%M",
    }  # fmt: skip
    _, series = load(text, **form)
    assert series["A2-2"].movement.tolist() == pytest.approx([0.003])
    assert series["A2-2"].time.tolist() == [ns("2025-01-31T06:30")]
    text = "time,movement [mm],temperature [degC]\n2025-01-01T00:00Z,3,20\n"
    assert load(text, seat="A1-1")[1].keys() == {"A1-1"}


def test_packed_log(load):
    packed = gzip.compress(log([1.0, 2.0]).encode())
    assert load(packed, "log.csv.gz")[1]["A2-1"].movement.tolist() == pytest.approx([1e-3, 2e-3])


@pytest.mark.parametrize("stamp", ["TIMESTAMPTZ", "TIMESTAMP", "TIMESTAMP_NS", "VARCHAR"])
def test_parquet(load, tmp_path, stamp):
    time = "'2025-01-01 00:00:00+00'" if stamp != "VARCHAR" else "'2025-01-01T00:00:00Z'"
    duckdb.execute(
        f"COPY (SELECT {time}::{stamp} AS time, 'A2-1' AS seat, 3::DECIMAL(9, 2) AS "
        f'"movement [mm]", 10::FLOAT AS "temperature [degC]") TO \'{tmp_path}/log.parquet\''
    )
    loaded, series = load(None, "log.parquet", zone="UTC")
    assert series["A2-1"].movement.tolist() == pytest.approx([0.003])
    assert series["A2-1"].time.tolist() == [ns("2025-01-01")]
    assert loaded.rows == 1


@pytest.mark.parametrize(
    "name", ["a*b?.csv", "[1] 'x'.csv", 'quote".csv', "https:x.csv", "ü ñ.csv"]
)
def test_names_of_files_are_no_patterns(load, tmp_path, name):
    for decoy in ("aXb?.csv", "a*bY.csv", "1 'x'.csv"):
        (tmp_path / decoy).write_text("nothing of this")
    assert load(log([1.0]), name)[0].rows == 1


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_names_of_folders_are_no_columns(refused, load, tmp_path, form):
    folder = tmp_path / "seat=A2-1"
    folder.mkdir()
    name = f"seat=A2-1/log.{form}"
    row = '\'2025-01-01T00:00Z\' AS time, 3 AS "movement [mm]", 10 AS "temperature [degC]"'
    duckdb.execute(f"COPY (SELECT {row}) TO '{tmp_path / name}' (FORMAT {form})")
    assert load(None, name, seat="A1-1")[1].keys() == {"A1-1"}
    assert "no column seat" in refused(None, name)[0]


def test_marks_with_quotes(load):
    mark = "P'1\"-2"
    text = HEAD + '2025-01-01T00:00Z,"P\'1""-2",3,20\n'
    assert load(text, seats=(mark,))[1].keys() == {mark}
    wide = 'time,"P\'1""-2 [mm]",temperature [degC]\n2025-01-01T00:00Z,3,20\n'
    assert load(wide, seats=(mark,))[1].keys() == {mark}


def test_a_second_log_takes_the_place_of_the_first(tmp_path):
    (tmp_path / "one.csv").write_text(log([1.0]))
    (tmp_path / "two.csv").write_text(log([1.0, 2.0]))
    (tmp_path / "bad.csv").write_text(log(["x"]))
    form = LogForm(SEATS, now=NOW)
    with duckdb.connect(str(tmp_path / "record.duckdb")) as connection:
        load_log(connection, tmp_path / "one.csv", wanted=form)
        load_log(connection, tmp_path / "two.csv", wanted=form)
        assert len(series_of(connection, "incoming")[0].time) == 2
        with pytest.raises(InputError):
            load_log(connection, tmp_path / "bad.csv", wanted=form)
        assert tables(connection) == []


values = st.floats(-300.0, 300.0, allow_nan=False).map(lambda value: round(value, 3))
readings = st.tuples(
    st.integers(0, 4000),
    st.sampled_from(SEATS),
    values,
    st.floats(-40, 60).map(lambda t: round(t, 1)),
)


@given(st.lists(readings, min_size=1, max_size=40, unique_by=lambda row: row[:2]))
@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_what_is_written_comes_back_sorted(load, rows):
    begin = datetime(2025, 1, 1, tzinfo=UTC)
    text = HEAD + "".join(
        f"{(begin + timedelta(minutes=minute)).isoformat()},{seat},{m!r},{t!r}\n"
        for minute, seat, m, t in rows
    )
    loaded, series = load(text, accept=frozenset({"units", "swapped"}))
    assert loaded.rows == len(rows)
    for seat in SEATS:
        own = sorted(row for row in rows if row[1] == seat)
        assert (seat in series) == bool(own)
        if own:
            minutes = (series[seat].time - ns("2025-01-01")) // (60 * 10**9)
            assert minutes.tolist() == [row[0] for row in own]
            assert series[seat].movement.tolist() == pytest.approx([row[2] / 1e3 for row in own])
            assert series[seat].temperature.tolist() == [row[3] for row in own]


# ------------------------------------------------------------------ what is refused
@pytest.mark.parametrize(
    ("content", "starts"),
    [
        (b"", "file: found nothing"),
        (b"PK\x03\x04rest", "file: found a workbook or zip archive"),
        ("time,x".encode("utf-16"), "file: found text in UTF-16"),
        (b"\x1f\x8brest", "file: found "),
        (gzip.compress(HEAD.encode())[:-9], "file: found Compressed file ended"),
        (b"PAR1rest", "file: found "),
        (b"# only\n# comments\n", "file: found no head"),
        (HEAD, "file: found no rows"),
        (b"time,seat,movement [mm],temperature [\xb0C]\n", "line 1: found byte 0xb0"),
        (b"a\0b,c\n", "file: found null characters"),
        ("seat,movement [mm],temperature [degC]\n", "line 1: found no column time"),
        ("time,movement [mm],temperature [degC]\n", "line 1: found no column seat"),
        ("time,seat,movement [mm]\n", "line 1: found no column temperature"),
        (
            "time,seat,temperature [degC]\n",
            "line 1: found no column of movement in: time, seat, temperature",
        ),
        ("time,A2-1 [mm]\n", "line 1: found no temperature of A2-1"),
        (
            "time,seat,movement [mm],A2-1 [mm],temperature [degC]\n",
            "line 1: found movement beside A2-1",
        ),
        (
            "time,seat,movement,temperature [degC]\n",
            "line 1, column movement: found 'movement'; allowed: a head with a unit of length",
        ),
        (
            "time,seat,movement [kN],temperature [degC]\n",
            "line 1, column movement [kN]: found 'movement [kN]'; allowed: a head with a unit of l",
        ),
        (
            "time,seat,movement [mm],temperature [mm]\n",
            "line 1, column temperature [mm]: found 'temperature [mm]'; allowed: a head with unit",
        ),
        (
            "time,seat,time,movement [mm],temperature [degC]\n",
            "line 1, column time: found 'time'; allowed: one column of time",
        ),
    ],
)
def test_files_and_heads_that_cannot_be(refused, content, starts):
    faults = refused(content)
    assert any(fault.startswith(starts) for fault in faults), faults


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ("2025-01-01T00:00Z,A9,1,10", "line 3, column seat: found 'A9'; allowed: A1-1, A2-1, A2-2"),
        ("2025-01-01T00:00Z,,1,10", "line 3, column seat: found nothing"),
        ("2025-01-01,A2-1,1,10", "line 3, column time: found '2025-01-01'"),
        ("01/02/2025 10:00,A2-1,1,10", "line 3, column time: found '01/02/2025 10:00'"),
        ("2025-02-30T00:00Z,A2-1,1,10", "line 3, column time: found '2025-02-30T00:00Z'"),
        ("2025-01-01T00:00+99:00,A2-1,1,10", "line 3, column time: found '2025-01-01T00:00+99"),
        ("2025-01-01 00:00 PST,A2-1,1,10", "line 3, column time: found '2025-01-01 00:00 PST'"),
        ("infinity,A2-1,1,10", "line 3, column time: found 'infinity'"),
        ("2025-01-01T00:00Z,A2-1,oops,10", "line 3, column movement [mm]: found 'oops'"),
        ('2025-01-01T00:00Z,A2-1,"1,5",10', "line 3, column movement [mm]: found '1,5'"),
        ("2025-01-01T00:00Z,A2-1,inf,10", "line 3, column movement [mm]: found 'inf'"),
        ("2025-01-01T00:00Z,A2-1,1,warm", "line 3, column temperature [degC]: found 'warm'"),
        ("2025-01-01T00:00Z,A2-1,1", "line 3: found missing columns: "),
        ("2025-01-01T00:00Z,A2-1,1,10,5", "line 3: found too many columns: "),
        ('2025-01-01T00:00Z,"A2-1,1,10', "line 3: found unquoted value: "),
        (f"2025-01-01T00:00Z,A2-1,1,{'9' * 5000}", "line 3: found line size over maximum: "),
        (
            "2027-01-01T00:00Z,A2-1,1,10",
            "line 3, column time: found 2027-01-01 00:00:00; allowed: n",
        ),
        (
            "1000-01-01T00:00Z,A2-1,1,10",
            "line 3, column time: found 1000-01-01 00:00:00; allowed: n",
        ),
        ("2025-01-01T00:00Z,A2-1,9999,10", "line 3, column movement [mm]: found 9999 mm"),
        ("2025-01-01T00:00Z,A2-1,1,-999", "line 3, column temperature [degC]: found -999 degC"),
        ("2024-12-01T00:00Z,A2-1,2,10", "line 3, column time: found A2-1 at 2024-12-01 00:00:00"),
        ("2024-12-01T00:00Z,A2-1,1,11", "line 3, column time: found A2-1 at 2024-12-01 00:00:00"),
        ("2024-12-01T00:00,A2-1,2,10", "line 3, column time: found 1 stamps without a zone"),
    ],
)
def test_rows_that_cannot_be(refused, row, fault):
    """The empty line before the row counts: a person looks for line 3 in an editor."""
    first = "" if row.startswith("2024") else "\n"
    text = HEAD + first + (f"{row}\n" if first else f"2024-12-01T00:00Z,A2-1,1,10\n{row}\n")
    faults = refused(text)
    assert any(found.startswith(fault) for found in faults), faults


def test_wrong_letters_are_named_with_their_line(refused):
    text = (log([1.0]) + "2025-02-01T00:00Z,A2-1,1,10 # 5 \xb0C\n").encode("latin-1")
    assert refused(text)[0].startswith("line 3: found byte 0xb0")
    many = (log(range(4000)) + "2025-09-01T00:00Z,A2-1,1,10\xb0\n").encode("latin-1")
    assert refused(many)[0].startswith("line 4002: found invalid encoding")


@pytest.mark.parametrize("pad", [0, 1])
def test_a_letter_of_two_bytes_where_the_head_is_cut(load, pad):
    note = "é" * 2000
    rows = "".join(f"2025-01-01T{i % 24:02d}:{i // 24:02d}Z,A2-1,1,10,{note}\n" for i in range(40))
    text = "#" * (1 + pad) + "\n" + HEAD.replace("\n", ",note\n") + rows
    assert load(text)[0].rows == 40


@pytest.mark.parametrize("stamp", ["0001-01-01T00:00", "9999-12-31T23:59"])
def test_clocks_that_are_far_off(refused, stamp):
    (fault,) = refused(f"{HEAD}{stamp},A2-1,1,10\n", zone="Europe/Lisbon")
    assert fault.startswith(f"line 2, column time: found {stamp.replace('T', ' ')}")


def test_every_fault_is_told_at_once(refused):
    text = HEAD + "x,A9,y,z\n" + "2025-01-01T00:00Z,A2-1,1,cold\n" * 8
    faults = refused(text)
    where = [fault.split(": found")[0] for fault in faults]
    assert where == [
        "line 2, column seat", "line 2, column time", "line 2, column movement [mm]",
        *(f"line {line}, column temperature [degC]" for line in range(2, 7)), "file",
    ]  # fmt: skip
    assert "9 rows" in faults[-1]


def test_the_row_is_right_deep_in_a_large_file(tmp_path):
    """All threads read such a file at once; lines are counted by the row that came in.

    Three million rows are enough for a connection that cares for no order to mix them up.
    """
    rows = ["2025-01-01T00:00Z,1,10\n"] * 3_000_000
    rows[2_222_222] = "2025-01-01T00:00Z,7000,10\n"
    path = tmp_path / "log.csv"
    path.write_text("time,A2-1 [mm],temperature [degC]\n" + "".join(rows))
    with duckdb.connect() as connection:
        connection.execute("SET preserve_insertion_order = false; SET threads = 4")
        with pytest.raises(InputError) as error:
            load_log(connection, path, wanted=LogForm(SEATS, now=NOW))
    (fault,) = error.value.faults
    assert (fault.where, fault.found) == ("line 2222224, column A2-1 [mm]", "7000 mm")


def test_faults_of_what_the_person_told(refused):
    faults = refused(
        log([1.0]), seat="B1", decimal=";", accept=frozenset({"all"}), names={"seat": "Sitz"}
    )
    assert [fault.split(": found")[0] for fault in faults] == [
        "command line: seat", "command line: decimal", "command line: accept",
        "command line: column 'seat'",
    ]  # fmt: skip
    assert refused(log([1.0]), names={"LVDT": "A2-1"})[0].startswith(
        "line 1: found no column 'LVDT'"
    )
    naive = HEAD + "2025-01-01T00:00,A2-1,1,10\n"
    for zone in ("Mars/Olympus", "+15:00", "+01:75", "../etc/passwd", "\0"):
        assert refused(naive, zone=zone)[0].startswith("command line: zone: found")


def test_missing_file_and_folder(refused, tmp_path):
    assert refused(None, "none.csv")[0].startswith("file: found No such file")
    (tmp_path / "folder").mkdir()
    assert refused(None, "folder")[0].startswith("file: found Is a directory")


@pytest.mark.parametrize(
    ("column", "fault"),
    [
        ("[1.0] AS \"movement [mm]\"", "column movement [mm]: found type DECIMAL(2,1)[]; allowed:"),
        ("{'x': 1} AS \"movement [mm]\"", "column movement [mm]: found type STRUCT(x INTEGER)"),
        ("'1' AS \"movement [mm]\"", "column movement [mm]: found type VARCHAR; allowed: numbers"),
        ("true AS \"movement [mm]\"", "column movement [mm]: found type BOOLEAN"),
        ("1 AS movement", "columns, column movement: found 'movement'; allowed: a head with"),
        ("DATE '2025-01-01' AS time, 1 AS \"movement [mm]\"", "column time: found type DATE"),
        ("1735689600 AS time, 1 AS \"movement [mm]\"", "column time: found type INTEGER"),
        ("1 AS seat, 1 AS \"movement [mm]\"", "column seat: found type INTEGER; allowed: text"),
    ],
)  # fmt: skip
def test_parquet_of_other_types(refused, tmp_path, column, fault):
    rest = {"time": "TIMESTAMP '2025-01-01'", "seat": "'A2-1'", '"temperature [degC]"': "10.0"}
    more = ", ".join(f"{v} AS {k}" for k, v in rest.items() if f"AS {k}," not in column + ",")
    duckdb.execute(f"COPY (SELECT {column}, {more}) TO '{tmp_path}/log.parquet'")
    assert refused(None, "log.parquet", zone="UTC")[0].startswith(fault)


def test_parquet_rows_and_empty_numbers(load, refused, tmp_path):
    sql = (
        "COPY (SELECT TIMESTAMPTZ '2025-01-01 00:00+00' + to_hours(i) AS time, 'A2-1' AS seat, "
        "CASE WHEN i = 1 THEN 'nan'::DOUBLE WHEN i = 2 THEN NULL WHEN i = 3 THEN {} ELSE 1 END AS "
        '"movement [mm]", 10.0 AS "temperature [degC]" FROM range(5) r(i)) TO \'{}/log.parquet\''
    )
    duckdb.execute(sql.format(2, tmp_path))
    loaded, _ = load(None, "log.parquet")
    assert [(item.what, item.count, item.row) for item in loaded.told] == [("missing", 2, 2)]
    duckdb.execute(sql.format("9999", tmp_path))
    assert refused(None, "log.parquet")[0].startswith("row 4, column movement [mm]: found 9999 mm")


def test_files_that_are_too_large(refused, monkeypatch, tmp_path):
    monkeypatch.setattr(log_stage, "_LARGEST", 1000)
    big = log(range(100))
    assert refused(big)[0].startswith("file: found more than")
    assert refused(gzip.compress(big.encode()))[0].startswith("file: found more than")
    monkeypatch.setattr(log_stage, "_MOST_ROWS", 1)
    duckdb.execute(f"COPY (SELECT 1 AS a FROM range(2)) TO '{tmp_path}/log.parquet'")
    assert refused(None, "log.parquet")[0].startswith("file: found 2 rows")


@given(st.binary(max_size=300), st.sampled_from(["", HEAD, "time,A2-1 [mm],temperature [degC]\n"]))
@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_bytes_are_refused_or_come_in_whole(load, data, head):
    with contextlib.suppress(InputError):  # of which `load` sees that nothing is left
        loaded, series = load(head.encode() + data, zone="UTC")
        assert loaded.rows == sum(len(item.time) for item in series.values())


# ------------------------------------------------------------------ suspicions
def swing(count, size=8.0, start=20.0):
    hours = np.arange(count)
    return np.round(start + size * np.sin(2 * np.pi * hours / 24.0) + 0.1 * (hours % 3), 3)


@pytest.mark.parametrize("ratio", [10.0, 25.4, 1000.0])
@pytest.mark.parametrize("up", [True, False])
def test_a_change_of_unit_within_the_file(load, refused, ratio, up):
    """mm and cm, inches and mm, m and mm: what loggers change when they are set up anew."""
    m = swing(240) / (1.0 if not up else ratio)
    m[100:] *= ratio if up else 1.0 / ratio
    (fault,) = refused(log(m))
    assert fault.startswith("line 102, column movement [mm]: found A2-1 at 2025-01-05 04:00:00 UTC")
    assert fault.endswith("accept units")
    loaded, _ = load(log(m), accept=frozenset({"units"}))
    assert loaded.told[-1].what == "accepted"


def test_a_few_readings_near_zero_at_the_end_are_no_change_of_unit(load):
    """Five readings that are, level and scatter, a tenth of those before: as it came in a log."""
    m = np.append(swing(224), [2.75, 2.2, 1.2, 2.3, 1.5])
    assert m[223] / m[224] == pytest.approx(10.0, rel=0.2)
    load(log(m))


def test_one_reading_that_cannot_be_is_told_by_its_line(refused):
    """Of 24 readings one may be 4 %: it is an outlier, whatever unit the others would bear."""
    t = np.full(24, 10.0)
    t[8] = 95.0
    (fault,) = refused(log(swing(24), t), steel=(-24.0, 53.0))
    assert fault.startswith("line 10, column temperature [degC]: found 95 degC")


def test_a_seat_that_was_told_for_nothing_is_said(load):
    text = "time,A2-1 [mm],temperature [degC]\n2025-01-01T00:00Z,1,2\n"
    loaded, _ = load(text, seat="A1-1")
    assert [one.text for one in loaded.told] == ["seat A1-1 not used: the file names its own"]
    loaded, _ = load(text, seat="A2-1")
    assert loaded.told == ()


@pytest.mark.parametrize("what", ["step", "stops", "spike", "frees"])
def test_no_change_of_unit(load, what):
    m = swing(240, start=20.0 if what == "spike" else 0.0)
    if what == "step":
        m[100:] += 60.0
    elif what == "stops":
        m = np.minimum(m, 0.4)
    elif what == "spike":
        m[100] *= 10
    else:  # a bearing that stood comes free; its level stays what it was
        m[:100] = 3.0 + 0.05 * m[:100]
    load(log(m))


def test_degrees_fahrenheit_under_a_head_of_celsius(load, refused):
    """43 to 79 degF are 6 to 26 degC: sensible for a bridge of -24 to 53 degC, as degC too hot."""
    warm = np.round(61 + 18 * np.sin(np.arange(240) / 24 * 2 * np.pi), 1)
    (fault,) = refused(log(swing(240), warm), steel=(-24.0, 53.0))
    assert fault.startswith("column temperature [degC]: found ")
    assert "all inside if they are degF" in fault
    told = log(swing(240), warm).replace("degC", "degF")
    _, series = load(told, steel=(-24.0, 53.0))
    assert series["A2-1"].temperature.max() == pytest.approx((79 - 32) / 1.8)
    load(log(swing(240), warm), steel=(-24.0, 53.0), accept=frozenset({"temperature"}))
    load(log(swing(240), warm))  # without the bridge nobody knows: steel may be that hot


def test_swapped_columns_by_the_range_of_the_bridge(load, refused):
    warm = np.round(10 + 15 * np.sin(np.arange(240) / 24 * 2 * np.pi), 1)
    moved = np.round(300 + warm, 2)
    load(log(moved, warm), steel=(-24.0, 53.0))
    (fault,) = refused(log(warm, moved), steel=(-24.0, 53.0))
    assert "the movement inside; allowed: columns the right way round" in fault


def test_swapped_columns_by_what_the_seats_share(load, refused):
    """Seats of one bridge have one steel temperature each hour; their movements differ."""
    warm = np.round(10 + 15 * np.sin(np.arange(48) / 24 * 2 * np.pi), 1)

    def wide(first, *others):
        head = "time,seat," + first + "\n"
        rows = [
            f"2025-01-{1 + i // 24:02d}T{i % 24:02d}:00Z,{seat},{a},{b}\n"
            for i in range(48)
            for seat, a, b in [(mark, *pair(i, n)) for n, mark in enumerate(SEATS)]
        ]
        return head + "".join(rows)

    def pair(i, n):
        return warm[i], round(0.7 * warm[i] + n + 1, 2)

    right = wide("temperature [degC],movement [mm]")
    load(right)
    (fault,) = refused(wide("movement [mm],temperature [degC]"))
    assert fault.startswith("column movement [mm]: found alike at all seats in 48 of 48 stamps")
    load(wide("movement [mm],temperature [degC]"), accept=frozenset({"swapped"}))


def test_seats_that_all_stand_are_not_swapped(load):
    rows = "".join(f"2025-01-0{1 + i // 24}T{i % 24:02d}:00Z,0,0,{i % 7}\n" for i in range(48))
    load("time,A2-1 [mm],A2-2 [mm],temperature [degC]\n" + rows)


def test_series_of_any_table():
    """Also of the record's own: in the order of time, whole rows only."""
    with duckdb.connect() as connection:
        connection.execute(
            "CREATE VIEW \"my logs\" AS SELECT 'A2-1' AS seat, TIMESTAMP '2025-01-01' + "
            "to_hours(24 - i) AS time, CASE WHEN i = 5 THEN NULL ELSE i END AS movement, "
            "0.5 AS temperature FROM range(25) r(i)"
        )
        (found,) = series_of(connection, "my logs")
    assert found.movement.tolist() == [float(i) for i in range(24, -1, -1) if i != 5]
    assert np.all(np.diff(found.time) > 0)


# ------------------------------------------------------------------ what is told
def test_repeats_and_order(load):
    rows = log([1.0, 2.0, 3.0]).splitlines()
    text = "\n".join([rows[0], rows[3], rows[1], rows[2], rows[2]]) + "\n"
    loaded, series = load(text)
    assert series["A2-1"].movement.tolist() == pytest.approx([1e-3, 2e-3, 3e-3])
    told = [(item.what, item.count, item.row) for item in loaded.told]
    assert told == [("repeats", 1, 5), ("order", 1, 2)]


def test_gaps(load):
    text = log([1.0, 2.0]) + log([3.0, 4.0], start="2025-01-03T12:00").removeprefix(HEAD)
    (told,) = load(text)[0].told
    assert (told.what, told.seat, told.count, told.row) == ("gaps", "A2-1", 1, 4)
    assert (told.first, told.last) == (
        datetime(2025, 1, 1, 1, tzinfo=UTC), datetime(2025, 1, 3, 12, tzinfo=UTC),
    )  # fmt: skip
    assert "2.5 days" in told.text


def test_stuck_sensor(load):
    """Thirty readings of one value while the steel changes by 16 K; a cool day is no reason."""
    warm = np.round(10 + 8 * np.sin(np.arange(120) / 24 * 2 * np.pi), 1)
    m = 0.7 * (warm + 30) + 0.01 * (np.arange(120) % 5)
    m[40:70] = 20.0
    (told,) = load(log(np.round(m, 2), warm))[0].told
    assert (told.what, told.count, told.row) == ("stuck", 1, 42)
    assert "20.00 mm in 30 readings" in told.text
    assert "16 K" in told.text
    still = np.full(120, 10.0)
    assert load(log(np.round(m, 2), still))[0].told == ()


def test_spikes_are_told_and_left_in(load):
    m = swing(240)
    m[77] += 35.0
    loaded, series = load(log(m))
    (told,) = loaded.told
    assert (told.what, told.count, told.row) == ("spikes", 1, 79)
    assert series["A2-1"].movement[77] == pytest.approx(m[77] / 1e3)
    m = swing(240)
    m[77:] += 35.0  # a step is no spike
    assert load(log(m))[0].told == ()
    m = swing(240)
    m[77] += 35.0  # nor is one on its way from one level to another
    m[78:] += 20.0
    assert load(log(m))[0].told == ()


# ------------------------------------------------------------------ clocks
def local(zone, *stamps):
    return HEAD + "".join(f"{stamp},A2-1,{i},10\n" for i, stamp in enumerate(stamps)), zone


def test_an_hour_that_does_not_exist(refused, load):
    text, zone = local("Europe/Lisbon", "2025-03-30 00:30", "2025-03-30 01:30")
    (fault,) = refused(text, zone=zone)
    assert fault.startswith("line 3, column time: found 2025-03-30 01:30:00; allowed: an hour that")
    _, series = load(text, zone="+00:00")  # a clock that is not put forward
    assert np.diff(series["A2-1"].time).tolist() == [3600 * 10**9]


def test_an_hour_that_comes_twice(refused, load):
    stamps = ["2025-10-26 00:30", "2025-10-26 01:00", "2025-10-26 01:30", "2025-10-26 01:00",
              "2025-10-26 01:30", "2025-10-26 02:00"]  # fmt: skip
    text, zone = local("Europe/Lisbon", *stamps)
    loaded, series = load(text, zone=zone)
    own = series["A2-1"]
    assert np.diff(own.time).tolist() == [1800 * 10**9] * 5
    assert own.time[0] == ns("2025-10-25T23:30")
    assert own.movement.tolist() == pytest.approx(np.arange(6) * 1e-3)
    assert [item.what for item in loaded.told] == ["hour twice"]
    text, zone = local("Europe/Lisbon", stamps[0], stamps[2], stamps[5])
    (fault,) = refused(text, zone=zone)
    assert fault.startswith("line 3, column time: found 2025-10-26 01:30:00 of A2-1, in an hour")


@pytest.mark.parametrize(
    "name", ["Europe/Lisbon", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata", "UTC"]
)
def test_clocks_against_the_zone_database(name):
    """Every half hour of three years: what exists, what comes twice, how far from UTC."""
    zone = zoneinfo.ZoneInfo(name)
    first, last = datetime(2023, 1, 1), datetime(2025, 12, 31)  # noqa: DTZ001
    parts = stretches(zone_of(name), first, last)
    at = first
    while at < last:
        early, late = (at.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1))
        exists = at.replace(tzinfo=zone).astimezone(UTC).astimezone(zone).replace(tzinfo=None) == at
        now = [part for part in parts if part.start <= at][-1]
        leapt = any(part.missing <= at < part.start for part in parts)
        assert leapt != exists
        if exists:
            assert now.offset == late
            assert (at < now.twice) == (early != late)
        at += timedelta(minutes=30)


def test_other_years_than_the_zone_has_changes(load):
    text, zone = local("Asia/Kolkata", "2025-01-01 05:30")
    assert load(text, zone=zone)[1]["A2-1"].time.tolist() == [ns("2025-01-01")]
