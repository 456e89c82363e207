"""Single faults printed for people: the answer first, then the ranking, then what supports take."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Literal

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.cautions import FULL
from bedstone.comparison.faults import Change, Result, WhatIf
from bedstone.comparison.first_failure import FirstFailure
from bedstone.errors import Fault as InputFault
from bedstone.errors import InputError
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import (
    SEAT_SIGNS,
    SUPPORT_SIGNS,
    UNITS,
    decimals,
    figure,
    plain,
    shown,
)
from bedstone.output.tables import printed

HARM = (
    "Harm: how far something leaves its envelope on the intact bridge, as a part of the largest of "
    "its kind there; 0: nothing does, 1: as much more as the most loaded place takes now. Seized "
    "bearings and closed stops are held completely, which is the bound; friction needed: the "
    "coefficient that would hold as much. Lifts: bearings that cannot hold down and would pull. "
    "With *: worked out in full, traffic placed anew and bearings open; else quickly, "
    "bearings pulling as well as pushing and traffic as it is worst on the intact bridge."
)
#: Effects shown of a support: (head, effect, which extreme).
_SUPPORT = (
    ("V max", "V", "max"),
    ("V min", "V", "min"),
    ("Fx", "Fx", "size"),
    ("Fy", "Fy", "size"),
    ("Mx", "Mx", "size"),
    ("My", "My", "size"),
)
_SEAT = (
    ("N max", "N", "max"),
    ("N min", "N", "min"),
    ("Hx", "Hx", "size"),
    ("Hy", "Hy", "size"),
    ("vx", "vx", "size"),
    ("vy", "vy", "size"),
)
_WARNED = 0.1  # harm from which a row of a support stands out


def fault_view(
    found: WhatIf, failures: Sequence[FirstFailure] = (), *, count: int | None = 15
) -> Iterator[RenderableType]:
    """All tables of single faults; `count` rows of the ranking, None for all."""
    yield from _head(found)
    for line in answer(found):
        yield Padding(Text(line, style="bold"), (0, 0, 0, 2))
    if found.unstable:
        yield from printed(unstable(found))
    yield from printed(by_kind(found))
    yield from printed(ranking(found, count))
    left = len(found.results) - len(_first(found, count))
    if left:
        yield Text(f"Not shown: {left} of less harm.", style="dim")
    for mark in found.look.layout.supports:
        yield from printed(support(found, mark, count))
    if failures:
        yield from printed(fails_first(failures))
        already = dict.fromkeys(mark for item in failures for mark in item.already)
        yield from _under("Bearings that fail without any fault, or that none serves", [*already])
    yield from _under("Limits that the intact bridge does not keep", found.intact_broken)
    yield from _under("Limits broken by a fault", broken(found))
    yield from _under("Notes", notes(found))
    yield from _closing(found)


def fault_detail(found: WhatIf, number: int) -> Iterator[RenderableType]:
    """One fault in full, by its place in the ranking from 1: every bearing and support.

    Raises `InputError` for a number that is not in the ranking.
    """
    if not 1 <= number <= len(found.results):
        allowed = f"a number of the ranking, 1 to {len(found.results)}"
        raise InputError([InputFault("command line", "--fault", str(number), allowed)])
    result = found.results[number - 1]
    yield from _head(found)
    yield Text(f"\n{number}. {plain(result.fault.name)}", style="bold")
    yield from (Text(line) for line in told(result))
    yield from printed(_before_after(found, result, "support", _SUPPORT))
    yield from printed(_before_after(found, result, "seat", _SEAT))
    yield from _closing(found)


# ------------------------------------------------------------------ sentences
def answer(found: WhatIf) -> list[str]:
    """Which single fault hurts most, and what the abutments then take."""
    lines = []
    if found.unstable:
        names = "; ".join(fault.name for fault, _ in found.unstable)
        lines.append(f"{len(found.unstable)} of {found.count} faults leave the bridge without a "
                     f"stand: {names}.")  # fmt: skip
    if not found.results or found.results[0].harm <= 0.0:
        lines.append("No other fault brings anything beyond its envelope on the intact bridge.")
        return [plain(line) for line in lines]
    worst = found.results[0]
    rest = "Of the others, " if found.unstable else ""
    lines.append(f"{rest}{worst.fault.name} hurts most: harm {worst.harm:.2f}, from "
                 f"{change(worst.worst)} ({_case(worst.worst)}).")  # fmt: skip
    lines += [_abutment(found, worst, mark) for mark in dict.fromkeys(found.ends)]
    if worst.friction_needed is not None:
        lines.append(
            "That is complete seizure, the bound: the bearing would have to hold by a friction of "
            f"{_coefficient(worst.friction_needed)} of its permanent load."
        )
    return [plain(line) for line in lines]


def _abutment(found: WhatIf, worst: Result, mark: str) -> str:
    """What one end of the bridge takes under a fault, in a sentence."""
    parts = []
    for effect, words in (("Fx", "along"), ("Fy", "across"), ("V", "down")):
        before = shown(effect, found.intact.largest(mark, effect))
        after = shown(effect, worst.extremes.largest(mark, effect))
        places = decimals([before, after])
        parts.append(f"{effect} {figure(before, places)} → {figure(after, places)} kN {words}")
    return f"{mark} then takes {', '.join(parts)}."


def change(item: Change) -> str:
    """A change as ``A1 Fx 320 → 1940 kN``."""
    before, after = shown(item.effect, item.before), shown(item.effect, item.after)
    places = decimals([before, after])
    return plain(
        f"{item.place} {item.effect} {figure(before, places)} → {figure(after, places)} "
        f"{UNITS[item.effect]}"
    )


def told(result: Result) -> list[str]:
    """What is to be said of one fault, in a few lines."""
    lines = [f"Harm {result.harm:.2f}, from {change(result.worst)} ({_case(result.worst)})."]
    if result.fault.kind in ("stop reached", "guides worn") and result.fault.gap != (0.0, 0.0):
        lines.append(
            "Not reached: the movement ends before." if result.bites <= 0.0
            else f"At the largest movement the last {result.bites:.0%} of it is met; the values "
            "are a bound for all cases."
        )  # fmt: skip
    if result.friction_needed is not None:
        lines.append(
            f"Held completely, which is the bound: friction needed "
            f"{_coefficient(result.friction_needed)} of the permanent load."
        )
    if result.in_full:
        lines.append("Worked out in full: traffic placed anew, bearings open where nothing holds.")
    lines += [
        f"{lift.seat} lifts {lift.gap * 1e3:.1f} mm ({lift.limit_state}, "
        f"{_short(lift.combination, lift.limit_state)})."
        for lift in result.opened
    ]
    if result.lifts and not result.in_full:
        lines.append(f"Would lift: {', '.join(result.lifts)}; the values are as if held down.")
    if result.broken:
        lines.append(f"Limits no longer kept: {'; '.join(result.broken)}.")
    return [plain(line) for line in lines]


def broken(found: WhatIf) -> list[str]:
    """Limits that some fault breaks, with the faults, worst first."""
    by_limit: dict[str, list[str]] = {}
    for result in found.results:
        for text in result.broken:
            by_limit.setdefault(text, []).append(result.fault.name)
    sentences = []
    for text, names in by_limit.items():
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        sentences.append(plain(f"{text}: {'; '.join(names[:3])}{more}"))
    return sentences


def notes(found: WhatIf) -> list[str]:
    """What was not tried, what failed, what lifts without any fault."""
    lines = []
    if found.untried:
        lines.append(f"INTERRUPTED: {len(found.untried)} faults were not tried.")
    if found.intact_lifts:
        lines.append(f"Without any fault {', '.join(found.intact_lifts)} would lift.")
    lines += [f"{fault.name}: no answer, {reason}" for fault, reason in found.refused]
    lines += [f"Not tried: {reason}" for reason in found.left_out]
    return [plain(line) for line in lines]


# ------------------------------------------------------------------ sheets
def unstable(found: WhatIf) -> Sheet:
    """Faults under which the bridge does not stand, with the motion."""
    rows = tuple(
        (Cell(plain(fault.name), "warning"), Cell(plain(motion)))
        for fault, motion in found.unstable
    )
    columns = (Column("fault", holds="text"), Column("what happens", holds="text"))
    return Sheet("The bridge does not stand", columns, rows)


def ranking(found: WhatIf, count: int | None = None) -> Sheet:
    """Faults by falling harm, each with the change from which its harm comes."""
    columns = (
        Column("no.", holds="numbers"),
        Column("fault", holds="text"),
        Column("harm", holds="numbers"),
        Column("where"),
        Column("effect"),
        Column("intact", holds="numbers"),
        Column("then", holds="numbers"),
        Column("unit"),
        Column("friction", "needed", "numbers"),
        Column("lifts", holds="text"),
    )
    rows = []
    for number, result in enumerate(_first(found, count), start=1):
        worst = result.worst
        before, after = shown(worst.effect, worst.before), shown(worst.effect, worst.after)
        places = decimals([before, after])
        needed = result.friction_needed
        rows.append(
            (
                Cell(f"{number}{'*' if result.in_full else ''}"),
                Cell(plain(result.fault.name)),
                Cell(f"{result.harm:.2f}", "strong"),
                Cell(worst.place if result.harm > 0.0 else NOTHING),
                Cell(worst.effect if result.harm > 0.0 else NOTHING),
                Cell(figure(before, places) if result.harm > 0.0 else NOTHING),
                Cell(figure(after, places) if result.harm > 0.0 else NOTHING),
                Cell(UNITS[worst.effect] if result.harm > 0.0 else ""),
                Cell(NOTHING if needed is None else _coefficient(needed)),
                Cell(", ".join(result.lifts), "warning"),
            )
        )
    return Sheet("Single faults, the most harmful first", columns, tuple(rows))


def by_kind(found: WhatIf) -> Sheet:
    """The worst of each kind of fault, and how many of that kind the bridge does not survive."""
    columns = (
        Column("kind of fault"),
        Column("tried", holds="numbers"),
        Column("do not", "stand", "numbers"),
        Column("worst", holds="text"),
        Column("harm", holds="numbers"),
        Column("from"),
    )
    fallen = Counter(fault.kind for fault, _ in found.unstable)
    tried = fallen + Counter(item.fault.kind for item in found.results)
    worst: dict[str, Result] = {}
    for item in found.results:
        worst.setdefault(item.fault.kind, item)
    order = sorted(tried, key=lambda kind: (not fallen[kind], kind in worst and -worst[kind].harm))
    rows = []
    for kind in order:
        first = worst.get(kind)
        rows.append(
            (
                Cell(kind),
                Cell(str(tried[kind])),
                Cell(str(fallen[kind]) if fallen[kind] else NOTHING, "warning"),
                Cell(NOTHING if first is None else plain(first.fault.name)),
                Cell(NOTHING if first is None else f"{first.harm:.2f}", "strong"),
                Cell(NOTHING if first is None or not first.harm else change(first.worst)),
            )
        )
    return Sheet("The worst of each kind", columns, tuple(rows))


def support(found: WhatIf, mark: str, count: int | None = None) -> Sheet:
    """What one abutment or pier takes: intact, and under each of the worst faults."""
    first = _first(found, count)
    values = {
        head: [_extreme(found, item, mark, effect, which) for item in (None, *first)]
        for head, effect, which in _SUPPORT
    }
    places = {head: decimals(column) for head, column in values.items()}
    rows = []
    for row in range(len(first) + 1):
        name = "intact" if row == 0 else f"{row}. {first[row - 1].fault.name}"
        cells = [Cell(plain(name))]
        for head, effect, which in _SUPPORT:
            tone = _tone(found, first[row - 1], mark, effect, which) if row else ""
            cells.append(Cell(figure(values[head][row], places[head]), tone))
        rows.append(tuple(cells))
    columns = (
        Column("fault", holds="text"),
        *(Column(head, UNITS[effect], "numbers") for head, effect, _ in _SUPPORT),
    )
    return Sheet(f"{mark}: largest and smallest of all limit states", columns, tuple(rows))


def fails_first(failures: Sequence[FirstFailure]) -> Sheet:
    """The check that is used most under each fault, and all bearings that fail."""
    columns = (
        Column("fault", holds="text"),
        Column("fails first"),
        Column("part and check", holds="text"),
        Column("clause", holds="text"),
        Column("used", holds="numbers"),
        Column("intact", holds="numbers"),
        Column("bearings that fail", holds="text"),
    )
    rows = []
    for item in failures:
        where = f"{item.seat} {item.bearing}" if item.seat else "nothing"
        check = f"{item.part}: {item.check}" if item.part else item.check
        if item.without:
            where, check = NOTHING, item.without
        also = [*item.failing, *(f"limit {text}" for text in item.broken)]
        rows.append(
            (
                Cell(plain(item.fault.name)),
                Cell(plain(where), "warning" if item.seat else ""),
                Cell(plain(check)),
                Cell(plain(item.clause)),
                Cell(used(item.utilisation) if item.seat else NOTHING),
                Cell(NOTHING if item.before is None else used(item.before)),
                Cell(plain(", ".join(also)) or NOTHING),
            )
        )
    return Sheet("What fails first, bearings as designed or given", columns, tuple(rows))


def used(use: float | None) -> str:
    """A utilisation, cut so that what shows 1.00 holds and 1.01 does not; None: cannot serve."""
    if use is None or not math.isfinite(use):
        return "beyond"
    hundredths = math.floor(use * 100.0 + 1e-9) if use <= 1.0 else math.ceil(use * 100.0)
    return f"{hundredths / 100.0:.2f}"


def _before_after(
    found: WhatIf, result: Result, what: str, effects: Sequence[tuple[str, str, str]]
) -> Sheet:
    marks = found.look.layout.supports if what == "support" else found.look.layout.seats
    rows: list[tuple[Cell, ...]] = []
    group = ""
    for mark in marks:
        owner = found.seat_supports.get(mark, "")
        if owner != group and rows:
            rows.append(())
        group = owner
        for item, word in ((None, "intact"), (result, "then")):
            cells = [Cell(mark if item is None else ""), Cell(word)]
            for _, effect, which in effects:
                both = [_extreme(found, each, mark, effect, which) for each in (None, result)]
                value = both[0] if item is None else both[1]
                tone = _tone(found, item, mark, effect, which) if item is not None else ""
                cells.append(Cell(figure(value, decimals(both)), tone))
            rows.append(tuple(cells))
    columns = (
        Column(what),
        Column(""),
        *(Column(head, UNITS[effect], "numbers") for head, effect, _ in effects),
    )
    title = "What each abutment and pier takes" if what == "support" else "Each bearing"
    return Sheet(f"{title}, all limit states", columns, tuple(rows))


# ------------------------------------------------------------------ inside
def _first(found: WhatIf, count: int | None) -> Sequence[Result]:
    return found.results if count is None else found.results[:count]


def _extreme(found: WhatIf, result: Result | None, mark: str, effect: str, which: str) -> float:
    extremes = found.intact if result is None else result.extremes
    index = extremes.layout.index(mark, effect)
    if which == "size":
        return shown(effect, extremes.largest(mark, effect))
    return shown(effect, float((extremes.top if which == "max" else extremes.low)[index]))


def _tone(
    found: WhatIf, result: Result, mark: str, effect: str, which: str
) -> Literal["", "strong", "warning"]:
    """Strong where a value leaves its envelope by something, warning where a weight pulls."""
    index = found.intact.layout.index(mark, effect)
    if which == "min" and float(result.extremes.low[index]) < min(
        0.0, float(found.intact.low[index])
    ):
        return "warning"
    reference = found.references[index]
    if not math.isfinite(reference):
        return ""
    grown = float(result.extremes.size[index] - found.intact.size[index])
    return "strong" if which != "min" and grown > _WARNED * reference else ""


def _coefficient(needed: float) -> str:
    return f"{needed:.2f}" if math.isfinite(needed) else "beyond"


def _case(item: Change) -> str:
    return f"{item.limit_state}, {_short(item.combination, item.limit_state)}"


def _short(combination: str, limit_state: str) -> str:
    """The combination without the name of the limit state that stands before it."""
    return plain(combination).removeprefix(f"{limit_state} ").removeprefix("ULS ")


def _head(found: WhatIf) -> Iterator[RenderableType]:
    reference = f" ({found.reference})" if found.reference else ""
    yield Text(plain(f"{found.bridge}{reference}"), style="bold")
    yield Text(plain(f"{found.standard_title}. Arrangement: {found.arrangement}."))
    yield Text(f"{found.count} single faults, each by itself.")


def _under(head: str, sentences: Sequence[str]) -> Iterator[RenderableType]:
    if sentences:
        yield Text(f"\n{head}", style="bold")
        yield from (Padding(Text(sentence), (0, 0, 0, 2)) for sentence in sentences)


def _closing(found: WhatIf) -> Iterator[RenderableType]:
    residual = max((item.residual for item in found.results), default=found.look.residual)
    yield Text(f"\n{HARM}\n{SEAT_SIGNS}\n{SUPPORT_SIGNS}", style="dim")
    yield Text(f"\nSelf-check: worst relative residual {max(residual, found.look.residual):.0e}.")
    yield Text(f"\n{FULL}", style="dim")
