"""The page of a stock as data: a row for every bridge, columns with units, bars of the charts.

Numbers are SI; a column says by what factor and with how many decimals they are shown. The browser
sorts, filters and counts; it knows nothing else.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace
from itertools import pairwise
from typing import Any, Final, Literal

from bedstone.output import stock_words as words
from bedstone.site.tolerances import Tolerances
from bedstone.stock.ranking import Change
from bedstone.workspace.folder import bridge_address, results_address
from bedstone.workspace.stock_read import Bridge, Standing
from bedstone.workspace.visible import visible

#: No concern at all: what is below it.
NOTHING: Final = 1e-9


@dataclass(frozen=True)
class Column:
    """A column of the table of bridges.

    - `factor`, `places`: from SI to what is shown
    - `holds`: number; text; or judged, words with a number that orders them
    - `worst`: whether the least or the largest asks for attention: sorted that way first
    - `calm`, `act`: thresholds of the ranking, where there are
    """

    key: str
    head: str
    about: str
    unit: str = ""
    factor: float = 1.0
    places: int = 0
    holds: Literal["number", "text", "judged"] = "number"
    worst: Literal["least", "largest"] = "least"
    calm: float | None = None
    act: float | None = None


@dataclass(frozen=True)
class Bar:
    """A bar of a chart: bridges with `low` <= value < `high` (SI), None without end."""

    low: float | None
    high: float | None
    label: str


@dataclass(frozen=True)
class Chart:
    """How many bridges have which value of a column; `bars` from left to right."""

    key: str
    title: str
    bars: tuple[Bar, ...]


def page_data(found: Standing) -> dict[str, Any]:
    """All that the page needs, as data for JSON; no number in it is without end or none."""
    columns = columns_of(found.thresholds)
    return {
        "columns": [asdict(column) for column in columns],
        "rows": rows_of(found),
        "charts": [asdict(chart) for chart in charts_of(found.thresholds)],
        "nothing": NOTHING,
    }


def columns_of(thresholds: Tolerances) -> tuple[Column, ...]:
    """The columns from left to right."""
    number = thresholds.number

    def limited(column: Column) -> Column:
        return replace(column, calm=number(f"{column.key}_calm"), act=number(f"{column.key}_act"))

    concern = Column(
        "concern",
        "concern",
        "0: nothing asks for attention; 1: something is to be done; 3 at most",
        places=2,
        worst="largest",
        calm=NOTHING,
        act=1.0,
    )
    travel = Column(
        "travel",
        "travel left",
        "least at the design extremes, of given bearings and stops",
        unit="mm",
        factor=1e3,
        places=1,
    )
    uplift = Column(
        "uplift",
        "uplift margin",
        "least compression as a part of the permanent one, of seats that are not held down",
        unit="%",
        factor=1e2,
    )
    use = Column(
        "utilisation", "utilisation", "largest of a given bearing", places=2, worst="largest"
    )
    harm = Column(
        "harm",
        "worst single fault",
        "harm of the worst: 1 where a place takes as much more as the most loaded one takes today",
        places=1,
        worst="largest",
    )
    return (
        Column("rank", "rank", "1: the one to look at first"),
        Column("bridge", "bridge", "file in this folder, and its name", holds="text"),
        concern,
        Column("reason", "first reason", "what puts it there", holds="text"),
        *(limited(column) for column in (travel, uplift, use, harm)),
        _judged("log", "logs", "judgement of the logs"),
        _judged("visit", "visit", "what the latest one found"),
        Column("state", "state", "whether it was worked out", holds="text"),
        Column("family", "family", "of standards", holds="text"),
        Column("kind", "kind", "superstructure and what it carries", holds="text"),
        Column("length", "length", "first to last support", unit="m", places=1, worst="largest"),
        _judged("change", "since the run before", "how its concern changed"),
    )


def _judged(key: str, head: str, about: str) -> Column:
    return Column(key, head, about, holds="judged", worst="largest")


def rows_of(found: Standing) -> list[dict[str, Any]]:
    """A row for every bridge of the stock: ranked ones first, then those without a rank."""
    ranked = {item.bridge: item for item in found.ranking}
    faults = {item.bridge: item for item in found.faulty}
    moved = {item.bridge: item for item in found.changes}
    since = dict.fromkeys(found.changed, "files changed since")
    since |= dict.fromkeys(found.otherwise, "other parts or family")
    notes: dict[str, list[str]] = {}
    for bridge, part, text in found.notes:
        notes.setdefault(bridge, []).append(visible(f"{part}: {text}"))
    members = frozenset(found.stock.members)
    order = [item.bridge for item in found.ranking]
    rows = []
    for path in (*order, *(path for path in found.paths if path not in ranked)):
        own, held = ranked.get(path), found.bridges.get(path)
        state = own.state if own is not None else faults[path].state if path in faults else _UNDONE
        reasons = [
            {"kind": item.kind, "concern": item.concern, "text": words.reason(item)}
            for item in (own.reasons if own is not None else ())
        ]
        told = faults[path].faults if path in faults else ()
        rows.append(
            {
                "bridge": visible(path),
                "open": bridge_address(path) if path in members else "",
                "results": results_address(path) if held is not None else "",
                "name": visible(str(_text(held, "name") or "")),
                "rank": None if own is None else own.rank,
                "state": state,
                "not_now": since.get(path, ""),
                "made_up": path in found.made_up,
                "concern": None if own is None else own.concern,
                "reasons": reasons,
                "reason": _reason(state, reasons, told),
                "faults": [visible(line) for line in told],
                "notes": notes.get(path, []),
                **_measures(held),
                "change": _change(moved.get(path)),
                "since": words.change(moved[path]) if path in moved else "",
            }
        )
    return rows


_UNDONE: Final = "not worked out"


def _reason(state: str, reasons: list[dict[str, Any]], faults: tuple[str, ...]) -> str:
    if reasons:
        return str(reasons[0]["text"])
    if faults:
        return visible(faults[0])
    return "" if state == _UNDONE else "nothing asks for attention"


def _measures(held: Bridge | None) -> dict[str, Any]:
    if held is None:
        return dict.fromkeys(
            ("travel", "uplift", "utilisation", "harm", "log", "visit", "length"), None
        ) | {"family": "", "kind": ""}
    kinds = [str(held.head[key]) for key in ("superstructure", "use") if held.head[key]]
    return {
        "travel": _finite(held.travel_left),
        "uplift": _finite(held.uplift_margin),
        # what has no end is told as such: JSON has no word for it
        "utilisation": "no end" if held.no_end else _finite(held.utilisation),
        "harm": _finite(held.harm),
        "log": held.log,
        "visit": held.visit,
        "family": held.head["standard"] or "",
        "kind": ", ".join(kinds),
        "length": _finite(held.head["length_m"]),
    }


def _text(held: Bridge | None, column: str) -> Any:
    return None if held is None else held.head[column]


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value


def _change(told: Change | None) -> tuple[float, str] | None:
    """How much more concern than in the run before, and in words."""
    if told is None or told.rank is None:
        return None
    if told.rank_before is None:
        return (told.concern or 0.0, "new")
    more = (told.concern or 0.0) - (told.concern_before or 0.0)
    if abs(more) < 5e-3:
        return (more, "files changed" if told.cause.startswith("its files") else "as before")
    return (more, f"{'more' if more > 0.0 else 'less'} by {abs(more):.2f}")


# ------------------------------------------------------------------ charts
def charts_of(thresholds: Tolerances) -> tuple[Chart, ...]:
    """The charts: the thresholds of the ranking stand between two bars."""
    number = thresholds.number
    return (
        Chart("concern", "Concern", _concerns(number("most"))),
        Chart(
            "travel",
            "Travel left at the extremes [mm]",
            _even(number("travel_act"), number("travel_calm"), -2, 6, 1e3, 0),
        ),
        Chart(
            "uplift",
            "Uplift margin [% of permanent N]",
            _even(number("uplift_act"), number("uplift_calm"), -2, 6, 1e2, 0),
        ),
        Chart(
            "utilisation",
            "Utilisation of given bearings",
            _even(number("utilisation_calm"), number("utilisation_act"), -5, 4, 1.0, 2),
        ),
    )


def _concerns(most: float) -> tuple[Bar, ...]:
    """Nothing apart from something; then quarters."""
    edges = [0.25 * step for step in range(1, max(round(most / 0.25), 5))]
    return _bars((NOTHING, *edges), 1.0, 2, first="0")


def _even(low: float, high: float, before: int, after: int, factor: float, places: int) -> Any:
    """Bars as wide as the two thresholds stand apart, from `before` to `after` of them."""
    step = abs(high - low) or max(abs(low), 1.0) / 4.0
    start = min(low, high)
    edges = [round(start + step * number, 12) for number in range(before, after + 1)]
    return _bars(tuple(edges), factor, places)


def _bars(edges: tuple[float, ...], factor: float, places: int, first: str = "") -> tuple[Bar, ...]:
    """Bars between edges, and one without end on each side."""

    def text(value: float) -> str:
        return f"{value * factor:.{places}f}".replace("-", "−")

    inner = [Bar(low, high, f"{text(low)} to {text(high)}") for low, high in pairwise(edges)]
    return (
        Bar(None, edges[0], first or f"below {text(edges[0])}"),
        *inner,
        Bar(edges[-1], None, f"{text(edges[-1])} or more"),
    )
