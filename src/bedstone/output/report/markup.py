"""Typst source from plain data: strings, paragraphs, tables. What a file says is never markup.

All text goes into the source as Typst strings, in which nothing is read as markup or code; the
functions that are called here stand in ``template.typ``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from bedstone.output.sheets import Cell, Sheet

Paper = Literal["a4", "letter"]
#: Width and height of the paper, mm, and what the margins take at both sides together.
PAPERS: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGINS: Final = 36.0

_POINT = 25.4 / 72.0  # mm
#: Mean width of a letter as part of the size of type; on the safe side for figures and words.
_LETTER = 0.5
_INSET = 2.4  # mm, both sides of a cell
_LEAST_TEXT = 28.0  # mm for a column of long text
_PORTRAIT_SIZES = (8.5, 8.0, 7.5, 7.0)
_LANDSCAPE_SIZES = (8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5)
#: A word longer than this may be broken anywhere, so that no cell is wider than its column.
_LONG_WORD = 24
#: Tables of so many lines are not divided between pages.
_WHOLE = 22
#: Line end, break without width, blank that does not break.
_KEPT = "\n\u200b\u202f"
_TALL_CELL = 1500  # letters above which a row may be divided between pages


@dataclass(frozen=True)
class Block:
    """A piece of a page: its Typst source, and whether it needs the page turned (None: either).

    `whole`: the source is a page of its own size.
    """

    source: str
    landscape: bool | None = None
    whole: bool = False


#: What follows begins on a new page.
NEW_PAGE: Final = Block("#pagebreak(weak: true)")


# ------------------------------------------------------------------ text
def quoted(text: str) -> str:
    """A Typst string: nothing in it is read as markup or code; control characters are blanks."""
    kept = "".join(letter if letter.isprintable() or letter in _KEPT else " " for letter in text)
    escaped = kept.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


def text(value: str) -> str:
    """Text of any origin as a Typst string, with places to break in overlong words."""
    return quoted(re.sub(rf"\S{{{_LONG_WORD},}}", _broken, value))


def _broken(match: re.Match[str]) -> str:
    word = match[0]
    return "\u200b".join(word[start : start + 8] for start in range(0, len(word), 8))


def listed(items: Iterable[str]) -> str:
    """Typst source of an array; one item is an array too."""
    return "(" + "".join(f"{item}, " for item in items) + ")"


def shortened(value: str, most: int) -> str:
    """Text of at most so many letters, cut with an ellipsis."""
    return value if len(value) <= most else value[: most - 1].rstrip() + "…"


# ------------------------------------------------------------------ blocks
def paragraph(sentence: str, kind: Literal["", "soft", "note", "warning"] = "") -> Block:
    """A paragraph; `kind`: small grey, in a box, or a warning."""
    name = {"": "para", "soft": "soft-para", "note": "note", "warning": "warn-para"}[kind]
    return Block(f"#{name}({text(sentence)})")


def paragraphs(
    sentences: Iterable[str], kind: Literal["", "soft", "note", "warning"] = ""
) -> list[Block]:
    """Paragraphs one after the other."""
    return [paragraph(sentence, kind) for sentence in sentences]


def bullets(sentences: Sequence[str]) -> list[Block]:
    """A list with points."""
    return [Block(f"#bullets({listed(text(each) for each in sentences)})")] if sentences else []


def heading(title: str, level: int = 2) -> Block:
    """A numbered heading; the first level begins a chapter: `Chapter` sets it."""
    return Block(f"#head({level}, {text(title)})")


def picture(svg: str, caption: str, *, high: float, landscape: bool = False) -> Block:
    """An SVG picture, as wide as the text and at most `high` mm high."""
    return Block(f"#drawing({quoted(svg)}, {text(caption)}, {high:g}mm)", landscape)


def own_page(svg: str, caption: str, wide: float, high: float) -> Block:
    """A drawing on a page of its own size (mm), so that it is to scale."""
    source = f"#own-page({quoted(svg)}, {text(caption)}, {wide:g}mm, {high:g}mm)"
    return Block(source, whole=True)


@dataclass(frozen=True)
class Chapter:
    """A chapter; `fresh`: it begins on a page of its own even where the one before ends early."""

    title: str
    blocks: Sequence[Block]
    fresh: bool = True


def flow(chapters: Iterable[Chapter]) -> str:
    """Chapters one after the other, each page turned as its tables and pictures need it.

    What stands either way (a heading, a paragraph) goes with what follows it, at the end of a
    chapter with what is before it.
    """
    runs: list[tuple[bool | None, list[str]]] = []  # None: pages of their own size
    for chapter in chapters:
        waiting = [f"#head(1, {text(chapter.title)})"]
        if chapter.fresh:
            waiting.insert(0, NEW_PAGE.source)
        begun = False
        for block in chapter.blocks:
            if block.whole:
                if waiting:
                    _into(runs, False, waiting)
                runs.append((None, [block.source]))
                waiting, begun = [], True
                continue
            waiting.append(block.source)
            if block.landscape is not None:
                _into(runs, block.landscape, waiting)
                waiting, begun = [], True
        if waiting:
            last = runs[-1][0] if runs else None
            _into(runs, bool(last) if begun else False, waiting)
    pages = []
    for turned, sources in runs:
        body = "\n".join(sources)
        flipped = "true" if turned else "false"
        pages.append(body if turned is None else f"#page(flipped: {flipped})[\n{body}\n]")
    return "\n".join(pages) + "\n"


def _into(runs: list[tuple[bool | None, list[str]]], turned: bool, sources: list[str]) -> None:
    """Add to the last run of pages where it is turned the same way, else begin another."""
    if not runs or runs[-1][0] is not turned:
        runs.append((turned, []))
        sources = [source for source in sources if source != NEW_PAGE.source]  # it is one already
    runs[-1][1].extend(sources)


# ------------------------------------------------------------------ tables
def table(
    sheet: Sheet,
    paper: Paper,
    *,
    title: bool = True,
    landscape: bool = False,
    upright: bool = False,
) -> Block:
    """A sheet as a table with its heads repeated on every page.

    It stands upright where it fits so at a size that can be read, else on a turned page, smaller
    until it fits. `title`: its title above it; `landscape`: the page is turned anyway; `upright`:
    the page is not turned, as enough of its columns hold text that may break.
    """
    size, turned = _fit(sheet, paper, landscape)
    if upright and turned:
        size, turned = _PORTRAIT_SIZES[-1], False
    sheet = _told_again(sheet)
    heads = listed(listed((text(c.head), text(c.unit), quoted(c.holds))) for c in sheet.columns)
    rows = listed(_row(row) for row in sheet.rows)
    name = text(sheet.title) if title and sheet.title else "none"
    widths = listed("1fr" if column.holds == "text" else "auto" for column in sheet.columns)
    lines = sum(max((cell.text.count("\n") + 1 for cell in row), default=0) for row in sheet.rows)
    whole = "true" if lines <= _WHOLE and not upright else "false"
    return Block(f"#sheet({name}, {heads}, {widths}, {rows}, {size}pt, {whole})", turned)


def pairs(rows: Sequence[tuple[str, str]]) -> Block:
    """A list of names and what they are."""
    return Block(f"#pairs({listed(listed(map(text, row)) for row in rows)})", False)


def _told_again(sheet: Sheet) -> Sheet:
    """Marks that a table tells once for several rows told in each, as a page may begin with any."""
    if not sheet.columns or sheet.columns[0].holds != "words":
        return sheet
    rows: list[tuple[Cell, ...]] = []
    first = Cell("")
    for row in sheet.rows:
        if row and row[0].text:
            first = row[0]
        rows.append((first, *row[1:]) if row else row)
    return Sheet(sheet.title, sheet.columns, tuple(rows))


def _row(row: tuple[Cell, ...]) -> str:
    if not row:
        return "none"
    return listed(_cell(cell) for cell in row)


def _cell(cell: Cell) -> str:
    return listed(
        (text(cell.text), quoted(cell.tone), "true" if len(cell.text) > _TALL_CELL else "false")
    )


def _fit(sheet: Sheet, paper: Paper, turned: bool) -> tuple[float, bool]:
    """Size of type (pt) and whether the page is turned."""
    short, long = PAPERS[paper]
    if not turned:
        for size in _PORTRAIT_SIZES:
            if width_of(sheet, size) <= short - MARGINS:
                return size, False
    for size in _LANDSCAPE_SIZES:
        if width_of(sheet, size) <= long - MARGINS:
            return size, True
    return _LANDSCAPE_SIZES[-1], True


def width_of(sheet: Sheet, size: float) -> float:
    """Width (mm) that a sheet takes at a size of type (pt), estimated from its letters."""
    wide = 0.0
    for number, column in enumerate(sheet.columns):
        longest = max(
            (_line(row[number].text) for row in sheet.rows if row), default=0
        )  # the head may break at its blanks
        longest = max(longest, *(len(word) for word in f"{column.head} {column.unit}".split(" ")))
        own = longest * _LETTER * size * _POINT
        wide += _INSET + (min(own, _LEAST_TEXT) if column.holds == "text" else own)
    return wide


def _line(value: str) -> int:
    """Letters in the longest line of a cell."""
    return max((len(line) for line in value.split("\n")), default=0)
