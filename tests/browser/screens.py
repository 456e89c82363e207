"""Pictures of every page at 1280 by 800, light and dark, into build/screens. A script, not a test.

.venv/bin/python tests/browser/screens.py [EXAMPLE ...]
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parent))
from browsing import EXAMPLES, MISSING, chromium, serving

OUT = Path(__file__).parents[2] / "build" / "screens"


def main(*examples: str) -> int:
    """Write the pictures."""
    path = chromium()
    if path is None:
        print(MISSING)
        return 1
    OUT.mkdir(parents=True, exist_ok=True)
    for example in examples or ("girders", "truss", "curved", "railway"):
        with tempfile.TemporaryDirectory() as folder:
            file = Path(shutil.copy(EXAMPLES / f"{example}.toml", folder))
            with serving(file, Path(folder) / "cache") as server, sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
                page = browser.new_page(viewport={"width": 1280, "height": 800})
                page.goto(server.address)
                page.wait_for_selector("#sketch svg", timeout=120_000)
                words = page.eval_on_selector_all(
                    '#navigation button[data-do="page"]', "all => all.map(b => b.dataset.value)"
                )
                for word in words:
                    page.click(f'#navigation button[data-value="{word}"]')
                    page.wait_for_timeout(1500)
                    for theme in ("light", "dark"):
                        page.evaluate(f"bedstone.dark({str(theme == 'dark').lower()})")
                        page.wait_for_timeout(200)
                        target = OUT / f"{example}-{word}-{theme}.png"
                        page.screenshot(path=target)
                        print(target.relative_to(OUT.parents[1]))
                    page.screenshot(path=OUT / f"{example}-{word}-whole.png", full_page=True)
                browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
