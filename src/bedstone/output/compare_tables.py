"""A comparison of arrangements printed for people: what was tried, what is best, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.bridge.schema import Bridge, Function, Seat
from bedstone.cautions import FULL
from bedstone.comparison.compare import ALIKE, OBJECTIVES, Comparison, Shown, reason
from bedstone.comparison.sharing import Range
from bedstone.comparison.weigh import Weighed
from bedstone.output import words
from bedstone.output.sharing_tables import chainages, marks_of, ranged
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import UNITS, decimals, figure, plain, scaled, shown
from bedstone.output.tables import printed
from bedstone.schedule.context import family_of
from bedstone.standards.values import Value

#: Rows for each support: name in `Shown.supports` and the effect that gives the unit.
SUPPORT_ROWS = (
    ("V", "V max"), ("V min", "V min"), ("Fx", "Fx"), ("Fy", "Fy"), ("My", "My"), ("Mx", "Mx"),
)  # fmt: skip
#: What is shown of an objective: unit, factor from SI.
_SCALE = {"N": ("kN", 1e-3), "N m": ("kN m", 1e-3), "m": ("mm", 1e3), "rad": ("mrad", 1e3)}
_OTHERS = 4  # arrangements beside today's in one table of 100 columns
_BY_ACTION = 8
#: Part of the largest force of a table by actions below which a row is left out.
_TOLD = 0.002
_KINDS: tuple[tuple[Function, str], ...] = (
    ("fixed", "fixed"), ("guided along", "along"), ("guided across", "across"), ("free", "free"),
    ("elastic", "elastic"), ("none", "none"),
)  # fmt: skip
_NAMED: tuple[Function, ...] = ("fixed", "guided across", "guided along", "elastic", "none")

READING = (
    "Supports: V downwards, largest and smallest; of the others the largest size in either sense. "
    "Fx along, Fy across, My overturning along and Mx across about the base; largest over all "
    "limit states and stiffnesses below, not acting together. Movement: characteristic or ultimate "
    "as it governs, along the bridge, of the bearing that moves most. +/−: against today's, = "
    "where nothing changes at the decimals shown. Locked: horizontal force at one bearing of the "
    "uniform temperature alone, characteristic."
)


@dataclass(frozen=True)
class Beside:
    """An arrangement under the letter or number by which the tables call it.

    `role`: today, pinned (letters) or best (numbers: its place among the best).
    """

    label: str
    role: Literal["today", "pinned", "best"]
    item: Shown


def beside(found: Comparison) -> tuple[Beside, ...]:
    """Everything that is set side by side: today's, the pinned few, the best."""
    pinned = (Beside(_letter(i), "pinned", item) for i, item in enumerate(found.pinned))
    best = (Beside(str(item.rank), "best", item) for item in found.best)
    return (Beside("today", "today", found.today), *pinned, *best)


def compare_view(
    found: Comparison, bridge: Bridge, weights: Mapping[str, Weighed] | None = None
) -> Iterator[RenderableType]:
    """All tables of a comparison; `weights` of the bearings by name of the arrangement."""
    reference = f" ({bridge.bridge.reference})" if bridge.bridge.reference else ""
    yield Text(plain(f"{bridge.bridge.name}{reference}"), style="bold")
    yield Text(plain(basis(found)))
    if not found.complete:
        yield Text(stopped(found), style="bold red")
    yield from _under("What was tried", tried(found))
    everything = beside(found)
    if found.limits:
        yield from printed(limits(found, everything))
    yield from printed(side_by_side(found, everything))
    yield Text(f"\n{objective_words(found)}", style="dim")
    for title, others in _blocks(everything):
        yield from printed(values(title, others, weights or {}))
    for effect in ("Fx", "Fy"):
        for start in range(0, len(everything), _BY_ACTION):
            yield from printed(by_action(effect, everything[start : start + _BY_ACTION]))
    yield from printed(governing(everything))
    if found.still:
        yield from printed(still(found, everything))
    yield from printed(pareto(found))
    for number, item in enumerate(found.best):
        head = f"{item.rank}: {item.name}"
        yield from _under(plain(head), reasons(found, number))
    yield from _under("Worked out in full", in_full(found, everything))
    yield from _under("Uplift, worked out in full", lifting(found, everything))
    yield from _under("Bearings", weighed(everything, weights))
    yield Text(f"\n{READING}", style="dim")
    recalled = memory(found)
    if recalled:
        yield Text(f"\n{words.memory_note(recalled)}", style="yellow")
    yield Text(f"\n{FULL}", style="dim")


# ------------------------------------------------------------------ sentences
def basis(found: Comparison) -> str:
    """The family and its edition, where a schedule was made."""
    for whole in found.whole.values():
        return f"{whole.schedule.standard_title}: {whole.schedule.edition}"
    return family_of(found.standard).title


def stopped(found: Comparison) -> str:
    """What an interrupted comparison has done."""
    return (
        f"Stopped after {found.done:,} of {len(found.arrangements):,}; call again to go on. Ranks "
        "are among those that were done."
    )


def tried(found: Comparison) -> list[str]:
    """How many arrangements there were, and what became of them."""
    tried = found.arrangements
    lines = [f"{_many(tried.total)} that the rules allow."]
    for item in tried.dropped:
        stand = "does not stand" if item.count == 1 else "do not stand"
        lines.append(f"{item.count:,} {stand}: {item.motion} (such as {item.example}).")
    folded = tried.total - sum(item.count for item in tried.dropped) - len(tried)
    alike = [way.name for way in tried.ways if way.holds]
    others = [f"{way.name} ({way.reason})" for way in tried.ways if not way.holds]
    if alike:
        lines.append(f"{folded:,} folded as twins; the bridge is the same {_and(alike)}.")
    else:
        lines.append("No twins to fold.")
    if others:
        lines.append(f"The bridge is not the same {'; nor '.join(others)}.")
    lines.append(
        f"{found.done:,} looked at, each at {found.positions:,} positions and senses of its loads."
    )
    if found.held_twice:
        lines.append(
            f"{found.held_twice:,} left out: rigid bearings hold one movement twice with nothing "
            "elastic between them."
        )
    if found.limits:
        lines.append(f"{len(found.order):,} keep all limits and are ranked.")
    return [plain(line) for line in lines]


def objective_words(found: Comparison) -> str:
    """By what the ranking goes."""
    known = OBJECTIVES.get(found.objective)
    meaning = f"{found.objective}: {known[1]}" if known else f"size of {found.objective}"
    return plain(
        f"Ranked by {meaning}; alike within {ALIKE:.1%}, the rest of the criteria decides. Those "
        "in which a bearing lifts that cannot hold down come after all that stay down. Rank "
        f"{NOTHING}: not among those that the rules allow, or a limit is not kept. Stands for "
        "so many: itself and its twins. Numbers of bearings by function: fixed, guided along, "
        "guided across, free."
    )


def reasons(found: Comparison, number: int) -> list[str]:
    """Why one of the best is better than today's and what it costs."""
    return [plain(line) for line in reason(found.today, found.best[number])]


def in_full(found: Comparison, everything: Sequence[Beside]) -> list[str]:
    """What was worked out in full and how far the quick envelopes were from it."""
    if not found.whole:
        text = (
            "Nothing: the numbers are quick ones, traffic placed as it is worst for today's and a "
            "few other arrangements."
        )
        return [text]
    parts = [
        f"{one.label} {found.whole[one.item.name].change:.2%}"
        for one in everything
        if one.item.name in found.whole
    ]
    text = (
        "With traffic placed for themselves; largest difference of a force or moment of a support, "
        "or of the largest H of a bearing, to the quick values above, of the largest of its name: "
        f"{', '.join(parts)}."
    )
    return [text]


def lifting(found: Comparison, everything: Sequence[Beside]) -> list[str]:
    """Bearings that would lift in the schedules made in full, arrangement by arrangement."""
    lines = []
    for one in everything:
        whole = found.whole.get(one.item.name)
        if whole is None or not whole.schedule.uplift:
            continue
        marks = list(dict.fromkeys(item.seat for item in whole.schedule.uplift))
        worst = max(whole.schedule.uplift, key=lambda item: item.hold_down)
        force = figure(worst.hold_down / 1e3, decimals([worst.hold_down / 1e3]))
        lines.append(
            plain(
                f"{one.label}: {', '.join(marks)}; most at {worst.seat}, {force} kN to hold it "
                f"down ({worst.limit_state})"
            )
        )
    return lines


def weighed(everything: Sequence[Beside], weights: Mapping[str, Weighed] | None) -> list[str]:
    """Which bearings do not pass; that none were designed, where none were."""
    if weights is None:
        return ["Mass: not worked out (--weigh designs the bearings of the arrangements shown)."]
    lines = []
    for one in everything:
        weight = weights.get(one.item.name)
        if weight is None:
            continue
        if weight.without:
            lines.append(f"{one.label}: no bearing of its kind serves {', '.join(weight.without)}; "
                         "the mass is of the others")  # fmt: skip
        if weight.failing:
            lines.append(f"{one.label}: does not pass at {', '.join(weight.failing)}")
    return [plain(line) for line in lines] or ["All bearings pass their checks."]


def memory(found: Comparison) -> list[Value]:
    """Values known from memory alone on which the schedules made in full lean."""
    known = {value.name: value for item in found.whole.values() for value in item.schedule.memory}
    return [known[name] for name in sorted(known)]


# ------------------------------------------------------------------ sheets
def limits(found: Comparison, everything: Sequence[Beside]) -> Sheet:
    """Limits in turn, how many arrangements are left after each, and who does not keep it."""
    columns = (
        Column("limit", holds="text"),
        Column("left after it", holds="numbers"),
        Column("not kept by", holds="text"),
    )
    rows = []
    for limit, left in zip(found.limits, found.left, strict=True):
        broken = [one.label for one in everything if limit.text in one.item.broken]
        rows.append(
            (
                Cell(plain(limit.text)),
                Cell(f"{left:,}"),
                Cell(", ".join(broken) or NOTHING, "warning" if broken else ""),
            )
        )
    return Sheet("Limits", columns, tuple(rows))


def side_by_side(found: Comparison, everything: Sequence[Beside]) -> Sheet:
    """What stands beside what: rank, what it stands for, how many bearings of each function."""
    twins = any(one.item.count > 1 for one in everything)
    present = [pair for pair in _KINDS if any(one.item.kinds.get(pair[0]) for one in everything)]
    unit, factor = objective_unit(found.objective)
    numbers = [objective_value(found, one.item) for one in everything]
    places = decimals([value * factor for value in numbers if value is not None])
    columns = (
        Column(""),
        Column("arrangement", holds="text"),
        Column("rank", holds="numbers"),
        Column(found.objective, unit, "numbers"),
        *([Column("stands for", holds="numbers")] if twins else []),
        *(Column(head, holds="numbers") for _, head in present),
    )
    rows = []
    for one, value in zip(everything, numbers, strict=True):
        told = one.item.name
        if one.role != "best":
            told += f": {held(one.item.functions)}"
        rows.append(
            (
                Cell(one.label, "strong"),
                Cell(plain(told + _likeness(found.today, one))),
                Cell(str(one.item.rank) if one.item.rank else NOTHING),
                Cell(NOTHING if value is None else figure(value * factor, places)),
                *([Cell(str(one.item.count) if one.role == "best" else NOTHING)] if twins else []),
                *(Cell(str(one.item.kinds.get(word, 0))) for word, _ in present),
            )
        )
    return Sheet("What is set side by side", columns, tuple(rows))


def values(title: str, block: Sequence[Beside], weights: Mapping[str, Weighed]) -> Sheet:
    """Today's arrangement and a few others: value, and difference against today's."""
    columns = [Column(""), Column(""), Column("today", holds="numbers")]
    for one in block[1:]:
        columns += [Column(one.label, holds="numbers"), Column("+/−", holds="numbers")]
    items = [one.item for one in block]
    rows: list[tuple[Cell, ...]] = []

    def add(place: str, head: str, get: Callable[[Shown], float], factor: float) -> None:
        numbers = [scaled(get(item), factor, head) for item in items]
        rows.append((Cell(place), Cell(head), *_with_changes(numbers)))

    for mark in items[0].supports:
        for number, (key, head) in enumerate(SUPPORT_ROWS):
            unit = UNITS[key.split()[0]]
            place = mark if number == 0 else ""
            add(place, f"{head} [{unit}]", lambda item, m=mark, k=key: item.supports[m][k], 1e-3)  # type: ignore[misc]
        if mark in items[0].joints:
            add("", "movement [mm]", lambda item, m=mark: item.joints[m], 1e3)  # type: ignore[misc]
        rows.append(())
    add("bearings", "least N [kN]", lambda item: item.least[0], 1e-3)
    rows.append(_words("at", [item.least[1] for item in items]))
    add("", "largest H [kN]", lambda item: item.largest[0], 1e-3)
    rows.append(_words("at", [f"{item.largest[2]} {item.largest[1]}" for item in items]))
    add("", "locked H [kN]", lambda item: item.measures["locked"], 1e-3)
    if all(item.name in weights for item in items):
        add("", "mass [kg]", lambda item: weights[item.name].mass, 1.0)
        not_passing = [
            len(weights[item.name].failing) + len(weights[item.name].without) for item in items
        ]
        rows.append(_words("that do not pass", [str(number) for number in not_passing]))
    return Sheet(title, tuple(columns), tuple(rows))


def by_action(effect: str, everything: Sequence[Beside]) -> Sheet:
    """Forces on each support by each variable action alone; what is nothing is left out."""
    index = ("Fx", "Fy").index(effect)
    columns = (
        Column("support"),
        Column("action", holds="text"),
        *(Column(one.label, UNITS[effect], "numbers") for one in everything),
    )
    marks = list(everything[0].item.supports)
    numbers = {
        (mark, action): [
            shown(effect, one.item.by_action[mark].get(action, (0.0, 0.0))[index])
            for one in everything
        ]
        for mark in marks
        for action in _whole_actions(everything[0].item.by_action[mark])
    }
    every = [value for row in numbers.values() for value in row]
    places = decimals(every)
    least = max(_TOLD * max(every, default=0.0), 0.5 * 10.0**-places)
    rows: list[tuple[Cell, ...]] = []
    for mark in marks:
        own = [
            (action.removeprefix("traffic:"), row)
            for (place, action), row in numbers.items()
            if place == mark and max(row, default=0.0) >= least
        ]
        if rows and own:
            rows.append(())
        for number, (action, row) in enumerate(own):
            cells = (Cell(figure(value, places)) for value in row)
            rows.append((Cell(mark if number == 0 else ""), Cell(plain(action)), *cells))
    way = "along" if effect == "Fx" else "across"
    title = f"{effect}, {way}, by action alone, characteristic, largest size"
    return Sheet(title, columns, tuple(rows))


def governing(everything: Sequence[Beside]) -> Sheet:
    """What governs the force along on every support."""
    columns = (
        Column("support"),
        Column(""),
        Column("Fx", "kN", "numbers"),
        Column("limit state", holds="text"),
        Column("combination", holds="text"),
        Column("stiffness", holds="text"),
    )
    sizes = [
        shown("Fx", own["Fx"]) for one in everything for own in one.item.supports.values()
    ]  # fmt: skip
    places = decimals(sizes)
    rows: list[tuple[Cell, ...]] = []
    for mark in everything[0].item.supports:
        if rows:
            rows.append(())
        alike: dict[tuple[str, ...], list[str]] = {}
        for one in everything:
            value = figure(shown("Fx", one.item.supports[mark]["Fx"]), places)
            state, combination, bound = one.item.governing[mark]
            told = plain(combination).removeprefix(f"{state} ").removeprefix("ULS ")
            by = (NOTHING,) * 3 if value == "0" else (plain(state), told, bound)
            alike.setdefault((value, *by), []).append(one.label)
        for number, (texts, labels) in enumerate(alike.items()):
            place = mark if number == 0 else ""
            rows.append(tuple(map(Cell, (place, ", ".join(labels), *texts))))
    return Sheet("What governs the force along", columns, tuple(rows))


def still(found: Comparison, everything: Sequence[Beside]) -> Sheet:
    """Where temperature moves nothing along, by stiffness alone and with friction."""
    columns = (
        Column(""),
        Column("piece on", holds="text"),
        Column("by stiffness", "m", "numbers"),
        Column("with friction", "m", "numbers"),
        Column("moves behind", "mm", "numbers"),
        Column("moves ahead", "mm", "numbers"),
    )
    rows = []
    for one in everything:
        points = found.still.get(one.item.name)
        for number, piece in enumerate(points.pieces if points is not None else ()):
            joints = (
                ranged(Range(min(j.warm.low, j.cold.low), max(j.warm.high, j.cold.high)), 1, 1e3)
                for j in piece.joints
            )
            cells = (
                one.label if number == 0 else "", marks_of(piece), chainages(piece.elastic),
                chainages(piece.rubbing), *joints,
            )  # fmt: skip
            rows.append(tuple(map(Cell, cells)))
    return Sheet("Chainage of the point that temperature does not move", columns, tuple(rows))


def pareto(found: Comparison) -> Sheet:
    """The arrangements that none beats in one criterion without losing in another."""
    total = len(found.pareto)
    units = [objective_unit(name) for name in found.criteria]
    numbers = {
        name: [
            float(found.measures[name][found.order[item.rank - 1]]) * factor for item in found.front
        ]
        for name, (_, factor) in zip(found.criteria, units, strict=True)
    }
    columns = (
        Column("rank", holds="numbers"),
        *(
            Column(name, unit, "numbers")
            for name, (unit, _) in zip(found.criteria, units, strict=True)
        ),
        Column("arrangement", holds="text"),
    )
    rows = tuple(
        (
            Cell(str(item.rank)),
            *(Cell(figure(row[number], decimals(row))) for row in numbers.values()),
            Cell(plain(item.name)),
        )
        for number, item in enumerate(found.front)
    )
    some = f", {len(rows)} of {total:,} from end to end" if len(rows) < total else ""
    title = f"Pareto set: none beats these in one column without losing in another{some}"
    return Sheet(title, columns, rows)


# ------------------------------------------------------------------ shared with the data
def objective_unit(objective: str) -> tuple[str, float]:
    """Unit in which an objective is shown, and the factor from SI."""
    if objective in OBJECTIVES:
        return _SCALE[OBJECTIVES[objective][0]]
    unit = UNITS[objective.rpartition(".")[2].replace("Hx", "Fx").replace("Hy", "Fy")]
    return unit, 1e3 if unit in ("mm", "mrad") else 1e-3


def objective_value(found: Comparison, item: Shown) -> float | None:
    """What the ranking goes by (SI); None for what was not followed."""
    if found.objective in item.measures:
        return item.measures[found.objective]
    place, _, effect = found.objective.partition(".")
    if place in item.supports:
        own, effect = item.supports[place], {"Hx": "Fx", "Hy": "Fy"}.get(effect, effect)
        return max(own["V"], -own["V min"]) if effect == "V" else own[effect]
    if item.rank:
        return float(found.measures[found.objective][found.order[item.rank - 1]])
    return None


def functions_of(item: Shown) -> dict[str, str]:
    """Function of every bearing by its seat."""
    return {mark: seat.function for mark, seat in item.functions.items()}


def held(functions: Mapping[str, Seat]) -> str:
    """What holds where: the seats that are not free, function by function."""
    parts = []
    for word in _NAMED:
        marks = [mark for mark, seat in functions.items() if seat.function == word]
        if marks:
            parts.append(f"{word} {', '.join(marks)}")
    return "; ".join(parts) or "nothing held"


# ------------------------------------------------------------------ inside
def _blocks(everything: Sequence[Beside]) -> Iterator[tuple[str, list[Beside]]]:
    """Today's beside a few others at a time: the pinned ones, then the best."""
    today = everything[0]
    titles = {"pinned": "Pinned by hand, beside today's", "best": "The best, beside today's"}
    for role, title in titles.items():
        own = [one for one in everything if one.role == role]
        for start in range(0, len(own), _OTHERS):
            yield title, [today, *own[start : start + _OTHERS]]
    if len(everything) == 1:
        yield "Today's arrangement", [today]


def _likeness(today: Shown, one: Beside) -> str:
    """Whether an arrangement is that of today, or its twin."""
    if one.role == "today":
        return ""
    if functions_of(one.item) == functions_of(today):
        return " (as today)"
    return " (twin of today's)" if one.item.rank and one.item.rank == today.rank else ""


def _with_changes(numbers: Sequence[float]) -> Iterator[Cell]:
    """The first number, then each other with its difference to the first."""
    places = decimals(list(numbers))
    step = 10.0**-places
    first = round(numbers[0], places)
    yield Cell(figure(numbers[0], places))
    for number in numbers[1:]:
        change = round(number, places) - first  # of what is shown, so that the eye can check it
        sign = "+" if change > 0.0 else ""
        text = "=" if abs(change) < 0.5 * step else sign + figure(change, places)
        yield Cell(figure(number, places))
        yield Cell(text)


def _whole_actions(names: Iterable[str]) -> list[str]:
    """Actions without those that are a reduced or frequent part of another one."""
    known = list(names)
    return [
        name
        for name in known
        if not (
            name.rpartition(" ")[2] in ("reduced", "frequent") and name.rpartition(" ")[0] in known
        )
    ]


def _words(head: str, told: Sequence[str]) -> tuple[Cell, ...]:
    cells = [Cell(plain(told[0]))]
    for text in told[1:]:
        cells += [Cell(plain(text)), Cell("")]
    return (Cell(""), Cell(head), *cells)


def _letter(number: int) -> str:
    """A, B, ... Z, AA, AB ..."""
    first, last = divmod(number, 26)
    return (_letter(first - 1) if first else "") + chr(ord("A") + last)


def _many(count: int) -> str:
    return "1 arrangement" if count == 1 else f"{count:,} arrangements"


def _and(parts: Sequence[str]) -> str:
    return ", ".join(parts[:-1]) + f" and {parts[-1]}" if len(parts) > 1 else parts[0]


def _under(head: str, sentences: Sequence[str]) -> Iterator[RenderableType]:
    if sentences:
        yield Text(f"\n{head}", style="bold")
        yield from (Padding(Text(sentence), (0, 0, 0, 2)) for sentence in sentences)
