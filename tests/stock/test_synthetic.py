"""A made-up stock: the same for the same seed, said to be made up, and every file stands.

The rules stand in ``stock/data/synthetic.toml`` (made up, no source); what it is for, that
`bedstone check` passes every file, is held against the reader and the model.
"""

from pathlib import Path

import numpy as np
import pytest

from bedstone.bridge import read_bridge
from bedstone.errors import InputError
from bedstone.schedule.make import examine, make_schedule
from bedstone.site.record import open_record, record_file
from bedstone.stock.members import find_stock
from bedstone.stock.synthetic import MADE_UP, TRUTH, bridge, write_stock

SAMPLE = 30


@pytest.fixture(scope="module")
def stock(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made-up") / "stock"
    write_stock(folder, SAMPLE, 1, logged=4)
    return folder


def test_every_kind_function_and_family_is_there() -> None:
    made = [bridge(number, 1) for number in range(1, 201)]
    assert len({one.kind for one in made}) == 9
    texts = [one.files[0][1] for one in made]
    for word in ("eurocode", "aashto", "irc"):
        assert any(f'standard = "{word}"' in text for text in texts), word
    for word in ("fixed", "guided along", "guided across", "free", "elastic"):
        assert any(f'function = "{word}"' in text for text in texts), word
    assert any('use = "rail"' in text for text in texts)
    assert any("skew" in text for text in texts)
    assert any("radius" in text for text in texts)


def test_every_file_says_that_it_is_made_up(stock: Path) -> None:
    files = [*stock.rglob("*.toml"), *stock.rglob("*.csv")]
    assert len(files) > SAMPLE
    for file in files:
        assert file.read_text(encoding="utf-8").startswith(f"# {MADE_UP}"), file
    for file in stock.rglob("*.toml"):
        assert read_bridge(file).bridge.name.startswith("Made-up bridge "), file


def test_the_stock_has_as_many_members_as_bridges(stock: Path) -> None:
    found = find_stock(stock)
    assert len(found.members) == SAMPLE
    assert not found.refused
    assert not found.passed_over


def test_the_same_seed_gives_the_same_bridge_and_another_another() -> None:
    assert bridge(17, 1) == bridge(17, 1)
    assert bridge(17, 1).files[0][1] != bridge(17, 2).files[0][1]


@pytest.mark.parametrize("number", range(1, SAMPLE + 1))
def test_each_of_a_sample_stands(stock: Path, number: int) -> None:
    file = next(stock.glob(f"*/made-up-{number:04d}-*.toml"))
    examine(read_bridge(file), file.parent)


@pytest.mark.slow
@pytest.mark.timeout(1800)  # some minutes where nothing else runs
def test_all_of_a_thousand_stand(tmp_path: Path) -> None:
    write_stock(tmp_path / "stock", 1000, 1, logged=0)
    for file in sorted((tmp_path / "stock").rglob("*.toml")):
        examine(read_bridge(file), file.parent)


def test_a_log_does_what_its_truth_says(stock: Path) -> None:
    """The slope of a log that does well is that of its truth, by least squares.

    Within a tenth: play and lag of a bearing that does well (site/data/synthetic.toml) flatten it.
    """
    lines = (stock / TRUTH).read_text(encoding="utf-8").splitlines()[2:]
    assert lines
    well = 0
    for line in lines:
        path, seat, mode, expected, ratio, *_ = line.split(",")
        with open_record(record_file(stock / path), logs=True) as record:
            series = {item.seat: item for item in record.series()}[seat]
        assert len(series.time) > 1000
        if mode == "free":
            slope = np.polyfit(series.temperature, series.movement * 1e3, 1)[0]
            assert slope == pytest.approx(float(expected) * float(ratio), rel=0.1)
            well += 1
    assert well


def test_the_movement_of_a_log_is_that_of_the_distance(stock: Path) -> None:
    """Distance from the fixed line times 1.0e-5 or 1.2e-5 per K (EN 1991-1-5 Annex C, memory)."""
    lines = (stock / TRUTH).read_text(encoding="utf-8").splitlines()[2:]
    for line in lines:
        path, seat, _, expected, *_ = line.split(",")
        told = read_bridge(stock / path)
        chainage = {support.mark: support.chainage for support in told.support}
        fixed = {
            mark.split("-")[0]
            for mark, own in told.arrangement.seats.items()
            if own.function == "fixed"
        }
        own = chainage[seat.split("-")[0]]
        distances = [own - chainage[mark] for mark in fixed]
        alphas = {round(float(expected) / 1e3 / one, 7) for one in distances if one}
        assert alphas & {1.0e-5, 1.2e-5}, line


def test_missing_folders_above_are_made(tmp_path: Path) -> None:
    written = write_stock(tmp_path / "a" / "b" / "stock", 2, logged=0)
    assert written.bridges == 2
    assert len(find_stock(tmp_path / "a").members) == 2


def test_folders_made_for_nothing_go_again(tmp_path: Path) -> None:
    def stop(done: int, total: int) -> None:
        raise KeyboardInterrupt

    (tmp_path / "kept").mkdir()
    with pytest.raises(KeyboardInterrupt):
        write_stock(tmp_path / "kept" / "a" / "b", 3, logged=0, advance=stop)
    assert [item.name for item in tmp_path.rglob("*")] == ["kept"]
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match="folder"):
        write_stock(tmp_path / "file" / "stock", 1, logged=0)


def test_whatever_shows_a_path_says_that_it_is_made_up(stock: Path) -> None:
    assert all("made-up" in member for member in find_stock(stock).members)


def test_shares_of_the_stock() -> None:
    """What most of a stock of bridges looks like (common practice, no source).

    Most have one span or two and stand on a dozen bearings or less; very few on more than forty.
    """
    outlines = [one.outline for one in (bridge(n, 1) for n in range(1, 401)) if one.outline]
    seats = [sum(len(line.functions) for line in own.lines or ()) for own in outlines]
    assert np.mean([len(own.spans) <= 2 for own in outlines]) > 0.6
    assert np.median(seats) <= 12
    assert np.mean([count > 40 for count in seats]) < 0.05
    assert max(seats) > 40


def lifted(number: int, folder: Path) -> tuple[bool, bool]:
    """Whether a made-up bridge lifts off a bearing, and whether it is held twice by mistake."""
    made = bridge(number, 1)
    for path, text in made.files:
        (folder / path).parent.mkdir(exist_ok=True)
        (folder / path).write_text(text, encoding="utf-8")
    file = folder / made.path
    told = read_bridge(file)
    schedule = make_schedule(told, file.parent)
    fixed = [own for own in told.arrangement.seats.values() if own.function == "fixed"]
    twice = made.outline is not None and made.outline.runs_through and len(fixed) > 1
    return any(item.hold_down > 0.0 for item in schedule.uplift), twice


@pytest.mark.slow
@pytest.mark.timeout(1800)
def test_few_lift_off(tmp_path: Path) -> None:
    """A few per cent of a stock lift off a bearing, not half of it (common practice, no source)."""
    found = [lifted(number, tmp_path) for number in range(7, 1000, 25)]
    lifting = [up for up, twice in found if not twice]
    assert len(lifting) >= 36
    assert sum(lifting) <= 4


def test_nothing_is_written_over_or_left_half_done(tmp_path: Path) -> None:
    (tmp_path / "stock").mkdir()
    with pytest.raises(InputError, match="a new folder"):
        write_stock(tmp_path / "stock", 3, logged=0)
    with pytest.raises(InputError, match="--count"):
        write_stock(tmp_path / "other", 0, logged=0)

    def stop(done: int, total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_stock(tmp_path / "third", 3, logged=0, advance=stop)
    assert [item.name for item in tmp_path.iterdir()] == ["stock"]
