"""From what the verbs of one bridge find to rows of the tables; nothing is worked out here."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.bridge.schema import Bridge, FamilyName
from bedstone.comparison.faults import WhatIf
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Governing, Schedule
from bedstone.site.inspection.result import SeatInspection
from bedstone.stock.tables import SI, Cell

if TYPE_CHECKING:
    from bedstone.site.monitoring.watch import Watched  # loads long

#: A limit state that asks about uplift alone: its other effects are no design effects.
_UPLIFT_ALONE = "ULS equilibrium"
_BELOW = ("V", "Fx", "Fy")
_FOLLOWED = ("N", "Hx", "Hy", "vx", "vy", "rx", "ry")

#: Cells of a row by column.
Found = Mapping[str, Cell]


def of_bridge(bridge: Bridge, name: FamilyName) -> Found:
    """What its file says of a bridge; `name`: the family it is looked at under."""
    chainages = [support.chainage for support in bridge.support]
    return {
        "name": bridge.bridge.name,
        "reference": bridge.bridge.reference,
        "standard": name,
        "use": bridge.bridge.use,
        "superstructure": bridge.superstructure.kind,
        "arrangement": bridge.arrangement.name,
        "length_m": chainages[-1] - chainages[0],
        "radius_m": bridge.alignment.radius,
        "supports": len(chainages),
    }


def seats(path: str, schedule: Schedule, travel_left: Mapping[str, float]) -> Iterator[Found]:
    """Seats with their extremes; `travel_left` (m) by mark, where it is known."""
    tops = _extremes(schedule.seat_lines)
    for seat in schedule.seats:
        if seat.function == "none":
            continue
        permanent = schedule.permanent_seats[seat.mark][SEAT_EFFECTS.index("N")]
        lifts = [item for item in schedule.uplift if item.seat == seat.mark]
        hold_down = max((item.hold_down for item in lifts), default=0.0)
        least = tops.get((seat.mark, "N", "min"))
        margin = None
        if least is not None and permanent > 0.0:
            # a bearing that opened carries nothing: what would hold it down is missing
            margin = (min(least, -hold_down) if lifts else least) / permanent
        yield {
            "bridge": path,
            "seat": seat.mark,
            "support": seat.support,
            "function": seat.function,
            "kind": seat.kind,
            "N_permanent_N": permanent,
            **{
                f"{effect}_{sense}_{SI[effect]}": tops.get((seat.mark, effect, sense))
                for effect in _FOLLOWED
                for sense in ("max", "min")
            },
            "hold_down_N": hold_down,
            "uplift_margin": margin,
            "travel_left_m": travel_left.get(seat.mark),
            "held_down": all(item.held for item in lifts) if lifts else None,
        }


def supports(path: str, schedule: Schedule) -> Iterator[Found]:
    """Supports with their extremes."""
    tops = _extremes(schedule.support_lines)
    for item in schedule.supports:
        yield {
            "bridge": path,
            "support": item.mark,
            "below": item.below,
            "chainage_m": item.chainage,
            "skew_rad": item.skew,
            **{
                f"{effect}_{sense}_N": tops.get((item.mark, effect, sense))
                for effect in _BELOW
                for sense in ("max", "min")
            },
        }


def effects(path: str, schedule: Schedule) -> Iterator[Found]:
    """Every governing extreme of seats and supports."""
    for line in (*schedule.seat_lines, *schedule.support_lines):
        yield {
            "bridge": path,
            "limit_state": line.limit_state,
            "place": line.place,
            "effect": line.effect,
            "sense": line.sense,
            "combination": line.combination,
            "unit": SI[line.effect],
            "value": line.value,
        }


def bearing(path: str, found: SeatDesign) -> Found:
    """The bearing of a seat: given, or as designed."""
    choice = found.choice
    told: dict[str, Cell] = {
        "bridge": path,
        "seat": found.seat,
        "kind": choice.kind,
        "origin": found.origin,
    }
    if choice.design is None:
        reason = choice.refusal.reason if choice.refusal is not None else ""
        return told | {"verdict": "none serves", "reason": reason}
    design, line = choice.design, choice.governing
    told |= {
        "verdict": "passes" if choice.passes else "does not pass",
        "mass_kg": design.mass,
        "height_m": design.height,
        "left_m": design.left,
    }
    if line is not None:
        told |= {
            "check_title": line.title,
            "part": line.part,
            "clause": f"{line.standard}, {line.clause}",
            "case_name": line.case,
            "utilisation": line.utilisation,
        }
    return told


def single_faults(path: str, found: WhatIf) -> list[Found]:
    """Every single fault: those that free the bridge first, then by harm."""
    rows: list[Found] = []
    for outcome, items in (("moves freely", found.unstable), ("refused", found.refused)):
        rows += [
            {
                "bridge": path,
                "fault": fault.name,
                "kind": fault.kind,
                "place": fault.place,
                "outcome": outcome,
                "motion": text,
            }
            for fault, text in items
        ]
    marks = found.intact.layout.supports
    for rank, item in enumerate(found.results, start=1):
        worst = item.worst
        most = max(marks, key=lambda mark: abs(item.extremes.largest(mark, "Fx")))
        rows.append(
            {
                "bridge": path,
                "rank": rank,
                "fault": item.fault.name,
                "kind": item.fault.kind,
                "place": item.fault.place,
                "outcome": "harm",
                "harm": item.harm,
                "what": item.kind,
                "worst_place": worst.place,
                "effect": worst.effect,
                "sense": worst.sense,
                "unit": SI[worst.effect],
                "before": worst.before,
                "after": worst.after,
                "limit_state": worst.limit_state,
                "combination": worst.combination,
                "lifts": " ".join(item.lifts),
                "support": most,
                "Fx_before_N": found.intact.largest(most, "Fx"),
                "Fx_after_N": item.extremes.largest(most, "Fx"),
                "in_full": item.in_full,
            }
        )
    return rows


def inspection(path: str, found: SeatInspection) -> Found:
    """The latest visit to a seat."""
    cause = found.causes[0].mode if found.causes else None
    capacity = found.capacity
    after = None if capacity is None or capacity.after is None else capacity.after.utilisation
    left = min((item.least for item in found.left), default=math.inf)
    return {
        "bridge": path,
        "seat": found.seat,
        "time_utc": found.time.isoformat(),
        "temperature_degC": found.temperature,
        "out": len(found.out),
        "out_of_tolerance": ", ".join(dict.fromkeys(item.what for item in found.out)),
        "travel_left_m": left,
        "utilisation": after,
        "capacity_holds": None if capacity is None else not capacity.worse,
        "cause": None if cause is None else cause.name,
        "action": None if cause is None else cause.action,
        "state": found.rating.state,
        "severity": found.rating.severity,
        "review": found.rating.review,
        "blocked": found.rating.blocked,
    }


def monitored(path: str, found: Watched) -> Found:
    """What the log of a seat says."""
    fit, ratio, ahead = found.fit, found.ratio, found.forecast
    return {
        "bridge": path,
        "seat": found.seat.seat,
        "judgement": found.judgement.word,
        "kind": found.judgement.kind,
        "findings": ", ".join(item.word for item in found.findings),
        "action": found.action,
        "readings": found.readings,
        "first_utc": _stamp(found.first),
        "last_utc": _stamp(found.last),
        "mobility": None if ratio is None else ratio.value,
        "mobility_low": None if ratio is None else ratio.low,
        "mobility_high": None if ratio is None else ratio.high,
        "drift_m_per_year": None if fit is None or fit.drift is None else fit.drift.value,
        "travel_left_m": None if found.left is None else found.left.least,
        "end_reached_utc": None if ahead is None else _stamp(ahead.likely),
    }


def _stamp(time: int | None) -> str | None:
    """A time (ns since 1970, UTC) as text, to the second."""
    if time is None:
        return None
    return dt.datetime.fromtimestamp(time // 1_000_000_000, dt.UTC).isoformat()


def _extremes(lines: Sequence[Governing]) -> dict[tuple[str, str, str], float]:
    """(place, effect, sense) -> extreme over the limit states."""
    found: dict[tuple[str, str, str], float] = {}
    for line in lines:
        key = (line.place, line.effect, line.sense)
        if line.limit_state == _UPLIFT_ALONE and key[1:] not in (("N", "min"), ("V", "min")):
            continue
        pick: Callable[[float, float], float] = max if line.sense == "max" else min
        found[key] = pick(found[key], line.value) if key in found else line.value
    return found
