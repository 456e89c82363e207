"""Guides and shear keys: sized, given, refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bedstone.bearings.base import Basis, Demand, DemandCase, Design, Refusal
from bedstone.bearings.guide import KIND, GuideBearing
from bedstone.errors import InputError
from bedstone.standards.values import Values

FAMILIES = ("eurocode", "aashto", "irc")
HELD = {"across": (False, True), "along": (True, False), "key": (True, True)}


def basis(family: str = "eurocode", **changes) -> Basis:
    return Basis(family, Values(family), plinth=(1.5, 1.5), **changes)  # type: ignore[arg-type]


def demand(held=(False, True), force: float = 3e5, **changes) -> Demand:
    x, y = (1.0 if one else 0.0 for one in held)
    cases = tuple(
        DemandCase(
            state, name, 0.0, factor * force * x, factor * force * y,
            vx=0.03 * (1 - x), vy=0.01 * (1 - y), rx=0.001, ry=0.004,
        )
        for state, name, factor in (
            ("SLS characteristic", "service", 0.7), ("ULS persistent", "strength", 1.0),
        )
    )  # fmt: skip
    return replace(Demand("P1-1", "guided along", held, cases, 0.0), **changes)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("held", HELD)
def test_what_is_sized_passes(family, held) -> None:
    design = KIND.size(demand(HELD[held]), basis(family))
    assert isinstance(design, Design), design
    assert design.passes
    assert design.utilisation > 0.7
    assert isinstance(design.bearing, GuideBearing)
    assert [pair.holds for pair in design.bearing.pairs] == {
        "across": ["y"], "along": ["x"], "key": ["x", "y"],
    }[held]  # fmt: skip


def test_key_at_its_root_by_hand() -> None:
    # H = 300 kN at the middle of the strip; bending and shear of a rectangle (own statics).
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    bearing = design.bearing
    assert isinstance(bearing, GuideBearing)
    pair, a, b = bearing.pairs[0], bearing.key_length, bearing.key_width
    lever = bearing.gap - pair.bar_height + pair.strip_height / 2
    slip = 0.20 * 3e5  # composite strip, EN 1337-2, 6.7 (recalled)
    bending = 6 * lever * (3e5 / (a * b**2) + slip / (b * a**2))
    shear = 1.5 * math.hypot(3e5, slip) / (a * b)
    line = next(line for line in design.lines if line.title == "Key at its root")
    assert line.value == pytest.approx(math.sqrt(bending**2 + 3 * shear**2))


def test_the_way_covers_the_movement() -> None:
    # EN 1337-1, 5.4 (recalled): 30 mm + 20 mm, total 50 mm each side.
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    assert isinstance(design.bearing, GuideBearing)
    assert design.bearing.way == pytest.approx(0.05)
    assert design.left == pytest.approx(0.02)
    bar = next(part for part in design.parts if part.name.startswith("guide bar"))
    assert bar.dimensions["length"] == pytest.approx(design.bearing.key_length + 0.1)


def test_least_force_by_aashto() -> None:
    # 14.7.9.2 (recalled): 10 % of the vertical service load over the guides.
    with_least = basis("aashto", options={"guide.vertical": 8e6})
    one, more = KIND.size(demand(), basis("aashto")), KIND.size(demand(), with_least)
    assert isinstance(one, Design)
    assert isinstance(more, Design)
    line = next(line for line in more.lines if line.title.startswith("Least force"))
    assert line.value == pytest.approx(8e5)
    assert more.mass > one.mass
    assert any("14.7.9.2" in note for note in one.notes)


def test_given_repeats_the_design() -> None:
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    bearing = design.bearing
    assert isinstance(bearing, GuideBearing)
    pair = bearing.pairs[0]
    sizes: dict[str, object] = {
        name: getattr(pair, name)
        for name in ("strip_length", "strip_height", "bar_width", "bar_height", "play")
    }
    sizes |= {name: getattr(bearing, name) for name in ("key_length", "key_width", "gap", "way")}
    for head in ("base", "sole"):
        plate = getattr(bearing, head)
        names = ["length", "width", "thickness", "grout", "anchors", "dowels", "dowel"]
        sizes |= {f"{head}_{name}": getattr(plate, name) for name in names}
    sizes |= {
        "base_anchor": bearing.base.anchor,
        "base_anchor_grade": bearing.base.anchor_grade,
        "sole_weld": bearing.sole.weld,
    }
    assert set(sizes) <= set(KIND.fields())
    again = KIND.given(sizes, demand(), basis())
    assert [(line.title, line.value) for line in again.lines] == [
        (line.title, line.value) for line in design.lines
    ]
    for name, value in (("gap", 0.01), ("key_length", 0.01), ("bar_height", 0.001), ("x", 1)):
        with pytest.raises(InputError) as caught:
            KIND.given({**sizes, name: value}, demand(), basis())
        assert any(fault.where == name for fault in caught.value.faults)


def test_a_seat_that_carries_is_refused() -> None:
    refusal = KIND.size(demand(permanent=1e6), basis())
    assert isinstance(refusal, Refusal)
    assert "vertical" in refusal.reason


def test_nothing_held_is_refused() -> None:
    assert isinstance(KIND.size(demand((False, False)), basis()), Refusal)


def test_rotation_about_the_vertical_needs_play() -> None:
    # 2 x 0.5 mm over a strip of 140 mm: 7.1 mrad (own kinematics).
    turned = demand()
    turned = replace(turned, cases=tuple(replace(case, rz=0.05) for case in turned.cases))
    found = KIND.size(turned, basis())
    assert isinstance(found, Refusal)
    assert "vertical" in found.reason
