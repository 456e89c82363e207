"""The desks of a folder: one a tab and bridge, no more of them than memory should hold."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.workspace.desk import Desk

#: Desks that are held at a time. One of a usual bridge, once looked at, takes some 10 MB; what its
#: superstructure gave is shared and bounded apart.
MOST: Final = 40


class Desks:
    """Desks by tab, the one used last at the end. `shown`: whether a tab shows a desk now.

    A desk that no tab shows is closed when room is needed, the one left longest first; what was not
    saved there is kept and offered when its file is opened next.
    """

    def __init__(self, shown: Callable[[Desk], bool], most: int = MOST) -> None:
        self._shown = shown
        self._most = most
        self._held: list[tuple[str, Desk]] = []

    def of(self, tab: str, path: Path | None) -> Desk | None:
        """The desk of a tab for a file; None for the path: one that was never saved."""
        for place, (owner, desk) in enumerate(self._held):
            if owner == tab and desk.path == path:
                self._held.append(self._held.pop(place))
                return desk
        return None

    def add(self, tab: str, desk: Desk) -> None:
        """Hold a desk for a tab, in place of one of the same file.

        Raises `InputError` when as many as may be are all shown.
        """
        same = self.of(tab, desk.path)
        if same is not None:
            self._held = [item for item in self._held if item[1] is not same]
        while len(self._held) >= self._most:
            left = next((item for item in self._held if not self._shown(item[1])), None)
            if left is None:
                found = f"{len(self._held)} bridges are open"
                raise InputError([Fault("serve", "bridges", found, "close one of their tabs")])
            self._held.remove(left)
            with suppress(BedstoneError):  # a full disk must not keep the next one from opening
                left[1].autosave()
            left[1].close()
        self._held.append((tab, desk))

    def all(self) -> list[Desk]:
        """All desks that are held."""
        return [desk for _, desk in self._held]
