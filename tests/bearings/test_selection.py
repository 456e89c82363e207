"""Kinds by name, the first sieve, and kinds side by side."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from importlib.resources import files
from typing import Any, get_args

import pytest

from bedstone.bearings import catalogue, selection, suitability
from bedstone.bearings.base import Basis, Behaviour, Demand, DemandCase, Design, Part, Refusal
from bedstone.bearings.constants import load_constants
from bedstone.bridge.schema import BearingKind
from bedstone.errors import Fault, InputError
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

DATA = tomllib.loads(
    files("bedstone.bearings").joinpath("data", "suitability.toml").read_text(encoding="utf-8")
)


def basis(**options: float | str | bool) -> Basis:
    return Basis("eurocode", Values("eurocode"), options)


def demand(function: str = "guided along", **effects: float) -> Demand:
    case = DemandCase("ULS persistent", "case", **{"N": 2e6, **effects})
    held = {
        "fixed": (True, True), "guided along": (False, True),
        "guided across": (True, False), "free": (False, False),
    }[function]  # fmt: skip
    return Demand("A1-1", function, held, (case,), 1e6)  # type: ignore[arg-type]


# ------------------------------------------------------------------ catalogue
def test_every_kind_of_the_bridge_file_is_built() -> None:
    assert set(catalogue.kinds()) == set(get_args(BearingKind))
    for name in catalogue.kinds():
        kind = catalogue.kind_of(name)
        assert kind.name == name
        assert all(kind.options.values())
        assert all(kind.fields().values())


def test_a_kind_that_nobody_built_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="'swing'; allowed: a kind that is designed: single"):
        catalogue.kind_of("swing")  # type: ignore[arg-type]
    monkeypatch.setitem(catalogue.MODULES, "pot", "not_written_yet")
    catalogue.kind_of.cache_clear()
    try:
        with pytest.raises(InputError, match="'pot'"):
            catalogue.kind_of("pot")
    finally:
        catalogue.kind_of.cache_clear()


def test_a_word_that_is_no_kind_gets_a_hint() -> None:
    assert catalogue.kind_name("roller nest") == "roller nest"
    with pytest.raises(InputError, match="did you mean 'spherical'"):
        catalogue.kind_name("sphericle")


# ------------------------------------------------------------------ the first sieve
def test_the_table_is_the_published_one() -> None:
    """AASHTO LRFD, Table 14.6.2-1, as transcribed in a public civil-engineering library.

    Its vertical column is told there to hold 12 S and 2 L; single cells read there: rollers do not
    turn about the long axis (U), a nest does not turn about the transverse one (U), pots and discs
    resist along (S), spherical bearings may need more to do so (R).
    """
    rows = DATA["table"]["rows"]
    assert len(rows) == 14
    assert all(len(row) == len(DATA["table"]["columns"]) == 8 for row in rows.values())
    assert set("".join(rows.values())) == set("SLRU")
    down = [row[7] for row in rows.values()]
    assert (down.count("S"), down.count("L")) == (12, 2)
    assert suitability.letters("single roller")["turn about x"] == "U"
    assert suitability.letters("single roller")["turn about y"] == "S"
    assert suitability.letters("roller nest")["turn about y"] == "U"
    assert suitability.letters("pot")["resist along"] == "S"
    assert suitability.letters("disc")["resist across"] == "S"
    assert suitability.letters("spherical")["resist along"] == "R"


def test_every_kind_stands_in_the_table_or_is_a_set_or_carries_no_load() -> None:
    known = set(DATA["kinds"]) | set(DATA["sets"])
    assert set(catalogue.kinds()) - known == {"guide", "uplift restraint"}
    assert set(DATA["kinds"].values()) <= set(DATA["table"]["rows"])
    # a rocker turns, a nest does not; both travel along (common practice, no source)
    rocker_on_nest = suitability.letters("rocker on nest")
    assert (rocker_on_nest["turn about y"], rocker_on_nest["move along"]) == ("S", "S")


def test_what_the_table_finds_unsuitable_is_refused_with_its_figures() -> None:
    asked = demand(vx=0.03, Hy=1e5, ry=0.005)
    found = suitability.sieve("roller nest", asked, basis())
    assert found.refusal is not None
    assert found.refusal.clause == "AASHTO LRFD Table 14.6.2-1"
    assert "unsuitable (U) to resist across' 100 kN, to turn about y' 5.0 mrad" in found.remark
    assert "move along" not in found.remark  # suitable


def test_conditions_are_remarks_and_no_refusal() -> None:
    found = suitability.sieve("spherical", demand(vx=0.03, Hy=1e5), basis())
    assert found.refusal is None
    assert "may need additional elements (R) to move along' 30.0 mm" in found.remark
    assert suitability.sieve("guide", demand(vx=0.03), basis()) == suitability.Sieved()
    told = suitability.sieve("rocker on nest", demand(rx=0.004), basis()).remark
    assert "a set of a rocker, which turns, on a nest of rollers, which moves" in told


@pytest.mark.parametrize(
    ("effects", "refused"),
    [({"ry": 0.9e-3}, False), ({"ry": 1.1e-3}, True), ({"vy": 0.5}, False), ({"rx": 2e-3}, True)],
)
def test_less_than_the_threshold_counts_for_nothing(
    effects: dict[str, float], refused: bool
) -> None:
    # vy where y' is held is no movement of the bearing
    asked = demand("guided along", **effects)
    assert (suitability.sieve("roller nest", asked, basis()).refusal is not None) == refused


def test_thresholds_are_options() -> None:
    asked = demand(ry=0.002)
    loose = basis(**{"suitability.rotation": 0.003})
    assert suitability.sieve("roller nest", asked, loose).refusal is None
    with pytest.raises(InputError, match=r"suitability\.movement"):
        suitability.sieve("pot", asked, basis(**{"suitability.movement": -1.0}))


# ------------------------------------------------------------------ side by side
def line(use: float) -> Line:
    return Line("check", "own", "", "1", "a <= b", (), Quantity("a", use, ""), "memory",
                Quantity("b", 1.0, ""), use)  # fmt: skip


@dataclass(frozen=True)
class Plain:
    """A kind that answers as told."""

    name: BearingKind
    answer: Design | Refusal
    refused: Refusal | None = None
    options: dict[str, str] = field(default_factory=dict)

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        return self.refused

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        assert self.refused is None, "a refused kind is not sized"
        return self.answer

    def given(self, sizes: Any, demand: Demand, basis: Basis) -> Design:
        assert isinstance(self.answer, Design)
        return self.answer

    def fields(self) -> dict[str, str]:
        return {}


def design(kind: BearingKind, mass: float, use: float = 0.9) -> Design:
    part = Part("body", "steel", "", {}, mass)
    return Design(kind, None, (part,), (line(use),), Behaviour(), 0.2, (0.5, 0.5), 1e3, 0.01)


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> None:
    no = Refusal("disc", "why not")
    kinds = {
        "pot": Plain("pot", design("pot", 300.0)),
        "spherical": Plain("spherical", design("spherical", 200.0)),
        "laminated elastomeric": Plain("laminated elastomeric", design("pot", 10.0, use=1.2)),
        "disc": Plain("disc", no, refused=no),
        "roller nest": Plain("roller nest", design("roller nest", 1.0)),
    }
    monkeypatch.setattr(catalogue, "kind_of", kinds.__getitem__)
    monkeypatch.setattr(catalogue, "kinds", lambda: tuple(kinds))


@pytest.mark.usefixtures("answers")
def test_what_passes_comes_first_by_mass() -> None:
    found = selection.compare(demand(vx=0.03, ry=0.004), basis())
    kinds = ["spherical", "pot", "laminated elastomeric", "disc", "roller nest"]
    assert [choice.kind for choice in found] == kinds
    assert [choice.passes for choice in found] == [True, True, False, False, False]
    assert found[2].design is not None  # does not pass, yet is there to be looked at
    assert found[3].refusal is not None
    assert found[4].refusal is not None
    assert "to turn about y'" in found[4].refusal.reason  # the sieve, not the size


@pytest.mark.usefixtures("answers")
def test_the_kind_asked_for_is_sized_among_the_others() -> None:
    found = selection.compare(demand(vx=0.03, ry=0.004), basis(), asked="roller nest")
    assert [choice.kind for choice in found][:2] == ["roller nest", "spherical"]
    assert "unsuitable (U)" in found[0].remark


@pytest.mark.usefixtures("answers")
def test_what_is_asked_for_by_name_is_sized_all_the_same() -> None:
    found = selection.size(demand(vx=0.03, ry=0.004), basis(), "roller nest")
    assert found.passes
    assert "unsuitable (U) to turn about y'" in found.remark


@pytest.mark.parametrize(
    ("where", "refused"), [("thickness of S355", True), ("roller.clearance", False)]
)
def test_a_part_thicker_than_steel_is_made_is_no_bad_input(
    monkeypatch: pytest.MonkeyPatch, where: str, refused: bool
) -> None:
    def size(*_: object) -> Design:
        raise InputError([Fault("bearing", where, "300 mm", "at most 250 mm")])

    monkeypatch.setattr(type(catalogue.kind_of("line rocker")), "size", size)
    asked = demand("fixed")
    if not refused:
        with pytest.raises(InputError, match=r"roller\.clearance"):
            selection.size(asked, basis(), "line rocker")
        return
    found = selection.size(asked, basis(), "line rocker").refusal
    assert found is not None
    assert found.reason == "a part would need 300 mm of S355; made is at most 250 mm"


@pytest.mark.usefixtures("answers")
def test_a_bearing_that_holds_sends_below_what_it_holds() -> None:
    free = selection.size(demand("guided along", Hx=5e5), basis(), "pot")
    held = selection.size(demand("fixed", Hx=5e5), basis(), "pot")
    assert free.design is not None
    assert held.design is not None
    assert (free.design.horizontal, held.design.horizontal) == (1e3, 5e5)


# ------------------------------------------------------------------ constants
def test_every_constant_of_the_bearings_says_where_it_comes_from() -> None:
    constants = load_constants()
    names = [one.name for one in constants]
    assert len(set(names)) == len(names)
    for one in constants:
        assert one.text, one.name
        assert one.source, one.name
        assert one.basis in ("print", "secondary", "memory"), one.name


def test_no_table_of_numbers_is_without_a_source() -> None:
    """Tables that hold a number anywhere are among the constants."""
    named = {one.name for one in load_constants()}

    def holds(value: object) -> bool:
        if isinstance(value, list):
            return any(map(holds, value))
        return isinstance(value, int | float) and not isinstance(value, bool)

    def walk(name: str, table: dict[str, object]) -> None:
        if any(holds(value) for value in table.values()):
            assert name in named, name
        for key, value in table.items():
            if isinstance(value, dict):
                walk(f"{name}.{key}", value)

    for entry in files("bedstone.bearings").joinpath("data").iterdir():
        if entry.name.endswith(".toml"):
            walk(entry.name.removesuffix(".toml"), tomllib.loads(entry.read_text("utf-8")))
