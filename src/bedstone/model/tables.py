"""A superstructure whose frame is given in tables: nodes, members, sections, seats, deck lines.

The tables themselves are read and checked by `bedstone.bridge.tables`; here they become a frame.
Nothing of the bridge is known beyond them, so one frame carries in all stages, a load between two
deck lines lies on them as on simple beams, and the linear temperature difference runs from the
highest level (road surface or highest node) to the lowest (node or bearing).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import scipy.sparse as sp
import scipy.sparse.csgraph

from bedstone.bridge.schema import Bridge, FrameTables
from bedstone.bridge.seats import seat_marks
from bedstone.bridge.tables import DeckLineTable, FrameData
from bedstone.errors import Fault, InputError
from bedstone.mechanics.condense import SeatPoints
from bedstone.mechanics.frame import Floats, Frame, FrameBuilder, Ints
from bedstone.model.alignment import Axis
from bedstone.model.deck import Deck, DeckLine
from bedstone.model.girders import axis_of
from bedstone.model.stages import permanent_loads, usual_stages
from bedstone.model.structure import SeatPlace, State, StateName, Structure

#: How far (m) the nodes of a deck line may stand from one offset, or members overlap.
TOLERANCE = 1e-3


def build_frame(bridge: Bridge, tables: FrameData) -> Structure:
    """Return the structure of a bridge whose superstructure is a frame given in tables.

    Raises
    ------
    InputError
        For tables of which no structure can be made: one fault for each thing wrong.
    """
    names = bridge.superstructure
    if not isinstance(names, FrameTables):
        raise TypeError("build_frame needs a bridge of kind frame")
    axis = axis_of(bridge.alignment, bridge.support[0].chainage)
    faults: list[Fault] = []
    points = np.array([tables.nodes.x, tables.nodes.y, tables.nodes.z]).T
    courses, reversed_members = _courses(axis, tables, points, names, faults)
    frame = _frame(tables, points, reversed_members, names, faults)
    places, seats = _seats(bridge, axis, tables, points)
    top = max(0.0, float(points[:, 2].max()))
    bottom = min(float(points[:, 2].min()), *(place.point[2] for place in places))
    if bridge.actions.temperature is not None and top - bottom < TOLERANCE:
        allowed = "z below the road surface (z = 0), or seats with contact below the nodes"
        faults.append(Fault(names.nodes, "column z", "all levels at the road surface", allowed))
    if (
        names.deck_type == "composite"
        and bridge.actions.shrinkage is not None
        and bridge.actions.shrinkage.strain
    ):
        allowed = "none for a frame whose members are part concrete; give lengthening of members"
        found = f"strain {bridge.actions.shrinkage.strain:g}"
        faults.append(Fault("bridge file", "actions.shrinkage", found, allowed))
    if faults:
        raise InputError(faults)

    deck = _deck(axis, courses)
    state = _state(tables, names, frame, seats, deck, top, bottom)
    states: dict[StateName, State] = {
        "steel": state,
        "long": replace(state, name="long"),
        "short": replace(state, name="short"),
    }
    lengths, whole = _continuity(frame, seats, places)
    return Structure(
        axis=axis,
        seats=places,
        states=states,
        loads=permanent_loads(bridge, states, usual_stages(names.deck_type, slab=False)),
        supports=tuple(support.mark for support in bridge.support),
        chainages=tuple(support.chainage for support in bridge.support),
        continuous=whole,
        unit_length=lengths,
        depth=top - bottom,
        deck_type=names.deck_type,
        deck_width=float(np.ptp(points[:, 1])) if deck is None else deck.left - deck.right,
    )


# ------------------------------------------------------------------ nodes and members
def _frame(
    tables: FrameData,
    points: Floats,
    reversed_members: frozenset[int],
    names: FrameTables,
    faults: list[Fault],
) -> Frame | None:
    """The frame; members of deck lines run with rising chainage whichever way they are given."""
    builder = FrameBuilder()
    for point in points:
        builder.node(*point)
    node = {name: index for index, name in enumerate(tables.nodes.node)}
    section = {name: row for row, name in enumerate(tables.sections.section)}
    before = len(faults)
    given, of = tables.members, tables.sections
    for row, name in enumerate(given.member):
        i, j = node[given.i[row]], node[given.j[row]]
        releases = given.release_i[row], given.release_j[row]
        if row in reversed_members:
            i, j, releases = j, i, releases[::-1]
        direction = points[j] - points[i]
        upright = np.hypot(direction[0], direction[1]) < 1e-6 * np.linalg.norm(direction)
        up = given.up[row] or ((1.0, 0.0, 0.0) if upright else (0.0, 0.0, 1.0))
        lean = np.linalg.norm(np.cross(up, direction))
        if lean < 1e-6 * np.linalg.norm(up) * np.linalg.norm(direction):
            found = ", ".join(f"{value:g}" for value in up)
            allowed = "up_x, up_y, up_z that do not point along the member"
            faults.append(Fault(names.members, f"member {name}", found, allowed))
        for force in ("fx", "mx"):
            if force in releases[0] and force in releases[1]:
                allowed = f"{force} held at one of the two ends"
                found = f"{force} released at both ends"
                faults.append(Fault(names.members, f"member {name}", found, allowed))
        kind = section[given.section[row]]
        shear_y, shear_z = of.Ay[kind], of.Az[kind]
        builder.member(
            i,
            j,
            E=of.E[kind],
            G=of.G[kind],
            A=of.A[kind],
            Iy=of.Iy[kind],
            Iz=of.Iz[kind],
            J=of.J[kind],
            Ay=np.inf if shear_y is None else shear_y,
            Az=np.inf if shear_z is None else shear_z,
            up=up,
            release_i=" ".join(releases[0]),
            release_j=" ".join(releases[1]),
        )
    return builder.frame() if len(faults) == before else None


# ------------------------------------------------------------------ deck lines
@dataclass(frozen=True)
class _Course:
    """A deck line found in the tables: members (k,), chainages of their ends, offset."""

    name: str
    members: Ints
    start: Floats
    end: Floats
    offset: float


def _courses(
    axis: Axis, tables: FrameData, points: Floats, names: FrameTables, faults: list[Fault]
) -> tuple[list[_Course], frozenset[int]]:
    """Deck lines from right to left, and the members that are given against rising chainage."""
    if tables.deck_lines is None:
        return [], frozenset()
    file = names.deck_lines or "deck_lines"
    node = {name: index for index, name in enumerate(tables.nodes.node)}
    row_of = {name: row for row, name in enumerate(tables.members.member)}
    chainage, offset = axis.chainage(points[:, 0], points[:, 1])
    against: set[int] = set()
    courses: list[_Course] = []
    for line, members in _lines(tables.deck_lines).items():
        rows = [row_of[member] for member in members]
        ends = np.array(
            [[node[tables.members.i[row]], node[tables.members.j[row]]] for row in rows]
        )
        backward = chainage[ends[:, 0]] > chainage[ends[:, 1]]
        against.update(row for row, turned in zip(rows, backward, strict=True) if turned)
        ends[backward] = ends[backward, ::-1]
        start, end, place = chainage[ends[:, 0]], chainage[ends[:, 1]], float(offset[ends[0, 0]])
        for index, member in enumerate(members):
            where = f"line {line}, member {member}"
            off = max(offset[ends[index]], key=lambda y: abs(y - place))
            if abs(off - place) > TOLERANCE:
                allowed = f"nodes {place:.3f} m from the reference line, as the line begins"
                faults.append(Fault(file, where, f"a node {off:.3f} m from it", allowed))
            elif end[index] - start[index] < TOLERANCE:
                faults.append(Fault(file, where, "a member across", "members along the bridge"))
            elif index and start[index] < end[index - 1] - TOLERANCE:
                found = f"begins at chainage {start[index]:.3f} m"
                allowed = f"the end of the member before, {end[index - 1]:.3f} m, or beyond"
                faults.append(Fault(file, where, found, allowed))
        courses.append(_Course(line, np.array(rows, dtype=np.intp), start, end, place))
    courses.sort(key=lambda course: course.offset)
    for right, left in pairwise(courses):
        if left.offset - right.offset < TOLERANCE:
            found = f"{left.offset:.3f} m from the reference line, as line {right.name}"
            allowed = "one line for all members at the same distance"
            faults.append(Fault(file, f"line {left.name}", found, allowed))
    return courses, frozenset(against)


def _lines(table: DeckLineTable) -> Mapping[str, list[str]]:
    lines: dict[str, list[str]] = {}
    for line, member in zip(table.line, table.member, strict=True):
        lines.setdefault(line, []).append(member)
    return lines


def _deck(axis: Axis, courses: list[_Course]) -> Deck | None:
    if not courses:
        return None
    return Deck(
        axis=axis,
        lines=tuple(
            DeckLine(course.members, course.start, course.end, course.offset) for course in courses
        ),
        right=courses[0].offset,
        left=courses[-1].offset,
        first=min(float(course.start[0]) for course in courses),
        last=max(float(course.end[-1]) for course in courses),
        slab=False,
    )


# ------------------------------------------------------------------ seats and state
def _seats(
    bridge: Bridge, axis: Axis, tables: FrameData, points: Floats
) -> tuple[tuple[SeatPlace, ...], SeatPoints]:
    """Seats by support, back before ahead, right before left; where each touches the frame."""
    node = {name: index for index, name in enumerate(tables.nodes.node)}
    row_of = {mark: row for row, mark in enumerate(tables.seats.seat)}
    order = [support.mark for support in bridge.support]
    marks = sorted(
        seat_marks(bridge, tables),
        key=lambda seat: (order.index(seat.support), seat.side == "a", seat.line),
    )
    places: list[SeatPlace] = []
    nodes = np.array([node[tables.seats.node[row_of[seat.mark]]] for seat in marks], dtype=np.intp)
    arms = np.zeros((len(marks), 3))
    for number, seat in enumerate(marks):
        arms[number, 2] = -tables.seats.contact[row_of[seat.mark]]
        x, y, z = (float(value) for value in points[nodes[number]] + arms[number])
        chainage, offset = (float(value) for value in axis.chainage(x, y))
        places.append(
            SeatPlace(
                mark=seat.mark,
                support=seat.support,
                line=seat.line,
                point=(x, y, z),
                chainage=chainage,
                offset=offset,
                angle=float(axis.angle(chainage)),
            )
        )
    return tuple(places), SeatPoints(nodes, arms)


def _state(
    tables: FrameData,
    names: FrameTables,
    frame: Frame | None,
    seats: SeatPoints,
    deck: Deck | None,
    top: float,
    bottom: float,
) -> State:
    assert frame is not None  # without a frame there were faults
    section = {name: row for row, name in enumerate(tables.sections.section)}
    kinds = [section[name] for name in tables.members.section]
    of = tables.sections
    count = len(kinds)
    shrinkage = np.zeros((count, 2))
    if names.deck_type == "concrete":
        shrinkage[:, 0] = -1.0
    given = [of.alpha[kind] for kind in kinds]
    return State(
        name="steel",
        frame=frame,
        groups={
            member: np.array([row], dtype=np.intp)
            for row, member in enumerate(tables.members.member)
        },
        weight=np.array([of.A[kind] * of.density[kind] for kind in kinds]),
        concrete=np.full(count, names.deck_type != "steel"),
        top=np.full(count, top),
        bottom=np.full(count, bottom),
        shrinkage=shrinkage,
        seats=seats,
        deck=deck,
        alpha=np.array([np.nan if value is None else value for value in given]),
    )


def _continuity(
    frame: Frame | None, seats: SeatPoints, places: tuple[SeatPlace, ...]
) -> tuple[float, bool]:
    """Longest distance between seats of one connected part, and whether all is one part."""
    assert frame is not None
    count = len(frame.nodes)
    links = sp.coo_array(
        (np.ones(len(frame.ends)), (frame.ends[:, 0], frame.ends[:, 1])), shape=(count, count)
    )
    _, label = scipy.sparse.csgraph.connected_components(links, directed=False)
    part = label[seats.node]
    chainage = np.array([place.chainage for place in places])
    lengths = [float(np.ptp(chainage[part == number])) for number in np.unique(part)]
    return max(lengths), len(lengths) == 1
