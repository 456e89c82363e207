"""Steels by thickness: EN 10025-2 (recalled), EN 1337-4 classes, ISO 3755 cast steel."""

from __future__ import annotations

import pytest

from bedstone.bearings.common import materials
from bedstone.errors import InputError


@pytest.mark.parametrize(
    ("name", "mm", "fy"),
    [
        ("S235", 16, 235), ("S235", 16.1, 225), ("S235", 63, 215), ("S355", 40, 345),
        ("S355", 41, 335), ("S355", 80, 325), ("S355", 100, 315), ("S275", 63, 255),
        ("E250", 20, 250), ("E250", 25, 240), ("E250", 41, 230), ("class D", 100, 1200),
    ],
)  # fmt: skip
def test_yield_falls_with_thickness(basis, name, mm, fy) -> None:
    assert materials.steel(name, mm * 1e-3, basis()).fy == fy * 1e6


def test_cast_steel_is_that_of_the_worked_examples(basis) -> None:
    # Ellobody 2014, sections 4.2 to 4.5: cast steel ISO 3755 340-550.
    steel = materials.steel("cast 340-550", 0.1, basis())
    assert (steel.fy, steel.fu, steel.basis) == (340e6, 550e6, "secondary")


def test_ksi_grades(basis) -> None:
    # 1 ksi = 6.894757 MPa; grade 50: 50 and 65 ksi, grade 36: 36 and 58 ksi (recalled).
    ksi = 6.894757e6
    for name, fy, fu in (("M270 grade 50", 50, 65), ("M270 grade 36", 36, 58)):
        steel = materials.steel(name, 0.05, basis("aashto"))
        assert steel.fy == pytest.approx(fy * ksi, rel=1e-5)
        assert steel.fu == pytest.approx(fu * ksi, rel=1e-5)


@pytest.mark.parametrize("fu", [490e6, 510e6])
def test_tensile_strength_of_s355_is_selectable(basis, fu) -> None:
    # Sources differ: 470, 490 or 510 MPa.
    assert materials.steel("S355", 0.02, basis()).fu == 470e6
    chosen = materials.steel("S355", 0.02, basis(options={"steel.S355.fu": fu}))
    assert chosen.fu == fu
    assert chosen.basis == "memory"


def test_own_strengths_count_as_confirmed(basis) -> None:
    options = {"steel.E250.fy": 260e6, "steel.E250.fu": 420e6}
    assert materials.steel("E250", 0.02, basis("irc", options=options)).basis == "confirmed"
    one = {"steel.E250.fy": 260e6}
    assert materials.steel("E250", 0.02, basis("irc", options=one)).basis == "memory"


def test_usual_steels_and_choices(basis) -> None:
    assert materials.default("plate", basis()) == "S355"
    assert materials.default("plate", basis(options={"steel": "S275"})) == "S275"
    assert materials.default("roller", basis(options={"steel": "S275"})) == "class C"
    assert materials.default("roller", basis("irc")) == "forged class 3"


def test_every_usual_steel_is_known(basis) -> None:
    for family in ("eurocode", "aashto", "irc"):
        for use in ("plate", "roller", "rocker", "pin"):
            assert materials.steel_for(use, 0.05, basis(family)).fy > 0


@pytest.mark.parametrize(
    ("name", "thickness", "options"),
    [
        ("S999", 0.02, {}),
        ("S355", 0.0, {}),
        ("S355", 0.3, {}),
        ("S355", 0.02, {"steel.S355.fy": -1.0}),
        ("S355", 0.02, {"steel.S355.fu": "strong"}),
    ],
)
def test_bad_steels_are_refused(basis, name, thickness, options) -> None:
    with pytest.raises(InputError) as caught:
        materials.steel(name, thickness, basis(options=options))
    assert len(caught.value.faults) == 1
