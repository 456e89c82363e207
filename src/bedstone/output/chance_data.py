"""Probabilities that limits and stops are exceeded, as JSON (``chance.schema.json``)."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.comparison.uncertainty import QUANTILES, Chance, Exceedance, Varied
from bedstone.output.chance_tables import reading
from bedstone.output.data import figures
from bedstone.output.shown import UNITS, scaled, shown


def chance_to_dict(chance: Chance) -> dict[str, Any]:
    """Return the answer as plain data that fits `chance_schema`.

    Raises `CheckError` when a number is not finite.
    """
    return {
        "format": "bedstone chance 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "reading": reading(chance),
        "bridge": chance.bridge,
        "reference": chance.reference,
        "standard": chance.standard,
        "arrangement": chance.arrangement,
        "sampling": chance.sampling,
        "seed": chance.seed,
        "samples_wanted": chance.wanted,
        "samples": chance.samples,
        "independent_sets": chance.scrambles,
        "confidence": chance.confidence,
        "traffic_with_forces": chance.traffic,
        "spreads": [_varied(item) for item in chance.varied],
        "play_fixed_mm": {mark: scaled(v, 1e3, "play") for mark, v in chance.play.items()},
        "results": [_result(item) for item in chance.results],
        "notes": list(chance.notes),
        "residual": figures(chance.residual, "residual"),
    }


def chance_to_json(chance: Chance) -> str:
    """Return the answer as JSON text (UTF-8, one final line end)."""
    data = chance_to_dict(chance)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def chance_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `chance_to_dict`."""
    text = files("bedstone.output").joinpath("chance.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _varied(item: Varied) -> dict[str, Any]:
    spread = item.spread
    return {
        "name": item.name,
        "unit": item.unit,
        "shape": spread.shape,
        "a": spread.a,
        "b": spread.b,
        "mode": spread.mode,
        "places": list(item.places),
    }


def _result(item: Exceedance) -> dict[str, Any]:
    asked = item.asked
    return {
        "limit": asked.text,
        "place": asked.place,
        "effect": asked.effect,
        "sense": asked.sense,
        "value": shown(asked.effect, asked.value),
        "unit": UNITS[asked.effect],
        "exceeded": item.count,
        "probability": figures(item.probability, "probability"),
        "interval": [figures(end, "interval") for end in item.interval],
        "quantiles": [
            {"level": level, "value": shown(asked.effect, value)}
            for level, value in zip(QUANTILES, item.quantiles, strict=True)
        ],
        "rank_correlations": [
            {"with": name, "value": scaled(rank, 1.0, "rank correlation")}
            for name, rank in item.matters
        ],
    }
