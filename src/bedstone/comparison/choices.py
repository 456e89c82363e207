"""From the rules of a comparison to its arrangements: how many there are, and which.

A line of seats (one support below one separate piece of the superstructure) chooses for each seat
whether it holds along and whether it holds across. The choices of the lines of one piece go
together by the number of supports that hold the piece along; pieces do not ask of each other. All
of it is counted with whole numbers before anything is listed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from math import prod

import numpy as np
import numpy.typing as npt

from bedstone.bridge.lines import SeatLine, kept_functions, seat_lines
from bedstone.bridge.schema import Bridge, Function, Reactions, Rules
from bedstone.bridge.seats import SeatMark, arrangement_functions, seat_marks
from bedstone.bridge.tables import FrameData, ReactionData
from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Ints

Codes = npt.NDArray[np.uint8]

#: Functions by their code in the arrays of this room.
FUNCTIONS: tuple[Function, ...] = (
    "free", "guided along", "guided across", "fixed", "elastic", "none",
)  # fmt: skip
HOLDS_ACROSS = np.array([False, True, False, True, False, False])
HOLDS_ALONG = np.array([False, False, True, True, False, False])
_NONE = FUNCTIONS.index("none")
_VARIED = 4  # codes below this one are chosen, the others only kept

_State = tuple[int, int, int]  # seats that hold along, that hold across, run of neighbours
_BEFORE, _WITHIN, _AFTER = 0, 1, 2  # the run of neighbours that hold along
_NOWHERE: _State = (-1, -1, -1)


@dataclass(frozen=True)
class LineChoice:
    """What a line of seats may choose.

    `seats`: places in the order of `seat_marks`; `allowed`: codes each of them may have; `along`,
    `across`: least and largest number of seats that hold; `kept`: nothing is varied here, and the
    numbers are not asked for.
    """

    support: str
    seats: tuple[int, ...]
    allowed: tuple[tuple[int, ...], ...]
    along: tuple[int, int]
    across: tuple[int, int]
    neighbours: bool
    kept: bool

    def count(self, holding: bool) -> int:
        """Number of choices that hold along, or that do not."""
        return self._ways(holding)[0].get((0, 0, _BEFORE), 0)

    def options(self, holding: bool) -> Codes:
        """(count, seats) all of them, in the order of the codes."""
        ways = self._ways(holding)
        if not ways[0]:
            return np.zeros((0, len(self.allowed)), dtype=np.uint8)
        codes = np.zeros((1, 0), dtype=np.uint8)
        states, state = list(ways[0]), np.zeros(1, dtype=np.intp)
        for seat, allowed in enumerate(self.allowed):
            after = {reached: number for number, reached in enumerate(ways[seat + 1])}
            leads = np.array(
                [
                    [after.get(self._after(one, code) or _NOWHERE, -1) for code in allowed]
                    for one in states
                ],
                dtype=np.intp,
            ).reshape(-1, len(allowed))
            parent, chosen = np.nonzero(leads[state] >= 0)
            codes = np.column_stack([codes[parent], np.array(allowed, dtype=np.uint8)[chosen]])
            states, state = list(after), leads[state[parent], chosen]
        return codes

    def _after(self, state: _State, code: int) -> _State | None:
        """The state after one more seat; None: against the rules."""
        along, across, run = state
        if HOLDS_ALONG[code]:
            if self.neighbours and not self.kept and run == _AFTER:
                return None
            along, run = along + 1, _WITHIN
        elif run == _WITHIN and code != _NONE:
            run = _AFTER
        across += int(HOLDS_ACROSS[code])
        if not self.kept and (along > self.along[1] or across > self.across[1]):
            return None
        return along, across, run

    def _ways(self, holding: bool) -> list[dict[_State, int]]:
        """For each number of seats passed: states that can still meet the rules, in how many ways.

        Where none can, `count` is zero and there are no options.
        """
        levels: list[set[_State]] = [{(0, 0, _BEFORE)}]
        for allowed in self.allowed:
            reached = (self._after(state, code) for state in levels[-1] for code in allowed)
            levels.append({state for state in reached if state is not None})
        ways = [{state: 1 for state in levels[-1] if self._meets(state, holding)}]
        for seat in reversed(range(len(self.allowed))):
            here: dict[_State, int] = {}
            for state in levels[seat]:
                afters = (self._after(state, code) for code in self.allowed[seat])
                total = sum(ways[0].get(after, 0) for after in afters if after is not None)
                if total:
                    here[state] = total
            ways.insert(0, here)
        return ways

    def _meets(self, state: _State, holding: bool) -> bool:
        along, across, _ = state
        if (along > 0) != holding:
            return False
        enough_along = not holding or self.along[0] <= along
        return self.kept or (enough_along and self.across[0] <= across)


@dataclass(frozen=True)
class PieceChoice:
    """A separate piece of the superstructure: its lines and how many of them may hold it along."""

    lines: tuple[LineChoice, ...]
    holding: tuple[int, int]

    @cached_property
    def _sizes(self) -> tuple[tuple[int, int], ...]:
        """(choices that do not hold along, choices that do) of each line."""
        return tuple((line.count(False), line.count(True)) for line in self.lines)

    @cached_property
    def _ways(self) -> list[dict[int, int]]:
        """For each number of lines passed: lines holding so far -> ways to meet the rule."""
        ways = [dict.fromkeys(range(self.holding[0], self.holding[1] + 1), 1)]
        for idle, hold in reversed(self._sizes):
            below = ways[0]
            here = {
                held: total
                for held in range(len(self.lines) + 1)
                if (total := idle * below.get(held, 0) + hold * below.get(held + 1, 0))
            }
            ways.insert(0, here)
        return ways

    def count(self) -> int:
        """Number of arrangements of the piece."""
        return self._ways[0].get(0, 0)

    def codes(self) -> Codes:
        """(count, seats of all lines) the arrangements of the piece.

        Those whose first lines hold along come first.
        """
        if not self.count():
            return np.zeros((0, sum(len(line.seats) for line in self.lines)), dtype=np.uint8)
        codes = np.zeros((1, 0), dtype=np.uint8)
        held: Ints = np.zeros(1, dtype=np.intp)
        for number, line in enumerate(self.lines):
            ways = self._ways[number + 1]
            blocks, counts = [], []
            for before in np.unique(held)[::-1].tolist():
                rows = codes[held == before]
                for hold in (True, False):
                    if before + hold not in ways or not self._sizes[number][hold]:
                        continue
                    options = line.options(hold)
                    blocks.append(
                        np.hstack(
                            [
                                np.repeat(rows, len(options), axis=0),
                                np.tile(options, (len(rows), 1)),
                            ]
                        )
                    )
                    counts.append(np.full(len(blocks[-1]), before + hold))
            codes, held = np.vstack(blocks), np.concatenate(counts)
        return codes


@dataclass(frozen=True)
class Choices:
    """All arrangements that the rules of a bridge allow: the product over its pieces."""

    bridge: Bridge
    seats: tuple[SeatMark, ...]
    pieces: tuple[PieceChoice, ...]

    def count(self) -> int:
        """Number of arrangements, exact, without listing them."""
        return prod(piece.count() for piece in self.pieces)

    def codes(self) -> Codes:
        """(count, ns) all arrangements as codes of `FUNCTIONS`, seats as in `seat_marks`."""
        total = self.count()
        codes = np.zeros((total, len(self.seats)), dtype=np.uint8)
        later = total
        for piece in self.pieces if total else ():
            own = piece.codes()
            places = [place for line in piece.lines for place in line.seats]
            later //= len(own)
            rows = np.tile(np.repeat(np.arange(len(own)), later), total // (later * len(own)))
            for column, place in enumerate(places):  # by column: no second copy of the whole
                codes[:, place] = own[:, column][rows]
        return codes


def choices(
    bridge: Bridge, tables: FrameData | ReactionData | None = None, rules: Rules | None = None
) -> Choices:
    """What the rules of a bridge (or `rules` in their place) leave to choose.

    Raises
    ------
    InputError
        For given reactions, and when the file's arrangement leaves a seat without function.
    """
    if isinstance(bridge.superstructure, Reactions):
        allowed = "a kind with a model: the reactions given belong to one arrangement alone"
        raise InputError([Fault("bridge file", "superstructure.kind", "'reactions'", allowed)])
    arrangement_functions(bridge, tables)  # every seat must have its bearing
    rules = bridge.compare.rules if rules is None else rules
    changed = bridge.compare.model_copy(update={"rules": rules})
    bridge = bridge.model_copy(update={"compare": changed})
    seats = seat_marks(bridge, tables)
    kept = kept_functions(bridge, seats)
    pieces: dict[int, list[LineChoice]] = {}
    for line in seat_lines(bridge, tables):
        pieces.setdefault(line.piece, []).append(_line_choice(rules, seats, line, kept))
    return Choices(bridge, seats, tuple(_piece_choice(rules, lines) for lines in pieces.values()))


def count(bridge: Bridge, tables: FrameData | ReactionData | None = None) -> int:
    """Number of arrangements that the rules of a bridge allow; raises as `choices`."""
    return choices(bridge, tables).count()


def _line_choice(
    rules: Rules, seats: tuple[SeatMark, ...], line: SeatLine, kept: dict[str, Function]
) -> LineChoice:
    allowed: list[tuple[int, ...]] = []
    for place in line.seats:
        seat = seats[place]
        if seat.mark in kept:
            allowed.append((FUNCTIONS.index(kept[seat.mark]),))
            continue
        never = rules.exclude.get(seat.mark, ())
        along = rules.only_along is None or line.support in rules.only_along
        across = rules.only_across is None or seat.line in rules.only_across
        allowed.append(
            tuple(
                code
                for code in range(_VARIED)
                if FUNCTIONS[code] not in never
                and (along or not HOLDS_ALONG[code])
                and (across or not HOLDS_ACROSS[code])
            )
        )
    return LineChoice(
        support=line.support,
        seats=line.seats,
        allowed=tuple(allowed),
        along=(rules.along[0], rules.along[1]),
        across=(rules.across[0], rules.across[1]),
        neighbours=rules.neighbours,
        kept=all(seats[place].mark in kept for place in line.seats),
    )


def _piece_choice(rules: Rules, lines: list[LineChoice]) -> PieceChoice:
    least, largest = rules.supports_along
    if all(line.kept for line in lines):
        least, largest = 0, len(lines)
    return PieceChoice(tuple(lines), (least, min(largest, len(lines))))


# ------------------------------------------------------------------ too many, or none
def within_reach(
    bridge: Bridge, tables: FrameData | ReactionData | None = None, seconds: float = 0.005
) -> Choices:
    """The choices of a bridge, refused when there are more than ``rules.largest``, or none.

    `seconds`: time that one arrangement takes, for the estimate in the refusal.

    Raises
    ------
    InputError
        As `choices`; with the count, the time and what narrows most when there are too many; with
        the line of seats that cannot meet the rules when there is none.
    """
    offered = choices(bridge, tables)
    total, largest = offered.count(), bridge.compare.rules.largest
    if total == 0:
        raise InputError([_none(offered)])
    if total > largest:
        found = f"{_number(total)} arrangements, {_duration(total * seconds)}"
        allowed = f"at most {_number(largest)}"
        raise InputError(
            [
                Fault(
                    "bridge file",
                    "compare.rules",
                    found,
                    "; ".join([allowed, *_narrower(bridge, tables, total)]),
                )
            ]
        )
    return offered


def _none(offered: Choices) -> Fault:
    for piece in offered.pieces:
        for line in piece.lines:
            if not line.count(True) and not line.count(False):
                marks = ", ".join(offered.seats[place].mark for place in line.seats)
                allowed = f"rules that {line.support} ({marks}) can meet"
                return Fault("bridge file", "compare.rules", "no arrangement", allowed)
        if not piece.count():
            supports = ", ".join(line.support for line in piece.lines if line.count(True))
            allowed = (
                f"supports_along that the piece on {_listed(piece)} can meet; "
                f"supports that can hold it along: {supports or 'none'}"
            )
            return Fault("bridge file", "compare.rules", "no arrangement", allowed)
    raise AssertionError("every piece has a choice, so their product has one")


def _listed(piece: PieceChoice) -> str:
    return ", ".join(line.support for line in piece.lines)


def _narrower(bridge: Bridge, tables: FrameData | ReactionData | None, total: int) -> Iterator[str]:
    """Up to three rules, each the one that leaves fewest, until few enough are left."""
    rules = bridge.compare.rules
    told = []
    for _ in range(3):
        tried = [
            (choices(bridge, tables, changed).count(), words, changed)
            for words, changed in _tighter(bridge, tables, rules)
        ]
        tried = [one for one in tried if 0 < one[0] < total]
        if not tried:
            break
        total, words, rules = min(tried, key=lambda one: one[0])
        told.append(words)
        yield f"{' and '.join(told)} would leave {_number(total)}"
        if total <= bridge.compare.rules.largest:
            return
    if not told:
        yield "keep functions of single seats"


def _tighter(
    bridge: Bridge, tables: FrameData | ReactionData | None, rules: Rules
) -> Iterable[tuple[str, Rules]]:
    """Rules with one number or list drawn tighter, and how the file would say so."""
    for name in ("supports_along", "along", "across"):
        least = max(getattr(rules, name)[0], 1)
        if getattr(rules, name)[1] > least:
            tight = [least, least]
            yield f"{name} = {tight}", rules.model_copy(update={name: tight})
    if not rules.neighbours:
        yield "neighbours = true", rules.model_copy(update={"neighbours": True})
    functions = arrangement_functions(bridge, tables)
    seats = seat_marks(bridge, tables)
    holding = {
        seat.support
        for seat in seats
        if functions[seat.mark].function in ("fixed", "guided across")
    }
    order = [support.mark for support in bridge.support if support.mark in holding]
    if order and rules.only_along is None:
        shown = "[" + ", ".join(f'"{mark}"' for mark in order) + "]"
        yield f"only_along = {shown}", rules.model_copy(update={"only_along": order})
    if rules.only_across is None:
        lines = sorted({seat.line for seat in seats})
        middle = [lines[(len(lines) - 1) // 2]]
        yield f"only_across = {middle}", rules.model_copy(update={"only_across": middle})


def _number(value: int) -> str:
    return f"{value:,}".replace(",", " ") if value < 10**12 else f"{float(value):.3g}"


def _duration(seconds: float) -> str:
    for size, words in ((86_400.0 * 365.25, "years"), (86_400.0, "days"), (3600.0, "hours")):
        if seconds >= 2.0 * size:
            return f"about {seconds / size:.3g} {words}"
    return f"about {seconds / 60.0:.2g} minutes" if seconds >= 120.0 else f"about {seconds:.2g} s"
