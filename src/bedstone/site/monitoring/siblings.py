"""Bearings of one line side by side: who stands apart, and what several show together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from bedstone.site.monitoring.normal import Interval


@dataclass(frozen=True)
class Apart:
    """By how much (m) a bearing stands apart from the middle of the `others` of its line.

    `allowed` (m): the least that counts; `mobility`: its ratio less the middle one of the others.
    """

    others: tuple[str, ...]
    by: float
    allowed: float
    mobility: float | None

    @property
    def out(self) -> bool:
        """Whether it is out of line."""
        return abs(self.by) > self.allowed


def apart(
    offsets: Mapping[str, float],
    ratios: Mapping[str, float],
    mark: str,
    times: float,
    survey: float,
) -> Apart | None:
    """One bearing against the others of its line; None where it has none.

    `offsets` (m): at the same temperature, less what is expected of each; `ratios`: mobility;
    `times`: the median deviation of the others, which is taken no less than `survey` (m).
    """
    others = {name: value for name, value in offsets.items() if name != mark}
    if not others or mark not in offsets:
        return None
    middle = median(others.values())
    spread = median(abs(value - middle) for value in others.values())
    known = [value for name, value in ratios.items() if name != mark]
    mobile = ratios[mark] - median(known) if known and mark in ratios else None
    return Apart(tuple(others), offsets[mark] - middle, times * max(spread, survey), mobile)


def alike(own: Interval, others: Mapping[str, Sequence[Interval]]) -> tuple[str, ...]:
    """Marks of those among whose numbers is one that may be the same as `own`."""
    return tuple(
        mark
        for mark, found in others.items()
        if any(
            item.value * own.value > 0.0
            and abs(item.value - own.value) <= max(item.half + own.half, 0.25 * abs(own.value))
            for item in found
        )
    )
