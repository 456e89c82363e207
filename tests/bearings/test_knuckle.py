"""Knuckles: sized, given, refused; contact against Hertz by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bedstone.bearings.base import Basis, Demand, DemandCase, Design, Refusal
from bedstone.bearings.knuckle import KnuckleBearing
from bedstone.bearings.pin import KIND
from bedstone.errors import InputError
from bedstone.standards.values import Values

FAMILIES = ("eurocode", "aashto", "irc")
DEMAND = Demand(
    "A1-1",
    "fixed",
    (True, True),
    (
        DemandCase("SLS characteristic", "service", 2.0e6, 3e5, 2e5, ry=0.01),
        DemandCase("ULS persistent", "strength", 2.8e6, 4.2e5, 2.8e5, ry=0.01),
    ),
    1.2e6,
)


def basis(family: str = "eurocode") -> Basis:
    return Basis(
        family,
        Values(family),
        plinth=(1.2, 1.2),
        options={"pin.form": "knuckle"},  # type: ignore[arg-type]
    )


def designed(family: str = "eurocode") -> tuple[Design, KnuckleBearing]:
    design = KIND.size(DEMAND, basis(family))
    assert isinstance(design, Design), design
    assert isinstance(design.bearing, KnuckleBearing)
    return design, design.bearing


def sizes(bearing: KnuckleBearing) -> dict[str, object]:
    own: dict[str, object] = {
        name: getattr(bearing, name)
        for name in (
            "radius", "mate", "length", "half_angle", "lower_height", "upper_height", "collar",
        )
    }  # fmt: skip
    for head in ("base", "sole"):
        plate = getattr(bearing, head)
        for name in ("length", "width", "thickness", "grout", "anchors"):
            own[f"{head}_{name}"] = getattr(plate, name)
    own |= {"base_anchor": bearing.base.anchor, "base_anchor_grade": bearing.base.anchor_grade}
    return own | {"sole_weld": bearing.sole.weld}


@pytest.mark.parametrize("family", FAMILIES)
def test_what_is_sized_passes_and_given_repeats_it(family) -> None:
    design, bearing = designed(family)
    assert design.passes
    assert design.utilisation > 0.8
    assert set(sizes(bearing)) <= set(KIND.fields())
    again = KIND.given(sizes(bearing), DEMAND, basis(family))
    assert again.lines == design.lines


def test_half_width_by_hand() -> None:
    # a = sqrt(4 P' R/(pi E*)), 1/R = 1/R1 - 1/R2, E* = E/(2 (1 - 0.09)) (Johnson, chapter 4).
    design, bearing = designed()
    line = next(item for item in design.lines if item.title.startswith("Half width"))
    r = 1.0 / (1.0 / bearing.radius - 1.0 / bearing.mate)
    load = math.hypot(2.8e6, 4.2e5) / bearing.length
    modulus = 210e9 / (2 * 0.91)
    assert line.value == pytest.approx(math.sqrt(4 * load * r / (math.pi * modulus)), rel=1e-9)


def test_line_contact_by_hand() -> None:
    # EN 1337-6 (recalled): N'Rd = 23 R fu^2/E with R of the pair, steel of class B fu 490.
    design, bearing = designed()
    line = next(item for item in design.lines if item.title == "Line contact")
    r = 1.0 / (1.0 / bearing.radius - 1.0 / bearing.mate)
    assert line.limit is not None
    assert line.limit.value == pytest.approx(23 * r * 490e6**2 / 210e9)


def test_mass_of_the_blocks_fills_their_envelope() -> None:
    # The saddle's hollow is what the cap fills: both blocks make one solid (own geometry).
    design, bearing = designed()
    both = sum(p.mass for p in design.parts if p.name in {"knuckle block", "saddle"})
    solid = bearing.chord * bearing.length * (bearing.lower_height + bearing.upper_height) * 7850
    assert both == pytest.approx(solid)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_seat_that_lifts_is_refused(family) -> None:
    lifted = replace(DEMAND, cases=(*DEMAND.cases, DemandCase("ULS persistent", "up", -1e5)))
    refusal = KIND.size(lifted, basis(family))
    assert isinstance(refusal, Refusal)
    assert "lifts" in refusal.reason


def test_a_large_horizontal_force_slides_off_the_cap() -> None:
    # atan(1.0) = 45 degrees on a cap of 40 degrees.
    pushed = replace(DEMAND, cases=tuple(replace(case, Hx=case.N) for case in DEMAND.cases))
    refusal = KIND.size(pushed, basis())
    assert isinstance(refusal, Refusal)
    assert "leans" in refusal.reason


@pytest.mark.parametrize(
    ("name", "value"),
    [("mate", 0.01), ("half_angle", 2.0), ("lower_height", 0.001), ("collar", 0), ("colour", 1)],
)
def test_impossible_sizes_are_refused(name, value) -> None:
    _, bearing = designed()
    with pytest.raises(InputError) as caught:
        KIND.given({**sizes(bearing), name: value}, DEMAND, basis())
    assert any(fault.where == name for fault in caught.value.faults)


def test_an_unknown_form_is_refused() -> None:
    wrong = replace(basis(), options={"pin.form": "hinge"})
    with pytest.raises(InputError, match=r"pin\.form"):
        KIND.size(DEMAND, wrong)
