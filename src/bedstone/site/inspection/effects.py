"""What the state found does to abutments and piers: findings put into the bridge as faults.

The same faults as of `bedstone what-if`, with the sizes that were found. What a reading cannot be
made into is told with the reason.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bedstone.bridge.schema import Bridge, Stops
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.faults import Extremes, WhatIf, what_if
from bedstone.comparison.faults_list import Fault, FaultKind, faults_of
from bedstone.comparison.screen import Screen
from bedstone.site.inspection.cause_rules import Evidence, too_little
from bedstone.site.inspection.result import Effect, SupportChange, Verdict
from bedstone.site.inspection.visit import Visit
from bedstone.site.setting import STILL

#: Effects of a support that are told.
_FORCES = ("Fx", "Fy", "V")
#: Why a finding changes no force on a support, by how its name begins.
_NO_FAULT: tuple[tuple[str, str], ...] = (
    ("diameter", "a size changes what the bearing can carry, not what it carries"),
    ("size", "a size changes what the bearing can carry, not what it carries"),
    ("contact", "a short line of contact changes what the bearing can carry"),
    ("level", "a slope of the plate moves no force along or across beyond N times the slope"),
    ("protrusion", "wear of the sheet raises friction by an amount that no reading gives"),
    ("bulge", "a bulge is strain of the pad, not a change of its hold"),
    ("shear strain", "the strain is that of the movement, which is counted"),
    ("pot", "rotation and height of the pad change no hold in plan"),
    ("wedge", "rotation of the pad changes no hold in plan"),
    ("overhang", "an edge that is near is told under the travel that is left"),
    ("roller offset", "rollers beside their half carry off their middle; nothing is held by it"),
    ("roller gap", "a stop that is near is told under the travel that is left"),
    ("guide gap", "the guide holds already; only the way to that side is used up"),
    ("guide play", "guides closer than drawn hold as before"),
    ("tilt", "a lean is told by the travel that is left"),
    (
        "offset",
        "rolling and sliding hold nothing: an offset makes no force until an end is reached",
    ),
    ("lift-off", "a gap on one side turns the bearing; it carries nothing only if all sides gape"),
    ("joint gap", "a joint that closes is no bearing"),
)


@dataclass(frozen=True)
class _Finding:
    """A finding, and what was put in for it."""

    text: str
    kind: FaultKind
    bridge: Bridge
    name: str = ""


#: Decimals of an angle in degrees that is told as a fault.
_DIGITS = 3


def effects(screen: Screen, found: Evidence) -> tuple[Effect, ...]:
    """The effect of every finding on one seat, in the order of the verdicts.

    Each stands alone in the bridge; `Effect.why` tells what cannot be put in.
    """
    visit = found.visit
    asked = [*_asked(screen, found)]
    faults: dict[int, Fault] = {}
    told: list[Effect] = []
    for place, item in enumerate(asked):
        fault = _fault(screen, visit.setting.seat, item)
        if fault is None:
            why = f"{item.kind}: not possible for this bearing in this bridge"
            told.append(Effect(item.text, "", why=why))
        else:
            faults[place] = fault
    if faults:
        whole = what_if(screen, tuple(faults.values()), full=0)
        told += [_effect(asked[place].text, fault, whole) for place, fault in faults.items()]
    covered = {item.text for item in asked}
    for verdict in found.verdicts:
        if verdict.state == "out" and finding(verdict) not in covered:
            told.append(Effect(finding(verdict), "", why=_why(verdict)))
    return tuple(told)


def finding(verdict: Verdict) -> str:
    """A verdict as the name of a finding."""
    return f"{verdict.what} {verdict.word!r}" if verdict.word else verdict.what


def _why(verdict: Verdict) -> str:
    for name, why in _NO_FAULT:
        if verdict.what.startswith(name):
            return why
    return "what is seen gives no number that could be put in"


# ------------------------------------------------------------------ findings as faults
def _asked(screen: Screen, found: Evidence) -> list[_Finding]:
    visit, bridge = found.visit, screen.prepared.bridge
    asked: list[_Finding] = []

    def add(text: str, kind: FaultKind, name: str = "", **sizes: object) -> None:
        own = bridge.faults.model_copy(update={"friction": None, "soft": None, **sizes})
        asked.append(_Finding(text, kind, bridge.model_copy(update={"faults": own}), name))

    for verdict in found.verdicts:
        if verdict.state != "out":
            continue
        text, value = finding(verdict), verdict.found or 0.0
        if verdict.word in ("stuck", "yes") and not all(visit.setting.held):
            add(text, "seized", seized=True)
        elif verdict.what == "roller skew":
            # the left end ahead turns the way of rolling to the right
            add(text, "out of direction", "right" if value > 0.0 else "left",
                skew=math.radians(round(math.degrees(math.atan(abs(value))), _DIGITS)))  # fmt: skip
        elif verdict.what == "guide play" and verdict.difference is not None:
            if verdict.difference > 0.0:
                add(text, "guides worn", play=verdict.difference / 2.0)
        elif verdict.what == "seat level":
            kind: FaultKind = "seat too low" if value < 0.0 else "seat too high"
            add(text, kind, drop=abs(value), lift=abs(value))
        elif (verdict.what == "contact" and value == 0.0) or (
            verdict.what == "lift-off" and _gapes(visit)
        ):
            add(text, "unseated", unseated=True)
    if too_little(visit):
        add("moves too little", "seized", seized=True)
    stop = _stop(screen, found)
    if stop is not None:
        asked.append(stop)
    return [*asked, *_setting(screen, found)]


def _gapes(visit: Visit) -> bool:
    """Whether a gap was read on all four sides."""
    gaps = [item.value or 0.0 for item in visit.several("lift-off").values()]
    return len(gaps) == 4 and min(gaps) > visit.number("lift_off")


def _stop(screen: Screen, found: Evidence) -> _Finding | None:
    """The nearest end that the design movements reach, where it stands seen from the setting."""
    reached = [item for item in found.left if item.least < 0.0 and not math.isinf(item.least)]
    if not reached:
        return None
    visit, bridge = found.visit, screen.prepared.bridge
    item = min(reached, key=lambda left: left.least)
    axis = 0 if item.end.axis == "x" else 1
    told = visit.setting.temperatures
    start = visit.expected(told.setting, axis) - visit.come(axis) + item.shift
    if visit.setting.form == "shears":
        start = item.shift
    back, ahead = (
        max(side, 0.0) if math.isfinite(side) else None
        for side in (start - item.end.back, item.end.ahead - start)
    )
    # lengths in m already: the reader of the file would ask for units
    travel = (
        Stops.model_construct(back=back, ahead=ahead, right=None, left=None)
        if axis == 0
        else Stops.model_construct(back=None, ahead=None, right=back, left=ahead)
    )
    seats = dict(bridge.arrangement.seats)
    mark = visit.setting.seat
    own = arrangement_functions(bridge, screen.prepared.tables)[mark]
    seats[mark] = own.model_copy(update={"travel": travel})
    arrangement = bridge.arrangement.model_copy(update={"seats": seats})
    faults = bridge.faults.model_copy(update={"stop": True, "friction": None, "soft": None})
    return _Finding(
        f"{item.end.what} reached {('along', 'across')[axis]}",
        "stop reached",
        bridge.model_copy(update={"arrangement": arrangement, "faults": faults}),
        ("along", "across")[axis],
    )


def _setting(screen: Screen, found: Evidence) -> list[_Finding]:
    """All bearings set at another temperature: only where the whole line stands off alike."""
    speed = found.visit.setting.growth.own[0]
    rest = found.visit.residual(0)
    others = list(found.line.values())
    if rest is None or abs(speed) <= STILL or not others or not found.out("offset along"):
        return []
    room = found.visit.offset_tolerance(0)
    if any(abs(value - rest) > room for value in others):
        return []
    bridge = screen.prepared.bridge
    # stood off ahead by what a setting that much colder would have left
    error = -rest / speed
    faults = bridge.faults.model_copy(
        update={"setting_error": abs(error), "friction": None, "soft": None}
    )
    word = "warm" if error > 0.0 else "cold"
    text = f"whole line as if set {abs(error):.0f} K too {word}"
    return [_Finding(text, "wrong setting", bridge.model_copy(update={"faults": faults}), word)]


def _fault(screen: Screen, seat: str, asked: _Finding) -> Fault | None:
    """The fault of a kind at a seat in a bridge file with the sizes found."""
    probe = copy.copy(screen)
    probe.prepared = replace(screen.prepared, bridge=asked.bridge)
    for fault in faults_of(probe):
        if fault.kind == asked.kind and fault.place in (seat, "") and asked.name in fault.name:
            return fault
    return None


# ------------------------------------------------------------------ what they do
def _effect(text: str, fault: Fault, whole: WhatIf) -> Effect:
    for other, motion in (*whole.unstable, *whole.refused):
        if other is fault:
            return Effect(text, fault.name, unstable=motion)
    result = next((item for item in whole.results if item.fault is fault), None)
    if result is None:
        return Effect(text, fault.name, why="the work was interrupted")
    return Effect(
        text,
        fault.name,
        _changes(whole.intact, result.extremes),
        result.lifts,
        friction_needed=result.friction_needed,
    )


def _changes(intact: Extremes, after: Extremes) -> tuple[SupportChange, ...]:
    """The largest size of every force of a support, before and after."""
    supports: Sequence[str] = intact.layout.supports
    places = [(mark, effect) for mark in supports for effect in _FORCES]
    return tuple(
        SupportChange(
            mark,
            effect,
            float(intact.size[intact.layout.index(mark, effect)]),
            float(after.size[after.layout.index(mark, effect)]),
        )
        for mark, effect in places
    )
