"""Checks of what a bridge file says of play and stops, comparison, single faults and chance."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bedstone.bridge.findings import Finding, Step, joined, some, unknown
from bedstone.bridge.lines import kept_functions, seat_lines
from bedstone.bridge.schema import Bridge, Function, Reactions, Rules, Seat, Spread
from bedstone.bridge.seats import SeatMark
from bedstone.bridge.tables import FrameData, ReactionData

_HOLD_ALONG = frozenset({"fixed", "guided across"})
_HOLD_ACROSS = frozenset({"fixed", "guided along"})
#: The functions between which an arrangement chooses.
_VARIED: tuple[Function, ...] = ("fixed", "guided along", "guided across", "free")
_RULES: tuple[Step, ...] = ("compare", "rules")


def check_comparison(bridge: Bridge) -> Iterator[Finding]:
    """Give every fault in the parts for comparison that shows without knowing the seats."""
    yield from _ranges(bridge.compare.rules)
    yield from _pinned_names(bridge)
    if bridge.faults.soft is not None and bridge.faults.soft >= 1.0:
        found = f"{bridge.faults.soft:g}"
        yield Finding(("faults", "soft"), found, "below 1: what is below the bearings gets softer")
    if bridge.faults.skew is not None and bridge.faults.skew >= math.radians(90.0):
        found = f"{math.degrees(bridge.faults.skew):.6g} deg"
        yield Finding(("faults", "skew"), found, "below 90 deg; `turned` is the fault of 90 deg")
    yield from _uncertainty(bridge)


def check_comparison_seats(
    bridge: Bridge, seats: Sequence[SeatMark], tables: FrameData | ReactionData | None
) -> Iterator[Finding]:
    """Give every fault in what the parts for comparison say about single seats and supports."""
    for mark, seat in bridge.arrangement.seats.items():
        yield from _play_and_travel(seat, ("arrangement", "seats", mark))
    yield from _marks_of_rules(bridge, seats)
    if not isinstance(bridge.superstructure, Reactions):
        yield from _contradictions(bridge, seats, tables)
    yield from _pinned(bridge, seats)


# ------------------------------------------------------------------ play and stops
# The ways in which a bearing of each function moves nowhere, so that a stop there means nothing.
_NO_WAY: dict[Function, tuple[str, ...]] = {
    "fixed": ("back", "ahead", "right", "left"),
    "guided along": ("right", "left"),
    "guided across": ("back", "ahead"),
}


def _play_and_travel(seat: Seat, path: tuple[Step, ...]) -> Iterator[Finding]:
    """Play where nothing is held is passed over: it says nothing, and nothing wrong."""
    if seat.function == "none":
        if seat.play > 0.0:
            allowed = "no play, as there is no bearing"
            yield Finding((*path, "play"), f"{1e3 * seat.play:.6g} mm", allowed)
        if seat.travel is not None:
            yield Finding((*path, "travel"), "a table", "no stops, as there is no bearing")
        return
    if seat.travel is None:
        return
    for name in _NO_WAY.get(seat.function, ()):
        value = getattr(seat.travel, name)
        if value is not None:
            allowed = f"no stop this way, as the function {seat.function} holds it"
            yield Finding((*path, "travel", name), f"{1e3 * value:.6g} mm", allowed)


# ------------------------------------------------------------------ rules
def _ranges(rules: Rules) -> Iterator[Finding]:
    for name in ("supports_along", "along", "across"):
        least, largest = getattr(rules, name)
        if least > largest:
            allowed = "the least number first, then the largest"
            yield Finding((*_RULES, name), f"{least}, then {largest}", allowed)
    if rules.only_along == [] and rules.supports_along[0] > 0:
        allowed = f"at least {rules.supports_along[0]}, as rules.supports_along asks"
        yield Finding((*_RULES, "only_along"), "an empty list", allowed)
    if rules.only_across == [] and rules.across[0] > 0:
        allowed = f"at least {rules.across[0]}, as rules.across asks"
        yield Finding((*_RULES, "only_across"), "an empty list", allowed)


def _marks_of_rules(bridge: Bridge, seats: Sequence[SeatMark]) -> Iterator[Finding]:
    rules = bridge.compare.rules
    marks = [seat.mark for seat in seats]
    supports = [support.mark for support in bridge.support]
    for index, mark in enumerate(rules.only_along or ()):
        if mark not in supports:
            path: tuple[Step, ...] = (*_RULES, "only_along", index)
            yield unknown(path, mark, supports, "the mark of a support")
    lines = {seat.line for seat in seats}
    for index, line in enumerate(rules.only_across or ()):
        if line not in lines:
            allowed = f"a line that some support has, 1 to {max(lines, default=0)}"
            yield Finding((*_RULES, "only_across", index), str(line), allowed)
    by_mark = {seat.mark: seat for seat in seats}
    for mark, function in rules.keep.items():
        path = (*_RULES, "keep", mark)
        if mark not in by_mark:
            yield unknown(path, mark, marks, "the mark of a seat")
            continue
        against = _against(bridge, by_mark[mark], function)
        if against is not None:
            yield Finding(path, repr(function), against)
    for mark, never in rules.exclude.items():
        path = (*_RULES, "exclude", mark)
        if mark not in by_mark:
            yield unknown(path, mark, marks, "the mark of a seat")
        elif mark not in rules.keep and not set(_VARIED) - set(never):
            yield Finding(path, joined(never), f"one of {joined(_VARIED)} left to the seat")


def _against(bridge: Bridge, seat: SeatMark, function: Function) -> str | None:
    """What speaks against keeping a seat at a function; None: nothing."""
    rules = bridge.compare.rules
    if function in rules.exclude.get(seat.mark, ()):
        return "a function that rules.exclude leaves to this seat"
    own = bridge.arrangement.seats.get(seat.mark)
    if function == "elastic" and (own is None or own.stiffness is None):
        return f"elastic only with a stiffness under arrangement.seats.{seat.mark}"
    if (
        function in _HOLD_ALONG
        and rules.only_along is not None
        and seat.support not in rules.only_along
    ):
        return f"a function that does not hold along, as rules.only_along leaves out {seat.support}"
    if (
        function in _HOLD_ACROSS
        and rules.only_across is not None
        and seat.line not in rules.only_across
    ):
        return f"a function that does not hold across, as rules.only_across leaves out {seat.line}"
    return None


def _contradictions(
    bridge: Bridge, seats: Sequence[SeatMark], tables: FrameData | ReactionData | None
) -> Iterator[Finding]:
    """Numbers that no choice can meet, by line of seats and by separate piece."""
    rules = bridge.compare.rules
    if any(getattr(rules, name)[0] > getattr(rules, name)[1] for name in ("across", "along")):
        return  # told already
    supports_known = {support.mark for support in bridge.support}
    if any(mark not in supports_known for mark in rules.only_along or ()):
        return  # told already
    short: list[tuple[int, str]] = []
    kept_of = kept_functions(bridge, tuple(seats))
    can_hold: dict[int, list[str]] = {}
    for line in seat_lines(bridge, tables):
        kept = [kept_of.get(seats[place].mark) for place in line.seats]
        supports = can_hold.setdefault(line.piece, [])
        if _may_hold_along(bridge, line.support, kept):
            supports.append(line.support)
        if None not in kept:
            continue
        across = sum(function in _HOLD_ACROSS for function in kept if function is not None)
        along = sum(function in _HOLD_ALONG for function in kept if function is not None)
        open_across = sum(
            1
            for place, function in zip(line.seats, kept, strict=True)
            if function is None
            and (rules.only_across is None or seats[place].line in rules.only_across)
            and not set(rules.exclude.get(seats[place].mark, ())) >= _HOLD_ACROSS
        )
        if across + open_across < rules.across[0] and rules.only_across != []:
            short.append((across + open_across, line.support))
        for name, count, limit in (
            ("across", across, rules.across[1]),
            ("along", along, rules.along[1]),
        ):
            if count > limit:
                found = f"{count} seats of {line.support} that hold {name}"
                yield Finding((*_RULES, "keep"), found, f"at most {limit}, as rules.{name} says")
    if short:
        most, mark = min(short)
        allowed = f"at most {most}, as {mark} has no more seats for it"
        yield Finding((*_RULES, "across"), f"at least {rules.across[0]}", allowed)
    for supports in can_hold.values():
        if len(supports) < rules.supports_along[0] and rules.only_along != []:
            found = f"at least {rules.supports_along[0]}"
            which = some(supports) or "none"
            allowed = f"at most {len(supports)}: supports of one piece that can hold along: {which}"
            yield Finding((*_RULES, "supports_along"), found, allowed)


def _may_hold_along(bridge: Bridge, support: str, kept: Sequence[Function | None]) -> bool:
    """A line may hold along; one that is kept whole counts too: nothing is asked of it."""
    only = bridge.compare.rules.only_along
    return None not in kept or only is None or support in only


# ------------------------------------------------------------------ arrangements picked by hand
def _pinned_names(bridge: Bridge) -> Iterator[Finding]:
    seen = {bridge.arrangement.name}
    for index, pinned in enumerate(bridge.compare.pinned):
        if pinned.name in seen:
            allowed = "a name of its own for each arrangement, the file's own among them"
            yield Finding(("compare", "pinned", index, "name"), repr(pinned.name), allowed)
        seen.add(pinned.name)


def _pinned(bridge: Bridge, seats: Sequence[SeatMark]) -> Iterator[Finding]:
    marks = [seat.mark for seat in seats]
    supports = [support.mark for support in bridge.support]
    for index, pinned in enumerate(bridge.compare.pinned):
        path: tuple[Step, ...] = ("compare", "pinned", index)
        for mark, told in pinned.supports.items():
            here = [seat.mark for seat in seats if seat.support == mark]
            place = (*path, "supports", mark)
            if mark not in supports:
                yield unknown(place, mark, supports, "the mark of a support")
                continue
            if isinstance(told, list) and len(told) != len(here):
                allowed = f"one word, or {len(here)} functions: {some(here)}"
                yield Finding(place, f"{len(told)} functions", allowed)
                continue
            functions = [told] * len(here) if isinstance(told, str) else told
            without = [
                seat
                for seat, function in zip(here, functions, strict=True)
                if function == "elastic"
                and seat not in pinned.seats
                and _springless(bridge.arrangement.seats.get(seat))
            ]
            if without:
                allowed = f"a stiffness for {some(without)}, under seats here or in the arrangement"
                yield Finding(place, "'elastic'", allowed)
        for mark, bearing in pinned.seats.items():
            place = (*path, "seats", mark)
            if mark not in marks:
                yield unknown(place, mark, marks, "the mark of a seat")
            elif bearing.function == "elastic" and bearing.stiffness is None:
                allowed = "stiffness, as the function is elastic"
                yield Finding((*place, "stiffness"), "nothing", allowed)
            yield from _play_and_travel(bearing, place)
        point = pinned.fixed_point
        if point is not None and point not in marks and point not in supports:
            what = "the mark of a seat or a support"
            yield unknown((*path, "fixed_point"), point, marks + supports, what)


def _springless(seat: Seat | None) -> bool:
    return seat is None or seat.stiffness is None


# ------------------------------------------------------------------ uncertainty
_SPREAD_OF_TEMPERATURE = ("coldest", "warmest", "setting")


def _uncertainty(bridge: Bridge) -> Iterator[Finding]:
    uncertainty = bridge.uncertainty
    if uncertainty is None:
        return
    lowest = {"friction": 0.0, "stiffness": 0.0, "play": 0.0}
    for name in ("friction", "stiffness", *_SPREAD_OF_TEMPERATURE, "play"):
        spread: Spread | None = getattr(uncertainty, name)
        path: tuple[Step, ...] = ("uncertainty", name)
        if spread is None:
            continue
        if name in _SPREAD_OF_TEMPERATURE and bridge.actions.temperature is None:
            allowed = "actions.temperature beside it, which it varies"
            yield Finding(path, "a table", allowed)
        yield from _spread(spread, path)
        # a normal one has a tail below any bound; its mean is what can be a slip
        if name in lowest and spread.a < lowest[name]:
            yield Finding((*path, "a"), f"{spread.a:g}", "not less than 0")
        elif name == "stiffness" and spread.a == 0.0:
            yield Finding((*path, "a"), "0", "above 0")
    cold, warm = uncertainty.coldest, uncertainty.warmest
    if cold is not None and warm is not None and cold.a >= warm.a:
        allowed = f"less than that of warmest, {warm.a:g}"
        yield Finding(("uncertainty", "coldest", "a"), f"{cold.a:g}", allowed)


def _spread(spread: Spread, path: tuple[Step, ...]) -> Iterator[Finding]:
    shape, a, b, mode = spread.shape, spread.a, spread.b, spread.mode
    if shape == "fixed":
        if b is not None:
            yield Finding((*path, "b"), f"{b:g}", "no second figure, as the shape is fixed")
    elif b is None:
        what = "standard deviation" if shape in ("normal", "lognormal") else "upper end"
        yield Finding((*path, "b"), "nothing", f"the {what}, as the shape is {shape}")
    elif shape in ("normal", "lognormal"):
        if b <= 0.0:
            yield Finding((*path, "b"), f"{b:g}", "above 0, as it is a standard deviation")
    elif b <= a:
        yield Finding((*path, "b"), f"{b:g}", f"more than a, {a:g}")
    if shape == "lognormal" and a <= 0.0:
        yield Finding((*path, "a"), f"{a:g}", "above 0, as it is the median of a lognormal")
    if shape != "triangular":
        if mode is not None:
            allowed = f"no mode, as the shape is {shape}"
            yield Finding((*path, "mode"), f"{mode:g}", allowed)
    elif mode is None:
        yield Finding((*path, "mode"), "nothing", "the mode, as the shape is triangular")
    elif b is not None and a < b and not a <= mode <= b:
        yield Finding((*path, "mode"), f"{mode:g}", f"between a and b, {a:g} to {b:g}")
