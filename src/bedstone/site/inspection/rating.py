"""A proposal for the rating of a bearing, with the numbers it rests on.

States 1 to 4 of the public scale for bearing elements; severity and extent as owners in the United
Kingdom record them. It is the engineer who rates. Without an offset read with a temperature nothing
is proposed for a bearing that should move: looks do not show function.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from bedstone.site.inspection.cause_rules import Evidence, mobilities
from bedstone.site.inspection.result import Defect, Rated, Rating, Verdict
from bedstone.site.inspection.verdicts import words_of
from bedstone.site.setting import Setting

#: Verdicts by the defect that they show.
_SHOWS: Mapping[Defect, tuple[str, ...]] = {
    "alignment": (
        "offset", "roller offset", "roller skew", "roller gap", "tilt", "level", "guide gap",
        "guide play", "seat level", "overhang", "shear offset", "pot gap", "pot rotation",
    ),
    "bulging": ("bulge", "shear strain", "wedge"),
    "area": ("contact", "lift-off", "diameter", "protrusion", "size"),
}  # fmt: skip
#: Defects of elastomeric elements alone.
_SOFT = ("laminated elastomeric", "pot", "pot on slide", "disc")


@cache
def scales() -> Mapping[str, Any]:
    """Elements, codes of defects, severity and extent of the data file."""
    text = files("bedstone.site").joinpath("data", "inspection.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    return {"scale": data["scale"], "severity": data["severity"]}


def element(setting: Setting) -> int:
    """Number of the bearing element on the public scale."""
    known = scales()["scale"]["elements"]
    usual = "fixed" if all(setting.held) else "moves"
    return int(known.get(setting.kind or usual, known[usual]))


def rating(found: Evidence, extent: str = "") -> Rating:
    """The proposal for one seat; `extent`: letter of how many bearings are out (`extent_of`)."""
    setting = found.visit.setting
    defects = tuple(sorted(_rated(found), key=lambda item: (-item.state, item.code)))
    blocked = _blocked(found)
    if blocked:
        return Rating(element(setting), defects, 0, 0, "", blocked, _review(found))
    review = _review(found)
    worst = max((item.state for item in defects), default=1)
    if review:
        worst = 4
    severity = scales()["severity"]
    end = any(item.least < 0.0 and item.inside for item in found.left)
    grade = severity["end_reached"] if end else severity["of_state"][worst - 1]
    # nothing to be seen has no extent, however many other bearings show something
    extent = extent if int(grade) > int(severity["of_state"][0]) else "A"
    return Rating(element(setting), defects, worst, int(grade), extent, "", review)


def extent_of(out: int, of: int) -> str:
    """A to E: how many of a bridge's bearings that were looked at have something out."""
    share = out / of if of else 0.0
    limits = scales()["severity"]["extent_limits"]
    return "ABCDE"[sum(share > limit for limit in limits)]


def _blocked(found: Evidence) -> str:
    setting = found.visit.setting
    free = [axis for axis in (0, 1) if not setting.held[axis]]
    missing = [("along", "across")[a] for a in free if found.visit.residual(a) is None]
    # the way it moves most is the one that must be known
    main = max(free, key=lambda axis: abs(setting.growth.own[axis]), default=None)
    if main is None or ("along", "across")[main] not in missing:
        return ""
    word = ("along", "across")[main]
    return (
        f"no offset {word} with the temperature of the steel: looks alone do not show whether it "
        "works"
    )


def _review(found: Evidence) -> str:
    """Why the responsible engineer must look, whatever the state of the parts."""
    ends = [item for item in found.left if item.least < 0.0]
    if ends:
        worst = min(ends, key=lambda item: item.least)
        return f"{worst.end.what}: the design movements go {-worst.least * 1e3:.1f} mm beyond it"
    made = found.capacity
    if made is not None and made.worse:
        use = 0.0 if made.after is None else made.after.utilisation or 0.0
        told = made.refusal or (
            f"utilisation {use:.3f}" if math.isfinite(use) else "utilisation without end"
        )
        return f"with its measured sizes the bearing does not hold: {told}"
    for item in found.verdicts:
        if item.word == "broken" or (item.what == "lift-off" and item.state == "out"):
            return f"{item.what}: {item.word or f'{(item.found or 0.0) * 1e3:.1f} mm'}"
    return ""


def _rated(found: Evidence) -> Iterator[Rated]:
    codes = scales()["scale"]["defects"]
    for defect, code in codes.items():
        if defect == "bulging" and found.visit.setting.kind not in _SOFT:
            continue
        state, reason = _state(found, defect)
        if state:
            yield Rated(defect, int(code), state, reason)


def _state(found: Evidence, defect: Defect) -> tuple[int, str]:
    """State and reason of one defect; 0 where nothing tells of it."""
    best: tuple[int, str] = (0, "")
    for item in found.verdicts:
        if item.word:
            own = words_of().get(item.what, {})
            if own.get("defect") == defect and item.word in own:
                best = max(best, (int(own[item.word][0]), f'{item.what} "{item.word}"'))
        elif item.what.startswith(_SHOWS.get(defect, ("\0",))) and item.state != "not judged":
            best = max(best, (_of_verdict(found, item, defect), _reason(item)))
    if defect == "movement":
        for ratio in mobilities(found.visit):
            state = 1 if ratio.ratio >= found.number("mobility_free") else 2
            if ratio.ratio < found.number("mobility_restricted"):
                state = 3
            best = max(
                best, (state, f"moved {ratio.ratio:.2f} of what it should since {ratio.since}")
            )
    if defect == "alignment":
        for left in found.left:
            # less left than the readings themselves may be off: near the limit of the bearing
            room = found.visit.offset_tolerance(0 if left.end.axis == "x" else 1)
            if left.least < room and best[0] >= 2:
                best = max(best, (3, f"{left.least * 1e3:.1f} mm left to the {left.end.what}"))
    return best


def _of_verdict(found: Evidence, item: Verdict, defect: Defect) -> int:
    if item.state == "within":
        return 1
    if defect == "area" and item.what == "contact":
        lost = 1.0 - (item.found or 0.0)
        return 3 if lost >= found.number("area_lost") else 2
    # a bulge, strain or wedge beyond its limit is the third state of that defect
    return 3 if defect == "bulging" else 2


def _reason(item: Verdict) -> str:
    if item.found is None:
        return item.what
    unit, factor = {"m": ("mm", 1e3), "rad": ("mm/m", 1e3)}.get(item.unit, ("", 1.0))
    told = f"{item.what} {item.found * factor:.4g} {unit}".rstrip()
    if item.difference is not None and item.expected:
        told += f", {item.difference * factor:+.3g} from what it should be"
    return told
