"""Uplift restraints: sized, given, refused; the least forces of AASHTO 3.10.9.6."""

from __future__ import annotations

from dataclasses import asdict, replace

import pytest

from bedstone.bearings.base import Basis, Demand, DemandCase, Design, Refusal
from bedstone.bearings.uplift import KIND, UpliftRestraint
from bedstone.errors import InputError
from bedstone.standards.aashto.uplift import hold_down
from bedstone.standards.values import Values

FAMILIES = ("eurocode", "aashto", "irc")


def basis(family: str = "eurocode", **changes) -> Basis:
    return Basis(family, Values(family), **changes)  # type: ignore[arg-type]


def demand(lift: float = 4e5, **changes) -> Demand:
    cases = (
        DemandCase("SLS characteristic", "service", 1e6, vx=0.03, ry=0.004),
        DemandCase("ULS persistent", "down", 1.5e6, vx=0.04, ry=0.004),
        DemandCase("ULS persistent", "up", -lift, vx=0.04, ry=0.004),
    )
    return replace(
        Demand("P1-1", "free", (False, False), cases, 8e5, uplift=max(0.0, lift)), **changes
    )


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("lift", [5e4, 4e5, 2e6])
def test_what_is_sized_passes(family, lift) -> None:
    design = KIND.size(demand(lift), basis(family))
    assert isinstance(design, Design), design
    assert design.passes
    assert isinstance(design.bearing, UpliftRestraint)
    # Rods stay elastic: T/(n As) below the yield strength of the grade (own arithmetic).
    rod = design.bearing.fastener
    assert lift / design.bearing.rods / rod.stress_area < rod.fy


def test_mass_grows_with_the_pull() -> None:
    masses = [KIND.size(demand(lift), basis()).mass for lift in (1e5, 5e5, 2e6)]  # type: ignore[union-attr]
    assert masses == sorted(masses)
    assert masses[0] < masses[-1]


def test_en_says_that_it_has_no_rule() -> None:
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    assert any("no rule for uplift" in note for note in design.notes)


def test_slots_leave_the_movement_free() -> None:
    # EN 1337-1, 5.4 (recalled): 40 + 20 mm.
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    assert isinstance(design.bearing, UpliftRestraint)
    assert design.bearing.way == pytest.approx(0.06)
    assert design.left == pytest.approx(0.02)


def test_clamped_rods_bend() -> None:
    # 3 E d v/L^2 with E 210 GPa, v 40 mm, L 0.6 m (own statics): 70 MPa per mm of diameter.
    clamped = basis(options={"uplift.ends": "clamped", "uplift.free_length": 2.0})
    design = KIND.size(demand(), clamped)
    assert isinstance(design, Design)
    assert isinstance(design.bearing, UpliftRestraint)
    line = next(line for line in design.lines if line.title == "The rods stay elastic")
    rod = design.bearing.fastener
    sway = 3 * 210e9 * rod.diameter * 0.04 / 2.0**2
    assert line.value == pytest.approx(4e5 / design.bearing.rods / rod.stress_area + sway)


def test_short_clamped_rods_are_refused() -> None:
    refusal = KIND.size(demand(), basis(options={"uplift.ends": "clamped"}))
    assert isinstance(refusal, Refusal)
    assert "domed" in refusal.remedy


@pytest.mark.parametrize("family", FAMILIES)
def test_nothing_to_hold_is_refused(family) -> None:
    refusal = KIND.size(demand(-1e5), basis(family))
    assert isinstance(refusal, Refusal)


@pytest.mark.parametrize(
    ("dead", "seismic", "force"),
    [(100, 40, 0), (100, 50, 0), (100, 60, 10), (100, 99, 10), (100, 104, 10), (100, 150, 60)],
)
def test_hold_down_forces(dead, seismic, force) -> None:
    # AASHTO 3.10.9.6 (recalled): none, a tenth of D, or 1.2 (Q - D).
    found = hold_down(Values("aashto"), dead * 1e3, seismic * 1e3)
    assert found.value == pytest.approx(force * 1e3)
    assert found.basis == "memory"


def test_an_earthquake_that_nearly_lifts_needs_a_device() -> None:
    shaken = demand(-1e5)
    quake = DemandCase("ULS seismic", "quake", 2e5)
    shaken = replace(shaken, cases=(*shaken.cases, quake))
    design = KIND.size(shaken, basis("aashto"))
    # D 800 kN, Q 600 kN: a tenth of D, 80 kN.
    assert isinstance(design, Design)
    line = next(line for line in design.lines if line.title == "Hold-down device")
    assert line.value == pytest.approx(8e4)
    assert isinstance(KIND.size(shaken, basis()), Refusal)


@pytest.mark.parametrize("family", FAMILIES)
def test_given_repeats_the_design(family) -> None:
    design = KIND.size(demand(), basis(family))
    assert isinstance(design, Design)
    sizes = asdict(design.bearing)  # type: ignore[call-overload]
    sizes["ends"] = "domed" if sizes.pop("domed") else "clamped"
    assert set(sizes) == set(KIND.fields())
    assert KIND.given(sizes, demand(), basis(family)).lines == design.lines


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("rods", 3), ("rods", 0), ("free_length", 0.0), ("way", -0.1), ("plate", 0.02),
        ("ends", "glued"), ("bracket", None), ("colour", "red"),
    ],
)  # fmt: skip
def test_impossible_sizes_are_refused(name, value) -> None:
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    sizes = asdict(design.bearing)  # type: ignore[call-overload]
    sizes["ends"] = "domed" if sizes.pop("domed") else "clamped"
    with pytest.raises(InputError) as caught:
        KIND.given({**sizes, name: value}, demand(), basis())
    assert any(fault.where == name for fault in caught.value.faults)
