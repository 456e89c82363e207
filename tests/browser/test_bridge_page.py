"""The page of the bridge in a real browser: what an engineer does and what the numbers say."""

import json
from pathlib import Path

import pytest
from browsing import Server, start

from bedstone.workspace import parts
from bedstone.workspace.desk import Desk
from conftest import opened

playwright_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


def shown(page, name: str) -> str:
    """A value of the tables by its name."""
    return page.inner_text(f'[data-value="{name}"] b')


def expected(desk: Desk, place: str, effect: str, sense: str = "abs") -> str:
    """The engine's number as the page writes it."""
    assert desk.look is not None
    return parts._number(parts.governing(desk.look, place, effect, sense))


def wait_for(page, name: str, text: str) -> None:
    page.wait_for_function(
        '([name, text]) => document.querySelector(`[data-value="${name}"] b`)?.textContent'
        " === text",
        arg=[name, text],
        timeout=20_000,
    )


def choose(page, mark: str, function: str) -> None:
    page.click(f'#plan [data-seat="{mark}"] .hit')
    page.wait_for_function(f"document.getElementById('chosen')?.textContent === '{mark}'")
    page.click(f'#bearing button[data-value="{function}"]')


def test_a_turned_bearing_changes_the_abutment_to_the_number_of_the_engine(page, file: Path):
    desk = Desk.open(file)
    effects = ("Fx", "Fy", "Mx", "My")
    first = {effect: expected(desk, "A1", effect) for effect in effects}
    assert {effect: shown(page, f"A1 {effect}") for effect in effects} == first
    desk.set_function("A1-2", "fixed")
    after = {effect: expected(desk, "A1", effect) for effect in effects}
    other = next(effect for effect in effects if after[effect] != first[effect])
    seat = expected(desk, "A1-1", "Hy", "max")
    choose(page, "A1-2", "fixed")
    wait_for(page, f"A1 {other}", after[other])
    assert {effect: shown(page, f"A1 {effect}") for effect in effects} == after
    # what it was before stands beside it
    assert first[other] in page.inner_text(f'[data-value="A1 {other}"] small')
    page.click('#plan [data-seat="A1-1"] .hit')
    wait_for(page, "A1-1 Hy max", seat)
    # what the table says stands on the drawing
    assert desk.look is not None
    force = page.text_content("#plan #force-A1")
    assert f"{desk.look.extreme('A1', 'V', 'max', 'ULS') / 1e3:.0f}" in force
    page.keyboard.press("Control+z")
    wait_for(page, f"A1 {other}", first[other])
    page.keyboard.press("Control+y")
    wait_for(page, f"A1 {other}", after[other])
    assert "fixed" in page.get_attribute("#plan #seat-A1-2", "aria-label")


def test_instability_is_told_on_the_drawing_and_no_force_is_given(page):
    choose(page, "A1-1", "free")
    page.wait_for_selector("#motion .problem")
    assert "freely" in page.inner_text("#motion")
    assert "freely" in page.text_content("#plan svg")
    assert page.inner_text("#forces") == ""
    page.click('button[data-do="undo"]')
    page.wait_for_selector("#forces table")
    assert page.inner_text("#motion") == ""


def test_keys_alone_do_it(page, file: Path):
    desk = Desk.open(file)
    desk.set_function("A2-2", "guided along")
    page.focus('#plan [data-seat="A1-1"]')
    page.keyboard.press("ArrowRight")
    page.wait_for_function("document.getElementById('chosen').textContent === 'A2-1'")
    page.keyboard.press("ArrowUp")
    page.wait_for_function("document.getElementById('chosen').textContent === 'A2-2'")
    page.keyboard.press("2")
    wait_for(page, "A2 Fy", expected(desk, "A2", "Fy"))
    assert page.evaluate("document.activeElement.dataset.seat") == "A2-2", "the focus stays"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.closest('#bearing') !== null")


def test_sliders_move_the_bridge_and_the_load(page):
    slider = page.locator("#temperature")
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "document.getElementById('temperature-value').textContent.startsWith('+5 K')"
    )
    assert page.locator("#plan .live .layer-moved").count() > 0
    assert "drawn" in page.inner_text("#temperature-value")
    assert "along x'" in page.inner_text("#sketch")
    page.select_option('[data-do="convoy"]', index=1)
    page.wait_for_selector("#standing table")
    page.evaluate(
        "() => { const s = document.getElementById('load'); s.value = 500;"
        " s.dispatchEvent(new Event('input', {bubbles: true})); }"
    )
    page.wait_for_function("document.getElementById('load-value').textContent.includes('32.0 m')")
    # an axle of 100 kN in the middle of a simple span: half to either end
    texts = page.inner_text("#standing table >> nth=0").split()
    assert texts[texts.index("A1") + 1] == "50.0"
    assert texts[texts.index("A2") + 1] == "50.0"
    page.select_option('[data-do="stage"]', index=1)
    page.wait_for_function("document.getElementById('standing').textContent.includes('stage')")


def test_dark_and_light(page):
    def ground() -> str:
        return page.evaluate("getComputedStyle(document.body).backgroundColor")

    light = ground()
    page.click("#dark")
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"
    assert ground() != light
    page.reload()
    page.wait_for_selector("#forces table")
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"


def test_two_tabs_do_not_overwrite_each_other(page, server: Server, file: Path):
    before = file.read_text()
    second = page.context.new_page()
    opened(second, server)
    choose(second, "A1-2", "free")
    second.wait_for_selector('button[data-do="save"]:not([disabled])')
    second.click('button[data-do="save"]')
    second.wait_for_function("document.getElementById('title').textContent.includes('(saved)')")
    theirs = file.read_text()
    assert theirs != before
    choose(page, "A1-2", "guided along")
    page.wait_for_function("document.getElementById('title').textContent.includes('not saved')")
    page.keyboard.press("Control+s")
    page.wait_for_selector(".message")
    assert file.read_text() == theirs
    page.click('.message button[data-value="copy"]')
    page.wait_for_function("document.getElementById('title').textContent.includes('truss-2.toml')")
    assert file.read_text() == theirs
    assert Desk.open(file.with_name("truss-2.toml")).functions["A1-2"].function == "guided along"


def test_edits_of_a_killed_server_are_offered(page, server: Server, file: Path, tmp_path: Path):
    before = file.read_text()
    choose(page, "A1-2", "free")
    kept = tmp_path / "cache" / "bedstone" / "desks"
    page.wait_for_function("document.getElementById('title').textContent.includes('not saved')")
    for _ in range(100):
        if list(kept.glob("*.json")):
            break
        page.wait_for_timeout(100)
    (saved,) = kept.glob("*.json")
    assert json.loads(saved.read_text())["read"] == before
    server.kill()
    again = start(file, tmp_path / "cache", 8950)
    try:
        assert file.read_text() == before
        other = page.context.new_page()
        opened(other, again)
        other.click('.message button[data-value="take"]')
        other.wait_for_function(
            "document.querySelector('#plan #seat-A1-2').getAttribute('aria-label').includes('free')"
        )
        other.close()
        page.goto("about:blank")
    finally:
        again.kill()
        assert again.process.stdout is not None
        again.process.stdout.close()


def test_foreign_pages_get_nothing(page, server: Server):
    port = server.address.rsplit(":", 1)[1].strip("/")
    for headers in ({"Origin": "http://bad.example"}, {"Host": f"bad.example:{port}"}):
        answer = page.request.get(server.address, headers=headers)
        assert answer.status == 403
    assert page.request.get(server.address).status == 200


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_accessible(page, theme: str):
    """No violation of WCAG 2 A and AA that axe-core can see."""
    axe = pytest.importorskip("axe_core_python.sync_playwright")
    page.evaluate(f"bedstone.dark({str(theme == 'dark').lower()})")
    page.wait_for_timeout(300)
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    found = axe.Axe().run(page, options=rules)["violations"]
    told = [
        f"{item['id']}: {item['help']}: {[node['html'][:120] for node in item['nodes'][:3]]}"
        for item in found
    ]
    assert told == []


def test_twice_the_size_needs_no_sideways_scrolling(page):
    page.set_viewport_size({"width": 640, "height": 400})  # 1280 by 800 at 200 %
    page.wait_for_timeout(200)
    assert page.evaluate("document.documentElement.scrollWidth") <= 640
