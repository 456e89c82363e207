"""Which bearings are lifted free, and where the jacks stand: from the bridge file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bedstone.articulation.arrangement import Arranged, arrange
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import JackPlace, Jacks
from bedstone.bridge.seats import arrangement_functions
from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Floats


@dataclass(frozen=True)
class JackPoint:
    """A jack beside a seat (row `seat`): `place` from its bearing, `arm` (3,) the same in global
    axes (m); `group`: its entry in the file, None where the file names none.
    """

    mark: str
    seat: int
    place: JackPlace
    arm: Floats
    group: Jacks | None

    @property
    def compliance(self) -> float:
        """m/N; 0 for a rigid one."""
        rigid = self.group is None or self.group.stiffness is None
        return 0.0 if rigid else 1.0 / self.group.stiffness  # type: ignore[union-attr, operator]


def planned(
    prepared: Prepared, wanted: Sequence[str]
) -> tuple[Arranged, tuple[int, ...], tuple[JackPoint, ...]]:
    """The arrangement of the file, the seats that are lifted, and their jacks.

    `wanted`: marks of seats or supports. Raises `InputError` as `lifted_rows` and `jack_points`.
    """
    bridge = prepared.bridge
    arranged = arrange(
        prepared.structure,
        list(bridge.support),
        arrangement_functions(bridge, prepared.tables),
        bridge.arrangement.fixed_point,
    )
    rows = lifted_rows(prepared, arranged, wanted)
    return arranged, rows, jack_points(prepared, rows)


def lifted_rows(prepared: Prepared, arranged: Arranged, wanted: Sequence[str]) -> tuple[int, ...]:
    """Rows of the seats named by `wanted`, marks of seats or of supports, in the seats' order.

    Raises `InputError` for marks that are none, for seats without a bearing, and where nothing is
    named.
    """
    places = prepared.structure.seats
    bearing = {place.mark for place, seat in zip(places, arranged.seats, strict=True)
               if seat.function != "none"}  # fmt: skip
    supports = dict.fromkeys(place.support for place in places if place.mark in bearing)
    allowed = ", ".join([*supports, *(place.mark for place in places if place.mark in bearing)])
    faults = [
        Fault("replacement", "seats", repr(mark[:60]), allowed)
        for mark in wanted
        if mark not in bearing and mark not in supports
    ]
    if not wanted:
        faults = [Fault("replacement", "seats", "nothing", allowed)]
    if faults:
        raise InputError(faults)
    return tuple(
        row
        for row, place in enumerate(places)
        if place.mark in bearing and (place.mark in wanted or place.support in wanted)
    )


def jack_points(prepared: Prepared, rows: Sequence[int]) -> tuple[JackPoint, ...]:
    """The jacks of the seats `rows`, in that order.

    Raises `InputError` with one fault for each entry of the file that names no seat or support, or
    one that is named already, and for a jack off a bearing above which only bars meet.
    """
    structure, told = prepared.structure, prepared.bridge.replacement.jacks
    known = {seat.mark for seat in structure.seats} | {seat.support for seat in structure.seats}
    faults: list[Fault] = []
    by_mark: dict[str, tuple[int, Jacks]] = {}
    for number, group in enumerate(told):
        where = f"replacement.jacks[{number + 1}].at"
        if group.at not in known:
            allowed = ", ".join(sorted(known))
            faults.append(Fault("bridge file", where, repr(group.at[:60]), allowed))
        elif group.at in by_mark:
            faults.append(Fault("bridge file", where, f"{group.at} again", "one entry for each"))
        else:
            by_mark[group.at] = (number, group)
    condensed = prepared.condensed[prepared.final]
    chainages = dict(zip(structure.supports, structure.chainages, strict=True))
    result: list[JackPoint] = []
    for row in rows:
        seat = structure.seats[row]
        found = by_mark.get(seat.mark) or by_mark.get(seat.support)
        angle = float(structure.axis.angle(chainages[seat.support]))
        ahead, left = np.array([np.cos(angle), np.sin(angle)]), [-np.sin(angle), np.cos(angle)]
        bars = not condensed.rigid[6 * row + 3 : 6 * row + 6].any()
        for number, place in enumerate(found[1].places if found else [JackPlace()]):
            plan = place.along * ahead + place.across * np.array(left)
            if bars and found and plan.any():
                where = f"replacement.jacks[{found[0] + 1}].places[{number + 1}]"
                allowed = f"0 m: above {seat.mark} only bars meet, which carry no moment"
                faults.append(Fault("bridge file", where, "a jack off the bearing", allowed))
            result.append(
                JackPoint(
                    f"{seat.mark}/{number + 1}",
                    row,
                    place,
                    np.array([*plan, 0.0]),
                    found[1] if found else None,
                )
            )
    if faults:
        raise InputError(faults)
    return tuple(result)
