"""The page of service in a real browser: from no record to a judgement of its logs."""

import gzip
from datetime import UTC, datetime
from pathlib import Path

from browsing import EXAMPLES
from seeing import contains, expect, to

from bedstone.site.log_files import LogForm
from bedstone.site.record import new_record, open_record, record_file
from bedstone.workspace.desk import Desk


def record(file: Path, log: str) -> None:
    """A record with a log of the examples."""
    target = file.with_name(f"{log}.csv")
    target.write_bytes(gzip.decompress((EXAMPLES / "site" / "logs" / f"{log}.csv.gz").read_bytes()))
    new_record(record_file(file), Desk.open(file).bridge.bridge.name)
    with open_record(record_file(file), write=True, logs=True) as opened:
        form = LogForm(("A1-1", "A1-2", "A2-1", "A2-2"))
        opened.add_log(target, form, "tests", datetime(2026, 1, 1, tzinfo=UTC))


#: Whether the plots show the bearing that is judged: a line of the fit, and as many points twice.
_DRAWN = """() => {
  const [cloud, time] = [...document.querySelectorAll(".js-plotly-plot")].map(one => one.data);
  const read = cloud?.find(one => one.name === "read");
  return read && read.x.length > 100 && time[0].x.length === read.x.length &&
    cloud.some(one => one.name === "as it moves");
}"""


def test_no_record_is_told_and_a_log_is_judged(page, file: Path):
    to(page, "service")
    contains(page, "#none", "no record beside this bridge file yet")
    record(file, "ratcheting")
    to(page, "bridge")
    to(page, "service")
    page.wait_for_selector("#seats table")
    contains(page, "#answer", "Needs action: A2-1")
    contains(page, "#seats", "ratcheting")
    # what needs action stands first
    contains(page, "#judged-seat", "A2-1 along x'")
    page.wait_for_function(_DRAWN)
    contains(page, "#judgement .problem", "with the cycles of temperature")
    contains(page, "#cloud-words", "2000 of 8760 readings are drawn")
    page.click('#seats button[data-value="A2-2"]')
    contains(page, "#judged-seat", "A2-2 along x'")
    expect(page.locator("#seats tr.chosen")).to_contain_text("A2-2")
    expect(page.locator("#judgement .problem")).to_have_count(0)
    contains(page, "#judgement", "Free")
    page.click('button[data-do="read"]')
    expect(page.locator("#asking progress")).to_have_count(0)
    contains(page, "#judged-seat", "A2-2 along x'")


def test_a_record_that_has_grown_is_told(page, file: Path):
    record(file, "free")
    to(page, "service")
    expect(page.locator("#answer .stale")).to_have_count(0)
    with open_record(record_file(file), write=True) as opened:
        opened.connection.execute("UPDATE layout SET program = 'another'")
    to(page, "bridge")
    to(page, "service")
    contains(page, "#answer .stale", "the record has grown")
    page.click('button[data-do="read"]')
    expect(page.locator("#answer .stale")).to_have_count(0)
