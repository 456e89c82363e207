"""Single faults as data: JSON, described by ``faults.schema.json``, and flat CSV tables.

Effects are in the units of `bedstone.output.shown`; every other number carries its unit in its key.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Sequence
from importlib.resources import files
from typing import Any

from bedstone import __version__
from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.cautions import FULL
from bedstone.comparison.faults import Extremes, Result, WhatIf
from bedstone.comparison.faults_list import Fault
from bedstone.comparison.first_failure import FirstFailure
from bedstone.output.data import figures
from bedstone.output.fault_tables import HARM, answer
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS, UNITS, scaled, shown


# ------------------------------------------------------------------ JSON
def what_if_to_dict(found: WhatIf, failures: Sequence[FirstFailure] = ()) -> dict[str, Any]:
    """Return the faults as plain data that fits `faults_schema`.

    Raises `CheckError` when a number is not finite.
    """
    return {
        "format": "bedstone faults 1",
        "program": f"bedstone {__version__}",
        "caution": FULL,
        "units": {name: UNITS[name] for name in dict.fromkeys(SEAT_EFFECTS + SUPPORT_EFFECTS)},
        "signs": [SEAT_SIGNS, SUPPORT_SIGNS],
        "measure": HARM,
        "bridge": found.bridge,
        "reference": found.reference,
        "standard": found.name,
        "standard_title": found.standard_title,
        "arrangement": found.arrangement,
        "answer": answer(found),
        "tried": found.count,
        "interrupted": [fault.name for fault in found.untried],
        "left_out": list(found.left_out),
        "intact": {
            "lifts": list(found.intact_lifts),
            "limits_not_kept": list(found.intact_broken),
            "extremes": _extremes(found.intact),
        },
        "unstable": [_without(fault, motion) for fault, motion in found.unstable],
        "refused": [_without(fault, reason) for fault, reason in found.refused],
        "faults": [_result(number, item) for number, item in enumerate(found.results, start=1)],
        "fails_first": [_failure(item) for item in failures],
    }


def what_if_to_json(found: WhatIf, failures: Sequence[FirstFailure] = ()) -> str:
    """Return the faults as JSON text (UTF-8, one final line end)."""
    data = what_if_to_dict(found, failures)
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def faults_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `what_if_to_dict`."""
    text = files("bedstone.output").joinpath("faults.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _extremes(found: Extremes) -> dict[str, dict[str, dict[str, list[float]]]]:
    """[smallest, largest] of every effect, by seat and by support."""
    order = found.layout
    result: dict[str, dict[str, dict[str, list[float]]]] = {}
    for what, marks, effects in (
        ("seats", order.seats, SEAT_EFFECTS),
        ("supports", order.supports, SUPPORT_EFFECTS),
    ):
        result[what] = {
            mark: {effect: _pair(found, mark, effect) for effect in effects} for mark in marks
        }
    return result


def _pair(found: Extremes, mark: str, effect: str) -> list[float]:
    index = found.layout.index(mark, effect)
    return [shown(effect, float(found.low[index])), shown(effect, float(found.top[index]))]


def _without(fault: Fault, reason: str) -> dict[str, str]:
    return {"fault": fault.name, "kind": fault.kind, "place": fault.place, "reason": reason}


def _result(number: int, item: Result) -> dict[str, Any]:
    worst, fault = item.worst, item.fault
    needed = item.friction_needed
    return {
        "rank": number,
        "fault": fault.name,
        "kind": fault.kind,
        "place": fault.place,
        "harm": figures(item.harm, "harm"),
        "from": {
            "what": item.kind,
            "place": worst.place,
            "effect": worst.effect,
            "sense": worst.sense,
            "intact": shown(worst.effect, worst.before),
            "then": shown(worst.effect, worst.after),
            "limit_state": worst.limit_state,
            "combination": worst.combination,
        },
        "lifts": list(item.lifts),
        "opened": [
            {
                "seat": lift.seat,
                "limit_state": lift.limit_state,
                "combination": lift.combination,
                "hold_down_kN": scaled(lift.hold_down, 1e-3, "uplift"),
                "gap_mm": scaled(lift.gap, 1e3, "uplift gap"),
            }
            for lift in item.opened
        ],
        # without an end: nothing presses the bearing
        "friction_needed": None
        if needed is None or not math.isfinite(needed)
        else figures(needed, "friction needed"),
        "gap_mm": None
        if fault.gap == (0.0, 0.0)
        else [scaled(way, 1e3, "gap") if math.isfinite(way) else None for way in fault.gap],
        "share_met": figures(item.bites, "share of the movement"),
        "in_full": item.in_full,
        "limits_broken": list(item.broken),
        "extremes": _extremes(item.extremes),
    }


def _failure(item: FirstFailure) -> dict[str, Any]:
    use, before = item.utilisation, item.before
    return {
        "fault": item.fault.name,
        "seat": item.seat,
        "bearing": item.bearing,
        "part": item.part,
        "check": item.check,
        "clause": item.clause,
        "case": item.case,
        "utilisation": None
        if use is None or not math.isfinite(use)
        else figures(use, "utilisation"),
        "beyond": bool(item.seat) and (use is None or not math.isfinite(use)),
        "utilisation_intact": None
        if before is None or not math.isfinite(before)
        else figures(before, "utilisation"),
        "failing": list(item.failing),
        "failing_already": list(item.already),
        "limits_broken": list(item.broken),
        "not_checked": item.without,
    }


# ------------------------------------------------------------------ CSV
def what_if_to_csv(found: WhatIf) -> tuple[str, str]:
    """Return two flat CSV texts: one row a fault; one row a fault, place and effect."""
    ranking, effects = io.StringIO(newline=""), io.StringIO(newline="")
    rows = csv.writer(ranking, lineterminator="\n")
    heads = ["rank", "fault", "kind", "place", "harm", "worst place", "effect", "sense"]
    heads += ["intact", "then", "unit", "limit state", "combination", "friction needed"]
    rows.writerow([*heads, "lifts", "limits broken", "in full", "does not stand"])
    for fault, motion in found.unstable:
        rows.writerow(["", fault.name, fault.kind, fault.place, *[""] * 13, motion])
    for number, item in enumerate(found.results, start=1):
        worst = item.worst
        needed = item.friction_needed
        rows.writerow(
            [
                number,
                item.fault.name,
                item.fault.kind,
                item.fault.place,
                figures(item.harm, "harm"),
                worst.place,
                worst.effect,
                worst.sense,
                shown(worst.effect, worst.before),
                shown(worst.effect, worst.after),
                UNITS[worst.effect],
                worst.limit_state,
                worst.combination,
                "" if needed is None else f"{needed:.6g}",
                " ".join(item.lifts),
                "; ".join(item.broken),
                "yes" if item.in_full else "no",
                "",
            ]
        )
    writer = csv.writer(effects, lineterminator="\n")
    heads = ["rank", "fault", "place", "effect", "unit"]
    writer.writerow([*heads, "intact max", "intact min", "then max", "then min"])
    order = found.intact.layout
    for number, item in enumerate(found.results, start=1):
        for index in range(order.size):
            place, effect = order.name(index)
            values = [
                shown(effect, float(table[index]))
                for extremes in (found.intact, item.extremes)
                for table in (extremes.top, extremes.low)
            ]
            if any(values):
                writer.writerow([number, item.fault.name, place, effect, UNITS[effect], *values])
    return ranking.getvalue(), effects.getvalue()
