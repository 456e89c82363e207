"""Straight lines between the figures of a table."""

from __future__ import annotations

from bisect import bisect_right


def between(at: float, points: tuple[float, ...], row: tuple[float, ...]) -> float:
    """Straight-line interpolation, constant beyond the ends; `points` rise."""
    if at <= points[0]:
        return row[0]
    if at >= points[-1]:
        return row[-1]
    i = bisect_right(points, at)
    part = (at - points[i - 1]) / (points[i] - points[i - 1])
    return row[i - 1] + part * (row[i] - row[i - 1])
