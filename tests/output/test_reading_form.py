"""The form as the archive of XML that it is (ISO/IEC 29500), and as text (RFC 4180)."""

import csv
import io
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import load_workbook

sys.path.insert(0, str(Path(__file__).parents[1] / "site"))
from filled_forms import known

from bedstone.cautions import FULL
from bedstone.errors import InputError
from bedstone.output.reading_form import form_lines, reading_form, reading_form_csv
from bedstone.site.mechanism import End
from bedstone.site.quantities import catalogue
from bedstone.site.reading_doubts import expected_offset
from bedstone.site.reading_grids import COLUMNS, LABELS, READINGS, VISIT, read_grids


def test_sheets_and_columns() -> None:
    book = load_workbook(io.BytesIO(reading_form(known())))
    assert book.sheetnames == [VISIT, READINGS, "How to read it"]
    labels = [row[0].value for row in book[VISIT].iter_rows()]
    assert set(LABELS) <= set(labels)
    assert [cell.value for cell in book[READINGS][1]][: len(COLUMNS)] == list(COLUMNS)
    assert any(row[0].value == FULL for row in book[VISIT].iter_rows())


def test_a_row_for_each_reading_without_a_value() -> None:
    sheet = load_workbook(io.BytesIO(reading_form(known())))[READINGS]
    rows = [row for row in sheet.iter_rows(min_row=2) if row[0].value]
    assert [(row[0].value, row[1].value, row[2].value or "") for row in rows] == [
        (line.seat, line.quantity.name, line.place) for line in form_lines(known())
    ]
    assert all(row[3].value is None for row in rows)
    roller = {row[1].value for row in rows if row[0].value == "A2-1"}
    assert {"offset along", "roller offset", "roller gap", "guide gap"} <= roller
    assert not roller & {"bulge", "pot gap", "overhang"}
    assert {row[0].value for row in rows} == {"A1-1", "A2-1", "A1", "A2"}


def test_lists_to_choose_from() -> None:
    sheet = load_workbook(io.BytesIO(reading_form(known())))[READINGS]
    lists = {
        cell: rule.formula1
        for rule in sheet.data_validations.dataValidation
        if rule.type == "list"
        for cell in str(rule.sqref).split()
    }
    for row in sheet.iter_rows(min_row=2):
        if not row[0].value:
            break
        item = catalogue()[row[1].value]
        place = f"D{row[0].row}" if item.words else f"E{row[0].row}"
        allowed = item.words or tuple(item.units)
        # neighbours of one list stand as a range
        covered = [told for cells, told in lists.items() if _holds(cells, place)]
        assert covered == [f'"{",".join(allowed)}"'], place
        assert len(covered[0]) <= 257  # 255 letters and two quotes, the limit of the file format


def _holds(cells: str, place: str) -> bool:
    first, _, last = cells.partition(":")
    number = int(place[1:])
    return place[0] == first[0] and int(first[1:]) <= number <= int((last or first)[1:])


def test_no_formula_no_macro_no_time_and_the_same_bytes() -> None:
    made = reading_form(known())
    assert made == reading_form(known())
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        for name in archive.namelist():
            content = archive.read(name)
            assert b"<f>" not in content, name
            assert "vba" not in name.lower()
        assert b"dcterms:created" not in archive.read("docProps/core.xml")


def test_one_seat_alone_and_a_mark_that_is_none() -> None:
    assert {line.seat for line in form_lines(known(), ("A2-1",))} == {"A2-1"}
    with pytest.raises(InputError, match="found 'P9'; allowed: A1-1, A2-1, A1, A2"):
        list(form_lines(known(), ("P9",)))


def test_what_is_expected_is_left_out_unless_asked_for() -> None:
    assert "Expected" not in reading_form_csv(known()).decode()
    setting = known().seats["A2-1"].setting
    assert setting is not None
    lines = {(line.quantity.name, line.place): line.expected
             for line in form_lines(known(), ("A2-1",), 30.0)}  # fmt: skip
    offset = expected_offset(setting, 0, 30.0) * 1e3
    assert lines["offset along", ""] == f"{offset:+.1f} mm"
    # by rolling without slip a roller goes half as far as the plate it carries
    assert lines["roller offset", "left"] == f"{offset / 2:+.1f} mm"
    assert lines["corrosion", ""] == ""


def test_text_has_the_same_rows() -> None:
    rows = list(csv.reader(io.StringIO(reading_form_csv(known()).decode())))
    head = next(at for at, row in enumerate(rows) if row[:1] == ["Seat"])
    assert rows[head][: len(COLUMNS)] == list(COLUMNS)
    assert [tuple(row[:3]) for row in rows[head + 1 :]] == [
        (line.seat, line.quantity.name, line.place) for line in form_lines(known())
    ]
    assert [row[0] for row in rows[: len(LABELS)]] == list(LABELS)


@pytest.mark.parametrize("name", ["=HYPERLINK(0)", "+1", "-Lorr", "@bridge", "'quoted'"])
def test_text_stays_text_in_the_csv_too(tmp_path: Path, name: str) -> None:
    """No cell that somebody else named may run as a formula when a spreadsheet opens the form."""
    bridge = replace(known(), name=name)
    text = reading_form_csv(bridge)
    path = tmp_path / "form.csv"
    path.write_bytes(text)
    [told] = [
        row[1] for row in csv.reader(io.StringIO(text.decode())) if row and row[0] == "Bridge"
    ]
    assert told == f"'{name}"
    visit, _ = read_grids(path)
    assert ("Bridge", name) in [cells[:2] for cells in visit.rows.values()]


def test_what_is_expected_of_gaps_is_told_on_the_right_side() -> None:
    """12e-6 by 45 m by 31 K is 16.74 mm: the roller goes half of it, away from the stop behind."""
    stop = End("stop", "x", -0.12, 0.12, halved=True)  # read at the roller: 60 mm either side
    seat = known().seats["A2-1"]
    assert seat.setting is not None
    seated = replace(seat, setting=replace(seat.setting, ends=(stop,)))
    bridge = replace(known(), seats={**known().seats, "A2-1": seated})
    told = {
        (line.quantity.name, line.place): line.expected
        for line in form_lines(bridge, ("A2-1",), expected=45.0)
    }
    assert told["offset along", ""] == "+16.7 mm"
    assert told["roller offset", "left"] == told["roller offset", "right"] == "+8.4 mm"
    assert told["roller gap", "falling"] == "68.4 mm"
    assert told["roller gap", "rising"] == "51.6 mm"
