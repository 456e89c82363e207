"""What a row of the sheet tells of its bearings: functions, kinds, stiffness and sizes, by line."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from typing import Any, Final, get_args

from bedstone.bearings.catalogue import kind_of
from bedstone.bridge.schema import BearingKind, Function
from bedstone.bridge.units import NUMBER
from bedstone.stock.draft import KINDS, Line, Outline, fixed_line, moving_line
from bedstone.stock.draft_cells import Cells
from bedstone.stock.draft_columns import COUNTS
from bedstone.stock.draft_sizes import COLUMN_SIZES, Size, missing_sizes, refused_sizes

__all__ = ["BearingCells"]


#: What a bearing may do.
_FUNCTIONS: Final[Mapping[str, Function]] = {word: word for word in get_args(Function)}


class BearingCells(Cells):
    """The cells of a row that speak of bearings."""

    def lines(self, made: Outline) -> tuple[Line, ...] | None:
        """The lines of bearings; None where the functions are not told (kinds are then none)."""
        functions, kinds = self.text("Functions", 400), self.text("Kinds", 400)
        if not functions:
            for column in ("Kinds", "Pad stiffness", *COLUMN_SIZES, "Sizes"):
                if self.cell(column) is not None:
                    allowed = "functions too: what a bearing is follows from what it does"
                    self.fault(column, self.cell(column), allowed)
            return None
        told = [part.strip().casefold() for part in functions.split(";")]
        if told == ["elastic"]:  # mostly so of every line: one word is enough
            told *= made.line_count
        if len(told) != made.line_count:
            allowed = f"{made.line_count}, one for each line of bearings"
            found = f"{len(told)} line{'s' if len(told) > 1 else ''}"
            self.fault("Functions", found, allowed)
            return None
        count = 2 if made.truss else made.girders
        if count is None:
            self.fault("Girders", None, "their number, as the functions are told")
            return None
        of_kinds = self._kinds(kinds, len(told))
        for place, part in enumerate(told):
            if "elastic" in part and of_kinds[place] is None:
                of_kinds[place] = "laminated elastomeric"
            elif "elastic" in part and of_kinds[place] != "laminated elastomeric":
                self.fault("Kinds", kinds, "laminated elastomeric, where a line is elastic")
                return None
        stiff = self._of_lines("Pad stiffness", of_kinds, ("laminated elastomeric",))
        sizes = self._sizes(of_kinds)
        lines = []
        for place, part in enumerate(told):
            kind = of_kinds[place]
            does = self._line(part, count)
            unknown = stiff[place] is None and missing_sizes(kind, sizes[place])
            if "elastic" in does and unknown and not self.faults:
                allowed = "their stiffness, or length, width, layers, layer and plate"
                self.fault("Pad stiffness", None, allowed)
            lines.append(Line(does, kind, stiff[place], sizes[place]))
        return tuple(lines)

    def _of_lines(
        self, column: str, kinds: list[BearingKind | None], those: Collection[str]
    ) -> list[float | None]:
        """A size in SI for each line: one for all of the kinds it belongs to, or one a line."""
        value = self.cell(column)
        none: list[float | None] = [None] * len(kinds)
        if value is None:
            return none
        parts: list[object] = list(value.split(";")) if isinstance(value, str) else [value]
        if not any(kind in those for kind in kinds):
            self.fault(column, value, f"a kind that has it: {', '.join(those)}")
            return none
        if len(parts) not in (1, len(kinds)):
            allowed = f"one, or {len(kinds)}, one for each line of bearings, ? not known"
            self.fault(column, value, allowed)
            return none
        found: list[float | None] = []
        for place, kind in enumerate(kinds):
            part = parts[0] if len(parts) == 1 else parts[place]
            unknown = isinstance(part, str) and part.strip() in ("", "?")
            if unknown or (len(parts) == 1 and kind not in those):
                found.append(None)
                continue
            if kind not in those:
                self.fault(column, value, f"? where the kind is {kind or 'not known'}")
                return none
            (number,) = self.numbers(column, one=True, value=part) or (None,)
            if number is not None and column in COUNTS and number != int(number):
                self.fault(column, part, "a whole number")
            found.append(number)
        return found

    def _sizes(self, kinds: list[BearingKind | None]) -> list[tuple[Size, ...]]:
        """Sizes of the bearings of each line, as a bridge file writes them."""
        made: list[dict[str, str | float]] = [{} for _ in kinds]
        for column, names in COLUMN_SIZES.items():
            for place, number in enumerate(self._of_lines(column, kinds, tuple(names))):
                kind = kinds[place]
                if number is not None and kind is not None:
                    count = column in COUNTS
                    made[place][names[kind]] = int(number) if count else f"{number * 1e3:.9g} mm"
        self._written_out(kinds, made)
        found = [tuple(one.items()) for one in made]
        for kind, sizes in dict.fromkeys(zip(kinds, found, strict=True)):
            for wrong in () if kind is None else refused_sizes(kind, sizes):
                self.fault("Sizes", self.cell("Sizes"), wrong)
        return found

    def _written_out(
        self, kinds: list[BearingKind | None], made: list[dict[str, str | float]]
    ) -> None:
        """Sizes written out by name, into `made`; one set is for the lines whose kind has them."""
        told = self.text("Sizes", 400)
        if not told:
            return
        sets = [self._set(part) for part in told.split(";")]
        if len(sets) not in (1, len(kinds)):
            self.fault("Sizes", told, f"one set, or {len(kinds)}, one for each line of bearings")
            return
        taken = False
        for place, kind in enumerate(kinds):
            own = sets[0] if len(sets) == 1 else sets[place]
            known = {} if kind is None else kind_of(kind).fields()
            unknown = [name for name in own if name not in known]
            if unknown and len(sets) > 1:
                allowed = f"a size of a {kind}: {', '.join(known)}" if kind else "a kind too"
                self.fault("Sizes", unknown[0], allowed)
            if not unknown:
                taken = True
                for name in own.keys() & made[place].keys():
                    self.fault("Sizes", name, "it once: a column has it")
                made[place] |= own
        if not taken:
            self.fault("Sizes", told, "a kind of bearing that has all of these sizes")

    def _set(self, told: str) -> dict[str, str | float]:
        """One set of sizes by name; {} for ? and nothing."""
        found: dict[str, str | float] = {}
        for item in told.split(",") if told.strip() not in ("", "?") else ():
            name, _, value = item.strip().partition(" ")
            value = value.strip()
            if name in found:
                self.fault("Sizes", name, "it once")
            elif not re.fullmatch(r"[\w.+-]+( [\w/.*^-]+)?", value, re.ASCII):
                self.fault("Sizes", item.strip(), "a name, a value and its unit: pot.wall 30 mm")
            else:
                plain = re.fullmatch(NUMBER, value, re.ASCII)
                found[name] = _plain_number(value) if plain else value
        return found

    def _kinds(self, told: str, count: int) -> list[Any]:
        parts = [part.strip().casefold() for part in told.split(";")] if told else ["?"]
        if len(parts) == 1:
            parts *= count
        if len(parts) != count:
            self.fault("Kinds", f"{len(parts)} kinds", f"one, or {count}, one for each line")
            return [None] * count
        for part in parts:
            if part not in (*KINDS, "?", ""):
                self.fault("Kinds", part, f"?, {', '.join(KINDS)}")
        return [part if part in KINDS else None for part in parts]

    def _line(self, told: str, count: int) -> tuple[Function, ...]:
        short: Mapping[str, Callable[[int], Line]] = {"fixed": fixed_line, "moving": moving_line}
        if told in short:
            return short[told](count).functions
        if told == "elastic":
            springs: tuple[Function, ...] = ("elastic",)
            return springs * count
        found = [part.strip() for part in told.split(",")]
        wrong = [part for part in found if part not in _FUNCTIONS]
        for part in wrong:
            self.fault("Functions", part, f"moving, {', '.join(_FUNCTIONS)}")
        if len(found) != count and not wrong:
            self.fault("Functions", told, f"{count} functions, right to left, or fixed or moving")
        return tuple(_FUNCTIONS[part] for part in found if part in _FUNCTIONS)


def _plain_number(text: str) -> float:
    """A number as a bridge file writes it: whole where it is."""
    found = float(text)
    return int(found) if found.is_integer() and abs(found) < 1e9 else found
