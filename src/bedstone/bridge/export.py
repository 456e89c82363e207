"""The shape of a bridge file as JSON schema, for editors that complete and check while typing.

Run ``python -m bedstone.bridge.export`` to write the shipped copy anew after a change of `schema`.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from bedstone.bridge.schema import Bridge
from bedstone.bridge.units import format_quantity
from bedstone.files import write_atomically

SHIPPED = Path(__file__).with_name("bridge.schema.json")


def json_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of a bridge file; quantities are text with a unit."""
    schema = Bridge.model_json_schema()
    _defaults_as_text(schema)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "Bridge file",
    }


def schema_text() -> str:
    """Return the schema as it stands in the shipped copy."""
    return json.dumps(json_schema(), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def _defaults_as_text(node: object) -> None:
    """Write defaults of quantities as they would stand in a file; the models hold them in SI."""
    if isinstance(node, dict):
        unit = node.get("x-unit") or _unit_of_one(node.get("anyOf", []))
        default = node.get("default")
        if unit and isinstance(default, int | float):
            node["default"] = format_quantity(float(default), unit, _FILE_UNITS.get(unit, unit))
        if isinstance(default, dict):
            del node["default"]  # a whole part; its fields tell their own defaults
        for value in node.values():
            _defaults_as_text(value)
    elif isinstance(node, list):
        for value in node:
            _defaults_as_text(value)


def _unit_of_one(options: list[dict[str, Any]]) -> str | None:
    """The unit of a quantity that may be left out (its other option is nothing)."""
    return next((option["x-unit"] for option in options if option.get("x-unit")), None)


_FILE_UNITS = {"Pa": "GPa", "N/m**3": "kN/m3", "rad": "deg"}


if __name__ == "__main__":
    write_atomically(SHIPPED, schema_text())
