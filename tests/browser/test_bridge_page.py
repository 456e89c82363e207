"""The page of the bridge in a real browser: what an engineer does and what the numbers say."""

import json
from pathlib import Path

from browsing import Server, start
from seeing import contains, expect, opened, save, saved, text_of, unsaved, until

from bedstone.workspace import parts
from bedstone.workspace.desk import Desk


def value(page, name: str):
    """A value of the tables by its name."""
    return page.locator(f'[data-value="{name}"] b')


def expected(desk: Desk, place: str, effect: str, sense: str = "abs") -> str:
    """The engine's number as the page writes it."""
    assert desk.look is not None
    return parts._number(parts.governing(desk.look, place, effect, sense))


def choose(page, mark: str, function: str) -> None:
    page.click(f'#plan [data-seat="{mark}"] .hit')
    expect(page.locator("#chosen")).to_have_text(mark)
    page.click(f'#bearing button[data-value="{function}"]')


def test_a_turned_bearing_changes_the_abutment_to_the_number_of_the_engine(page, file: Path):
    desk = Desk.open(file)
    effects = ("Fx", "Fy", "Mx", "My")
    first = {effect: expected(desk, "A1", effect) for effect in effects}
    for effect in effects:
        expect(value(page, f"A1 {effect}")).to_have_text(first[effect])
    desk.set_function("A1-2", "fixed")
    after = {effect: expected(desk, "A1", effect) for effect in effects}
    other = next(effect for effect in effects if after[effect] != first[effect])
    seat = expected(desk, "A1-1", "Hy", "max")
    choose(page, "A1-2", "fixed")
    expect(value(page, f"A1 {other}")).to_have_text(after[other])
    for effect in effects:
        expect(value(page, f"A1 {effect}")).to_have_text(after[effect])
    # what it was before stands beside it
    contains(page, f'[data-value="A1 {other}"] small', first[other])
    page.click('#plan [data-seat="A1-1"] .hit')
    expect(value(page, "A1-1 Hy max")).to_have_text(seat)
    # what the table says stands on the drawing
    assert desk.look is not None
    contains(page, "#plan #force-A1", f"{desk.look.extreme('A1', 'V', 'max', 'ULS') / 1e3:.0f}")
    page.keyboard.press("Control+z")
    expect(value(page, f"A1 {other}")).to_have_text(first[other])
    page.keyboard.press("Control+y")
    expect(value(page, f"A1 {other}")).to_have_text(after[other])
    expect(page.locator("#plan #seat-A1-2[aria-label*=fixed]")).to_have_count(1)


def test_instability_is_told_on_the_drawing_and_no_force_is_given(page):
    choose(page, "A1-1", "free")
    page.wait_for_selector("#motion .problem")
    contains(page, "#motion", "freely")
    contains(page, "#plan svg", "freely")
    expect(page.locator("#forces")).to_have_text("")
    page.click('button[data-do="undo"]')
    page.wait_for_selector("#forces table")
    expect(page.locator("#motion")).to_have_text("")


def test_keys_alone_do_it(page, file: Path):
    desk = Desk.open(file)
    desk.set_function("A2-2", "guided along")
    page.focus('#plan [data-seat="A1-1"]')
    page.keyboard.press("ArrowRight")
    expect(page.locator("#chosen")).to_have_text("A2-1")
    page.keyboard.press("ArrowUp")
    expect(page.locator("#chosen")).to_have_text("A2-2")
    page.keyboard.press("2")
    expect(value(page, "A2 Fy")).to_have_text(expected(desk, "A2", "Fy"))
    # the focus stays
    expect(page.locator('#plan [data-seat="A2-2"]')).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#bearing :focus")).to_have_count(1)


def test_sliders_move_the_bridge_and_the_load(page):
    page.locator("#temperature").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    told = page.locator("#temperature-value")
    expect(told).to_contain_text("+5 K")
    expect(told).to_contain_text("drawn")
    expect(page.locator("#plan .live .layer-moved")).not_to_have_count(0)
    contains(page, "#sketch", "along x'")
    page.select_option('[data-do="convoy"]', index=1)
    page.wait_for_selector("#standing table")
    expect(page.locator("#load")).to_be_enabled()
    page.evaluate(
        "() => { const s = document.getElementById('load'); s.value = 500;"
        " s.dispatchEvent(new Event('input', {bubbles: true})); }"
    )
    contains(page, "#load-value", "32.0 m")
    # an axle of 100 kN in the middle of a simple span: half to either end
    page.wait_for_function(
        """() => {
          const told = document.querySelector("#standing table").innerText.split(/\\s+/);
          return ["A1", "A2"].every(mark => told[told.indexOf(mark) + 1] === "50.0");
        }"""
    )
    page.select_option('[data-do="stage"]', index=1)
    contains(page, "#standing", "stage")


def test_the_sketch_is_of_the_bearing_that_is_chosen(page):
    for mark in ("A2-1", "A1-2"):
        page.click(f'#plan [data-seat="{mark}"] .hit')
        expect(page.locator("#chosen")).to_have_text(mark)
        contains(page, "#sketch", f"{mark}: superstructure")


def test_dark_and_light(page):
    def ground() -> str:
        return page.evaluate("getComputedStyle(document.body).backgroundColor")

    root = page.locator("html")
    light = ground()
    page.click("#dark")
    expect(root).to_have_attribute("data-theme", "dark")
    page.wait_for_function(
        "light => getComputedStyle(document.body).backgroundColor !== light", arg=light
    )
    page.reload()
    page.wait_for_selector("#forces table")
    expect(root).to_have_attribute("data-theme", "dark")
    page.wait_for_function(
        "light => getComputedStyle(document.body).backgroundColor !== light", arg=light
    )


def test_two_tabs_do_not_overwrite_each_other(page, server: Server, file: Path):
    before = text_of(file)
    second = page.context.new_page()
    opened(second, server)
    choose(second, "A1-2", "free")
    save(second)
    theirs = text_of(file)
    assert theirs != before
    choose(page, "A1-2", "guided along")
    unsaved(page)
    page.keyboard.press("Control+s")
    page.wait_for_selector(".message")
    assert text_of(file) == theirs
    page.click('.message button[data-value="copy"]')
    contains(page, "#title", "truss-2.toml (saved)")
    assert text_of(file) == theirs
    assert Desk.open(file.with_name("truss-2.toml")).functions["A1-2"].function == "guided along"


def test_edits_of_a_killed_server_are_offered(page, server: Server, file: Path, tmp_path: Path):
    before = text_of(file)
    choose(page, "A1-2", "free")
    kept = tmp_path / "cache" / "bedstone" / "desks"
    unsaved(page)
    until(page, lambda: bool(list(kept.glob("*.json"))), "what is kept for the case of a crash")
    (left,) = kept.glob("*.json")
    assert json.loads(text_of(left))["read"] == before
    server.kill()
    again = start(file, tmp_path / "cache")
    try:
        assert text_of(file) == before
        other = page.context.new_page()
        opened(other, again)
        other.click('.message button[data-value="take"]')
        expect(other.locator("#plan #seat-A1-2[aria-label*=free]")).to_have_count(1)
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


#: What a slow machine does to a click: the page is replaced while the button is held down.
_HELD = """() => {
  const undo = () => document.querySelector('[data-key="tool-undo"]');
  const told = (kind, place) => place.dispatchEvent(
    new PointerEvent(kind, { bubbles: true, cancelable: true }));
  const held = undo();
  told("pointerdown", held);
  bedstone.put({ tools: document.getElementById("tools").innerHTML + "<i id='later'></i>" });
  const stays = held.isConnected && !document.getElementById("later");
  told("pointerup", held);
  return stays;
}"""


def test_what_is_pressed_is_not_replaced_before_it_is_let_go(page):
    choose(page, "A1-2", "free")
    unsaved(page)
    assert page.evaluate(_HELD)
    expect(page.locator("#later")).to_have_count(1)
    page.click('[data-key="tool-undo"]')
    saved(page)


def test_an_older_answer_does_not_take_back_what_was_chosen(page):
    page.click('#plan [data-seat="A2-1"] .hit')
    expect(page.locator("#chosen")).to_have_text("A2-1")
    stood = page.evaluate(
        """() => {
          const hit = document.querySelector('#plan [data-seat="A1-2"] .hit');
          hit.dispatchEvent(new MouseEvent("click", { bubbles: true }));
          bedstone.show({ parts: {}, groups: {}, chosen: "A2-1", loaded: false });
          return bedstone.chosen;
        }"""
    )
    assert stood == "A1-2"
    expect(page.locator("#chosen")).to_have_text("A1-2")
    expect(page.locator('#plan [data-seat="A1-2"]')).to_have_attribute("aria-pressed", "true")
