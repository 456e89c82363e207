"""Stocks made up for the tests of their page: rows by a rule, nothing worked out."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bedstone.stock.engine import Done
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.run import Result, run
from bedstone.stock.tables import digest, gathered
from bedstone.stock.task import Answer, Options, Task, program

PLAIN = Options(parts=("schedule",))
FAMILIES = ("eurocode", "aashto", "irc")
KINDS = ("girders", "truss", "frame")


def files(folder: Path, count: int) -> Path:
    """Files that are taken for bridge files; no verb could work them out."""
    for number in range(count):
        place = folder / f"line-{number % 7}" / f"bridge-{number:04d}.toml"
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(f'[bridge]\nname = "Bridge {number:04d}"\n', encoding="utf-8")
    return folder


def number_of(path: str) -> int:
    """The number in the name of such a file."""
    return int(path.removesuffix(".toml").rpartition("-")[2])


def row(table: str, path: str, **cells: Any) -> tuple[str, dict[str, Any]]:
    """A row of a table of the store."""
    return table, {"bridge": path, **cells}


def by_rule(path: str) -> list[tuple[str, dict[str, Any]]]:
    """Rows of a bridge that is worked out: every measure runs through its bars at its own pace."""
    number = number_of(path)
    return [
        row(
            "bridges", path, state="done", name=f"Bridge {number:04d}",
            standard=FAMILIES[number % 3], superstructure=KINDS[number % 2], use="road",
            arrangement="usual", length_m=20.0 + number % 90, supports=2, seats=4,
        ),
        row(
            "seats", path, seat="A1-1", support="A1", function="fixed",
            travel_left_m=(number * 7 % 260 - 60) / 1e3,
            uplift_margin=(number * 13 % 120 - 30) / 1e2,
            N_permanent_N=1e6, N_max_N=2e6, N_min_N=5e5, rx_max_rad=1e-3,
        ),
        row(
            "bearings", path, seat="A1-1", kind="pot", origin="given", verdict="passes",
            utilisation=(number * 11 % 110 + 5) / 1e2, check_title="compression", clause="own",
        ),
    ]  # fmt: skip


@dataclass(frozen=True)
class Told:
    """Gives every bridge the rows it is told; `by_rule` where it is told none.

    `stops_after`: so many bridges, as Ctrl+C would; None: never.
    """

    rows: dict[str, Sequence[tuple[str, dict[str, Any]]]]
    stops_after: int | None = None

    def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        for number, task in enumerate(tasks):
            if number == self.stops_after:
                raise KeyboardInterrupt
            made: dict[str, list[dict[str, Any]]] = {}
            for table, cells in self.rows.get(task.path) or by_rule(task.path):
                made.setdefault(table, []).append(cells)
            found = {name: gathered(name, cells) for name, cells in made.items()}
            yield Done(task, Answer(found, digest(found), program()))


def kept(
    folder: Path,
    store: Path,
    rows: dict[str, Sequence[tuple[str, dict[str, Any]]]] | None = None,
    options: Options = PLAIN,
    stops_after: int | None = None,
) -> Result:
    """Write a store of a folder, as the verb would."""
    engine = Told(rows or {}, stops_after)
    return run(find_stock(folder, store), options, Folder(store), engine)
