"""What a bearing should do, taken from how it is to be set: one direction of one seat."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from bedstone.site.mechanism import Form
from bedstone.site.setting import STILL, Setting


@dataclass(frozen=True)
class Expected:
    """One direction (`axis`) of the bearing of a seat. SI, degC.

    - `slope` (m/K), `spread`: half its difference between the bounds of stiffness; 0 where held
    - `datum`: temperature at which the constant is looked at; `centre`: least and greatest offset
      (m) there, before and after what is still to come
    - `budget` (m): how far off the constant may be; `error` (m): of one reading by hand; `survey`
      (m): of its measuring alone
    - `coldest`, `warmest`: of the steel; `back`, `ahead`: offsets (m) at which it ends, without an
      end infinite; `others`: what other actions take of the travel each way (m, of no sign)
    - `rest` (m, signed): movement still to come after the day of setting; not in `others`
    - `play` (m): clearance of a bearing that holds
    """

    seat: str
    support: str
    axis: Literal["x", "y"]
    form: Form
    held: bool
    slope: float
    spread: float
    datum: float
    centre: tuple[float, float]
    budget: float
    error: float
    survey: float
    coldest: float
    warmest: float
    back: float
    ahead: float
    others: tuple[float, float]
    rest: float
    play: float

    @property
    def ends(self) -> bool:
        """Whether anything ends the movement."""
        return math.isfinite(self.back) or math.isfinite(self.ahead)

    def to_come(self, offset: float) -> float:
        """What of `rest` (m, signed) has not come yet, where the bearing stands so at the datum."""
        last = self.rest if self.form == "shears" else 0.0
        away = last - offset
        return min(max(away, 0.0), self.rest) if self.rest > 0.0 else max(min(away, 0.0), self.rest)

    def off(self, offset: float) -> float:
        """How far (m, signed) an offset at the datum lies outside of what is expected."""
        least, most = self.centre
        return offset - most if offset > most else offset - least if offset < least else 0.0


def expected(setting: Setting) -> Expected:
    """What to expect of a seat along x', or along y' where only that is free."""
    number = 0 if not setting.held[0] or setting.held[1] else 1
    axis: Literal["x", "y"] = "x" if number == 0 else "y"
    held = setting.held[number]
    slope = 0.0 if held else setting.growth.own[number]
    rest = setting.remaining[number]
    shears = setting.form == "shears"
    # a pad is set without shear on the day; all others stand in their middle at the datum at last
    datum = setting.temperatures.setting if shears else setting.datum
    late = rest if shears else -rest
    budget = setting.budget[number]
    ends = [end for end in setting.ends if end.axis == axis and not end.holds]
    held_by = [end for end in setting.ends if end.axis == axis and end.holds]
    cold, warm = setting.temperatures.coldest, setting.temperatures.warmest
    return Expected(
        seat=setting.seat,
        support=setting.support,
        axis=axis,
        form=setting.form,
        held=held or abs(slope) <= STILL,
        slope=0.0 if held or abs(slope) <= STILL else slope,
        spread=setting.growth.spread[number],
        datum=datum,
        centre=(0.0, 0.0) if held else (min(0.0, late), max(0.0, late)),
        budget=budget.total,
        error=math.hypot(budget.temperature, budget.survey),
        survey=budget.survey,
        coldest=cold,
        warmest=warm,
        back=max((end.back for end in ends), default=-math.inf),
        ahead=min((end.ahead for end in ends), default=math.inf),
        others=_others(setting, number, slope),
        rest=0.0 if held else rest,
        play=max((max(-end.back, end.ahead) for end in held_by), default=0.0),
    )


def _others(setting: Setting, number: int, slope: float) -> tuple[float, float]:
    """What all but the plain temperature takes of the travel (m), backward and forward.

    The table of setting counts from the day of setting: what is still to come is in it, on the side
    to which it goes, and is taken out.
    """
    if not setting.rows:
        return 0.0, 0.0
    row = min(setting.rows, key=lambda row: abs(row.temperature - setting.datum))
    reach = (row.reach_x, row.reach_y)[number]
    told = setting.temperatures
    ends = [slope * (end - row.temperature) for end in (told.coldest, told.warmest)]
    back = row.offset[number] + min(ends) - reach[0]
    ahead = reach[1] - (row.offset[number] + max(ends))
    rest = setting.remaining[number]
    return max(back - max(-rest, 0.0), 0.0), max(ahead - max(rest, 0.0), 0.0)
