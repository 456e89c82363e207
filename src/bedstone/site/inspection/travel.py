"""What is left of the travel from where a bearing was found, out to the design extremes."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bedstone.comparison.screen import Look
from bedstone.site.inspection.result import Left
from bedstone.site.inspection.visit import Reach, Visit
from bedstone.site.setting import STILL, Setting

_EFFECTS = ("vx", "vy")


def reach_of(look: Look, setting: Setting) -> Reach:
    """Least and greatest offset (m) in service along x' and y' over all limit states.

    Of a bearing set by its table at the temperature of the bridge file; `look`: envelopes of that
    bridge, in which all permanent movement after setting is whole.
    """
    row = setting.row(setting.temperatures.setting)
    x, y = (
        (
            row.offset[axis] + look.extreme(setting.seat, effect, "min"),
            row.offset[axis] + look.extreme(setting.seat, effect, "max"),
        )
        for axis, effect in enumerate(_EFFECTS)
    )
    return x, y


def travel_left(visit: Visit) -> tuple[Left, ...]:
    """Every end of the free directions whose offset was read with a temperature.

    The design extremes are those of a bearing set as the file says; what was found differs from
    what that one would show today by a shift, which is kept. What is still to come may come or not:
    both count. A guide that holds ends nothing.
    """
    return tuple(_ends(visit))


def _ends(visit: Visit) -> Iterator[Left]:
    found = visit.setting
    for axis, reach in enumerate(visit.reach or ()):
        shift = visit.residual(axis)
        if shift is None or found.held[axis]:
            continue
        still = visit.still(axis)
        low = reach[0] + shift + min(0.0, -still)
        high = reach[1] + shift + max(0.0, -still)
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
