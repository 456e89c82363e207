"""Writing arrangements into a bridge file, and looking at any of a comparison by itself."""

import pickle
from pathlib import Path

import numpy as np
import pytest

from bedstone.articulation.arrangement import arrange
from bedstone.bridge.reader import read_text_of_bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.compare import Comparison, references
from bedstone.comparison.generate import generate
from bedstone.comparison.pinned import fixed_points, pinned_arrangements
from bedstone.comparison.screen import Screen
from bedstone.errors import InputError
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import rewriting
from bedstone.workspace.pages.answers import compared, with_prepared
from bedstone.workspace.pages.arrangements import figure_of, of_index, of_shown

#: The survey of all rounds periods to a thousandth before it asks for the earthquake.
ROUNDED = 2e-3
EXAMPLES = Path(__file__).parents[2] / "examples"


def silent(done: int, total: int, text: str) -> None:
    """Progress that nobody looks at."""


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk.open(EXAMPLES / "truss.toml")


@pytest.fixture(scope="module")
def found(desk: Desk) -> Comparison:
    made = compared(desk.text, desk.name, desk.folder, desk.family, progress=silent)
    # as it comes from a worker
    return with_prepared(pickle.loads(pickle.dumps(made)), desk.prepared)


@pytest.mark.parametrize("example", ["truss", "girders", "curved"])
def test_any_arrangement_can_be_written_into_the_file_and_says_the_same(example: str):
    own = Desk.open(EXAMPLES / f"{example}.toml")
    tried = generate(own.prepared)
    comments = sum("#" in line for line in own.text.splitlines())
    for index in np.linspace(0, len(tried) - 1, 4).astype(int):
        wanted, point = tried.functions(int(index)), tried.point(int(index))
        given = (own.text, own.name, own.folder, own.prepared.tables, wanted, point)
        text = rewriting.stand_on(*given, "tried")
        bridge = read_text_of_bridge(text, own.name, own.folder)
        assert arrangement_functions(bridge, own.prepared.tables) == wanted
        assert bridge.arrangement.fixed_point == point
        assert bridge.arrangement.name == "tried"
        # only comments of fields that went may go with them
        assert sum("#" in line for line in text.splitlines()) >= comments - 2
        pinned = rewriting.pin(*given, "by hand")
        assert pinned.startswith(own.text.rstrip())
        changed = read_text_of_bridge(pinned, own.name, own.folder)
        assert pinned_arrangements(changed, own.prepared.tables)["by hand"] == wanted
        assert fixed_points(changed)["by hand"] == point
        assert changed.arrangement == own.bridge.arrangement


def test_a_name_that_is_taken_or_empty_is_refused(desk: Desk):
    given = (desk.text, desk.name, desk.folder, desk.prepared.tables, desk.functions, None)
    for title in ("", "  ", "x" * 61, desk.bridge.arrangement.name):
        with pytest.raises(InputError, match=r"compare\.pinned name"):
            rewriting.pin(*given, title)


def test_the_arrangement_of_the_file_itself_changes_no_text(desk: Desk):
    point, title = desk.bridge.arrangement.fixed_point, desk.bridge.arrangement.name
    given = (desk.text, desk.name, desk.folder, desk.prepared.tables, desk.functions, point)
    assert rewriting.stand_on(*given, title) == desk.text


def test_an_arrangement_by_itself_has_the_numbers_of_its_own_envelope(desk: Desk, found):
    # the screen looks at each one alone: another way than the survey of all
    screen = Screen(desk.prepared, desk.family, references(desk.prepared))
    structure = desk.prepared.structure
    for place in (int(found.order[0]), int(found.order[-1])):
        picked = of_index(found, place)
        arranged = arrange(structure, list(desk.bridge.support), picked.functions, picked.point)
        look = screen.look(arranged=arranged)
        for mark in structure.supports:
            for effect in ("Fx", "Fy", "My"):
                alone = look.extreme(mark, effect, "abs")
                assert picked.supports[mark][effect] == pytest.approx(alone, rel=ROUNDED, abs=1.0)
            assert picked.supports[mark]["V min"] == pytest.approx(
                look.extreme(mark, "V", "min"), rel=ROUNDED, abs=1.0
            )


def test_the_best_shown_in_full_and_by_its_place_is_one(found: Comparison):
    best, place = found.best[0], int(found.order[0])
    one, other = of_shown(best, "1"), of_index(found, place)
    assert (one.name, one.rank, one.functions) == (other.name, other.rank, other.functions)
    for name, value in one.measures.items():
        assert other.measures[name] == pytest.approx(value, rel=ROUNDED, abs=1.0)


def test_every_arrangement_that_stands_is_a_point_once(found: Comparison):
    made = figure_of(found, "movement", "abutment force", None)
    marks = [trace["marker"]["symbol"] for trace in made["data"]]
    assert len(set(marks)) == len(marks), "no two kinds are told apart by colour alone"
    indices = [
        int(word) for trace in made["data"] for word in trace["customdata"] if word.isdigit()
    ]
    assert sorted(indices) == [int(i) for i in np.flatnonzero(found.stands)]
    pareto = next(trace for trace in made["data"] if trace["name"].startswith("Pareto"))
    assert {int(word) for word in pareto["customdata"]} == {int(i) for i in found.pareto}
    for trace in made["data"]:
        for word, x, y in zip(trace["customdata"], trace["x"], trace["y"], strict=True):
            if word.isdigit():
                # shown in mm and kN
                assert x == pytest.approx(found.measures["movement"][int(word)] * 1e3, abs=1e-2)
                force = found.measures["abutment force"][int(word)] / 1e3
                assert y == pytest.approx(force, rel=1e-4, abs=1e-2)
    today = next(trace for trace in made["data"] if trace["name"] == "today")
    assert today["y"] == [found.today.measures["abutment force"] / 1e3]
