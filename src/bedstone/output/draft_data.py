"""What became of a register as data: JSON, described by ``draft.schema.json``."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.stock.draft_files import Drafted, Made, counted_assumptions

__all__ = ["drafts_schema", "drafts_to_dict", "drafts_to_json"]

_READING = (
    "A draft is a bridge to begin with: no survey, no assessment.",
    "Every assumption stands as a comment in its draft: look at each of them.",
)


def drafts_to_dict(made: Made, sheet: str, folder: str) -> dict[str, Any]:
    """Return the drafts of a sheet as plain data that fits `drafts_schema`.

    `sheet`, `folder`: as the person named them.
    """
    return {
        "format": "bedstone draft 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "reading": list(_READING),
        "sheet": sheet,
        "folder": folder,
        "drafts": [_drafted(one) for one in made.drafted],
        "assumptions": [
            {"reason": reason, "count": count}
            for reason, count in counted_assumptions(made.drafted).items()
        ],
        "faults": [
            {
                "file": fault.file,
                "where": fault.where,
                "found": fault.found,
                "allowed": fault.allowed,
            }
            for fault in made.faults
        ],
    }


def drafts_to_json(made: Made, sheet: str, folder: str) -> str:
    """Return the drafts as JSON text (UTF-8, one final line end)."""
    data = drafts_to_dict(made, sheet, folder)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def drafts_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `drafts_to_dict`."""
    text = files("bedstone.output").joinpath("draft.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _drafted(one: Drafted) -> dict[str, Any]:
    return {
        "row": one.row.where,
        "name": one.row.outline.name,
        "file": one.file.name,
        "assumptions": [
            {"field": item.where, "value": item.value, "reason": item.why}
            for item in one.draft.assumed
        ],
        "known_bearings": list(one.draft.given),
        "partly_known": list(one.draft.partly),
        "notes": list(one.draft.notes),
    }
