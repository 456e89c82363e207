"""Charts of readings as pictures: offset against temperature, and anything against time."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from bedstone.output.drawing.lettering import width
from bedstone.output.drawing.picture import Circle, Path, Picture, Point, Shape, Text
from bedstone.output.shown import figure

__all__ = ["Axis", "Curve", "Marks", "chart", "scale", "time_scale"]

_LEFT, _RIGHT, _TOP, _BOTTOM = 13.0, 3.0, 3.0, 9.0  # mm round the field
_HEIGHT = 2.0  # mm, capitals of letters
_DAY: Final = 86_400.0
_YEAR: Final = 365.25 * _DAY


@dataclass(frozen=True)
class Axis:
    """What a side of a chart shows: its label, its ends, and where it has strokes with words."""

    label: str
    least: float
    most: float
    ticks: tuple[tuple[float, str], ...]


@dataclass(frozen=True)
class Marks:
    """Points of one sort; `told` stands in the legend."""

    points: tuple[Point, ...]
    kind: Literal["dot", "ring", "cross"] = "dot"
    layer: str = "bearing"
    told: str = ""


@dataclass(frozen=True)
class Curve:
    """A line through points; `told` stands in the legend."""

    points: tuple[Point, ...]
    layer: str = "hidden"
    told: str = ""


def scale(label: str, values: Sequence[float], *, whole: bool = False) -> Axis:
    """An axis that holds all values with some room, with round steps; `whole`: of 1 at least."""
    least, most = (min(values), max(values)) if values else (0.0, 1.0)
    room = max(0.06 * (most - least), 1e-9 if not whole else 0.5, 1e-6 * abs(most))
    if most - least < 1e-9:
        room = max(room, 0.5, 0.1 * abs(most))
    least, most = least - room, most + room
    step = _step((most - least) / 5.0)
    if whole:
        step = max(step, 1.0)
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    first = math.ceil(least / step - 1e-9)
    last = math.floor(most / step + 1e-9)
    ticks = tuple((n * step, figure(n * step, places)) for n in range(first, last + 1))
    return Axis(label, least, most, ticks)


def time_scale(times: Sequence[dt.datetime]) -> Axis:
    """An axis of time; a value is a time as seconds since 1970 (UTC)."""
    stamps = [time.timestamp() for time in times]
    least, most = min(stamps), max(stamps)
    room = max(0.05 * (most - least), 15.0 * _DAY)
    least, most = least - room, most + room
    if most - least > 1.5 * _YEAR:
        first = dt.datetime.fromtimestamp(least, dt.UTC).year
        last = dt.datetime.fromtimestamp(most, dt.UTC).year
        step = max(1, math.ceil((last - first) / 8))
        days = [dt.datetime(year, 1, 1, tzinfo=dt.UTC) for year in range(first, last + 1, step)]
        words = "%Y"
    else:
        days = [
            dt.datetime(year, month, 1, tzinfo=dt.UTC)
            for year in range(
                dt.datetime.fromtimestamp(least, dt.UTC).year,
                dt.datetime.fromtimestamp(most, dt.UTC).year + 1,
            )
            for month in (1, 4, 7, 10)
        ]
        words = "%Y-%m"
    ticks = tuple(
        (day.timestamp(), day.strftime(words)) for day in days if least <= day.timestamp() <= most
    )
    return Axis("", least, most, ticks)


def chart(
    name: str,
    title: str,
    size: Point,
    x: Axis,
    y: Axis,
    curves: Sequence[Curve] = (),
    marks: Sequence[Marks] = (),
) -> Picture:
    """A chart of a size (mm): field, steps, lines, points, legend. Points outside are left out."""
    wide, high = size
    legend = _legend(curves, marks, wide)
    top = high - _TOP - _HEIGHT * 1.8 * (1 + len(legend))
    field = (_LEFT, _BOTTOM, wide - _RIGHT, top)

    def at(point: Point) -> Point:
        across = (point[0] - x.least) / (x.most - x.least)
        up = (point[1] - y.least) / (y.most - y.least)
        return (
            field[0] + across * (field[2] - field[0]),
            field[1] + up * (field[3] - field[1]),
        )

    shapes: list[Shape] = [Text((0.0, high - _TOP), title, _HEIGHT * 1.1, "left", "middle")]
    shapes += _frame(field, x, y, at((x.least, 0.0))[1])
    for value, words in x.ticks:
        place = at((value, y.least))[0]
        shapes.append(Path("hatch", ((place, field[1]), (place, field[3]))))
        shapes.append(Text((place, field[1] - 1.2), words, _HEIGHT, "centre", "top"))
    for value, words in y.ticks:
        place = at((x.least, value))[1]
        shapes.append(Path("hatch", ((field[0], place), (field[2], place))))
        shapes.append(Text((field[0] - 1.0, place), words, _HEIGHT, "right", "middle"))
    for curve in curves:
        inside = _clipped(curve.points, y)
        if len(inside) > 1:
            shapes.append(Path(curve.layer, tuple(at(point) for point in inside)))
    for sort in marks:
        for point in sort.points:
            if x.least <= point[0] <= x.most and y.least <= point[1] <= y.most:
                shapes += _mark(sort, at(point))
    for line, row in enumerate(legend):
        shapes += _row(row, high - _TOP - _HEIGHT * 1.8 * (1 + line))
    return Picture(name, title, tuple(shapes), 1.0, size, "mm")


def _frame(
    field: tuple[float, float, float, float], x: Axis, y: Axis, zero: float
) -> Iterator[Shape]:
    left, bottom, right, top = field
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    yield Path("dimension", corners, closed=True)
    if y.least < 0.0 < y.most:
        yield Path("dimension", ((left, zero), (right, zero)))
    if x.label:
        yield Text(((left + right) / 2.0, 1.2), x.label, _HEIGHT, "centre", "middle")
    if y.label:
        yield Text((1.6, (bottom + top) / 2.0), y.label, _HEIGHT, "centre", "middle", math.pi / 2.0)


def _mark(sort: Marks, at: Point) -> Iterator[Shape]:
    x, y = at
    if sort.kind == "cross":
        for sign in (1.0, -1.0):
            yield Path(sort.layer, ((x - 0.9, y - 0.9 * sign), (x + 0.9, y + 0.9 * sign)))
    else:
        yield Circle(sort.layer, at, 0.8, filled=sort.kind == "dot")


def _clipped(points: Sequence[Point], y: Axis) -> tuple[Point, ...]:
    """A straight line cut where it leaves the field upward or downward; others are left alone."""
    if len(points) != 2:
        return tuple(point for point in points if y.least <= point[1] <= y.most)
    (x1, y1), (x2, y2) = points
    if abs(y2 - y1) < 1e-12:
        return tuple(points) if y.least <= y1 <= y.most else ()
    shares = sorted(((y.least - y1) / (y2 - y1), (y.most - y1) / (y2 - y1)))
    first, last = max(0.0, shares[0]), min(1.0, shares[1])
    if first >= last:
        return ()
    return tuple((x1 + s * (x2 - x1), y1 + s * (y2 - y1)) for s in (first, last))


_Key = Marks | Curve


def _legend(curves: Sequence[Curve], marks: Sequence[Marks], wide: float) -> list[list[_Key]]:
    """What is named, in lines that fit."""
    rows: list[list[_Key]] = []
    room = 0.0
    items: list[_Key] = [*marks, *curves]
    for item in items:
        if not item.told or not item.points:
            continue
        needed = 7.0 + width(item.told, _HEIGHT) + 3.0
        if not rows or needed > room:
            rows.append([])
            room = wide
        rows[-1].append(item)
        room -= needed
    return rows


def _row(row: Sequence[_Key], y: float) -> Iterator[Shape]:
    x = 0.0
    for item in row:
        if isinstance(item, Curve):
            yield Path(item.layer, ((x, y), (x + 5.0, y)))
        else:
            yield from _mark(item, (x + 2.5, y))
        yield Text((x + 6.5, y), item.told, _HEIGHT, "left", "middle")
        x += 7.0 + width(item.told, _HEIGHT) + 3.0


def _step(rough: float) -> float:
    """The next of 1, 2, 5 and their tens that is no smaller."""
    power = 10.0 ** math.floor(math.log10(rough))
    return next(n * power for n in (1.0, 2.0, 5.0, 10.0) if n * power >= rough * (1.0 - 1e-9))
