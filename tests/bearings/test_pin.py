"""Pin bearings: what is sized passes, what is given is checked, what cannot be is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bedstone.bearings.base import Basis, Demand, DemandCase, Design, Refusal
from bedstone.bearings.pin import KIND
from bedstone.bearings.pin_checks import PinBearing
from bedstone.errors import InputError
from bedstone.standards.values import Values

FAMILIES = ("eurocode", "aashto", "irc")


def basis(family: str = "eurocode", **changes) -> Basis:
    return Basis(family, Values(family), plinth=(1.2, 1.2), **changes)  # type: ignore[arg-type]


def demand(scale: float = 1.0, uplift: float = 0.0, **changes) -> Demand:
    cases = [
        DemandCase("permanent", "g", 1.2e6 * scale),
        DemandCase("SLS characteristic", "service", 2.0e6 * scale, 3e5, 2e5, rx=0.001, ry=0.01),
        DemandCase("ULS persistent", "strength", 2.8e6 * scale, 4.2e5, 2.8e5, rx=0.001, ry=0.01),
    ]
    if uplift:
        cases += [
            DemandCase("SLS characteristic", "service lift", -uplift, 5e4, 5e4),
            DemandCase("ULS persistent", "strength lift", -1.4 * uplift, 7e4, 7e4),
        ]
    made = Demand("A1-1", "fixed", (True, True), tuple(cases), 1.2e6 * scale, uplift=1.4 * uplift)
    return replace(made, **changes)


def sizes(bearing: PinBearing) -> dict[str, object]:
    """The sizes of a designed bearing as `given` takes them."""
    own = {
        name: getattr(bearing, name)
        for name in (
            "diameter", "hole", "middle", "outer", "gap", "lug_width", "height_below",
            "height_above", "weld", "steel_pin", "steel_plate",
        )
    }  # fmt: skip
    for head in ("base", "sole"):
        plate = getattr(bearing, head)
        for name in ("length", "width", "thickness", "steel", "grout", "dowels", "dowel", "weld",
                     "anchors"):  # fmt: skip
            own[f"{head}_{name}"] = getattr(plate, name)
        if plate.anchors:
            own[f"{head}_anchor"] = plate.anchor
            own[f"{head}_anchor_grade"] = plate.anchor_grade
    own.pop("base_weld")
    return own


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("uplift", [0.0, 3e5])
def test_what_is_sized_passes(family, uplift) -> None:
    design = KIND.size(demand(uplift=uplift), basis(family))
    assert isinstance(design, Design), design
    assert design.passes
    used = [line.utilisation for line in design.lines if line.utilisation is not None]
    assert used == sorted(used, reverse=True)
    assert max(used) > 0.8
    assert {part.name for part in design.parts} >= {"pin", "upper lug", "lower lug", "base plate"}


@pytest.mark.parametrize("family", FAMILIES)
def test_given_repeats_the_design(family) -> None:
    design = KIND.size(demand(uplift=2e5), basis(family))
    assert isinstance(design, Design)
    assert isinstance(design.bearing, PinBearing)
    again = KIND.given(sizes(design.bearing), demand(uplift=2e5), basis(family))
    assert again.lines == design.lines
    assert again.mass == pytest.approx(design.mass)


def test_more_load_is_heavier() -> None:
    one, two = (KIND.size(demand(scale), basis()) for scale in (0.5, 1.5))
    assert isinstance(one, Design)
    assert isinstance(two, Design)
    assert one.mass < two.mass


def test_height_is_the_sum_of_its_parts() -> None:
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    bearing = design.bearing
    assert isinstance(bearing, PinBearing)
    assert design.height == pytest.approx(
        bearing.base.thickness
        + bearing.height_below
        + bearing.height_above
        + bearing.sole.thickness
    )
    # Round ends of the lugs clear the plates opposite: half the lug and 10 mm at least.
    assert bearing.height_below >= bearing.hole / 2 + 0.01


def test_mass_of_the_pin() -> None:
    # 7850 kg/m3 times the cylinder (own arithmetic).
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    pin = next(part for part in design.parts if part.name == "pin")
    d, length = pin.dimensions["diameter"], pin.dimensions["length"]
    assert pin.mass == pytest.approx(7850 * 3.14159265 / 4 * d**2 * length)


def test_friction_of_the_pin_tilts_the_plates() -> None:
    # M = mu F d/2 (own statics): more friction, more on the base plate.
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    assert isinstance(design.bearing, PinBearing)

    def use(mu: float) -> float:
        found = KIND.given(sizes(design.bearing), demand(), basis(options={"pin.friction": mu}))  # type: ignore[arg-type]
        return next(
            line.utilisation
            for line in found.lines
            if line.part == "base plate" and line.title == "Concrete under the plate"
        )  # type: ignore[return-value]

    assert use(0.4) > use(0.2) > use(0.0)


@pytest.mark.parametrize("held", [(False, True), (True, False), (False, False)])
def test_a_pin_does_not_move(held) -> None:
    refusal = KIND.size(demand(held=held), basis())
    assert isinstance(refusal, Refusal)
    assert "must move" in refusal.reason
    assert refusal.remedy


def test_a_pin_does_not_turn_across_its_axis() -> None:
    tilted = demand()
    cases = tuple(replace(case, rx=0.02) for case in tilted.cases)
    refusal = KIND.size(replace(tilted, cases=cases), basis())
    assert isinstance(refusal, Refusal)
    assert "rotation" in refusal.reason


def test_a_force_beyond_the_series_is_refused() -> None:
    refusal = KIND.size(demand(60.0), basis())
    assert isinstance(refusal, Refusal)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("diameter", -0.1), ("hole", 0.05), ("lug_width", 0.05), ("height_below", 0.01),
        ("middle", "thick"), ("steel_pin", 7), ("colour", "red"), ("weld", 0.0),
    ],
)  # fmt: skip
def test_impossible_sizes_are_refused(name, value) -> None:
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    assert isinstance(design.bearing, PinBearing)
    with pytest.raises(InputError) as caught:
        KIND.given({**sizes(design.bearing), name: value}, demand(), basis())
    assert any(fault.where == name for fault in caught.value.faults)


def test_serviceability_of_pins_can_be_left_out() -> None:
    # EN 1993-1-8, Table 3.10: the service limits are for pins that can be replaced.
    fixed = KIND.size(demand(), basis(options={"pin.replaceable": False}))
    changed = KIND.size(demand(), basis())
    assert isinstance(fixed, Design)
    assert isinstance(changed, Design)
    assert not any("service" in line.title for line in fixed.lines)
    assert fixed.mass <= changed.mass


def test_every_field_is_documented() -> None:
    design = KIND.size(demand(), basis())
    assert isinstance(design, Design)
    assert isinstance(design.bearing, PinBearing)
    assert set(sizes(design.bearing)) <= set(KIND.fields())
    assert all(len(text) > 1 for text in KIND.options.values())
