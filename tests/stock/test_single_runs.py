"""What the store of a stock holds is what the verbs of one bridge say.

The store is filled by two workers, each bridge is asked alone in this process. Where both hold
numbers as they are they must be the same bits; `schedule --json` rounds to six decimals of kN and
mm, so there the store's number is rounded as the JSON is.
"""

import json
import shutil
from collections.abc import Callable
from itertools import count
from pathlib import Path

import duckdb

from bedstone.bridge import read_bridge
from bedstone.output.shown import shown
from bedstone.schedule.make import make_schedule
from bedstone.stock import synthetic

HERE = Path(__file__).parents[1]
QUICK = HERE / "comparison" / "one_line.toml"

#: A line of the schedule: limit state, place, effect, sense, combination and what it comes to.
Lines = dict[tuple[str, str, str, str, str], float]


def stock(folder: Path) -> list[Path]:
    """A beam, and the first made-up ones of some kinds: curved, of tables, without a model."""
    folder.mkdir()
    shutil.copy(QUICK, folder)
    wanted = {"frame", "reactions", "curved"}
    for number in count(1):
        bridge = synthetic.bridge(number, 8)
        curved = bridge.outline is not None and bridge.outline.radius is not None
        kind = "curved" if curved and bridge.outline.girders <= 3 else bridge.kind
        if kind in wanted:
            wanted.remove(kind)
            for path, text in bridge.files:
                file = folder / path
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_text(text, encoding="utf-8")
        if not wanted:
            break
    return sorted(folder.rglob("*.toml"))


def kept(store: Path, bridge: str) -> Lines:
    """The lines of a bridge as its Parquet file holds them, read without bedstone."""
    rows = duckdb.sql(
        f"SELECT limit_state, place, effect, sense, combination, value "
        f"FROM '{store}/bridges/*/effects.parquet' WHERE bridge = '{bridge}'"
    ).fetchall()
    found = {row[:5]: row[5] for row in rows}
    assert len(found) == len(rows)
    return found


def test_the_store_holds_what_single_runs_say(
    command: Callable[..., object], tmp_path: Path
) -> None:
    folder, store = tmp_path / "stock", tmp_path / "store"
    files = stock(folder)
    done = command("stock", folder, "--out", store, "--parts", "schedule", "--workers", 2)
    assert done.code == 0  # type: ignore[attr-defined]
    for file in files:
        path = file.relative_to(folder).as_posix()
        here = make_schedule(read_bridge(file), file.parent)
        lines = [*here.seat_lines, *here.support_lines]
        alone: Lines = {
            (line.limit_state, line.place, line.effect, line.sense, line.combination): line.value
            for line in lines
        }
        assert kept(store, path) == alone  # to the last bit
        seats = dict(
            duckdb.sql(
                f"SELECT seat, N_permanent_N FROM '{store}/bridges/*/seats.parquet' "
                f"WHERE bridge = '{path}'"
            ).fetchall()
        )
        assert seats == {mark: here.permanent_seats[mark][0] for mark in seats}
        assert set(seats) == {seat.mark for seat in here.seats if seat.function != "none"}

        said = json.loads(command("schedule", file, "--json").out)  # type: ignore[attr-defined]
        names = ("limit_state", "place", "effect", "sense", "combination")
        told = {
            tuple(line[name] for name in names): line["value"]
            for line in [*said["seat_lines"], *said["support_lines"]]
        }
        assert told == {name: shown(name[2], value) for name, value in alone.items()}
