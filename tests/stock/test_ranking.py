"""The ranking: every measure pushes the right way, and the reasons are the worst of their kind.

The thresholds are judgements of the program's own; what is tested is how they are used.
"""

from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.errors import InputError
from bedstone.site.tolerances import Tolerances
from bedstone.stock.places import Folder
from bedstone.stock.ranking import Ranked, Reason, changes, rank, recorded, thresholds_of
from bedstone.stock.ranking import _concern as concern
from bedstone.stock.store import Store
from bedstone.stock.tables import gathered
from bedstone.stock.task import Answer, Options, Task, program

USUAL = thresholds_of()
Cells = Mapping[str, object]


def ranked(
    folder: Path, bridges: Mapping[str, Mapping[str, list[Cells]]], thresholds: Tolerances = USUAL
) -> tuple[Ranked, ...]:
    """The ranking of bridges given by their rows; state done unless told."""
    folder.mkdir(exist_ok=True)
    store = Store(Folder(folder))
    parts = []
    for name, tables in bridges.items():
        rows = {"bridges": gathered("bridges", [{"bridge": name, "state": "done"}])}
        rows |= {
            table: gathered(table, [{"bridge": name, **cells} for cells in found])  # type: ignore[dict-item]
            for table, found in tables.items()
        }
        task = Task(name, ((name, b""),), Options())
        parts.append(store.keep(task, Answer(rows, "", program())))
    with store.view(parts) as view:
        return rank(view, thresholds)


def harm(value: float, rank: int = 1) -> Cells:
    return {
        "outcome": "harm", "fault": f"seized {rank}", "rank": rank, "harm": value,
        "worst_place": "A2", "effect": "Fx", "unit": "N", "before": 1e5, "after": 2e6,
    }  # fmt: skip


def test_the_worst_stand_first_and_equals_by_the_sum(tmp_path: Path) -> None:
    found = ranked(
        tmp_path,
        {
            "quiet.toml": {"seats": [{"seat": "A1-1", "uplift_margin": 0.6}]},
            "lifts.toml": {"seats": [{"seat": "A1-1", "uplift_margin": -0.3}]},
            "short.toml": {"seats": [{"seat": "A2-1", "travel_left_m": 0.0}]},
            "both.toml": {
                "seats": [
                    {"seat": "A2-1", "travel_left_m": 0.0},
                    {"seat": "A2-2", "travel_left_m": 0.01, "uplift_margin": 0.05},
                ]
            },
            "free.toml": {
                "bridges": [{"state": "unstable"}],
                "remarks": [
                    {"number": 1, "part": "schedule", "what": "unstable", "text": "turns freely"}
                ],
            },
        },
    )
    assert [item.bridge for item in found] == [
        "free.toml", "lifts.toml", "both.toml", "short.toml", "quiet.toml",
    ]  # fmt: skip
    assert [item.rank for item in found] == [1, 2, 3, 4, 5]
    assert found[-1].reasons == ()
    assert found[-1].concern == 0.0
    assert found[3].concern == pytest.approx(1.0)  # nothing left: act
    assert found[2].reasons[0].place == "A2-1"


def test_beyond_the_cap_the_larger_measure_stands_first(tmp_path: Path) -> None:
    margins = {"a.toml": -0.34, "b.toml": -1.2, "c.toml": -0.36}
    found = ranked(
        tmp_path,
        {
            name: {"seats": [{"seat": "A1-1", "uplift_margin": margin}]}
            for name, margin in margins.items()
        },
    )
    assert {item.concern for item in found} == {USUAL.number("most")}
    assert [item.bridge for item in found] == ["b.toml", "c.toml", "a.toml"]


def test_a_reason_is_the_worst_of_its_kind(tmp_path: Path) -> None:
    (found,) = ranked(
        tmp_path,
        {
            "a.toml": {
                "seats": [
                    {"seat": "A1-1", "travel_left_m": 0.012, "uplift_margin": 0.1},
                    {"seat": "A1-2", "travel_left_m": 0.004, "uplift_margin": 0.02},
                    {"seat": "A1-3"},
                ],
                "bearings": [
                    {"seat": "A1-1", "origin": "given", "kind": "pot", "utilisation": 0.95},
                    {"seat": "A1-2", "origin": "given", "kind": "pot", "utilisation": 1.2},
                    {"seat": "A1-3", "origin": "chosen", "kind": "pot", "utilisation": 1.0},
                ],
                "single_faults": [harm(3.0), harm(2.0, 2)],
            }
        },
    )
    told = {item.kind: item for item in found.reasons}
    assert told["travel"] == Reason("travel", pytest.approx(21.0 / 25.0), "A1-2", value=0.004)
    assert told["uplift"].value == 0.02
    assert (told["utilisation"].place, told["utilisation"].value) == ("A1-2", 1.2)
    assert told["single fault"].what == "seized 1"
    assert told["single fault"].concern == pytest.approx((3.0 - 1.0) / (5.0 - 1.0))
    assert [item.concern for item in found.reasons] == sorted(
        (item.concern for item in found.reasons), reverse=True
    )


def test_a_designed_bearing_at_its_limit_is_no_reason(tmp_path: Path) -> None:
    (found,) = ranked(
        tmp_path,
        {"a.toml": {"bearings": [{"seat": "A1-1", "origin": "in the file", "utilisation": 1.0}]}},
    )
    assert found.reasons == ()


def test_a_bearing_without_end_and_a_seat_without_bearing(tmp_path: Path) -> None:
    found = ranked(
        tmp_path,
        {
            "none.toml": {"bearings": [{"seat": "A1-1", "kind": "pot", "verdict": "none serves"}]},
            "endless.toml": {
                "bearings": [{"seat": "A1-1", "origin": "given", "verdict": "does not pass"}]
            },
        },
    )
    assert [(item.bridge, item.concern) for item in found] == [
        ("endless.toml", USUAL.number("most")),
        ("none.toml", USUAL.number("no_bearing")),
    ]


def test_a_bearing_that_is_held_down_does_not_lift(tmp_path: Path) -> None:
    (found,) = ranked(
        tmp_path,
        {"a.toml": {"seats": [{"seat": "A1-1", "uplift_margin": -0.4, "held_down": True}]}},
    )
    assert found.reasons == ()


def test_a_fault_that_frees_the_bridge_is_told_with_its_motion(tmp_path: Path) -> None:
    loose = {"outcome": "moves freely", "fault": "A1-1 carries nothing", "motion": "it turns"}
    (found,) = ranked(tmp_path, {"a.toml": {"single_faults": [loose]}})
    assert found.reasons[0].kind == "loose"
    assert "it turns" in found.reasons[0].what


def test_faulty_bridges_have_no_place(tmp_path: Path) -> None:
    assert ranked(tmp_path, {"a.toml": {"bridges": [{"state": "faulty"}]}}) == ()


@given(
    one=st.floats(-10.0, 10.0), two=st.floats(-10.0, 10.0),
    measure=st.sampled_from(["travel", "uplift", "utilisation", "harm"]),
)  # fmt: skip
def test_worse_is_never_less(one: float, two: float, measure: str) -> None:
    """The concern grows from calm to act, is 0 at calm, 1 at act and never above the most."""
    calm, act = USUAL.number(f"{measure}_calm"), USUAL.number(f"{measure}_act")
    assert concern(USUAL.number, measure, calm) == 0.0
    assert concern(USUAL.number, measure, act) == pytest.approx(1.0)
    low, high = sorted((one, two), key=lambda value: (value - calm) / (act - calm))
    found = concern(USUAL.number, measure, low), concern(USUAL.number, measure, high)
    assert 0.0 <= found[0] <= found[1] <= USUAL.number("most")
    assert concern(USUAL.number, measure, None) == USUAL.number("most")


def test_thresholds_of_an_engineer_take_the_place_of_ours(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(
        '[values.travel_calm]\nvalue = 0.1\nunit = "m"\nsource = "maintenance plan"\n',
        encoding="utf-8",
    )
    own = thresholds_of(file)
    bridge = {"a.toml": {"seats": [{"seat": "A1-1", "travel_left_m": 0.05}]}}
    assert ranked(tmp_path / "s", bridge)[0].concern == 0.0
    assert ranked(tmp_path / "s", bridge, own)[0].concern == pytest.approx(0.5)
    file.write_text('[values.colour]\nvalue = 1\nsource = "x"\n', encoding="utf-8")
    with pytest.raises(InputError, match="colour"):
        thresholds_of(file)


def test_every_threshold_says_where_it_comes_from() -> None:
    for name, value in USUAL.values.items():
        assert value.source, name
        assert value.basis == "memory"  # judgements: none was read in a standard


# ------------------------------------------------------------------ changes
def item(bridge: str, place: int, concern: float) -> Ranked:
    reasons = (Reason("travel", concern),) if concern else ()
    return Ranked(place, bridge, "", "done", reasons)


def test_what_changed_since_the_last_run_and_why() -> None:
    inputs = {name: (f"inputs {name}", "program") for name in "abcde"}
    before = recorded([item("a", 1, 2.0), item("b", 2, 1.0), item("c", 3, 0.0)], inputs, USUAL)
    assert changes([item("a", 1, 2.0)], None, inputs, USUAL) == ()
    now = [item("b", 1, 3.0), item("a", 2, 2.0), item("d", 3, 0.5)]
    found = changes(now, before, inputs | {"b": ("others", "program")}, USUAL)
    assert [(told.bridge, told.cause) for told in found] == [
        ("b", "its files or the options changed"),
        ("d", "new"),
        ("c", "gone or faulty"),
    ]
    assert (found[0].rank_before, found[0].rank, found[0].concern_before) == (2, 1, 1.0)
    assert found[2].rank is None


@pytest.mark.parametrize(("what", "cause"), [(0, "the program"), (1, "the thresholds")])
def test_numbers_that_moved_have_their_cause(what: int, cause: str, tmp_path: Path) -> None:
    inputs = {"a": ("inputs", "program")}
    before = recorded([item("a", 1, 2.0)], inputs, USUAL)
    thresholds = USUAL
    if what == 0:
        inputs = {"a": ("inputs", "another")}
    else:
        file = tmp_path / "own.toml"
        file.write_text('[values.most]\nvalue = 2\nsource = "x"\n', encoding="utf-8")
        thresholds = thresholds_of(file)
    (found,) = changes([item("a", 1, 1.0)], before, inputs, thresholds)
    assert found.cause == f"{cause} changed"
