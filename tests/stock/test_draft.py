"""Drafts from a sheet: each row a bridge that stands, or its faults by row and column.

What a draft is held against is the reader and the model of the program (as `bedstone check` asks
them); proportions are common practice, no source.
"""

import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.bridge import read_bridge, seat_marks
from bedstone.errors import InputError
from bedstone.output.draft_form import draft_form, draft_form_csv
from bedstone.schedule.make import examine
from bedstone.site.tolerances import usual
from bedstone.stock.draft import FAMILIES, TYPES, Outline, draft
from bedstone.stock.draft_files import draft_sheet, file_name
from bedstone.stock.draft_rows import COLUMNS, read_rows

HEAD = "Name,Type,Spans [m]"


def sheet(folder: Path, *lines: str, head: str = HEAD) -> Path:
    path = folder / "register.csv"
    path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return path


# ------------------------------------------------------------------ drafts
@pytest.mark.parametrize("of_type", TYPES)
@pytest.mark.parametrize("family", FAMILIES)
def test_a_draft_of_little_stands(tmp_path, of_type, family):
    made = draft(Outline("Little", of_type, (24.0, 30.0), family))
    file = tmp_path / "little.toml"
    file.write_text(made.text, encoding="utf-8")
    examine(read_bridge(file), tmp_path)


def test_every_assumption_stands_beside_its_value():
    made = draft(Outline("Little", "composite girders", (24.0, 30.0)))
    beside = [line for line in made.text.splitlines() if "    # assumed: " in line]
    assert len(beside) == len(made.assumed)
    for line, one in zip(beside, made.assumed, strict=True):
        key = one.where.rpartition(".")[2].strip('"')
        assert line.lstrip('"').startswith(key)
        assert one.value in line
        assert line.endswith(one.why)


def test_what_is_told_is_not_assumed():
    little = draft(Outline("Little", "composite girders", (24.0,)))
    more = draft(Outline("More", "composite girders", (24.0,), girders=4, spacing=2.6, depth=1.1))
    assert len(more.assumed) == len(little.assumed) - 3
    assert "number = 4" in more.text
    assert 'spacing = "2.6 m"' in more.text


def test_the_depth_follows_the_span():
    # 33 m / 22 (common practice, no source): 1.5 m of steel in all.
    text = draft(Outline("Deep", "composite girders", (33.0,))).text
    plates = [line for line in text.splitlines() if "thickness" in line or "web_depth" in line]
    web, top, bottom = (
        float(next(line for line in plates if line.startswith(key)).split('"')[1].split()[0])
        for key in ("web_depth", "top_thickness", "bottom_thickness")
    )
    assert web + top + bottom == pytest.approx(1500.0, abs=2.0)


def test_every_assumption_of_the_data_has_a_source():
    values = usual("draft", "stock").values
    assert all(one.source and one.basis == "memory" and one.clause for one in values.values())


# ------------------------------------------------------------------ rows
FULL_ROW = {
    "Name": "Test Bridge", "Reference": "R 7", "Carries": "B 12", "Use": "road", "Family": "irc",
    "Type": "composite girders", "Spans": "30; 40; 30", "Continuous": "yes", "Girders": "4",
    "Spacing": "2.8", "Carriageway": "9", "Depth": "1.9", "Slab": "0.25", "Skew": "12",
    "Year": "1987", "Pier heights": "6; 8", "Functions": "moving; fixed; moving; elastic",
    "Kinds": "?; pot; ?; ?", "Travel": "60", "Pad stiffness": "2.5", "Air min": "2",
    "Air max": "44", "Setting": "28",
}  # fmt: skip


def full(**more: str) -> tuple[str, str]:
    """Head and row of a bridge of which everything is told."""
    told = FULL_ROW | {name.replace("_", " "): value for name, value in more.items()}
    head = [column.head for column in COLUMNS]
    row = [f'"{told.get(column.name, "")}"' for column in COLUMNS]
    return ",".join(head), ",".join(row)


def test_a_full_row(tmp_path):
    head, row = full()
    (found,), faults = read_rows(sheet(tmp_path, row, head=head))
    assert not faults
    own = found.outline
    assert own.spans == (30.0, 40.0, 30.0)
    assert own.heights == (6.0, 8.0)
    assert own.travel == pytest.approx(0.060)
    assert own.skew == pytest.approx(0.20944, abs=1e-5)
    assert own.air == (2.0, 44.0)
    assert own.lines is not None
    assert own.lines[1].functions == ("free", "fixed", "free", "free")
    assert own.lines[3].functions == ("elastic",) * 4
    assert own.lines[3].stiffness == pytest.approx(2.5e6)
    assert [line.kind for line in own.lines] == [None, "pot", None, "laminated elastomeric"]
    made = draft_sheet(tmp_path / "register.csv", tmp_path / "out")
    assert not made.faults
    bridge = read_bridge(made.drafted[0].file)
    assert bridge.arrangement.seats["P1-2"].function == "fixed"
    springs = bridge.arrangement.seats["A2-3"].stiffness
    assert springs is not None
    assert springs.kx == pytest.approx(2.5e6)
    assert len(seat_marks(bridge)) == 16


def test_units_of_the_head_count(tmp_path):
    path = sheet(tmp_path, "A,steel girders,30000,600", head="Name,Type,Spans [mm],Depth [mm]")
    (found,), _ = read_rows(path)
    assert found.outline.spans == (30.0,)
    assert found.outline.depth == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("head", "row", "column"),
    [
        (HEAD, ",steel girders,30", "Name"),
        (HEAD, "A,glass girders,30", "Type"),
        (HEAD, "A,,30", "Type"),
        (HEAD, "A,steel girders,", "Spans [m]"),
        (HEAD, "A,steel girders,30-40", "Spans [m]"),
        (HEAD, "A,steel girders,nan", "Spans [m]"),
        (HEAD, "A,steel girders,30000", "Spans [m]"),
        (HEAD + ",Girders", "A,steel girders,30,2.5", "Girders"),
        (HEAD + ",Girders", "A,deck truss,40,2", "Girders"),
        (HEAD + ",Pier heights [m]", "A,steel girders,30,7", "Pier heights [m]"),
        (HEAD + ",Girders,Functions", "A,steel girders,30,3,fixed", "Functions"),
        (HEAD + ",Girders,Functions", "A,steel girders,30,3,fixed; sliding", "Functions"),
        (HEAD + ",Kinds", "A,steel girders,30,pot", "Kinds"),
        (HEAD + ",Air min [degC]", "A,steel girders,30,-20", "Air max [degC]"),
        (HEAD + ",Turn", "A,steel girders,30,left", "Turn"),
        (HEAD + ",Travel [mm]", "A,steel girders,30,=1+1", "Travel [mm]"),
    ],
)
def test_a_faulty_cell_is_told_by_row_and_column(tmp_path, head, row, column):
    made = draft_sheet(sheet(tmp_path, row, head=head), tmp_path / "out")
    assert not made.drafted
    assert not list((tmp_path / "out").iterdir())
    (fault,) = made.faults
    assert fault.where == f"line 2, {column}"


@pytest.mark.parametrize(
    "head",
    ["Name,Type", "Name,Type,Spans", "Name,Type,Spans [kg]", HEAD + ",Colour", HEAD + ",Name"],
)
def test_a_faulty_head_is_refused(tmp_path, head):
    with pytest.raises(InputError, match="head"):
        read_rows(sheet(tmp_path, "A,steel girders,30", head=head))


def test_a_faulty_row_leaves_the_others(tmp_path):
    path = sheet(
        tmp_path, "Good,steel girders,30", "Bad,steel girders,x", "Too narrow,steel girders,20,0.3"
    )
    made = draft_sheet(path, tmp_path / "out")
    assert [item.name for item in sorted((tmp_path / "out").iterdir())] == [
        "good.toml", "too-narrow.toml"
    ]  # fmt: skip
    assert [fault.where for fault in made.faults] == ["line 3, Spans [m]"]


def test_two_of_one_name_and_files_in_the_way(tmp_path):
    path = sheet(tmp_path, "One,steel girders,30", "one!,steel girders,30", "ONE,steel girders,30")
    made = draft_sheet(path, tmp_path / "out")
    assert len(made.drafted) == 1
    assert len(made.faults) == 2
    before = made.drafted[0].file.read_bytes()
    again = draft_sheet(path, tmp_path / "out")
    assert not again.drafted
    assert made.drafted[0].file.read_bytes() == before


def test_a_bridge_that_cannot_be_built_is_told_by_its_column(tmp_path):
    # The railway loading of this family is for simple spans, and asks for a longitudinal force.
    path = sheet(
        tmp_path, "Track,steel girders,10; 10,yes,rail,irc",
        head=HEAD + ",Continuous,Use,Family",
    )  # fmt: skip
    made = draft_sheet(path, tmp_path / "out")
    assert not made.drafted
    assert made.faults
    assert made.faults[0].where.startswith("line 2, ")


@given(st.text(max_size=60))
def test_any_name_gives_a_file_name(name):
    found = file_name(name)
    assert found.endswith(".toml")
    assert found[0] not in ".-"
    assert all(letter.isascii() and (letter.isalnum() or letter in "-.") for letter in found)


# ------------------------------------------------------------------ the form
def test_the_form_is_read_back(tmp_path):
    from openpyxl import load_workbook

    path = tmp_path / "form.xlsx"
    path.write_bytes(draft_form())
    book = load_workbook(path)
    page = book["Bridges"]
    page.append(["Filled", None, None, None, None, "through truss", "48"])
    page.append(["Formula", None, None, None, None, "through truss", "=48"])
    # rows with list formats are there already: what is appended stands below them
    book.save(path)
    rows, faults = read_rows(path)
    assert [row.outline.spans for row in rows] == [(48.0,)]
    assert [fault.where.partition(", ")[2] for fault in faults] == ["Spans [m]"]


def test_the_form_is_the_same_every_time_and_offers_words():
    assert draft_form() == draft_form()
    with zipfile.ZipFile(io.BytesIO(draft_form())) as archive:
        text = archive.read("xl/worksheets/sheet1.xml").decode()
    assert "through truss" in text
    assert "<f>" not in text


def test_the_text_form_is_read_back(tmp_path):
    path = tmp_path / "form.csv"
    path.write_bytes(draft_form_csv() + b"Filled,,,,,concrete girders,14\n")
    (row,), faults = read_rows(path)
    assert not faults
    assert row.outline.type == "concrete girders"


def test_an_empty_form_is_told(tmp_path):
    path = tmp_path / "form.csv"
    path.write_bytes(draft_form_csv())
    assert "no bridge" in str(read_rows(path)[1][0])
