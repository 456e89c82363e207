"""Bearings of a draft: what they do, what they are, and those that are known by their sizes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from bedstone.bridge.schema import BearingKind, Function
from bedstone.stock.draft_deck import girder_count
from bedstone.stock.draft_outline import Line, Outline, line_marks
from bedstone.stock.draft_page import Page, millimetres
from bedstone.stock.draft_sizes import missing_sizes, pad_stiffness

__all__ = [
    "assumed_lines",
    "coupled_lines",
    "fixed_line",
    "moving_line",
    "write_arrangement",
    "write_given",
]


def assumed_lines(outline: Outline, count: int) -> tuple[Line, ...]:
    """Lines of bearings as they mostly are: every piece fixed at its first end; `count` bearings.

    See `fixed_line` and `moving_line` for what a line does.
    """
    return tuple(
        (
            fixed_line
            if place == 0 or (not outline.runs_through and place % 2 == 0)
            else moving_line
        )(count)
        for place in range(outline.line_count)
    )


def fixed_line(count: int) -> Line:
    """A line that holds along and across by one bearing near its middle, the others free.

    Nothing is locked in then: several bearings of a wide line that all hold along, without the play
    of real ones, couple the girders in plan by forces that never come, and lift the lightest of
    them. Of two bearings, below trusses and narrow decks, both hold along.
    """
    return _line("fixed", "guided across" if count == 2 else "free", count)


def moving_line(count: int) -> Line:
    """A line that moves along, held across by the bearing that stands where a fixed one would."""
    return _line("guided along", "free", count)


def _line(first: Function, others: Function, count: int) -> Line:
    held = (count - 1) // 2
    return Line(tuple(first if place == held else others for place in range(count)))


_MOVING: Final[tuple[Function, ...]] = ("guided along", "free")
#: Kinds that do not move, and the functions that they therefore cannot have.
_STILL: Final[Mapping[BearingKind, tuple[Function, ...]]] = {
    "pot": (*_MOVING, "guided across"),
    "line rocker": _MOVING,
    "point rocker": _MOVING,
    "pin": _MOVING,
}
#: Kinds that roll along the bridge, and what therefore stands where such a line is to hold.
_ROLLING: Final[tuple[BearingKind, ...]] = (
    "single roller", "hardened roller", "roller nest", "rocker on nest",
)  # fmt: skip
_HOLDS_BESIDE_ROLLERS: Final[BearingKind] = "line rocker"
#: Kinds where none is told, for bearings that do not move, and that do.
_KIND: Final[dict[bool, BearingKind]] = {False: "pot", True: "pot on slide"}


def coupled_lines(outline: Outline, lines: Sequence[Line]) -> tuple[str, ...]:
    """What to know of lines in which several bearings hold across, in words; () where none does.

    They are written as they were told: whether they have play across only drawings say.
    """
    found = []
    for mark, line in zip(line_marks(outline), lines, strict=True):
        held = sum(function in ("fixed", "guided along") for function in line.functions)
        if held > 1:
            one = "one fixed, the others guided across" if "fixed" in line.functions else (
                "one guided along, the others free"
            )  # fmt: skip
            found.append(
                f"{mark}: {held} bearings hold across: what the deck warms across is locked in "
                f"between them where the support is rigid; bearings with play lose it. Where the "
                f"drawings show play, write {one}"
            )
    return tuple(found)


def write_arrangement(page: Page, outline: Outline) -> dict[str, tuple[str, Line]]:
    """Write the bearings; seats by mark, each with the mark of its line and the line."""
    seats: dict[str, tuple[str, Line]] = {}
    left_out: dict[str, None] = {}
    count = 2 if outline.truss else girder_count(page, outline)
    lines = outline.lines or assumed_lines(outline, count)
    for text in coupled_lines(outline, lines):
        page.note(text)
    page.table("arrangement")
    if outline.lines is None:
        page.guess("name", "as drafted", "functions: every piece is fixed at its first end")
    else:
        page.told("name", "as in the register")
    page.told("set_at", "slab cast")
    if outline.radius is not None:
        page.guess("direction", "toward fixed point", "guides on a curve (common practice)")
    for mark, line in zip(line_marks(outline), lines, strict=True):
        for place, function in enumerate(line.functions, start=1):
            support, side = (mark[:-1], mark[-1]) if mark[-1] in "ab" else (mark, "")
            seat = f"{support}-{place}{side}"
            seats[seat] = (mark, line)
            page.table(f"arrangement.seats.{seat}")
            page.told("function", function)
            if function == "none":
                continue
            kind = line.kind if function == "fixed" else line.others or line.kind
            if kind is not None and function in _STILL.get(kind, ()) and not line.sizes:
                page.guess("kind", "pot on slide", f"a {kind} does not move")
            elif kind in _ROLLING and function not in _MOVING:
                page.guess("kind", _HOLDS_BESIDE_ROLLERS, f"a {kind} holds nothing along")
                seats[seat] = (mark, replace(line, kind=None))  # its sizes are those of rollers
                if line.sizes:
                    left_out[f"{mark}: sizes of the {kind} left out, as it holds nothing along"] = (
                        None
                    )
            elif kind is not None:
                page.told("kind", kind)
            else:
                page.guess("kind", _KIND[function != "fixed"], "kind not told")
            if function == "elastic":
                _springs(page, line)
            if outline.skew and function == "guided across":
                # across the bridge it would be pushed along it by every change of temperature
                page.guess("direction", "square", "slides along its skew line (common practice)")
            elif outline.radius is not None and "fixed" in line.functions:
                page.told("direction", "axis")
            if outline.travel is not None and function in ("guided along", "free"):
                travel = millimetres(outline.travel)
                page.told("travel", {"back": travel, "ahead": travel})
    for text in left_out:
        page.note(text)
    return seats


def _springs(page: Page, line: Line) -> None:
    """Stiffness of an elastomeric bearing: as told, or of its sizes; down, else, assumed."""
    known = not missing_sizes(line.kind, line.sizes)
    pad = pad_stiffness(line.sizes, page.number("pad_shear")) if known else None
    along = line.stiffness if line.stiffness is not None else pad[0] if pad else 0.0
    found = dict.fromkeys(("kx", "ky"), f"{along / 1000000.0:.6g} MN/m")
    found["kz"] = f"{pad[1] / 1e6:.6g} MN/m" if pad else page.of("pad_down")
    page.usual("stiffness", "pad_shear" if pad else "pad_down", found)


def write_given(
    page: Page, seats: Mapping[str, tuple[str, Line]]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Write bearings whose sizes are known; those, and in words what is known of others."""
    given: list[str] = []
    partly: dict[str, None] = {}
    for seat, (mark, line) in seats.items():
        if not line.sizes or line.kind is None:
            continue
        lacking = missing_sizes(line.kind, line.sizes)
        if lacking:
            known = ", ".join(f"{name} {value}" for name, value in line.sizes)
            partly[f"{mark}: known of the {line.kind} alone: {known}; to assess it is wanted: "
                   f"{', '.join(lacking)}"] = None  # fmt: skip
            continue
        given.append(seat)
        page.table("bearings.given", many=True)
        page.told("seat", seat)
        page.told("kind", line.kind)
        page.table("bearings.given.sizes")
        for name, value in line.sizes:
            page.told(f'"{name}"' if "." in name else name, value)
    for text in partly:
        page.comment(text)
    return tuple(given), tuple(partly)
