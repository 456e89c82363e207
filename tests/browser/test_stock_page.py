"""The page of a stock in a real browser: sorting, filtering, unfolding, looking closer, working."""

from __future__ import annotations

from pathlib import Path

import pytest
from browsing import EXAMPLES, serving
from seeing import contains, expect, stock_opened, stocked, to, unsaved, watched
from stock_cases import FAULTY, REAL, Stock, shown
from stocks import files, kept, row

from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.ranking import thresholds_of
from bedstone.workspace.stock_read import standing

ROWS = "#stock-body tr[aria-rowindex]"
#: Place of the cells of a column among those of a row.
_CELLS = """key => {
  const at = [...document.querySelectorAll("#stock-head [data-head]")]
    .findIndex(head => head.dataset.head === key);
  return [...document.querySelectorAll("#stock-body tr[aria-rowindex]")]
    .map(row => row.children[at].innerText.trim());
}"""


def cells(page, key: str) -> list[str]:
    """The cells of a column, from above."""
    return page.evaluate(_CELLS, key)


def sorted_by(page, key: str, way: str) -> None:
    """Wait until the table is sorted so."""
    expect(page.locator(f'[data-head="{key}"]')).to_have_attribute("aria-sort", way)
    expect(page.locator("[aria-sort]")).to_have_count(1)


def count(page, number: int, of: int) -> None:
    """Wait until so many bridges pass the filters."""
    text = f"{of} bridges" if number == of else f"{number} of {of} bridges"
    expect(page.locator("#stock-count")).to_have_text(text)


def scrolled_to_the_end(page, rows: int) -> None:
    """Scroll until so many rows are drawn."""
    page.wait_for_function(
        """([rows, wanted]) => {
          document.getElementById("stock-rest").scrollIntoView();
          return document.querySelectorAll(rows).length === wanted;
        }""",
        arg=[ROWS, rows],
    )


# ---------------------------------------------------------------- sorting
@pytest.mark.parametrize(
    ("key", "ways"),
    [
        ("travel", ("ascending", "descending")),  # the least travel left first
        ("utilisation", ("descending", "ascending")),
        ("length", ("descending", "ascending")),
    ],
)
def test_a_column_sorts_what_asks_for_most_first_then_the_other_way(
    stock_page, stock: Stock, key: str, ways: tuple[str, str]
):
    known = sorted(row[key] for row in stock.rows() if row[key] is not None)
    for way in ways:
        stock_page.click(f'[data-sort="{key}"]')
        sorted_by(stock_page, key, way)
        told = cells(stock_page, key)
        ends = known if way == "ascending" else known[::-1]
        assert told[:5] == [shown(key, value) for value in ends[:5]]
    # what is not known comes last, either way
    scrolled_to_the_end(stock_page, len(stock.rows()))
    unknown = len(stock.rows()) - len(known)
    assert unknown
    assert cells(stock_page, key)[-unknown:] == ["–"] * unknown


def test_the_keyboard_sorts_and_words_sort_as_people_count(stock_page, stock: Stock):
    stock_page.focus('[data-sort="bridge"]')
    stock_page.keyboard.press("Enter")
    sorted_by(stock_page, "bridge", "ascending")
    assert stock_page.evaluate("document.activeElement.dataset.sort") == "bridge"
    first = [text.split("\n")[0] for text in cells(stock_page, "bridge")[:3]]
    assert first == [
        "line-0/bridge-0000.toml",
        "line-0/bridge-0007.toml",
        "line-0/bridge-0014.toml",
    ]
    stock_page.keyboard.press("Space")
    sorted_by(stock_page, "bridge", "descending")
    contains(stock_page, ROWS, REAL)


def test_the_list_beside_the_filters_sorts_too(stock_page):
    stock_page.select_option("#stock-sort", "uplift")
    sorted_by(stock_page, "uplift", "ascending")
    stock_page.click("#stock-turn")
    sorted_by(stock_page, "uplift", "descending")


# ---------------------------------------------------------------- filtering
def test_words_and_lists_filter_and_the_address_keeps_them(stock_page, stock: Stock):
    rows = stock.rows()
    count(stock_page, len(rows), len(rows))
    stock_page.fill("#stock-find", "LINE-3 bridge")
    found = [item for item in rows if item["bridge"].startswith("line-3/")]
    count(stock_page, len(found), len(rows))
    family = found[0]["family"]
    stock_page.select_option("#stock-family", family)
    found = [item for item in found if item["family"] == family]
    count(stock_page, len(found), len(rows))
    stock_page.click('[data-sort="harm"], [data-sort="travel"]')
    names = {item["bridge"] for item in found}
    assert {text.split("\n")[0] for text in cells(stock_page, "bridge")} == names
    # a reload, and whoever gets the address, sees the same
    stock_page.reload()
    stocked(stock_page)
    count(stock_page, len(found), len(rows))
    expect(stock_page.locator("#stock-find")).to_have_value("LINE-3 bridge")
    expect(stock_page.locator("#stock-family")).to_have_value(family)
    sorted_by(stock_page, "travel", "ascending")
    # one filter after the other goes
    stock_page.click('[data-drop="find"]')
    stock_page.click('[data-drop="family"]')
    count(stock_page, len(rows), len(rows))
    expect(stock_page.locator("#stock-find")).to_be_focused()


def test_reason_state_and_concern_filter(stock_page, stock: Stock):
    rows = stock.rows()
    for list_, value, passes in (
        ("reason", "uplift", lambda item: any(r["kind"] == "uplift" for r in item["reasons"])),
        ("state", "faulty", lambda item: item["state"] == "faulty"),
        ("concern", "1..", lambda item: (item["concern"] or 0.0) >= 1.0),
    ):
        stock_page.select_option(f"#stock-{list_}", value)
        expected = sum(map(passes, rows))
        assert 0 < expected < len(rows)
        count(stock_page, expected, len(rows))
        stock_page.click(f'[data-drop="{list_}"]')
        count(stock_page, len(rows), len(rows))


def test_an_address_that_asks_for_what_there_is_not_says_so(stock_page, stock_server, stock: Stock):
    address = f"{stock_server.address}?family=moon&sort=moon&travel=a..b&concern=..<b>"
    stock_opened(stock_page, address)
    count(stock_page, 0, len(stock.rows()))
    contains(stock_page, "#stock-chips", "family: moon")
    stock_page.click('[data-drop="family"]')
    count(stock_page, len(stock.rows()), len(stock.rows()))
    sorted_by(stock_page, "rank", "ascending")


def test_an_address_that_sorts_by_a_column_left_out_sorts_by_rank(stock_page, stock_server):
    assert stock_page.locator('[data-sort="harm"]').count() == 0  # known of no bridge here
    stock_opened(stock_page, f"{stock_server.address}?sort=harm&down=1&state=done")
    sorted_by(stock_page, "rank", "ascending")
    expect(stock_page.locator("#stock-sort")).to_have_value("rank")
    expect(stock_page.locator("#stock-turn")).to_have_text("rising ↑")
    expect(stock_page.locator("#stock-state")).to_have_value("done")  # the filters hold
    # and the address it goes on with says so
    stock_page.wait_for_url(f"{stock_server.address}?state=done")


def test_a_bar_filters_the_list_and_is_worked_by_keys(stock_page, stock: Stock):
    rows = stock.rows()
    inside = [item for item in rows if item["travel"] is not None and 0 <= item["travel"] < 0.025]
    bar = stock_page.get_by_role("button", name="travel left 0 to 25 mm", exact=False)
    expect(bar).to_have_attribute("aria-label", f"travel left 0 to 25 mm: {len(inside)} bridges")
    bar.click()
    count(stock_page, len(inside), len(rows))
    expect(bar).to_have_attribute("aria-pressed", "true")
    contains(stock_page, "#stock-chips", "travel left: 0 to 25.0 mm")
    # the next bar to the left, by the keyboard: below nothing left
    stock_page.keyboard.press("ArrowLeft")
    stock_page.keyboard.press("Enter")
    outside = [item for item in rows if item["travel"] is not None and -0.025 <= item["travel"] < 0]
    count(stock_page, len(outside), len(rows))
    assert "−25 to 0" in stock_page.evaluate("document.activeElement.getAttribute('aria-label')")
    # once more and it lets go
    stock_page.keyboard.press("Enter")
    count(stock_page, len(rows), len(rows))


def test_the_bars_count_what_the_other_filters_leave(stock_page, stock: Stock):
    rows = stock.rows()
    irc = [item for item in rows if item["family"] == "irc"]
    stock_page.select_option("#stock-family", "irc")
    count(stock_page, len(irc), len(rows))
    told = stock_page.eval_on_selector_all(
        '#stock-charts [data-bar^="utilisation"]', "all => all.map(one => one.ariaLabel)"
    )
    high = [item for item in irc if item["utilisation"] is not None and item["utilisation"] >= 1.0]
    ends = [
        text.rsplit(": ", 1)[1].split(" ")[0]
        for text in told
        if "1.00 to" in text or "1.10" in text
    ]
    assert sum(map(int, ends)) >= len(high)
    # all bars together hold every bridge of the family of which it is known
    sums = sum(int(text.rsplit(": ", 1)[1].split(" ")[0]) for text in told)
    assert sums == sum(item["utilisation"] is not None for item in irc)


def test_a_family_or_kind_filters_with_its_concern(stock_page, stock: Stock):
    rows = stock.rows()
    stock_page.click('[data-by="kind"]')
    piece = stock_page.locator('[data-band="truss, road"]').first
    most = [item for item in rows if item["kind"] == "truss, road" and item["concern"] >= 1.0]
    expect(piece).to_have_attribute(
        "aria-label", f"truss, road, something to be done: {len(most)} bridges"
    )
    piece.click()
    count(stock_page, len(most), len(rows))
    expect(stock_page.locator("#stock-kind")).to_have_value("truss, road")


# ---------------------------------------------------------------- unfolding, below
def test_a_row_unfolds_to_all_its_reasons(stock_page, stock: Stock):
    first = max(stock.rows(), key=lambda item: len(item["reasons"]))
    assert len(first["reasons"]) > 1
    stock_page.fill("#stock-find", first["bridge"])
    expect(stock_page.locator(ROWS)).to_have_count(1)
    button = stock_page.locator("[data-unfold]")
    button.focus()
    stock_page.keyboard.press("Enter")
    expect(button).to_have_attribute("aria-expanded", "true")
    told = stock_page.locator(".unfolded .reasons li")
    expect(told).to_have_count(len(first["reasons"]))
    for number, reason in enumerate(first["reasons"]):
        expect(told.nth(number)).to_have_text(f"{reason['concern']:.2f} {reason['text']}")
    # it stays unfolded while the list is sorted anew
    stock_page.click('[data-sort="travel"]')
    expect(told).to_have_count(len(first["reasons"]))
    stock_page.locator("[data-unfold]").click()
    expect(stock_page.locator(".unfolded")).to_have_count(0)


def test_what_was_not_worked_out_stands_in_full_below(stock_page, stock: Stock):
    expect(stock_page.locator("#stock-faulty > details > ul > li > ul > li")).to_have_count(6)
    contains(stock_page, "#stock-faulty", FAULTY)
    contains(stock_page, "#stock-notes", "not tried")
    contains(stock_page, "#stock-passed", "notes.toml")
    contains(stock_page, ".made-up", f"1 of these {len(stock.rows())} bridges are made up")
    contains(stock_page, "#stock-standing", "Up to date")
    expect(stock_page.locator('[data-do="work"]')).to_have_count(0)


# ---------------------------------------------------------------- looking closer
def test_rows_of_a_bridge_and_back_to_the_list_as_it_was(stock_page, stock_server):
    stock_page.fill("#stock-find", "truss.toml")
    expect(stock_page.locator(ROWS)).to_have_count(1)
    stock_page.locator("[data-unfold]").click()
    stock_page.click("text=All that was worked out of it")
    contains(stock_page, "h1", "Real one")
    contains(stock_page, "#seats", "12.5")  # mm of travel left
    contains(stock_page, "#seats thead", "N max")
    contains(stock_page, "#supports", "500.0")
    contains(stock_page, "#remarks", "not tried")
    stock_page.click("a.back")
    stocked(stock_page)
    expect(stock_page.locator("#stock-find")).to_have_value("truss.toml")
    expect(stock_page.locator(ROWS)).to_have_count(1)


def test_a_bridge_opens_at_an_address_of_its_own_and_one_click_leads_back(browser, tmp_path: Path):
    stock = Stock.made(tmp_path, 3)
    with (
        serving(stock.folder, tmp_path / "cache", "--out", str(stock.store)) as server,
        watched(browser, server) as page,
    ):
        there_and_back(page, server.address)


def there_and_back(page, address: str) -> None:
    """From the list to the bridge, to its file and back, twice; then saved."""
    stock_opened(page, address)
    page.fill("#stock-find", "real one")
    expect(page.locator(ROWS)).to_have_count(1)
    page.click("#stock-body th a")
    page.wait_for_selector("#forces table")
    assert page.url == f"{address}bridge?file={REAL}&page=bridge"
    to(page, "editor")
    page.wait_for_url(f"{address}bridge?file={REAL}&page=editor")
    name = '[id="f-bridge-name"]'
    page.fill(name, "Changed one")
    page.press(name, "Tab")
    unsaved(page)
    # the desk is that of this tab and file: it waits while the stock is looked at
    page.click("a.back")
    stocked(page)
    expect(page.locator("#stock-find")).to_have_value("real one")
    page.click("#stock-body th a")
    unsaved(page)
    contains(page, "#title h1", "Changed one")
    page.click('[data-key="tool-save"]')
    contains(page, "#title", "(saved)")
    # saved, its results are no longer those of its file
    page.click("a.back")
    stocked(page)
    contains(page, "#stock-standing", f"1 bridge ({REAL}): files changed")
    contains(page, ROWS, "files changed since")
    # under another name it has another address
    page.click("#stock-body th a")
    to(page, "editor")
    page.fill("#editor-name", "copy.toml")
    page.click('[data-key="save as"]')
    page.wait_for_url(f"{address}bridge?file=copy.toml&page=editor")
    page.click("a.back")
    stocked(page)
    contains(page, "#stock-standing", "1 bridge (copy.toml) without results")


def test_addresses_of_no_bridge_are_refused_in_words(stock_page, stock_server, tmp_path: Path):
    (tmp_path / "outside.toml").write_text('[bridge]\nname = "outside"\n')
    for file in ("../outside.toml", "..%2Foutside.toml", "/etc/passwd", "none.toml", "notes.toml"):
        for place in ("bridge", "results"):
            stock_page.goto(f"{stock_server.address}{place}?file={file}")
            contains(stock_page, ".problem", "a bridge file of the folder")
    stock_page.goto(f"{stock_server.address}bridge?file=<script>alert(1)</script>")
    contains(stock_page, ".problem", "a bridge file of the folder")
    stock_page.click(".problem a")
    stocked(stock_page)


# ---------------------------------------------------------------- many
def test_a_thousand_bridges(browser, tmp_path: Path):
    folder, store = files(tmp_path / "bridges", 1000), tmp_path / "store"
    kept(folder, store)
    with (
        serving(folder, tmp_path / "cache", "--out", str(store)) as server,
        watched(browser, server) as page,
    ):
        stock_opened(page, server.address)
        count(page, 1000, 1000)
        expect(page.locator("#stock-table")).to_have_attribute("aria-rowcount", "1001")
        # few rows are on the page; more come as one scrolls, in the same order
        drawn = page.locator(ROWS).count()
        assert drawn < 200
        page.locator("#stock-rest").scroll_into_view_if_needed()
        page.wait_for_function(
            "([rows, least]) => document.querySelectorAll(rows).length > least", arg=[ROWS, drawn]
        )
        ranks = [int(text) for text in cells(page, "rank")]
        assert ranks == list(range(1, len(ranks) + 1))
        page.click('[data-sort="length"]')
        sorted_by(page, "length", "descending")
        assert cells(page, "length")[0] == "109.0"
        page.fill("#stock-find", "bridge-0777")
        count(page, 1, 1000)
        contains(page, ROWS, "bridge-0777.toml")
        page.fill("#stock-find", "")
        count(page, 1000, 1000)
        # not by the mouse: what is scrolled to is drawn, and the button moves on
        page.evaluate("document.getElementById('stock-all').click()")
        expect(page.locator(ROWS)).to_have_count(1000)
        expect(page.locator("#stock-rest")).to_be_empty()


# ---------------------------------------------------------------- working
def real(folder: Path, number: int) -> None:
    """A small bridge that can be worked out: each with another span."""
    text = (EXAMPLES / REAL).read_text(encoding="utf-8")
    folder.mkdir(exist_ok=True)
    own = text.replace('chainage = "64 m"', f'chainage = "{62 + number} m"')
    (folder / f"bridge-{number}.toml").write_text(own, encoding="utf-8")


def test_without_a_store_the_page_says_what_is_there_and_what_to_do(browser, tmp_path: Path):
    folder = tmp_path / "bridges"
    for number in range(2):
        real(folder, number)
    with serving(folder, tmp_path / "cache") as server, watched(browser, server) as page:
        stock_opened(page, server.address)
        contains(page, "#stock-standing", "Nothing has been worked out yet of 2 bridge files.")
        assert cells(page, "state") == ["not worked out"] * 2
        # started and stopped: nothing is lost that was done, and nothing runs on
        page.click('[data-do="work"]')
        page.wait_for_selector("#stock-standing progress")
        page.click('[data-do="stop"]')
        contains(page, "#stock-standing", "Stopped:")
        expect(page.locator("#stock-standing progress")).to_have_count(0)
        expect(page.locator('[data-do="work"]')).to_be_enabled()


def test_work_out_what_changed_then_it_stands_on_the_page(browser, tmp_path: Path):
    folder, store = tmp_path / "bridges", tmp_path / "store"
    for number in range(3):
        real(folder, number)
    members = find_stock(folder).members
    # a store that asks for schedules alone: that is what the page asks for, too
    kept(folder, store, {path: [row("bridges", path, state="done")] for path in members})
    for number in (0, 2):
        (folder / f"bridge-{number}.toml").unlink()
        real(folder, number + 4)
    with (
        serving(folder, tmp_path / "cache", "--out", str(store)) as server,
        watched(browser, server) as page,
    ):
        stock_opened(page, server.address)
        contains(
            page, "#stock-standing", "2 bridges (bridge-4.toml, bridge-6.toml) without results"
        )
        contains(page, "#stock-standing", "results of 2 bridges no longer in the folder")
        page.click('[data-do="work"]')
        contains(page, "#stock-standing", "Done: 2 bridges worked out.")
        contains(page, "#stock-standing", "Up to date")
        contains(page, "#stock-since", "bridge-4.toml")
        found = standing(find_stock(folder), Folder(store), thresholds_of())
        assert found.up_to_date
        page.wait_for_selector(f"{ROWS} >> nth=2")
        ranked = [item.bridge for item in found.ranking]
        expect(page.locator(f"{ROWS} th a")).to_have_text(ranked)
        for path in ("bridge-4.toml", "bridge-6.toml"):
            margin = found.bridges[path].uplift_margin
            assert margin is not None
            at = ranked.index(path)
            assert cells(page, "uplift")[at] == shown("uplift", margin)
        # the numbers are real: the page of its rows has those of the schedule
        page.goto(f"{server.address}results?file=bridge-4.toml")
        contains(page, "#seats", "A1-1")
        contains(page, "#supports", "P1" if "P1" in (EXAMPLES / REAL).read_text() else "A2")


def test_two_pages_see_the_same_work(browser, tmp_path: Path):
    folder = tmp_path / "bridges"
    real(folder, 0)
    with (
        serving(folder, tmp_path / "cache") as server,
        watched(browser, server) as one,
        watched(browser, server) as other,
    ):
        stock_opened(one, server.address)
        stock_opened(other, server.address)
        one.click('[data-do="work"]')
        other.wait_for_selector("#stock-standing progress, #stock-standing :text('Up to date')")
        for page in (one, other):
            contains(page, "#stock-standing", "Up to date")
            expect(page.locator(f"{ROWS} [data-label=state]")).to_have_text("done")
