"""What all tests of this folder do and look for in a page; every look waits for what it claims."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from browsing import Server

playwright_api = pytest.importorskip(
    "playwright.sync_api", reason="the package playwright is not installed"
)
expect = playwright_api.expect

#: What a page is waited for at most, ms. Nothing waits so long unless it fails.
PATIENCE = 300_000

#: Page and what is there when it shows its numbers.
PAGES = {
    "bridge": "#sketch svg",
    "editor": "#editor-form .line",
    "schedule": "#traced",
    "arrangements": "#ranked",
    "bearing": "#bearing-checks table",
    "what_if": "#faults",
    "sharing": "#still table",
    "setting": "#rows table",
    "site_check": "#readings .reading",
    "service": "#seats table, #none .note",
}
#: Pages that work out nothing before they are asked.
ASKED = frozenset({"arrangements", "what_if"})

#: Whether a page shows its answer, or why there is none.
_ANSWERED = """wanted => [...document.querySelectorAll(
    `${wanted}, #asking .problem, #bearing-work .problem`)].some(one => one.checkVisibility())"""
#: Colours on their way are no colours to be judged.
_STILL = "() => document.getAnimations().every(one => one.playState !== 'running')"


def opened(page, server: Server) -> None:
    """Open the page of the bridge and wait until it shows its numbers."""
    page.goto(server.address)
    page.wait_for_selector("#forces table")
    page.wait_for_selector("#sketch svg")


def stock_opened(page, address: str) -> None:
    """Open an address of the page of a stock and wait until its rows are there."""
    page.goto(address)
    stocked(page)


def stocked(page) -> None:
    """Wait until the page of a stock shows its rows."""
    page.wait_for_function("document.body.dataset.rows !== undefined")
    expect(page.locator("#stock-count")).not_to_be_empty()


def to(page, word: str, *, ask: bool = True) -> None:
    """Open a page by the navigation and have its question answered."""
    page.click(f'#navigation button[data-value="{word}"]')
    expect(page.locator(f'#navigation [data-value="{word}"]')).to_have_attribute(
        "aria-current", "page"
    )
    if ask and word in ASKED:
        page.click('#asking button[data-do="ask"]')
    if ask:
        page.wait_for_function(_ANSWERED, arg=PAGES[word])
        told = page.locator("#asking .problem, #bearing-work .problem").all_inner_texts()
        assert told == [], f"{word} says: {told}"


def contains(page, place: str, text: str) -> None:
    """Wait for words in a place, seen or in a drawing."""
    expect(page.locator(place).first).to_contain_text(text)


def typed(page, control: str, text: str) -> None:
    """Write into a control and go on with the keyboard."""
    page.fill(control, text)
    page.press(control, "Tab")


def unsaved(page) -> None:
    """Wait until the head says that something is not saved."""
    contains(page, "#title", "(not saved)")
    expect(page.locator('[data-key="tool-save"]')).to_be_enabled()


def save(page, press: Callable[[], Any] | None = None) -> None:
    """Save what was changed, with the button unless told otherwise, and wait until it is."""
    unsaved(page)
    if press is None:
        page.click('[data-key="tool-save"]')
    else:
        press()
    saved(page)


def saved(page) -> None:
    """Wait until the head says that all is saved."""
    contains(page, "#title", "(saved)")
    expect(page.locator('[data-key="tool-save"]')).to_be_disabled()


def until(page, holds: Callable[[], bool], what: str) -> None:
    """Wait for something outside the page, such as a file."""
    for _ in range(PATIENCE // 100):
        if holds():
            return
        page.wait_for_timeout(100)
    pytest.fail(f"waited in vain for {what}")


def themed(page, theme: str) -> None:
    """Make the page light or dark and wait until all of it is."""
    page.evaluate(f"bedstone.dark({str(theme == 'dark').lower()})")
    # the editor of the text takes its theme from the server
    page.wait_for_function(
        """dark => {
          const text = document.querySelector(".cm-editor");
          if (!text) return true;
          const ground = getComputedStyle(text).backgroundColor.match(/[0-9.]+/g).map(Number);
          return (ground[0] < 128) === dark;
        }""",
        arg=theme == "dark",
    )
    page.wait_for_function(_STILL)


def usable_by_everybody(page) -> None:
    """No violation of WCAG 2 A and AA that axe-core can see."""
    axe = pytest.importorskip("axe_core_python.sync_playwright")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    found = axe.Axe().run(page, options=rules)["violations"]
    told = [
        f"{item['id']}: {item['help']}: {[node['html'][:160] for node in item['nodes'][:4]]}"
        for item in found
    ]
    assert told == []


def fits(page, wide: int, high: int) -> None:
    """A window of this size needs no scrolling sideways."""
    page.set_viewport_size({"width": wide, "height": high})
    # plots take the new width a moment later
    page.wait_for_function("wide => document.documentElement.scrollWidth <= wide", arg=wide)


def text_of(file: Path) -> str:
    """The bridge file as it lies on the disk."""
    return file.read_text(encoding="utf-8")


@contextlib.contextmanager
def watched(browser, server: Server) -> Iterator:
    """A page of a browser; nothing may be asked of any other machine, and no script may fail."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE)
    playwright_api.expect.set_options(timeout=PATIENCE)
    asked: list[str] = []
    errors: list[str] = []
    made = context.new_page()
    made.on("request", lambda request: asked.append(request.url))
    made.on("pageerror", lambda error: errors.append(str(error)))
    yield made
    context.close()
    foreign = [url for url in asked if not url.startswith((server.address, "data:", "blob:"))]
    assert foreign == []
    assert errors == []
