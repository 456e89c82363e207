"""One small rule for each way in which bearings fail: from numbers to signs, or to none.

A rule gives back the numbers that speak for its mode, each with the limit it passes. No number, no
sign; no sign, no cause.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from statistics import median

from bedstone.site.inspection.result import Capacity, Left, Sign, Verdict
from bedstone.site.inspection.visit import ACROSS, ALONG, Visit, residual
from bedstone.site.quantities import SIZE
from bedstone.site.readings import Reading
from bedstone.site.setting import STILL, Setting

#: Days of a mean year.
_YEAR = timedelta(days=365.25)


@dataclass(frozen=True)
class Evidence:
    """All that a rule may look at.

    - `verdicts`: of this visit; `left`, `capacity`: what came of them
    - `line`: the other bearings of the support with their residuals along (m)
    - `settings`: of the whole bridge; `curved`: whether its axis is
    - `joints`: readings of the joint at this support that are out
    """

    visit: Visit
    verdicts: tuple[Verdict, ...]
    left: tuple[Left, ...]
    capacity: Capacity | None
    line: Mapping[str, float]
    settings: Sequence[Setting]
    curved: bool
    joints: tuple[Verdict, ...] = ()

    def out(self, *names: str) -> list[Verdict]:
        """Verdicts that are out and whose name begins with one of the words."""
        return [
            item for item in self.verdicts if item.state == "out" and item.what.startswith(names)
        ]

    def number(self, name: str) -> float:
        """A tolerance, SI."""
        return self.visit.number(name)


Rule = Callable[[Evidence], Iterator[Sign]]


@dataclass(frozen=True)
class Mobility:
    """Movement found over movement expected between two places, with its error.

    `change`: K between them; `since`: what it is held against; `visited`: that is an earlier visit,
    not setting.
    """

    ratio: float
    error: float
    change: float
    since: str
    visited: bool


def mobilities(visit: Visit) -> list[Mobility]:
    """Ratios of movement along or across, against the visit before and against setting.

    Said only where the temperatures lie far enough apart and the error is small enough. Against
    setting the bearing is taken to have been set as the table of settings says, at the temperature
    of the bridge file, where the file names one.
    """
    found: list[Mobility] = []
    for axis in (ALONG, ACROSS):
        speed = visit.setting.growth.own[axis]
        if visit.setting.held[axis] or abs(speed) <= STILL:
            continue
        now, at = _offset_at(visit, visit.readings, axis)
        if now is None or at is None:
            continue
        error = math.hypot(
            visit.setting.tolerances.number("survey"),
            speed * visit.setting.tolerances.number("thermometer"),
        )
        places = []
        for earlier in reversed(visit.before):
            then, cold = _offset_at(visit, earlier, axis)
            if then is not None and cold is not None:
                places.append((then, cold, math.sqrt(2.0) * error, True))
        told = visit.setting.temperatures
        if told.told and visit.setting.form != "shears":
            row = visit.setting.row(told.setting)
            rest = visit.come(axis)
            places.append(
                (row.offset[axis] + rest, told.setting,
                 math.hypot(visit.setting.budget[axis].total, error), False)
            )  # fmt: skip
        for then, was, wrong, visited in places:
            change = at - was
            moved = speed * change
            if abs(change) < visit.number("mobility_change"):
                continue
            if wrong / abs(moved) > visit.number("mobility_error"):
                continue
            since = "an earlier visit" if visited else "setting, if set as the file says"
            found.append(Mobility((now - then) / moved, wrong / abs(moved), change, since, visited))
    return found


def too_little(visit: Visit) -> list[Mobility]:
    """The ratios that say, error and all, that it is not free, and that are below half."""
    free, limit = visit.number("mobility_free"), visit.number("mobility_restricted")
    return [
        item for item in mobilities(visit) if item.ratio + item.error < free and item.ratio < limit
    ]


def _offset_at(
    visit: Visit, readings: Mapping[tuple[str, str], Reading], axis: int
) -> tuple[float | None, float | None]:
    """Offset (m) and temperature (degC) of some readings."""
    names = ("shear offset", "offset") if visit.setting.form == "shears" else ("offset",)
    for name in names:
        item = readings.get((f"{name} {('along', 'across')[axis]}", ""))
        if item is not None:
            return item.value, item.temperature
    return None, None


def seized(found: Evidence) -> Iterator[Sign]:
    """1: it moves far less than temperature asks."""
    limit = found.number("mobility_restricted")
    for item in too_little(found.visit):
        text = f"moved of what it should since {item.since}, over {item.change:+.0f} K"
        yield Sign(text, item.ratio, limit, "")
    for verdict in found.out("movement"):
        if verdict.word == "stuck" and not all(found.visit.setting.held):
            yield Sign('seen: "stuck"', 1.0, 1.0, "seen")


def ratcheting(found: Evidence) -> Iterator[Sign]:
    """2: its residual grows one way from visit to visit."""
    visits = int(found.number("ratchet_visits"))
    for axis in (ALONG, ACROSS):
        every = (*found.visit.before, found.visit.readings)
        known = [
            (value, max(item.time for item in readings.values()))
            for readings in every
            if (value := residual(found.visit, readings, axis)) is not None
        ][-visits:]
        if len(known) < visits or found.visit.setting.held[axis]:
            continue
        steps = [b[0] - a[0] for a, b in pairwise(known)]
        whole = known[-1][0] - known[0][0]
        room = math.sqrt(2.0) * found.visit.setting.tolerances.number("survey")
        if abs(whole) > room and all(step * whole > 0.0 for step in steps):
            years = (known[-1][1] - known[0][1]) / _YEAR
            text = f"went one way in {len(known)} visits over {years:.1f} years"
            yield Sign(text, abs(whole), room, "m")


def over_travel(found: Evidence) -> Iterator[Sign]:
    """3: an end of the travel is reached at the design extremes."""
    for item in found.left:
        if item.least < 0.0:
            way = "behind" if item.behind < item.ahead else "ahead"
            yield Sign(f"beyond the {item.end.what} {way}", -item.least, 0.0, "m")


def wrong_preset(found: Evidence) -> Iterator[Sign]:
    """4: it stands off by more than any error of setting."""
    for axis, word in enumerate(("along", "across")):
        rest = found.visit.residual(axis)
        if rest is None or found.visit.setting.held[axis]:
            continue
        room = found.number("preset_errors") * found.visit.setting.budget[axis].total
        if abs(rest) > room:
            yield Sign(f"offset {word} from what the temperature asks", abs(rest), room, "m")
            speed = found.visit.setting.growth.own[axis]
            allowed = abs(room / speed) if abs(speed) > STILL else 0.0
            if allowed:
                yield Sign(
                    "as if set at another temperature, off by", abs(rest / speed), allowed, "K"
                )


def roller_not_half(found: Evidence) -> Iterator[Sign]:
    """5: the roller is not where half of the offset is."""
    for item in found.out("roller offset"):
        assert item.difference is not None
        assert item.expected is not None
        yield Sign("roller from half of the offset", abs(item.difference),
                   item.high - item.expected, "m")  # fmt: skip


def roller_askew(found: Evidence) -> Iterator[Sign]:
    """6: one end of the roller is ahead of the other; it leans to a guide."""
    for item in found.out("roller skew"):
        yield Sign("left less right end, over its length", abs(item.found or 0.0), item.high, "")
    if found.visit.setting.form == "rolls":
        for item in found.out("guide gap"):
            yield Sign("gap at a guide of the rollers", item.found or 0.0, item.low, "m")


def guide_direction(found: Evidence) -> Iterator[Sign]:
    """7: over the range of temperature the free movement uses more than the play of the guide."""
    setting = found.visit.setting
    reach = setting.growth.from_point
    told = setting.temperatures
    if reach is None or not found.out("guide gap", "offset"):
        return
    for axis in (ALONG, ACROSS):
        play = found.visit.play(axis)
        if not setting.held[axis] or setting.held[1 - axis] or play is None:
            continue
        swing = setting.growth.alpha * (told.warmest - told.coldest) / 2.0
        lateral = abs(reach[axis]) * swing
        if lateral > play:
            angle = math.degrees(math.atan2(abs(reach[axis]), abs(reach[1 - axis])))
            yield Sign(
                f"free movement across the guide, {angle:.1f} deg off it", lateral, play, "m"
            )


def over_restraint(found: Evidence) -> Iterator[Sign]:
    """8: another bearing of the line holds the same direction, and the width between grows."""
    own = found.visit.setting
    if not found.out("guide gap", "guide play"):
        return
    for axis in (ALONG, ACROSS):
        play = found.visit.play(axis)
        if not own.held[axis] or play is None or own.growth.from_point is None:
            continue
        for other in found.settings:
            point = other.growth.from_point
            if other.support != own.support or other.seat == own.seat or point is None:
                continue
            if not other.held[axis]:
                continue
            told = own.temperatures
            apart = abs(point[axis] - own.growth.from_point[axis])
            grows = own.growth.alpha * apart * (told.warmest - told.coldest) / 2.0
            if grows > play:
                yield Sign(f"width to {other.seat}, held as well, grows", grows, play, "m")


def no_hold(found: Evidence) -> Iterator[Sign]:
    """9: the only bearing that holds a direction is no longer fast."""
    bad = {"missing or broken", "sheared or missing"}
    words = [item for item in found.out("anchor", "connection") if item.word in bad]
    for axis, word in enumerate(("along", "across")):
        others = [s for s in found.settings if s.held[axis] and s.seat != found.visit.setting.seat]
        if words and found.visit.setting.held[axis] and not others:
            yield Sign(f'"{words[0].word}" where it alone holds {word}', 1.0, 1.0, "seen")


def uplift(found: Evidence) -> Iterator[Sign]:
    """10: a gap where it should press, and least compression of nothing."""
    least = _least(found)
    for item in found.out("lift-off"):
        if least is not None and least <= 0.0:
            yield Sign("gap where it should touch", item.found or 0.0, item.high, "m")
            yield Sign("least N of the limit states", least, 0.0, "N")


def hold_down(found: Evidence) -> Iterator[Sign]:
    """11: a bearing that pulls, with loose or bent anchors or a gap."""
    demand = found.visit.demand
    if demand is None or demand.uplift <= 0.0:
        return
    for item in found.out("anchor", "connection"):
        yield Sign(f'"{item.word}" at a bearing that pulls', demand.uplift, 0.0, "N")
    for item in found.out("lift-off"):
        yield Sign("gap at a bearing that pulls", item.found or 0.0, item.high, "m")


def curved_tipping(found: Evidence) -> Iterator[Sign]:
    """12: a gap on a curved bridge, where few bearings of the line carry."""
    line = [s for s in found.settings if s.support == found.visit.setting.support]
    if found.curved and len(line) <= 2:
        for item in found.out("lift-off"):
            yield Sign("gap on a curve, two bearings or fewer in the line", item.found or 0.0,
                       item.high, "m")  # fmt: skip


def cracked_roller(found: Evidence) -> Iterator[Sign]:
    """13: hardened rollers with damage or rust."""
    if found.visit.setting.kind == "hardened roller":
        for item in found.out("damage", "corrosion"):
            yield Sign(f'"{item.word}" on a hardened roller', 1.0, 1.0, "seen")


def edge_contact(found: Evidence) -> Iterator[Sign]:
    """14: the line of contact is short, or the plate slopes along the roller."""
    for item in found.out("contact"):
        yield Sign("length in contact", item.found or 0.0, item.low, "")
    for item in found.out("level across"):
        yield Sign("slope along the axis", abs(item.found or 0.0), item.high, "rad")


def slot_end(found: Evidence) -> Iterator[Sign]:
    """15: an anchor at the end of its slot, or little way left in slots and bars."""
    for item in found.out("anchor"):
        if item.word in ("at the end of the slot", "bent", "sheared or missing"):
            yield Sign(f'anchor "{item.word}"', 1.0, 1.0, "seen")
    for left in found.left:
        if ("slot" in left.end.what or "bars" in left.end.what) and left.least < found.number(
            "slot"
        ):
            yield Sign(f"way left to the {left.end.what}", left.least, found.number("slot"), "m")


def bed_down(found: Evidence) -> Iterator[Sign]:
    """16: the seat stands lower than it did."""
    for item in found.out("seat level"):
        if (item.found or 0.0) < 0.0:
            yield Sign("seat below its baseline", -(item.found or 0.0), item.high, "m")


def unlike_siblings(found: Evidence) -> Iterator[Sign]:
    """17: it lies further from the middle of its line than the others do."""
    rest = found.visit.residual(ALONG)
    others = list(found.line.values())
    if rest is None or len(others) < 3:
        return
    middle = median(others)
    usual = median(abs(value - middle) for value in others)
    room = max(found.number("siblings") * usual, found.visit.setting.tolerances.number("survey"))
    if abs(rest - middle) > room:
        yield Sign("offset from the middle of its line", abs(rest - middle), room, "m")


def pad_slips(found: Evidence) -> Iterator[Sign]:
    """18: the top has moved, and the pad is not sheared by as much."""
    if found.visit.setting.kind != "laminated elastomeric":
        return
    for word in ("along", "across"):
        top, shear = (found.visit.value(f"{name}{word}") for name in ("offset ", "shear offset "))
        room = 2.0 * found.visit.setting.tolerances.number("survey")
        if top is not None and shear is not None and abs(top - shear) > room:
            yield Sign(f"moved {word} and not sheared", abs(top - shear), room, "m")


def pad_overstrained(found: Evidence) -> Iterator[Sign]:
    """19: shear strain, bulge or wedge beyond what a pad may show."""
    if found.visit.setting.kind != "laminated elastomeric":
        return
    for item in found.out("shear strain", "bulge", "wedge"):
        yield Sign(item.what, abs(item.found or 0.0), item.high, item.unit)
    for item in found.out("damage"):
        if item.word == "split or torn":
            yield Sign('seen: "split or torn"', 1.0, 1.0, "seen")


def wrong_pad(found: Evidence) -> Iterator[Sign]:
    """20: a pad of other sizes than drawn."""
    if found.visit.setting.kind == "laminated elastomeric":
        for item in found.out(SIZE.strip()):
            yield Sign(f"{item.what} differs from the design", abs(item.difference or 0.0),
                       found.number("size"), "m")  # fmt: skip


def pot_leaks(found: Evidence) -> Iterator[Sign]:
    """21: the piston has sunk, or tilts more than it was made for."""
    for item in found.out("pot gap", "pot rotation"):
        room = item.high - (item.expected or 0.0)
        yield Sign(item.what, abs(item.difference or 0.0), room, item.unit)


def sheet_worn(found: Evidence) -> Iterator[Sign]:
    """22: the sheet stands out too little."""
    for item in found.out("protrusion"):
        yield Sign("sheet stands out", item.found or 0.0, item.low, "m")


def rotation_used(found: Evidence) -> Iterator[Sign]:
    """23: the rotation found is as large as all that was designed for."""
    for item in found.out("pot rotation", "wedge"):
        yield Sign(item.what, abs(item.found or 0.0), item.high, "rad")


def sloping(found: Evidence) -> Iterator[Sign]:
    """24: the load pushes down the slope; told with the force it makes."""
    for item in found.out("level"):
        slope = abs(item.found or 0.0)
        yield Sign(f"{item.what} out of level", slope, item.high, "rad")
        force = slope * found.visit.setting.load_final
        allowed = item.high * found.visit.setting.load_final
        yield Sign("pushes down the slope, permanent load", force, allowed, "N")


def substructure_moved(found: Evidence) -> Iterator[Sign]:
    """25: it follows the temperature, from another place; or joint and level say so."""
    free = found.number("mobility_free")
    residuals = [found.visit.residual(axis) for axis in (ALONG, ACROSS)]
    moves = [item for item in mobilities(found.visit) if item.visited]
    off = found.out("offset")
    if moves and moves[0].ratio >= free and off:
        yield Sign("moved of what it should", moves[0].ratio, free, "")
        yield Sign("and stands off by", max(abs(r) for r in residuals if r is not None),
                   off[0].high - (off[0].expected or 0.0), "m")  # fmt: skip
    for item in found.joints:
        yield Sign("gap of the joint above", item.found or 0.0, item.low, "m")
    for item in found.out("seat level"):
        yield Sign("level of the seat", abs(item.found or 0.0), item.high, "m")


def knocked(found: Evidence) -> Iterator[Sign]:
    """26: it stands off across a guide that holds, beyond the play."""
    for axis, word in enumerate(("along", "across")):
        if found.visit.setting.held[axis]:
            for item in found.out(f"offset {word}"):
                yield Sign(f"off {word} where it is held", abs(item.found or 0.0), item.high, "m")


def fixed_stuck(found: Evidence) -> Iterator[Sign]:
    """27: a bearing that holds looks stuck, dry or rusted."""
    if all(found.visit.setting.held):
        for item in found.out("movement", "oil", "corrosion"):
            yield Sign(f'{item.what} "{item.word}" at a bearing that only turns', 1.0, 1.0, "seen")


def dirt(found: Evidence) -> Iterator[Sign]:
    """28: dirt or spoilt oil."""
    for item in found.out("dirt", "oil"):
        yield Sign(f'{item.what} "{item.word}"', 1.0, 1.0, "seen")


def no_lift(found: Evidence) -> Iterator[Sign]:
    """29: a check is broken by what was measured, so the bearing has to come out."""
    made = found.capacity
    if made is not None and made.worse and made.after is not None:
        yield Sign("utilisation with measured sizes", made.after.utilisation or 0.0, 1.0, "")
        force = found.number("lift") * found.visit.setting.load_final
        yield Sign("force to jack at least, against its permanent load", force,
                   found.visit.setting.load_final, "N")  # fmt: skip


def wrong_temperature(found: Evidence) -> Iterator[Sign]:
    """30: the error of a temperature taken in the air or the sun would explain the offset."""
    sun = found.number("sun")
    for axis in (ALONG, ACROSS):
        speed = found.visit.setting.growth.own[axis]
        rest = found.visit.residual(axis)
        out = found.out(("offset along", "offset across")[axis])
        if rest is not None and out and abs(speed) > STILL and abs(rest / speed) <= 2.0 * sun:
            yield Sign("error of temperature that explains it, against an error in the sun",
                       abs(rest / speed), sun, "K")  # fmt: skip


def no_contact(found: Evidence) -> Iterator[Sign]:
    """31: a gap under load."""
    for item in found.out("lift-off"):
        yield Sign("gap where it should touch", item.found or 0.0, item.high, "m")


def clamp(found: Evidence) -> Iterator[Sign]:
    """32: a clamp is still there."""
    for _ in found.out("clamp"):
        yield Sign("clamp or transit bolt in place", 1.0, 1.0, "seen")


def looks_only(found: Evidence) -> Iterator[Sign]:
    """33: words, and no offset with a temperature, at a bearing that should move."""
    setting = found.visit.setting
    axes = [axis for axis in (ALONG, ACROSS) if not setting.held[axis]]
    measured = [axis for axis in axes if found.visit.residual(axis) is not None]
    if axes and not measured:
        yield Sign("offsets read with a temperature", 0.0, 1.0, "count")


def _least(found: Evidence) -> float | None:
    demand = found.visit.demand
    if demand is None:
        return None
    return min((case.N for case in demand.cases), default=None)


RULES: Mapping[str, Rule] = {
    rule.__name__: rule
    for rule in (
        seized, ratcheting, over_travel, wrong_preset, roller_not_half, roller_askew,
        guide_direction, over_restraint, no_hold, uplift, hold_down, curved_tipping,
        cracked_roller, edge_contact, slot_end, bed_down, unlike_siblings, pad_slips,
        pad_overstrained, wrong_pad, pot_leaks, sheet_worn, rotation_used, sloping,
        substructure_moved, knocked, fixed_stuck, dirt, no_lift, wrong_temperature, no_contact,
        clamp, looks_only,
    )
}  # fmt: skip
