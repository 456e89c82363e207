"""The schedule as a workbook: numbers, units, text that stays text, the same bytes every time.

Read back with openpyxl, and as the archive of XML files that it is (ISO/IEC 29500).
"""

import datetime as dt
import io
import re
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.cautions import FULL
from bedstone.output.shown import UNITS, shown
from bedstone.output.spreadsheet import schedule_workbook
from bedstone.output.workbook import Grid, Head, workbook
from bedstone.schedule.result import Schedule

sys.path.insert(0, str(Path(__file__).parent))

from examples_made import example

HEADS = 3  # row of the heads
FACTOR = {"kN": 1e-3, "kN m": 1e-3, "mm": 1e3, "mrad": 1e3}  # the SI prefixes
HOSTILE = [
    '=HYPERLINK("x","y")',
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    'Brücke "Süd", km 3,5 & Zufahrt <b>',
    "橋梁 №7",
    "x" * 200,
]


def read(content: bytes):
    return openpyxl.load_workbook(io.BytesIO(content))


def rows(sheet) -> list[dict[str, object]]:
    """Rows of a sheet by the group and the head of each column."""
    group, heads = "", []
    for above, head in zip(sheet[HEADS - 1], sheet[HEADS], strict=True):
        group = above.value or group
        heads.append(f"{group}: {head.value}")
    return [
        dict(zip(heads, row, strict=True))
        for row in sheet.iter_rows(min_row=HEADS + 1, values_only=True)
    ]


def renamed(schedule: Schedule, name: str) -> Schedule:
    """The name of the bridge, of a combination and of a share replaced by hostile ones."""
    lines = [
        replace(
            line,
            combination=name,
            shares=tuple(replace(share, where=name) for share in line.shares),
        )
        for line in schedule.seat_lines
    ]
    return replace(schedule, bridge=name, reference=name, notes=(name,), seat_lines=tuple(lines))


# ------------------------------------------------------------------ numbers
def test_combinations_are_those_of_the_schedule(schedule: Schedule) -> None:
    found = rows(read(schedule_workbook(schedule))["Combinations"])
    assert len(found) == len(schedule.seat_lines)
    for line, row in zip(schedule.seat_lines, found, strict=True):
        unit = UNITS[line.effect]
        told = [row[f"Governing: {key}"] for key in ("limit state", "mark", "effect", "extreme")]
        assert told == [line.limit_state, line.place, line.effect, line.sense]
        assert row["Governing: unit"] == unit
        assert row["Governing: value"] == pytest.approx(line.value * FACTOR[unit], abs=1e-6)
        for name, value in zip(SEAT_EFFECTS, line.acting, strict=True):
            key = f"Acting at the same moment: {name} [{UNITS[name]}]"
            assert row[key] == pytest.approx(value * FACTOR[UNITS[name]], abs=1e-6)
        assert row["Comes from: combination"] == line.combination
        assert all(share.action in row["Comes from: actions in it"] for share in line.shares)


def test_supports_are_those_of_the_schedule(schedule: Schedule) -> None:
    found = rows(read(schedule_workbook(schedule))["Supports"])
    assert len(found) == len(schedule.support_lines)
    for line, row in zip(schedule.support_lines, found, strict=True):
        assert row["Governing: support"] == line.place
        for name, value in zip(SUPPORT_EFFECTS, line.acting, strict=True):
            key = f"Acting at the same moment: {name} [{UNITS[name]}]"
            assert row[key] == shown(name, value)


def test_permanent_actions_are_those_of_the_schedule(schedule: Schedule) -> None:
    told = [
        row[:4]
        for row in read(schedule_workbook(schedule))["Permanent"].iter_rows(
            min_row=HEADS + 1, values_only=True
        )
    ]
    expected = [
        (mark, name, shown(name, value), UNITS[name])
        for table, names in (
            (schedule.permanent_seats, SEAT_EFFECTS),
            (schedule.permanent_supports, SUPPORT_EFFECTS),
        )
        for mark, values in table.items()
        for name, value in zip(names, values, strict=True)
    ]
    assert told == expected


def test_bearings_show_the_most_adverse_ultimate_and_service_effects(schedule: Schedule) -> None:
    found = rows(read(schedule_workbook(schedule))["Bearings"])
    assert [row["Bearing: mark"] for row in found] == [seat.mark for seat in schedule.seats]
    ultimate = ("ULS persistent", "ULS accidental", "ULS seismic")  # equilibrium asks for uplift
    for row in found:
        for group, states in (("Ultimate", ultimate), ("Service", ("SLS characteristic",))):
            for effect, what in (("N", "forces"), ("Hy", "forces"), ("vx", "movements")):
                values = [
                    line.value
                    for line in schedule.seat_lines
                    if line.place == row["Bearing: mark"]
                    and line.effect == effect
                    and line.limit_state in states
                ]
                unit = UNITS[effect]
                for sense, extreme in (("max", max(values)), ("min", min(values))):
                    key = f"{group}: {what}: {effect} {sense} [{unit}]"
                    assert row[key] == pytest.approx(extreme * FACTOR[unit], abs=1e-6)


def test_sizes_and_pressure_by_hand() -> None:
    made = example("truss")
    content = schedule_workbook(made.schedule, made.designs, made.bridge)
    found = {row["Bearing: mark"]: row for row in rows(read(content)["Bearings"])}
    for item in made.designs:
        row, design = found[item.seat], item.choice.design
        assert row["Size overall: height [mm]"] == pytest.approx(design.height * 1e3)
        assert row["Size overall: mass [kg]"] == pytest.approx(
            sum(part.mass * part.number for part in design.parts), abs=1e-6
        )
        assert row["Checks: passes"] == ("yes" if design.passes else "no")
        base = next(part for part in design.parts if part.name == "base plate")
        # average pressure: force over area, N/mm2
        area = base.dimensions["length"] * base.dimensions["width"] * 1e6
        force = row["Ultimate: forces: N max [kN]"] * 1e3
        pressure = row["Average pressure, N max: below, ultimate [MPa]"]
        assert pressure == pytest.approx(force / area, rel=1e-5)
        assert "anchor bolt M" in row["Fixing: below"]
    counts = {row["Bearing: type"]: row["Bearing: number off"] for row in found.values()}
    assert sum(counts.values()) == len(made.designs)


def test_parts_weigh_what_the_bearings_weigh() -> None:
    made = example("truss")
    content = schedule_workbook(made.schedule, made.designs, made.bridge)
    sheet = read(content)["Parts"]
    heads = [cell.value for cell in sheet[HEADS]]
    column = heads.index("mass of all [kg]")
    total = sum(row[column] for row in sheet.iter_rows(min_row=HEADS + 1, values_only=True))
    assert total == pytest.approx(sum(item.choice.design.mass for item in made.designs))


def test_values_from_memory_are_to_be_confirmed(truss: Schedule) -> None:
    book = read(schedule_workbook(truss))
    names = [row[0] for row in book["To confirm"].iter_rows(min_row=HEADS + 1, values_only=True)]
    assert names == [value.name for value in truss.memory]
    assert "To confirm" not in read(schedule_workbook(replace(truss, memory=()))).sheetnames


# ------------------------------------------------------------------ text
@pytest.mark.parametrize("name", HOSTILE)
def test_no_text_becomes_a_formula(truss: Schedule, name: str) -> None:
    content = schedule_workbook(renamed(truss, name))
    book = read(content)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert all(cell.data_type != "f" for cell in cells)
    told = name.replace("\t", " ")  # a control character would steer a terminal
    same = [cell for cell in cells if cell.value == told]
    assert len(same) > len(truss.seat_lines)
    if told[0] in "=+-@":
        assert all(cell.quotePrefix for cell in same)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        sheets = [text for text in archive.namelist() if "worksheets/" in text]
        assert sheets
        for sheet in sheets:
            assert b"<f>" not in archive.read(sheet)
            assert b"<f " not in archive.read(sheet)


def test_there_are_no_macros_or_links(truss: Schedule) -> None:
    with zipfile.ZipFile(io.BytesIO(schedule_workbook(truss))) as archive:
        names = " ".join(archive.namelist())
    assert "vba" not in names
    assert "externalLink" not in names


def test_an_ampersand_in_a_footer_is_no_code(truss: Schedule) -> None:
    content = schedule_workbook(replace(truss, bridge="Mill & Sons &P"))
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        text = archive.read("xl/worksheets/sheet1.xml").decode()
    footer = re.search(r"<oddFooter>(.*?)</oddFooter>", text)[1].replace("&amp;", "&")
    assert "Mill && Sons &&P" in footer


def test_a_text_too_long_for_a_cell_says_that_it_was_cut() -> None:
    grid = Grid("one", "title", (Head("text"),), (("y" * 40_000,),))
    value = read(workbook([grid], "title"))["one"].cell(4, 1).value
    assert len(value) < 32_767
    assert value.endswith("(cut: too long for a cell)")


def test_two_sheets_of_one_name_are_refused() -> None:
    grid = Grid("one", "title", (Head("text"),), ())
    with pytest.raises(ValueError, match="same name"):
        workbook([grid, grid], "title")


# ------------------------------------------------------------------ look
def test_every_number_has_its_unit_above_it() -> None:
    made = example("truss")
    book = read(schedule_workbook(made.schedule, made.designs, made.bridge))
    without = {"value", "number", "number off", "utilisation", "friction, adverse"}
    for sheet in book.worksheets[1:]:
        for cells in sheet.iter_cols(min_row=HEADS):
            head = str(cells[0].value)
            numbers = [cell for cell in cells[1:] if isinstance(cell.value, float)]
            if numbers and not head.endswith("]"):
                assert head in without, (sheet.title, head)


def test_sheets_are_set_up_for_paper(skew: Schedule) -> None:
    book = read(schedule_workbook(skew))
    assert book.sheetnames[0] == "Read first"
    assert FULL in [row[1].value for row in book["Read first"].iter_rows()]
    for sheet in book.worksheets:
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.page_setup.fitToHeight == 0
        assert "&P" in sheet.oddFooter.right.text
    for sheet in book.worksheets[1:]:
        assert sheet.print_title_rows == f"$1:${HEADS}"
        assert sheet.freeze_panes.endswith(str(HEADS + 1))
        assert sheet.auto_filter.ref.startswith(f"A{HEADS}:")
    assert book["Bearings"].print_title_cols == "$A:$B"


# ------------------------------------------------------------------ size and bytes
def test_the_same_schedule_gives_the_same_bytes(schedule: Schedule) -> None:
    first, again = schedule_workbook(schedule), schedule_workbook(schedule)
    assert first == again
    with zipfile.ZipFile(io.BytesIO(first)) as archive:
        assert b"dcterms:modified" not in archive.read("docProps/core.xml")
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_a_date_is_kept_where_it_is_told(truss: Schedule) -> None:
    book = read(schedule_workbook(truss, made=dt.date(2031, 5, 6)))
    assert book.properties.created == dt.datetime(2031, 5, 6)  # noqa: DTZ001


def test_sixty_bearings(skew: Schedule) -> None:
    seats, lines, permanent = [], [], {}
    for copy in range(5):
        for seat in skew.seats:
            mark = f"{seat.mark}/{copy}"
            seats.append(replace(seat, mark=mark))
            permanent[mark] = skew.permanent_seats[seat.mark]
        lines += [replace(line, place=f"{line.place}/{copy}") for line in skew.seat_lines]
    whole = replace(skew, seats=tuple(seats), seat_lines=tuple(lines), permanent_seats=permanent)
    book = read(schedule_workbook(whole))
    assert len(rows(book["Bearings"])) == 60
    assert len(rows(book["Combinations"])) == len(lines)
