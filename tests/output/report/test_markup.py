"""Typst source: text stays text, tables fit their page."""

import io

import pypdf
import pytest
import typst
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.output.report import customary, markup
from bedstone.output.sheets import Cell, Column, Sheet

HOSTILE = ['#panic("x")', "$1/0$", '"; #read("/etc/passwd")', "\\", "a]#[b", "*b* _i_ `r`", "// x"]


@pytest.mark.parametrize("told", HOSTILE)
def test_text_is_never_read_as_markup(told):
    pdf = typst.compile(f"#{markup.quoted(told)}".encode(), format="pdf", ignore_system_fonts=True)
    text = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert "".join(text.split()) == "".join(told.split())


@settings(max_examples=60, deadline=None)
@given(st.text())
def test_any_text_is_one_string(told):
    source = markup.quoted(told)
    inner = source[1:-1].replace("\\\\", "").replace('\\"', "")
    assert source[0] == source[-1] == '"'
    assert '"' not in inner


def test_long_words_may_be_broken():
    assert "\u200b" in markup.text("x" * 60)
    assert "\u200b" not in markup.text("an ordinary sentence with A1-3 in it")


def _wide(columns):
    heads = tuple(Column(f"c{number}", "kN", "numbers") for number in range(columns))
    return Sheet("T", heads, (tuple(Cell("−12345.67") for _ in heads),))


def test_wide_tables_turn_the_page_and_narrow_ones_do_not():
    assert markup.table(_wide(4), "a4").landscape is False
    assert markup.table(_wide(16), "a4").landscape is True


def test_marks_are_told_in_every_row():
    sheet = Sheet(
        "", (Column("seat"), Column("")), ((Cell("A1"), Cell("max")), (Cell(""), Cell("min")))
    )
    assert markup.table(sheet, "a4").source.count('"A1"') == 2


def test_pages_turn_only_where_a_block_needs_it():
    chapters = [
        markup.Chapter("one", [markup.paragraph("p"), markup.Block("#x", True)]),
        markup.Chapter("two", [markup.Block("#y", True)]),
        markup.Chapter("three", [markup.paragraph("q")]),
    ]
    source = markup.flow(chapters)
    assert source.count("#page(flipped: true)") == 1
    assert source.count("#page(flipped: false)") == 1
    assert source.index("one") < source.index("two") < source.index("three")


# Factors of units: NIST Special Publication 811, appendix B.
@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ("N 100 to 200 kN", "N 100 to 200 kN (22.48 to 44.96 kip)"),
        ("plan 254 x 508 mm", "plan 254 x 508 mm (10.00 x 20.00 in)"),
        ("35 mm² of it", "35 mm² of it"),
        ("0.4 mm/degC", "0.4 mm/degC"),
        ("10 kN m", "10 kN m (7.38 kip ft)"),
    ],
)
def test_sentences_get_us_customary_figures(told, expected):
    assert customary.sentence(told) == expected


def test_tables_get_us_customary_figures_below():
    sheet = Sheet("", (Column("N", "kN", "numbers"), Column("steel", "degC", "numbers")),
                  ((Cell("−4448"), Cell("−40")),))  # fmt: skip
    both = customary.beside(sheet)
    assert [cell.text for cell in both.rows[0]] == ["−4448\n−1000.0", "−40\n−40.0"]
    assert both.columns[0].unit == "kN\nkip"


def test_rows_that_tell_their_unit_get_both():
    columns = (Column("effect"), Column("max", holds="numbers"))
    both = customary.beside(Sheet("", columns, ((Cell("My [kN m]"), Cell("1355.8")),)))
    assert [cell.text for cell in both.rows[0]] == ["My [kN m]\n[kip ft]", "1355.8\n1000.0"]
