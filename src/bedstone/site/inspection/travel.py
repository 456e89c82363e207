"""What is left of the travel from where a bearing was found, out to the design extremes."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bedstone.site.inspection.result import Left
from bedstone.site.inspection.visit import Visit
from bedstone.site.setting import STILL


def travel_left(visit: Visit) -> tuple[Left, ...]:
    """Every end of the free directions whose offset was read with a temperature.

    The design extremes are those of a bearing set as the file says; what was found differs from
    what that one would show today by a shift, which is kept. An end whose guides only hold is none.
    """
    return tuple(_ends(visit))


def _ends(visit: Visit) -> Iterator[Left]:
    found = visit.setting
    row = min(
        found.rows, key=lambda row: abs(row.temperature - found.temperatures.setting), default=None
    )
    for axis, reach in enumerate(() if row is None else (row.reach_x, row.reach_y)):
        shift = visit.residual(axis)
        if shift is None or found.held[axis]:
            continue
        low, high = reach[0] + shift, reach[1] + shift
        for end in visit.ends(axis, holds=False):
            yield Left(
                end=end,
                shift=shift,
                behind=low - end.back,
                ahead=end.ahead - high,
                at_behind=_at(visit, axis, shift, end.back),
                at_ahead=_at(visit, axis, shift, end.ahead),
                coldest=found.temperatures.coldest,
                warmest=found.temperatures.warmest,
            )


def _at(visit: Visit, axis: int, shift: float, limit: float) -> float | None:
    """Temperature (degC) at which temperature alone brings the upper part to an offset (m).

    None where temperature does not move it that way.
    """
    speed = visit.setting.growth.own[axis]
    if abs(speed) <= STILL or math.isinf(limit):
        return None
    return (limit - shift - visit.expected(0.0, axis)) / speed
