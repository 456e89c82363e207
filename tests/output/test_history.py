"""The history: what its pages say, and the data that leaves with it.

Read back with pypdf, openpyxl and jsonschema.
"""

import datetime as dt
import io
import json
import sys
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

sys.path.insert(0, str(Path(__file__).parents[1] / "site"))
from filled_forms import known

from bedstone.cautions import FULL, SHORT
from bedstone.errors import InputError
from bedstone.output.drawing.picture import Circle, texts
from bedstone.output.history import history_pdf, history_source
from bedstone.output.history_book import history_workbook
from bedstone.output.history_charts import Curve, Marks, chart, scale, time_scale
from bedstone.output.record_data import record_schema, record_to_dict, record_to_json
from bedstone.output.record_tables import reading_words, record_view
from bedstone.output.tables import to_text
from bedstone.site.readings import Reading
from bedstone.site.record import Batch, Entry, Logged

DAY = dt.datetime(2020, 5, 31, 7, 30, tzinfo=dt.UTC)
BATCH = Batch(1, DAY, "form", "M. Iversen", "f.xlsx", "a" * 64, "bedstone 0", "sun", "three places",
              16.0, "UTC", "after rain")  # fmt: skip
LOGGED = Logged(2, "A2-1", 120, DAY, DAY + dt.timedelta(days=5))


def entry(number: int, value: float, year: int, steel: float = 20.0, **how: object) -> Entry:
    time = DAY.replace(year=year)
    told = Reading(
        "A2-1", "offset along", "", value, "", time, steel, "M. Iversen", "", "f.xlsx", 5
    )
    return replace(Entry(number, 1, told, "", False, None, ""), **how)  # type: ignore[arg-type]


def entries() -> tuple[Entry, ...]:
    other = entry(4, 0.0023, 2020)
    return (
        entry(1, 0.0241, 2020, 30.0),
        entry(2, 0.0999, 2021, 10.0, replaced=3),
        entry(3, -0.0011, 2021, 10.0, replaces=2, why="wrong [edge] #1"),
        replace(other, reading=replace(other.reading, quantity="corrosion", value=None,
                                       word="rust spots"), looked=True),
        entry(5, 0.0011, 2022, 12.0),
        replace(other, number=6, reading=replace(other.reading, seat="P7")),
    )  # fmt: skip


def pages(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)


def test_pages_hold_readings_charts_and_caution() -> None:
    made = history_pdf(known(), entries(), (BATCH,), (LOGGED,))
    assert made == history_pdf(known(), entries(), (BATCH,), (LOGGED,))
    found = " ".join(pages(made).split())
    for words in (
        "Beam over the Lorr", "Offset along against steel temperature", "against expected",
        "corrected by 3", "corrects 2: wrong [edge] #1", "rust spots*", "24.1 mm", "99.9 mm",
        "no seat of the bridge file", SHORT, "Logs",
    ):  # fmt: skip
        assert words in found, words


def test_a_corrected_reading_is_struck_and_the_rest_is_not() -> None:
    source = history_source(known(), entries(), (BATCH,))
    assert 'struck("99.9 mm")' in source
    assert source.count('struck("') == 6  # one row, its note left readable
    assert 'text("24.1 mm")' in source


def test_what_a_record_says_is_never_markup() -> None:
    sly = replace(entries()[0], remark='"); #panic("x") //', why="\\")
    assert "#panic" in pages(history_pdf(known(), (sly,), (BATCH,)))


def test_nothing_to_show() -> None:
    with pytest.raises(InputError, match="at least one reading"):
        history_pdf(known(), (), ())


def test_the_overview_tells_how_far_it_stands_off() -> None:
    """12e-6 by 45 m by 1 K: the last reading less what its temperature asks, by hand."""
    setting = known().seats["A2-1"].setting
    assert setting is not None
    off = 1.1 - 12e-6 * 45e3 * (12.0 - setting.datum)
    source = history_source(known(), entries(), (BATCH,))
    assert f'text("{off:.1f}")' in source
    assert "corrosion: rust spots" in source


# ------------------------------------------------------------------ charts
def test_points_lie_where_the_axes_say() -> None:
    x, y = scale("a", [0.0, 10.0]), scale("b", [100.0, 200.0])
    marks = [Marks(((0.0, 100.0), (10.0, 200.0), (99.0, 150.0)))]
    made = chart("n", "t", (80.0, 50.0), x, y, (), marks)
    dots = [shape.centre for shape in made.shapes if isinstance(shape, Circle)]
    assert len(dots) == 2  # what lies outside is left out
    strokes = {text.text: text.at for text in texts(made)}
    # between two strokes of an axis a length is the same everywhere
    per = (strokes["10"][0] - strokes["0"][0]) / 10.0
    assert dots[1][0] - dots[0][0] == pytest.approx(10.0 * per)


@pytest.mark.parametrize("values", [[0.0], [3.0, 3.0], [-1e-6, 1e-6], [1e6, 2e6], [-40.0, 55.0]])
def test_an_axis_holds_its_values_between_round_steps(values: list[float]) -> None:
    axis = scale("", values)
    assert axis.least < min(values) <= max(values) < axis.most
    assert 2 <= len(axis.ticks) <= 12
    assert all(axis.least <= at <= axis.most for at, _ in axis.ticks)


@pytest.mark.parametrize("days", [0, 30, 400, 4000, 30_000])
def test_an_axis_of_time(days: int) -> None:
    axis = time_scale([DAY, DAY + dt.timedelta(days=days)])
    assert axis.least < DAY.timestamp() <= axis.most
    assert len(axis.ticks) <= 12
    if days > 90:
        assert axis.ticks


def test_the_legend_names_what_is_drawn() -> None:
    x = y = scale("", [0.0, 1.0])
    made = chart("n", "t", (80.0, 50.0), x, y, [Curve(((0.0, 0.0), (1.0, 1.0)), told="expected")],
                 [Marks((), told="never read")])  # fmt: skip
    told = [text.text for text in texts(made)]
    assert "expected" in told
    assert "never read" not in told


# ------------------------------------------------------------------ data
def test_data_fit_their_schema() -> None:
    data = record_to_dict("Beam", entries(), (BATCH,), (LOGGED,))
    jsonschema.Draft202012Validator.check_schema(record_schema())
    jsonschema.validate(data, record_schema())
    assert json.loads(record_to_json("Beam", entries(), (BATCH,), (LOGGED,))) == data
    readings = {item["number"]: item for item in data["readings"]}
    assert (readings[1]["value"], readings[1]["unit"]) == (24.1, "mm")
    assert (readings[2]["stands"], readings[2]["replaced_by"]) == (False, 3)
    assert readings[4]["word"] == "rust spots"
    assert readings[1]["time"] == "2020-05-31T07:30:00Z"


def test_workbook() -> None:
    book = load_workbook(io.BytesIO(history_workbook(known(), entries(), (BATCH,), (LOGGED,))))
    assert book.sheetnames == ["Read first", "Readings", "What came in", "Logs"]
    sheet = book["Readings"]
    heads = [str(cell.value) for cell in sheet[3]]
    first = dict(zip(heads, [cell.value for cell in sheet[4]], strict=True))
    assert (first["Seat"], first["Value"], first["Unit"]) == ("A2-1", 24.1, "mm")
    assert FULL in [cell.value for row in book["Read first"].iter_rows() for cell in row]


def test_tables_for_people() -> None:
    shown = to_text(record_view("Beam", entries(), (BATCH,), (LOGGED,)), 140)
    assert "5 readings stand; corrected or taken back: 1." in shown
    assert "(3) 99.9 mm" in shown
    assert "rust spots*" in shown
    assert "after rain" in shown


@pytest.mark.parametrize(
    ("quantity", "value", "words"),
    [
        ("lift-off", 0.00005, "0.05 mm"),  # a feeler gauge below the 0.1 mm that is allowed
        ("diameter", 0.15815, "158.15 mm"),
        ("offset along", 0.012, "12.0 mm"),
        ("offset along", 0.0127, "12.7 mm"),
        ("contact", 0.985, "98.5 %"),
        ("contact", 0.98, "98 %"),
    ],
)
def test_a_reading_is_shown_as_fine_as_it_was_read(quantity: str, value: float, words: str) -> None:
    item = entry(1, value, 2020)
    assert reading_words(replace(item, reading=replace(item.reading, quantity=quantity))) == words
