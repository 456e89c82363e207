"""The single faults of bearings and supports, each as a bridge file with one change.

A fault is something that happens to one bearing, one line of bearings or one support: the file
with it can be written by hand and looked at with `bedstone schedule`. Its size stands in the file
(`bedstone.bridge.schema.Faults`). The superstructure is the same in all of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeVar

from bedstone.articulation.arrangement import Arranged, stand
from bedstone.bridge.schema import (
    Actions,
    Bridge,
    Function,
    Jacking,
    Part,
    Rigid,
    Seat,
    Springs6,
    Stops,
    Support,
)
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.screen import Screen
from bedstone.errors import InputError
from bedstone.model.structure import SeatPlace
from bedstone.schedule.analysis import thermal_range
from bedstone.schedule.facts import bridge_facts
from bedstone.schedule.friction import friction_action

FaultKind = Literal[
    "seized",
    "stop reached",
    "one alone",
    "guides worn",
    "play used up",
    "seat too low",
    "seat too high",
    "turned by 90 deg",
    "out of direction",
    "unseated",
    "wrong setting",
    "more friction",
    "softer support",
]
Axis = Literal["x", "y"]

#: Largest coefficient of friction that a bridge file takes.
_MOST_FRICTION = 0.6
_OF_PLAN: Mapping[tuple[bool, bool], Function] = {
    (True, True): "fixed",
    (True, False): "guided across",
    (False, True): "guided along",
    (False, False): "free",
}
_OPEN = math.inf


@dataclass(frozen=True)
class Fault:
    """One fault: what happened, where, and the bridge file that has it.

    - `place`: mark of the seat or support, "" for all bearings
    - `axes`: plan directions ("x", "y", of the seat's own) that the fault holds or lets go
    - `gap` (m, m): movement of the seat along `axes` against them and with them that is left before
      a stop or a worn guide bites; 0 for hard at once, inf for never
    """

    name: str
    kind: FaultKind
    place: str
    bridge: Bridge = field(repr=False)
    axes: tuple[Axis, ...] = ()
    gap: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class _Own:
    """The bridge as it should be: every seat with its bearing and where it stands."""

    screen: Screen
    arranged: Arranged
    seats: dict[str, Seat]
    places: Mapping[str, SeatPlace]
    supports: Mapping[str, Support]

    @property
    def bridge(self) -> Bridge:
        return self.screen.prepared.bridge

    def angle(self, mark: str) -> float:
        """Direction of a seat's x' from the axis at its support, rad."""
        support = self.supports[self.places[mark].support]
        angle = self.arranged.angles[list(self.places).index(mark)]
        turn = angle - float(self.screen.prepared.structure.axis.angle(support.chainage))
        return math.remainder(turn, math.tau)

    def with_seats(self, changed: dict[str, Seat]) -> Bridge:
        """The bridge file with other bearings at some seats.

        Bearings that point to the fixed seats keep their directions, whoever is fixed now.
        """
        arrangement = self.bridge.arrangement
        seats = arrangement.seats | changed
        if arrangement.fixed_point is None:
            for mark, seat in (self.seats | changed).items():
                if seat.direction == "toward fixed point":
                    seats[mark] = _like(seat, direction=self.angle(mark))
        return _like(self.bridge, arrangement=_like(arrangement, seats=seats))

    def with_actions(self, actions: Actions) -> Bridge:
        """The bridge file with other actions."""
        return _like(self.bridge, actions=actions)


def faults_of(screen: Screen) -> tuple[Fault, ...]:
    """All single faults of a bridge, in the order of the bridge file's table of faults.

    Two that come to the same bearings (a seized guided bearing, and its stop closed) are one.
    """
    own = _own(screen)
    found = [
        *_seized(own),
        *_stops(own),
        *_alone(own),
        *_worn(own),
        *_play(own),
        *_levels(own),
        *_turned(own),
        *_skewed(own),
        *_unseated(own),
        *_setting(own),
        *_friction(own),
        *_soft(own),
    ]
    return tuple(_once(found))


def left_out(screen: Screen) -> tuple[str, ...]:
    """Faults that are not tried, with the reason, in words."""
    bridge, sizes = screen.prepared.bridge, screen.prepared.bridge.faults
    reasons: list[str] = []
    for name, what in (
        ("drop", "a seat too low"),
        ("lift", "a seat too high"),
        ("setting_error", "bearings set at a wrong temperature"),
        ("friction", "more friction"),
        ("soft", "a softer support"),
        ("skew", "a bearing out of its direction"),
        ("play", "guides worn"),
    ):
        if getattr(sizes, name) is None:
            reasons.append(f"{what}: no faults.{name} in the file")
    for name, what in (
        ("seized", "a bearing that has seized"),
        ("turned", "a bearing turned by 90 deg"),
        ("unseated", "a bearing that carries nothing"),
        ("stop", "a stop that is reached"),
    ):
        if not getattr(sizes, name):
            reasons.append(f"{what}: faults.{name} is false")
    if sizes.setting_error is not None:
        temperature = bridge.actions.temperature
        if temperature is None:
            reasons.append("bearings set at a wrong temperature: no temperature acts")
        elif temperature.setting is None:
            reasons.append(
                "bearings set at a wrong temperature: the file gives no temperature of setting; "
                "the family's allowance for an unknown one is in the movements"
            )
        else:
            for warmer in (True, False):
                if _with_setting(screen, warmer) is None:
                    word = "warmer" if warmer else "colder"
                    reasons.append(
                        f"bearings set {sizes.setting_error:g} K {word}: outside the temperatures "
                        "of the bridge"
                    )
    if sizes.friction is not None and not bridge.actions.friction:
        reasons.append("more friction: actions.friction is false")
    rigid = [support.mark for support in bridge.support if isinstance(support.below, Rigid)]
    if sizes.soft is not None and rigid:
        reasons.append(f"a softer support at {', '.join(rigid)}: rigid in the file")
    return tuple(reasons)


# ------------------------------------------------------------------ bearings that hold or let go
def _seized(own: _Own) -> Iterator[Fault]:
    if not own.bridge.faults.seized:
        return
    for mark, seat in own.seats.items():
        loose = _loose(seat)
        if seat.function != "none" and loose:
            held = _holding(seat, loose)
            yield Fault(f"{mark} seized", "seized", mark, own.with_seats({mark: held}), loose)


def _stops(own: _Own) -> Iterator[Fault]:
    sizes = own.bridge.faults
    if not sizes.stop:
        return
    for mark, seat in own.seats.items():
        if seat.function == "none":
            continue
        for axis in _loose(seat):
            gap = _room(seat, axis, sizes.gap_left)
            if gap is None:
                continue
            words = "along" if axis == "x" else "across"
            left = _room_in_words(gap, axis)
            yield Fault(
                f"{mark} at its stop {words}, {left}",
                "stop reached",
                mark,
                own.with_seats({mark: _holding(seat, (axis,))}),
                (axis,),
                gap,
            )


def _room_in_words(gap: tuple[float, float], axis: Axis) -> str:
    if gap == (0.0, 0.0):
        return "closed"
    if gap[0] == gap[1]:
        return f"{1e3 * gap[0]:g} mm left each way"
    ways = ("back", "ahead") if axis == "x" else ("to the right", "to the left")
    told = zip(gap, ways, strict=True)
    return " and ".join(f"{1e3 * room:g} mm left {way}" for room, way in told if room < _OPEN)


def _room(seat: Seat, axis: Axis, left: float) -> tuple[float, float] | None:
    """Movement left to the stops against an axis and with it; None: no stops are known there.

    A sliding or rolling bearing without stops in the file has some all the same: `left` of it.
    """
    travel = seat.travel or Stops()
    told = (travel.back, travel.ahead) if axis == "x" else (travel.right, travel.left)
    if told == (None, None):
        sprung = _springs(seat)[0 if axis == "x" else 1] is not None
        return None if sprung or seat.function == "elastic" else (left, left)
    back, ahead = told
    return (_OPEN if back is None else back, _OPEN if ahead is None else ahead)


def _alone(own: _Own) -> Iterator[Fault]:
    """Of several bearings of a line that hold one direction, one takes all: the rest have play."""
    ways: tuple[tuple[Axis, str], ...] = (("x", "along"), ("y", "across"))
    for axis, words in ways:
        for group in _lines(own):
            holding = [mark for mark in group if axis in _rigid(own.seats[mark])]
            if len(holding) < 2:
                continue
            for mark in holding:
                others = [other for other in holding if other != mark]
                freed = {other: _letting(own.seats[other], (axis,)) for other in others}
                yield Fault(
                    f"{mark} alone holds {words} at {own.places[mark].support}: the play of "
                    f"{_some(others)} is not used up",
                    "one alone",
                    mark,
                    own.with_seats(freed),
                    (axis,),
                )


def _lines(own: _Own) -> Iterator[list[str]]:
    """Seats of one support that carry the same piece of superstructure."""
    prepared = own.screen.prepared
    part = prepared.condensed[prepared.final].part
    groups: dict[tuple[str, int], list[str]] = {}
    for row, (mark, place) in enumerate(own.places.items()):
        groups.setdefault((place.support, int(part[row])), []).append(mark)
    yield from groups.values()


def _worn(own: _Own) -> Iterator[Fault]:
    play = own.bridge.faults.play
    if play is None:
        return
    guided: Mapping[Function, Axis] = {"guided along": "y", "guided across": "x"}
    for mark, seat in own.seats.items():
        axis = guided.get(seat.function)
        if axis is not None and axis in _rigid(seat):
            yield Fault(
                f"{mark}: guides worn by {1e3 * play:g} mm each side",
                "guides worn",
                mark,
                own.with_seats({mark: _letting(seat, (axis,))}),
                (axis,),
                (play, play),
            )


def _play(own: _Own) -> Iterator[Fault]:
    """A bearing that counts as free although guides stand beside it at some clearance."""
    for mark, seat in own.seats.items():
        if seat.function == "free" and seat.play > 0.0:
            yield Fault(
                f"{mark}: side play of {1e3 * seat.play:g} mm used up, guides hard at once",
                "play used up",
                mark,
                own.with_seats({mark: _holding(seat, ("y",))}),
                ("y",),
            )


# ------------------------------------------------------------------ bearings in the wrong place
def _levels(own: _Own) -> Iterator[Fault]:
    sizes = own.bridge.faults
    kinds: tuple[tuple[FaultKind, float | None, float], ...] = (
        ("seat too low", sizes.drop, -1.0),
        ("seat too high", sizes.lift, 1.0),
    )
    for kind, size, sign in kinds:
        if size is None:
            continue
        for mark, seat in own.seats.items():
            if seat.function == "none":
                continue
            actions = own.bridge.actions
            jacking = [*actions.jacking, Jacking.model_construct(seat=mark, lift=sign * size)]
            words = kind.removeprefix("seat ")
            yield Fault(
                f"{mark} {1e3 * size:g} mm {words}",
                kind,
                mark,
                own.with_actions(_like(actions, jacking=jacking)),
            )


def _turned(own: _Own) -> Iterator[Fault]:
    if not own.bridge.faults.turned:
        return
    for mark, seat in own.seats.items():
        if _has_direction(seat):
            angle = math.remainder(own.angle(mark) + math.pi / 2.0, math.tau)
            bridge = own.with_seats({mark: _like(seat, direction=angle)})
            yield Fault(f"{mark} put in turned by 90 deg", "turned by 90 deg", mark, bridge)


def _skewed(own: _Own) -> Iterator[Fault]:
    skew = own.bridge.faults.skew
    if skew is None:
        return
    for mark, seat in own.seats.items():
        if seat.function not in ("guided along", "guided across"):
            continue
        for sign in (1.0, -1.0):
            bridge = own.with_seats({mark: _like(seat, direction=own.angle(mark) + sign * skew)})
            degrees = math.degrees(skew)
            side = "left" if sign > 0.0 else "right"
            yield Fault(
                f"{mark} out of direction by {degrees:g} deg to the {side}",
                "out of direction",
                mark,
                bridge,
            )


def _unseated(own: _Own) -> Iterator[Fault]:
    if not own.bridge.faults.unseated:
        return
    for mark, seat in own.seats.items():
        if seat.function != "none":
            gone = _like(
                seat, function="none", stiffness=None, hold_rotation=[], uplift=False,
                play=0.0, travel=None,
            )  # fmt: skip
            bridge = own.with_seats({mark: gone})
            yield Fault(f"{mark} carries nothing", "unseated", mark, bridge)


# ------------------------------------------------------------------ what concerns all bearings
def _setting(own: _Own) -> Iterator[Fault]:
    error = own.bridge.faults.setting_error
    for warmer in (True, False):
        bridge = _with_setting(own.screen, warmer)
        if bridge is not None and bridge.actions.temperature is not None:
            word = "warm" if warmer else "cold"
            yield Fault(
                f"all bearings set {error:g} K too {word}, at "
                f"{bridge.actions.temperature.setting:g} degC",
                "wrong setting",
                "",
                bridge,
            )


def _with_setting(screen: Screen, warmer: bool) -> Bridge | None:
    """The file with its bearings set at another temperature; None where that cannot be."""
    prepared, context = screen.prepared, screen.context
    temperature = prepared.bridge.actions.temperature
    error = prepared.bridge.faults.setting_error
    if error is None or temperature is None or temperature.setting is None:
        return None
    at = temperature.setting + (error if warmer else -error)
    actions = _like(prepared.bridge.actions, temperature=_like(temperature, setting=at))
    bridge = _like(prepared.bridge, actions=actions)
    try:
        facts = bridge_facts(bridge, prepared.structure, screen.name)
        thermal_range(replace(prepared, bridge=bridge), context.family, context.values, facts)
    except InputError:  # outside the range of the bridge: `left_out` says so
        return None
    return bridge


def _friction(own: _Own) -> Iterator[Fault]:
    factor = own.bridge.faults.friction
    if factor is None or not own.bridge.actions.friction:
        return
    now = coefficients(own.screen)
    more = {mark: min(factor * value, _MOST_FRICTION) for mark, value in now.items()}
    changed = {mark: _like(own.seats[mark], friction=value) for mark, value in more.items()}
    for mark, seat in changed.items():
        yield Fault(
            f"friction of {mark} from {now[mark]:.3g} to {more[mark]:.3g}",
            "more friction",
            mark,
            own.with_seats({mark: seat}),
        )
    if len(changed) > 1:
        yield Fault(
            f"friction of all bearings times {factor:g}",
            "more friction",
            "",
            own.with_seats(changed),
        )


def coefficients(screen: Screen) -> dict[str, float]:
    """Adverse coefficient of friction of every seat at which friction acts, by mark."""
    prepared, context = screen.prepared, screen.context
    arranged = screen.arranged(prepared.bridge)
    look = screen.look()
    supports = list(prepared.bridge.support)
    final = prepared.condensed[prepared.final]
    standing = stand(prepared.structure, supports, final, arranged, context.bounds[0])
    _, used, _ = friction_action(
        prepared, arranged, standing, look.permanent, look.unit_heat, context.family, context.values
    )
    return {mark: adverse for mark, (adverse, _) in used.items()}


def _soft(own: _Own) -> Iterator[Fault]:
    soft = own.bridge.faults.soft
    if soft is None:
        return
    for mark, support in own.supports.items():
        if isinstance(support.below, Rigid):
            continue
        bounds = support.bounds
        softer = _like(
            support, bounds=_like(bounds, lower=bounds.lower * soft, upper=bounds.upper * soft)
        )
        supports = [softer if each is support else each for each in own.bridge.support]
        yield Fault(
            f"{mark} softer below its bearings, {soft:g} of its stiffness",
            "softer support",
            mark,
            _like(own.bridge, support=supports),
        )


# ------------------------------------------------------------------ inside
def _own(screen: Screen) -> _Own:
    prepared = screen.prepared
    return _Own(
        screen=screen,
        arranged=screen.arranged(prepared.bridge),
        seats=arrangement_functions(prepared.bridge, prepared.tables),
        places={place.mark: place for place in prepared.structure.seats},
        supports={support.mark: support for support in prepared.bridge.support},
    )


_P = TypeVar("_P", bound=Part)


def _like(part: _P, **changes: object) -> _P:
    """A part of a bridge file with some fields changed."""
    return part.model_copy(update=changes)


def _springs(seat: Seat) -> tuple[float | None, float | None]:
    springs = seat.stiffness or Springs6()
    return springs.kx, springs.ky


def _rigid(seat: Seat) -> tuple[Axis, ...]:
    """Plan directions that a bearing holds without a spring."""
    kx, ky = _springs(seat)
    held: list[Axis] = []
    if seat.function in ("fixed", "guided across") and kx is None:
        held.append("x")
    if seat.function in ("fixed", "guided along") and ky is None:
        held.append("y")
    return tuple(held)


def _loose(seat: Seat) -> tuple[Axis, ...]:
    """Plan directions in which a bearing moves, freely or against a spring."""
    axes: tuple[Axis, ...] = ("x", "y")
    return tuple(axis for axis in axes if axis not in _rigid(seat))


def _holding(seat: Seat, axes: Sequence[Axis]) -> Seat:
    """A bearing that holds more directions, rigidly; its other springs stay."""
    held = set(_rigid(seat)) | set(axes)
    changes: dict[str, object] = {"travel": None}
    kx, ky = _springs(seat)
    if seat.stiffness is not None:
        changes["stiffness"] = seat.stiffness.model_copy(
            update={"kx": None if "x" in axes else kx, "ky": None if "y" in axes else ky}
        )
    if seat.function != "elastic" or held == {"x", "y"}:
        changes["function"] = _OF_PLAN["x" in held, "y" in held]
    else:  # a pad that is held one way stays a spring the other way
        changes["function"] = "guided across" if "x" in held else "guided along"
    return seat.model_copy(update=changes)


def _letting(seat: Seat, axes: Sequence[Axis]) -> Seat:
    """A bearing that lets go directions it holds."""
    held = set(_rigid(seat)) - set(axes)
    return _like(seat, function=_OF_PLAN["x" in held, "y" in held], travel=None)


def _has_direction(seat: Seat) -> bool:
    """A quarter turn changes what the bearing does."""
    kx, ky = _springs(seat)
    return seat.function in ("guided along", "guided across") or kx != ky


def _once(found: Sequence[Fault]) -> Iterator[Fault]:
    """Faults without those that another one comes to as well; its name tells both."""
    kept: dict[tuple[object, ...], Fault] = {}
    for fault in found:
        key: tuple[object, ...] = (fault.name,)
        if fault.kind in ("seized", "stop reached", "play used up") and fault.gap == (0.0, 0.0):
            key = (fault.place, fault.bridge.arrangement.seats[fault.place].model_dump_json())
        if key in kept:
            first = kept[key]
            also = fault.name.removeprefix(f"{fault.place} ").removeprefix(f"{fault.place}: ")
            if first.name != fault.name:
                kept[key] = replace(first, name=f"{first.name}, or {also}")
        else:
            kept[key] = fault
    yield from kept.values()


def _some(marks: Sequence[str]) -> str:
    return marks[0] if len(marks) == 1 else f"{', '.join(marks[:-1])} and {marks[-1]}"
