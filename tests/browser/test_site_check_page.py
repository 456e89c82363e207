"""The page of readings taken on site in a real browser, on a screen as large as a telephone's."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from seeing import contains, expect, to, typed

from bedstone.site.record import current_readings, record_file


def field(page, title: str):
    """A field by its label."""
    return page.get_by_label(title, exact=False).first


def fill(page, **told: str) -> None:
    """What belongs to every visit."""
    for label, text in told.items():
        typed(page, f'[data-entry="visit:{label.replace("_", " ")}"]', text)


@pytest.fixture
def telephone(page):
    page.set_viewport_size({"width": 390, "height": 844})
    to(page, "site_check")
    page.select_option('select[data-do="place"]', "A2-1")
    contains(page, "#readings", "Gap from roller to stop")
    return page


def test_readings_are_checked_judged_and_kept(telephone, file: Path):
    page = telephone
    day = page.locator('[data-entry="visit:Date"]')
    expect(day).not_to_have_value("")  # the telephone knows what day it is
    fill(page, Taken_by="A. Reader", Steel_temperature="18", Date="2026-05-20", Time="09:00")
    offset = field(page, "Offset along")
    offset.fill("12 apples")
    offset.press("Tab")
    page.click('button[data-do="judge"]')
    expect(offset).to_have_attribute("aria-invalid", "true")
    contains(page, "#entry-value-0-fault", "12 apples")
    assert not record_file(file).exists()
    offset.fill("60")
    offset.press("Tab")
    page.click('button[data-do="judge"]')
    page.wait_for_selector("#judged")
    expect(offset).not_to_have_attribute("aria-invalid", "true")
    contains(page, "#judged", "out of tolerance")
    contains(page, "#judged table", "offset along")
    contains(page, "#judged table", "+60.0")
    assert not record_file(file).exists(), "judged is not kept"
    page.click('button[data-do="keep"]')
    contains(page, "#kept", "Kept 1 reading of A2-1")
    contains(page, "#judged", "1 of them from the record")
    (kept,) = current_readings(record_file(file))
    assert (kept.seat, kept.quantity, kept.value, kept.temperature) == (
        "A2-1", "offset along", pytest.approx(0.06), 18.0,
    )  # fmt: skip
    zone = page.locator('[data-entry="visit:Time zone"]').input_value()
    if zone == "UTC":
        assert kept.time == datetime(2026, 5, 20, 9, 0, tzinfo=UTC)
    # the fields are free for the next bearing, the visit stays
    expect(offset).to_have_value("")
    expect(page.locator('[data-entry="visit:Taken by"]')).to_have_value("A. Reader")


def test_a_doubt_is_looked_at_again_before_it_is_taken(telephone):
    page = telephone
    fill(page, Taken_by="A. Reader", Steel_temperature="18", Date="2026-05-20", Time="09:00")
    for title, text in (
        ("Offset along", "40"),
        ("Offset of the roller, left", "-20"),
        ("Offset of the roller, right", "-20"),
    ):
        field(page, title).fill(text)
        field(page, title).press("Tab")
    page.click('button[data-do="judge"]')
    boxes = page.locator(".looked input")
    expect(boxes).not_to_have_count(0)
    for number in range(boxes.count()):
        boxes.nth(number).check()
    page.click('button[data-do="judge"]')
    page.wait_for_selector("#judged")
    contains(page, "#judged", "Judged 3 readings")


def test_a_joint_is_read_as_well(telephone):
    page = telephone
    page.select_option('select[data-do="place"]', "A2")
    contains(page, "#readings", "Gap of the joint")
    expect(page.locator("#readings .reading")).to_have_count(1)
    fill(page, Taken_by="A. Reader", Steel_temperature="18", Date="2026-05-20", Time="09:00")
    field(page, "Gap of the joint").fill("5")
    field(page, "Gap of the joint").press("Tab")
    page.click('button[data-do="judge"]')
    contains(page, "#judged table", "joint gap")


def test_what_is_typed_stays_when_another_page_is_looked_at(telephone):
    page = telephone
    typed(page, '[data-entry="value:0"]', "7")
    to(page, "bridge")
    to(page, "site_check")
    expect(page.locator('select[data-do="place"]')).to_have_value("A2-1")
    expect(page.locator('[data-entry="value:0"]')).to_have_value("7")


def test_a_button_pressed_twice_keeps_once(telephone, file: Path):
    page = telephone
    fill(page, Taken_by="A. Reader", Steel_temperature="18", Date="2026-05-20", Time="09:00")
    typed(page, '[data-entry="value:0"]', "2")
    page.evaluate(
        """() => { const keep = document.querySelector('button[data-do="keep"]');
                  keep.click(); keep.click(); }"""
    )
    contains(page, "#judged", "1 of them from the record")
    expect(page.locator("#doing .problem")).to_have_count(0)
    assert len(current_readings(record_file(file))) == 1
