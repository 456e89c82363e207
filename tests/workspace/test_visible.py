"""Letters that cannot be seen are written out on every page that shows words of files.

U+202E turns the letters after it (Unicode Standard Annex 9, explicit directional overrides), so
that a name is read as another one. Common practice, no source: such letters are shown as escapes.
"""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stocks import files, kept, row

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.ranking import thresholds_of
from bedstone.workspace import parts
from bedstone.workspace.app import _problem
from bedstone.workspace.stock_page import below
from bedstone.workspace.stock_read import Standing, standing
from bedstone.workspace.stock_rows import rows_of
from bedstone.workspace.visible import faults, visible

TURNED = "north\u202elmot.toml"
WRITTEN_OUT = "north\\u202elmot.toml"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (TURNED, WRITTEN_OUT),
        ("a\x1b[31mb", "a\\x1b[31mb"),
        ("a\nb\tc\0", "a\\nb\\tc\\x00"),
        ("zero\u200bwidth", "zero\\u200bwidth"),
        ("lone\udc80byte", "lone\\udc80byte"),
        ("Brücke über die Wörth, 2 °C, 東", "Brücke über die Wörth, 2 °C, 東"),
        ("12\u202f345", "12\u202f345"),  # set by the pages between digits
    ],
)
def test_what_cannot_be_seen_is_written_out(text: str, told: str):
    assert visible(text) == told
    assert visible(told) == told  # once is enough


@given(text=st.text())
def test_nothing_is_left_that_hides_or_turns(text: str):
    assert all(letter.isprintable() or letter in "\u00a0\u202f" for letter in visible(text))


def test_each_fault_has_a_line_of_its_own_on_the_page_of_a_bridge_that_cannot_be_opened():
    error = InputError([Fault(TURNED, f"field {n}", "nothing", "a number") for n in (1, 2)])
    told = _problem(error, ("/", "Stock of bridges"))
    assert told.count("<li>") == 2
    assert told.count(WRITTEN_OUT) == 2
    assert "\u202e" not in told
    assert faults(BedstoneError(f"{TURNED}: gone")) == (f"{WRITTEN_OUT}: gone",)


def test_messages_of_pages_write_it_out():
    assert WRITTEN_OUT in parts.problem([TURNED])
    assert WRITTEN_OUT in parts.notes([TURNED])


def look(stock: Path, store: Path) -> Standing:
    return standing(find_stock(stock, store), Folder(store), thresholds_of())


def test_the_stock_writes_paths_names_and_faults_out(tmp_path: Path):
    stock, store = files(tmp_path / "stock", 1), tmp_path / "store"
    (stock / TURNED).write_text('[bridge]\nname = "x"\n')
    (stock / f"notes{TURNED}").write_text("[notes]\n")
    rows = [
        row("bridges", TURNED, state="faulty", name="na\u202eme"),
        row("remarks", TURNED, number=1, part="file", what="fault", text=f"{TURNED}: no number"),
    ]
    kept(stock, store, {TURNED: rows})
    found = look(stock, store)
    (told,) = [item for item in rows_of(found) if "lmot" in item["bridge"]]
    assert told["bridge"] == WRITTEN_OUT
    assert told["name"] == "na\\u202eme"
    assert told["faults"] == [f"{WRITTEN_OUT}: no number"]
    # the address is that of the file as it is called
    assert told["open"] == "/bridge?file=north%E2%80%AElmot.toml"
    shown = below(found)
    assert shown.count(WRITTEN_OUT) >= 3
    assert "\u202e" not in shown
