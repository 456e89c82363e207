"""Bearings that slide, of sizes given by the engineer: reading them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bedstone.bearings.sliding_element import make_sheet
from bedstone.bearings.sliding_options import refuse
from bedstone.bearings.sliding_rules import SlideRules
from bedstone.bearings.sliding_sheet import Guides, Sheet, Slide
from bedstone.errors import InputError


class Sizes:
    """Sizes given by name, read one by one; all faults are raised together by `done`."""

    def __init__(self, sizes: Mapping[str, object], fields: Mapping[str, str]) -> None:
        self._sizes = sizes
        self._fields = fields
        self._faults: list[InputError] = [
            refuse(name, repr(value), f"one of {', '.join(fields)}")
            for name, value in sizes.items()
            if name not in fields
        ]

    def number(
        self, name: str, default: float | None = None, *, above: float | None = 0.0
    ) -> float:
        """A finite number (m) greater than `above`; `default` None: it must be given."""
        found = self._sizes.get(name, default)
        if (
            isinstance(found, bool)
            or not isinstance(found, (int, float))
            or not math.isfinite(found)
            or (above is not None and found <= above)
        ):
            given = "nothing" if found is None else repr(found)
            bound = "" if above is None else f" above {above:g}"
            self._faults.append(refuse(name, given, f"a number{bound} ({self._fields[name]})"))
            return 1.0
        return float(found)

    def text(self, name: str, default: str, allowed: tuple[str, ...] = ()) -> str:
        """A word, one of `allowed` if any are named."""
        found = self._sizes.get(name, default)
        if not isinstance(found, str) or (allowed and found not in allowed):
            self._faults.append(refuse(name, repr(found), ", ".join(allowed) or "a word"))
            return default
        return found

    def has(self, name: str) -> bool:
        """Whether a size is given."""
        return self._sizes.get(name) is not None

    def require(self, holds: bool, name: str, allowed: str) -> None:
        """A fault at `name` unless `holds`: for sizes that do not fit together."""
        if not holds:
            self._faults.append(refuse(name, repr(self._sizes.get(name)), allowed))

    def done(self) -> None:
        """Raise `InputError` with every fault found so far."""
        faults = [fault for error in self._faults for fault in error.faults]
        if faults:
            raise InputError(faults)


#: Fields of a slide that `given` takes.
SLIDE_FIELDS: Mapping[str, str] = {
    "sheet.length": "m, sliding sheet along x', or its diameter",
    "sheet.width": "m, sliding sheet along y'; left out: the sheet is round",
    "sheet.thickness": "m; left out: as the family asks",
    "sheet.protrusion": "m, above its recess; left out: as the family asks",
    "stainless.length": "m, stainless surface along x'",
    "stainless.width": "m, stainless surface along y'",
    "stainless.thickness": "m; left out: as the family asks",
    "guide.strip_length": "m, strip of the guide on one side",
    "guide.strip_height": "m, strip of the guide on one side",
    "guide.bar_width": "m, guide bar across its length",
    "guide.bar_height": "m, guide bar below its plate",
    "guide.play": "m, each side; left out: as the family asks",
}

#: Fields of the outer plates that `given` takes; a plate of which no length is given is sized.
PLATE_FIELDS: Mapping[str, str] = {
    f"{plate}.{name}": meaning
    for plate, words in (("lower", "base plate"), ("upper", "top or sliding plate"))
    for name, meaning in (
        ("length", f"m, {words} along x'; left out: the plate is sized"),
        ("width", f"m, {words} along y'"),
        ("thickness", f"m, {words}"),
        ("anchors", "number of anchors, or of fitted bolts; default 0"),
        ("anchor", "name of an anchor or bolt (M24)"),
        ("grade", "grade of the anchors or bolts (8.8)"),
        ("grout", "m, bed of grout; default 0"),
        ("weld", "m, throat of the two welds along x' to a steel girder; default 0"),
    )
}


def given_slide(sizes: Sizes, rules: SlideRules, held: tuple[bool, bool]) -> Slide:
    """The slide of a given bearing; faults for a sheet larger than its stainless surface."""
    length = sizes.number("sheet.length")
    round_ = not sizes.has("sheet.width")
    width = length if round_ else sizes.number("sheet.width")
    usual = make_sheet(rules, length, width, round_=round_)
    sheet = Sheet(
        length,
        width,
        sizes.number("sheet.thickness", usual.thickness),
        sizes.number("sheet.protrusion", usual.protrusion),
        round_,
    )
    sizes.require(
        sheet.protrusion < sheet.thickness, "sheet.protrusion", "less than the sheet's thickness"
    )
    stainless = (
        sizes.number("stainless.length", length),
        sizes.number("stainless.width", width),
    )
    for name, surface, below in (
        ("stainless.length", stainless[0], length),
        ("stainless.width", stainless[1], width),
    ):
        sizes.require(surface >= below - 1e-9, name, "at least the sheet below it")
    guides = []
    for holds, is_held in (("x", held[0]), ("y", held[1])):
        if is_held:
            strip = sizes.number("guide.strip_length")
            height = sizes.number("guide.strip_height")
            bar = sizes.number("guide.bar_height")
            sizes.require(bar >= height, "guide.bar_height", "at least the height of the strip")
            guides.append(
                Guides(
                    "x" if holds == "x" else "y",
                    strip,
                    height,
                    sizes.number("guide.bar_width"),
                    bar,
                    sizes.number("guide.play", rules.play(strip)),
                )
            )
    thickness = sizes.number("stainless.thickness", rules.stainless(max(stainless)))
    play = guides[0].play if guides else 0.0
    return Slide(
        sheet,
        *stainless,
        thickness,
        way_x=play if held[0] else round((stainless[0] - length) / 2.0, 9),
        way_y=play if held[1] else round((stainless[1] - width) / 2.0, 9),
        guides=tuple(guides),
    )
