"""What the store of a stock says now, and how far it still fits the files. Nothing is worked out.

Ranking, faults and changes are made as the run makes them, from the parts that are whole.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import duckdb

from bedstone.cautions import MADE_UP
from bedstone.errors import BedstoneError
from bedstone.site.tolerances import Tolerances
from bedstone.stock.members import Stock
from bedstone.stock.places import Place
from bedstone.stock.ranking import Change, Ranked, changes, rank, recorded
from bedstone.stock.run import Faulty, faults_of, notes_of
from bedstone.stock.store import Kept, Store, folder_of
from bedstone.stock.tables import TABLES
from bedstone.stock.task import Options, program

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Bridge:
    """What the store holds of a bridge besides its ranking; SI, None where it is not known.

    - `head`: its row of the table ``bridges``
    - `travel_left` (m), `uplift_margin`, `utilisation`, `harm`: the worst of its seats, bearings
      and single faults, as the ranking takes them; `no_end`: a given bearing that does not hold
      however small the load
    - `log`, `visit`: what the logs and the latest visits say, in words, with the concern of it
    """

    head: Row
    travel_left: float | None
    uplift_margin: float | None
    utilisation: float | None
    no_end: bool
    harm: float | None
    log: tuple[float, str] | None
    visit: tuple[float, str] | None


@dataclass(frozen=True)
class Standing:
    """A stock as its store has it, against the files as they are.

    - `number`: of the last whole run; 0 where there was none. `compared_with`: the run before
    - `bridges`: by path, of members whose part is whole
    - `options`: what the latest run asks, also one that is under way or was interrupted
    - `changed`: members whose files are not those worked out; `otherwise`: members worked out with
      other options; `missing`: members without a whole part; `older`: parts that another state of
      the program made; `gone`: parts of bridges that are no longer in the folder
    - `made_up`: members that say so of themselves
    - `looked`: when, s since 1970
    """

    stock: Stock
    store: str
    options: Options
    thresholds: Tolerances
    number: int
    compared_with: int
    bridges: Mapping[str, Bridge]
    ranking: tuple[Ranked, ...]
    faulty: tuple[Faulty, ...]
    notes: tuple[tuple[str, str, str], ...]
    changes: tuple[Change, ...]
    changed: tuple[str, ...]
    otherwise: tuple[str, ...]
    missing: tuple[str, ...]
    older: int
    gone: int
    made_up: frozenset[str]
    looked: float

    @property
    def paths(self) -> tuple[str, ...]:
        """All bridges of the stock, refused ones too."""
        return (*self.stock.members, *(path for path, _ in self.stock.refused))

    @property
    def up_to_date(self) -> bool:
        """Whether a run would find nothing to do."""
        return not (self.changed or self.otherwise or self.missing or self.older or self.gone)


def standing(stock: Stock, place: Place, thresholds: Tolerances) -> Standing:
    """What the store says of a stock.

    Raises `InputError` for a store that cannot be read, `BedstoneError` when it was written to in
    the meantime.
    """
    store = Store(place)
    number, last = store.last_run()
    options = Options.of_text(store.asked() or (last or {}).get("options", ""))
    kept: list[Kept] = []
    changed, otherwise, missing, older, made_up = [], [], [], 0, set()
    for task in stock.tasks(options):
        part, _ = store.kept(task.path)
        if task.files and MADE_UP.encode() in task.files[0][1]:
            made_up.add(task.path)
        if part is None or not store.whole(part):
            missing.append(task.path)
            continue
        kept.append(part)
        if part.options not in ("", options.text()):
            otherwise.append(task.path)
        elif part.inputs != task.inputs():
            changed.append(task.path)
        elif part.program != program():
            older += 1
    paths = [*stock.members, *(path for path, _ in stock.refused)]
    gone = {folder_of(path).partition("/")[2] for path in paths}
    with _view(store, kept) as view:
        ranking = rank(view, thresholds)
        faulty, notes = faults_of(view), notes_of(view)
        bridges = _bridges(view, ranking)
    inputs = {part.path: (part.inputs, part.program) for part in kept}
    now = recorded(ranking, inputs, thresholds)
    # what the last run recorded is compared with the one before it; anything else with the last
    compared, before = number, last
    if last is not None and last["bridges"] == now["bridges"]:
        compared, before = store.last_run(before=number)
    return Standing(
        stock=stock,
        store=place.name,
        options=options,
        thresholds=thresholds,
        number=number,
        compared_with=compared,
        bridges=bridges,
        ranking=ranking,
        faulty=faulty,
        notes=notes,
        changes=changes(ranking, before, inputs, thresholds),
        changed=tuple(changed),
        otherwise=tuple(otherwise),
        missing=tuple(missing),
        older=older,
        gone=len([name for name in place.folders("bridges") if name not in gone]),
        made_up=frozenset(made_up),
        looked=time.time(),
    )


def tables_of(place: Place, path: str) -> dict[str, list[Row]]:
    """The rows of one bridge by table, in the order they were made; empty where there are none.

    Raises what `standing` raises.
    """
    store = Store(place)
    part, _ = store.kept(path)
    if part is None or not store.whole(part):
        return {}
    with _view(store, [part]) as view:
        return {name: _rows(view, f'SELECT * FROM "{name}"') for name in TABLES}


@contextmanager
def _view(store: Store, kept: list[Kept]) -> Iterator[duckdb.DuckDBPyConnection]:
    """The tables of these parts; a store that is written to in the meantime is told in words."""
    try:
        with store.view(kept) as view:
            yield view
    except (duckdb.Error, OSError) as error:
        raise BedstoneError(
            f"{store.place.name}: changed while it was read ({type(error).__name__}); look again"
        ) from error


def _rows(view: duckdb.DuckDBPyConnection, query: str) -> list[Row]:
    found = view.execute(query)
    names = [column[0] for column in found.description or ()]
    return [dict(zip(names, cells, strict=True)) for cells in found.fetchall()]


#: The worst of every measure by bridge: what the ranking looks at.
_WORST = {
    "seats": """
        SELECT bridge, min(travel_left_m) AS travel_left,
            min(uplift_margin) FILTER (held_down IS NOT TRUE) AS uplift_margin
        FROM seats GROUP BY bridge
    """,
    "bearings": """
        SELECT bridge, max(utilisation) AS utilisation,
            bool_or(utilisation IS NULL AND verdict = 'does not pass') AS no_end
        FROM bearings WHERE origin = 'given' GROUP BY bridge
    """,
    "single_faults": """
        SELECT bridge, max(harm) AS harm FROM single_faults WHERE outcome = 'harm' GROUP BY bridge
    """,
    "monitored": """
        SELECT bridge, arg_min(judgement, seat) AS judgement FROM monitored GROUP BY bridge
    """,
    "inspections": """
        SELECT bridge, max(state) AS state, count(*) AS seats FROM inspections GROUP BY bridge
    """,
}


def _bridges(view: duckdb.DuckDBPyConnection, ranking: tuple[Ranked, ...]) -> dict[str, Bridge]:
    heads = {row["bridge"]: row for row in _rows(view, "SELECT * FROM bridges")}
    worst = {
        name: {row["bridge"]: row for row in _rows(view, query)} for name, query in _WORST.items()
    }
    reasons = {
        (item.bridge, reason.kind): reason for item in ranking for reason in reversed(item.reasons)
    }
    none: Row = {}

    def of(path: str, head: Row) -> Bridge:
        seats = worst["seats"].get(path, none)
        bearings = worst["bearings"].get(path, none)
        log = visit = None
        if path in worst["monitored"]:
            told = reasons.get((path, "log"))
            word = told.what if told is not None else worst["monitored"][path]["judgement"]
            log = (told.concern if told is not None else 0.0, word)
        if path in worst["inspections"]:
            told = reasons.get((path, "visit"))
            state = worst["inspections"][path]["state"]
            word = told.what.partition(" (likely")[0] if told is not None else f"state {state}"
            visit = (told.concern if told is not None else 0.0, word)
        return Bridge(
            head=head,
            travel_left=seats.get("travel_left"),
            uplift_margin=seats.get("uplift_margin"),
            utilisation=bearings.get("utilisation"),
            no_end=bool(bearings.get("no_end")),
            harm=worst["single_faults"].get(path, none).get("harm"),
            log=log,
            visit=visit,
        )

    return {path: of(path, head) for path, head in heads.items()}
