"""Every cell of the table of a stock against the Parquet files of its store.

The files are read by DuckDB alone, with queries written from docs/stock.md (tables, columns, units,
order of the ranking and its thresholds); no code of the page, the store or the ranking is used.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import duckdb
import pytest
from browsing import serving
from seeing import expect, stock_opened, watched
from stocks import by_rule, files, kept, row

COUNT = 12
MOVES, FAULTY, HARMED, READ, ENDLESS, HELD, NEW = (
    f"line-{number % 7}/bridge-{number:04d}.toml" for number in (0, 1, 2, 3, 4, 5, 6)
)

#: Concern of every measure: 0 at calm, 1 at act, straight between and beyond (docs/stock.md).
_CONCERNS = """
WITH measured AS (
  SELECT bridge, 'travel' AS kind, seat AS place, (0.025 - travel_left_m) / 0.025 AS raw
  FROM {seats} WHERE travel_left_m IS NOT NULL
  UNION ALL
  SELECT bridge, 'uplift', seat, (0.15 - uplift_margin) / 0.15
  FROM {seats} WHERE uplift_margin IS NOT NULL AND held_down IS NOT TRUE
  UNION ALL
  SELECT bridge, 'utilisation', seat, coalesce((utilisation - 0.9) / 0.1, 'inf'::DOUBLE)
  FROM {bearings} WHERE origin = 'given' AND (utilisation > 0 OR verdict = 'does not pass')
  UNION ALL
  SELECT bridge, 'single fault', fault, (harm - 1) / (5 - 1)
  FROM {single_faults} WHERE outcome = 'harm'
  UNION ALL
  SELECT bridge, 'log', seat, CASE judgement WHEN 'frozen' THEN 2 WHEN 'restricted' THEN 1 END
  FROM {monitored} WHERE action
  UNION ALL
  SELECT bridge, 'visit', seat, CASE state WHEN 4 THEN 1.5 WHEN 3 THEN 0.5 ELSE 0 END
  FROM {inspections}
  UNION ALL
  SELECT bridge, 'unstable', '', 3 FROM {remarks} WHERE what = 'unstable'
), worst AS (
  SELECT bridge, kind, max(raw) AS raw, arg_max(place, raw) AS place FROM measured
  WHERE raw > 0 GROUP BY bridge, kind, CASE WHEN kind IN ('log', 'visit') THEN place END
), told AS (
  SELECT bridge, max(least(raw, 3)) AS concern, sum(least(raw, 3)) AS together, max(raw) AS beyond,
    count(*) AS reasons, arg_max(place, (least(raw, 3), -ascii(kind))) AS place
  FROM worst GROUP BY bridge
)
SELECT b.bridge, coalesce(concern, 0) AS concern, coalesce(reasons, 0) AS reasons, place,
  CASE WHEN b.state IN ('done', 'unstable') THEN row_number() OVER (
    ORDER BY b.state NOT IN ('done', 'unstable'), b.state != 'unstable', coalesce(concern, 0) DESC,
      coalesce(together, 0) DESC, coalesce(beyond, 0) DESC, b.bridge)
  END AS rank
FROM {bridges} b LEFT JOIN told USING (bridge) ORDER BY b.bridge
"""
#: Everything else as the columns of the page say it, in their units.
_CELLS = """
SELECT b.bridge, b.name, b.state, b.standard AS family, b.length_m,
  concat_ws(', ', b.superstructure, b.use) AS kind,
  (SELECT min(travel_left_m) * 1000 FROM {seats} s WHERE s.bridge = b.bridge) AS travel_mm,
  (SELECT min(uplift_margin) * 100 FROM {seats} s
    WHERE s.bridge = b.bridge AND held_down IS NOT TRUE) AS uplift_percent,
  (SELECT max(utilisation) FROM {bearings} g
    WHERE g.bridge = b.bridge AND origin = 'given') AS utilisation,
  (SELECT count(*) > 0 FROM {bearings} g WHERE g.bridge = b.bridge AND origin = 'given'
    AND utilisation IS NULL AND verdict = 'does not pass') AS endless,
  (SELECT max(harm) FROM {single_faults} f
    WHERE f.bridge = b.bridge AND outcome = 'harm') AS harm,
  (SELECT arg_max(judgement, judgement = 'frozen') FROM {monitored} m
    WHERE m.bridge = b.bridge) AS log,
  (SELECT max(state) FROM {inspections} i WHERE i.bridge = b.bridge) AS visit
FROM {bridges} b ORDER BY b.bridge
"""
_TABLES = ["bridges", "seats", "bearings", "single_faults", "monitored", "inspections", "remarks"]


def asked(store: Path, query: str) -> dict[str, dict[str, Any]]:
    """Rows of a query of the files of a store, by bridge."""
    own = {name: f"read_parquet('{store}/bridges/*/{name}.parquet')" for name in _TABLES}
    found = duckdb.sql(query.format(**own))
    return {cells[0]: dict(zip(found.columns, cells, strict=True)) for cells in found.fetchall()}


def number(value: float | None, places: int) -> str:
    """A number as people write it; – where it is not known."""
    if value is None:
        return "–"
    text = f"{value:.{places}f}".replace("-", "−")
    return text if text.strip("−0.") else "0"


def rows(worse: bool) -> dict[str, list]:
    """Bridges that differ from the rule of `stocks`."""

    def done(path: str, **more: Any) -> tuple:
        return row("bridges", path, state="done", name=path[-9:-5], **more)

    told = {
        MOVES: [
            row("bridges", MOVES, state="unstable", name="loose", standard="irc",
                superstructure="girders", use="road", length_m=30.04),
            row("remarks", MOVES, number=1, part="schedule", what="unstable", text="slides along"),
        ],
        FAULTY: [
            row("bridges", FAULTY, state="faulty"),
            row("remarks", FAULTY, number=1, part="file", what="fault", text="no span"),
        ],
        HARMED: [
            done(HARMED, standard="aashto", superstructure="truss", use="rail", length_m=64.0),
            row("single_faults", HARMED, fault="A1-1 seized", outcome="harm", harm=7.3, rank=1,
                effect="Fx", worst_place="A1", unit="N", before=1e5, after=8.3e5),
            row("single_faults", HARMED, fault="A2-1 seized", outcome="harm", harm=3.1, rank=2,
                effect="Fx", worst_place="A2", unit="N", before=1e5, after=4.1e5),
            row("single_faults", HARMED, fault="A2-1 worn", outcome="refused"),
            *(
                row("bearings", HARMED, seat=seat, origin="given", verdict="passes", kind="pot",
                    check_title="compression", utilisation=use)
                for seat, use in (("A1-1", 0.31), ("A2-1", 0.94), ("A2-2", 0.52))
            ),
        ],
        READ: [
            done(READ),
            row("monitored", READ, seat="A1-1", judgement="restricted", findings="restricted",
                action=True, mobility=0.4),
            row("monitored", READ, seat="A2-1", judgement="frozen", findings="frozen",
                action=True, mobility=0.02),
            row("inspections", READ, seat="A1-1", state=3, out=0),
            row("inspections", READ, seat="A2-1", state=1, out=0),
        ],
        ENDLESS: [
            done(ENDLESS),
            row("bearings", ENDLESS, seat="A1-1", origin="given", verdict="does not pass",
                kind="pot", check_title="lift"),
            row("bearings", ENDLESS, seat="A1-2", origin="given", verdict="passes", kind="pot",
                check_title="lift", utilisation=0.4),
        ],
        HELD: [
            done(HELD),
            row("seats", HELD, seat="A1-1", held_down=True, uplift_margin=-0.7,
                travel_left_m=0.031),
            row("seats", HELD, seat="A1-2", held_down=False, uplift_margin=0.06,
                travel_left_m=0.0043),
            row("bearings", HELD, seat="A1-1", origin="designed", verdict="passes", kind="pot",
                utilisation=0.99),
        ],
    }  # fmt: skip
    if worse:
        told[NEW] = [
            (table, {**cells, "travel_left_m": -0.049} if table == "seats" else cells)
            for table, cells in by_rule(NEW)
        ]
    return told


@pytest.fixture
def place(tmp_path: Path) -> Path:
    files(tmp_path / "bridges", COUNT)
    return tmp_path


#: Heads and cells of the table as they are read, by column.
_READ = """() => {
  const heads = [...document.querySelectorAll("#stock-head [data-head]")]
    .map(head => head.dataset.head);
  return [...document.querySelectorAll("#stock-body tr[aria-rowindex]")].map(row =>
    Object.fromEntries(heads.map((key, at) => [key, row.children[at].innerText.trim()])));
}"""


def test_every_cell_is_what_the_files_of_the_store_say(place: Path, browser: Any):
    folder, store = place / "bridges", place / "store"
    kept(folder, store, rows(worse=False))
    before = asked(store, _CONCERNS)
    (folder / NEW).write_text('[bridge]\nname = "another"\n')
    kept(folder, store, rows(worse=True))
    now, cells = asked(store, _CONCERNS), asked(store, _CELLS)
    assert len(cells) == COUNT
    with (
        serving(folder, place / "cache", "--out", str(store)) as server,
        watched(browser, server) as page,
    ):
        stock_opened(page, server.address)
        expect(page.locator("#stock-body tr[aria-rowindex]")).to_have_count(COUNT)
        shown = {told["bridge"].split("\n")[0]: told for told in page.evaluate(_READ)}
    assert set(shown) == set(cells)
    ranked = [path for path in shown if shown[path]["rank"] != "–"]
    assert ranked == sorted(ranked, key=lambda path: now[path]["rank"])
    for path, told in shown.items():
        own, known = cells[path], now[path]["rank"] is not None
        concern = now[path]["concern"]
        more = concern - before[path]["concern"]
        endless = own["endless"]
        assert told["bridge"].split("\n")[1:] == [own["name"]] * bool(own["name"])
        expected = {
            "rank": "–" if not known else str(now[path]["rank"]),
            "concern": number(concern if known else None, 2),
            "travel": number(own["travel_mm"], 1),
            "uplift": number(own["uplift_percent"], 0),
            "utilisation": "no end" if endless else number(own["utilisation"], 2),
            "harm": number(own["harm"], 1),
            "log": own["log"] or "–",
            "visit": f"state {own['visit']} proposed" if own["visit"] else "–",
            "state": own["state"],
            "family": own["family"] or "–",
            "kind": own["kind"] or "–",
            "length": number(own["length_m"], 1),
            "change": "–"
            if path != NEW
            else f"{'more' if more > 0 else 'less'} by {abs(more):.2f}",
        }
        assert {key: told[key] for key in expected} == expected, path
        reasons = now[path]["reasons"]
        if not known:
            assert told["reason"] == "no span"
        elif not reasons:
            assert told["reason"] == "nothing asks for attention"
        else:
            assert now[path]["place"] in told["reason"]
            assert (f"(and {reasons - 1} more)" in told["reason"]) == (reasons > 1)
    # nothing of the table was left out of this
    assert set(shown[NEW]) == {*expected, "bridge", "reason"}
    # and what is not known of some is known of others: no column is all alike by chance
    for key in expected:
        assert len({told[key] for told in shown.values()}) > 1, key
