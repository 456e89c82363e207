"""A folder with a store for the tests of its page, and what the page must show of it."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from browsing import EXAMPLES
from stocks import files, kept, row

from bedstone.cautions import MADE_UP
from bedstone.output.shown import figure
from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.ranking import thresholds_of
from bedstone.workspace.stock_read import Standing, standing
from bedstone.workspace.stock_rows import columns_of, rows_of

REAL = "truss.toml"
FAULTY = "line-0/bridge-0000.toml"


@dataclass(frozen=True)
class Stock:
    """A folder, its store, and what stands there."""

    folder: Path
    store: Path

    @classmethod
    def made(cls, place: Path, count: int) -> Stock:
        """Bridges by the rule of `stocks`, the first one faulty; `REAL` can be opened."""
        folder = files(place / "bridges", count)
        shutil.copy(EXAMPLES / REAL, folder)
        (folder / "notes.toml").write_text("[notes]\n")
        first = folder / FAULTY
        first.write_text(f"# {MADE_UP}\n{first.read_text()}")
        own = cls(folder, place / "store")
        own.keep()
        return own

    def keep(self) -> None:
        """Write the store."""
        faults = [f"bridge-0000.toml: superstructure.{n}: found nothing" for n in range(6)]
        rows = {
            REAL: [
                row(
                    "bridges", REAL, state="done", name="Real one", standard="eurocode",
                    superstructure="truss", use="road", length_m=64.0,
                ),
                row("seats", REAL, seat="A1-1", function="fixed", N_max_N=3.0e6,
                    travel_left_m=0.0125),
                row("supports", REAL, support="A1", Fx_max_N=5.0e5),
                row("remarks", REAL, number=1, part="what-if", what="note", text="not tried"),
            ],
            FAULTY: [
                row("bridges", FAULTY, state="faulty"),
                *(
                    row("remarks", FAULTY, number=n, part="file", what="fault", text=text)
                    for n, text in enumerate(faults, start=1)
                ),
            ],
        }  # fmt: skip
        kept(self.folder, self.store, rows)

    def standing(self) -> Standing:
        """What the store says now."""
        return standing(find_stock(self.folder), Folder(self.store), thresholds_of())

    def rows(self) -> list[dict[str, Any]]:
        """What the page is sent."""
        return rows_of(self.standing())


def shown(key: str, value: float) -> str:
    """A number of a column as the page writes it."""
    column = next(one for one in columns_of(thresholds_of()) if one.key == key)
    return figure(value * column.factor, column.places)
