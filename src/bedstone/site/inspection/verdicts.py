"""Each reading held against what it should be.

What follows from another reading is held against that one: a roller against half the offset that
was read, a gap to a stop against where the roller was found. So one fault gives one verdict.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from bedstone.bearings.disc import Disc
from bedstone.bearings.elastomeric_choices import Elastomeric
from bedstone.bearings.pot_sizes import Pot
from bedstone.bearings.sliding_sheet import Slide
from bedstone.site import kinematics
from bedstone.site.inspection.measured import drawn
from bedstone.site.inspection.result import Verdict
from bedstone.site.inspection.visit import ACROSS, ALONG, Visit
from bedstone.site.quantities import SIZE, catalogue
from bedstone.site.readings import Reading
from bedstone.site.setting import Setting

_AXES = ("along", "across")
#: Sides of each axis: where the coordinate falls and where it rises.
_SIDES = (("falling", "rising"), ("right", "left"))


def verdicts(visit: Visit) -> tuple[Verdict, ...]:
    """All verdicts on one visit to one seat, in the order of the catalogue."""
    found = [verdict for rule in _RULES for verdict in rule(visit)]
    judged = {id(item) for verdict in found for item in verdict.readings}
    left = [item for item in visit.readings.values() if id(item) not in judged]
    found += [_unjudged(visit, item) for item in left]
    order = {name: place for place, name in enumerate(catalogue())}
    return tuple(sorted(found, key=lambda item: order.get(item.readings[0].quantity, len(order))))


@cache
def words_of() -> Mapping[str, Mapping[str, Any]]:
    """What words come to: by quantity, by word, (state, out); and the `defect` of each quantity."""
    text = files("bedstone.site").joinpath("data", "inspection.toml").read_text(encoding="utf-8")
    found: Mapping[str, Mapping[str, Any]] = tomllib.loads(text)["words"]
    return found


def joint_verdicts(
    support: str,
    readings: Mapping[tuple[str, str], Reading],
    settings: Mapping[str, Setting],
    visit_of: Callable[[Setting], Visit],
) -> tuple[Verdict, ...]:
    """Verdicts on what was read at a support: the joint above it, and its level."""
    found = []
    for (name, _), item in readings.items():
        own = [s for s in settings.values() if s.support == support]
        if name == "joint gap":
            all_come = all(not visit_of(setting).stage for setting in own)
            found.append(_joint(support, item, own, all_come=all_come))
        elif name == "seat level" and own:
            found.append(_level_of(visit_of(own[0]), support, item))
        else:
            why = "nothing is known that it could be held against at a support"
            found.append(Verdict(support, name, "", (item,), "", item.value, why=why))
    return tuple(found)


# ------------------------------------------------------------------ movements
def _offsets(visit: Visit) -> Iterator[Verdict]:
    for axis, word in enumerate(_AXES):
        name = f"offset {word}"
        item = visit.reading(name)
        if item is None or item.value is None:
            continue
        yield _offset(visit, item, axis)


def _shears(visit: Visit) -> Iterator[Verdict]:
    found: list[Reading] = []
    for axis, word in enumerate(_AXES):
        item = visit.reading(f"shear offset {word}")
        if item is not None and item.value is not None:
            found.append(item)
            yield _offset(visit, item, axis)
    made = visit.design.bearing if visit.design is not None else None
    if not found:
        return
    if not isinstance(made, Elastomeric):
        yield _none(visit, "shear strain", "", tuple(found), "the pad is not known")
        return
    thick = made.pad.elastomer_thickness
    shear = math.hypot(*(item.value or 0.0 for item in found))
    limit = f"strain_{visit.name}"
    yield Verdict(
        visit.setting.seat, "shear strain", "", tuple(found),
        f"shear of the pad over {thick * 1e3:.0f} mm of elastomer",
        shear / thick, None, 0.0, visit.number(limit), values=visit.source(limit),
    )  # fmt: skip


def _offset(visit: Visit, item: Reading, axis: int) -> Verdict:
    found = visit.setting
    assert item.value is not None
    if found.held[axis]:
        play = visit.play(axis) or 0.0
        room = play + visit.number("gap")
        return Verdict(
            found.seat, item.quantity, "m", (item,),
            f"held; play of the guide {play * 1e3:.1f} mm each side",
            item.value, 0.0, -room, room, values=visit.source("gap"),
        )  # fmt: skip
    if item.temperature is None:
        return _none(
            visit, item.quantity, "m", (item,),
            "no temperature of the steel: an offset without it says nothing", item.value,
        )  # fmt: skip
    expected, room = visit.expected(item.temperature, axis), visit.offset_tolerance(axis)
    start = found.temperatures.setting if found.form == "shears" else found.datum
    speed = found.growth.own[axis] * 1e3
    rest = visit.come(axis) if found.form == "shears" else -visit.still(axis)
    rule = f"{speed:+.3f} mm/degC x ({item.temperature:g} - {start:g} degC)"
    if abs(rest) >= 0.05e-3:
        rule += f" {rest * 1e3:+.1f} mm"
    return Verdict(
        found.seat, item.quantity, "m", (item,), rule, item.value, expected,
        expected - room, expected + room, values=visit.source("offset_errors"),
    )  # fmt: skip


def _rollers(visit: Visit) -> Iterator[Verdict]:
    found = visit.several("roller offset")
    items = tuple(item for item in found.values() if item.value is not None)
    if not items:
        return
    base = visit.offset(ALONG)
    mean = sum(item.value or 0.0 for item in items) / len(items)
    if base is None:
        yield _none(
            visit, "roller offset", "m", items, "neither an offset nor a temperature was read", mean
        )
    else:
        offset, error, origin = base
        expected, room = kinematics.roller_offset(offset), _half_room(visit, offset) + error / 2.0
        yield Verdict(
            visit.setting.seat, "roller offset", "m", items, f"half of {origin}",
            mean, expected, expected - room, expected + room,
            values=visit.source("half_least", "half_share"),
        )  # fmt: skip
    left, right = visit.value("roller offset", "left"), visit.value("roller offset", "right")
    if left is None or right is None:
        return
    rollers = visit.setting.design.rollers if visit.setting.design is not None else None
    if rollers is None:
        why = "the length of the roller is not known"
        yield _none(visit, "roller skew", "", items, why)
        return
    most = visit.number("skew")
    yield Verdict(
        visit.setting.seat, "roller skew", "", items,
        f"left less right end, {(left - right) * 1e3:+.1f} mm, over {rollers.length * 1e3:.0f} mm",
        (left - right) / rollers.length, 0.0, -most, most, values=visit.source("skew"),
    )  # fmt: skip


def _half_room(visit: Visit, offset: float) -> float:
    return max(visit.number("half_least"), visit.number("half_share") * abs(offset))


def _roller_place(visit: Visit) -> tuple[float, float, str] | None:
    """Offset of the roller (m) as found, else half of the top plate's; its error; its origin."""
    found = [item.value for item in visit.several("roller offset").values()]
    known = [value for value in found if value is not None]
    if known:
        return sum(known) / len(known), 0.0, "the roller as found"
    base = visit.offset(ALONG)
    return None if base is None else (base[0] / 2.0, base[1] / 2.0, f"half of {base[2]}")


def _stops(visit: Visit) -> Iterator[Verdict]:
    ends = [end for end in visit.ends(ALONG, holds=False) if end.halved]
    place = _roller_place(visit)
    for side, item in visit.several("roller gap").items():
        name = f"roller gap {side}"
        if not ends or place is None or item.value is None:
            why = "no stop is known" if not ends else "neither an offset nor a temperature was read"
            yield _none(visit, name, "m", (item,), why, item.value)
            continue
        at, error, origin = place
        behind, ahead = kinematics.roller_gaps(ends[0].ahead / 2.0, 2.0 * at)
        expected = behind if side == "falling" else ahead
        room = visit.number("gap") + error
        yield Verdict(
            visit.setting.seat, name, "m", (item,),
            f"{ends[0].ahead * 500:.1f} mm at rest, from {origin}",
            item.value, expected, expected - room, expected + room, values=visit.source("gap"),
        )  # fmt: skip


def _guides(visit: Visit) -> Iterator[Verdict]:
    for axis in (ALONG, ACROSS):
        sides = _SIDES[axis]
        read = visit.several("guide gap")
        items = tuple(read[side] for side in sides if side in read)
        gaps = [item.value for item in items if item.value is not None]
        if not gaps:
            continue
        play = visit.play(axis)
        if play is None:
            yield _none(visit, "guide gap", "m", items, "no guide is known there")
            continue
        least = min(gaps)
        yield Verdict(
            visit.setting.seat, "guide gap", "m", items,
            f"the lesser side; {play * 1e3:.1f} mm each side as drawn",
            least, play, min(visit.number("guide_least"), play), math.inf,
            values=visit.source("guide_least"),
        )  # fmt: skip
        room = visit.number("guide_play")
        if len(gaps) == 2:
            yield Verdict(
                visit.setting.seat, "guide play", "m", items, "both sides together",
                sum(gaps), 2.0 * play, 2.0 * play - room, 2.0 * play + room,
                values=visit.source("guide_play"),
            )  # fmt: skip


def _overhangs(visit: Visit) -> Iterator[Verdict]:
    read = visit.several("overhang")
    for axis in (ALONG, ACROSS):
        plates = [end for end in visit.ends(axis, holds=False) if end.overhang]
        base = visit.offset(axis)
        for place, side in enumerate(_SIDES[axis]):
            if side not in read:
                continue
            item, name = read[side], f"overhang {side}"
            if not plates or base is None or item.value is None:
                why = "no sliding plate is known" if not plates else "no offset, no temperature"
                yield _none(visit, name, "m", (item,), why, item.value)
                continue
            expected = plates[0].readings(base[0])[place]
            room = visit.number("gap") + base[1]
            yield Verdict(
                visit.setting.seat, name, "m", (item,), f"from {base[2]}",
                item.value, expected, max(expected - room, 0.0), expected + room,
                values=visit.source("gap"),
            )  # fmt: skip


def _tilts(visit: Visit) -> Iterator[Verdict]:
    item = visit.reading("tilt")
    if item is None or item.value is None:
        return
    found = visit.setting
    rollers = found.design.rollers if found.design is not None else None
    base = visit.offset(ALONG)
    if found.form == "holds":
        most = found.tolerances.number("level")
        yield Verdict(
            found.seat, "tilt", "rad", (item,), "a bearing that holds stands plumb",
            item.value, 0.0, -most, most, values=(found.tolerances.values["level"],),
        )  # fmt: skip
    elif rollers is None or base is None or not rollers.segmental:
        why = "only of segments and of rockers that hold is it known how they should lean"
        yield _none(visit, "tilt", "rad", (item,), why, item.value)
    else:
        expected = kinematics.roller_turn(base[0], rollers.diameter)
        # as far as the roller's own middle may be off
        room = 2.0 * (_half_room(visit, base[0]) + base[1] / 2.0) / rollers.diameter
        yield Verdict(
            found.seat, "tilt", "rad", (item,),
            f"{base[2]} over the diameter {rollers.diameter * 1e3:.0f} mm",
            item.value, expected, expected - room, expected + room,
            values=visit.source("half_least", "half_share"),
        )  # fmt: skip


# ------------------------------------------------------------------ levels, contact, wear
def _levels(visit: Visit) -> Iterator[Verdict]:
    found = visit.setting
    name = "level" if found.form in ("rolls", "slides") else "level_other"
    most = found.tolerances.number(name)
    for word in _AXES:
        item = visit.reading(f"level {word}")
        if item is not None and item.value is not None:
            yield Verdict(
                found.seat, item.quantity, "rad", (item,), "level",
                item.value, 0.0, -most, most, values=(found.tolerances.values[name],),
            )  # fmt: skip


def _heights(visit: Visit) -> Iterator[Verdict]:
    read = visit.several("height")
    items = tuple(read.values())
    corners = [read[f"corner {n}"].value for n in (1, 2, 3, 4) if f"corner {n}" in read]
    known = [value for value in corners if value is not None]
    if not items:
        return
    if len(known) < 4 or visit.design is None or visit.demand is None:
        why = "all four corners and the bearing's sizes are needed"
        yield _none(visit, "wedge", "rad", items, why)
        return
    one, two, three, four = known
    long, wide = visit.design.reach
    slopes = ((two + three - one - four) / 2.0 / long, (three + four - one - two) / 2.0 / wide)
    # a right-handed rotation about y' lowers the side ahead; one about x' lifts the left side
    turns = (-visit.setting.turns[1], visit.setting.turns[0])
    for word, slope, turn, effect in zip(_AXES, slopes, turns, ("ry", "rx"), strict=True):
        yield _rotation(visit, f"wedge {word}", items, slope, turn, effect)


def _pots(visit: Visit) -> Iterator[Verdict]:
    read = visit.several("pot gap")
    items = tuple(read.values())
    made = visit.design.bearing if visit.design is not None else None
    known = [read[place].value for place in "1234" if place in read]
    gaps = [value for value in known if value is not None]
    if not items:
        return
    if len(gaps) < 4 or not isinstance(made, Pot):
        yield _none(visit, "pot rotation", "rad", items, "all four gaps and the pot are needed")
        return
    across = made.body.outside
    slopes = ((gaps[0] - gaps[2]) / across, (gaps[1] - gaps[3]) / across)
    turns = (-visit.setting.turns[1], visit.setting.turns[0])
    for word, slope, turn, effect in zip(_AXES, slopes, turns, ("ry", "rx"), strict=True):
        yield _rotation(visit, f"pot rotation {word}", items, slope, turn, effect)
    room, mean = visit.number("pot_gap"), sum(gaps) / 4.0
    yield Verdict(
        visit.setting.seat, "pot gap", "m", items, "mean of four; as drawn",
        mean, made.body.gap, made.body.gap - room, made.body.gap + room,
        values=visit.source("pot_gap"),
    )  # fmt: skip


def _rotation(
    visit: Visit, what: str, items: tuple[Reading, ...], found: float, expected: float, effect: str
) -> Verdict:
    """A slope between upper and lower part against the largest rotation it was designed for."""
    most = 0.0 if visit.demand is None else visit.demand.largest(effect, "SLS", "Service", "rare")
    if most == 0.0 and visit.demand is not None:
        most = visit.demand.largest(effect)
    # neither plate is level beyond its own tolerance
    room = max(most, abs(expected)) + 2.0 * visit.setting.tolerances.number("level")
    return Verdict(
        visit.setting.seat, what, "rad", items,
        f"rotation of the service limit states {most * 1e3:.1f} mrad, and both plates' level",
        found, expected, -room, room, values=(visit.setting.tolerances.values["level"],),
    )  # fmt: skip


def _bulges(visit: Visit) -> Iterator[Verdict]:
    items = tuple(visit.several("bulge").values())
    if not items:
        return
    made = visit.design.bearing if visit.design is not None else None
    worst = max(item.value or 0.0 for item in items)
    if isinstance(made, Elastomeric):
        thick = made.pad.height
    elif isinstance(made, Disc):
        thick = made.body.thickness
    else:
        yield _none(visit, "bulge", "m", items, "the thickness of the pad is not known", worst)
        return
    share = visit.number("bulge_share")
    yield Verdict(
        visit.setting.seat, "bulge", "m", items,
        f"{worst / thick:.0%} of {thick * 1e3:.0f} mm", worst, 0.0, 0.0, share * thick,
        values=visit.source("bulge_share"),
    )  # fmt: skip


def _touching(visit: Visit) -> Iterator[Verdict]:
    items = tuple(visit.several("lift-off").values())
    if items:
        worst = max(item.value or 0.0 for item in items)
        yield Verdict(
            visit.setting.seat, "lift-off", "m", items, "the widest side",
            worst, 0.0, 0.0, visit.number("lift_off"), values=visit.source("lift_off"),
        )  # fmt: skip
    for name, key in (("contact", "contact"), ("protrusion", "protrusion")):
        item = visit.reading(name)
        if item is None or item.value is None:
            continue
        slide = _slide_of(visit)
        expected = 1.0 if name == "contact" else slide
        yield Verdict(
            visit.setting.seat, name, "" if name == "contact" else "m", (item,), "at least",
            item.value, expected, visit.number(key), math.inf, values=visit.source(key),
        )  # fmt: skip


def _slide_of(visit: Visit) -> float | None:
    """Protrusion (m) of the sliding sheet as made."""
    made = visit.design.bearing if visit.design is not None else None
    slide = getattr(made, "slide", None)
    return slide.sheet.protrusion if isinstance(slide, Slide) else None


def _seat_level(visit: Visit) -> Iterator[Verdict]:
    item = visit.reading("seat level")
    if item is not None and item.value is not None:
        yield _level_of(visit, visit.setting.seat, item)


def _level_of(visit: Visit, place: str, item: Reading) -> Verdict:
    room, names = visit.number("seat_level"), ["seat_level"]
    if visit.spacing is not None and place == visit.setting.seat:
        part = visit.number("seat_level_spacing") * visit.spacing
        if part < room:
            room, names = part, ["seat_level_spacing"]
    return Verdict(
        place, "seat level", "m", (item,), "its baseline", item.value, 0.0, -room, room,
        values=visit.source(*names),
    )  # fmt: skip


def _sizes(visit: Visit) -> Iterator[Verdict]:
    read = visit.several("diameter")
    items = tuple(item for item in read.values() if item.value is not None)
    if items:
        least = min(item.value or 0.0 for item in items)
        yield _size(visit, "diameter", "diameter", items, least)
    for (name, _), item in visit.readings.items():
        if name.startswith(SIZE) and item.value is not None:
            size = name.removeprefix(SIZE).strip()
            yield _size(visit, name, size, (item,), item.value)


def _size(visit: Visit, what: str, size: str, items: tuple[Reading, ...], found: float) -> Verdict:
    known = None if visit.design is None else drawn(visit.design.bearing, size)
    if known is None:
        return _none(visit, what, "m", items, "the bearing as drawn has no such size", found)
    key = "diameter" if size == "diameter" else "size"
    room = visit.number(key)
    rule = "the least of what was read" if len(items) > 1 else "as drawn"
    return Verdict(
        visit.setting.seat, what, "m", items, rule, found, known, known - room, known + room,
        values=visit.source(key),
    )  # fmt: skip


def _words(visit: Visit) -> Iterator[Verdict]:
    for (name, _), item in visit.readings.items():
        if not item.word or name not in words_of():
            continue
        state, out = words_of()[name].get(item.word, (0, 0))
        yield Verdict(
            visit.setting.seat, name, "", (item,), "as seen", word=item.word, out=bool(out),
            why="" if state else "it says nothing either way",
        )  # fmt: skip


def _joint(support: str, item: Reading, settings: list[Setting], *, all_come: bool) -> Verdict:
    """The joint above a support must be wide enough for what still closes it.

    `all_come`: every stage after setting has moved it already, so that what those moved is in the
    gap that was read. Where one has not come, all of them are taken as still to come.
    """
    rule = "it may not close at the design extremes"
    openings = [row.opening for s in settings for row in s.rows if row.opening is not None]
    if not openings or item.value is None or item.temperature is None:
        why = (
            "no joint is known above it"
            if not openings
            else "no temperature of the steel: a gap without it says nothing"
        )
        return Verdict(support, "joint gap", "m", (item,), rule, item.value, why=why)
    closes = 0.0
    for found in settings:
        known = [row.temperature for row in found.rows]
        row = found.row(min(max(item.temperature, known[0]), known[-1]))
        if row.opening is None:
            continue
        # `closes` counts from the day of setting; at the datum the change is what has come since
        come = found.row(found.datum).opening if all_come else None
        closed = -come.change if come is not None else 0.0
        closes = max(closes, row.opening.closes + closed)
    return Verdict(support, "joint gap", "m", (item,), rule, item.value, None, closes, math.inf)


# ------------------------------------------------------------------ inside
_RULES: tuple[Callable[[Visit], Iterator[Verdict]], ...] = (
    _offsets, _shears, _rollers, _stops, _guides, _overhangs, _tilts, _levels, _heights, _pots,
    _bulges, _touching, _seat_level, _sizes, _words,
)  # fmt: skip


def _none(
    visit: Visit,
    what: str,
    unit: str,
    items: tuple[Reading, ...],
    why: str,
    found: float | None = None,
) -> Verdict:
    return Verdict(visit.setting.seat, what, unit, items, "", found, why=why)


def _unjudged(visit: Visit, item: Reading) -> Verdict:
    known = catalogue().get(item.quantity)
    unit = "" if known is None else known.unit
    return Verdict(
        visit.setting.seat, item.quantity, unit, (item,), "", item.value, word=item.word,
        why="there is no rule for it here",
    )  # fmt: skip
