"""The page of one bearing in a real browser, with the numbers of its design."""

import tomllib
from pathlib import Path

from browsing import Server, chromium
from seeing import PATIENCE, contains, expect, opened, save, saved, text_of, to, typed

from bedstone.schedule.designs import design_seat, seats_of
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import bearing
from bedstone.workspace.work import full_schedule


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
    used = page.locator("#bearing-summary dd b").first
    expect(used).to_have_text(first)
    typed(page, '[data-size="pot.wall"]', "5")
    expect(page.locator("#bearing-checks tr.over")).not_to_have_count(0)
    worst = thin.choice.governing
    assert worst is not None
    expect(page.locator("#bearing-checks tbody tr b").first).to_have_text(bearing._used(worst))
    contains(page, "#bearing-summary", "does not pass")
    # the formula in numbers is behind the check
    page.locator("#bearing-checks summary").first.click()
    formula = page.locator("#bearing-checks .formula").first
    expect(formula).to_be_visible()
    expect(formula).to_contain_text(worst.formula)
    page.click('button[data-do="write sizes"]')
    contains(page, "#bearing-summary", "given in the file")
    save(page)
    given = tomllib.loads(text_of(file))["bearings"]["given"][0]
    assert (given["seat"], given["sizes"]["pot.wall"]) == ("A2-2", "5 mm")
    page.click('[data-key="tool-undo"]')
    contains(page, "#bearing-summary", "kind of the file")
    expect(used).to_have_text(first)


def test_a_size_that_is_none_is_told_at_its_field(page):
    to(page, "bearing")
    page.select_option('select[data-do="seat"]', "A2-2")
    contains(page, "#bearing-summary", "A2-2: ")
    typed(page, '[data-size="pad.diameter"]', "3 kN")
    contains(page, '[id="size-pad.diameter-fault"]', "'kN' is no unit of this kind")
    expect(page.locator('button[data-do="write sizes"]')).to_be_disabled()
    page.click('button[data-do="back"]')
    expect(page.locator("#bearing-sizes .fault")).to_have_count(0)


def test_kinds_side_by_side_a_refusal_and_another_kind_in_the_file(page, file: Path):
    to(page, "bearing")
    page.select_option('select[data-do="seat"]', "A2-2")
    contains(page, "#bearing-summary", "A2-2: ")
    page.click('button[data-do="beside"]')
    page.wait_for_selector("#bearing-beside table")
    contains(page, "#bearing-beside", "single roller")
    page.select_option('select[data-do="kind"]', "single roller")
    contains(page, "#bearing-summary", "NO BEARING")
    page.click('#bearing-beside button[data-value="spherical"]')
    contains(page, "#bearing-summary", "A2-2: spherical")
    page.click('button[data-do="write kind"]')
    contains(page, "#bearing-work", "spherical is in the file")
    contains(page, "#bearing-summary", "kind of the file")
    expect(page.locator("#bearing-work progress")).to_have_count(0)
    save(page)
    assert tomllib.loads(text_of(file))["arrangement"]["seats"]["A2-2"]["kind"] == "spherical"


def test_the_bearing_stands_in_space_and_turns_to_fixed_views(page):
    to(page, "bearing")
    page.wait_for_selector(".js-plotly-plot .gl-container", state="attached")
    page.wait_for_function(
        """() => document.querySelector(".js-plotly-plot").data
          .some(one => one.type === "mesh3d" && one.name === "base plate")"""
    )
    eye = "document.querySelector('.js-plotly-plot').layout.scene.camera.eye.z"
    page.wait_for_function(f"{eye} < 2.0")
    page.focus('button[data-value="above"]')
    page.keyboard.press("Enter")
    page.wait_for_function(f"{eye} > 2.0")


def test_without_a_view_in_space_the_page_says_so(browser, server: Server):
    flat = browser.browser_type.launch(
        executable_path=chromium(), args=["--no-sandbox", "--disable-3d-apis"]
    )
    page = flat.new_page()
    page.set_default_timeout(PATIENCE)
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    opened(page, server)
    to(page, "bearing")
    contains(page, ".bearing-page", "draws nothing in space")
    expect(page.locator(".js-plotly-plot, .bearing-page [data-do=view]")).to_have_count(0)
    # the page goes on working
    page.select_option('select[data-do="seat"]', "A2-2")
    contains(page, "#bearing-summary", "A2-2: ")
    flat.close()
    assert errors == []


def test_a_plot_of_a_page_that_was_left_is_no_error(page):
    to(page, "bearing")
    gone = """async () => {
      const { Plotly } = await import("nicegui-plotly");
      const told = new Promise(done => addEventListener("unhandledrejection", event =>
        setTimeout(() => done([event.reason.message, event.defaultPrevented]), 0)));
      Plotly.Plots.resize(document.createElement("div"));
      return await told;
    }"""
    message, silent = page.evaluate(gone)
    assert "Resize" in message
    assert silent


def test_a_field_of_a_bearing_that_was_left_says_nothing_of_the_next(page):
    """What was typed and is still under way when another bearing comes is not taken for that."""
    to(page, "bearing")
    page.select_option('select[data-do="seat"]', "A2-2")
    contains(page, "#bearing-summary", "A2-2: ")
    page.evaluate(
        """() => {
          const list = document.querySelector('select[data-do="seat"]');
          list.value = "A2-1";
          list.dispatchEvent(new Event("change", { bubbles: true }));
          const field = document.querySelector('[data-size="pot.wall"]');
          field.value = "5";
          field.dispatchEvent(new Event("change", { bubbles: true }));
        }"""
    )
    contains(page, "#bearing-summary", "A2-1: ")
    # this comes after both: what was typed would be there by now
    page.click('button[data-do="large"]')
    expect(page.locator('button[data-do="large"]')).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#bearing-sizes input.changed")).to_have_count(0)
    saved(page)
