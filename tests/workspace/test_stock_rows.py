"""The rows, columns and bars that the page of a stock is sent."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stocks import files, kept, row

from bedstone.cautions import MADE_UP
from bedstone.site.tolerances import Tolerances
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.ranking import thresholds_of
from bedstone.stock.task import Options
from bedstone.workspace.stock_read import Standing, standing
from bedstone.workspace.stock_rows import charts_of, columns_of, page_data, rows_of

OWN = """
[values.travel_calm]
value = 40
unit = "mm"
source = "own"
[values.uplift_calm]
value = 0.0
unit = ""
source = "own: a step"
"""


@pytest.fixture
def stock(tmp_path: Path) -> Path:
    return files(tmp_path / "stock", 6)


def look(stock: Path, thresholds: Tolerances | None = None) -> Standing:
    store = stock.parent / "store"
    return standing(find_stock(stock, store), Folder(store), thresholds or thresholds_of())


def written(stock: Path, rows: dict | None = None) -> Standing:
    kept(stock, stock.parent / "store", rows)
    return look(stock)


def own_thresholds(folder: Path) -> Tolerances:
    file = folder / "own.toml"
    file.write_text(OWN, encoding="utf-8")
    return thresholds_of(file)


def test_every_bridge_has_a_row_in_the_order_of_the_ranking(stock: Path):
    found = written(stock)
    rows = rows_of(found)
    assert [item["bridge"] for item in rows] == [item.bridge for item in found.ranking]
    assert [item["rank"] for item in rows] == [1, 2, 3, 4, 5, 6]
    for item, ranked in zip(rows, found.ranking, strict=True):
        assert item["concern"] == ranked.concern
        assert len(item["reasons"]) == len(ranked.reasons)
        assert item["travel"] == found.bridges[ranked.bridge].travel_left  # SI: the browser scales


def test_bridges_without_a_rank_come_last_and_say_why(stock: Path):
    first, second, third = find_stock(stock).members[:3]
    (stock / "elsewhere.toml").symlink_to(stock.parent / "outside.toml")
    (stock.parent / "outside.toml").write_text('[bridge]\nname = "out"\n')
    rows = {
        first: [
            row("bridges", first, state="faulty"),
            row("remarks", first, number=1, part="file", what="fault", text="bridge.name: missing"),
        ],
        second: [
            row("bridges", second, state="unstable", name="loose"),
            row("remarks", second, number=1, part="schedule", what="unstable", text="slides"),
        ],
        "elsewhere.toml": [
            row("bridges", "elsewhere.toml", state="faulty"),
            row("remarks", "elsewhere.toml", number=1, part="file", what="fault", text="a link"),
        ],
    }
    kept(stock, stock.parent / "store", rows)
    (stock / third).write_text('[bridge]\nname = "changed"\n')
    (stock / "new.toml").write_text('[bridge]\nname = "new"\n')
    told = {item["bridge"]: item for item in rows_of(look(stock))}
    assert list(told)[-3:] == [first, "new.toml", "elsewhere.toml"]
    assert (told[first]["state"], told[first]["rank"]) == ("faulty", None)
    assert told[first]["faults"] == ["bridge.name: missing"]
    assert (told[second]["state"], told[second]["rank"]) == ("unstable", 1)
    assert (told["new.toml"]["state"], told["new.toml"]["results"]) == ("not worked out", "")
    assert told[third]["not_now"] == "files changed since"
    assert told[second]["not_now"] == ""
    # what leads out of the folder cannot be opened
    assert told["elsewhere.toml"]["open"] == ""
    assert told[first]["open"] == f"/bridge?file={first}"


def test_rows_that_answer_another_question_say_so(stock: Path):
    written(stock)
    kept(stock, stock.parent / "store", options=Options("irc"), stops_after=2)
    told = [item["not_now"] for item in rows_of(look(stock))]
    assert sorted(told) == ["", "", *["other parts or family"] * 4]


def test_a_name_cannot_end_its_address(stock: Path):
    name = "a&page=editor #?.toml"
    (stock / name).write_text('[bridge]\nname = "x"\n')
    kept(stock, stock.parent / "store", {name: [row("bridges", name, state="done")]})
    (told,) = [item for item in rows_of(look(stock)) if item["bridge"] == name]
    assert told["open"] == "/bridge?file=a%26page%3Deditor%20%23%3F.toml"
    assert told["results"] == "/results?file=a%26page%3Deditor%20%23%3F.toml"


def test_what_has_no_end_is_told_in_words_since_json_has_none(stock: Path):
    path = find_stock(stock).members[0]
    rows = [
        row("bridges", path, state="done"),
        row("bearings", path, seat="A1-1", origin="given", verdict="does not pass", kind="pot"),
        row("bearings", path, seat="A1-2", origin="given", verdict="passes", utilisation=0.5),
    ]
    found = written(stock, {path: rows})
    data = json.loads(json.dumps(page_data(found), allow_nan=False))
    (told,) = [item for item in data["rows"] if item["bridge"] == path]
    assert told["utilisation"] == "no end"
    assert told["concern"] == 3.0  # the most that any reason counts, stock/data/stock.toml


def test_made_up_bridges_are_told_row_by_row(stock: Path):
    path = find_stock(stock).members[2]
    (stock / path).write_text(f'# {MADE_UP}\n[bridge]\nname = "x"\n')
    told = {item["bridge"]: item["made_up"] for item in rows_of(written(stock))}
    assert [name for name, yes in told.items() if yes] == [path]


def test_how_the_concern_changed_is_told(stock: Path):
    path = find_stock(stock).members[1]
    written(stock)
    (stock / path).write_text('[bridge]\nname = "worse"\n')
    worse = [
        row("bridges", path, state="done"),
        row("seats", path, seat="A1-1", travel_left_m=-0.025, uplift_margin=0.5),
    ]
    before = next(item for item in rows_of(look(stock)) if item["bridge"] == path)["concern"]
    told = {item["bridge"]: item for item in rows_of(written(stock, {path: worse}))}
    # 25 mm beyond the end, calm at 25 mm: (0.025 + 0.025) / 0.025 = 2
    assert told[path]["concern"] == pytest.approx(2.0)
    more, word = told[path]["change"]
    assert more == pytest.approx(2.0 - before)
    assert word == f"{'more' if more > 0 else 'less'} by {abs(more):.2f}"
    assert "its files or the options changed" in told[path]["since"]


def test_each_column_is_a_cell_of_each_row(stock: Path):
    data = page_data(written(stock))
    for told in data["rows"]:
        assert {column["key"] for column in data["columns"]} <= set(told)


@pytest.mark.parametrize("own", [False, True])
def test_thresholds_stand_between_two_bars(tmp_path: Path, own: bool):
    thresholds = own_thresholds(tmp_path) if own else thresholds_of()
    columns = {column.key: column for column in columns_of(thresholds)}
    for chart in charts_of(thresholds):
        edges = [bar.low for bar in chart.bars[1:]]
        for at in (columns[chart.key].calm, columns[chart.key].act):
            assert at is not None
            assert min(abs(edge - at) for edge in edges if edge is not None) < 1e-9
    if own:
        assert columns["travel"].calm == pytest.approx(0.040)


@given(value=st.floats(-1e6, 1e6), own=st.booleans())
def test_every_value_falls_into_one_bar(value: float, own: bool, tmp_path_factory):
    thresholds = own_thresholds(tmp_path_factory.mktemp("own")) if own else thresholds_of()
    for chart in charts_of(thresholds):
        bars = [
            bar
            for bar in chart.bars
            if (bar.low is None or value >= bar.low) and (bar.high is None or value < bar.high)
        ]
        assert len(bars) == 1
        assert chart.bars[0].low is None
        assert chart.bars[-1].high is None


@pytest.mark.parametrize(
    ("left", "told"),
    [
        (-0.0075, "more by 0.30"),  # (0.025 + 0.0075) / 0.025 = 1.3, before 1: small, but told
        (0.0075, "less by 0.30"),
        (-0.000_1, "files changed"),  # 0.004: less than two decimals show
    ],
)
def test_a_small_change_of_concern_is_told_and_one_that_nobody_sees_is_none(
    stock: Path, left: float, told: str
):
    path = find_stock(stock).members[1]

    def at(travel: float) -> dict:
        cells = {"seat": "A1-1", "travel_left_m": travel, "uplift_margin": 0.5}
        return {path: [row("bridges", path, state="done"), row("seats", path, **cells)]}

    written(stock, at(0.0))
    (stock / path).write_text('[bridge]\nname = "changed"\n')
    rows = {item["bridge"]: item for item in rows_of(written(stock, at(left)))}
    assert rows[path]["change"][1] == told


def test_bars_lie_about_the_thresholds_and_further_to_the_calm_side():
    """Written out by hand from the thresholds of docs/stock.md: 0 and 25 mm; 0 and 15 %; 0.9, 1."""
    bars = {chart.key: [bar.label for bar in chart.bars] for chart in charts_of(thresholds_of())}
    assert bars["travel"] == [
        "below −50", "−50 to −25", "−25 to 0", "0 to 25", "25 to 50", "50 to 75", "75 to 100",
        "100 to 125", "125 to 150", "150 or more",
    ]  # fmt: skip
    assert bars["uplift"] == [
        "below −30", "−30 to −15", "−15 to 0", "0 to 15", "15 to 30", "30 to 45", "45 to 60",
        "60 to 75", "75 to 90", "90 or more",
    ]  # fmt: skip
    assert bars["utilisation"] == [
        "below 0.40", "0.40 to 0.50", "0.50 to 0.60", "0.60 to 0.70", "0.70 to 0.80",
        "0.80 to 0.90", "0.90 to 1.00", "1.00 to 1.10", "1.10 to 1.20", "1.20 to 1.30",
        "1.30 or more",
    ]  # fmt: skip
