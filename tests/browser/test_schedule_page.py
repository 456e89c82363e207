"""The page of the schedule in a real browser, with the numbers of the engine."""

from pathlib import Path

from seeing import contains, expect, to

from bedstone.output.shown import decimals, figure, shown
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import scheduled
from bedstone.workspace.pages.schedule import value_of


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


#: The values of the table, once they stand in an order: "descending" or "ascending".
_SORTED = """order => {
  const told = [...document.querySelectorAll("#governing tbody tr")].map(row => parseFloat(
    row.querySelector("[data-do=trace]").textContent.replace("−", "-")));
  const sign = order === "descending" ? -1 : 1;
  return told.every((one, i) => i === 0 || sign * (one - told[i - 1]) >= 0) &&
    new Set(told).size > 2;
}"""


def test_a_governing_value_is_traced_to_its_actions_and_loads(page, file: Path):
    desk = Desk.open(file)
    schedule = scheduled(desk.text, desk.name, desk.folder, desk.family, progress=silent)
    to(page, "schedule")
    page.select_option('[data-do="place"]', "A1-2")
    expect(page.locator("#governing tbody tr")).to_have_count(2)
    line = next(
        item
        for item in schedule.seat_lines
        if (item.place, item.effect, item.sense, item.limit_state)
        == ("A1-2", "N", "max", "ULS persistent")
    )
    contains(page, "#governing", value_of(line))
    page.click('#governing button[data-value="A1-2|N|max|ULS persistent"]')
    expect(page.locator("#traced")).to_have_text(value_of(line))
    value = shown("N", line.value)
    places = decimals([value, *(shown("N", share.value) for share in line.shares)])
    told = 0
    for share in line.shares:
        brings = figure(shown("N", share.value), places)
        if brings != "0":
            contains(page, "#trace", share.action.removeprefix("traffic:"))
            contains(page, "#trace", brings)
            told += 1
    assert told > 1
    # the train stands on the plan
    expect(page.locator("#loaded .live .load")).not_to_have_count(0)
    # sorted by value, the largest first, then the smallest
    page.select_option('[data-do="place"]', "")
    for order in ("descending", "ascending"):
        page.click('#governing button[data-do="sort"][data-value="value"]')
        page.wait_for_selector(f'#governing th[aria-sort="{order}"]')
        page.wait_for_function(_SORTED, arg=order)


def test_a_change_of_a_bearing_makes_the_schedule_stale_until_it_is_made_again(page):
    to(page, "schedule")
    to(page, "bridge")
    page.click('#plan [data-seat="A1-2"] .hit')
    expect(page.locator("#chosen")).to_have_text("A1-2")
    page.click('#bearing button[data-value="free"]')
    expect(page.locator('button[data-do="undo"]')).to_be_enabled()
    to(page, "schedule", ask=False)
    page.wait_for_selector("#asking .stale")
    # the old one is still there to be read
    expect(page.locator("#traced")).to_have_count(1)
    page.click('#asking button[data-do="ask"]')
    expect(page.locator("#asking .stale, #asking progress")).to_have_count(0)
    expect(page.locator("#traced")).to_have_count(1)
    # undone it is stale again
    page.click('button[data-do="undo"]')
    page.wait_for_selector("#asking .stale")
