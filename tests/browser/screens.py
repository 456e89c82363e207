"""Pictures of every page, its question answered, into build/screens. A script, not a test.

.venv/bin/python tests/browser/screens.py [EXAMPLE ...]

The whole page light and dark at 1280 by 800, and light on a telephone (390 by 844) and at 200 %.
Without examples told, the pages of a stock as well.
With --readme the two pictures of the README are made anew, and no others.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

for _place in (Path(__file__).parents[1] / "workspace", Path(__file__).parent):
    sys.path.insert(0, str(_place))
from browsing import EXAMPLES, MISSING, chromium, serving  # noqa: E402
from seeing import PATIENCE, opened, stock_opened, themed, to  # noqa: E402
from stock_cases import REAL, Stock  # noqa: E402

ROOT = Path(__file__).parents[2]
OUT = ROOT / "build" / "screens"
README = {"light": "workspace.png", "dark": "workspace-dark.png"}
#: Widths and heights besides the first: a telephone, and 1280 by 800 at 200 %.
SIZES = {"telephone": (390, 844), "200": (640, 400)}


def main(*given: str) -> int:
    """Write the pictures."""
    path = chromium()
    if path is None:
        print(MISSING)
        return 1
    OUT.mkdir(parents=True, exist_ok=True)
    anew = "--readme" in given
    examples = ["girders"] if anew else [one for one in given if not one.startswith("-")]
    for example in examples or ("girders", "truss", "curved", "railway"):
        with tempfile.TemporaryDirectory() as folder:
            file = Path(shutil.copy(EXAMPLES / f"{example}.toml", folder))
            with serving(file, Path(folder) / "cache") as server, sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
                page = browser.new_page(viewport={"width": 1280, "height": 800})
                page.set_default_timeout(PATIENCE)
                opened(page, server)
                words = page.eval_on_selector_all(
                    '#navigation button[data-do="page"]', "all => all.map(b => b.dataset.value)"
                )
                for word in words if not anew else ():
                    to(page, word)
                    pictures(page, f"{example}-{word}")
                if anew:
                    readme(page)
                browser.close()
    if not given:
        stock()
    return 0


def stock() -> None:
    """The pages of a stock that is made up, its schedules worked out by rule."""
    with tempfile.TemporaryDirectory() as place:
        own = Stock.made(Path(place), 60)
        cache = Path(place) / "cache"
        with (
            serving(own.folder, cache, "--out", str(own.store)) as server,
            sync_playwright() as playwright,
        ):
            browser = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.set_default_timeout(PATIENCE)
            stock_opened(page, server.address)
            page.locator("[data-unfold]").first.click()
            pictures(page, "stock")
            page.goto(f"{server.address}results?file={REAL}")
            page.wait_for_selector("#seats table")
            pictures(page, "stock-results")
            browser.close()


def pictures(page, name: str) -> None:
    """All pictures of one page as it stands."""
    for theme in ("dark", "light"):
        themed(page, theme)
        settled(page)
        taken(page, f"{name}-{theme}", full_page=True)
    for size, (wide, high) in SIZES.items():
        page.set_viewport_size({"width": wide, "height": high})
        settled(page)
        taken(page, f"{name}-{size}", full_page=True)
    page.set_viewport_size({"width": 1280, "height": 800})


def readme(page) -> None:
    """The page of the bridge with a bearing turned and the bridge warm, as the README shows it."""
    page.click('#plan [data-seat="A1-2"] .hit')
    page.wait_for_function("document.getElementById('sketch').textContent.includes('A1-2')")
    page.evaluate("window.scrollTo(0, 0)")
    for theme, name in README.items():
        themed(page, theme)
        settled(page)
        target = ROOT / "docs" / "images" / name
        page.screenshot(path=target)
        print(target.relative_to(ROOT), f"{target.stat().st_size / 1e3:.0f} kB")


def settled(page) -> None:
    """Let plots take their size; a picture is no test, so that a rest will do."""
    page.wait_for_timeout(700)


def taken(page, name: str, **how: bool) -> None:
    """One picture."""
    target = OUT / f"{name}.png"
    page.screenshot(path=target, **how)
    print(target.relative_to(ROOT))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
