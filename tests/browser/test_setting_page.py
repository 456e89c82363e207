"""The page of the setting in a real browser, with the numbers of the site table."""

import tomllib
from pathlib import Path

from seeing import contains, expect, save, text_of, to, typed

from bedstone.output import setting_words as words
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import set_out


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


def test_a_bearing_its_chart_the_day_and_its_card(page, file: Path):
    desk = Desk.open(file)
    made = set_out(desk.text, desk.name, desk.folder, desk.family, progress=silent).settings
    own = next(item for item in made if item.seat == "A2-2")
    to(page, "setting")
    # the first that moves is shown at first
    expect(page.locator('select[data-do="seat"]')).to_have_value("A1-2")
    page.select_option('select[data-do="seat"]', "A2-2")
    contains(page, "#rows caption", words.title(own))
    expect(page.locator("#rows tbody tr")).to_have_count(len(own.rows))
    for line in words.windows(own):
        contains(page, "#suffices", line)
    # the temperature of the day: a wrong one is told at the field
    typed(page, "#day-text", "warm")
    contains(page, "#day-fault", "warm")
    expect(page.locator("#day-text")).to_have_attribute("aria-invalid", "true")
    typed(page, "#day-text", "18")
    contains(page, "#day-row", f"{words.mm(own.row(18.0).offset[0])} mm")
    expect(page.locator("#day-fault")).to_have_count(0)
    # the chart shows the rows, along x' and then along y'
    shown = """([axis, first]) => {
      const told = document.querySelector(".js-plotly-plot").data
        .find(one => one.name === "offset to set");
      return Math.abs(told.y[0] - first) < 1e-6;
    }"""
    for axis in (0, 1):
        page.click(f'#charted button[data-value="{axis}"]')
        page.wait_for_function(shown, arg=[axis, own.rows[0].offset[axis] * 1e3])
    for what, name in (("card", "truss-A2-2-setting.pdf"), ("cards", "truss-setting.pdf")):
        with page.expect_download() as download:
            page.click(f'#which button[data-do="{what}"]')
        assert download.value.suggested_filename == name
        assert Path(download.value.path()).read_bytes().startswith(b"%PDF-")
    # what holds has no chart
    page.select_option('select[data-do="seat"]', "A1-1")
    contains(page, "#day-row", "none: it holds")
    expect(page.locator("section[aria-label='Offset by temperature']")).to_be_hidden()


def test_another_stage_is_written_and_asks_for_new_numbers(page, file: Path):
    to(page, "setting")
    contains(page, "#told", "slab cast")
    page.select_option('select[data-do="set at"]', "finished")
    page.wait_for_selector("#asking .stale")
    page.click('#asking button[data-do="ask"]')
    expect(page.locator("#asking .stale, #asking progress")).to_have_count(0)
    contains(page, "#told", 'Set after stage "finished"')
    save(page)
    assert tomllib.loads(text_of(file))["arrangement"]["set_at"] == "finished"
