"""How long a change of one bearing takes until all drawings are updated. A script, not a test.

    .venv/bin/python tests/browser/latency.py [EXAMPLE] [CHANGES]

Clicks a function of one bearing again and again in headless Chromium and prints median and 95 % of
the time from the click to the painted page, the share of the server and of the engine (the look).
Beside it stands the processor time of a look with nothing else at work in its process: that one
means something on a machine that is busy, too. Then how long the start takes: to the first page, to
the drawings, to the forces.
"""

from __future__ import annotations

import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

from bedstone.workspace.desk import Desk

sys.path.insert(0, str(Path(__file__).parent))
from browsing import EXAMPLES, MISSING, chromium, serving

#: Between these the clicks change the last bearing: the bridge stands with either.
_FUNCTIONS = ("guided across", "guided along")
#: Changes that only warm up.
_WARM = 4
#: Clicks in the page itself, so that driving the browser takes no part of the time.
_CLICKS = """async ([count, names]) => {
  const rest = (ms) => new Promise((done) => setTimeout(done, ms));
  for (let i = 0; i < count; i += 1) {
    const before = bedstone.timings.length;
    document.querySelector(`#bearing button[data-value="${names[i % 2]}"]`).click();
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
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            begin = time.perf_counter()
            with serving(file, Path(folder) / "cache") as server:
                page.goto(server.address)
                page.wait_for_selector("#plan svg", timeout=120_000)
                drawn = time.perf_counter() - begin
                page.wait_for_selector("#forces table", timeout=120_000)
                complete = time.perf_counter() - begin
                # a bearing of the last support, so that the bridge stands with either function
                page.click('#plan [data-seat$="-1"] >> nth=-1')
                page.wait_for_function(
                    "document.getElementById('chosen').textContent.endsWith('-1')"
                )
                seat = page.inner_text("#chosen")
                page.evaluate(_CLICKS, [changes + _WARM, _FUNCTIONS])
                timings = page.evaluate("bedstone.timings")[_WARM:]
            browser.close()
        alone = looks(file, seat, changes)
    print(f"{example}: {len(timings)} changes, load of the machine {os.getloadavg()[0]:.1f}")
    for name, label in (("total", "click to painted"), ("server", "server"), ("engine", "engine")):
        told(label, [item[name] for item in timings])
    told("engine alone", alone, "of the processor")
    print(
        f"  start to first page {server.started:.2f} s, to the drawings {drawn:.2f} s, "
        f"to the forces {complete:.2f} s"
    )
    return 0


def looks(file: Path, seat: str, changes: int) -> list[float]:
    """Processor time (ms) of each look after the same changes, in this process."""
    desk = Desk.open(file)
    _ = desk.look
    found = []
    for number in range(changes + _WARM):
        desk.set_function(seat, _FUNCTIONS[number % 2])
        begin = time.thread_time()
        _ = desk.look
        found.append(1e3 * (time.thread_time() - begin))
    return found[_WARM:]


def told(label: str, values: list[float], more: str = "") -> None:
    """Print median and 95 %."""
    values = sorted(values)
    worst = values[int(0.95 * (len(values) - 1))]
    print(f"  {label:18} median {statistics.median(values):6.1f} ms   95 % {worst:6.1f} ms  {more}")


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(*given[:1], *(int(item) for item in given[1:2])))
