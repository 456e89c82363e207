"""What the page of a stock reads from a store, against the Parquet files themselves."""

import hashlib
import json
import time
from pathlib import Path

import duckdb
import pytest
from stocks import PLAIN, by_rule, files, kept, number_of, row

from bedstone.cautions import MADE_UP
from bedstone.errors import BedstoneError
from bedstone.stock import synthetic
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.ranking import thresholds_of
from bedstone.stock.run import Result
from bedstone.stock.store import folder_of
from bedstone.stock.task import PARTS, Options
from bedstone.workspace.stock_read import Standing, standing, tables_of

COUNT = 12


@pytest.fixture
def stock(tmp_path: Path) -> Path:
    return files(tmp_path / "stock", COUNT)


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "store"


def look(stock: Path, store: Path) -> Standing:
    return standing(find_stock(stock, store), Folder(store), thresholds_of())


def of_files(store: Path, query: str, table: str) -> list[tuple]:
    """A query of the files of a table, as docs/stock.md shows it; no code of the store is used."""
    source = f"read_parquet('{store}/bridges/*/{table}.parquet')"
    return duckdb.sql(query.format(source)).fetchall()


def test_measures_are_those_of_the_files_in_si(stock: Path, store: Path):
    kept(stock, store)
    found = look(stock, store)
    assert len(found.bridges) == COUNT
    seats = "SELECT bridge, min(travel_left_m), min(uplift_margin) FROM {} GROUP BY bridge"
    for bridge, left, margin in of_files(store, seats, "seats"):
        assert (found.bridges[bridge].travel_left, found.bridges[bridge].uplift_margin) == (
            left,
            margin,
        )
    bearings = "SELECT bridge, max(utilisation) FROM {} GROUP BY bridge"
    for bridge, use in of_files(store, bearings, "bearings"):
        assert found.bridges[bridge].utilisation == use
    for bridge, length in of_files(store, "SELECT bridge, length_m FROM {}", "bridges"):
        assert found.bridges[bridge].head["length_m"] == length


def test_what_a_run_says_is_what_the_page_says(stock: Path, store: Path):
    ran: Result = kept(stock, store)
    found = look(stock, store)
    assert found.ranking == ran.ranking
    assert found.up_to_date
    assert (found.number, found.options) == (1, PLAIN)


def test_a_store_that_is_missing_leaves_every_bridge_missing(stock: Path, store: Path):
    found = look(stock, store)
    assert (len(found.missing), found.number, found.ranking) == (COUNT, 0, ())
    assert not store.exists()  # looking makes nothing
    assert found.options == Options()


def test_what_is_held_down_and_what_was_designed_do_not_count(stock: Path, store: Path):
    """As in the ranking: a seat held down may lift, a designed bearing is full by design."""
    path = find_stock(stock).members[0]
    rows = [
        row("bridges", path, state="done", name="one"),
        row("seats", path, seat="A1-1", uplift_margin=-0.5, held_down=True),
        row("seats", path, seat="A1-2", uplift_margin=0.25),
        row("bearings", path, seat="A1-1", origin="designed", verdict="passes", utilisation=0.99),
        row("bearings", path, seat="A1-2", origin="given", verdict="passes", utilisation=0.4),
        row("single_faults", path, fault="A1-1 seized", outcome="harm", harm=2.5, rank=1,
            effect="Fx", worst_place="A1", unit="N", before=1.0, after=2.0),
        row("single_faults", path, fault="A1-2 seized", outcome="refused"),
    ]  # fmt: skip
    kept(stock, store, {path: rows})
    own = look(stock, store).bridges[path]
    assert (own.uplift_margin, own.utilisation, own.harm, own.no_end) == (0.25, 0.4, 2.5, False)


def test_logs_and_visits_are_told_with_their_worst_word(stock: Path, store: Path):
    first, second = find_stock(stock).members[:2]
    rows = {
        first: [
            row("bridges", first, state="done"),
            row("monitored", first, seat="A1-1", judgement="free", findings="free", action=False),
            row("monitored", first, seat="A2-1", judgement="frozen", findings="frozen, sluggish",
                action=True, mobility=0.05),
            row("inspections", first, seat="A1-1", state=3, out=1, out_of_tolerance="offset"),
        ],
        second: [
            row("bridges", second, state="done"),
            row("monitored", second, seat="A1-1", judgement="free", findings="free", action=False),
            row("inspections", second, seat="A1-1", state=1, out=0),
        ],
    }  # fmt: skip
    kept(stock, store, rows)
    found = look(stock, store).bridges
    # the concerns are the values "frozen" and "state_3" of stock/data/stock.toml
    assert found[first].log == (2.0, "frozen")
    assert found[first].visit == (0.5, "state 3 proposed")
    assert found[second].log == (0.0, "free")
    assert found[second].visit == (0.0, "state 1")


def test_changed_new_gone_and_damaged_are_told_apart(stock: Path, store: Path):
    kept(stock, store)
    members = find_stock(stock).members
    (stock / members[0]).write_text('[bridge]\nname = "another"\n')
    (stock / members[1]).unlink()
    (stock / "new.toml").write_text('[bridge]\nname = "new"\n')
    damaged = store / folder_of(members[2]) / "seats.parquet"
    damaged.write_bytes(damaged.read_bytes()[:-9])
    found = look(stock, store)
    assert found.changed == (members[0],)
    assert found.missing == (members[2], "new.toml")
    assert (found.gone, found.older, found.up_to_date) == (1, 0, False)
    assert members[2] not in found.bridges


def test_results_of_another_state_of_the_program_are_told(stock: Path, store: Path, monkeypatch):
    kept(stock, store)
    monkeypatch.setattr("bedstone.workspace.stock_read.program", lambda: "another")
    found = look(stock, store)
    assert (found.older, found.changed, found.up_to_date) == (COUNT, (), False)


@pytest.mark.parametrize(
    "options",
    [Options(), Options("irc"), Options("aashto", ("schedule", "size")), Options(None, PARTS[:3])],
)
def test_the_options_of_the_store_are_asked_again(stock: Path, store: Path, options: Options):
    kept(stock, store, options=options)
    assert look(stock, store).options == options
    assert look(stock, store).up_to_date


OTHER = Options("irc", ("schedule", "size"))


def test_a_run_that_was_interrupted_before_its_first_end_has_said_what_it_asks(
    stock: Path, store: Path
):
    kept(stock, store, options=OTHER, stops_after=5)
    found = look(stock, store)
    assert (found.number, found.options) == (0, OTHER)
    assert len(found.bridges) == 5
    # no file changed, and nothing was worked out otherwise: the rest is missing, no more
    assert (found.changed, found.otherwise) == ((), ())
    assert len(found.missing) == COUNT - 5


def test_it_has_said_so_before_it_brings_a_bridge(stock: Path, store: Path):
    """A page that looks while the first bridge is still worked on shows what is asked."""
    kept(stock, store, options=OTHER, stops_after=0)
    assert look(stock, store).options == OTHER
    assert len(look(stock, store).missing) == COUNT


def test_a_run_that_asks_for_something_else_tells_the_rest_of_the_last_one_apart(
    stock: Path, store: Path
):
    kept(stock, store)
    members = find_stock(stock).members
    (stock / members[-1]).write_text('[bridge]\nname = "changed"\n')
    kept(stock, store, options=OTHER, stops_after=3)
    found = look(stock, store)
    assert (found.number, found.options) == (1, OTHER)
    assert len(found.otherwise) == COUNT - 3
    assert (found.changed, found.missing) == ((), ())
    # asked again as before, only the three and the file that did change are to be done
    kept(stock, store, stops_after=0)
    found = look(stock, store)
    assert found.options == PLAIN
    assert len(found.otherwise) == 3
    assert found.changed == (members[-1],)
    assert not found.up_to_date


def test_a_store_of_before_that_says_no_options_is_read_as_ever(stock: Path, store: Path):
    """Neither its manifests nor a file of their own tell them; the last run does."""
    kept(stock, store, options=OTHER)
    (store / "asked.json").unlink()
    for file in store.glob("bridges/*/manifest.json"):
        told = json.loads(file.read_text())
        del told["options"], told["check"]
        file.write_text(json.dumps(told | {"check": _sum_of(told)}))
    found = look(stock, store)
    assert (found.options, found.up_to_date, len(found.bridges)) == (OTHER, True, COUNT)


def _sum_of(told: dict) -> str:
    """The checksum of a file of the store: of its sorted JSON."""
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


@pytest.mark.parametrize("damage", [b"", b"{}", b"[1]", b'{"options": "x", "check": "y"}'])
def test_what_was_asked_is_not_believed_when_it_is_damaged(stock: Path, store: Path, damage: bytes):
    kept(stock, store, options=OTHER)
    (store / "asked.json").write_bytes(damage)
    assert look(stock, store).options == OTHER  # of the last whole run


@pytest.mark.parametrize(
    "text", ["", "{}", "[1]", '{"standard": "moon", "parts": ["schedule"]}', "x"]
)
def test_options_that_are_none_are_those_of_the_program(text: str):
    assert Options.of_text(text) == Options()


def test_changes_are_told_against_the_run_before(stock: Path, store: Path):
    kept(stock, store)
    assert look(stock, store).compared_with == 0
    path = find_stock(stock).members[0]
    (stock / path).write_text('[bridge]\nname = "worse"\n')
    worse = [
        (table, {**cells, "travel_left_m": -0.2} if table == "seats" else cells)
        for table, cells in by_rule(path)
    ]
    kept(stock, store, {path: worse})
    found = look(stock, store)
    assert (found.number, found.compared_with) == (2, 1)
    changed = {item.bridge: item.cause for item in found.changes}
    assert changed[path] == "its files or the options changed"


def test_an_interrupted_run_is_told_against_the_last_whole_one(stock: Path, store: Path):
    """What stands in the store then is not what the last run recorded."""
    kept(stock, store)
    path = find_stock(stock).members[3]
    (stock / path).write_text('[bridge]\nname = "otherwise"\n')
    number = store / "runs" / "000002"
    kept(stock, store, {path: [row("bridges", path, state="done")]})
    for file in number.iterdir():  # as if it had been interrupted before it recorded its ranking
        file.unlink()
    number.rmdir()
    found = look(stock, store)
    assert (found.number, found.compared_with) == (1, 1)
    assert [item.bridge for item in found.changes] == [path]


def test_faulty_files_are_told_in_full(stock: Path, store: Path):
    path = find_stock(stock).members[0]
    rows = [row("bridges", path, state="faulty")] + [
        row("remarks", path, number=n, part="file", what="fault", text=f"fault {n}")
        for n in range(1, 8)
    ]
    kept(stock, store, {path: rows})
    (told,) = look(stock, store).faulty
    assert (told.bridge, told.faults) == (path, tuple(f"fault {n}" for n in range(1, 8)))


def test_bridges_that_are_made_up_say_so(stock: Path, store: Path):
    path = find_stock(stock).members[0]
    (stock / path).write_text(f'# {MADE_UP}\n[bridge]\nname = "one"\n')
    kept(stock, store)
    assert look(stock, store).made_up == {path}
    # it is what the files of a made-up stock say
    assert synthetic.MADE_UP == MADE_UP


def test_rows_of_one_bridge_are_all_of_its_tables(stock: Path, store: Path):
    kept(stock, store)
    path = find_stock(stock).members[5]
    found = tables_of(Folder(store), path)
    assert {name for name, rows in found.items() if rows} == {"bridges", "seats", "bearings"}
    (seat,) = found["seats"]
    assert seat["travel_left_m"] == (number_of(path) * 7 % 260 - 60) / 1e3
    assert tables_of(Folder(store), "none.toml") == {}


def test_a_store_that_goes_while_it_is_read_is_told_in_words(stock: Path, store: Path, monkeypatch):
    kept(stock, store)

    def gone(*_: object) -> None:
        raise duckdb.IOException("No files found")

    monkeypatch.setattr("bedstone.workspace.stock_read.rank", gone)
    with pytest.raises(BedstoneError, match="look again"):
        look(stock, store)


def test_it_says_when_it_looked(stock: Path, store: Path):
    before = time.time()
    found = look(stock, store)
    assert before <= found.looked <= time.time()


def test_of_several_seats_the_worst_log_and_visit_are_told(stock: Path, store: Path):
    """Whichever seat comes first: the concerns are those of stock/data/stock.toml."""
    first, second = find_stock(stock).members[:2]

    def read(path: str, *seats: tuple[str, str, int]) -> list:
        rows = [row("bridges", path, state="done")]
        for seat, word, state in seats:
            rows.append(row("monitored", path, seat=seat, judgement=word, findings=word,
                            action=True))  # fmt: skip
            rows.append(row("inspections", path, seat=seat, state=state, out=0))
        return rows

    rows = {
        first: read(first, ("A1-1", "frozen", 4), ("A2-1", "restricted", 3)),
        second: read(second, ("A1-1", "restricted", 3), ("A2-1", "frozen", 4)),
    }
    kept(stock, store, rows)
    for path in (first, second):
        own = look(stock, store).bridges[path]
        assert own.log == (2.0, "frozen")
        assert own.visit == (1.5, "state 4 proposed")


def test_logs_that_ask_for_nothing_are_told_by_the_first_seat(stock: Path, store: Path):
    path = find_stock(stock).members[0]
    rows = [row("bridges", path, state="done")] + [
        row("monitored", path, seat=seat, judgement=word, findings=word, action=False)
        for seat, word in (("A2-1", "too few readings"), ("A1-1", "free"))
    ]
    kept(stock, store, {path: rows})
    assert look(stock, store).bridges[path].log == (0.0, "free")


def test_only_the_harm_of_a_fault_that_the_bridge_stands_counts(stock: Path, store: Path):
    """As in the ranking, whatever stands beside another outcome."""
    path = find_stock(stock).members[0]
    rows = [
        row("bridges", path, state="done"),
        row("single_faults", path, fault="A1-1 seized", outcome="harm", harm=2.5, rank=2,
            effect="Fx", worst_place="A1", unit="N", before=1.0, after=2.0),
        row("single_faults", path, fault="A1-1 worn", outcome="moves freely", harm=9.0, rank=1),
    ]  # fmt: skip
    kept(stock, store, {path: rows})
    assert look(stock, store).bridges[path].harm == 2.5
