"""The page of one bearing and that of the bridge file in a real browser."""

import tomllib
from pathlib import Path

import pytest

from bedstone.bridge.edit import change_text
from bedstone.schedule.designs import design_seat, seats_of
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import bearing
from bedstone.workspace.work import full_schedule

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


def to(page, word: str) -> None:
    """Open a page by the navigation and wait until it shows something."""
    page.click(f'#navigation button[data-value="{word}"]')
    there = {"bearing": "#bearing-checks table", "editor": "#editor-form .line"}[word]
    page.wait_for_selector(there, timeout=120_000)


def contains(page, place: str, text: str) -> None:
    page.wait_for_function(
        "([place, text]) => document.querySelector(place)?.textContent.includes(text)",
        arg=[place, text],
        timeout=30_000,
    )


def typed(page, control: str, text: str) -> None:
    """Write into a control and go on with the keyboard."""
    page.fill(control, text)
    page.press(control, "Tab")


# ------------------------------------------------------------------ the bearing
def test_a_thinner_wall_fails_is_written_and_undone(page, file: Path):
    desk = Desk.open(file)
    schedule = full_schedule(
        desk.text, desk.name, desk.folder, None, progress=lambda done, total, text: None
    )
    found = design_seat(schedule, desk.bridge, seats_of(desk.bridge, desk.folder), "A2-2")
    told = bearing.base_sizes(desk.bridge, found) | {"pot.wall": "5 mm"}
    thin = bearing.with_sizes(schedule, desk, "A2-2", found.choice.kind, told)
    assert found.choice.design is not None
    assert thin.choice.design is not None
    assert thin.choice.design.passes is not found.choice.design.passes
    to(page, "bearing")
    page.select_option('select[data-do="seat"]', "A2-2")
    contains(page, "#bearing-summary", f"A2-2: {found.choice.kind}")
    first = bearing._used(found.choice.governing)
    assert page.inner_text("#bearing-summary dd b") == first
    typed(page, '[data-size="pot.wall"]', "5")
    page.wait_for_selector("#bearing-checks tr.over")
    worst = thin.choice.governing
    assert page.inner_text("#bearing-checks tbody tr b >> nth=0") == bearing._used(worst)
    assert "does not pass" in page.inner_text("#bearing-summary")
    # the formula in numbers is behind the check
    page.click("#bearing-checks summary >> nth=0")
    assert worst is not None
    assert worst.formula in page.inner_text("#bearing-checks .formula >> nth=0")
    page.click('button[data-do="write sizes"]')
    contains(page, "#bearing-summary", "given in the file")
    page.click('[data-key="tool-save"]')
    contains(page, "#title", "(saved)")
    given = tomllib.loads(file.read_text())["bearings"]["given"][0]
    assert (given["seat"], given["sizes"]["pot.wall"]) == ("A2-2", "5 mm")
    page.click('[data-key="tool-undo"]')
    contains(page, "#bearing-summary", "kind of the file")
    assert page.inner_text("#bearing-summary dd b") == first


def test_a_size_that_is_none_is_told_at_its_field(page):
    to(page, "bearing")
    page.select_option('select[data-do="seat"]', "A2-2")
    contains(page, "#bearing-summary", "A2-2: ")
    typed(page, '[data-size="pad.diameter"]', "3 kN")
    contains(page, '[id="size-pad.diameter-fault"]', "'kN' is no unit of this kind")
    assert page.is_disabled('button[data-do="write sizes"]')
    page.click('button[data-do="back"]')
    page.wait_for_function("!document.querySelector('#bearing-sizes .fault')")


def test_kinds_side_by_side_a_refusal_and_another_kind_in_the_file(page, file: Path):
    to(page, "bearing")
    page.select_option('select[data-do="seat"]', "A2-2")
    page.click('button[data-do="beside"]')
    page.wait_for_selector("#bearing-beside table", timeout=60_000)
    assert "single roller" in page.inner_text("#bearing-beside")
    page.select_option('select[data-do="kind"]', "single roller")
    contains(page, "#bearing-summary", "NO BEARING")
    page.click('#bearing-beside button[data-value="spherical"]')
    contains(page, "#bearing-summary", "A2-2: spherical")
    page.click('button[data-do="write kind"]')
    contains(page, "#bearing-work", "spherical is in the file")
    page.wait_for_function(
        "!document.querySelector('#bearing-work progress') && "
        "document.querySelector('#bearing-summary').textContent.includes('kind of the file')",
        timeout=120_000,
    )
    page.click('[data-key="tool-save"]')
    contains(page, "#title", "(saved)")
    assert tomllib.loads(file.read_text())["arrangement"]["seats"]["A2-2"]["kind"] == "spherical"


def test_the_bearing_stands_in_space_and_turns_to_fixed_views(page):
    to(page, "bearing")
    page.wait_for_selector(".js-plotly-plot .gl-container", state="attached", timeout=60_000)
    names = page.eval_on_selector(
        ".js-plotly-plot", "plot => plot.data.filter(d => d.type === 'mesh3d').map(d => d.name)"
    )
    assert "base plate" in names
    eye = "document.querySelector('.js-plotly-plot').layout.scene.camera.eye.z"
    before = page.evaluate(eye)
    page.focus('button[data-value="above"]')
    page.keyboard.press("Enter")
    page.wait_for_function(f"{eye} !== {before}")
    assert page.evaluate(eye) > 2.0


# ------------------------------------------------------------------ the file
CHAINAGE = '[id="f-support-1-chainage"]'


def test_a_wrong_unit_is_told_at_the_field_and_at_the_line(page, file: Path):
    to(page, "editor")
    page.click('#editor-sections [data-value="supports"]')
    page.wait_for_selector(CHAINAGE)
    stood = page.input_value(CHAINAGE)
    typed(page, CHAINAGE, "40 kN")
    contains(page, '[id="f-support-1-chainage-fault"]', "'kN' is no unit of this kind")
    assert page.get_attribute(CHAINAGE, "aria-invalid") == "true"
    rows = file.read_text().split("\n")
    line = [number for number, row in enumerate(rows, 1) if row.startswith("chainage")][1]
    assert f"line {line}" in page.inner_text("#editor-faults")
    assert "A2: chainage" in page.inner_text("#editor-faults")
    assert page.inner_text(".cm-fault") == 'chainage = "40 kN"'
    contains(page, "#title", "(saved)")  # the desk keeps what is valid
    typed(page, CHAINAGE, stood)
    contains(page, "#editor-head", "a valid bridge file")
    assert page.get_attribute(CHAINAGE, "aria-invalid") is None


def test_a_field_changes_the_text_and_undo_goes_back_and_comments_stay(page, file: Path):
    to(page, "editor")
    name = '[id="f-bridge-name"]'
    stood = page.input_value(name)
    typed(page, name, "Another bridge")
    contains(page, "#title h1", "Another bridge")
    contains(page, ".cm-content", "Another bridge")
    before = file.read_text()
    page.click('[data-key="tool-save"]')
    contains(page, "#title", "(saved)")
    assert file.read_text() == change_text(before, {"bridge.name": "Another bridge"})
    page.click('[data-key="tool-undo"]')
    contains(page, "#title h1", stood)
    page.wait_for_function(
        "([place, text]) => document.querySelector(place).value === text", arg=[name, stood]
    )


def test_the_text_is_edited_and_the_forms_follow(page):
    to(page, "editor")
    page.click(".cm-content")
    page.keyboard.press("Control+Home")
    page.keyboard.type("oops\n")
    contains(page, "#editor-form", "not TOML")
    assert "line 1" in page.inner_text("#editor-faults")
    page.keyboard.press("Backspace")
    for _ in range(4):
        page.keyboard.press("Backspace")
    contains(page, "#editor-head", "a valid bridge file")
    page.wait_for_selector("#editor-form .line")


def test_download_upload_and_another_name(page, file: Path):
    to(page, "editor")
    with page.expect_download() as download:
        page.click('[data-key="download"]')
    assert download.value.suggested_filename == file.name
    assert Path(download.value.path()).read_text() == file.read_text()
    bad = {"name": "bad.toml", "mimeType": "text/plain", "buffer": b"[bridge]\nname = 3\n"}
    page.set_input_files(".editor-page .picker input[type=file]", files=[bad])
    contains(page, "#editor-faults", "bridge.name")
    contains(page, "#title", "(saved)")
    good = file.read_text().replace("[bridge]\n", "# uploaded\n[bridge]\n", 1)
    page.set_input_files(
        ".editor-page .picker input[type=file]",
        files=[{"name": "good.toml", "mimeType": "text/plain", "buffer": good.encode()}],
    )
    contains(page, "#editor-head", "a valid bridge file")
    page.fill("#editor-name", "../away")
    page.click('[data-key="save as"]')
    contains(page, "#editor-message", "no path")
    (file.parent / "there.toml").write_text("x = 1\n")
    page.fill("#editor-name", "there")
    page.click('[data-key="save as"]')
    contains(page, "#editor-message", "nothing was written")
    assert (file.parent / "there.toml").read_text() == "x = 1\n"
    page.click('#editor-message [data-value="over"]')
    contains(page, "#title", "there.toml (saved)")
    assert (file.parent / "there.toml").read_text() == good
    assert not (file.parent.parent / "away.toml").exists()


def test_a_file_changed_elsewhere_is_not_overwritten_without_being_asked(page, file: Path):
    to(page, "editor")
    typed(page, '[id="f-bridge-name"]', "Mine")
    contains(page, "#title h1", "Mine")
    theirs = change_text(file.read_text(), {"bridge.name": "Theirs"})
    file.write_text(theirs)
    page.click('[data-key="tool-save"]')
    contains(page, "#messages", "nothing was written")
    assert file.read_text() == theirs
    page.click('#messages [data-value="theirs"]')
    contains(page, "#title h1", "Theirs")
    page.wait_for_function("document.querySelector('[id=\"f-bridge-name\"]').value === 'Theirs'")


def test_a_template_is_started_from(page):
    to(page, "editor")
    page.select_option('select[data-do="template"]', "reactions")
    contains(page, "#title", "reactions.toml (not saved)")
    page.wait_for_selector("#editor-form .line", timeout=60_000)
    contains(page, "#editor-head", "a valid bridge file")


# ------------------------------------------------------------------ both
@pytest.mark.parametrize("word", ["bearing", "editor"])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_pages_can_be_used_by_everybody(page, word: str, theme: str):
    """No violation of WCAG 2 A and AA that axe-core can see."""
    axe = pytest.importorskip("axe_core_python.sync_playwright")
    to(page, word)
    page.evaluate(f"bedstone.dark({str(theme == 'dark').lower()})")
    page.wait_for_timeout(800)
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    found = axe.Axe().run(page, options=rules)["violations"]
    told = [
        f"{item['id']}: {item['help']}: {[node['html'][:160] for node in item['nodes'][:4]]}"
        for item in found
    ]
    assert told == []


@pytest.mark.parametrize("word", ["bearing", "editor"])
def test_twice_the_size_needs_no_sideways_scrolling(page, word: str):
    to(page, word)
    page.set_viewport_size({"width": 640, "height": 400})  # 1280 by 800 at 200 %
    page.wait_for_timeout(500)
    assert page.evaluate("document.documentElement.scrollWidth") <= 640
