"""How wide text is: widths of the usual sans-serif letters, so that no font has to be read.

Widths in thousandths of the type size, as in the metrics that the usual sans-serif faces share. A
letter that is not in the table is taken wide, never narrow.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Final

#: Height of a capital over the type size.
CAPITAL: Final = 0.716
#: How far letters reach below the line of writing, over the height of a capital.
DESCENT: Final = 0.3

_ASCII: Final = (
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
)  # fmt: skip
_OTHERS: Final = {
    "−": 584, "×": 584, "°": 400, "…": 1000, "±": 549, "–": 556, "·": 278, "Ø": 778, "ø": 611,
    "ß": 611, "æ": 889, "œ": 944, "Ł": 556, "ł": 222, "ı": 278, "Đ": 722, "đ": 556,
}  # fmt: skip
_WIDE, _FULL = 950, 1000


@lru_cache(maxsize=4096)
def _letter(letter: str) -> int:
    """Width of one letter in thousandths of the type size."""
    if " " <= letter <= "~":
        return _ASCII[ord(letter) - 32]
    if letter in _OTHERS:
        return _OTHERS[letter]
    if unicodedata.east_asian_width(letter) in ("W", "F"):
        return _FULL
    if unicodedata.combining(letter):
        return 0
    bare = unicodedata.normalize("NFD", letter)[0]
    return _ASCII[ord(bare) - 32] if " " <= bare <= "~" else _WIDE


def width(text: str, height: float) -> float:
    """Width of a line of text whose capitals are `height` high; same unit."""
    return sum(map(_letter, text)) * height / CAPITAL / 1000.0


def clean(text: str) -> str:
    """Text on one line without what does not print: what a file says must not break a drawing."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def shortened(text: str, height: float, room: float) -> str:
    """The text, with an ellipsis for what would be wider than `room`."""
    text = clean(text)
    if width(text, height) <= room:
        return text
    while text and width(f"{text}…", height) > room:
        text = text[:-1]
    return f"{text.rstrip()}…"


def wrapped(text: str, height: float, room: float, lines: int | None = None) -> list[str]:
    """The text in lines not wider than `room`; more than `lines` of them are cut off.

    A word that alone is wider is broken.
    """
    found: list[str] = []
    line = ""
    for word in clean(text).split(" "):
        longer = f"{line} {word}" if line else word
        if width(longer, height) <= room:
            line = longer
            continue
        if line:
            found.append(line)
        line = word
        while width(line, height) > room and len(line) > 1:
            count = next(
                n for n in range(len(line), 0, -1) if n == 1 or _fits(line, n, height, room)
            )
            found.append(line[:count])
            line = line[count:]
    if line:
        found.append(line)
    if lines is not None and len(found) > lines:
        found = [*found[: lines - 1], shortened(" ".join(found[lines - 1 :]), height, room)]
    return found


def _fits(line: str, count: int, height: float, room: float) -> bool:
    return width(line[:count], height) <= room
