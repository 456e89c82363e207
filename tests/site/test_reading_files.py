"""Forms read back: what was written comes in, what cannot be is named, all of it at once.

Movements by hand: 12e-6 by 45 m is 0.54 mm for 1 K; a roller goes half as far as the plate
(rolling without slip). Hours of clocks: Directive 2000/84/EC, last Sundays of March and October at
01:00 UTC.
"""

import contextlib
import csv
import datetime as dt
import io
import sys
import tempfile
import zipfile
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

sys.path.insert(0, str(Path(__file__).parent))
from filled_forms import AT, NOW, VISIT, Key, blank, filled, known, read, row_of

from bedstone.errors import InputError
from bedstone.output.reading_form import form_lines, reading_form_csv
from bedstone.site import reading_files
from bedstone.site.quantities import UNITS
from bedstone.site.reading_doubts import expected_offset
from bedstone.site.reading_files import read_form, value_of, zone_of
from bedstone.site.reading_grids import COLUMNS, Formula, Grid, read_grids

OFFSET = ("A2-1", "offset along", "")
FALLING, RISING = ("A2-1", "roller gap", "falling"), ("A2-1", "roller gap", "rising")
LEFT, RIGHT = ("A2-1", "roller offset", "left"), ("A2-1", "roller offset", "right")
CORROSION = ("A2-1", "corrosion", "")


def faults(path: Path, **how: object) -> list[str]:
    with pytest.raises(InputError) as told:
        read(path, **how)
    return [str(fault) for fault in told.value.faults]


# ------------------------------------------------------------------ what comes in
def test_a_form_comes_in(tmp_path: Path) -> None:
    joint = {"Value": 2.0, "Unit": "in", "Steel temperature": 18.5, "Remark": "dirty"}
    values = {OFFSET: 4.0, CORROSION: "rust spots", ("A1", "joint gap", ""): joint}
    path = filled(tmp_path / "f.xlsx", values)
    form = read(path)
    by = {item.key: item for item in form.readings}
    assert by[OFFSET].value == pytest.approx(0.004)
    assert (by[OFFSET].time, by[OFFSET].temperature) == (AT, 20.0)
    assert (by[OFFSET].who, by[OFFSET].file, by[OFFSET].row) == (
        "M. Iversen", "f.xlsx", row_of(OFFSET),
    )  # fmt: skip
    assert (by[CORROSION].value, by[CORROSION].word) == (None, "rust spots")
    gap = by["A1", "joint gap", ""]
    assert (gap.value, gap.temperature) == (pytest.approx(0.0508), 18.5)
    assert form.remarks == {gap.row: "dirty"}
    assert len(form.readings) == 3


def test_degrees_fahrenheit_come_in_as_celsius(tmp_path: Path) -> None:
    told = {"Steel temperature": 68.0, "Air temperature": 70.0, "Temperature unit": "degF"}
    form = read(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, told))
    assert form.readings[0].temperature == pytest.approx(20.0)  # 68 degF, by definition
    assert form.visit.air == pytest.approx((70.0 - 32.0) * 5.0 / 9.0)


def test_a_row_has_a_time_of_its_own(tmp_path: Path) -> None:
    path = filled(
        tmp_path / "f.xlsx",
        {OFFSET: {"Value": 4.0, "Date": dt.date(2026, 6, 1), "Time": dt.time(0, 30)}},
        {"Time zone": "+05:30"},
    )
    assert read(path).readings[0].time == dt.datetime(2026, 5, 31, 19, tzinfo=dt.UTC)


def test_text_and_workbook_say_the_same(tmp_path: Path) -> None:
    """What is filled into the one and into the other gives the same readings."""
    wanted = {OFFSET: 4.0, CORROSION: "none"}
    rows = list(csv.reader(io.StringIO(reading_form_csv(known()).decode())))
    for row in rows:
        if row and row[0] in VISIT:
            row[1] = str(VISIT[row[0]])
        if len(row) > 5 and tuple(row[:3]) in wanted:
            row[3] = str(wanted[tuple(row[:3])])  # type: ignore[index]
    for delimiter in ",;\t":
        stream = io.StringIO()
        csv.writer(stream, delimiter=delimiter).writerows(rows)
        text = tmp_path / "f.csv"
        text.write_text(stream.getvalue(), encoding="utf-8")
        found = read(text)
        beside = read(filled(tmp_path / "f.xlsx", wanted))
        assert [(item.key, item.value, item.word, item.time) for item in found.readings] == [
            (item.key, item.value, item.word, item.time) for item in beside.readings
        ]
        assert found.visit == beside.visit


@st.composite
def _filled_in(draw: st.DrawFn) -> dict[Key, dict[str, object]]:
    """Any readings of the form, in any of their units, within what they can be."""
    found: dict[Key, dict[str, object]] = {}
    units: dict[str, str] = {}
    for line in form_lines(known()):
        if not draw(st.booleans()):
            continue
        item = line.quantity
        if item.words:
            found[line.seat, item.name, line.place] = {"Value": draw(st.sampled_from(item.words))}
            continue
        unit = units.setdefault(item.name, draw(st.sampled_from(sorted(item.units))))
        assert item.least is not None
        assert item.most is not None
        factor = item.units[unit]
        value = draw(st.floats(item.least / factor, item.most / factor, allow_subnormal=False))
        found[line.seat, item.name, line.place] = {"Value": value, "Unit": unit}
    return found


@given(_filled_in())
def test_what_is_filled_in_comes_back(
    values: dict[tuple[str, str, str], dict[str, object]],
) -> None:
    """Every reading, once, in SI; doubts are waved on, for the numbers are anything."""
    if not values:
        return
    stream = io.StringIO()
    writer = csv.writer(stream)
    for label, told in {**VISIT, "Form": "bedstone readings 1",
                        "Bridge": "Beam over the Lorr"}.items():  # fmt: skip
        writer.writerow([label, told])
    for label in ("Steel taken where and with what", "Remark"):
        writer.writerow([label, ""])
    writer.writerow(COLUMNS)
    for (seat, name, place), cells in values.items():
        number = cells["Value"]
        text = number if isinstance(number, str) else repr(number)
        writer.writerow([seat, name, place, text, cells.get("Unit", ""), "", "", "", "", "", "yes"])
    path = Path("f.csv")
    found = _read_text(path, stream.getvalue())
    assert {item.key for item in found.readings} == set(values)
    for item in found.readings:
        told = values[item.key]
        if isinstance(told["Value"], str):
            assert (item.word, item.value) == (told["Value"], None)
        else:
            factor = next(
                table[str(told["Unit"])] for table in UNITS.values() if told["Unit"] in table
            )
            assert item.value == pytest.approx(float(str(told["Value"])) * factor, rel=1e-12)


def _read_text(name: Path, text: str):  # type: ignore[no-untyped-def]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_text(text, encoding="utf-8")
        return read(path)


# ------------------------------------------------------------------ what cannot be
@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ({"Value": dt.date(2026, 2, 1)}, "found a date or time"),
        ({"Value": "about 4"}, "found 'about 4'; allowed: a number with a decimal point"),
        ({"Value": "4,5"}, "found '4,5'"),
        ({"Value": "=1+2"}, "found a formula"),
        ({"Value": True}, "found true or false"),
        ({"Value": "nan"}, "found 'nan'"),
        ({"Value": "1_0"}, "found '1_0'"),
        ({"Value": 4.0, "Unit": "kN"}, "found 'kN'; allowed: mm, cm, m, in, ft"),
        ({"Value": 4.0, "Unit": None}, "found nothing; allowed: mm, cm, m, in, ft"),
        ({"Value": 4.0, "Unit": "m"}, "found 4 m; allowed: -1.5 to 1.5 m"),
        ({"Value": 4.0, "Seat": "A2-2"}, "allowed: A1-1, A2-1, A1, A2; A2-1 meant?"),
        ({"Value": 4.0, "Quantity": "pot gap", "Place": "1"}, "found 'pot gap' on a single roller"),
        ({"Value": 4.0, "Quantity": "joint gap"}, "found 'joint gap' at A2-1; allowed: read at a"),
        ({"Value": 4.0, "Quantity": "wobble"}, "found 'wobble'"),
        ({"Value": 4.0, "Place": "left"}, "Place: found 'left'; allowed: nothing"),
        ({"Value": 4.0, "Steel temperature": 400}, "allowed: -80 to 100 degC"),
        ({"Value": 4.0, "Date": "31/05/2026"}, "allowed: a date such as 2026-05-31"),
        ({"Value": 4.0, "Time": "noon"}, "allowed: a time of day such as 07:30"),
        ({"Remark": "could not get there"}, "Value: found nothing"),
    ],
)  # fmt: skip
def test_a_cell_that_cannot_be(tmp_path: Path, cells: dict[str, object], told: str) -> None:
    found = faults(filled(tmp_path / "f.xlsx", {OFFSET: cells, CORROSION: "none"}))
    assert len(found) == 1
    assert told in found[0]
    assert f"Readings row {row_of(OFFSET)}" in found[0]


@pytest.mark.parametrize(
    ("visit", "told"),
    [
        ({"Taken by": None}, "Taken by: found nothing"),
        ({"Date": dt.date(2026, 12, 1)}, "in the future"),
        ({"Date": dt.date(1790, 12, 1)}, "before the bridge; allowed: 1800-01-01 or later"),
        ({"Date": "0001-01-01", "Time": dt.time(0, 0)}, "before the bridge"),
        ({"Date": "9999-12-31", "Time": dt.time(23, 0), "Time zone": "-14:00"}, "in the future"),
        ({"Date": dt.date(2026, 11, 20), "Time": dt.time(23, 0)}, "in the future"),
        ({"Date": None}, "Date: found nothing"),
        ({"Time": None}, "Time: found nothing"),
        ({"Time zone": None}, "Time zone: found nothing"),
        ({"Time zone": "CST"}, "found 'CST'; allowed: a zone such as"),
        ({"Time zone": "Europe/Nowhere"}, "found 'Europe/Nowhere'"),
        ({"Temperature unit": None}, "Temperature unit: found nothing; allowed: degC or degF"),
        ({"Temperature unit": "K"}, "found 'K'; allowed: degC or degF"),
        ({"Bridge": "Another"}, "found 'Another'; allowed: 'Beam over the Lorr'"),
        ({"Form": "bedstone readings 9"}, "found 'bedstone readings 9'"),
        # clocks in Vienna go from 02:00 to 03:00 on 29 March 2026, and back on 25 October
        ({"Date": dt.date(2026, 3, 29), "Time": dt.time(2, 30)}, "an hour that does not exist"),
        ({"Date": dt.date(2026, 10, 25), "Time": dt.time(2, 30)}, "an hour that is there twice"),
    ],
)
def test_a_visit_that_cannot_be(tmp_path: Path, visit: dict[str, object], told: str) -> None:
    found = faults(filled(tmp_path / "f.xlsx", {OFFSET: 4.0, CORROSION: "none"}, visit))
    assert len(found) == 1, "told once, not for every row"
    assert told in found[0]


def test_an_hour_that_is_there_twice_comes_in_with_an_offset(tmp_path: Path) -> None:
    visit = {"Date": dt.date(2026, 10, 25), "Time": dt.time(2, 30), "Time zone": "+01:00"}
    form = read(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, visit))
    assert form.readings[0].time == dt.datetime(2026, 10, 25, 1, 30, tzinfo=dt.UTC)


def test_before_the_day_the_bridge_was_built(tmp_path: Path) -> None:
    path = filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, {"Date": dt.date(1961, 4, 30)})
    assert "before the bridge; allowed: 1961-05-01" in faults(path, built=dt.date(1961, 5, 1))[0]


def test_all_faults_at_once(tmp_path: Path) -> None:
    path = filled(
        tmp_path / "f.xlsx",
        {OFFSET: "x", CORROSION: "rusty", FALLING: {"Value": 5.0, "Unit": "N"}},
        {"Taken by": None},
    )
    assert len(faults(path)) == 4


def test_one_thing_read_twice(tmp_path: Path) -> None:
    again = [*OFFSET, 5.0, "mm"]
    found = faults(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, more=[again]))
    assert "another value as in row" in found[0]
    at_another_time = [*again, None, dt.time(8, 0)]
    path = filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, more=[at_another_time])
    assert len(read(path).readings) == 2


def test_an_empty_form_is_told(tmp_path: Path) -> None:
    assert "nothing was filled in" in faults(filled(tmp_path / "f.xlsx", {}))[0]


# ------------------------------------------------------------------ doubts
def test_offset_gaps_and_roller_that_agree_come_in(tmp_path: Path) -> None:
    # plate 24 mm toward rising chainage, roller at half of it; 60 mm to each stop at rest
    path = filled(tmp_path / "f.xlsx", {OFFSET: 24.0, LEFT: 12.0, FALLING: 72.0, RISING: 48.0})
    assert len(read(path).readings) == 4


def test_gaps_of_the_wrong_sides(tmp_path: Path) -> None:
    path = filled(tmp_path / "f.xlsx", {OFFSET: 24.0, LEFT: 12.0, FALLING: 48.0, RISING: 72.0})
    found = faults(path)
    assert len(found) == 1
    assert "difference of the roller gaps -24.0 mm, but offset along +24.0 mm" in found[0]
    assert "the sides swapped" in found[0]
    rows = row_of(FALLING), row_of(RISING)
    for row in rows:
        assert read(path, accept=[row]).looked == (row,)
    assert "no such row" in faults(path, accept=[9999])[-1]


def test_an_offset_of_the_wrong_sign(tmp_path: Path) -> None:
    path = filled(tmp_path / "f.xlsx", {OFFSET: -24.0, LEFT: 12.0, FALLING: 72.0, RISING: 48.0})
    found = faults(path)
    assert len(found) == 1
    assert f"Readings row {row_of(OFFSET)}: found in doubt" in found[0]
    assert "the other sign" in found[0]


def test_a_roller_where_the_plate_stands(tmp_path: Path) -> None:
    found = faults(filled(tmp_path / "f.xlsx", {OFFSET: 24.0, LEFT: 24.0, RIGHT: 24.0}))
    assert "a roller at half of it, +12.0 mm" in found[0]


def test_a_finding_is_no_slip(tmp_path: Path) -> None:
    """A roller that slipped: no slip of the pen undone makes these fit."""
    path = filled(tmp_path / "f.xlsx", {OFFSET: 24.0, LEFT: -3.0, FALLING: 55.0, RISING: 65.0})
    assert len(read(path).readings) == 4


def test_an_offset_that_mirrors_what_the_temperature_asks(tmp_path: Path) -> None:
    setting = known().seats["A2-1"].setting
    assert setting is not None
    by_hand = 12e-6 * 45.0 * (45.0 - setting.datum)
    assert expected_offset(setting, 0, 45.0) == pytest.approx(by_hand, rel=1e-6)
    warm = {"Steel temperature": 45.0, "Air temperature": 33.0}
    right, wrong = round(by_hand * 1e3, 1), -round(by_hand * 1e3, 1)
    assert len(read(filled(tmp_path / "a.xlsx", {OFFSET: right}, warm)).readings) == 1
    assert "by the temperature" in faults(filled(tmp_path / "b.xlsx", {OFFSET: wrong}, warm))[0]
    looked = filled(tmp_path / "c.xlsx", {OFFSET: {"Value": wrong, "Looked at": "yes"}}, warm)
    assert read(looked).looked == (row_of(OFFSET),)


def test_a_temperature_meant_in_the_other_unit(tmp_path: Path) -> None:
    # 90 degF is 32.2 degC; as degC no steel of this bridge is as warm
    told = {"Steel temperature": 90.0, "Air temperature": None}
    found = faults(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, told))
    assert len(found) == 1
    assert "degF meant (90 degF is 32.2 degC)?" in found[0]


def test_steel_and_air_of_two_units(tmp_path: Path) -> None:
    told = {"Steel temperature": 55.0, "Air temperature": 13.0}  # 55 degF is 12.8 degC
    assert any(
        "K apart" in fault for fault in faults(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, told))
    )


def test_no_temperature_of_the_steel(tmp_path: Path) -> None:
    none = {"Steel temperature": None}
    found = faults(
        filled(tmp_path / "f.xlsx", {OFFSET: 4.0, FALLING: 60.0, CORROSION: "none"}, none)
    )
    assert len(found) == 1
    assert f"{row_of(OFFSET)}, {row_of(FALLING)}: found in doubt: no steel temperature" in found[0]
    # what does not hang on it needs none
    assert len(read(filled(tmp_path / "f.xlsx", {CORROSION: "none"}, none)).readings) == 1


def test_units_mixed_in_one_quantity(tmp_path: Path) -> None:
    path = filled(tmp_path / "f.xlsx", {LEFT: 12.0, RIGHT: {"Value": 0.47, "Unit": "in"}})
    assert "in among mm of 'roller offset'" in faults(path)[0]
    assert len(read(path, accept=[row_of(RIGHT)]).readings) == 2


# ------------------------------------------------------------------ files from anywhere
def _repacked(path: Path, change: dict[str, bytes]) -> Path:
    """The archive with parts changed or added."""
    with zipfile.ZipFile(path) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name, content in {**parts, **change}.items():
            new.writestr(name, content)
    return path


def test_macros_are_refused(tmp_path: Path) -> None:
    path = _repacked(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}), {"xl/vbaProject.bin": b"x"})
    assert "found macros" in faults(path)[0]


def test_declared_entities_are_refused(tmp_path: Path) -> None:
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aa">]><x>&a;</x>'
    for content in (
        bomb,
        bomb.decode().replace('"1.0"', '"1.0" encoding="utf-16"').encode("utf-16"),
    ):
        path = _repacked(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}), {"docProps/app.xml": content})
        assert "entities declared" in faults(path)[0]


def test_what_unpacks_to_too_much_is_refused(tmp_path: Path) -> None:
    path = _repacked(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}), {"xl/media/a": bytes(70_000_000)})
    assert path.stat().st_size < 1_000_000
    assert "MB unpacked" in faults(path)[0]


def test_too_many_parts_are_refused(tmp_path: Path) -> None:
    path = _repacked(
        filled(tmp_path / "f.xlsx", {OFFSET: 4.0}), {f"xl/{n}": b"" for n in range(400)}
    )
    assert "parts; allowed: at most 300" in faults(path)[0]


def test_too_many_rows_are_refused(tmp_path: Path) -> None:
    book = load_workbook(io.BytesIO(blank()))
    book["Readings"].cell(6000, 1).value = "A2-1"
    book.save(tmp_path / "f.xlsx")
    assert "over 5000 rows" in faults(tmp_path / "f.xlsx")[0]


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 nothing", b"a,b\n1,2\n", bytes(6_000_000)])
@pytest.mark.parametrize("ending", ["xlsx", "csv", "xlsm", "pdf"])
def test_what_is_no_form_is_told_in_one_line(tmp_path: Path, content: bytes, ending: str) -> None:
    path = tmp_path / f"f.{ending}"
    path.write_bytes(content)
    assert len(faults(path)) == 1


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert "no such file" in faults(tmp_path / "none.xlsx")[0]


def test_a_column_that_is_gone(tmp_path: Path) -> None:
    path = filled(tmp_path / "f.xlsx", {OFFSET: 4.0})
    book = load_workbook(path)
    book["Readings"].delete_cols(5)
    book.save(path)
    assert "Readings, Unit: found no such column" in faults(path)[0]


ODD = st.sampled_from(
    [
        None, "", "x", "nan", "1e999", 0, -1, 1e308, 10**400, True, float("inf"),
        dt.datetime(1, 1, 1, tzinfo=dt.UTC), dt.date(9999, 12, 31), dt.time(0),
        dt.timedelta(days=4), Formula("=x"), "A2-1", "mm", "in", "left", "0001-01-01", "T0730",
        "yes", "+14:59", "degF", "K", "\x1b[31m", "²", "١٢",
    ]
)  # fmt: skip


@settings(max_examples=300)
@given(st.lists(st.tuples(st.booleans(), st.integers(0, 9), st.integers(0, 13), ODD), max_size=4))
def test_whatever_stands_in_a_cell_is_read_or_told(changes: list[tuple[bool, int, int, object]]):
    """Cells of any sort give readings or faults, never another error."""
    visit, readings = (dict(grid.rows) for grid in _sound())
    keep = [row for row, cells in readings.items() if cells[3] not in (None, "")]
    for in_visit, row, column, value in changes:
        rows, names = (visit, list(visit)) if in_visit else (readings, keep)
        cells = list(rows[names[row % len(names)]])
        cells[column % len(cells)] = value
        rows[names[row % len(names)]] = tuple(cells)  # type: ignore[assignment]
    grids = Grid("Visit row", visit), Grid("Readings row", readings)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reading_files, "read_grids", lambda path: grids)
        found = ()
        with contextlib.suppress(InputError):
            found = read(Path(__file__)).readings
        assert all(item.time <= NOW for item in found)


@cache
def _sound() -> tuple[Grid, Grid]:
    values = {OFFSET: 4.0, LEFT: 2.0, FALLING: 62.0, RISING: 58.0, CORROSION: "none"}
    with tempfile.TemporaryDirectory() as folder:
        return read_grids(filled(Path(folder) / "f.xlsx", values))


# ------------------------------------------------------------------ small things
@pytest.mark.parametrize(
    ("name", "minutes"),
    [("UTC", 0), ("Z", 0), ("+05:30", 330), ("-03:00", -180), ("Asia/Kolkata", 330)],
)
def test_zones(name: str, minutes: int) -> None:
    found = zone_of(name)
    assert found is not None
    assert NOW.astimezone(found).utcoffset() == dt.timedelta(minutes=minutes)


@pytest.mark.parametrize("name", ["", "EST", "local", "+5", "+25:00", "../../etc/passwd", "/etc"])
def test_what_is_no_zone(name: str) -> None:
    assert zone_of(name) is None


def test_a_value_as_typed() -> None:
    from bedstone.site.quantities import quantity

    assert value_of(quantity("offset along"), "12 mm", "--value") == (pytest.approx(0.012), "")
    assert value_of(quantity("corrosion"), "rust spots", "--value") == (None, "rust spots")
    for wrong in ("12", "12 kN", "twelve mm", "12mm", "9 m", "1e999 mm"):
        with pytest.raises(InputError, match="--value"):
            value_of(quantity("offset along"), wrong, "--value")


def test_a_bridge_without_settings_takes_forms_too(tmp_path: Path) -> None:
    from filled_forms import bridge

    from bedstone.site.known_bridge import known_bridge

    plain = known_bridge(bridge(), Path())
    path = filled(tmp_path / "f.xlsx", {OFFSET: 4.0})
    assert len(read_form(path, plain, now=NOW).readings) == 1


# ------------------------------------------------------------------ what is told in another form
@pytest.mark.parametrize(
    "visit",
    [
        {"Date": "20260531"},
        {"Date": "2026-W22-7"},
        {"Date": dt.datetime.combine(AT.date(), dt.time(17, 30))},  # beside the time 7:30: which?
        {"Time": "T07:30"},
        {"Time": dt.datetime.combine(dt.date(2026, 5, 30), dt.time(7, 30))},  # beside the 31st
    ],
)
def test_a_date_or_time_that_can_be_read_in_two_ways_is_refused(
    tmp_path: Path, visit: dict[str, object]
) -> None:
    with pytest.raises(InputError, match=f"Visit row ., {next(iter(visit))}"):
        read(filled(tmp_path / "f.xlsx", {OFFSET: 4.0}, visit))


def test_a_time_kept_with_the_first_day_of_a_calendar(tmp_path: Path) -> None:
    """Spreadsheets count days from 1899-12-30 or 1904-01-01 (ISO/IEC 29500-1, 18.17.4)."""
    for day in (dt.date(1899, 12, 30), dt.date(1904, 1, 1)):
        visit = {"Time": dt.datetime.combine(day, dt.time(7, 30))}
        assert read(filled(tmp_path / f"{day}.xlsx", {OFFSET: 4.0}, visit)).readings[0].time == AT


def test_a_remark_is_kept_whole_or_refused(tmp_path: Path) -> None:
    cells = {"Value": 4.0, "Remark": "x" * 400}
    assert (
        len(next(iter(read(filled(tmp_path / "f.xlsx", {OFFSET: cells})).remarks.values()))) == 400
    )
    for many, form in ((401, "g.xlsx"), (9000, "h.xlsx")):
        with pytest.raises(InputError, match="Remark: found over 400 letters"):
            read(filled(tmp_path / form, {OFFSET: {"Value": 4.0, "Remark": "x" * many}}))


def test_the_number_of_an_instrument_is_text(tmp_path: Path) -> None:
    cells = {"Value": 4.0, "Instrument": 4711, "Remark": 2}
    found = read(filled(tmp_path / "f.xlsx", {OFFSET: cells}))
    assert found.readings[0].instrument == "4711"
    assert list(found.remarks.values()) == ["2"]


def test_a_mark_is_guessed_only_where_one_is_nearest(tmp_path: Path) -> None:
    def told(mark: str) -> str:
        more: list[list[object]] = [[mark, "offset along", None, 4.0, "mm"]]
        with pytest.raises(InputError) as refused:
            read(filled(tmp_path / f"{mark}.xlsx", {}, more=more))
        return str(refused.value)

    assert "A2-1 meant?" in told("a2-1")
    assert "A2-1 meant?" in told("A2-7")
    assert "meant?" not in told("A-1")  # as near to A1-1 as to A2-1


def test_per_cent_that_a_spreadsheet_made_a_share(tmp_path: Path) -> None:
    """Typing 95% into a cell leaves 0.95 in the file (ISO/IEC 29500-1, 18.8.30: % multiplies)."""
    contact = ("A2-1", "contact", "")
    with pytest.raises(InputError, match=r"in doubt: 0\.95 %.*95 % meant\?"):
        read(filled(tmp_path / "f.xlsx", {contact: 0.95}))
    for right in (0.0, 95.0, {"Value": 0.95, "Unit": "share"}):
        assert read(filled(tmp_path / "g.xlsx", {contact: right})).readings
    looked = {"Value": 0.95, "Looked at": "yes"}
    assert read(filled(tmp_path / "h.xlsx", {contact: looked})).looked


def test_a_computer_without_time_zones_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = filled(tmp_path / "f.xlsx", {OFFSET: 4.0})
    monkeypatch.setattr(reading_files, "zone_of", lambda name: None)
    monkeypatch.setattr(reading_files, "available_timezones", set)
    with pytest.raises(InputError, match="no data of time zones"):
        read(path)
