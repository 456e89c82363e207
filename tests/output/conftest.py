"""Schedules made by hand, so that what leaves the program is tested without an analysis.

The numbers are of the size a bridge of that kind has; nothing is claimed about them.
"""

import math

import pytest

from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.schedule.result import (
    Checks,
    Governing,
    Restraint,
    Schedule,
    SeatInfo,
    Share,
    SupportInfo,
    Uplift,
)
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Value

LIMIT_STATES = (
    "ULS persistent",
    "ULS equilibrium",
    "ULS accidental",
    "ULS seismic",
    "SLS characteristic",
    "SLS frequent",
    "SLS quasi-permanent",
)
HELD = {
    "fixed": (True, True, True),
    "guided along": (False, True, True),
    "guided across": (True, False, True),
    "free": (False, False, True),
}
FACTOR = {
    "ULS persistent": 1.4,
    "ULS equilibrium": 1.5,
    "ULS accidental": 1.1,
    "ULS seismic": 1.45,
    "SLS characteristic": 1.0,
    "SLS frequent": 0.7,
    "SLS quasi-permanent": 0.5,
}


def seat_size(effect: str, seat: SeatInfo, reaction: float) -> float:
    """Half the range of an effect; zero where the bearing is free or held."""
    moves = {"vx": 0.031, "vy": 0.006, "vz": 0.0, "rx": 0.0004, "ry": 0.0052, "rz": 0.0003}
    if effect == "N":
        return 0.55 * reaction
    if effect in ("Hx", "Hy"):
        return 0.12 * reaction if seat.held[["Hx", "Hy"].index(effect)] else 0.0
    if effect in ("vx", "vy"):
        return 0.0 if seat.held[["vx", "vy"].index(effect)] else moves[effect]
    return moves.get(effect, 0.0)


def governing(
    place: str,
    effect: str,
    names: tuple[str, ...],
    sense: str,
    state: str,
    middle: tuple[float, ...],
    half: tuple[float, ...],
) -> Governing:
    sign = 1.0 if sense == "max" else -1.0
    index = names.index(effect)
    acting = tuple(
        m + (sign if i == index else 0.35) * FACTOR[state] * h
        for i, (m, h) in enumerate(zip(middle, half, strict=True))
    )
    part = acting[index] - middle[index]
    return Governing(
        place=place,
        effect=effect,
        sense=sense,
        value=acting[index],
        acting=acting,
        irreversible=middle,
        combination=f"{state.split()[0]} 6.10 gr1a + 0.6 wind + thermal",
        clause="EN 1990, 6.4.3.2",
        limit_state=state,
        bound="lower" if sense == "max" else "upper",
        shares=(
            Share("traffic:gr1a", 1.35, 0.7 * part, "lane 1, axles at 18.2 m and 19.4 m"),
            Share("thermal", 0.9, 0.3 * part, "expansion"),
        ),
        contact="A1-2 open" if sense == "min" and effect == "N" else "",
    )


def make(
    name: str,
    supports: tuple[SupportInfo, ...],
    seats: tuple[SeatInfo, ...],
    reaction: float,
    outline: tuple[tuple[tuple[float, float], ...], ...],
) -> Schedule:
    seat_lines: list[Governing] = []
    support_lines: list[Governing] = []
    middle = {s.mark: (reaction, *([0.0] * 5), 0.004, 0.0, 0.0, 0.0, 0.0011, 0.0) for s in seats}
    middle = {
        s.mark: tuple(0.0 if i == 6 and s.held[0] else v for i, v in enumerate(middle[s.mark]))
        for s in seats
    }
    below = {
        p.mark: (reaction * sum(s.support == p.mark for s in seats), 0.0, 0.0, 0.0, 0.0, 0.0)
        for p in supports
    }
    for state in LIMIT_STATES:
        for seat in seats:
            half = tuple(seat_size(effect, seat, reaction) for effect in SEAT_EFFECTS)
            seat_lines += [
                governing(seat.mark, effect, SEAT_EFFECTS, sense, state, middle[seat.mark], half)
                for effect in SEAT_EFFECTS
                for sense in ("max", "min")
            ]
        for number, place in enumerate(supports):
            total = below[place.mark][0]
            half = (0.4 * total, (0.18 - 0.05 * number) * total, 0.07 * total)
            half += (0.5 * total, 1.1 * total, 0.02 * total)
            support_lines += [
                governing(
                    place.mark, effect, SUPPORT_EFFECTS, sense, state, below[place.mark], half
                )
                for effect in SUPPORT_EFFECTS
                for sense in ("max", "min")
            ]
    return Schedule(
        bridge=name,
        reference="example",
        standard="eurocode",
        standard_title="Eurocodes",
        edition="EN 1990:2002+A1:2005",
        arrangement="fixed at A1",
        limit_states=LIMIT_STATES,
        seats=seats,
        supports=supports,
        seat_lines=tuple(seat_lines),
        support_lines=tuple(support_lines),
        permanent_seats=middle,
        permanent_supports=below,
        set_at="steel erected",
        redundancy=1,
        locked=(Restraint("A1", "across", 812.0, 48_700.0),),
        uplift=(Uplift(seats[1].mark, "ULS persistent", "ULS EQU gr1a", 62_000.0, 0.0012, False),),
        periods=(0.84, 0.31),
        calculations=(
            Line(
                title="Braking force",
                standard="EN 1991-2",
                edition="2003",
                clause="4.4.1",
                formula="Q_lk = 0.6 alpha_Q1 2 Q_1k + 0.10 alpha_q1 q_1k w_1 L",
                inputs=(Quantity("L", 64.0, "m"), Quantity("q_1k", 9000.0, "Pa")),
                result=Quantity("Q_lk", 532_800.0, "N"),
                basis="memory",
                limit=Quantity("Q_lk,max", 900_000.0, "N"),
                utilisation=0.592,
            ),
        ),
        memory=(
            Value(
                "road.braking", (0.6, 0.1), "", "EN 1991-2", "2003", "4.4.1", "recalled", "memory"
            ),
            Value(
                "thermal.alpha", 12e-6, "1/K", "EN 1991-1-5", "2003", "C.1", "recalled", "memory"
            ),
        ),
        notes=("Wind is taken as the simplified pressure given in the bridge file.",),
        checks=Checks(2e-13, 4e-13, 1e-15, 3e-12, 5e-14, 4.1e-4, 9.6e6, 9.6e6),
        outline=outline,
    )


def seat(mark: str, function: str, x: float, y: float, kind: str, angle: float = 0.0) -> SeatInfo:
    return SeatInfo(
        mark=mark,
        support=mark.split("-")[0],
        function=function,
        angle=angle,
        point=(x, y, -2.1),
        held=(*HELD[function], False, False, False),
        sprung=(False,) * 6,
        kind=kind,
        friction=(0.03, 0.0) if function in ("free", "guided along") else None,
    )


@pytest.fixture(scope="session")
def truss() -> Schedule:
    """A single truss span on rockers and rollers."""
    supports = (
        SupportInfo("A1", 0.0, 0.0, 0.0, 0.0, "rigid"),
        SupportInfo("A2", 56.0, 0.0, 0.0, 6.2, "springs"),
    )
    seats = (
        seat("A1-1", "fixed", 0.0, -2.8, "rocker"),
        seat("A1-2", "guided across", 0.0, 2.8, "rocker"),
        seat("A2-1", "guided along", 56.0, -2.8, "roller"),
        seat("A2-2", "free", 56.0, 2.8, "roller"),
    )
    outline = tuple(((0.0, y), (56.0, y)) for y in (-3.1, 3.1, -2.8, 2.8))
    return make("Through truss for a single track", supports, seats, 1_450_000.0, outline)


@pytest.fixture(scope="session")
def skew() -> Schedule:
    """Two continuous spans of four girders on supports that stand 25 degrees skew."""
    angle = math.radians(25.0)
    marks, chainages = ("A1", "P1", "A2"), (0.0, 32.0, 64.0)
    offsets = (-4.2, -1.4, 1.4, 4.2)
    supports = tuple(
        SupportInfo(mark, x, angle, 0.0, 8.9 if mark == "P1" else 0.0, "column")
        for mark, x in zip(marks, chainages, strict=True)
    )
    functions = {
        "A1": ("free", "guided along", "free", "free"),
        "P1": ("guided across", "fixed", "guided across", "guided across"),
        "A2": ("free", "guided along", "free", "free"),
    }
    seats = tuple(
        seat(
            f"{mark}-{line}",
            functions[mark][line - 1],
            x - y * math.tan(angle),
            y,
            "pot" if functions[mark][line - 1] != "free" else "sliding",
        )
        for mark, x in zip(marks, chainages, strict=True)
        for line, y in enumerate(offsets, start=1)
    )
    outline = tuple(
        tuple((x - y * math.tan(angle), y) for x in (-0.5, 64.5)) for y in (-5.6, 5.6, *offsets)
    )
    name = "Composite girders of two spans, skew"
    return make(name, supports, seats, 1_100_000.0, outline)


@pytest.fixture(params=["truss", "skew"])
def schedule(request: pytest.FixtureRequest) -> Schedule:
    made: Schedule = request.getfixturevalue(request.param)
    return made
