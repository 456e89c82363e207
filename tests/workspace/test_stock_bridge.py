"""Tables of one bridge from the rows of the store: units and signs."""

import math
from typing import Any

from bedstone.stock.tables import TABLES
from bedstone.workspace.stock_bridge import _TABLES, sheets_of


def rows(table: str, **cells: Any) -> dict[str, list[dict[str, Any]]]:
    return {table: [dict.fromkeys(TABLES[table].columns) | cells]}


def told(table: str, **cells: Any) -> dict[str, tuple[str, str]]:
    """Head of a column -> unit and text of its cell."""
    ((_, sheet, _),) = sheets_of(rows(table, **cells))
    return {
        column.head: (column.unit, cell.text)
        for column, cell in zip(sheet.columns, sheet.rows[0], strict=True)
    }


def test_seats_leave_in_kn_mm_and_mrad():
    found = told(
        "seats", seat="A1-1", N_max_N=1_234_500.0, vx_min_m=-0.0256, rx_max_rad=0.00123,
        uplift_margin=-0.125, travel_left_m=0.0, hold_down_N=2500.0,
    )  # fmt: skip
    assert found == {
        "seat": ("", "A1-1"),
        "N max": ("kN", "1234.5"),
        "vx min": ("mm", "−25.6"),
        "rx max": ("mrad", "1.23"),
        "uplift margin": ("%", "−12"),
        "travel left": ("mm", "0"),
        "to be held down": ("kN", "2.5"),
    }


def test_supports_leave_in_metres_and_degrees():
    found = told("supports", support="P1", chainage_m=32.5, skew_rad=math.radians(15.0))
    assert found["chainage"] == ("m", "32.50")
    assert found["skew"] == ("deg", "15.0")


def test_a_single_fault_says_the_unit_of_its_effect():
    found = told(
        "single_faults", fault="A1-1 seized", outcome="harm", effect="My", before=1e3, after=-2.5e6,
        Fx_after_N=4.2e4, harm=2.25,
    )  # fmt: skip
    assert found["intact"] == ("", "1.0 kN m")
    assert found["then"] == ("", "−2500.0 kN m")
    assert found["Fx then"] == ("kN", "42.0")
    assert found["harm"] == ("", "2.25")
    assert told("single_faults", fault="x", effect="vx", before=0.01)["intact"] == ("", "10.0 mm")


def test_logs_and_visits_leave_in_mm_a_year_and_degrees():
    found = told(
        "monitored", seat="A1-1", drift_m_per_year=-0.00235, last_utc="2026-05-01T06:30:00+00:00"
    )
    assert found["drift"] == ("mm/a", "−2.35")
    assert found["last (UTC)"] == ("", "2026-05-01 06:30")
    assert told("inspections", seat="A1-1", temperature_degC=-3.25)["steel"] == ("degC", "−3.2")


def test_what_is_not_known_of_any_is_left_out_and_of_one_a_dash():
    many = rows("seats", seat="A1-1", travel_left_m=0.01)
    many["seats"].append(dict.fromkeys(TABLES["seats"].columns) | {"seat": "A1-2"})
    ((_, sheet, _),) = sheets_of(many)
    assert [column.head for column in sheet.columns] == ["seat", "travel left"]
    assert [[cell.text for cell in line] for line in sheet.rows] == [
        ["A1-1", "10.0"],
        ["A1-2", "–"],
    ]


def test_every_column_that_is_told_is_one_of_the_store():
    for table in _TABLES:
        assert set(table.columns) <= set(TABLES[table.table].columns)
