"""Drafts of a whole sheet: written where they stand on their bearings, told by row where not."""

from __future__ import annotations

import os
import re
import tempfile
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from threadpoolctl import threadpool_limits

from bedstone.bridge import read_bridge
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import write_atomically
from bedstone.schedule.make import examine
from bedstone.site.tolerances import Tolerances
from bedstone.stock.draft import Draft, draft
from bedstone.stock.draft_rows import COLUMNS, Row, read_rows

__all__ = ["Drafted", "Made", "draft_sheet", "file_name"]


@dataclass(frozen=True)
class Drafted:
    """A draft that was written: the row it comes from, its file, and the draft."""

    row: Row
    file: Path
    draft: Draft


@dataclass(frozen=True)
class Made:
    """What became of a sheet: drafts that stand, and the faults of the rows that gave none."""

    drafted: tuple[Drafted, ...]
    faults: tuple[Fault, ...]


def draft_sheet(
    sheet: Path,
    folder: Path,
    assumptions: Tolerances | None = None,
    advance: Callable[[int, int, str], None] | None = None,
) -> Made:
    """Write a bridge file into `folder` for every row of a sheet that gives one.

    Each is read and stood on its bearings before it takes its name, as `bedstone check` does; no
    file that is there is replaced. `advance`: told how many rows are done, of how many, and which.

    Raises `InputError` for a sheet that cannot be read or a folder that cannot be written.
    """
    rows, faults = read_rows(sheet)
    found = list(faults)
    drafted: list[Drafted] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError([Fault(str(folder), "folder", reason, "a folder to write in")]) from error
    taken: dict[str, str] = {}
    for number, row in enumerate(rows):
        if advance is not None:
            advance(number, len(rows), row.outline.name)
        name = file_name(row.outline.name)
        target = folder / name
        if name in taken:
            allowed = f"a name that differs in its letters from that of {taken[name]}"
            found.append(_fault(sheet, row, "Name", row.outline.name, allowed))
            continue
        taken[name] = row.where
        if os.path.lexists(target):
            allowed = f"a name without a file in {folder.name or folder}, where {name} is"
            found.append(_fault(sheet, row, "Name", row.outline.name, allowed))
            continue
        made = draft(row.outline, assumptions, head=[f"{row.where} of {_plain(sheet.name)}"])
        wrong = _examined(sheet, row, made)
        if wrong:
            found += wrong
        else:
            write_atomically(target, made.text)
            drafted.append(Drafted(row, target, made))
    return Made(tuple(drafted), tuple(found))


def file_name(name: str) -> str:
    """The file of a bridge: its name in plain small letters, with hyphens."""
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    stem = re.sub(r"[^a-z0-9]+", "-", letters.casefold()).strip("-")[:80].strip("-")
    return f"{stem or 'bridge'}.toml"


def _plain(text: str) -> str:
    return "".join(letter if letter.isprintable() else "?" for letter in text)


#: Column that says what a field of the bridge file says; the first that fits counts.
_COLUMNS: Final = (
    ("alignment", "Radius"),
    ("actions.traffic", "Carriageway"),
    ("actions.temperature.setting", "Setting"),
    ("actions.temperature", "Air min"),
    ("superstructure.slab", "Slab"),
    ("superstructure.sections", "Depth"),
    ("superstructure.spacing", "Spacing"),
    ("superstructure.stringer", "Spacing"),
    ("superstructure.continuity", "Continuous"),
    ("superstructure.number", "Girders"),
    ("superstructure", "Type"),
    ("support", "Pier heights"),
    ("arrangement", "Functions"),
    ("bridge.use", "Use"),
    ("choices", "Family"),
)


def _examined(sheet: Path, row: Row, made: Draft) -> list[Fault]:
    """Faults of a draft as it is read and stood on its bearings, by column of the sheet."""
    with tempfile.TemporaryDirectory(prefix="bedstone-draft-") as place:
        file = Path(place) / "draft.toml"
        file.write_text(made.text, encoding="utf-8")
        try:
            with threadpool_limits(1):
                examine(read_bridge(file), file.parent)
        except InputError as error:
            return [
                _fault(sheet, row, _column(one.where), f"{one.where}: {one.found}", one.allowed)
                for one in error.faults
            ]
        except BedstoneError as error:
            allowed = "a bridge that stands on its bearings"
            return [_fault(sheet, row, "Functions", str(error).splitlines()[0], allowed)]
    return []


def _column(field: str) -> str:
    if ".skew" in field:
        return "Skew"
    return next((column for start, column in _COLUMNS if field.startswith(start)), "Name")


def _fault(sheet: Path, row: Row, column: str, found: str, allowed: str) -> Fault:
    head = next(one.head for one in COLUMNS if one.name == column)
    return Fault(sheet.name, f"{row.where}, {head}", found[:200], allowed)


def counted_assumptions(drafts: Sequence[Drafted]) -> dict[str, int]:
    """How often each reason for an assumption stands in drafts, most often first."""
    found: dict[str, int] = {}
    for one in drafts:
        for assumption in one.draft.assumed:
            found[assumption.why] = found.get(assumption.why, 0) + 1
    return dict(sorted(found.items(), key=lambda item: (-item[1], item[0])))
