"""What is typed on site becomes a form; its faults come back to their fields; it is kept once."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest

from bedstone.errors import Fault, InputError
from bedstone.site.known_bridge import KnownBridge, known_bridge
from bedstone.site.quantities import catalogue
from bedstone.site.record import current_readings, open_record
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import site_check
from bedstone.workspace.pages.answers import judged, set_out
from bedstone.workspace.pages.reading_entry import (
    FIRST,
    Entry,
    form_text,
    placed,
    read_entry,
    sign_picture,
)
from bedstone.workspace.writer import ALONE

EXAMPLES = Path(__file__).parents[2] / "examples"
NOW = dt.datetime(2026, 6, 1, 12, 0, tzinfo=dt.UTC)


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    folder = tmp_path_factory.mktemp("bridge")
    return Desk.open(Path(shutil.copy(EXAMPLES / "truss.toml", folder)))


@pytest.fixture(scope="module")
def known(desk: Desk) -> KnownBridge:
    made = set_out(desk.text, desk.name, desk.folder, desk.family, progress=silent)
    return known_bridge(desk.bridge, desk.folder, made.settings, made.chosen)


def typed(known: KnownBridge, values: dict[tuple[str, str], str], **visit: str) -> Entry:
    """What an inspector types for A2-1, by quantity and place."""
    numbers = {(one.quantity.name, one.place): n for n, one in enumerate(known.asked("A2-1"))}
    told = {
        "Taken by": "A. Reader",
        "Date": "2026-05-20",
        "Time": "09:00",
        "Time zone": "+02:00",
        "Steel temperature": "18",
    }
    return Entry(told | visit, "rule", {numbers[key]: text for key, text in values.items()})


def refused(known: KnownBridge, entry: Entry) -> InputError:
    with pytest.raises(InputError) as caught:
        read_entry(entry, known, "A2-1", "typed.csv", now=NOW)
    return caught.value


def test_what_is_typed_is_read_in_si_with_visit_and_sign(known: KnownBridge):
    entry = typed(
        known,
        {("offset along", ""): "-3.5", ("dirt", ""): "some", ("level along", ""): "2"},
        Remark="after rain",
    )
    form = read_entry(entry, known, "A2-1", "typed.csv", now=NOW)
    found = {one.quantity: one for one in form.readings}
    assert set(found) == {"offset along", "dirt", "level along"}, "what is left out is no reading"
    assert found["offset along"].value == pytest.approx(-0.0035)
    assert found["level along"].value == pytest.approx(0.002)
    assert found["dirt"].word == "some"
    one = found["offset along"]
    assert (one.seat, one.temperature, one.who, one.instrument) == (
        "A2-1", 18.0, "A. Reader", "rule",
    )  # fmt: skip
    assert one.time == dt.datetime(2026, 5, 20, 7, 0, tzinfo=dt.UTC)
    assert form.visit.remark == "after rain"


def test_faults_come_back_to_the_fields_they_stand_on(known: KnownBridge):
    asked = known.asked("A2-1")
    entry = typed(
        known,
        {("offset along", ""): "12,5 cm", ("roller gap", "rising"): "-4"},
        Date="2026-05-32",
    )
    entry.visit["Taken by"] = ""
    found = placed(refused(known, entry), len(asked))
    wrong = {(asked[n].quantity.name, asked[n].place) for n in found.readings}
    assert wrong == {("offset along", ""), ("roller gap", "rising")}
    assert set(found.visit) == {"Taken by", "Date"}
    assert "2026-05-32" in found.visit["Date"]
    assert found.others == ()
    assert found.doubts == frozenset()


def test_a_doubt_asks_for_a_second_look_and_is_waved_on_by_it(known: KnownBridge):
    # plate to the one side and roller to the other, alike in size: one sign is a slip
    entry = typed(
        known,
        {
            ("offset along", ""): "40",
            ("roller offset", "left"): "-20",
            ("roller offset", "right"): "-20",
        },
    )
    found = placed(refused(known, entry), len(known.asked("A2-1")))
    assert found.doubts
    text = next(iter(found.readings.values()))
    assert "--accept" not in text
    assert "Looked at" not in text
    entry.looked |= found.doubts
    assert len(read_entry(entry, known, "A2-1", "typed.csv", now=NOW).readings) == 3


def test_a_time_to_come_stands_at_its_field(known: KnownBridge):
    entry = typed(known, {("offset along", ""): "1"}, Date="2026-06-02")
    assert set(placed(refused(known, entry), 30).visit) == {"Date"}


def test_a_line_break_cannot_shift_the_fields(known: KnownBridge):
    entry = typed(known, {("offset along", ""): "1"}, Remark="one\ntwo, three")
    lines = form_text(entry, known.name, "A2-1", known.asked("A2-1")).splitlines()
    assert lines[FIRST - 1].startswith("A2-1,offset along")
    assert read_entry(entry, known, "A2-1", "t.csv", now=NOW).visit.remark == "one two, three"


def test_faults_of_no_field_are_told_as_they_are():
    error = InputError([Fault("t.csv", "file", "too large", "less")])
    assert placed(error, 3).others == ("file: found too large; allowed: less",)


def test_readings_are_kept_once_and_judged_with_the_record(desk: Desk, known: KnownBridge):
    record = desk.folder / "truss.readings.duckdb"
    entry = typed(known, {("offset along", ""): "60", ("corrosion", ""): "section loss"})
    form = read_entry(entry, known, "A2-1", "first.csv", now=NOW)
    told = site_check._keep(ALONE, record, known.name, form, "A2-1")
    assert "2 readings of A2-1" in told
    assert len(current_readings(record)) == 2
    with pytest.raises(InputError):  # the same again is no second visit
        site_check._keep(ALONE, record, known.name, form, "A2-1")
    later = typed(known, {("offset along", ""): "61"}, Date="2026-05-28")
    more = read_entry(later, known, "A2-1", "second.csv", now=NOW).readings
    given = (desk.text, desk.name, desk.folder, desk.family, "A2-1")
    found = judged(*given, more, progress=silent)
    assert (found.count, found.kept) == (3, 2)
    assert not found.holds, "60 mm off is far from what 18 degC asks"
    assert any("OUT" in cell.text for row in found.sheets[0].rows for cell in row)
    with open_record(record) as opened:
        assert len(opened.readings()) == 2, "what is judged alone is not kept"


@pytest.mark.parametrize("place", ["left", "right"])
def test_gaps_are_drawn_on_the_side_that_is_read(place: str):
    drawn = sign_picture(catalogue()["guide gap"], place)
    first = float(drawn.split('class="read" d="M')[1].split(" ")[0])
    assert (first < 56.0) is (place == "left")


def test_every_number_with_a_sense_has_a_drawing():
    for name in ("offset along", "offset across", "tilt", "level along", "level across"):
        assert '<text class="plus"' in sign_picture(catalogue()[name], "")
    assert sign_picture(catalogue()["corrosion"], "") == ""


def test_forms_are_escaped(known: KnownBridge):
    entry = typed(known, {("offset along", ""): '"><script>'})
    html = site_check._readings(entry, known.asked("A2-1"), "A2-1", placed(InputError([]), 1))
    assert "<script>" not in html
    assert "&lt;script&gt;" in html
