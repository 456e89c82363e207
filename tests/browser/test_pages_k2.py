"""Schedule, arrangements, faults and sharing in a real browser, with the numbers of the engine."""

import tomllib
from pathlib import Path

import pytest

from bedstone.output.shown import decimals, figure, shown
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import scheduled
from bedstone.workspace.pages.schedule import value_of

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

#: Page and what is there when its question is answered.
PAGES = {
    "schedule": "#traced",
    "arrangements": "#ranked",
    "what_if": "#faults",
    "sharing": "#still table",
}


def to(page, word: str, *, ask: bool = True) -> None:
    """Open a page by the navigation and have its question answered."""
    page.click(f'#navigation button[data-value="{word}"]')
    if ask and word in ("arrangements", "what_if"):
        page.click('#asking button[data-do="ask"]', timeout=20_000)
    if ask:
        page.wait_for_selector(PAGES[word], timeout=120_000)


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


def test_a_governing_value_is_traced_to_its_actions_and_loads(page, file: Path):
    desk = Desk.open(file)
    schedule = scheduled(desk.text, desk.name, desk.folder, desk.family, progress=silent)
    to(page, "schedule")
    page.select_option('[data-do="place"]', "A1-2")
    page.wait_for_function("document.querySelectorAll('#governing tbody tr').length === 2")
    line = next(
        item
        for item in schedule.seat_lines
        if (item.place, item.effect, item.sense, item.limit_state)
        == ("A1-2", "N", "max", "ULS persistent")
    )
    assert value_of(line) in page.inner_text("#governing")
    page.click('#governing button[data-value="A1-2|N|max|ULS persistent"]')
    page.wait_for_function(
        "text => document.getElementById('traced').textContent === text", arg=value_of(line)
    )
    told = page.inner_text("#trace")
    value = shown("N", line.value)
    places = decimals([value, *(shown("N", share.value) for share in line.shares)])
    for share in line.shares:
        brings = figure(shown("N", share.value), places)
        if brings != "0":
            assert share.action.removeprefix("traffic:") in told
            assert brings in told
    assert page.locator("#loaded .live .load").count() > 0, "the train stands on the plan"
    # sorted by value, the largest first, then the smallest
    page.select_option('[data-do="place"]', "")
    numbers = (
        "[...document.querySelectorAll('#governing tbody tr')].map(row => parseFloat("
        "row.querySelector('[data-do=trace]').textContent.replace('−', '-')))"
    )
    for order in ("descending", "ascending"):
        page.click('#governing button[data-do="sort"][data-value="value"]')
        page.wait_for_selector(f'#governing th[aria-sort="{order}"]')
        values = page.evaluate(numbers)
        assert values == sorted(values, reverse=order == "descending")
        assert len(set(values)) > 2


def test_a_change_of_a_bearing_makes_the_schedule_stale_until_it_is_made_again(page):
    to(page, "schedule")
    page.click('#navigation button[data-value="bridge"]')
    page.click('#plan [data-seat="A1-2"] .hit')
    page.click('#bearing button[data-value="free"]')
    page.wait_for_selector('button[data-do="undo"]:not([disabled])')
    page.click('#navigation button[data-value="schedule"]')
    page.wait_for_selector("#asking .stale")
    assert page.locator("#traced").count() == 1, "the old one is still there to be read"
    page.click('#asking button[data-do="ask"]')
    page.wait_for_function("!document.querySelector('#asking .stale, #asking progress')")
    # undone it is stale again
    page.click('button[data-do="undo"]')
    page.wait_for_selector("#asking .stale")


def test_long_work_tells_its_progress_and_can_be_cancelled(page):
    to(page, "what_if", ask=False)
    page.click('#asking button[data-do="ask"]')
    page.wait_for_selector("#asking progress")
    page.click('#asking button[data-do="cancel"]')
    page.wait_for_selector('#asking button[data-do="ask"]')
    assert "Cancelled" in page.inner_text("#asking")
    # and it can be asked again
    page.click('#asking button[data-do="ask"]')
    page.wait_for_selector("#faults", timeout=120_000)
    page.click('#faults button[data-value="1"]')
    name = page.inner_text('#faults button[data-value="1"]')
    page.wait_for_function(
        "name => document.getElementById('fault-name').textContent === name", arg=name
    )


def test_an_arrangement_is_looked_at_stood_on_and_pinned(page, file: Path):
    before = Desk.open(file).functions
    to(page, "arrangements")
    page.wait_for_selector(".js-plotly-plot .scatterlayer .point", timeout=60_000)
    page.click('#ranked tbody tr:last-child button[data-do="pick"]')
    name = page.inner_text('#ranked tbody tr:last-child button[data-do="pick"]')
    page.wait_for_function(
        "name => document.getElementById('picked-name').textContent === name", arg=name
    )
    page.fill("#pin-name", "seen on the page")
    page.press("#pin-name", "Tab")
    page.click('button[data-do="pin"]')
    page.wait_for_function("document.getElementById('picked').textContent.includes('Pinned')")
    page.click('button[data-do="stand"]')
    page.wait_for_function("document.getElementById('picked').textContent.includes('stands on')")
    page.wait_for_selector("#asking .stale")
    page.keyboard.press("Control+s")
    page.wait_for_function("document.getElementById('title').textContent.includes('(saved)')")
    after = Desk.open(file)
    assert after.bridge.arrangement.name == name
    assert after.functions != before
    pinned = {item["name"] for item in tomllib.loads(file.read_text())["compare"]["pinned"]}
    assert "seen on the page" in pinned
    page.click('button[data-do="undo"]')
    page.click('button[data-do="undo"]')
    page.wait_for_selector('button[data-do="undo"][disabled]')
    page.keyboard.press("Control+s")
    page.wait_for_function("document.getElementById('title').textContent.includes('(saved)')")
    assert Desk.open(file).functions == before


#: The point that stands farthest from all others: its middle on the screen, and its name.
ALONE = """() => {
  const plot = document.querySelector('.js-plotly-plot');
  const all = [...plot.querySelectorAll('.scatterlayer .trace')].flatMap((trace, t) =>
    [...trace.querySelectorAll('.point')].map((point, i) => {
      const box = point.getBoundingClientRect();
      return [box.x + box.width / 2, box.y + box.height / 2, plot.data[t].text[i]];
    }));
  const gap = ([x, y]) => Math.min(...all.map(([u, v]) => Math.hypot(u - x, v - y))
    .filter(distance => distance > 0));
  const twice = ([x, y]) => all.filter(([u, v]) => u === x && v === y).length > 1;
  return all.filter(point => !twice(point)).sort((a, b) => gap(b) - gap(a))[0];
}"""


def test_a_point_of_the_plot_chooses_its_arrangement(page):
    to(page, "arrangements")
    page.wait_for_selector(".js-plotly-plot .scatterlayer .point", timeout=60_000)
    page.wait_for_timeout(500)  # the plot has found its size
    x, y, told = page.evaluate(ALONE)
    name = told.replace("<br>", "; ")
    assert page.inner_text("#picked-name") != name
    page.mouse.move(x, y)
    page.wait_for_selector(".js-plotly-plot .hoverlayer .hovertext")
    assert name.split("; ")[0] in page.text_content(".js-plotly-plot .hoverlayer .hovertext")
    page.mouse.click(x, y)
    page.wait_for_function(
        "name => document.getElementById('picked-name').textContent === name", arg=name
    )


def test_a_limit_that_cannot_be_read_is_told_at_the_field(page, file: Path):
    to(page, "arrangements", ask=False)
    page.wait_for_selector("#limit-text")
    page.fill("#limit-text", "A1.Hx < 800 apples")
    page.press("#limit-text", "Tab")
    page.wait_for_selector('#limit-text[aria-invalid="true"]')
    assert "800 apples" in page.inner_text("#limits-wrong")
    assert "line 1" in page.inner_text("#limits-wrong")
    assert page.locator('button[data-do="undo"][disabled]').count() == 1, "nothing was changed"
    page.fill("#limit-text", "A1.Hx < 900 kN")
    page.press("#limit-text", "Tab")
    page.wait_for_selector('button[data-do="undo"]:not([disabled])')
    assert page.inner_text("#limits-wrong") == ""
    page.keyboard.press("Control+s")
    page.wait_for_function("document.getElementById('title').textContent.includes('(saved)')")
    assert tomllib.loads(file.read_text())["compare"]["limits"] == ["A1.Hx < 900 kN"]


@pytest.mark.parametrize("word", list(PAGES))
def test_pages_are_accessible_and_fit_at_twice_the_size(page, word: str):
    """No violation of WCAG 2 A and AA that axe-core can see, in light and dark."""
    axe = pytest.importorskip("axe_core_python.sync_playwright")
    to(page, word)
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    for dark in ("false", "true"):
        page.evaluate(f"bedstone.dark({dark})")
        page.wait_for_timeout(500)
        found = axe.Axe().run(page, options=rules)["violations"]
        told = [
            f"{item['id']}: {item['help']}: {[node['html'][:160] for node in item['nodes'][:3]]}"
            for item in found
        ]
        assert told == [], dark
    page.set_viewport_size({"width": 640, "height": 400})  # 1280 by 800 at 200 %
    page.wait_for_timeout(400)
    assert page.evaluate("document.documentElement.scrollWidth") <= 640
