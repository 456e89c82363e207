"""A folder of bridge files as it is served: which files belong to it, where results are kept."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final
from urllib.parse import quote

from bedstone.bridge.reader import shorten
from bedstone.errors import Fault, InputError
from bedstone.site.tolerances import Tolerances
from bedstone.stock.members import Stock, find_stock
from bedstone.stock.places import Folder, Place, place_of, usual_place
from bedstone.stock.ranking import thresholds_of

#: Longest path of a bridge file in an address.
_LONGEST: Final = 1000


@dataclass
class Served:
    """A folder, the place of its results, and the thresholds of its ranking.

    `out`: the place as an address, for a process that does the work; `told`: as it was asked for,
    "" where it was not; `own`: a file of thresholds. `stock` is what was found last.
    """

    root: Path
    out: str
    told: str
    own: Path | None
    place: Place
    thresholds: Tolerances
    stock: Stock
    _lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    @classmethod
    def open(cls, root: Path, out: str | None = None, own: Path | None = None) -> Served:
        """A folder; raises `InputError` for one without a bridge file, and for bad thresholds."""
        root = root.resolve()  # files are saved under their true paths
        place = usual_place(root) if out is None else place_of(out)
        address = str(place.root.resolve()) if isinstance(place, Folder) else place.name
        thresholds = thresholds_of(own)
        stock = find_stock(root, _within(place))
        return cls(root, address, out or "", own, place, thresholds, stock)

    def look(self) -> Stock:
        """Find the bridge files anew; raises `InputError` when there is none left."""
        found = find_stock(self.root, _within(self.place))
        with self._lock:
            self.stock = found
        return found

    def member(self, file: str) -> Path:
        """The path of a bridge file of the folder, by the name it has there.

        Only names that were found by looking are taken: nothing is joined that was not checked.
        Raises `InputError` for any other, and for a file that has become a link out of the folder.
        """
        found = file in self.stock.members or file in self.look().members
        path = self.root / file if found else None
        if path is None or not path.resolve().is_relative_to(self.root.resolve()):
            told = repr(shorten(file, 80))
            raise InputError([Fault("serve", "file", told, "a bridge file of the folder")])
        return path

    def name_of(self, path: Path) -> str:
        """What a bridge file is called in the folder."""
        return path.relative_to(self.root).as_posix()


def _within(place: Place) -> Path | None:
    return place.root if isinstance(place, Folder) else None


def bridge_address(file: str, page: str = "") -> str:
    """Where the workspace of a bridge is; "" for a file: one that was never saved."""
    return f"/bridge?file={quote(file)}" + (f"&page={quote(page)}" if page else "")


def results_address(file: str) -> str:
    """Where the rows of a bridge are."""
    return f"/results?file={quote(file)}"
