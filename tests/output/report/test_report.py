"""The calculation package: what the PDF says is what the results are."""

import io
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest

from bedstone.bridge import read_bridge
from bedstone.cautions import FULL
from bedstone.errors import InputError
from bedstone.output import sheets
from bedstone.output.report.contents import contents_of
from bedstone.output.report.lines import quantity
from bedstone.output.report.report import date_of, paper_of, report_pdf, report_source
from bedstone.standards.record import Quantity

EXAMPLE = Path(__file__).parents[3] / "examples" / "truss.toml"
DAY = date(2026, 5, 31)
POINT = 25.4 / 72.0
HOSTILE = 'Brücke #panic("x") $1/0$ [a] \\ *b* <c> @d ' + "Überlangername" * 8 + " №5 Мост"


@pytest.fixture(scope="module")
def contents():
    return contents_of(read_bridge(EXAMPLE), EXAMPLE)


@pytest.fixture(scope="module")
def american():
    return contents_of(read_bridge(EXAMPLE), EXAMPLE, "aashto")


@pytest.fixture(scope="module")
def pdf(contents):
    return report_pdf(contents, "a4", DAY)


@pytest.fixture(scope="module")
def reader(pdf):
    return pypdf.PdfReader(io.BytesIO(pdf))


def text_of(reader) -> str:
    """All words, blanks evened out."""
    told = " ".join(page.extract_text() for page in reader.pages)
    return re.sub(r"\s+", " ", told.replace("\u200b", "").replace("\u2060", ""))


@pytest.fixture(scope="module")
def told(reader):
    return text_of(reader)


def test_the_schedule_stands_in_the_pdf(contents, told):
    for state in sheets.chosen_limit_states(contents.schedule, None):
        sheet = sheets.seats_in(contents.schedule, state)
        for row in sheet.rows:
            numbers = [cell.text for cell in row[3:]]
            if row:
                assert " ".join(numbers) in told


def test_what_supports_take_stands_in_the_pdf(contents, told):
    for state in sheets.chosen_limit_states(contents.schedule, None):
        for row in sheets.supports_in(contents.schedule, state).rows:
            if row:
                assert f"{row[1].text} {row[2].text} {row[3].text}" in told


def test_every_line_of_every_bearing_is_there(contents, told):
    for item in contents.designs:
        for line in item.choice.design.lines:
            assert line.title in told
            assert line.clause in told
    assert told.count("used ") > sum(len(d.choice.design.lines) for d in contents.designs) / 2


def test_values_from_memory_are_all_listed(contents, told):
    names = {value.name for item in contents.designs for value in item.memory}
    names |= {value.name for value in contents.schedule.memory}
    squeezed = told.replace(" ", "")
    assert names
    assert all(name.replace(" ", "") in squeezed for name in names)


def test_cover_and_closing(contents, told):
    for words in ("Designed", "Checked", "2026-05-31", contents.schedule.bridge, FULL[:60]):
        assert words in told
    assert "page 1 of " in told


def test_setting_and_pinned_arrangements_are_there(contents, told):
    assert contents.settings
    assert contents.pinned
    assert all(item.name in told for item in contents.pinned)


def test_the_same_input_gives_the_same_bytes(contents, pdf):
    assert report_pdf(contents, "a4", DAY) == pdf
    again = contents_of(read_bridge(EXAMPLE), EXAMPLE)
    assert report_source(again, "a4", DAY) == report_source(contents, "a4", DAY)


def test_another_date_gives_other_bytes(contents, pdf):
    assert report_pdf(contents, "a4", date(2026, 6, 1)) != pdf


@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_sizes_of_paper(contents, paper, size):
    """A4: ISO 216; Letter: 8.5 in x 11 in, ANSI Y14.1. Drawings keep their own sheets."""
    pages = pypdf.PdfReader(io.BytesIO(report_pdf(contents, paper, DAY))).pages
    found = [tuple(round(float(side) * POINT, 1) for side in page.mediabox[2:]) for page in pages]
    own = {tuple(round(side, 1) for side in d.size) for d in contents.drawings.values()}
    assert set(found) <= {size, size[::-1], *own}
    assert found[0] == size
    assert sum(page in (size, size[::-1]) for page in found) >= len(found) - len(contents.drawings)


def test_number_of_pages_is_sane(reader):
    assert 25 <= len(reader.pages) <= 70


def test_no_page_is_empty(reader):
    head_and_foot = 140  # letters of them
    plain = [len(page.extract_text()) for page in reader.pages]
    assert min(plain) > head_and_foot


def test_nothing_begins_beyond_the_edges(reader):
    outside = []
    for number, page in enumerate(reader.pages, start=1):
        wide, high = (float(side) for side in page.mediabox[2:])

        def look(text, matrix, place, *_, number=number, wide=wide, high=high):
            x = place[4] * matrix[0] + place[5] * matrix[2] + matrix[4]
            y = place[4] * matrix[1] + place[5] * matrix[3] + matrix[5]
            if text.strip() and not (0.0 <= x <= wide and 0.0 <= y <= high):
                outside.append((number, text.strip()[:20], x, y))

        page.extract_text(visitor_text=look)
    assert outside == []


def test_hostile_names_are_text(contents):
    schedule = replace(contents.schedule, bridge=HOSTILE, reference="#x", arrangement="$ ] \\")
    reader = pypdf.PdfReader(
        io.BytesIO(report_pdf(replace(contents, schedule=schedule), "a4", DAY))
    )
    squeezed = text_of(reader).replace(" ", "").replace("\xad", "").replace("-", "")
    for word in ('#panic("x")', "$1/0$", "[a]", "<c>", "@d", "*b*"):
        assert word.replace(" ", "") in squeezed
    assert "Мост" in squeezed


def test_us_customary_units_stand_beside_for_aashto(american):
    told = text_of(pypdf.PdfReader(io.BytesIO(report_pdf(american, "letter", DAY))))
    sheet = sheets.seats_in(american.schedule, american.schedule.limit_states[0])
    force = next(cell.text for row in sheet.rows if row for cell in row[3:4])
    assert force in told
    assert "kip ft" in told
    assert "size, in" in told
    assert "degF" in told


def test_si_alone_for_the_other_families(told):
    assert "kip" not in told


def test_bearings_may_be_left_out():
    bare = contents_of(read_bridge(EXAMPLE), EXAMPLE, bearings=False)
    source = report_source(bare, "a4", DAY)
    assert "no bearing is designed" in source
    assert "#calculations" in source
    assert "Design of the bearings" not in source


def test_a_check_that_does_not_hold_is_told_on_the_cover(contents):
    first = contents.designs[0]
    design = first.choice.design
    line = replace(design.lines[0], utilisation=1.002)
    wrong = replace(first, choice=replace(first.choice, design=replace(design, lines=(line,))))
    source = report_source(replace(contents, designs=(wrong, *contents.designs[1:])), "a4", DAY)
    assert f"NOT ALL CHECKS HOLD: 1 of {len(contents.designs)}" in source
    assert 'used: "1.01", over: true' in source


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (Quantity("s", 0.09113, ""), "0.09113"),
        (Quantity("A", 0.1234567, "m**2"), "123\u202f457 mm²"),
        (Quantity("N", 1234.0e3, "N"), "1234 kN"),
        (Quantity("T", -20.0, "degC"), "−20 °C"),
        (Quantity("m_Ed", 165.8e3, "N"), "165.8 kN m/m"),
    ],
)
def test_quantities(found, told):
    assert quantity(found) == told


def test_dates():
    assert date_of("2026-05-31", {}) == DAY
    assert date_of(None, {"SOURCE_DATE_EPOCH": "1780185600"}) == DAY  # 2026-05-31T00:00Z
    assert date_of("2020-01-01", {"SOURCE_DATE_EPOCH": "1780185600"}) == date(2020, 1, 1)
    assert isinstance(date_of(None, {}), date)
    for told, environment in (("31.5.2026", {}), (None, {"SOURCE_DATE_EPOCH": "now"})):
        with pytest.raises(InputError):
            date_of(told, environment)


def test_paper():
    assert paper_of("A4") == "a4"
    assert paper_of("letter") == "letter"
    with pytest.raises(InputError, match="--paper"):
        paper_of("a5")


def test_the_environment_does_not_reach_the_bytes(contents, pdf, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    assert report_pdf(contents, "a4", DAY) == pdf
