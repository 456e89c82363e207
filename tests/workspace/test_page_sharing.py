"""Bars of the sharing and tables of the faults against the numbers that they show."""

from pathlib import Path

import pytest

from bedstone.comparison.faults import WhatIf
from bedstone.comparison.sharing import Sharing
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages.answers import shared, tried
from bedstone.workspace.pages.sharing import figure_of
from bedstone.workspace.pages.what_if import detail_of, extreme

EXAMPLES = Path(__file__).parents[2] / "examples"


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk.open(EXAMPLES / "truss.toml")


@pytest.fixture(scope="module")
def found(desk: Desk) -> Sharing:
    return shared(desk.text, desk.name, desk.folder, desk.family, progress=silent)[0]


@pytest.mark.parametrize("way", ["along", "across"])
def test_bars_reach_from_the_least_to_the_largest(found: Sharing, way: str):
    made = figure_of(found, way)
    patterns = [bar["marker"]["pattern"]["shape"] for bar in made["data"]]
    assert len(set(patterns)) == len(patterns), "no two ways are told apart by colour alone"
    path = next(bar for bar in made["data"] if bar["name"].startswith("path"))
    for place, high, spread in zip(
        path["x"], path["y"], path["error_y"]["arrayminus"], strict=True
    ):
        own = found.row(place, way).path
        assert own is not None
        assert (high, high - spread) == pytest.approx((own.high / 1e3, own.low / 1e3))


def test_a_fault_is_told_for_every_support_and_bearing(desk: Desk):
    what: WhatIf = tried(desk.text, desk.name, desk.folder, desk.family, progress=silent)
    html = detail_of(what, 0)
    assert what.results[0].fault.name in html
    for mark in (*what.look.layout.supports, *what.look.layout.seats):
        assert f">{mark}</th>" in html
    worst = what.results[0].worst
    if worst.effect in ("Fx", "Fy", "V", "N", "Hx", "Hy"):
        value = extreme(
            what,
            what.results[0],
            worst.place,
            worst.effect,
            "max" if worst.sense == "max" else "min",
        )
        assert value == pytest.approx(worst.after / 1e3, abs=1e-3)
