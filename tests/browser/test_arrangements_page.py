"""The page of all arrangements in a real browser: looked at, stood on, pinned, limited."""

import tomllib
from pathlib import Path

from seeing import contains, expect, save, saved, text_of, to, typed

from bedstone.workspace.desk import Desk


def written(file: Path) -> dict:
    """What the bridge file says of comparing."""
    return tomllib.loads(text_of(file))["compare"]


def test_an_arrangement_is_looked_at_stood_on_and_pinned(page, file: Path):
    before = Desk.open(file).functions
    to(page, "arrangements")
    last = page.locator('#ranked tbody tr:last-child button[data-do="pick"]')
    expect(page.locator(".js-plotly-plot .scatterlayer .point")).not_to_have_count(0)
    last.click()
    name = last.inner_text()
    expect(page.locator("#picked-name")).to_have_text(name)
    typed(page, "#pin-name", "seen on the page")
    page.click('button[data-do="pin"]')
    contains(page, "#picked", "Pinned")
    page.click('button[data-do="stand"]')
    contains(page, "#picked", "stands on")
    page.wait_for_selector("#asking .stale")
    save(page, lambda: page.keyboard.press("Control+s"))
    after = Desk.open(file)
    assert after.bridge.arrangement.name == name
    assert after.functions != before
    assert "seen on the page" in {item["name"] for item in written(file)["pinned"]}
    for _ in range(2):
        undo = page.locator('button[data-do="undo"]')
        hint = undo.get_attribute("title")
        undo.click()
        expect(undo).not_to_have_attribute("title", hint)
    expect(page.locator('button[data-do="undo"]')).to_be_disabled()
    save(page, lambda: page.keyboard.press("Control+s"))
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
    expect(page.locator(".js-plotly-plot .scatterlayer .point")).not_to_have_count(0)
    still(page)
    x, y, told = page.evaluate(ALONE)
    name = told.replace("<br>", "; ")
    expect(page.locator("#picked-name")).not_to_have_text(name)
    page.mouse.move(x, y)
    contains(page, ".js-plotly-plot .hoverlayer .hovertext", name.split("; ")[0])
    page.mouse.click(x, y)
    expect(page.locator("#picked-name")).to_have_text(name)


def still(page) -> None:
    """Wait until the plot has found its size and does not move any more."""
    page.evaluate("() => { window.stood = []; }")
    page.wait_for_function(
        """find => {
          const [x, y, name] = (0, eval)(`(${find})`)();
          window.stood = [...window.stood, `${x} ${y} ${name}`].slice(-10);
          return window.stood.length === 10 && new Set(window.stood).size === 1;
        }""",
        arg=ALONE,
        polling=100,
    )


def test_a_limit_that_cannot_be_read_is_told_at_the_field(page, file: Path):
    to(page, "arrangements", ask=False)
    typed(page, "#limit-text", "A1.Hx < 800 apples")
    expect(page.locator("#limit-text")).to_have_attribute("aria-invalid", "true")
    contains(page, "#limits-wrong", "800 apples")
    contains(page, "#limits-wrong", "line 1")
    # nothing was changed
    expect(page.locator('button[data-do="undo"]')).to_be_disabled()
    saved(page)
    typed(page, "#limit-text", "A1.Hx < 900 kN")
    expect(page.locator('button[data-do="undo"]')).to_be_enabled()
    expect(page.locator("#limits-wrong")).to_have_text("")
    expect(page.locator("#limit-text")).not_to_have_attribute("aria-invalid", "true")
    save(page, lambda: page.keyboard.press("Control+s"))
    assert written(file)["limits"] == ["A1.Hx < 900 kN"]
