"""Sentences about what an inspection found, the same in the terminal and in a report."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.output.shown import figure, plain
from bedstone.site.inspection.result import (
    Capacity,
    Cause,
    Effect,
    Inspection,
    Left,
    Rating,
    SeatInspection,
    Sign,
    Verdict,
)
from bedstone.standards.record import Line
from bedstone.standards.values import Value

SIGNS = (
    "Signs: x' along the bearing's own direction, + toward rising chainage; y' to its left. An "
    "offset is the top plate's middle against the lower one's. Temperatures are those of the steel."
)
COLUMNS = (
    "Found less expected is the difference; allowed: between which the reading is within. What "
    "follows from another reading is held against that one, so that one fault shows once."
)
#: Forces of supports that change by less than this part of the largest are not told.
_TOLD = 0.005


def amount(value: float | None, unit: str, *, sign: bool = True) -> str:
    """A quantity in the unit people read it in, without the unit; "–" for none."""
    if value is None:
        return "–"
    if math.isinf(value):
        return "any"
    shown = figure(value * (1e3 if unit in ("m", "rad") else 1.0), 3 if unit == "" else 1)
    return shown if not sign or not unit or shown.startswith("−") or shown == "0" else f"+{shown}"


def unit_of(unit: str) -> str:
    """Unit in which `amount` shows a quantity."""
    return {"m": "mm", "rad": "mm/m", "K": "K"}.get(unit, "")


def title(found: SeatInspection) -> str:
    """Seat, what it is, when and how warm."""
    own, warm = found.setting, "no steel temperature"
    if found.temperature is not None:
        warm = f"steel {found.temperature:g} degC"
    return plain(
        f"{own.seat}: {own.kind or 'bearing'}, {own.function}; read {found.time:%Y-%m-%d %H:%M} "
        f"UTC, {warm}"
    )


def outcome(verdict: Verdict) -> str:
    """Within, or out by how much, or why it was not judged."""
    if verdict.state == "not judged":
        return plain(f"not judged: {verdict.why}")
    if verdict.state == "within":
        return "within"
    if verdict.found is None:
        return "OUT"
    unit = unit_of(verdict.unit)
    return f"OUT by {amount(verdict.out_by, verdict.unit, sign=False)} {unit}".rstrip()


def travel(found: Left) -> list[str]:
    """What is left to one end at the design extremes, and when temperature alone reaches it."""
    behind, ahead = ("behind", "ahead") if found.end.axis == "x" else ("right", "left")
    ways = [
        f"{figure(left * 1e3, 1)} mm {way}"
        for left, way in ((found.behind, behind), (found.ahead, ahead))
        if math.isfinite(left)
    ]
    way_of = "along" if found.end.axis == "x" else "across"
    text = (
        f"{found.end.what} {way_of}: shift {amount(found.shift, 'm')} mm, kept; left at the design "
        f"extremes {' and '.join(ways)}"
    )
    if found.least < 0.0:
        text = f"{text}: REACHED"
    told = [plain(f"{text}.")]
    for at, way in ((found.at_behind, behind), (found.at_ahead, ahead)):
        if at is None:
            continue
        inside = found.coldest <= at <= found.warmest
        if inside:
            told.append(
                f"Temperature alone brings it to that end ({way}) at {figure(at, 0)} degC, inside "
                f"the range of the bridge ({figure(found.coldest, 0)} to "
                f"{figure(found.warmest, 0)} degC)."
            )
    return told


def capacity(found: Capacity) -> list[str]:
    """The checks with the sizes as measured."""
    if not found.sizes and not found.untold:
        return []
    sizes = []
    for item in found.sizes:
        share = item.name == "contact"
        factor, unit = (100.0, "%") if share else (1e3, "mm")
        drawn, real = (figure(value * factor, 1) for value in (item.drawn, item.found))
        sizes.append(f"{item.name} {real} {unit} for {drawn}")
    told = []
    if found.refusal:
        told.append(f"With {', '.join(sizes)} it cannot be checked: {found.refusal}")
    elif found.after is not None and found.before is not None and sizes:
        now, was = use(found.after), use(found.before)
        word = "" if found.holds else ": DOES NOT HOLD"
        told.append(
            f"With {', '.join(sizes)}: utilisation {now} ({found.after.title}, "
            f"{found.after.part or 'bearing'}) for {was} ({found.before.title}) as "
            f"drawn{word}."
        )
        told += [
            f"{old.title}, {old.part or 'bearing'}: {use(old)} becomes "
            f"{use(new)} ({new.standard} {new.clause})."
            for old, new in found.changed[:3]
        ]
    told += [f"{text}." for text in found.untold]
    return [plain(text) for text in told]


def use(line: Line) -> str:
    """Utilisation of a check."""
    value = line.utilisation or 0.0
    return figure(value, 3) if math.isfinite(value) else "without end"


def effect(found: Effect) -> str:
    """What one finding does to abutments and piers."""
    head = f"{found.finding}: "
    if found.unstable:
        return plain(
            f"{head}put in as “{found.fault}” the bridge does not stand: {found.unstable}."
        )
    if found.why:
        return plain(f"{head}no force of a support is worked out; {found.why}.")
    largest = max((item.before for item in found.supports), default=0.0)
    changes = [
        f"{item.support} {item.effect} {figure(item.before / 1e3, 0)} becomes "
        f"{figure(item.after / 1e3, 0)} kN"
        for item in found.supports
        if abs(item.after - item.before) > _TOLD * largest
    ]
    told = ", ".join(changes) or "no force of a support changes by half a per cent of the largest"
    lifts = f"; lifts: {', '.join(found.lifts)}" if found.lifts else ""
    bound = ""
    if found.friction_needed is not None:
        bound = (
            f"; a bound: held fast, which takes a friction of {found.friction_needed:.2g} of its "
            "permanent load"
        )
    return plain(f"{head}as “{found.fault}”: {told}{lifts}{bound}.")


def cause(found: Cause) -> list[str]:
    """A likely cause with the numbers that speak for it, and what to do next."""
    signs = "; ".join(sign(item) for item in found.signs)
    return [
        plain(f"{found.mode.name} (mode {found.mode.number}): {signs}."),
        plain(f"Next: {found.mode.action}"),
    ]


def sign(found: Sign) -> str:
    """One number with its limit."""
    if found.unit == "seen":
        return found.text
    if found.unit == "N":
        force, limit = (figure(value / 1e3, 0) for value in (found.found, found.limit))
        return f"{found.text} {force} kN (against {limit})"
    if found.unit == "count":
        return f"{found.text}: {found.found:.0f} (needs {found.limit:.0f})"
    if math.isinf(found.found):
        return f"{found.text} without end (against {amount(found.limit, found.unit, sign=False)})"
    unit = unit_of(found.unit)
    return (
        f"{found.text} {amount(found.found, found.unit, sign=False)} {unit}".rstrip()
        + f" (against {amount(found.limit, found.unit, sign=False)})"
    )


def rating(found: Rating) -> list[str]:
    """The proposal, or why there is none."""
    told = []
    if found.blocked:
        told.append(f"No rating proposed: {found.blocked}.")
    else:
        told.append(
            f"Proposed: element {found.element}, condition state {found.state} of 4; severity "
            f"{found.severity}, extent {found.extent}."
        )
    if found.review:
        told.append(f"TELL THE RESPONSIBLE ENGINEER: {found.review}.")
    told += [
        f"{item.defect} ({item.code}): state {item.state}, {item.reason}."
        for item in found.defects
        if item.state > 1
    ]
    return [plain(text) for text in told]


def summary(found: Inspection) -> list[str]:
    """How many, and what is out."""
    names = [f"{item.seat} {item.what}" for item in found.out]
    count = f"{len(names)} out of tolerance" if names else "nothing out of tolerance"
    told = [f"{len(found.seats)} of {len(found.seats) + len(found.unread)} bearings read: {count}"]
    if names:
        told[0] += f": {', '.join(names)}"
    told[0] += "."
    if found.unread:
        told.append(f"Nothing read on {', '.join(found.unread)}.")
    return [plain(text) for text in told]


def from_memory(found: Inspection) -> list[Value]:
    """Tolerances from memory that verdicts leaned on, by name."""
    used = {
        value.name: value
        for verdict in [v for seat in found.seats for v in seat.verdicts] + list(found.joints)
        for value in verdict.values
        if value.basis == "memory"
    }
    return [used[name] for name in sorted(used)]


def designed(seats: Sequence[str]) -> str:
    """Which bearings were judged by sizes that stand in no file."""
    return (
        f"No sizes in the bridge file: {', '.join(seats)}. Gaps, overhangs, sizes and checks there "
        "are held against a bearing designed here, not against the one that stands: give it "
        "([[bearings.given]]) before relying on them."
    )
