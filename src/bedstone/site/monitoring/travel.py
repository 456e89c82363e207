"""How far it is to the ends: travel left at the extremes of temperature, and when it is used up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from bedstone.site.monitoring.expected import Expected
from bedstone.site.monitoring.fit import Fit
from bedstone.site.monitoring.sums import YEAR

_YEAR = YEAR * 3.6e12  # ns


@dataclass(frozen=True)
class Left:
    """Travel left (m) back and ahead, without an end infinite; the `side` with less of it."""

    back: float
    ahead: float

    @property
    def least(self) -> float | None:
        """The smaller one, None without any end."""
        least = min(self.back, self.ahead)
        return None if math.isinf(least) else least

    def toward(self, sense: float) -> float | None:
        """Travel left (m) the way of `sense`, None without an end there."""
        room = self.ahead if sense > 0.0 else self.back
        return None if math.isinf(room) else room


@dataclass(frozen=True)
class Forecast:
    """When a drift uses up the travel: times (ns since 1970, UTC), None beyond the horizon."""

    side: Literal["back", "ahead"]
    likely: int | None
    earliest: int | None
    latest: int | None


def left(fit: Fit, seat: Expected) -> Left:
    """Travel left at the coldest and the warmest steel, by the fit at the end of the log.

    Two standard deviations of the scatter, what other actions take, and what has not come yet of
    the movement still to come at the setting, are kept off.
    """
    to_come = seat.to_come(fit.offset(seat.datum).value)
    ends = [fit.offset(at).value for at in (seat.coldest, seat.warmest)]
    scatter = 2.0 * fit.scatter
    return Left(
        back=min(ends) - scatter - seat.others[0] - max(-to_come, 0.0) - seat.back,
        ahead=seat.ahead - max(ends) - scatter - seat.others[1] - max(to_come, 0.0),
    )


def forecast(fit: Fit, seat: Expected, room: Left, horizon: float) -> Forecast | None:
    """When the travel left is used up; None without a drift that is sure, or without an end there.

    The drift goes on as it was. Earliest and latest: the ends of its interval, and of that of the
    offset at the extremes of temperature; years beyond `horizon` are not told.
    """
    drift = fit.drift
    if drift is None or not drift.signed:
        return None
    side: Literal["back", "ahead"] = "ahead" if drift.value > 0.0 else "back"
    length = room.ahead if side == "ahead" else room.back
    if math.isinf(length):
        return None

    doubt = max(fit.offset(at).half for at in (seat.coldest, seat.warmest))

    def when(room: float, speed: float) -> int | None:
        years = max(room, 0.0) / abs(speed)
        return None if years > horizon else fit.last + round(years * _YEAR)

    slow, fast = sorted((drift.low, drift.high), key=abs)
    return Forecast(
        side, when(length, drift.value), when(length - doubt, fast), when(length + doubt, slow)
    )
