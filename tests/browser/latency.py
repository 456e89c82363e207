"""How long a change of one bearing takes until all drawings are updated. A script, not a test.

    .venv/bin/python tests/browser/latency.py [EXAMPLE] [CHANGES]

Clicks a function of one bearing again and again in headless Chromium and prints median and 95 % of
the time from the click to the painted page, the share of the engine (the look), and the time from
starting the server to its first page.
"""

from __future__ import annotations

import os
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parent))
from browsing import EXAMPLES, MISSING, chromium, serving

#: Clicks in the page itself, so that driving the browser takes no part of the time.
_CLICKS = """async (count) => {
  const rest = (ms) => new Promise((done) => setTimeout(done, ms));
  for (let i = 0; i < count; i += 1) {
    const before = bedstone.timings.length;
    const name = i % 2 ? "guided along" : "guided across";
    document.querySelector(`#bearing button[data-value="${name}"]`).click();
    for (let wait = 0; bedstone.timings.length === before && wait < 500; wait += 1) await rest(10);
    await rest(250);
  }
}"""


def main(example: str = "girders", changes: int = 60) -> int:
    """Measure and print."""
    path = chromium()
    if path is None:
        print(MISSING)
        return 1
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{example}.toml"
        shutil.copy(EXAMPLES / file.name, file)
        with serving(file, Path(folder) / "cache") as server, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto(server.address)
            page.wait_for_selector("#forces table", timeout=60_000)
            # a bearing of the last support, so that the bridge stands with either function
            page.click('#plan [data-seat$="-1"] >> nth=-1')
            page.wait_for_function("document.getElementById('chosen').textContent.endsWith('-1')")
            page.evaluate(_CLICKS, changes + 4)
            timings = page.evaluate("bedstone.timings")[4:]  # the first ones warm up
            browser.close()
    print(f"{example}: {len(timings)} changes, load of the machine {os.getloadavg()[0]:.1f}")
    for name, label in (("total", "click to painted"), ("server", "server"), ("engine", "engine")):
        values = sorted(item[name] for item in timings)
        worst = values[int(0.95 * (len(values) - 1))]
        print(f"  {label:18} median {statistics.median(values):6.1f} ms   95 % {worst:6.1f} ms")
    print(f"  start to first page {server.started:.2f} s")
    return 0


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(*given[:1], *(int(item) for item in given[1:2])))
